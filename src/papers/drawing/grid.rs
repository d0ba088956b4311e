//! Where the rows and columns of a sheet are.

use std::collections::{BTreeMap, HashMap};

use super::areas::Area;
use super::cells::{Cell, STUB};
use super::lanes::Lanes;
use super::picture::Style;
use super::placing::{Place, Places};
use super::tree::{NodeId, Tree, What};

/// The margin of a drawing.
pub const MARGIN: f64 = 24.0;

/// The line to a tag, at least.
const TAG_LINE: f64 = 24.0;

/// Between rows.
const GAP: f64 = 12.0;

/// More between pieces.
const PIECES: f64 = 8.0;

/// What the name of a zone takes.
const ZONE_LINE: f64 = 16.0;

/// A column of a piece.
#[derive(Clone, Copy, Debug, Default)]
pub struct Column {
    /// Where its symbols begin.
    pub left: f64,
    /// Where what stands in it ends.
    pub right: f64,
    /// Where the line goes down from it, and runs begin.
    pub bus: f64,
}

/// A row of a sheet.
#[derive(Clone, Debug, Default)]
pub struct Row {
    /// Its upper end.
    pub top: f64,
    /// Its lower end.
    pub bottom: f64,
    /// Its line.
    pub line: f64,
    /// The lines along its top: which, and where.
    pub lanes: Vec<(usize, f64)>,
}

/// The rows and columns of a sheet.
#[derive(Debug, Default)]
pub struct Grid {
    /// The columns, by their first nodes: what hangs on one node stands in one column.
    columns: HashMap<NodeId, Column>,
    /// The first node of the column of each.
    first: HashMap<NodeId, NodeId>,
    /// Where what hangs right on a node ends: of a board with outputs, where its block does.
    blocks: HashMap<NodeId, f64>,
    /// The rows.
    pub rows: Vec<Row>,
}

/// What there is to draw of a sheet.
pub struct Drawn<'a> {
    /// The trees.
    pub tree: &'a Tree,
    /// Where their nodes stand.
    pub places: &'a Places,
    /// The nodes of this sheet.
    pub nodes: &'a [NodeId],
    /// What is drawn of each.
    pub cells: &'a BTreeMap<NodeId, Cell>,
    /// The lines beside them, of all sheets.
    pub lanes: &'a Lanes,
    /// Which of them are of this one.
    pub own_lanes: &'a [usize],
    /// Grounds of zones.
    pub areas: &'a [Area],
}

impl Drawn<'_> {
    /// The place and the cell of a node.
    pub fn of(&self, node: NodeId) -> Option<(Place, &Cell)> {
        Some((self.places.at(node)?, self.cells.get(&node)?))
    }
}

impl Grid {
    /// The grid of a sheet.
    pub fn of(drawn: &Drawn) -> Grid {
        let mut grid = Grid::default();
        grid.lay_columns(drawn);
        grid.lay_blocks(drawn);
        grid.rows = rows(drawn, &grid);
        grid
    }

    /// The column that a node stands in.
    pub fn column(&self, node: NodeId) -> Column {
        let column = self
            .first
            .get(&node)
            .and_then(|first| self.columns.get(first));
        column.copied().unwrap_or_default()
    }

    /// Places all columns, each behind what it hangs on.
    fn lay_columns(&mut self, drawn: &Drawn) {
        for &node in drawn.nodes {
            let Some((place, _)) = drawn.of(node) else {
                continue;
            };
            let parent = drawn.tree.nodes[node].parent.filter(|_| place.column > 0);
            let siblings = match parent {
                Some(parent) => &drawn.tree.nodes[parent].children[..],
                None => &[node],
            };
            let first = siblings.first().copied().unwrap_or(node);
            self.first.insert(node, first);
            if self.columns.contains_key(&first) {
                continue;
            }
            let (mut run, mut own, mut stubs) = (0.0_f64, 0.0_f64, 0);
            for (_, cell) in siblings.iter().filter_map(|&node| drawn.of(node)) {
                run = run.max(cell.run.as_ref().map_or(0.0, |run| run.width()));
                if cell.goes_on {
                    own = own.max(cell.column_width());
                }
                if cell.goes_on || cell.is_block() {
                    stubs = stubs.max(cell.stubs);
                }
            }
            // A tag stands where the line to it ends.
            let is_tag = |&node: &NodeId| matches!(drawn.tree.nodes[node].what, What::Onward(_));
            if siblings.iter().any(is_tag) {
                run = run.max(TAG_LINE);
            }
            let begin = match parent {
                Some(parent) => self.column(parent).bus,
                None => MARGIN + 8.0,
            };
            let left = begin + run;
            let right = left + own;
            let bus = right + 10.0 + STUB * stubs as f64;
            self.columns.insert(first, Column { left, right, bus });
        }
    }

    /// Finds where all blocks end.
    fn lay_blocks(&mut self, drawn: &Drawn) {
        for &node in drawn.nodes {
            let Some(board) = drawn.tree.nodes[node].parent else {
                continue;
            };
            if let Some((_, cell)) = drawn.of(node) {
                let end = self.left(drawn, node) + cell.width();
                let block = self.blocks.entry(board).or_default();
                *block = block.max(end);
            }
        }
    }

