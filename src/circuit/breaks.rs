//! What goes dark when something breaks: plain connectivity, everything else on, second ways (links)
//! and separate returns followed.
//!
//! When an item breaks, both its legs are open and nothing gets through it. The point that it hands
//! on stays in one piece, so that what hangs on it lives on where a link leads there.

use crate::plan::{ItemId, LinkId, Part, Plan, Point};

/// The lights that go dark when this item breaks (itself too, if it is one), in the order of the
/// plan. Those that are dark anyway are not among them.
pub fn darkened(plan: &Plan, item: ItemId) -> Vec<ItemId> {
    darkened_without(plan, item, None)
}

/// As [`darkened`], as if a link were not there.
pub fn darkened_without(plan: &Plan, item: ItemId, link: Option<LinkId>) -> Vec<ItemId> {
    let whole = lit(plan, None, None);
    let broken = lit(plan, Some(item), link);
    plan.lights()
        .filter(|l| whole[l.0] && !broken[l.0])
        .collect()
}

/// The light through which this one has its power with no second way, the nearest first; `None`
/// where it has its own way back to something that is no light.
pub fn only_through(plan: &Plan, light: ItemId) -> Option<ItemId> {
    let mut seen = vec![false; plan.items.len()];
    let mut todo = std::collections::VecDeque::from([light]);
    seen[light.0] = true;
    while let Some(at) = todo.pop_front() {
        if at != light
            && plan.items[at.0].is_light()
            && darkened(plan, at).binary_search(&light).is_ok()
        {
            return Some(at);
        }
        if let Some(feed) = &plan.items[at.0].feed {
            for point in [feed.from, feed.minus()] {
                if !std::mem::replace(&mut seen[point.item.0], true) {
                    todo.push_back(point.item);
                }
            }
        }
    }
    None
}

/// Copper and parts as a graph: for each item the nodes of its ends and of its points.
struct Graph {
    next: Vec<Vec<usize>>,
    /// For each item: plus and minus end.
    ends: Vec<(usize, usize)>,
}

impl Graph {
    fn node(&mut self) -> usize {
        self.next.push(Vec::new());
        self.next.len() - 1
    }

    fn both(&mut self, a: usize, b: usize) {
        self.next[a].push(b);
        self.next[b].push(a);
    }

    fn of(plan: &Plan, broken: Option<ItemId>, without: Option<LinkId>) -> Graph {
        let mut graph = Graph {
            next: Vec::new(),
            ends: Vec::new(),
        };
        // For each item its points: (plus, minus), of each output for a board.
        let mut points: Vec<Vec<(Option<usize>, usize)>> = Vec::new();
        for (i, item) in plan.items.iter().enumerate() {
            let whole = broken != Some(ItemId(i));
            let (plus, minus) = (graph.node(), graph.node());
            graph.ends.push((plus, minus));
            let out_minus = graph.node();
            if whole {
                graph.both(minus, out_minus);
            }
            let mut outs = Vec::new();
            match &item.part {
                Part::Board { module } => {
                    for output in &plan.modules[module.0].outputs {
                        let out = (!output.sinks).then(|| graph.node());
                        if let Some(out) = out.filter(|_| whole) {
                            graph.next[plus].push(out);
                            if output.volts.is_none() {
                                graph.next[out].push(plus);
                            }
                        }
                        outs.push((out, out_minus));
                    }
                }
                part => {
                    let out = graph.node();
                    if whole {
                        graph.next[plus].push(out);
                        if !passes_one_way(part) {
                            graph.next[out].push(plus);
                        }
                    }
                    outs.push((Some(out), out_minus));
                }
            }
            points.push(outs);
        }
        let point = |p: Point| points[p.item.0].get(p.output.unwrap_or(0)).copied();
        for (i, item) in plan.items.iter().enumerate() {
            let Some(feed) = item.feed.as_ref().filter(|_| broken != Some(ItemId(i))) else {
                continue;
            };
            let (plus, minus) = graph.ends[i];
            if let Some((Some(from), _)) = point(feed.from) {
                graph.both(from, plus);
            }
            if let Some((_, to)) = point(feed.minus()) {
                graph.both(minus, to);
            }
        }
        for (k, link) in plan.links.iter().enumerate() {
            if without == Some(LinkId(k)) {
                continue;
            }
            if let (Some(a), Some(b)) = (point(link.ends.0), point(link.ends.1)) {
                if let (Some(a), Some(b)) = (a.0, b.0) {
                    graph.both(a, b);
                }
                graph.both(a.1, b.1);
            }
        }
        graph
    }
}

fn passes_one_way(part: &Part) -> bool {
    matches!(
        part,
        Part::Diode { .. } | Part::Rectifier { .. } | Part::Regulator { .. }
    )
}

/// For each item, whether its ends lead to plus and minus of one supply.
fn lit(plan: &Plan, broken: Option<ItemId>, without: Option<LinkId>) -> Vec<bool> {
    let graph = Graph::of(plan, broken, without);
    let mut lit = vec![false; plan.items.len()];
    let mut seen = vec![usize::MAX; graph.next.len()];
    for (s, item) in plan.items.iter().enumerate() {
        if !matches!(item.part, Part::Supply(_)) || broken == Some(ItemId(s)) {
            continue;
        }
        let (plus, minus) = graph.ends[s];
        let mut todo = vec![plus, minus];
        seen[plus] = s;
        seen[minus] = s;
        while let Some(at) = todo.pop() {
            for &to in &graph.next[at] {
                if seen[to] != s {
                    seen[to] = s;
                    todo.push(to);
                }
            }
        }
        for (i, &(plus, minus)) in graph.ends.iter().enumerate() {
            lit[i] |= seen[plus] == s && seen[minus] == s;
        }
    }
    if let Some(broken) = broken {
        lit[broken.0] = false;
    }
    lit
}
