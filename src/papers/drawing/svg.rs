//! A picture as SVG. Escaping is left to the library; no script, nothing from elsewhere.

use quick_xml::Writer;
use quick_xml::events::{BytesEnd, BytesStart, BytesText, Event};

use super::Theme;
use super::letters;
use super::picture::{At, Bounds, Group, Ink, Legs, SIGN, Shape, Text, beside, placed};
use super::style::{self, GROUNDS, SCOPE};
use super::symbols::Stroke;
use crate::papers::mark::MARK;
use crate::plan::Severity;
use crate::plan::looks::Rgb;

/// A picture that is complete.
pub struct Page<'a> {
    /// Its title.
    pub title: &'a str,
    /// Who must not see it may read this.
    pub description: &'a str,
    /// How wide it is.
    pub width: f64,
    /// How high it is.
    pub height: f64,
    /// By day or by night; none: as the reader has it.
    pub theme: Option<Theme>,
    /// What is on it, sheet by sheet; each with the name that it is found by.
    pub parts: &'a [(String, Vec<Shape>)],
}

/// Writes a picture.
pub fn write(page: &Page) -> String {
    let mut pen = Pen {
        to: Writer::new(Vec::new()),
    };
    let (width, height) = (number(page.width), number(page.height));
    let class = match page.theme {
        None => SCOPE.to_owned(),
        Some(Theme::Light) => format!("{SCOPE} light"),
        Some(Theme::Dark) => format!("{SCOPE} dark"),
    };
    let view = format!("0 0 {width} {height}");
    pen.event(Event::Comment(BytesText::from_escaped(format!(" {MARK} "))));
    pen.open(
        "svg",
        &[
            ("xmlns", "http://www.w3.org/2000/svg"),
            ("class", &class),
            ("role", "group"),
            ("width", &width),
            ("height", &height),
            ("viewBox", &view),
        ],
    );
    pen.words("title", page.title);
    pen.words("desc", page.description);
    pen.words("style", &style::rules(page.theme));
    pen.empty(
        "rect",
        &[("class", "paper"), ("width", &width), ("height", &height)],
    );
    for (id, shapes) in page.parts {
        pen.open("g", &[("id", id)]);
        shapes.iter().for_each(|shape| pen.shape(shape));
        pen.close("g");
    }
    pen.close("svg");
    let text = String::from_utf8(pen.to.into_inner());
    text.unwrap_or_default() + "\n"
}

struct Pen {
    to: Writer<Vec<u8>>,
}

/// A number with one decimal, if it needs it.
fn number(x: f64) -> String {
    crate::numbers::decimals(x, 1)
}

/// Points as the data of a path.
fn path(points: &[At], is_closed: bool) -> String {
    let mut data = String::new();
    let mut last: Option<(String, String)> = None;
    for &(x, y) in points {
        let (x, y) = (number(x), number(y));
        data += &match &last {
            None => format!("M{x} {y}"),
            Some((_, b)) if *b == y => format!("H{x}"),
            Some((a, _)) if *a == x => format!("V{y}"),
            Some(_) => format!("L{x} {y}"),
        };
        last = Some((x, y));
    }
    if is_closed {
        data.push('Z');
    }
    data
}

fn hex(rgb: Rgb) -> String {
    let [r, g, b] = rgb.map(|part| (part.clamp(0.0, 1.0) * 255.0).round() as u8);
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn severity(severity: Severity) -> &'static str {
    crate::checks::severity_word(severity)
}

impl Pen {
    fn event(&mut self, event: Event) {
        // Into memory: it cannot fail.
        let _ = self.to.write_event(event);
    }

    fn open(&mut self, name: &str, attributes: &[(&str, &str)]) {
        self.event(Event::Start(start(name, attributes)));
    }

    fn empty(&mut self, name: &str, attributes: &[(&str, &str)]) {
        self.event(Event::Empty(start(name, attributes)));
    }

    fn close(&mut self, name: &str) {
        self.event(Event::End(BytesEnd::new(name)));
    }

