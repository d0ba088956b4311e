//! One sheet as shapes: grounds of zones below, then the lines, then what stands on them.

use std::collections::{BTreeMap, HashMap};

use super::areas::Area;
use super::cells::{AT_START, Cell, LINE, RUN_INDENT, RunCell};
use super::grid::{Drawn, Grid, MARGIN};
use super::lanes::{Lane, Owner};
use super::letters;
use super::picture::{At, Bounds, Group, Ink, Legs, SIGN, Shape, Style};
use super::placing::Place;
use super::symbols::Symbol;
use super::tree::{NodeId, What};
use crate::plan::looks::Rgb;
use crate::plan::{LinkId, Severity, ZoneId};

/// So wide may the name of a zone be.
pub const ZONE_NAME: f64 = 20.0;

/// What is known of what a node stands for, beside its cell.
pub struct About<'a> {
    /// What it has to be found by, what it is called, what is to be said of it: an item's group, still empty.
    pub item: &'a dyn Fn(NodeId) -> Option<Group>,
    /// The same of a link.
    pub link: &'a dyn Fn(LinkId) -> Group,
    /// How bad the worst is that is to be said of it.
    pub link_sign: &'a dyn Fn(LinkId) -> Option<Severity>,
    /// Where a tag leads.
    pub tag: &'a dyn Fn(NodeId) -> Option<String>,
    /// The colour of its light, where it is lit.
    pub lit: &'a dyn Fn(NodeId) -> Option<Rgb>,
    /// The name of a zone.
    pub zone: &'a dyn Fn(ZoneId) -> String,
}

/// A sheet, from its top left corner.
#[derive(Debug, Default)]
pub struct Sheet {
    /// What is on it.
    pub shapes: Vec<Shape>,
    /// How wide it is.
    pub width: f64,
    /// How high it is.
    pub height: f64,
}

/// Draws a sheet.
pub fn draw(drawn: &Drawn, about: &About) -> Sheet {
    let grid = Grid::of(drawn);
    let mut pen = Pen {
        drawn,
        about,
        grid: &grid,
        below: Vec::new(),
        above: Vec::new(),
        dots: Vec::new(),
        groups: BTreeMap::new(),
        right: 0.0,
    };
    for area in drawn.areas {
        pen.area(area);
    }
    for &node in drawn.nodes {
        pen.node(node);
    }
    pen.beside();
    let height = grid.rows.last().map_or(0.0, |row| row.bottom);
    let width = pen.right + MARGIN;
    let mut shapes = pen.below;
    shapes.extend(pen.groups.into_values().map(Shape::Group));
    shapes.extend(pen.above);
    shapes.extend(pen.dots.into_iter().map(Shape::Dot));
    Sheet {
        shapes,
        width,
        height,
    }
}

struct Pen<'a> {
    drawn: &'a Drawn<'a>,
    about: &'a About<'a>,
    grid: &'a Grid,
    /// Grounds, and lines that are nobody's own.
    below: Vec<Shape>,
    /// What is on top of all but dots.
    above: Vec<Shape>,
    dots: Vec<At>,
    /// What stands for items, by their nodes.
    groups: BTreeMap<NodeId, Group>,
    /// The right end of everything.
    right: f64,
}

const PLAIN: Legs = Legs::Both(Ink::Plus, Ink::Minus);

