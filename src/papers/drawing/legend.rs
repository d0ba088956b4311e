//! The legend: what occurs in the drawing, and what it means.

use std::collections::BTreeSet;

use super::cells;
use super::letters;
use super::picture::{Ink, Legs, Shape, Style};
use super::symbols::Symbol;
use super::words::Said;
use crate::plan::looks::{Of, rgb};
use crate::plan::{Severity, WireId};

/// What occurs.
#[derive(Clone, Debug, Default)]
pub struct Occurs {
    /// Symbols of items.
    pub symbols: BTreeSet<Symbol>,
    /// Wires of runs.
    pub wires: BTreeSet<usize>,
    /// Legs that return elsewhere.
    pub returns: bool,
    /// Links.
    pub links: bool,
    /// Resistors at the start of a run.
    pub at_start: bool,
    /// Lights that are lit.
    pub lit: bool,
    /// Grounds of zones.
    pub zones: Option<usize>,
    /// Tags.
    pub tags: bool,
    /// Lines of no wire.
    pub bare: bool,
    /// Lines that are joined.
    pub dots: bool,
    /// Signs.
    pub signs: BTreeSet<Severity>,
}

/// So wide is what stands ahead of its meaning.
const SAMPLE: f64 = 62.0;

/// So high is a line of the legend.
const HIGH: f64 = 34.0;

/// The room of the words of a legend.
const MOST: f64 = 26.0;

/// The legend, from its top left corner, in lines of at most this width. Gives its height.
pub fn legend(said: &Said, occurs: &Occurs, left: f64, width: f64) -> (Vec<Shape>, f64) {
    let entries = entries(said, occurs);
    let words = entries.iter().flat_map(|(_, words)| words);
    let widest = words.map(|w| Style::Plain.width(w)).fold(0.0, f64::max);
    let each = SAMPLE + widest + 28.0;
    let columns = ((width / each).floor() as usize).max(1);
    let rows = entries.len().div_ceil(columns);
    let mut shapes = vec![Shape::text(left, 16.0, "Legend", Style::Head)];
    for (nth, (sample, words)) in entries.into_iter().enumerate() {
        // Down the columns.
        let (column, row) = (nth / rows.max(1), nth % rows.max(1));
        let (x, y) = (left + each * column as f64, 44.0 + HIGH * row as f64);
        shapes.extend(sample.into_iter().map(|shape| shape.moved((x, y))));
        let first = y + 4.0 - 7.0 * (words.len() as f64 - 1.0);
        for (nth, line) in words.into_iter().enumerate() {
            let base = first + 14.0 * nth as f64;
            shapes.push(Shape::text(x + SAMPLE, base, line, Style::Plain));
        }
    }
    (shapes, 44.0 + HIGH * rows as f64)
}

type Entry = (Vec<Shape>, Vec<String>);

fn entries(said: &Said, occurs: &Occurs) -> Vec<Entry> {
    let mut all: Vec<Entry> = Vec::new();
    let mut add = |sample: Vec<Shape>, words: &[&str]| {
        all.push((sample, words.iter().map(|w| (*w).to_owned()).collect()));
    };
    let plain = Legs::Both(Ink::Plus, Ink::Minus);
    let line = |legs| Shape::Line(vec![(0.0, 0.0), (48.0, 0.0)], legs);
    let mut last = None;
    for &symbol in &occurs.symbols {
        let symbol = match symbol {
            Symbol::Tape(_) => Symbol::Tape(3),
            Symbol::Output => Symbol::Board,
            other => other,
        };
        if last.replace(symbol) == Some(symbol) {
            continue;
        }
        let sample = match symbol {
            Symbol::Board => vec![
                Shape::Block([8.0, -12.0, 40.0, 12.0]),
                Shape::Dot((40.0, 0.0)),
            ],
            _ => {
                let at = (24.0 - symbol.width() / 2.0, 0.0);
                vec![line(plain), Shape::Symbol(at, symbol, None)]
            }
        };
        add(sample, &[symbol.meaning()]);
    }
    for &wire in &occurs.wires {
        let (plus, minus) = cells::inks(said.plan, WireId(wire));
        let legs = Legs::Both(plus, minus);
        let words = wire_words(said, WireId(wire));
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        add(vec![line(legs)], &words);
    }
    if occurs.bare {
        add(vec![line(plain)], &["plus and minus,", "no wire stated"]);
    }
    if occurs.dots {
        let down = Shape::Line(vec![(24.0, 0.0), (24.0, 12.0)], plain);
        add(
            vec![down, line(plain), Shape::Dot((24.0, 0.0))],
            &["joined"],
        );
    }
    if occurs.returns {
        add(
            vec![line(Legs::One(Ink::Minus))],
            &["minus leg that returns", "to another point"],
        );
    }
    if occurs.links {
        let way = vec![(4.0, 10.0), (4.0, -4.0), (44.0, -4.0), (44.0, 10.0)];
        add(vec![Shape::Line(way, plain)], &["link: a second way round"]);
    }
    if occurs.at_start {
        add(
            vec![line(plain), Shape::AtStart((14.0, 0.0))],
            &["resistor of a lamp,", "at the start of its run"],
        );
    }
    if occurs.lit {
        let warm = rgb(Of::Light, "warm-white");
        let at = (9.0, 0.0);
        add(
            vec![Shape::Symbol(at, Symbol::Led, warm)],
            &["lit, in the colour of its light"],
        );
    }
    if let Some(zone) = occurs.zones {
        let corners = vec![(0.0, -12.0), (48.0, -12.0), (48.0, 12.0), (0.0, 12.0)];
        add(vec![Shape::Area(corners, zone)], &["zone"]);
    }
    if occurs.tags {
        add(
            vec![Shape::Tag([4.0, -10.0, 44.0, 10.0], true)],
            &["drawn elsewhere"],
        );
    }
    for &severity in occurs.signs.iter().rev() {
        let words = crate::checks::severity_word(severity);
        add(vec![Shape::Sign((18.0, 5.0), severity)], &[words]);
    }
    all
}

/// What a wire is.
fn wire_words(said: &Said, id: WireId) -> Vec<String> {
    let wire = &said.plan.wires[id.0];
    let mut words = vec![said.size(id)];
    words.extend(wire.insulation.filter(|i| *i != "none").map(str::to_owned));
    let colours = wire
        .colours
        .iter()
        .map(|colour| letters::shortened(&colour.0, 9.0));
    let colours: Vec<String> = colours.collect();
    let mut lines = vec![
        letters::shortened(&wire.name.0, MOST),
        letters::shortened(&words.join(", "), MOST),
    ];
    if !colours.is_empty() {
        lines.push(colours.join(" and "));
    }
    // Two lines at most fit between two entries.
    match lines.len() {
        3 => vec![format!("{}: {}", lines[0], lines[1]), lines[2].clone()],
        _ => lines,
    }
}
