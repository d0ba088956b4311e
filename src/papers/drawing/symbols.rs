//! The symbols, drawn by us after IEC 60617 (graphical symbols for diagrams), from memory. What that standard has no symbol
//! for, a cut of tape and a board with outputs, is a block of our own; the legend says what each is.
//!
//! Each is drawn around its left end: the line comes in at (0, 0) and leaves at (width, 0).

use crate::plan::{Item, Part};
use crate::syntax::vocabulary::StanzaWord;

/// What an item looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Symbol {
    /// A battery.
    Battery,
    /// Another source of direct current.
    Source,
    /// A fuse.
    Fuse,
    /// A switch: a make contact.
    Switch,
    /// A plug and a socket.
    Connector,
    /// A soldered joint.
    Joint,
    /// A resistor.
    Resistor,
    /// A diode.
    Diode,
    /// A bridge rectifier.
    Rectifier,
    /// A regulator: direct current in, direct current out.
    Regulator,
    /// A cut of tape with so many groups.
    Tape(u32),
    /// A lamp: a diode that gives light.
    Led,
    /// Several of them in series.
    LedString,
    /// An effects board.
    Board,
    /// An output of it.
    Output,
    /// Anything else that takes power.
    Load,
}

/// A stroke of a symbol.
#[derive(Clone, Debug, PartialEq)]
pub enum Stroke {
    /// A line through points.
    Line(Vec<(f64, f64)>),
    /// A closed shape, empty inside.
    Closed(Vec<(f64, f64)>),
    /// A closed shape that shows whether it is lit.
    Glowing(Vec<(f64, f64)>),
    /// A closed shape without an edge: it hides the line below it.
    Cover(Vec<(f64, f64)>),
    /// A closed shape, full.
    Full(Vec<(f64, f64)>),
    /// A circle: its centre and its radius.
    Circle(f64, f64, f64),
    /// A full circle.
    Disc(f64, f64, f64),
    /// Half a circle that is open to the right: its centre and its radius.
    Cup(f64, f64, f64),
}

use Stroke::*;

/// So many groups of a tape are drawn apart.
const MOST_GROUPS: u32 = 8;

impl Symbol {
    /// That of an item.
    pub fn of(item: &Item) -> Symbol {
        match &item.part {
            Part::Supply(supply) if supply.capacity.is_some() => Symbol::Battery,
            Part::Supply(_) => Symbol::Source,
            Part::Fuse { .. } => Symbol::Fuse,
            Part::Switch { .. } => Symbol::Switch,
            Part::Connector { .. } => Symbol::Connector,
            Part::Joint => Symbol::Joint,
            Part::Resistor { .. } => Symbol::Resistor,
            Part::Diode { .. } => Symbol::Diode,
            Part::Rectifier { .. } => Symbol::Rectifier,
            Part::Regulator { .. } => Symbol::Regulator,
            Part::Strip { groups, .. } => Symbol::Tape((*groups).clamp(1, MOST_GROUPS)),
            Part::Lamps { .. } if item.word == StanzaWord::Lamp => Symbol::Led,
            Part::Lamps { .. } => Symbol::LedString,
            Part::Board { .. } => Symbol::Board,
            Part::Load(_) => Symbol::Load,
        }
    }

    /// How wide it is. A board is as wide as its words.
    pub fn width(self) -> f64 {
        match self {
            Symbol::Joint => 8.0,
            Symbol::Battery | Symbol::Source | Symbol::Rectifier | Symbol::Regulator => 28.0,
            Symbol::Fuse | Symbol::Resistor | Symbol::Switch => 34.0,
            Symbol::Connector => 22.0,
            Symbol::Diode => 30.0,
            Symbol::Led => 28.0,
            Symbol::LedString => 48.0,
            Symbol::Tape(groups) => 10.0 + 8.0 * f64::from(groups.max(2)),
            Symbol::Load => 28.0,
            Symbol::Board | Symbol::Output => 0.0,
        }
    }

    /// Where the line leaves it: the arrows of a lamp reach further.
    pub fn end(self) -> f64 {
        match self {
            Symbol::Led | Symbol::LedString => self.width() - 8.0,
            _ => self.width(),
        }
    }

    /// What it takes above its line, and below.
    pub fn half(self) -> f64 {
        match self {
            Symbol::Joint => 5.0,
            Symbol::Led | Symbol::LedString => 15.0,
            Symbol::Fuse | Symbol::Resistor | Symbol::Connector => 8.0,
            Symbol::Diode | Symbol::Tape(_) | Symbol::Switch => 10.0,
            _ => 13.0,
        }
    }

