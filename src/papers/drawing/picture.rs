//! A picture: shapes at their places, from the top left corner, in units of about a third of a millimetre on paper. What writes
//! it need not know what a plan is.

use super::letters;
use super::symbols::{Stroke, Symbol};
use crate::plan::Severity;
use crate::plan::looks::Rgb;

/// A place.
pub type At = (f64, f64);

/// The colour of a leg.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ink {
    /// Of its insulation.
    Colour(Rgb),
    /// Of a plus leg of which nothing is said.
    Plus,
    /// Of such a minus leg.
    Minus,
}

/// The legs of a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Legs {
    /// Plus and minus.
    Both(Ink, Ink),
    /// One alone.
    One(Ink),
}

/// How letters look.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Style {
    /// The title of the drawing.
    Title,
    /// The head of a sheet, or of the legend.
    Head,
    /// The name of an item.
    Name,
    /// What stands at it.
    Detail,
    /// What stands at a run.
    Run,
    /// The name of a zone.
    Zone,
    /// Words of a tag, of the legend, of a finding.
    Plain,
}

impl Style {
    /// All, with the words that stand for them in the drawing.
    pub const ALL: [(Style, &'static str); 7] = [
        (Style::Title, "title"),
        (Style::Head, "head"),
        (Style::Name, "name"),
        (Style::Detail, "detail"),
        (Style::Run, "run"),
        (Style::Zone, "zone"),
        (Style::Plain, "plain"),
    ];

    /// How large its letters are.
    pub fn size(self) -> f64 {
        match self {
            Style::Title => 20.0,
            Style::Head => 14.0,
            Style::Name => 13.0,
            Style::Zone | Style::Plain => 12.0,
            Style::Detail | Style::Run => 11.0,
        }
    }

    /// Whether they are bold.
    pub fn is_bold(self) -> bool {
        matches!(self, Style::Title | Style::Head | Style::Name)
    }

    /// How wide words are in it.
    pub fn width(self, words: &str) -> f64 {
        letters::width(words, self.size(), self.is_bold())
    }
}

/// Words at a place: the left end of their base line.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Where.
    pub at: At,
    /// The words.
    pub words: String,
    /// How they look.
    pub style: Style,
}

/// A rectangle: left, top, right, bottom.
pub type Bounds = [f64; 4];

impl Text {
    /// The room that it takes.
    #[cfg(test)]
    pub fn bounds(&self) -> Bounds {
        let ((x, y), size) = (self.at, self.style.size());
        let right = x + self.style.width(&self.words);
        [x, y - size * 0.8, right, y + size * 0.25]
    }
}

/// Something of a picture.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// The ground of a zone: its corners, and a number by which neighbours are told apart.
    Area(Vec<At>, usize),
    /// A line of the wiring through points, at right angles.
    Line(Vec<At>, Legs),
    /// A thin line across: its left end, its height, its right end.
    Rule([f64; 3]),
    /// Where lines are joined.
    Dot(At),
    /// A symbol; the colour of its light, where it is lit.
    Symbol(At, Symbol, Option<Rgb>),
    /// The resistor of a lamp that sits at the start of its run.
    AtStart(At),
    /// The block of a board.
    Block(Bounds),
    /// A tag: what is drawn elsewhere; `true` where the way goes on there.
    Tag(Bounds, bool),
    /// A sign that something is to be said of it.
    Sign(At, Severity),
    /// Words.
    Text(Text),
    /// What stands for something that has a name.
    Group(Group),
}

/// What stands for an item or a link.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// By which it is found in the drawing.
    pub id: String,
    /// Its name.
    pub name: String,
    /// What there is to say of it, to be shown when it is pointed at.
    pub title: String,
    /// Whether it leads somewhere else: to the group of this id.
    pub leads_to: Option<String>,
    /// Its shapes.
    pub shapes: Vec<Shape>,
}

/// So wide is a sign.
pub const SIGN: f64 = 13.0;

impl Shape {
    /// Words at a place.
    pub fn text(x: f64, y: f64, words: impl Into<String>, style: Style) -> Shape {
        Shape::Text(Text {
            at: (x, y),
            words: words.into(),
            style,
        })
    }

    /// The room that words, symbols, signs, blocks and tags take: nothing else may stand there.
    #[cfg(test)]
    pub fn bounds(&self) -> Option<Bounds> {
        match self {
            Shape::Text(text) => Some(text.bounds()),
            Shape::Sign((x, y), _) => Some([*x, y - 11.0, x + SIGN, y + 2.0]),
            Shape::Tag(bounds, _) | Shape::Block(bounds) => Some(*bounds),
            Shape::AtStart((x, y)) => Some([*x, y - 7.0, x + 20.0, y + 1.0]),
            Shape::Symbol((x, y), symbol, _) => {
                let half = symbol.half();
                Some([*x, y - half, x + symbol.width(), y + half])
            }
            _ => None,
        }
    }

