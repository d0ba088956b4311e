//! What is drawn of each node: its symbol, its words, the words at the run that leads to it; and how much room they take.

use super::letters;
use super::picture::{Ink, Legs, SIGN, Style};
use super::symbols::Symbol;
use super::tree::{NodeId, Tree, What};
use super::words::Said;
use crate::plan::looks::{Of, rgb};
use crate::plan::{ItemId, Part, Plan, Run, Severity, WireId};

/// So wide may a name be, or what stands at it, in widths of a large letter.
const MOST: f64 = 18.0;

/// How far base lines of small words are apart.
pub const LINE: f64 = 12.5;

/// What stands on and under the line that leads to an item.
#[derive(Clone, Debug, PartialEq)]
pub struct RunCell {
    /// The legs.
    pub legs: Legs,
    /// Above the line.
    pub above: Option<String>,
    /// Below it.
    pub below: Vec<String>,
    /// A resistor sits at its start.
    pub at_start: bool,
}

/// A node as it is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// Its symbol; a tag has none.
    pub symbol: Option<Symbol>,
    /// Its name, shortened; the words of a tag.
    pub name: String,
    /// What stands at it.
    pub details: Vec<String>,
    /// How bad the worst is that is to be said of it.
    pub sign: Option<Severity>,
    /// The run that leads to it.
    pub run: Option<RunCell>,
    /// The line goes on behind it.
    pub goes_on: bool,
    /// Lines beside the tree that end at it.
    pub stubs: usize,
    /// The room that its column must have for more than itself: the name of the zone that begins there.
    pub at_least: f64,
}

/// The room beside a resistor at the start of a run.
pub const AT_START: f64 = 26.0;

/// Between the place where a run begins and its words.
pub const RUN_INDENT: f64 = 8.0;

impl RunCell {
    /// How wide it is.
    pub fn width(&self) -> f64 {
        let words = self.above.iter().chain(&self.below);
        let widest = words.map(|w| Style::Run.width(w)).fold(0.0, f64::max);
        let resistor = if self.at_start { AT_START } else { 0.0 };
        (resistor + RUN_INDENT + widest + 8.0).max(24.0)
    }

    /// What it takes above the line, and below.
    pub fn heights(&self) -> (f64, f64) {
        let above = if self.above.is_some() { 17.0 } else { 4.0 };
        (above, 6.0 + LINE * self.below.len() as f64)
    }
}

impl Cell {
    /// Whether its words stand inside it.
    pub fn is_block(&self) -> bool {
        matches!(self.symbol, Some(Symbol::Board | Symbol::Output))
    }

    /// How wide its name is, with its sign.
    pub fn name_width(&self) -> f64 {
        let sign = if self.sign.is_some() { SIGN + 2.0 } else { 0.0 };
        sign + Style::Name.width(&self.name)
    }

    /// How wide its words are.
    pub fn words_width(&self) -> f64 {
        let details = self.details.iter().map(|words| Style::Detail.width(words));
        details.fold(self.name_width(), f64::max)
    }

    /// How wide it is itself.
    pub fn width(&self) -> f64 {
        match self.symbol {
            None => Style::Plain.width(&self.name) + 22.0,
            Some(_) if self.is_block() => self.words_width() + 20.0,
            Some(symbol) => symbol.width(),
        }
    }

    /// Where the line leaves it.
    pub fn end(&self) -> f64 {
        match self.symbol {
            Some(symbol) if !self.is_block() => symbol.end(),
            _ => self.width(),
        }
    }

    /// How wide its column must be for it, where the line goes on behind it.
    pub fn column_width(&self) -> f64 {
        let own = match self.is_block() || self.symbol.is_none() {
            true => self.width(),
            false => self.width().max(self.words_width()),
        };
        own.max(self.at_least)
    }

    /// How far the words reach that stand behind it, from its right end.
    pub fn words_behind(&self) -> f64 {
        let stands_alone = !self.goes_on && !self.is_block() && self.symbol.is_some();
        match stands_alone {
            true => self.words_indent() + self.words_width(),
            false => 0.0,
        }
    }

    /// From its right end to words behind it.
    pub fn words_indent(&self) -> f64 {
        8.0 + STUB * self.stubs as f64
    }

