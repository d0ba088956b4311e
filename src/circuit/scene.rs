//! What a scene leaves on.

use std::collections::HashSet;

use crate::plan::{Choice, ItemId, Part, Plan, Point};

/// What is on: items by themselves, and outputs of boards.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct On {
    /// For each item.
    pub items: Vec<bool>,
    /// For each item, its outputs; empty where it is no board.
    pub outputs: Vec<Vec<bool>>,
    /// A board of each circuit in which so many outputs take turns that they were not tried.
    pub untried: Vec<ItemId>,
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
            untried: Vec::new(),
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

/// For each item, whether it is named, or hangs on a named point along `from` or `return to`. A light
/// that is named takes nothing along: `only` names lights one by one, what is no light takes all.
fn hanging(plan: &Plan, points: &[Point]) -> Vec<bool> {
    let is_light = |p: Point| plan.items[p.item.0].is_light();
    let takes: HashSet<Point> = points.iter().copied().filter(|&p| !is_light(p)).collect();
    let taken = |p: Point| {
        let whole = Point {
            item: p.item,
            output: None,
        };
        takes.contains(&p) || takes.contains(&whole)
    };
    let mut below: Vec<Vec<ItemId>> = vec![Vec::new(); plan.items.len()];
    let mut hangs = vec![false; plan.items.len()];
    let mut todo: Vec<ItemId> = Vec::new();
    for (i, item) in plan.items.iter().enumerate() {
        let Some(feed) = &item.feed else { continue };
        for point in [feed.from, feed.minus()] {
            below[point.item.0].push(ItemId(i));
            if taken(point) && !hangs[i] {
                hangs[i] = true;
                todo.push(ItemId(i));
            }
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
    for point in points {
        hangs[point.item.0] = true;
    }
    hangs
}
