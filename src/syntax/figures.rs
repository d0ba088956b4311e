//! Numbers in their place: quantities with the unit that is wanted, counts, scales, dates; and what
//! to say where they are not as they should be.

use super::number::{Form, Number, prefixed};
use super::reader::{describe, is_figure, short};
use super::token::{is_bom, on_one_line};
use super::tree::{Fault, ValueKind};
use super::vocabulary::{Dimension, MOST_OF_A_COUNT, Slot};
use crate::numbers::decimals;
use crate::text::Span;

/// A number that stands where a figure is wanted.
pub(super) struct Reading<'a> {
    /// The word of the clause or stanza that wants it.
    pub owner: &'static str,
    /// How that clause is usually written.
    pub usual: &'static str,
    /// The number as written, with its unit.
    pub written: &'a str,
    pub number: Number,
    pub span: Span,
}

type Read = (Option<ValueKind>, Option<Fault>);

impl Reading<'_> {
    /// As a quantity of the dimension (or one of the dimensions) that a slot wants.
    pub fn quantity(&self, slot: &'static Slot) -> Read {
        let wanted = dimensions(slot);
        let number = self.number;
        let fits = number.dimension().is_some_and(|d| wanted.contains(&d));
        let value = match (number.si(), number.dimension()) {
            (Some(si), Some(d)) if is_figure(number.form) => Some(ValueKind::Quantity(si, d)),
            _ => None,
        };
        if fits && number.form == Form::Plain {
            return (value, None);
        }
        let (wants, owner) = (describe(slot), self.owner);
        let digits = self.digits();
        let written = self.quoted();
        let likely: Vec<&'static str> = match number.unit.filter(|_| fits) {
            Some(unit) => vec![unit.word],
            None => self.likely(&wanted),
        };
        let usual = likely.first().copied().unwrap_or("");
        if let Some(plain) = self.without_prefix(&wanted, &digits) {
            let message = format!("`{}` is no unit here: write {plain}.", self.unit());
            let fault = Fault::new("wrong-unit", self.span, message);
            let fault = fault.mend(format!("write {plain}"), self.span, plain);
            return (None, Some(fault));
        }
        let fault = match number.form {
            Form::Comma => {
                let message = format!("A decimal is written with a point: {digits} {usual}.");
                Fault::new("wrong-unit", self.span, message)
            }
            Form::Plain => match number.dimension() {
                Some(other) => Fault::new(
                    "wrong-unit",
                    self.span,
                    format!(
                        "`{owner}` wants {wants}, as {digits} {usual}; {written} is {}.",
                        other.plain()
                    ),
                ),
                None => Fault::new(
                    "wrong-unit",
                    self.span,
                    format!(
                        "{written} needs its unit: `{owner}` wants {wants}, as {digits} {usual}."
                    ),
                ),
            },
            Form::Misspelt => {
                let unit = self.unit();
                let message = if unit == "in" {
                    format!("Inches are written glued to their number: {digits}in.")
                } else {
                    format!("`{unit}` is not a unit: `{owner}` wants {wants}, as {digits} {usual}.")
                };
                Fault::new("wrong-unit", self.span, message)
            }
            Form::Exponent => {
                let message = format!("Write the number out: {digits} {usual}.");
                Fault::new("syntax", self.span, message)
            }
            _ => return (None, Some(self.garbled(&wants))),
        };
        let fault = likely.iter().fold(fault, |fault, unit| {
            let text = if self.unit() == "in" && *unit == "inch" {
                format!("{digits}in")
            } else {
                format!("{digits} {unit}")
            };
            fault.mend(format!("write {text}"), self.span, text)
        });
        let fault = match self.thousands().filter(|_| number.form == Form::Comma) {
            Some(whole) => {
                let text = format!("{whole} {usual}");
                fault.mend(format!("write {text}"), self.span, text)
            }
            None => fault,
        };
        (value.filter(|_| fits), Some(fault))
    }

    /// `20 mohm` as ohms (a builder who writes so does not mean megohms), `2 kA` as amperes: what a unit with a
    /// prefix that the language does not have stands for.
    fn without_prefix(&self, wanted: &[Dimension], digits: &str) -> Option<String> {
        let unit = self.number.unit?;
        let (base, factor) = prefixed(self.unit())?;
        // By another letter it may be a unit all the same: `µA`.
        if unit.word != base.word || !wanted.contains(&base.dimension) {
            return None;
        }
        let number: f64 = digits.parse().ok()?;
        let size = number * factor;
        // In the largest unit of its family that leaves a whole: 1000 Mohm, not 1000000000 ohm.
        let family = base
            .dimension
            .units()
            .filter(|u| u.word.ends_with(base.word));
        let fitting = family.filter(|u| u.factor / base.factor <= size.abs());
        let unit = fitting
            .max_by(|a, b| a.factor.total_cmp(&b.factor))
            .unwrap_or(base);
        let size = size * base.factor / unit.factor;
        Some(format!("{} {}", decimals(size, 9), unit.word))
    }

    /// The units that were likely meant, the likeliest first: that of the usual value, or the next
    /// one where the number would be far too small or large in it.
    fn likely(&self, wanted: &[Dimension]) -> Vec<&'static str> {
        let mut units: Vec<&'static str> = wanted
            .iter()
            .flat_map(|d| d.units().take(4))
            .map(|u| u.word)
            .collect();
        let usual = self.usual.split_whitespace().find(|w| units.contains(w));
        let size = self.number.value.abs();
        let first = match usual.or(units.first().copied()) {
            Some("mA") if size > 0.0 && size < 1.0 => Some("A"),
            Some("A") if size >= 20.0 => Some("mA"),
            Some("W") if size >= 10.0 => Some("mW"),
            other => other,
        };
        if let Some(at) = units.iter().position(|u| Some(*u) == first) {
            let first = units.remove(at);
            units.insert(0, first);
        }
        units.truncate(3);
        units
    }

    /// `1000` of `1,000`, which may be meant as that.
    fn thousands(&self) -> Option<String> {
        let digits = self.number_as_written();
        let (_, behind) = digits.split_once(',')?;
        (behind.len() == 3).then(|| digits.replace(',', ""))
    }

    /// As a whole number of things, at least one; of pieces in stock (no word), none will do too.
    pub fn count(&self, thing: Option<&'static str>) -> (Option<u32>, Option<Fault>) {
        let things = thing.unwrap_or("pieces");
        let n = self.number.value;
        let least = if thing.is_some() { 1.0 } else { 0.0 };
        let message = if self.number.form == Form::Huge && self.number.unit.is_none() {
            too_many(things)
        } else if !is_figure(self.number.form) || self.number.unit.is_some() {
            format!(
                "`{}` wants a number of {things}, as in `{}`.",
                self.owner, self.usual
            )
        } else if n.fract() != 0.0 || self.number.form != Form::Plain {
            format!("A number of {things} is a whole number.")
        } else if n < least {
            format!("A number of {things} cannot be under {least}.")
        } else if n > f64::from(MOST_OF_A_COUNT) {
            too_many(things)
        } else {
            // Whole and within 0 … MOST_OF_A_COUNT, as just asked.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            return (Some(n as u32), None);
        };
        let mut fault = Fault::new("syntax", self.span, message);
        fault.is_of_form = !self.number.is_bare();
        (None, Some(fault))
    }

    /// As a scale, a date, or a plain number.
    pub fn figure(&self, slot: &'static Slot) -> Read {
        match (slot, self.number.form) {
            (Slot::Scale, Form::Scale) => (Some(ValueKind::Scale(self.number.value)), None),
            (Slot::Date, Form::Date) => (Some(ValueKind::Date(self.written.into())), None),
            (Slot::Date, Form::NoDay) => {
                let written = self.quoted();
                let message =
                    format!("{written} is no day of the calendar. A date is written 2026-03-14.");
                (None, Some(Fault::new("syntax", self.span, message)))
            }
            (Slot::Number, _) => match self.count(None) {
                (Some(1), None) => (Some(ValueKind::Count(1, None)), None),
                _ => {
                    let message = "The edition of the language that is read here is 1.";
                    let mut fault = Fault::new("syntax", self.span, message);
                    fault.is_of_form = !self.number.is_bare();
                    (None, Some(fault.mend("write 1", self.span, "1")))
                }
            },
            _ => (None, Some(self.garbled(&describe(slot)))),
        }
    }

    fn garbled(&self, wants: &str) -> Fault {
        let written = self.quoted();
        let message = match self.number.form {
            Form::Huge => format!(
                "{written} is too large to be meant: `{}` wants {wants}.",
                self.owner
            ),
            Form::Tiny => format!(
                "{written} is too small to be meant: `{}` wants {wants}.",
                self.owner
            ),
            _ => format!(
                "{written} does not fit here: `{}` wants {wants}, as in `{}`.",
                self.owner, self.usual
            ),
        };
        Fault::new("syntax", self.span, message)
    }

    /// The number without its unit, with a decimal point and written out.
    fn digits(&self) -> String {
        if self.number.form == Form::Exponent {
            return self.number.value.to_string();
        }
        self.number_as_written().replace(',', ".")
    }

    /// The number without its unit, and without a comment that stands between them.
    fn number_as_written(&self) -> &str {
        let ahead = self.written.get(..self.number.unit_at as usize);
        let ahead = ahead.unwrap_or(self.written);
        let is_between = |c: char| c.is_whitespace() || is_bom(c) || c == '#';
        ahead.split(is_between).next().unwrap_or("")
    }

    /// All of it, as a message says it.
    fn quoted(&self) -> String {
        short(&on_one_line(self.written))
    }

    /// The unit as written.
    fn unit(&self) -> &str {
        self.written
            .get(self.number.unit_at as usize..)
            .unwrap_or("")
    }
}

fn too_many(things: &str) -> String {
    format!("More than {MOST_OF_A_COUNT} {things} is more than this tool is for.")
}

/// The dimensions that a slot takes.
fn dimensions(slot: &Slot) -> Vec<Dimension> {
    match slot {
        Slot::Quantity(dimension) => vec![*dimension],
        Slot::Either(ways) => ways
            .iter()
            .filter_map(|way| match way.first() {
                Some(Slot::Quantity(dimension)) => Some(*dimension),
                _ => None,
            })
            .collect(),
        _ => Vec::new(),
    }
}
