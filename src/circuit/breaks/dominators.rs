//! Which node of a graph every way to another one leads through: Cooper, Harvey and Kennedy (2001), "A simple, fast
//! dominance algorithm", on numbers. It is asked at each new figure; petgraph's, which keeps its nodes in hash tables,
//! takes several times as long. The tests hold it against that one.

use crate::circuit::lists::Lists;

/// A graph: for each node what leads to it, and what it leads to.
pub(super) struct Graph {
    next: Lists,
    before: Lists,
}

/// What can be reached from a root.
pub(super) struct Reached {
    /// The nodes, each behind the one that dominates it.
    pub nodes: Vec<u32>,
    /// For each of them the place of the nearest that dominates it; the root's is its own.
    pub by: Vec<u32>,
}

/// Not reached, or not known yet.
const OUT: u32 = u32::MAX;

/// Reached, and its place not known yet.
const SEEN: u32 = OUT - 1;

/// Where the nodes stand among those that are reached from a root. Kept from one root to the next, so that each takes as
/// long as what it reaches, not as all there is.
pub(super) struct Room(Vec<u32>);

impl Graph {
    /// Of so many nodes, with these edges.
    pub fn of(nodes: usize, edges: &[(u32, u32)]) -> Graph {
        Graph {
            next: Lists::of(nodes, edges.iter().copied()),
            before: Lists::of(nodes, edges.iter().map(|(from, to)| (*to, *from))),
        }
    }

    /// Room for what can be reached.
    pub fn room(&self) -> Room {
        Room(vec![OUT; self.next.len()])
    }

    /// The nodes that can be reached, each ahead of those to which every way leads through it (reverse postorder).
    fn order(&self, root: u32, seen: &mut [u32]) -> Vec<u32> {
        seen[root as usize] = SEEN;
        let mut way = vec![(root, 0)];
        let mut left = Vec::new();
        while let Some((node, nth)) = way.last_mut() {
            match self.next.of_node(*node).get(*nth) {
                Some(&next) => {
                    *nth += 1;
                    if std::mem::replace(&mut seen[next as usize], SEEN) == OUT {
                        way.push((next, 0));
                    }
                }
                None => {
                    left.push(*node);
                    way.pop();
                }
            }
        }
        left.reverse();
        left
    }

    /// What can be reached from a root, and what dominates it.
    pub fn from(&self, root: u32, room: &mut Room) -> Reached {
        let place = &mut room.0;
        let nodes = self.order(root, place);
        for (k, node) in (0..).zip(&nodes) {
            place[*node as usize] = k;
        }
        let mut by = vec![OUT; nodes.len()];
        by[0] = 0;
        // It ends: each round moves some node's nearest one closer to the root, or none.
        let mut is_settled = false;
        while !is_settled {
            is_settled = true;
            for (k, node) in nodes.iter().enumerate().skip(1) {
                let before = self.before.of_node(*node).iter();
                let before = before.map(|node| place[*node as usize]);
                let known = before.filter(|&at| at != OUT && by[at as usize] != OUT);
                let nearest = known.reduce(|a, b| common(&by, a, b)).unwrap_or(OUT);
                if by[k] != nearest {
                    by[k] = nearest;
                    is_settled = false;
                }
            }
        }
        for node in &nodes {
            place[*node as usize] = OUT;
        }
        Reached { nodes, by }
    }
}

/// The nearest that dominates two.
fn common(by: &[u32], mut a: u32, mut b: u32) -> u32 {
    while a != b {
        if a > b {
            a = by[a as usize];
        } else {
            b = by[b as usize];
        }
    }
    a
}

#[cfg(test)]
mod tests {
    use petgraph::algo::dominators::simple_fast;
    use petgraph::graph::{DiGraph, NodeIndex};
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// Against petgraph.
        #[test]
        fn as_petgraph_finds_it(
            (nodes, edges) in (1u32..30).prop_flat_map(|nodes| {
                let edge = (0..nodes, 0..nodes);
                (Just(nodes), prop::collection::vec(edge, 0..70))
            }),
        ) {
            let mut graph = DiGraph::<(), ()>::new();
            let known: Vec<NodeIndex> = (0..nodes).map(|_| graph.add_node(())).collect();
            for (from, to) in &edges {
                graph.add_edge(known[*from as usize], known[*to as usize], ());
            }
            let expected = simple_fast(&graph, known[0]);
            let graph = Graph::of(nodes as usize, &edges);
            let mut room = graph.room();
            // What another root reached does not show.
            graph.from(nodes - 1, &mut room);
            let reached = graph.from(0, &mut room);
            prop_assert_eq!(reached.nodes[0], 0);
            for (k, node) in reached.nodes.iter().enumerate() {
                prop_assert!(k == 0 || (reached.by[k] as usize) < k);
                let by = (k > 0).then(|| known[reached.nodes[reached.by[k] as usize] as usize]);
                prop_assert_eq!(expected.immediate_dominator(known[*node as usize]), by);
            }
            for node in (0..nodes).filter(|node| !reached.nodes.contains(node)) {
                prop_assert_eq!(expected.dominators(known[node as usize]).map(|all| all.count()), None);
            }
        }
    }
}