    fn words(&mut self, name: &str, words: &str) {
        self.open(name, &[]);
        self.event(Event::Text(BytesText::new(&letters::shown_in_lines(words))));
        self.close(name);
    }

    fn path(&mut self, class: &str, points: &[At], is_closed: bool) {
        self.empty("path", &[("class", class), ("d", &path(points, is_closed))]);
    }

    fn shape(&mut self, shape: &Shape) {
        match shape {
            Shape::Area(points, nth) => {
                self.path(&format!("g{}", nth % GROUNDS), points, true);
            }
            Shape::Line(points, legs) => self.line(points, *legs),
            Shape::Rule([left, y, right]) => {
                self.path("rule", &[(*left, *y), (*right, *y)], false);
            }
            Shape::Dot((x, y)) => self.disc("full", (*x, *y), 4.2),
            Shape::Symbol(at, symbol, lit) => {
                for stroke in symbol.strokes() {
                    self.stroke(&placed(&stroke, *at), *lit);
                }
            }
            Shape::AtStart((x, y)) => {
                let corners = [
                    (*x, y - 7.0),
                    (x + 20.0, y - 7.0),
                    (x + 20.0, y - 0.2),
                    (*x, y - 0.2),
                ];
                self.path("symbol", &corners, true);
            }
            Shape::Block(bounds) => self.path("symbol", &corners(*bounds), true),
            Shape::Tag(bounds, goes_on) => {
                let [left, top, right, bottom] = *bounds;
                let middle = (top + bottom) / 2.0;
                let points = match goes_on {
                    true => vec![
                        (left, top),
                        (right - 8.0, top),
                        (right, middle),
                        (right - 8.0, bottom),
                        (left, bottom),
                    ],
                    false => vec![
                        (left, top),
                        (right, top),
                        (right, bottom),
                        (left, bottom),
                        (left + 8.0, middle),
                    ],
                };
                self.path("tag", &points, true);
            }
            Shape::Sign(at, severity) => self.sign(*at, *severity),
            Shape::Text(text) => self.text(text),
            Shape::Group(group) => self.group(group),
        }
    }

    fn disc(&mut self, class: &str, (x, y): At, radius: f64) {
        self.empty(
            "circle",
            &[
                ("class", class),
                ("cx", &number(x)),
                ("cy", &number(y)),
                ("r", &number(radius)),
            ],
        );
    }

    fn line(&mut self, points: &[At], legs: Legs) {
        match legs {
            Legs::Both(plus, minus) => {
                self.leg("edge", points, "7", None);
                self.ink(&beside(points, 1.4), plus, "2.8");
                self.ink(&beside(points, -1.4), minus, "2.8");
            }
            Legs::One(ink) => {
                self.leg("edge", points, "4.6", None);
                self.ink(points, ink, "2.6");
            }
        }
    }

    fn ink(&mut self, points: &[At], ink: Ink, width: &str) {
        match ink {
            Ink::Colour(rgb) => self.leg("", points, width, Some(&hex(rgb))),
            Ink::Plus => self.leg("plus", points, width, None),
            Ink::Minus => self.leg("minus", points, width, None),
        }
    }

    fn leg(&mut self, class: &str, points: &[At], width: &str, colour: Option<&str>) {
        let class = if class.is_empty() {
            "line".to_owned()
        } else {
            format!("line {class}")
        };
        let data = path(points, false);
        let mut attributes = vec![("class", &*class), ("d", &*data), ("stroke-width", width)];
        attributes.extend(colour.map(|colour| ("stroke", colour)));
        self.empty("path", &attributes);
    }

