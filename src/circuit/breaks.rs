//! What goes dark when something breaks: plain connectivity, everything else on, second ways (links)
//! and separate returns followed.
//!
//! When an item breaks, both its legs are open and nothing gets through it. The point that it hands
//! on stays in one piece, so that what hangs on it lives on where a link leads there.
//!
//! Plus and minus are graphs of their own, for no part joins them here. The end of an item is lost
//! with a broken one if every way from the supply leads through the broken one's end: if that
//! dominates it (Cooper, Harvey and Kennedy 2001, "A simple, fast dominance algorithm").

use std::collections::{HashMap, VecDeque};
use std::ops::Range;

use petgraph::algo::dominators::simple_fast;
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::{Dfs, Walker};

use crate::plan::{ItemId, LinkId, Part, Plan, Point};

/// What goes dark with each item of a plan. Made once for a plan; each answer then takes only as
/// long as it is.
#[derive(Clone, Debug, Default)]
pub struct Breaks {
    /// For each item that is a light, how many supplies light it.
    lit_by: Vec<usize>,
    /// The lights that each supply lights, along plus, then along minus, so that all that hang on
    /// one end stand together.
    order: Vec<ItemId>,
    /// For each item what hangs on its ends.
    hang: Vec<Vec<Hang>>,
}

/// What hangs on one end of an item, of the lights of one supply.
#[derive(Clone, Debug)]
struct Hang {
    supply: ItemId,
    lights: Range<usize>,
}

impl Breaks {
    /// Of a plan.
    pub fn of(plan: &Plan) -> Breaks {
        Breaks::without(plan, &[])
    }

    /// Of a plan, as if these links were not there.
    pub fn without(plan: &Plan, links: &[LinkId]) -> Breaks {
        let copper = Copper::of(plan, links);
        let mut breaks = Breaks {
            lit_by: vec![0; plan.items.len()],
            order: Vec::new(),
            hang: vec![Vec::new(); plan.items.len()],
        };
        for (s, item) in plan.items.iter().enumerate() {
            if matches!(item.part, Part::Supply(_)) {
                breaks.add(plan, &copper, ItemId(s));
            }
        }
        breaks
    }

    fn add(&mut self, plan: &Plan, copper: &Copper, supply: ItemId) {
        let (plus, minus) = copper.ends[supply.0];
        let trees = [plus, minus].map(|root| copper.dominated_from(root));
        let mut ends_reached: HashMap<ItemId, usize> = HashMap::new();
        for (item, _) in trees
            .iter()
            .flatten()
            .filter_map(|(end, n)| Some(((*end)?, n)))
        {
            *ends_reached.entry(item).or_default() += 1;
        }
        let is_lit = |item: ItemId| plan.items[item.0].is_light() && ends_reached[&item] == 2;
        for (item, _) in ends_reached.iter().filter(|(item, _)| is_lit(**item)) {
            self.lit_by[item.0] += 1;
        }
        for tree in &trees {
            // Where in `order` each place of the tree comes to stand.
            let mut at = Vec::with_capacity(tree.len() + 1);
            for (end, _) in tree {
                at.push(self.order.len());
                self.order.extend(end.filter(|item| is_lit(*item)));
            }
            at.push(self.order.len());
            for (place, &(end, hanging)) in tree.iter().enumerate() {
                if let Some(item) = end {
                    let lights = at[place]..at[place + hanging];
                    self.hang[item.0].push(Hang { supply, lights });
                }
            }
        }
    }

    /// The lights that go dark when this item breaks (itself too, if it is one), in the order of the
    /// plan. Those that are dark anyway are not among them.
    pub fn darkened(&self, item: ItemId) -> Vec<ItemId> {
        let hang = self.hang.get(item.0).into_iter().flatten();
        let mut lost: Vec<(ItemId, ItemId)> = hang
            .flat_map(|h| self.order[h.lights.clone()].iter().map(|&l| (l, h.supply)))
            .collect();
        lost.sort_unstable();
        lost.dedup();
        // Dark is what has lost every supply that lit it.
        lost.chunk_by(|a, b| a.0 == b.0)
            .filter(|of_one| of_one.len() == self.lit_by[of_one[0].0.0])
            .map(|of_one| of_one[0].0)
            .collect()
    }

