//! What begins as a number: read leniently, so that the message can say what was meant.

use std::sync::LazyLock;

use super::near::slip_of;
use super::spelt::Spelt;
use super::vocabulary::{Dimension, UNITS, Unit};

/// A number as written, with the unit that is glued to it or stands behind it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Number {
    /// How it is written.
    pub form: Form,
    /// The number, in the unit as written (0 where the form says that there is none).
    pub value: f64,
    /// The unit; where it is misspelt, the one that was likely meant.
    pub unit: Option<&'static Unit>,
    /// Where the unit's word begins, in bytes from the start of the number.
    pub unit_at: u32,
}

/// How a number is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    /// As it should be, with or without a unit.
    Plain,
    /// With a decimal comma.
    Comma,
    /// With a word for a unit that is none.
    Misspelt,
    /// `1e3`
    Exponent,
    /// The N of `1:N`.
    Scale,
    /// A day of the calendar.
    Date,
    /// A date that the calendar does not have.
    NoDay,
    /// Greater than anything on a bench.
    Huge,
    /// Smaller than anything on a bench, but not zero.
    Tiny,
    /// Anything else that begins with a digit.
    Garbled,
}

/// Numbers from here on are a slip, in any unit; the figures stay far from the ends of `f64`.
const HUGE: f64 = 1e9;
/// So are numbers under this, except zero.
const TINY: f64 = 1e-6;

impl Number {
    fn none(form: Form, length: usize) -> Number {
        Number {
            form,
            value: 0.0,
            unit: None,
            unit_at: at(length),
        }
    }

    /// Whether it is a plain number with no unit.
    pub fn is_bare(self) -> bool {
        self.form == Form::Plain && self.unit.is_none()
    }

    /// What it measures, or likely was meant to.
    pub fn dimension(self) -> Option<Dimension> {
        self.unit.map(|u| u.dimension)
    }

    /// The number in the SI unit of its dimension.
    pub fn si(self) -> Option<f64> {
        self.unit.map(|u| (self.value + u.offset) * u.factor)
    }
}

fn at(length: usize) -> u32 {
    u32::try_from(length).unwrap_or(u32::MAX)
}

/// Reads the text of a number token.
pub(super) fn read(text: &str) -> Number {
    if let Some(date) = date(text) {
        return Number::none(if date { Form::Date } else { Form::NoDay }, text.len());
    }
    if let Some((one, scale)) = text.split_once(':') {
        return match decimal(scale) {
            Some(n) if one == "1" && n > 0.0 && n < HUGE => Number {
                value: n,
                ..Number::none(Form::Scale, text.len())
            },
            _ => Number::none(Form::Garbled, text.len()),
        };
    }
    if text.contains(',') {
        let pointed = plain(&text.replace(',', "."));
        return match pointed.form {
            Form::Plain | Form::Misspelt => Number {
                form: Form::Comma,
                ..pointed
            },
            _ => pointed,
        };
    }
    plain(text)
}

fn plain(text: &str) -> Number {
    let signs = text.chars().take_while(|c| matches!(c, '+' | '-' | '−'));
    let sign: usize = signs.map(char::len_utf8).sum();
    let digits = text.get(sign..).unwrap_or("");
    let negative = !text.starts_with('+') && sign > 0;
    let end = digits
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '/')))
        .unwrap_or(digits.len());
    let (mantissa, suffix) = digits.split_at(end);
    let Some(size) = fraction(mantissa) else {
        return Number::none(Form::Garbled, text.len());
    };
    let unit_at = at(sign + end);
    let number = |form, size: f64, unit| {
        let form = if !size.is_finite() || size >= HUGE {
            Form::Huge
        } else if size != 0.0 && size < TINY {
            Form::Tiny
        } else {
            form
        };
        let known = !matches!(form, Form::Huge | Form::Tiny);
        let value = if negative { -size } else { size };
        Number {
            form,
            value: if known { value } else { 0.0 },
            unit,
            unit_at,
        }
    };
    if suffix.is_empty() {
        return number(Form::Plain, size, None);
    }
    if let Some(unit) = unit(suffix).or_else(|| glued_unit(suffix)) {
        return number(Form::Plain, size, Some(unit));
    }
    if let Some((multiplier, decimals)) = code(suffix) {
        // IEC 60062: the letter stands where the decimal point would.
        return match decimal(&format!("{mantissa}.{decimals}")) {
            Some(ohms) if !mantissa.contains(['.', '/']) => {
                number(Form::Plain, ohms * multiplier.factor, unit("ohm"))
            }
            _ => Number::none(Form::Garbled, text.len()),
        };
    }
    if let Some(power) = suffix.strip_prefix(['e', 'E']) {
        let power = power.strip_prefix('+').unwrap_or(power);
        let end = power
            .char_indices()
            .find(|&(i, c)| !(c.is_ascii_digit() || (i == 0 && c == '-')))
            .map_or(power.len(), |(i, _)| i);
        if let (Some(power), rest) = (power.get(..end), power.get(end..).unwrap_or(""))
            && let Ok(power) = power.parse::<i32>()
        {
            let unit = unit(rest);
            let powered = number(
                Form::Exponent,
                size * 10f64.powi(power.clamp(-400, 400)),
                unit,
            );
            return Number {
                unit_at: at(text.len() - rest.len()),
                ..powered
            };
        }
    }
    match meant(suffix) {
        Some(unit) => number(Form::Misspelt, size, Some(unit)),
        None if suffix
            .chars()
            .all(|c| c.is_alphabetic() || matches!(c, '°' | '²')) =>
        {
            number(Form::Misspelt, size, None)
        }
        None => Number::none(Form::Garbled, text.len()),
    }
}