impl Pen<'_> {
    fn reach(&mut self, x: f64) {
        self.right = self.right.max(x);
    }

    /// A node, the run that leads to it, and the line that goes on behind it.
    fn node(&mut self, node: NodeId) {
        let Some((place, cell)) = self.drawn.of(node) else {
            return;
        };
        let (column, y) = (self.grid.column(node), self.grid.line(place));
        let right = self.right_of(node, cell);
        let mut shapes = Vec::new();
        if let Some(run) = &cell.run {
            let from = self.run_begins(node, column.left);
            run_shapes(&mut shapes, run, from, column.left, y);
        }
        let what = self.drawn.tree.nodes[node].what;
        match cell.symbol {
            None => {
                let bounds = [column.left, y - 11.0, right, y + 11.0];
                let goes_on = matches!(what, What::Onward(_));
                if goes_on {
                    let from = self.run_begins(node, column.left);
                    self.below
                        .push(Shape::Line(vec![(from, y), (column.left, y)], PLAIN));
                }
                let indent = if goes_on { 7.0 } else { 11.0 };
                let words = Shape::text(column.left + indent, y + 4.0, &*cell.name, Style::Plain);
                shapes.extend([Shape::Tag(bounds, goes_on), words]);
                self.reach(right);
            }
            Some(Symbol::Board) => {
                shapes.push(Shape::Block(self.block(node, place, cell)));
                words_inside(&mut shapes, cell, column.left + 10.0, y);
                self.reach(right);
            }
            Some(Symbol::Output) => {
                words_inside(&mut shapes, cell, self.grid.left(self.drawn, node) + 8.0, y);
                self.dots.push((right, y));
                self.reach(right);
            }
            Some(symbol) => {
                let lit = (self.about.lit)(node);
                shapes.push(Shape::Symbol((column.left, y), symbol, lit));
                let half = symbol.half();
                match cell.goes_on {
                    true => words_around(&mut shapes, cell, column.left, y, half),
                    false => words_behind(&mut shapes, cell, right + cell.words_indent(), y),
                }
                self.reach(right + cell.words_behind());
            }
        }
        self.line_on(node, place, right);
        self.put(node, shapes);
    }

    /// Puts shapes into the group of what a node stands for.
    fn put(&mut self, node: NodeId, shapes: Vec<Shape>) {
        let of = &self.drawn.tree.nodes[node];
        let owner = match of.what {
            What::Output(..) => of.parent.unwrap_or(node),
            _ => node,
        };
        if !self.groups.contains_key(&owner) {
            let group = match of.what {
                What::Onward(_) | What::From(_) => (self.about.tag)(node).map(|leads_to| Group {
                    id: String::new(),
                    name: String::new(),
                    title: String::new(),
                    leads_to: Some(leads_to),
                    shapes: Vec::new(),
                }),
                _ => (self.about.item)(owner),
            };
            match group {
                Some(group) => self.groups.insert(owner, group),
                None => return self.above.extend(shapes),
            };
        }
        if let Some(group) = self.groups.get_mut(&owner) {
            group.shapes.extend(shapes);
        }
    }

    /// Where a symbol ends.
    fn right_of(&self, node: NodeId, cell: &Cell) -> f64 {
        match cell.symbol {
            Some(Symbol::Output) => self.grid.block_right(self.drawn.tree, node),
            _ => self.grid.column(node).left + cell.width(),
        }
    }

    /// Where the run to a node begins: where the line of its feeder goes down.
    fn run_begins(&self, node: NodeId, otherwise: f64) -> f64 {
        let parent = self.drawn.tree.nodes[node].parent;
        parent.map_or(otherwise, |parent| self.grid.column(parent).bus)
    }

    /// The line behind a node, down to the last that hangs on it.
    fn line_on(&mut self, node: NodeId, place: Place, right: f64) {
        let tree = self.drawn.tree;
        let children = &tree.nodes[node].children;
        let lines: Vec<f64> = children
            .iter()
            .filter(|&&child| !matches!(tree.nodes[child].what, What::Output(..)))
            .filter_map(|&child| self.drawn.places.at(child))
            .map(|place| self.grid.line(place))
            .collect();
        let Some(&last) = lines.last() else { return };
        let (x, y) = (self.grid.column(node).bus, self.grid.line(place));
        let tail = self
            .drawn
            .of(node)
            .map_or(0.0, |(_, cell)| cell.width() - cell.end());
        let mut points = vec![(right - tail, y), (x, y)];
        if last > y {
            points.push((x, last));
        }
        self.below.push(Shape::Line(points, PLAIN));
        let joined = lines.len().saturating_sub(1);
        self.dots
            .extend(lines.into_iter().take(joined).map(|line| (x, line)));
    }

    /// The block of a board, down to its last output.
    fn block(&self, node: NodeId, place: Place, cell: &Cell) -> Bounds {
        let (column, y) = (self.grid.column(node), self.grid.line(place));
        let own = y + 10.0 + LINE * cell.details.len() as f64;
        let outputs = &self.drawn.tree.nodes[node].children;
        let (mut right, mut bottom) = (column.left + cell.width(), own);
        for &output in outputs {
            if let Some((place, cell)) = self.drawn.of(output) {
                let below = self.grid.line(place) + 10.0 + LINE * cell.details.len() as f64;
                right = right.max(self.grid.block_right(self.drawn.tree, output));
                bottom = bottom.max(below);
            }
        }
        [column.left, y - 19.0, right, bottom]
    }

    /// The ground of a zone.
    fn area(&mut self, area: &Area) {
        let Some(&first) = area.members.first() else {
            return;
        };
        let Some((place, _)) = self.drawn.of(first) else {
            return;
        };
        let left = self.grid.column(first).left - 8.0;
        let name = letters::shortened(&(self.about.zone)(area.zone), ZONE_NAME);
        let of_name = left + 12.0 + Style::Zone.width(&name);
        // How far it must reach in each row; and whether anything else stands behind that.
        let mut rows: BTreeMap<usize, (f64, bool)> = BTreeMap::new();
        for &node in &area.members {
            let Some((place, cell)) = self.drawn.of(node) else {
                continue;
            };
            let end = match cell.goes_on {
                true => self.grid.column(node).right + 4.0,
                false => self.right_of(node, cell) + cell.words_behind().max(4.0) + 4.0,
            };
            let row = rows.entry(place.row).or_insert((0.0, false));
            row.0 = row.0.max(end);
            row.1 |= !cell.goes_on;
        }
        for &board in &area.boards {
            let Some((place, cell)) = self.drawn.of(board) else {
                continue;
            };
            let [_, _, right, _] = self.block(board, place, cell);
            let outputs = self.drawn.tree.nodes[board].children.iter();
            let last = outputs
                .filter_map(|&o| Some(self.drawn.places.at(o)?.row))
                .max();
            for row in place.row..=last.unwrap_or(place.row) {
                let row = rows.entry(row).or_insert((0.0, false));
                row.0 = row.0.max(right + 4.0);
            }
        }
        let first_row = place.row;
        if let Some(row) = rows.get_mut(&first_row) {
            row.0 = row.0.max(of_name);
        }
        let widest = rows.values().map(|row| row.0).fold(0.0, f64::max);
        let ends: Vec<(usize, f64)> = rows
            .iter()
            .map(|(&row, &(end, is_free))| (row, if is_free { widest } else { end }))
            .collect();
        let (Some(top), Some(last)) = (self.grid.rows.get(first_row), ends.last()) else {
            return;
        };
        let top = top.top + 3.0;
        let mut points = vec![(left, top)];
        for (nth, &(row, end)) in ends.iter().enumerate() {
            let begin = match nth.checked_sub(1).and_then(|ahead| ends.get(ahead)) {
                None => top,
                // Wider rows give way to narrower ones.
                Some(&(_, ahead)) if ahead > end => self.grid.rows[row].top - 3.0,
                Some(_) => self.grid.rows[row].top + 3.0,
            };
            if nth > 0 {
                points.push((ends[nth - 1].1, begin));
            }
            points.push((end, begin));
        }
        let bottom = self.grid.rows.get(last.0).map_or(top, |row| row.bottom) - 3.0;
        points.extend([(last.1, bottom), (left, bottom)]);
        self.reach(widest);
        self.below.push(Shape::Area(points, area.zone.0));
        self.above
            .push(Shape::text(left + 6.0, top + 13.0, name, Style::Zone));
    }

    /// The lines beside the tree.
    fn beside(&mut self) {
        let lanes = &self.drawn.lanes.lanes;
        let mut levels: HashMap<usize, (f64, usize)> = HashMap::new();
        for (nth, row) in self.grid.rows.iter().enumerate() {
            levels.extend(row.lanes.iter().map(|&(lane, y)| (lane, (y, nth))));
        }
        for &lane in self.drawn.own_lanes {
            let words = lanes[lane].words.as_deref().unwrap_or("");
            let (x, _) = self.grid.stub(self.drawn, lane);
            let extra = if lanes[lane].route.is_none() {
                30.0
            } else {
                8.0
            };
            self.reach(x + extra + SIGN + Style::Run.width(words));
        }
        // Short ways first, nearest to the rest.
        let mut ways: BTreeMap<usize, (f64, f64)> = BTreeMap::new();
        for &lane in self.drawn.own_lanes {
            if let (Some(route), Some(&(y, _))) = (lanes[lane].route, levels.get(&lane)) {
                let way = ways.entry(route).or_insert((y, y));
                *way = (way.0.min(y), way.1.max(y));
            }
        }
        let mut by_length: Vec<(usize, (f64, f64))> = ways.into_iter().collect();
        by_length.sort_by(|(a, x), (b, y)| (x.1 - x.0).total_cmp(&(y.1 - y.0)).then(a.cmp(b)));
        let mut taken: Vec<Vec<(f64, f64)>> = Vec::new();
        let begin = self.right + 14.0;
        let mut at: HashMap<usize, f64> = HashMap::new();
        for &(route, (top, bottom)) in &by_length {
            let is_free = |taken: &Vec<(f64, f64)>| {
                taken
                    .iter()
                    .all(|&(t, b)| bottom + 6.0 < t || b + 6.0 < top)
            };
            let nth = taken.iter().position(is_free).unwrap_or_else(|| {
                taken.push(Vec::new());
                taken.len() - 1
            });
            taken[nth].push((top, bottom));
            at.insert(route, begin + 11.0 * nth as f64);
        }
        for &(route, (top, bottom)) in &by_length {
            let Some(&x) = at.get(&route) else { continue };
            self.reach(x);
            let mut mine = self
                .drawn
                .own_lanes
                .iter()
                .filter(|&&l| lanes[l].route == Some(route));
            let is_link = mine
                .clone()
                .any(|&l| matches!(lanes[l].owner, Owner::Link(..)));
            let legs = self.drawn.lanes.routes[route].legs;
            if is_link {
                // One line from end to end, so that its legs turn together.
                let mut way = Vec::new();
                for (nth, &lane) in mine.by_ref().enumerate() {
                    let Some(&level) = levels.get(&lane) else {
                        continue;
                    };
                    let mut end = self.lane_points(lane, level, Some(x));
                    if nth > 0 {
                        end.reverse();
                    }
                    way.extend(end);
                }
                self.below.push(Shape::Line(way, legs));
                continue;
            }
            self.below
                .push(Shape::Line(vec![(x, top), (x, bottom)], legs));
            let levels = mine.filter_map(|lane| Some(levels.get(lane)?.0));
            let between = levels.filter(|&y| y > top && y < bottom);
            self.dots.extend(between.map(|y| (x, y)));
        }
        for &lane in self.drawn.own_lanes {
            if let Some(&level) = levels.get(&lane) {
                let end = lanes[lane].route.and_then(|route| at.get(&route)).copied();
                self.lane(lane, &lanes[lane], level, end);
            }
        }
    }

    /// The points of one of them: from its node up, and to the right. A dot where it leaves a line that goes on.
    fn lane_points(&mut self, nth: usize, (y, row): (f64, usize), end: Option<f64>) -> Vec<At> {
        let (x, from) = self.grid.stub(self.drawn, nth);
        let line = self.grid.rows[row].line;
        let of = self.drawn.of(self.drawn.lanes.lanes[nth].node);
        let is_board = of.is_some_and(|(_, cell)| cell.symbol == Some(Symbol::Board));
        let mut points = match is_board {
            true => vec![(x, line - 19.0)],
            false if from < x => vec![(from, line), (x, line)],
            false => {
                self.dots.push((x, line));
                vec![(x, line)]
            }
        };
        points.extend([(x, y), (end.unwrap_or(x + 20.0), y)]);
        points
    }

    /// One of them, with its words.
    fn lane(&mut self, nth: usize, lane: &Lane, level: (f64, usize), end: Option<f64>) {
        let is_link = matches!(lane.owner, Owner::Link(..));
        let mut shapes = Vec::new();
        // The line of a link within the sheet is drawn in one.
        if !is_link || end.is_none() {
            let points = self.lane_points(nth, level, end);
            shapes.push(Shape::Line(points, lane.legs));
        }
        let (x, _) = self.grid.stub(self.drawn, nth);
        if let Some(words) = &lane.words {
            let (left, base) = match end {
                Some(_) => (x + 8.0, level.0 - 6.0),
                None => (x + 26.0, level.0 + 4.0),
            };
            let sign = match lane.owner {
                Owner::Link(link, _) => (self.about.link_sign)(link),
                _ => None,
            };
            let indent = sign.map_or(0.0, |severity| {
                shapes.push(Shape::Sign((left, base), severity));
                SIGN + 2.0
            });
            shapes.push(Shape::text(left + indent, base, &**words, Style::Run));
        }
        match lane.owner {
            Owner::Return(_) => self.put(lane.node, shapes),
            Owner::Target => self.below.extend(shapes),
            Owner::Link(link, true) => {
                let mut group = (self.about.link)(link);
                group.shapes = shapes;
                self.above.push(Shape::Group(group));
            }
            Owner::Link(_, false) => self.above.extend(shapes),
        }
    }
}