    /// The light through which this one has its power with no second way, the nearest first; `None`
    /// where it has its own way back to something that is no light.
    pub fn only_through(&self, plan: &Plan, light: ItemId) -> Option<ItemId> {
        let mut seen = vec![false; plan.items.len()];
        let mut todo = VecDeque::from([light]);
        seen[light.0] = true;
        while let Some(at) = todo.pop_front() {
            if at != light
                && plan.items[at.0].is_light()
                && self.darkened(at).binary_search(&light).is_ok()
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
}

/// Copper and parts as a graph, current flowing along its edges.
struct Copper {
    graph: DiGraph<Option<ItemId>, ()>,
    /// For each item: plus and minus end. Their nodes bear the item.
    ends: Vec<(NodeIndex, NodeIndex)>,
}

impl Copper {
    fn of(plan: &Plan, without: &[LinkId]) -> Copper {
        let mut graph = DiGraph::new();
        let mut ends = Vec::with_capacity(plan.items.len());
        let both = |graph: &mut DiGraph<_, _>, a, b| {
            graph.add_edge(a, b, ());
            graph.add_edge(b, a, ());
        };
        // For each item its points: (plus, minus), of each output for a board.
        let mut points: Vec<Vec<(Option<NodeIndex>, NodeIndex)>> = Vec::new();
        for (i, item) in plan.items.iter().enumerate() {
            let plus = graph.add_node(Some(ItemId(i)));
            let minus = graph.add_node(Some(ItemId(i)));
            let out_minus = graph.add_node(None);
            ends.push((plus, minus));
            both(&mut graph, minus, out_minus);
            let mut out = |one_way: bool| {
                let out = graph.add_node(None);
                graph.add_edge(plus, out, ());
                if !one_way {
                    graph.add_edge(out, plus, ());
                }
                out
            };
            points.push(match &item.part {
                Part::Board { module } => (plan.modules[module.0].outputs.iter())
                    .map(|o| ((!o.sinks).then(|| out(o.volts.is_some())), out_minus))
                    .collect(),
                part => vec![(Some(out(passes_one_way(part))), out_minus)],
            });
        }
        let point = |p: Point| points[p.item.0].get(p.output.unwrap_or(0)).copied();
        for (item, &(plus, minus)) in plan.items.iter().zip(&ends) {
            let Some(feed) = &item.feed else {
                continue;
            };
            if let Some((Some(from), _)) = point(feed.from) {
                both(&mut graph, from, plus);
            }
            if let Some((_, to)) = point(feed.minus()) {
                both(&mut graph, minus, to);
            }
        }
        for (k, link) in plan.links.iter().enumerate() {
            if without.contains(&LinkId(k)) {
                continue;
            }
            if let (Some(a), Some(b)) = (point(link.ends.0), point(link.ends.1)) {
                if let (Some(a), Some(b)) = (a.0, b.0) {
                    both(&mut graph, a, b);
                }
                both(&mut graph, a.1, b.1);
            }
        }
        Copper { graph, ends }
    }

    /// What a node leads to, in an order in which all that a node dominates stands right behind it:
    /// the item whose end it is, if it is one, and how many nodes it dominates, itself included.
    fn dominated_from(&self, root: NodeIndex) -> Vec<(Option<ItemId>, usize)> {
        let dominators = simple_fast(&self.graph, root);
        // A node is found after the one that dominates it, for every way to it leads through that.
        let found: Vec<NodeIndex> = Dfs::new(&self.graph, root).iter(&self.graph).collect();
        let place: HashMap<NodeIndex, usize> = found
            .iter()
            .enumerate()
            .map(|(k, &node)| (node, k))
            .collect();
        let by: Vec<Option<usize>> = (found.iter())
            .map(|&node| dominators.immediate_dominator(node).map(|d| place[&d]))
            .collect();
        let mut size = vec![1; found.len()];
        for k in (0..found.len()).rev() {
            if let Some(by) = by[k] {
                size[by] += size[k];
            }
        }
        // Each has the next free place behind the one that dominates it.
        let mut order = vec![(None, 0); found.len()];
        let mut free = vec![0; found.len()];
        for (k, &node) in found.iter().enumerate() {
            let here = by[k].map_or(0, |by| free[by]);
            if let Some(by) = by[k] {
                free[by] += size[k];
            }
            free[k] = here + 1;
            order[here] = (self.graph[node], size[k]);
        }
        order
    }
}

fn passes_one_way(part: &Part) -> bool {
    matches!(
        part,
        Part::Diode { .. } | Part::Rectifier { .. } | Part::Regulator { .. }
    )
}