/// `12`, `0.75`, `.5`
fn decimal(text: &str) -> Option<f64> {
    let known = text.chars().all(|c| c.is_ascii_digit() || c == '.');
    (known && text.contains(|c: char| c.is_ascii_digit()))
        .then(|| text.parse().ok())
        .flatten()
}

/// A decimal, or one by another, `1/16`.
fn fraction(text: &str) -> Option<f64> {
    match text.split_once('/') {
        Some((upper, lower)) => {
            let lower = decimal(lower).filter(|lower| *lower > 0.0)?;
            Some(decimal(upper)? / lower)
        }
        None => decimal(text),
    }
}

/// Whether a text that is shaped like a date is a day of the (Gregorian) calendar.
fn date(text: &str) -> Option<bool> {
    let mut parts = text.split('-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
    if parts.next().is_some() || ![year, month, day].into_iter().all(digits) {
        return None;
    }
    if (year.len(), month.len(), day.len()) != (4, 2, 2) {
        return Some(false);
    }
    let number = |s: &str| s.parse::<u32>().unwrap_or(0);
    let (year, month, day) = (number(year), number(month), number(day));
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        _ => 0,
    };
    Some((1..=days).contains(&day))
}

/// The unit that is spelt like this.
pub(super) fn unit(word: &str) -> Option<&'static Unit> {
    static KNOWN: LazyLock<Spelt<&'static Unit>> =
        LazyLock::new(|| Spelt::of(UNITS.iter().map(|unit| (unit.word, unit))));
    // The ohm sign is the same letter as the Greek one, by its Unicode decomposition.
    match KNOWN.get(word) {
        None if word.contains('\u{2126}') => unit(&word.replace('\u{2126}', "Ω")),
        known => known.copied(),
    }
}

/// Units that may only be glued to their number: `4in`, and a resistance as IEC 60062 writes it.
fn glued_unit(suffix: &str) -> Option<&'static Unit> {
    match suffix {
        "in" => unit("inch"),
        "R" => unit("ohm"),
        "k" | "K" => unit("kohm"),
        "M" => unit("Mohm"),
        _ => None,
    }
}

/// The multiplier and the decimals of `R7` in `4R7`.
fn code(suffix: &str) -> Option<(&'static Unit, &str)> {
    let multiplier = glued_unit(suffix.get(..1)?)?;
    let decimals = suffix.get(1..)?;
    let all = !decimals.is_empty() && decimals.bytes().all(|b| b.is_ascii_digit());
    all.then_some((multiplier, decimals))
}

/// What people write for a unit, in their own tongue or habit, and the unit's word.
const HABITS: &[(&str, &str)] = &[
    ("volt", "V"),
    ("volts", "V"),
    ("amp", "A"),
    ("amps", "A"),
    ("ampere", "A"),
    ("amperes", "A"),
    ("milliamp", "mA"),
    ("milliamps", "mA"),
    ("µa", "uA"),
    ("μa", "uA"),
    ("r", "ohm"),
    ("k", "kohm"),
    ("kiloohm", "kohm"),
    ("watt", "W"),
    ("watts", "W"),
    ("in", "inch"),
    ("millimetre", "mm"),
    ("millimetres", "mm"),
    ("metre", "m"),
    ("metres", "m"),
    ("meter", "m"),
    ("meters", "m"),
    ("foot", "ft"),
    ("feet", "ft"),
    ("mm²", "mm2"),
    ("cm²", "cm2"),
    ("sqmm", "mm2"),
    ("c", "degC"),
    ("°c", "degC"),
    ("celsius", "degC"),
    ("f", "degF"),
    ("°f", "degF"),
    ("sec", "s"),
    ("second", "s"),
    ("seconds", "s"),
    ("minute", "min"),
    ("minutes", "min"),
    ("hour", "h"),
    ("hours", "h"),
    ("hr", "h"),
    ("hrs", "h"),
    ("lumen", "lm"),
    ("lumens", "lm"),
    ("°", "deg"),
    ("degree", "deg"),
    ("degrees", "deg"),
    ("percent", "%"),
    ("pct", "%"),
];

/// Prefixes of the SI with what they stand for.
const PREFIXES: &[(&str, f64)] = &[
    ("p", 1e-12),
    ("n", 1e-9),
    ("u", 1e-6),
    ("µ", 1e-6),
    ("μ", 1e-6),
    ("m", 1e-3),
    ("k", 1e3),
    ("M", 1e6),
    ("G", 1e9),
];

