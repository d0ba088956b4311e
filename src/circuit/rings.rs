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
    /// The nodes that such legs hang on. All that follows knows them by their place here.
    nodes: Vec<usize>,
    /// Legs that end in a node with no other such leg left.
    trees: Vec<Twig>,
    /// The legs of loops: wire, from, to.
    loops: Vec<(usize, usize, usize)>,
    /// For each node its equation among those of loops.
    row: Vec<usize>,
    pattern: Option<(Pattern, Vec<f64>)>,
}

/// A leg that is the last one at its leaf.
struct Twig {
    wire: usize,
    leaf: usize,
    other: usize,
    /// Whether the wire's `b` is the leaf.
    outwards: bool,
}

const NONE: usize = usize::MAX;

impl Rings {
    /// Those of a network.
    pub fn of(net: &Network) -> Rings {
        let wires = net.wires.iter().enumerate();
        let legs: Vec<usize> = wires
            .filter(|(_, wire)| wire.is_nothing() && wire.a != wire.b && net.live[wire.a])
            .map(|(w, _)| w)
            .collect();
        if legs.is_empty() {
            return Rings::default();
        }
        let mut place = vec![NONE; net.nodes];
        for wire in legs.iter().map(|&w| &net.wires[w]) {
            (place[wire.a], place[wire.b]) = (0, 0);
        }
        let nodes: Vec<usize> = (0..net.nodes).filter(|&n| place[n] != NONE).collect();
        for (k, &node) in nodes.iter().enumerate() {
            place[node] = k;
        }
        let ends: Vec<(usize, usize)> = (legs.iter())
            .map(|&w| (place[net.wires[w].a], place[net.wires[w].b]))
            .collect();
        let short = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let at = Lists::of(
            nodes.len(),
            ends.iter().enumerate().flat_map(|(leg, &(a, b))| {
                let leg = short(leg);
                [(short(a), leg), (short(b), leg)]
            }),
        );
        let at = |node: usize| at.of_node(short(node)).iter().map(|&leg| leg as usize);
        let mut left: Vec<usize> = (0..nodes.len()).map(|n| at(n).len()).collect();
        let mut done = vec![false; legs.len()];
        let mut trees = Vec::with_capacity(legs.len());
        let mut todo: Vec<usize> = (0..nodes.len()).filter(|&n| left[n] == 1).collect();
        while let Some(leaf) = todo.pop() {
            let Some(leg) = at(leaf).find(|&leg| !done[leg]) else {
                continue;
            };
            done[leg] = true;
            let (a, b) = ends[leg];
            let other = a + b - leaf;
            trees.push(Twig {
                wire: legs[leg],
                leaf,
                other,
                outwards: b == leaf,
            });
            left[other] -= 1;
            if left[other] == 1 {
                todo.push(other);
            }
        }
        let in_loops = (0..legs.len()).filter(|&leg| !done[leg]);
        let loops: Vec<(usize, usize, usize)> = in_loops
            .map(|leg| (legs[leg], ends[leg].0, ends[leg].1))
            .collect();
        let mut row = vec![NONE; nodes.len()];
        let mut pattern = None;
        if !loops.is_empty() {
            // One node of each connected part is the reference and has no equation.
            let mut sets = Sets::new(nodes.len());
            for &(_, a, b) in &loops {
                sets.join(a, b);
            }
            let mut size = 0;
            for (node, row) in row.iter_mut().enumerate() {
                let in_loop = at(node).any(|leg| !done[leg]);
                if in_loop && sets.root(node) != node {
                    *row = size;
                    size += 1;
                }
            }
            let mut entries = Vec::new();
            let mut amounts = Vec::new();
            for &(_, a, b) in &loops {
                let (a, b) = (row[a], row[b]);
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
            nodes,
            trees,
            loops,
            row,
            pattern,
        }
    }

    /// Puts the currents (from `a` to `b`) of these legs in their place; `leaves` is what leaves
    /// each node through all else. False where that cannot be done.
    pub fn divide(&self, leaves: &[f64], currents: &mut [f64]) -> bool {
        let mut leaves: Vec<f64> = self.nodes.iter().map(|&node| leaves[node]).collect();
        for twig in &self.trees {
            let towards_leaf = leaves[twig.leaf];
            currents[twig.wire] = match twig.outwards {
                true => towards_leaf,
                false => -towards_leaf,
            };
            leaves[twig.other] += towards_leaf;
            leaves[twig.leaf] = 0.0;
        }
        let Some((pattern, values)) = &self.pattern else {
            return true;
        };
        let size = self.row.iter().filter(|&&r| r != NONE).count();
        let mut level = vec![0.0; size];
        for (leaves, &r) in leaves.iter().zip(&self.row) {
            if r != NONE {
                level[r] = -leaves;
            }
        }
        if !pattern.solve(&mut Workspace::default(), values, &mut level) {
            return false;
        }
        let of = |node: usize| match self.row[node] {
            NONE => 0.0,
            r => level[r],
        };
        for &(wire, a, b) in &self.loops {
            currents[wire] = of(a) - of(b);
        }
        true
    }
}