    /// The same, moved to the right and down.
    pub fn moved(self, by: At) -> Shape {
        let down = |(x, y): At| (x + by.0, y + by.1);
        let all = |points: Vec<At>| points.into_iter().map(down).collect();
        let bounds = |[l, t, r, b]: Bounds| [l + by.0, t + by.1, r + by.0, b + by.1];
        match self {
            Shape::Area(points, nth) => Shape::Area(all(points), nth),
            Shape::Line(points, legs) => Shape::Line(all(points), legs),
            Shape::Rule([left, y, right]) => Shape::Rule([left + by.0, y + by.1, right + by.0]),
            Shape::Dot(at) => Shape::Dot(down(at)),
            Shape::Symbol(at, symbol, lit) => Shape::Symbol(down(at), symbol, lit),
            Shape::AtStart(at) => Shape::AtStart(down(at)),
            Shape::Block(of) => Shape::Block(bounds(of)),
            Shape::Tag(of, on) => Shape::Tag(bounds(of), on),
            Shape::Sign(at, severity) => Shape::Sign(down(at), severity),
            Shape::Text(text) => Shape::Text(Text {
                at: down(text.at),
                ..text
            }),
            Shape::Group(group) => Shape::Group(Group {
                shapes: group.shapes.into_iter().map(|s| s.moved(by)).collect(),
                ..group
            }),
        }
    }
}

/// A line beside another, so far to its left as one goes along it; all turns are at right angles.
pub fn beside(points: &[At], by: f64) -> Vec<At> {
    let way = |a: At, b: At| {
        let sign = |x: f64| if x.abs() < 1e-9 { 0.0 } else { x.signum() };
        (sign(b.0 - a.0), sign(b.1 - a.1))
    };
    let ways: Vec<At> = points
        .windows(2)
        .map(|pair| way(pair[0], pair[1]))
        .collect();
    let at = |nth: usize| {
        let ahead = nth.checked_sub(1).and_then(|nth| ways.get(nth)).copied();
        let after = ways.get(nth).copied();
        let (ahead, after) = (ahead.or(after), after.or(ahead));
        let (Some((ax, ay)), Some((bx, by_))) = (ahead, after) else {
            return points[nth];
        };
        // The left of (x, y), with y downwards, is (y, -x).
        let is_straight = (ax, ay) == (bx, by_);
        let (x, y) = match is_straight {
            true => (ay, -ax),
            false => (ay + by_, -ax - bx),
        };
        (points[nth].0 + x * by, points[nth].1 + y * by)
    };
    (0..points.len()).map(at).collect()
}

/// Strokes that make up a symbol, at its place.
pub fn placed(stroke: &Stroke, (x, y): At) -> Stroke {
    let all = |points: &[At]| points.iter().map(|(a, b)| (a + x, b + y)).collect();
    match stroke {
        Stroke::Line(points) => Stroke::Line(all(points)),
        Stroke::Closed(points) => Stroke::Closed(all(points)),
        Stroke::Glowing(points) => Stroke::Glowing(all(points)),
        Stroke::Cover(points) => Stroke::Cover(all(points)),
        Stroke::Full(points) => Stroke::Full(all(points)),
        Stroke::Circle(a, b, r) => Stroke::Circle(a + x, b + y, *r),
        Stroke::Disc(a, b, r) => Stroke::Disc(a + x, b + y, *r),
        Stroke::Cup(a, b, r) => Stroke::Cup(a + x, b + y, *r),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_beside_another() {
        let points = [(0.0, 0.0), (10.0, 0.0), (10.0, 20.0), (30.0, 20.0)];
        let left = beside(&points, 1.0);
        assert_eq!(
            left,
            [(0.0, -1.0), (11.0, -1.0), (11.0, 19.0), (30.0, 19.0)]
        );
        let right = beside(&points, -1.0);
        assert_eq!(right, [(0.0, 1.0), (9.0, 1.0), (9.0, 21.0), (30.0, 21.0)]);
        let straight = [(0.0, 0.0), (10.0, 0.0), (20.0, 0.0)];
        assert_eq!(
            beside(&straight, 1.0),
            [(0.0, -1.0), (10.0, -1.0), (20.0, -1.0)]
        );
    }
}
