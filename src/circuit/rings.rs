//! How current divides in legs without resistance: as if each had the same small one.
//!
//! Nodes that such legs join are one node of the equations. What leaves each of them through all
//! else is known then; in a tree of legs that settles each leg's current, in a loop the least
//! squares do (equal resistances).

use super::linear::{Pattern, Workspace};
use super::lists::Lists;
use super::network::{Network, Sets};

/// How the current of the legs without resistance is worked out.
#[derive(Default)]
pub(crate) struct Rings {
    /// Legs that end in a node with no other such leg left: (wire, that node, the other node).
    trees: Vec<(usize, usize, usize)>,
    /// The legs of loops.
    loops: Vec<usize>,
    /// For each node its equation among those of loops.
    row: Vec<usize>,
    pattern: Option<(Pattern, Vec<f64>)>,
}

const NONE: usize = usize::MAX;

impl Rings {
    /// Those of a network.
    pub fn of(net: &Network) -> Rings {
        let legs: Vec<usize> = (0..net.wires.len())
            .filter(|&w| {
                let wire = &net.wires[w];
                wire.is_nothing() && wire.a != wire.b && net.live[wire.a]
            })
            .collect();
        if legs.is_empty() {
            return Rings::default();
        }
        let short = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let at = Lists::of(
            net.nodes,
            legs.iter().flat_map(|&w| {
                let wire = &net.wires[w];
                [(short(wire.a), short(w)), (short(wire.b), short(w))]
            }),
        );
        let at = |node: usize| at.of_node(short(node)).iter().map(|&w| w as usize);
        let mut left: Vec<usize> = (0..net.nodes).map(|n| at(n).len()).collect();
        let mut done = vec![false; net.wires.len()];
        let mut trees = Vec::with_capacity(legs.len());
        let mut todo: Vec<usize> = (0..net.nodes).filter(|&n| left[n] == 1).collect();
        while let Some(leaf) = todo.pop() {
            let Some(w) = at(leaf).find(|&w| !done[w]) else {
                continue;
            };
            done[w] = true;
            let other = net.wires[w].a + net.wires[w].b - leaf;
            trees.push((w, leaf, other));
            left[other] -= 1;
            if left[other] == 1 {
                todo.push(other);
            }
        }
        let loops: Vec<usize> = legs.into_iter().filter(|&w| !done[w]).collect();
        let mut row = vec![NONE; net.nodes];
        let mut pattern = None;
        if !loops.is_empty() {
            // One node of each connected part is the reference and has no equation.
            let mut sets = Sets::new(net.nodes);
            for &w in &loops {
                sets.join(net.wires[w].a, net.wires[w].b);
            }
            let mut size = 0;
            for (node, row) in row.iter_mut().enumerate() {
                let in_loop = at(node).any(|w| !done[w]);
                if in_loop && sets.root(node) != node {
                    *row = size;
                    size += 1;
                }
            }
            let mut entries = Vec::new();
            let mut amounts = Vec::new();
            for &w in &loops {
                let (a, b) = (row[net.wires[w].a], row[net.wires[w].b]);
                for (r, c, x) in [(a, a, 1.0), (b, b, 1.0), (a, b, -1.0), (b, a, -1.0)] {
                    if r != NONE && c != NONE {
                        entries.push((r, c));
                        amounts.push(x);
                    }
                }
            }
            let (p, slots) = Pattern::new(size, &entries);
            let mut values = vec![0.0; p.entries()];
            for (slot, x) in slots.into_iter().zip(amounts) {
                values[slot] += x;
            }
            pattern = Some((p, values));
        }
        Rings {
            trees,
            loops,
            row,
            pattern,
        }
    }

    /// Puts the currents (from `a` to `b`) of these legs in their place; `leaves` is what leaves
    /// each node through all else. False where that cannot be done.
    pub fn divide(&self, net: &Network, leaves: &[f64], currents: &mut [f64]) -> bool {
        if self.trees.is_empty() && self.loops.is_empty() {
            return true;
        }
        let mut leaves = leaves.to_vec();
        for &(w, leaf, other) in &self.trees {
            let towards_leaf = leaves[leaf];
            currents[w] = if net.wires[w].b == leaf {
                towards_leaf
            } else {
                -towards_leaf
            };
            leaves[other] += towards_leaf;
            leaves[leaf] = 0.0;
        }
        let Some((pattern, values)) = &self.pattern else {
            return true;
        };
        let size = self.row.iter().filter(|&&r| r != NONE).count();
        let mut level = vec![0.0; size];
        for (node, &r) in self.row.iter().enumerate() {
            if r != NONE {
                level[r] = -leaves[node];
            }
        }
        if !pattern.solve(&mut Workspace::default(), values, &mut level) {
            return false;
        }
        let of = |node: usize| match self.row[node] {
            NONE => 0.0,
            r => level[r],
        };
        for &w in &self.loops {
            currents[w] = of(net.wires[w].a) - of(net.wires[w].b);
        }
        true
    }
}
