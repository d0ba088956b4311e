//! Trees that are too large for a sheet are cut into pieces: where the way leads from one zone into another, then where
//! that is not enough. What is cut off is another piece; a tag stands in its place, and one at its head says what feeds it.

use std::collections::{HashMap, HashSet};

use super::tree::{NodeId, Tree, What};
use crate::plan::ZoneId;

/// So many rows has a sheet: what a page of A4 or Letter shows in letters that can be read.
pub const MOST_ROWS: usize = 16;

/// So many rows are no sheet of their own.
const FEW_ROWS: usize = 2;

/// So wide is a sheet about, along one row.
pub const MOST_WIDTH: f64 = 1000.0;

/// A part of the drawing that hangs together.
#[derive(Clone, Debug)]
pub struct Piece {
    /// Its first node: an item that nothing feeds, or a tag that says what does.
    pub head: NodeId,
    /// The zone of what it begins with.
    pub zone: Option<ZoneId>,
    /// How many rows it takes.
    pub rows: usize,
    /// The supply that it hangs on, as a number.
    root: usize,
    /// Where it begins, in the order of the whole.
    place: usize,
}

/// What is to be drawn.
#[derive(Clone, Copy, Debug, Default)]
pub struct Scope {
    /// Only what hangs on this root.
    pub root: Option<NodeId>,
    /// Only what sits in this zone.
    pub zone: Option<ZoneId>,
}

/// Cuts trees into pieces, and says in which order they are drawn. A piece keeps its number, which tags name. `widths` are
/// those of the nodes.
pub fn cut(tree: &mut Tree, scope: Scope, widths: &[f64]) -> (Vec<Piece>, Vec<usize>) {
    let mut cutter = Cutter {
        widths,
        rows: Vec::new(),
        begins: HashSet::new(),
        place: HashMap::new(),
        pieces: Vec::new(),
        root: 0,
    };
    let roots = tree.roots.clone();
    for (nth, &root) in roots.iter().enumerate() {
        if scope.root.is_none_or(|only| only == root) {
            cutter.root = nth;
            cutter.tree(tree, root, scope.zone.is_some());
        }
    }
    let pieces = cutter.pieces;
    let mut first: HashMap<(usize, Option<ZoneId>), usize> = HashMap::new();
    for piece in &pieces {
        let at = first.entry((piece.root, piece.zone)).or_insert(piece.place);
        *at = (*at).min(piece.place);
    }
    let mut order: Vec<usize> = (0..pieces.len()).collect();
    order.retain(|&piece| scope.zone.is_none() || pieces[piece].zone == scope.zone);
    order.sort_by_key(|&piece| {
        let Piece {
            root, zone, place, ..
        } = pieces[piece];
        (root, first.get(&(root, zone)).copied(), place)
    });
    (pieces, order)
}

struct Cutter<'a> {
    widths: &'a [f64],
    /// How many rows a node takes with all that hangs on it.
    rows: Vec<usize>,
    /// The nodes that begin a piece: they lie in another zone than their feeders, or too far to the right.
    begins: HashSet<NodeId>,
    /// The place of each node in the order of the whole.
    place: HashMap<NodeId, usize>,
    pieces: Vec<Piece>,
    root: usize,
}

