//! Where each node stands: on which sheet, in which row, in which column. A node stands in the row of the first that hangs
//! on it, and the others follow below, so that no line of the tree crosses another.

use super::tree::{NodeId, Tree, What};
use crate::plan::ZoneId;

/// The place of a node.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// The sheet.
    pub sheet: usize,
    /// The piece.
    pub piece: usize,
    /// The row of the sheet.
    pub row: usize,
    /// How many stand ahead of it.
    pub column: usize,
    /// The last row of all that hangs on it.
    pub last_row: usize,
    /// All that hangs on it is in its own zone.
    pub is_of_one_zone: bool,
}

/// The places of all nodes that are drawn.
#[derive(Debug, Default)]
pub struct Places(Vec<Option<Place>>);

impl Places {
    /// Places for a tree, none given yet.
    pub fn of(tree: &Tree) -> Places {
        Places(vec![None; tree.nodes.len()])
    }

    /// Where a node stands; `None` for one that is not drawn.
    pub fn at(&self, node: NodeId) -> Option<Place> {
        self.0.get(node).copied().flatten()
    }

    /// Gives all nodes of a piece their places, from this row of a sheet on. What sits where its feeder sits comes first, so
    /// that zones lie together. Gives the row after it.
    pub fn piece(
        &mut self,
        tree: &mut Tree,
        (sheet, piece): (usize, usize),
        head: NodeId,
        row: usize,
    ) -> usize {
        let order = tree.below(head);
        for &node in order.iter().rev() {
            let zone = tree.nodes[node].zone;
            let own = |&child: &NodeId| {
                tree.nodes[child].zone == zone
                    && self.at(child).is_none_or(|place| place.is_of_one_zone)
            };
            let is_of_one_zone = tree.nodes[node].children.iter().all(own);
            self.0[node] = Some(Place {
                sheet,
                piece,
                row: 0,
                column: 0,
                last_row: 0,
                is_of_one_zone,
            });
        }
        for &node in &order {
            self.arrange(tree, node);
        }
        let mut next = row;
        let order = tree.below(head);
        for (nth, &node) in order.iter().enumerate() {
            // A node that is not the first child begins a new row.
            let parent = tree.nodes[node].parent.filter(|_| nth > 0);
            let is_first = parent.is_none_or(|p| tree.nodes[p].children.first() == Some(&node));
            if !is_first {
                next += 1;
            }
            let column = parent
                .and_then(|p| self.at(p))
                .map_or(0, |place| place.column + 1);
            if let Some(place) = &mut self.0[node] {
                (place.row, place.column, place.last_row) = (next, column, next);
            }
        }
        for &node in order.iter().rev() {
            let rows = tree.nodes[node].children.iter();
            let last = rows
                .filter_map(|&child| Some(self.at(child)?.last_row))
                .max();
            if let (Some(place), Some(last)) = (&mut self.0[node], last) {
                place.last_row = last;
            }
        }
        next + 1
    }

    /// Puts what hangs on a node in order: what is of its zone alone, tags, what leads out of it; then what is of other zones.
    fn arrange(&self, tree: &mut Tree, node: NodeId) {
        let here = tree.nodes[node].zone;
        let mut children = std::mem::take(&mut tree.nodes[node].children);
        let mut zones: Vec<Option<ZoneId>> = Vec::new();
        for &child in &children {
            let zone = tree.nodes[child].zone;
            if !zones.contains(&zone) && zone != here {
                zones.push(zone);
            }
        }
        let rank = |&child: &NodeId| {
            let zone = tree.nodes[child].zone;
            let foreign = zones
                .iter()
                .position(|z| *z == zone)
                .map_or(0, |nth| nth + 1);
            let leads_out = self.at(child).is_some_and(|place| !place.is_of_one_zone);
            let is_tag = matches!(tree.nodes[child].what, What::Onward(_));
            (foreign, leads_out, is_tag)
        };
        let is_fixed = children
            .iter()
            .any(|&child| matches!(tree.nodes[child].what, What::Output(..)));
        if !is_fixed {
            children.sort_by_key(rank);
        }
        tree.nodes[node].children = children;
    }
}