    /// What the legend calls it.
    pub fn meaning(self) -> &'static str {
        match self {
            Symbol::Battery => "battery",
            Symbol::Source => "supply, direct current",
            Symbol::Fuse => "fuse",
            Symbol::Switch => "switch",
            Symbol::Connector => "connector: plug and socket",
            Symbol::Joint => "joint",
            Symbol::Resistor => "resistor",
            Symbol::Diode => "diode",
            Symbol::Rectifier => "rectifier",
            Symbol::Regulator => "regulator",
            Symbol::Tape(_) => "strip of tape, its groups",
            Symbol::Led => "lamp",
            Symbol::LedString => "string: lamps in series",
            Symbol::Board | Symbol::Output => "board, with its outputs",
            Symbol::Load => "load",
        }
    }

    /// Its strokes.
    pub fn strokes(self) -> Vec<Stroke> {
        let box_of = |x: f64, w: f64, h: f64| vec![(x, -h), (x + w, -h), (x + w, h), (x, h)];
        let triangle = |x: f64| vec![(x, -8.0), (x + 14.0, 0.0), (x, 8.0)];
        let bar = |x: f64| Line(vec![(x, -8.0), (x, 8.0)]);
        let line = |x: f64, to: f64| Line(vec![(x, 0.0), (to, 0.0)]);
        let width = self.width();
        match self {
            Symbol::Joint => vec![Disc(4.0, 0.0, 4.5)],
            Symbol::Battery => vec![
                Closed(box_of(0.0, 28.0, 12.0)),
                Line(vec![(11.0, -8.0), (11.0, 8.0)]),
                Full(vec![(15.0, -4.0), (18.0, -4.0), (18.0, 4.0), (15.0, 4.0)]),
                Line(vec![(4.0, 0.0), (11.0, 0.0)]),
                Line(vec![(18.0, 0.0), (24.0, 0.0)]),
            ],
            Symbol::Source => vec![
                Circle(14.0, 0.0, 12.5),
                Line(vec![(7.0, -2.5), (21.0, -2.5)]),
                Line(vec![(7.0, 2.5), (10.5, 2.5)]),
                Line(vec![(12.3, 2.5), (15.7, 2.5)]),
                Line(vec![(17.5, 2.5), (21.0, 2.5)]),
            ],
            Symbol::Fuse => vec![Closed(box_of(3.0, 28.0, 6.0)), line(0.0, width)],
            Symbol::Resistor => vec![
                Closed(box_of(3.0, 28.0, 6.0)),
                line(0.0, 3.0),
                line(31.0, width),
            ],
            Symbol::Switch => vec![
                Cover(vec![(6.0, -9.5), (28.0, -9.5), (28.0, 3.5), (6.0, 3.5)]),
                line(0.0, 7.0),
                Line(vec![(7.0, 0.0), (27.0, -9.0)]),
                line(27.0, width),
            ],
            Symbol::Connector => vec![
                Cover(box_of(3.0, 16.0, 7.0)),
                Cup(12.0, 0.0, 7.0),
                Full(vec![(7.0, -2.5), (15.0, -2.5), (15.0, 2.5), (7.0, 2.5)]),
                line(0.0, 7.0),
                line(19.0, width),
            ],
            Symbol::Diode => vec![Closed(triangle(8.0)), bar(22.0), line(0.0, width)],
            Symbol::Rectifier => vec![
                Closed(vec![(0.0, 0.0), (14.0, -12.5), (28.0, 0.0), (14.0, 12.5)]),
                Full(vec![(9.5, -4.5), (17.0, 0.0), (9.5, 4.5)]),
                Line(vec![(18.0, -4.5), (18.0, 4.5)]),
                Line(vec![(5.0, 0.0), (23.0, 0.0)]),
            ],
            Symbol::Regulator => vec![
                Closed(box_of(0.0, 28.0, 12.0)),
                Line(vec![(0.0, 12.0), (28.0, -12.0)]),
                Line(vec![(3.5, -7.0), (11.5, -7.0)]),
                Line(vec![(3.5, -3.5), (6.5, -3.5)]),
                Line(vec![(8.5, -3.5), (11.5, -3.5)]),
                Line(vec![(16.5, 4.5), (24.5, 4.5)]),
                Line(vec![(16.5, 8.0), (19.5, 8.0)]),
                Line(vec![(21.5, 8.0), (24.5, 8.0)]),
            ],
            Symbol::Tape(groups) => {
                let groups = f64::from(groups.max(1));
                let each = (width - 4.0) / groups;
                let mut strokes = vec![Glowing(box_of(2.0, width - 4.0, 9.0)), line(0.0, 2.0)];
                let mut at = 1.0;
                while at < groups {
                    let x = 2.0 + each * at;
                    strokes.push(Line(vec![(x, -9.0), (x, 9.0)]));
                    at += 1.0;
                }
                strokes.push(line(width - 2.0, width));
                strokes
            }
            Symbol::Led => {
                let mut strokes = vec![Glowing(triangle(6.0)), bar(20.0), line(0.0, self.end())];
                strokes.extend(arrows(12.0));
                strokes
            }
            Symbol::LedString => {
                let mut strokes = vec![
                    Glowing(triangle(5.0)),
                    bar(19.0),
                    Glowing(triangle(26.0)),
                    bar(40.0),
                    line(0.0, self.end()),
                ];
                strokes.extend(arrows(11.0));
                strokes.extend(arrows(32.0));
                strokes
            }
            Symbol::Load => vec![
                Closed(box_of(0.0, 28.0, 12.0)),
                Line(vec![(8.0, 7.0), (8.0, -7.0)]),
                Line(vec![(8.0, 7.0), (20.0, 7.0)]),
            ],
            Symbol::Board | Symbol::Output => Vec::new(),
        }
    }
}

/// Two arrows: it gives light.
fn arrows(x: f64) -> Vec<Stroke> {
    let arrow = |x: f64, y: f64| {
        let (tip_x, tip_y) = (x + 7.0, y - 6.0);
        vec![
            Line(vec![(x, y), (tip_x, tip_y)]),
            Full(vec![
                (tip_x + 1.0, tip_y - 1.0),
                (tip_x - 3.6, tip_y - 0.2),
                (tip_x - 0.4, tip_y + 3.3),
            ]),
        ]
    };
    let mut strokes = arrow(x, -7.0);
    strokes.extend(arrow(x + 5.0, -4.5));
    strokes
}