    /// What it takes above its line, and below.
    pub fn heights(&self) -> (f64, f64) {
        let lines = self.details.len() as f64;
        let half = self.symbol.map_or(11.0, Symbol::half);
        let (above, below) = match self.symbol {
            None => (11.0, 11.0),
            Some(_) if self.is_block() => (20.0, 8.0 + LINE * lines),
            Some(_) if self.goes_on => (half + 18.0, half + LINE * lines + 2.0),
            Some(_) => {
                let words = 8.0 + LINE * lines / 2.0;
                (half.max(words), half.max(words))
            }
        };
        let (run_above, run_below) = self.run.as_ref().map_or((0.0, 0.0), RunCell::heights);
        (above.max(run_above), below.max(run_below))
    }
}

/// About how far a row reaches for each node of a tree, from where the line comes to where it goes on.
pub fn widths(said: &Said, tree: &Tree) -> Vec<f64> {
    let of = |node| {
        let cell = cell(said, tree, node, &|_| String::new());
        let run = cell.run.as_ref().map_or(0.0, RunCell::width);
        run + cell.width().max(cell.words_width()) + 10.0
    };
    (0..tree.nodes.len()).map(of).collect()
}

/// How far lines beside the tree stand apart where they end at a node.
pub const STUB: f64 = 7.0;

/// What is drawn of an item or an output; tags have their words from elsewhere.
pub fn cell(said: &Said, tree: &Tree, node: NodeId, tag: &dyn Fn(NodeId) -> String) -> Cell {
    let of = &tree.nodes[node];
    let plain = Cell {
        symbol: None,
        name: String::new(),
        details: Vec::new(),
        sign: None,
        run: None,
        goes_on: !of.children.is_empty(),
        stubs: 0,
        at_least: 0.0,
    };
    let short = |lines: Vec<String>| {
        let lines = lines.into_iter().map(|line| letters::cut(line, MOST));
        lines.collect::<Vec<_>>()
    };
    match of.what {
        What::Item(id) => {
            let item = &said.plan.items[id.0];
            Cell {
                symbol: Some(Symbol::of(item)),
                name: letters::shortened(&item.name.0, MOST),
                details: short(said.item(id)),
                run: run(said, id),
                ..plain
            }
        }
        What::Output(board, nth) => {
            let name = said.plan.output(crate::plan::Point {
                item: board,
                output: Some(nth),
            });
            Cell {
                symbol: Some(Symbol::Output),
                name: name.map_or_else(String::new, |o| letters::shortened(&o.name.0, MOST)),
                details: short(said.output(board, nth)),
                ..plain
            }
        }
        What::Onward(_) | What::From(_) => Cell {
            name: tag(node),
            ..plain
        },
    }
}

/// The run of an item's feed.
fn run(said: &Said, id: ItemId) -> Option<RunCell> {
    let item = &said.plan.items[id.0];
    let feed = item.feed.as_ref()?;
    let has_return = feed.back.is_some();
    let legs = legs(said.plan, feed.run.as_ref());
    let at_start = match item.part {
        Part::Lamps {
            resistor: Some(ballast),
            ..
        } => !ballast.at_lamp,
        _ => false,
    };
    Some(RunCell {
        legs: match (has_return, legs) {
            (true, Legs::Both(plus, _)) => Legs::One(plus),
            (_, legs) => legs,
        },
        at_start: at_start && feed.run.is_some(),
        ..run_words(said, feed.run.as_ref(), said.passes(id))
    })
}

/// The words of a run, with its current.
pub fn run_words(said: &Said, run: Option<&Run>, current: Option<String>) -> RunCell {
    let mut below = Vec::new();
    let size = run.map(|run| said.size(run.wire));
    let facts: Vec<String> = size.into_iter().chain(current).collect();
    if !facts.is_empty() {
        below.push(facts.join(", "));
    }
    below.extend(run.and_then(|run| said.via(run)));
    let short = |line: String| letters::cut(line, MOST);
    RunCell {
        legs: legs(said.plan, run),
        above: run.map(|run| short(said.run(run))),
        below: below.into_iter().map(short).collect(),
        at_start: false,
    }
}

/// The colours of a run.
pub fn legs(plan: &Plan, run: Option<&Run>) -> Legs {
    let Some(run) = run else {
        return Legs::Both(Ink::Plus, Ink::Minus);
    };
    let (plus, minus) = inks(plan, run.wire);
    Legs::Both(plus, minus)
}

/// The colours of the legs of a wire.
pub fn inks(plan: &Plan, wire: WireId) -> (Ink, Ink) {
    let colours = &plan.wires[wire.0].colours;
    let ink = |nth: usize, unknown: Ink| {
        let word = colours.get(nth).or_else(|| colours.first());
        let known = word.and_then(|word| rgb(Of::Wire, &word.0));
        known.map_or(unknown, Ink::Colour)
    };
    (ink(0, Ink::Plus), ink(1, Ink::Minus))
}
