//! What a scene leaves on.

use crate::plan::{Choice, ItemId, Part, Plan, Point};

/// What is on: items by themselves, and outputs of boards.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct On {
    /// For each item.
    pub items: Vec<bool>,
    /// For each item, its outputs; empty where it is no board.
    pub outputs: Vec<Vec<bool>>,
}

impl On {
    /// Everything.
    pub fn all(plan: &Plan) -> On {
        let outputs = plan.items.iter().map(|item| match item.part {
            Part::Board { module } => vec![true; plan.modules[module.0].outputs.len()],
            _ => Vec::new(),
        });
        On {
            items: vec![true; plan.items.len()],
            outputs: outputs.collect(),
        }
    }

    /// What a scene leaves on. Of outputs that take turns, all are still on.
    pub fn of(plan: &Plan, choice: &Choice) -> On {
        let mut on = On::all(plan);
        match choice {
            Choice::All => {}
            Choice::Off(points) => {
                for point in points {
                    match point.output {
                        Some(o) if o < on.outputs[point.item.0].len() => {
                            on.outputs[point.item.0][o] = false;
                        }
                        _ => on.items[point.item.0] = false,
                    }
                }
            }
            Choice::Only(points) => {
                let hangs = hanging(plan, points);
                for light in plan.lights() {
                    on.items[light.0] = hangs[light.0];
                }
            }
        }
        on
    }
}

/// For each item, whether it is one of the points or hangs on one, along `from` or `return to`.
fn hanging(plan: &Plan, points: &[Point]) -> Vec<bool> {
    let named = |p: Point| {
        points
            .iter()
            .any(|n| n.item == p.item && n.output.is_none_or(|o| p.output == Some(o)))
    };
    let mut below: Vec<Vec<ItemId>> = vec![Vec::new(); plan.items.len()];
    let mut hangs = vec![false; plan.items.len()];
    let mut todo: Vec<ItemId> = Vec::new();
    for (i, item) in plan.items.iter().enumerate() {
        let id = ItemId(i);
        let itself = named(Point {
            item: id,
            output: None,
        });
        let mut on = itself;
        if let Some(feed) = &item.feed {
            for point in [feed.from, feed.minus()] {
                below[point.item.0].push(id);
                on |= named(point);
            }
        }
        if on {
            hangs[i] = true;
            todo.push(id);
        }
    }
    while let Some(id) = todo.pop() {
        for &next in &below[id.0] {
            if !hangs[next.0] {
                hangs[next.0] = true;
                todo.push(next);
            }
        }
    }
    hangs
}