impl Cutter<'_> {
    /// Cuts one tree, if it must be.
    fn tree(&mut self, tree: &mut Tree, root: NodeId, by_zone: bool) {
        let order = tree.below(root);
        let begun = self.place.len();
        self.place
            .extend(order.iter().enumerate().map(|(nth, &n)| (n, begun + nth)));
        self.rows.resize(tree.nodes.len(), 0);
        for &node in order.iter().rev() {
            self.measure(tree, node);
        }
        let widest = self.far_right(tree, &order, false);
        if by_zone || self.rows[root] > MOST_ROWS || widest > MOST_WIDTH {
            self.far_right(tree, &order, true);
            for &node in order.iter().rev() {
                self.cut_at(tree, node);
            }
        }
        self.pieces.push(Piece {
            head: root,
            zone: tree.nodes[root].zone,
            rows: self.rows[root],
            root: self.root,
            place: self.place.get(&root).copied().unwrap_or(0),
        });
    }

    /// How far a tree reaches to the right. Where it is `to_cut`, notes what begins a piece.
    fn far_right(&mut self, tree: &Tree, order: &[NodeId], to_cut: bool) -> f64 {
        let mut ends: HashMap<NodeId, f64> = HashMap::new();
        let mut widest: f64 = 0.0;
        for &node in order {
            let of = &tree.nodes[node];
            let ahead = of.parent.and_then(|parent| ends.get(&parent)).copied();
            let own = self.widths.get(node).copied().unwrap_or(0.0);
            let mut end = ahead.unwrap_or(0.0) + own;
            let is_output = matches!(of.what, What::Output(..));
            if to_cut && !is_output && ahead.is_some() {
                let leaves = of.parent.is_some_and(|p| tree.nodes[p].zone != of.zone);
                if leaves || end > MOST_WIDTH {
                    self.begins.insert(node);
                    end = own;
                }
            }
            ends.insert(node, end);
            widest = widest.max(end);
        }
        widest
    }

    fn measure(&mut self, tree: &Tree, node: NodeId) {
        let rows = tree.nodes[node].children.iter().map(|&c| self.rows[c]);
        self.rows[node] = rows.sum::<usize>().max(1);
    }

    /// Cuts off what hangs on a node and begins a piece, or is too much; what hangs on that is cut already. A board keeps its
    /// outputs, and they keep little.
    fn cut_at(&mut self, tree: &mut Tree, node: NodeId) {
        let rows = match tree.nodes[node].what {
            What::Item(_) => MOST_ROWS,
            What::Output(board, _) => {
                let outputs = tree.nodes[board.0].children.len().max(1);
                (MOST_ROWS / outputs).max(2)
            }
            What::Onward(_) | What::From(_) => return,
        };
        let children = std::mem::take(&mut tree.nodes[node].children);
        let is_board = children
            .iter()
            .any(|&c| matches!(tree.nodes[c].what, What::Output(..)));
        if is_board {
            tree.nodes[node].children = children;
            return self.measure(tree, node);
        }
        let (elsewhere, mut kept): (Vec<NodeId>, Vec<NodeId>) = children
            .into_iter()
            .partition(|child| self.begins.contains(child));
        let mut off: Vec<Vec<NodeId>> = Vec::new();
        for child in elsewhere {
            let here = tree.nodes[child].zone;
            let group = off.iter_mut().find(|g| tree.nodes[g[0]].zone == here);
            match group {
                Some(group) => group.push(child),
                None => off.push(vec![child]),
            }
        }
        let mut off: Vec<Vec<NodeId>> = off
            .into_iter()
            .flat_map(|group| self.in_sheets(group))
            .collect();
        // The largest first, until the rest fits.
        let mut total = kept.iter().map(|&c| self.rows[c]).sum::<usize>() + off.len();
        let mut by_size = kept.clone();
        by_size.retain(|&child| self.rows[child] > 1);
        by_size.sort_by_key(|&child| std::cmp::Reverse(self.rows[child]));
        let mut gone: HashSet<NodeId> = HashSet::new();
        for child in by_size {
            if total <= rows {
                break;
            }
            total -= self.rows[child] - 1;
            gone.insert(child);
            off.push(vec![child]);
        }
        kept.retain(|child| !gone.contains(child));
        // Nothing but single rows is left.
        let most = rows.saturating_sub(off.len()).max(2);
        if kept.len() > most {
            let more = (kept.len() - most).div_ceil(MOST_ROWS - 1);
            let rest = kept.split_off(most.saturating_sub(more).max(1));
            off.extend(self.in_sheets(rest));
        }
        tree.nodes[node].children = kept;
        for group in off {
            self.cut_off(tree, node, group);
        }
        self.measure(tree, node);
    }

    /// Puts what hangs on one node into groups of which each fits on a sheet.
    fn in_sheets(&self, nodes: Vec<NodeId>) -> Vec<Vec<NodeId>> {
        let mut groups: Vec<Vec<NodeId>> = Vec::new();
        let mut rows = 0;
        for node in nodes {
            let own = self.rows[node];
            rows += own;
            match groups.last_mut() {
                Some(group) if rows <= MOST_ROWS => group.push(node),
                _ => {
                    rows = own;
                    groups.push(vec![node]);
                }
            }
        }
        groups
    }

    /// Makes a piece of its own of some that hang on a node.
    fn cut_off(&mut self, tree: &mut Tree, node: NodeId, group: Vec<NodeId>) {
        let Some(&first) = group.first() else { return };
        let zone = tree.nodes[first].zone;
        let head = tree.add(What::From(node), zone);
        for child in group {
            tree.hang(child, head);
        }
        let tag = tree.add(What::Onward(self.pieces.len()), tree.nodes[node].zone);
        tree.hang(tag, node);
        self.rows.resize(tree.nodes.len(), 0);
        self.measure(tree, tag);
        self.measure(tree, head);
        self.pieces.push(Piece {
            head,
            zone,
            rows: self.rows[head],
            root: self.root,
            place: self.place.get(&first).copied().unwrap_or(0),
        });
    }
}

/// Puts pieces on sheets, in this order. The last may have a few rows more: that is better than a sheet with next to nothing on it.
pub fn sheets(pieces: &[Piece], order: &[usize]) -> Vec<Vec<usize>> {
    let mut sheets: Vec<Vec<usize>> = Vec::new();
    let mut rows = 0;
    let mut left: usize = order.iter().map(|&piece| pieces[piece].rows).sum();
    for &piece in order {
        let is_all = rows + left <= MOST_ROWS + FEW_ROWS;
        left -= pieces[piece].rows;
        rows += pieces[piece].rows;
        match sheets.last_mut() {
            Some(sheet) if rows <= MOST_ROWS || is_all => sheet.push(piece),
            _ => {
                rows = pieces[piece].rows;
                sheets.push(vec![piece]);
            }
        }
    }
    sheets
}