/// Units that a prefix of the SI is put to.
const PREFIXED: &[(&str, &str)] = &[
    ("V", "V"),
    ("A", "A"),
    ("ohm", "ohm"),
    ("Ohm", "ohm"),
    ("ohms", "ohm"),
    ("Ω", "ohm"),
    ("W", "W"),
    ("m", "m"),
    ("Hz", "Hz"),
    ("s", "s"),
    ("lm", "lm"),
    ("cd", "cd"),
    ("Ah", "Ah"),
];

/// The unit and the factor that a word with a prefix of the SI stands for, `kA` or `mohm`, which the language does not have.
pub(super) fn prefixed(word: &str) -> Option<(&'static Unit, f64)> {
    if unit(word).is_some() {
        return None;
    }
    PREFIXES.iter().find_map(|(prefix, factor)| {
        let base = word.strip_prefix(prefix)?;
        let (_, base) = PREFIXED.iter().find(|(written, _)| *written == base)?;
        Some((unit(base)?, *factor))
    })
}

/// The unit that somebody likely meant by a word that is none.
pub(super) fn meant(word: &str) -> Option<&'static Unit> {
    if word.len() > 24 {
        return None;
    }
    if let Some((base, factor)) = prefixed(word) {
        // `µA` is a unit here, by another letter.
        let same = UNITS.iter().find(|u| {
            u.dimension == base.dimension && (u.factor / (base.factor * factor) - 1.0).abs() < 1e-9
        });
        return same.or(Some(base));
    }
    let lower = word.to_lowercase();
    if let Some((_, meant)) = HABITS.iter().find(|(habit, _)| *habit == lower) {
        return unit(meant);
    }
    if let Some(unit) = UNITS.iter().find(|u| u.word.to_lowercase() == lower) {
        return Some(unit);
    }
    let long: Vec<&'static str> = UNITS
        .iter()
        .map(|u| u.word)
        .filter(|w| w.len() > 2 && word.len() > 2)
        .collect();
    unit(slip_of(word, &long)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> String {
        let n = read(text);
        let unit = n.unit.map_or("", |u| u.word);
        format!("{:?} {} {unit}", n.form, n.value)
    }

    #[test]
    fn numbers_as_they_should_be() {
        for (text, expected) in [
            ("12", "Plain 12 "),
            ("-5", "Plain -5 "),
            ("+5", "Plain 5 "),
            ("1/4", "Plain 0.25 "),
            ("0.75A", "Plain 0.75 A"),
            (".5mm", "Plain 0.5 mm"),
            ("20%", "Plain 20 %"),
            ("4in", "Plain 4 inch"),
            ("1/16in", "Plain 0.0625 inch"),
            ("3in2", "Plain 3 in2"),
            ("10\u{2126}", "Plain 10 Ω"),
            ("1:43.5", "Scale 43.5 "),
            ("2026-03-14", "Date 0 "),
            ("2024-02-29", "Date 0 "),
            ("2026-02-29", "NoDay 0 "),
        ] {
            assert_eq!(shown(text), expected, "{text}");
        }
    }

    // IEC 60062, letter codes for resistance: 4R7 is 4.7 ohm, 2K2 is 2.2 kohm.
    #[test]
    fn resistances_by_letter_code() {
        for (text, expected) in [
            ("470R", "Plain 470 ohm"),
            ("4R7", "Plain 4.7 ohm"),
            ("2k2", "Plain 2200 ohm"),
            ("2K2", "Plain 2200 ohm"),
            ("2.2k", "Plain 2.2 kohm"),
            ("1k", "Plain 1 kohm"),
            ("1M", "Plain 1 Mohm"),
            ("1M5", "Plain 1500000 ohm"),
        ] {
            assert_eq!(shown(text), expected, "{text}");
        }
    }

    #[test]
    fn slips() {
        for (text, expected) in [
            ("0,75A", "Comma 0.75 A"),
            ("12v", "Misspelt 12 V"),
            ("12ma", "Misspelt 12 mA"),
            ("12µA", "Misspelt 12 uA"),
            ("12volts", "Misspelt 12 V"),
            ("25°C", "Misspelt 25 degC"),
            ("12xyz", "Misspelt 12 "),
            ("1e3", "Exponent 1000 "),
            ("1e308", "Huge 0 "),
            ("1e99999999999", "Garbled 0 "),
            ("1e-30", "Tiny 0 "),
            ("1/0", "Garbled 0 "),
            ("1.2.3", "Garbled 0 "),
            ("2:3", "Garbled 0 "),
            ("1:0", "Garbled 0 "),
        ] {
            assert_eq!(shown(text), expected, "{text}");
        }
        assert_eq!(shown(&"9".repeat(4000)), "Huge 0 ");
        assert_eq!(shown(&format!("0.{}1", "0".repeat(4000))), "Plain 0 ");
    }
}