/// A run: its line, a resistor at its start, its words.
fn run_shapes(shapes: &mut Vec<Shape>, run: &RunCell, from: f64, to: f64, y: f64) {
    shapes.push(Shape::Line(vec![(from, y), (to, y)], run.legs));
    let mut left = from + RUN_INDENT;
    if run.at_start {
        shapes.push(Shape::AtStart((from + 6.0, y)));
        left += AT_START;
    }
    if let Some(above) = &run.above {
        shapes.push(Shape::text(left, y - 6.0, &**above, Style::Run));
    }
    for (nth, words) in run.below.iter().enumerate() {
        let base = y + 14.0 + LINE * nth as f64;
        shapes.push(Shape::text(left, base, &**words, Style::Run));
    }
}

/// A name with its sign.
fn name(shapes: &mut Vec<Shape>, cell: &Cell, x: f64, base: f64) {
    let mut left = x;
    if let Some(severity) = cell.sign {
        shapes.push(Shape::Sign((x, base), severity));
        left += SIGN + 2.0;
    }
    if !cell.name.is_empty() {
        shapes.push(Shape::text(left, base, &*cell.name, Style::Name));
    }
}

/// Words above and below a symbol that the line goes on behind.
fn words_around(shapes: &mut Vec<Shape>, cell: &Cell, x: f64, y: f64, half: f64) {
    name(shapes, cell, x, y - half - 5.0);
    for (nth, words) in cell.details.iter().enumerate() {
        let base = y + half + 10.0 + LINE * nth as f64;
        shapes.push(Shape::text(x, base, &**words, Style::Detail));
    }
}

/// Words behind the last symbol of a row.
fn words_behind(shapes: &mut Vec<Shape>, cell: &Cell, x: f64, y: f64) {
    let lines = cell.details.len() as f64;
    let base = y + 4.5 - LINE * lines / 2.0;
    name(shapes, cell, x, base);
    for (nth, words) in cell.details.iter().enumerate() {
        let base = base + LINE * (nth + 1) as f64;
        shapes.push(Shape::text(x, base, &**words, Style::Detail));
    }
}

/// Words in a block.
fn words_inside(shapes: &mut Vec<Shape>, cell: &Cell, x: f64, y: f64) {
    name(shapes, cell, x, y - 5.0);
    for (nth, words) in cell.details.iter().enumerate() {
        let base = y + 7.0 + LINE * nth as f64;
        shapes.push(Shape::text(x, base, &**words, Style::Detail));
    }
}