    /// The right end of the block that an output is a part of.
    pub fn block_right(&self, tree: &Tree, output: NodeId) -> f64 {
        let board = tree.nodes[output].parent.unwrap_or(output);
        self.blocks.get(&board).copied().unwrap_or_default()
    }

    /// Where a node begins: an output right behind its board, all else where its column does.
    pub fn left(&self, drawn: &Drawn, node: NodeId) -> f64 {
        let of = &drawn.tree.nodes[node];
        let (what, parent) = (of.what, of.parent);
        let board = parent.filter(|_| matches!(what, What::Output(..)));
        match board.and_then(|board| drawn.of(board)) {
            Some((_, cell)) => board.map_or(0.0, |b| self.column(b).left) + cell.width(),
            None => self.column(node).left,
        }
    }

    /// The line of the row that a node stands in.
    pub fn line(&self, place: Place) -> f64 {
        self.rows.get(place.row).map_or(0.0, |row| row.line)
    }

    /// Where a line beside the tree leaves a node, and where it leaves the node's own line.
    pub fn stub(&self, drawn: &Drawn, lane: usize) -> (f64, f64) {
        let lane = &drawn.lanes.lanes[lane];
        let Some((_, cell)) = drawn.of(lane.node) else {
            return (0.0, 0.0);
        };
        let column = self.column(lane.node);
        let by = STUB * lane.stub as f64;
        let is_board = matches!(drawn.tree.nodes[lane.node].what, What::Item(_)) && cell.is_block();
        if is_board {
            let x = column.left + 10.0 + by;
            return (x, x);
        }
        match (cell.goes_on, cell.is_block()) {
            (true, is_output) => {
                // The block of a board is as wide as the widest of its outputs.
                let right = match is_output {
                    true => column.right.max(self.block_right(drawn.tree, lane.node)),
                    false => column.right,
                };
                (right + 6.0 + by, right + 6.0 + by)
            }
            (false, true) => {
                let right = self.block_right(drawn.tree, lane.node);
                (right + 6.0 + by, right)
            }
            (false, false) => {
                let right = column.left + cell.end();
                (right + 6.0 + by, right)
            }
        }
    }
}

fn rows(drawn: &Drawn, grid: &Grid) -> Vec<Row> {
    let mut room: Vec<(f64, f64)> = Vec::new();
    for &node in drawn.nodes {
        let Some((place, cell)) = drawn.of(node) else {
            continue;
        };
        if room.len() <= place.row {
            room.resize(place.row + 1, (0.0, 0.0));
        }
        let (above, below) = cell.heights();
        let room = &mut room[place.row];
        *room = (room.0.max(above), room.1.max(below));
    }
    let mut heads = vec![false; room.len()];
    for place in drawn.nodes.iter().filter_map(|&node| drawn.places.at(node)) {
        if place.column == 0
            && let Some(head) = heads.get_mut(place.row)
        {
            *head = true;
        }
    }
    let row_of = |node: NodeId| drawn.places.at(node).map(|place| place.row);
    let mut begins = vec![false; room.len()];
    for area in drawn.areas {
        let first = area.members.first().and_then(|&node| row_of(node));
        if let Some(begins) = first.and_then(|row| begins.get_mut(row)) {
            *begins = true;
        }
    }
    // The leftmost on top, so that none crosses another on its way up.
    let mut lanes: Vec<Vec<usize>> = vec![Vec::new(); room.len()];
    for &lane in drawn.own_lanes {
        let row = row_of(drawn.lanes.lanes[lane].node);
        if let Some(lanes) = row.and_then(|row| lanes.get_mut(row)) {
            lanes.push(lane);
        }
    }
    let mut end = 0.0;
    let mut rows = Vec::new();
    for (nth, (above, below)) in room.into_iter().enumerate() {
        let apart = if nth > 0 && heads[nth] { PIECES } else { 0.0 };
        let top = end + apart;
        let mut y = top + GAP / 2.0 + if begins[nth] { ZONE_LINE } else { 0.0 };
        let mut own: Vec<(f64, usize)> = lanes[nth]
            .iter()
            .map(|&lane| (grid.stub(drawn, lane).0, lane))
            .collect();
        own.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let placed = own.into_iter().map(|(_, nth)| {
            let lane = &drawn.lanes.lanes[nth];
            // Words stand above the line, or behind its end.
            let (above, below) = match (&lane.words, lane.route) {
                (None, _) => (10.0, 0.0),
                (Some(_), Some(_)) => (Style::Run.size() + 8.0, 0.0),
                (Some(_), None) => (Style::Run.size() + 1.0, 8.0),
            };
            let line = y + above;
            y = line + below;
            (nth, line)
        });
        let placed: Vec<(usize, f64)> = placed.collect();
        if !placed.is_empty() {
            y += 6.0;
        }
        let line = y + above;
        let bottom = line + below + GAP / 2.0;
        rows.push(Row {
            top,
            bottom,
            line,
            lanes: placed,
        });
        end = bottom;
    }
    rows
}