    fn stroke(&mut self, stroke: &Stroke, lit: Option<Rgb>) {
        match stroke {
            Stroke::Line(points) => self.path("symbol stroke", points, false),
            Stroke::Closed(points) => self.path("symbol", points, true),
            Stroke::Glowing(points) => match lit {
                Some(rgb) => {
                    let (data, fill) = (path(points, true), hex(rgb));
                    self.empty("path", &[("class", "lit"), ("d", &data), ("fill", &fill)]);
                }
                None => self.path("symbol unlit", points, true),
            },
            Stroke::Cover(points) => self.path("cover", points, true),
            Stroke::Full(points) => self.path("full", points, true),
            Stroke::Circle(x, y, radius) => self.disc("symbol", (*x, *y), *radius),
            Stroke::Disc(x, y, radius) => self.disc("full", (*x, *y), *radius),
            Stroke::Cup(x, y, r) => {
                let data = format!(
                    "M{} {}A{r} {r} 0 0 1 {} {}",
                    number(*x),
                    number(y - r),
                    number(*x),
                    number(y + r)
                );
                self.empty("path", &[("class", "symbol stroke"), ("d", &data)]);
            }
        }
    }

    /// A sign: an octagon with a cross, a triangle or a disc with a stroke, told apart without their colours too.
    fn sign(&mut self, (x, y): At, of: Severity) {
        let class = severity(of);
        let (x, y) = (x + SIGN / 2.0, y - 4.5);
        match of {
            Severity::Error => {
                let (a, b) = (2.6, 6.2);
                let points = [
                    (-a, -b),
                    (a, -b),
                    (b, -a),
                    (b, a),
                    (a, b),
                    (-a, b),
                    (-b, a),
                    (-b, -a),
                ];
                let points = points.map(|(dx, dy)| (x + dx, y + dy));
                self.path(class, &points, true);
                self.path("on", &[(x - 2.6, y - 2.6), (x + 2.6, y + 2.6)], false);
                self.path("on", &[(x + 2.6, y - 2.6), (x - 2.6, y + 2.6)], false);
            }
            Severity::Warning => {
                self.path(
                    class,
                    &[(x, y - 6.5), (x + 6.8, y + 5.5), (x - 6.8, y + 5.5)],
                    true,
                );
                self.path("on", &[(x, y - 2.2), (x, y + 1.2)], false);
                self.path("on", &[(x, y + 3.6), (x, y + 3.7)], false);
            }
            Severity::Hint => {
                self.disc(class, (x, y), 6.0);
                self.path("on", &[(x, y - 0.6), (x, y + 3.0)], false);
                self.path("on", &[(x, y - 3.2), (x, y - 3.1)], false);
            }
        }
    }

    fn text(&mut self, text: &Text) {
        let class = super::picture::Style::ALL
            .into_iter()
            .find_map(|(style, word)| (style == text.style).then_some(word));
        let (x, y) = (number(text.at.0), number(text.at.1));
        let is_soft = matches!(
            text.style,
            super::picture::Style::Run
                | super::picture::Style::Detail
                | super::picture::Style::Zone
        );
        let class = [class.unwrap_or(""), if is_soft { " soft" } else { "" }].concat();
        self.open("text", &[("x", &x), ("y", &y), ("class", &class)]);
        self.event(Event::Text(BytesText::new(&text.words)));
        self.close("text");
    }

    fn group(&mut self, group: &Group) {
        let id = letters::shown(&group.id);
        let to = format!("#{}", group.leads_to.as_ref().unwrap_or(&group.id));
        let to = letters::shown(&to);
        let name = letters::shown(&group.name);
        let mut attributes = vec![("href", &*to)];
        if !id.is_empty() {
            attributes.extend([("id", &*id), ("data-name", &*name)]);
        }
        self.open("a", &attributes);
        if !group.title.is_empty() {
            self.words("title", &group.title);
        }
        group.shapes.iter().for_each(|shape| self.shape(shape));
        self.close("a");
    }
}

fn corners([left, top, right, bottom]: Bounds) -> [At; 4] {
    [(left, top), (right, top), (right, bottom), (left, bottom)]
}

fn start<'a>(name: &'a str, attributes: &[(&'a str, &'a str)]) -> BytesStart<'a> {
    let mut start = BytesStart::new(name);
    for attribute in attributes {
        start.push_attribute(*attribute);
    }
    start
}
