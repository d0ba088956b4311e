//! Figures: usual values for the place, with what they come to; what stanzas above say there; units.

use std::collections::HashMap;

use super::ask::{Ask, alike};
use super::fill::usual_head;
use super::{About, Offer, OfferKind, fuse, points, resistor};
use crate::circuit::copper::per_metre;
use crate::circuit::wire_capacity::in_still_air;
use crate::editor::record_trial::trial;
use crate::numbers::{count, length, percent, show, show_short, three_digits};
use crate::plan::{Led, Tape, Target, gauge_diameter};
use crate::rewrites::e24;
use crate::rewrites::usual::{ratings_from, supplies};
use crate::syntax::expected::Within;
use crate::syntax::read_stanza;
use crate::syntax::tree::{Clause, Stanza, TokenKind, Value, ValueKind, names};
use crate::syntax::vocabulary::{Dimension as D, Slot, StanzaWord as S};
use crate::units::{ElectricCurrent, ElectricPotential, amps, ohms, watts};

/// How many values of the stanzas above are listed.
const FROM_ABOVE: usize = 6;

/// Voltages of usual supplies (common practice).
const SUPPLY_VOLTS: [&str; 6] = ["12 V", "5 V", "9 V", "4.5 V", "3 V", "24 V"];

/// Gauges that models are wired with (common practice).
const GAUGES: std::ops::RangeInclusive<u32> = 20..=40;

/// Resistances that a drawer holds first: E6 of IEC 60063 from 10 ohm, as far as is usual here.
const DRAWER: [f64; 13] = [
    10.0, 22.0, 47.0, 100.0, 150.0, 220.0, 330.0, 470.0, 680.0, 1e3, 2.2e3, 4.7e3, 10e3,
];

/// Full angles of the beams of leds with a lens (common practice).
const BEAMS: [&str; 4] = ["60 deg", "30 deg", "15 deg", "120 deg"];

/// How many groups of tape, or lamps in series, are listed.
const COUNTED: u32 = 8;

/// The units of a dimension.
pub(super) fn units(dimension: D) -> Vec<Offer> {
    let all = dimension.units();
    all.map(|unit| Offer::new(OfferKind::Unit, unit.word, About::Nothing).detail(dimension.plain()))
        .collect()
}

/// The words for what the number ahead counts.
pub(super) fn counted(ask: &Ask, words: &'static [&'static str]) -> Vec<Offer> {
    let ahead = ask.tree.tokens.iter().rev();
    let mut ahead = ahead.filter(|t| t.span.end <= ask.word.start && t.kind == TokenKind::Number);
    let n: Option<u32> = ahead
        .next()
        .and_then(|t| ask.tree.words(t.span).parse().ok());
    let mut words = words.to_vec();
    if n == Some(1) {
        words.reverse();
    }
    words
        .into_iter()
        .map(|word| {
            let detail = n.and_then(|n| cut(ask, n, word)).unwrap_or_default();
            Offer::new(OfferKind::Unit, word, ask.about(&[])).detail(detail)
        })
        .collect()
}

/// What so many lamps or groups of the tape at hand come to.
fn cut(ask: &Ask, n: u32, word: &str) -> Option<String> {
    let tape = tape(ask)?;
    let groups = if word.starts_with("group") {
        n
    } else if n.is_multiple_of(tape.lamps.max(1)) {
        n / tape.lamps.max(1)
    } else {
        let each = count(tape.lamps as usize, "lamp");
        return Some(format!("cuts into a group: {each} to a group"));
    };
    Some(groups_words(tape, groups))
}

fn groups_words(tape: &Tape, groups: u32) -> String {
    let n = f64::from(groups);
    format!(
        "{}, {}, {} at {}",
        count(groups as usize, "group"),
        length(tape.group * n),
        show(tape.draws * n),
        show(tape.draws_at)
    )
}

fn tape<'a>(ask: &Ask<'a>) -> Option<&'a Tape> {
    let (tape, _) = names(&ask.tree.head).nth(1)?;
    match ask.definition(&tape.0)?.1.target {
        Some(Target::Tape(id)) => ask.plan.tapes.get(id.0),
        _ => None,
    }
}

fn led<'a>(ask: &Ask<'a>) -> Option<&'a Led> {
    let (led, _) = names(&ask.tree.head).nth(1)?;
    match ask.definition(&led.0)?.1.target {
        Some(Target::Led(id)) => ask.plan.leds.get(id.0),
        _ => None,
    }
}

/// Numbers of things.
pub(super) fn counts(ask: &Ask, words: &'static [&'static str]) -> Vec<Offer> {
    let Some(&thing) = words.first() else {
        return Vec::new();
    };
    let value = |text: String, detail: String| {
        let about = ask.figure(&text);
        Offer::new(OfferKind::Value, text, about).detail(detail)
    };
    match ask.stanza_word {
        S::Strip => {
            let Some(tape) = tape(ask) else {
                return Vec::new();
            };
            let each = |groups: u32| {
                let n = match thing {
                    "lamps" => groups.saturating_mul(tape.lamps),
                    _ => groups,
                };
                let word = if n == 1 { words.last()? } else { &thing };
                Some(value(format!("{n} {word}"), groups_words(tape, groups)))
            };
            (1..=COUNTED).filter_map(each).collect()
        }
        S::String => {
            let led = led(ask);
            let from = ask.tree.clause("from").and_then(|c| c.names().next());
            let point = from.and_then(|(point, _)| points::at_point(ask.a, point));
            let each = |n: u32| {
                let detail = led.map_or(String::new(), |led| series_words(led, n, point));
                value(format!("{n} {thing}"), detail)
            };
            (2..=COUNTED).map(each).collect()
        }
        _ => vec![value(format!("3 {thing}"), String::new())],
    }
}

fn series_words(led: &Led, n: u32, point: Option<(ElectricPotential, ElectricCurrent)>) -> String {
    let own = led.curve.stated_volts * f64::from(n);
    match point {
        Some((volts, _)) if own >= volts => {
            format!("{} in all: too much for {}", show(own), show(volts))
        }
        Some((volts, _)) => format!("{} in all, of {}", show(own), show(volts)),
        None => format!("{} in all", show(own)),
    }
}

/// Days that the plan names, the last first.
pub(super) fn dates(ask: &Ask) -> Vec<Offer> {
    let done = ask.plan.stages.iter().filter_map(|s| s.done.clone());
    let tried = ask.plan.trials.iter().filter_map(|t| t.on.clone());
    let mut days: Vec<_> = done.chain(tried).collect();
    days.sort();
    days.dedup();
    let last = days.into_iter().rev().take(FROM_ABOVE);
    last.map(|day| Offer::new(OfferKind::Value, &*day, About::Nothing).detail("as elsewhere"))
        .collect()
}

/// The usual scale, the edition.
pub(super) fn plain(ask: &Ask, within: &[Within], slot: &Slot) -> Vec<Offer> {
    let text = match slot {
        Slot::Scale => "1:150",
        _ => "1",
    };
    vec![Offer::new(OfferKind::Value, text, ask.about(within))]
}

/// Figures of a dimension: those that come to something that can be told, what stanzas above say, the usual one; for
/// a number that has no unit yet, the number with each unit.
pub(super) fn offers(ask: &Ask, within: &[Within], dimension: D) -> Vec<Offer> {
    let mut list = with_units(ask, dimension);
    let mut reckoned = reckoned(ask, within, dimension);
    // A figure that is complete is to be compared with all others, not with those that begin like it.
    if is_complete(&ask.written) {
        for offer in &mut reckoned {
            offer.filter = Some(ask.written.clone());
        }
    }
    list.extend(reckoned);
    let plain = |(text, detail): (String, &str)| {
        let about = ask.figure(&text);
        Offer::new(OfferKind::Value, text, about).detail(detail)
    };
    list.extend(from_above(ask, within, dimension).into_iter().map(plain));
    list.extend(usual(ask, within, dimension).into_iter().map(plain));
    list
}

/// Whether it is a number that can stand with its unit, or the number of one that does.
fn is_complete(written: &str) -> bool {
    written.starts_with(|c: char| c.is_ascii_digit()) && written.contains(char::is_alphabetic)
}

/// The number that is being written, with each unit.
fn with_units(ask: &Ask, dimension: D) -> Vec<Offer> {
    let written = &ask.written;
    let number = written.parse::<f64>().is_ok_and(f64::is_finite);
    let alone = ask.word.end - ask.word.start == u32::try_from(written.len()).unwrap_or(0);
    if !number || !alone || !written.starts_with(|c: char| c.is_ascii_digit()) {
        return Vec::new();
    }
    let with = dimension.units().map(|unit| {
        let text = format!("{written} {}", unit.word);
        Offer::new(OfferKind::Value, text.clone(), ask.figure(&text))
    });
    with.collect()
}

/// The usual values of a place, with what each comes to.
fn reckoned(ask: &Ask, within: &[Within], dimension: D) -> Vec<Offer> {
    let clause = within.last().map_or("", |w| w.shape.word);
    let value = |text: &str, detail: String| {
        Offer::new(OfferKind::Value, text, ask.figure(text)).detail(detail)
    };
    match (ask.stanza_word, clause, dimension) {
        (S::Lamp | S::String, "resistor", D::Resistance) => resistor::values(ask),
        (S::Lamp | S::String, "resistor", D::Power) => resistor::ratings(ask),
        (_, "resistor", D::Power) | (S::Resistor, "", D::Power) => ratings_from(watts(0.0))
            .map(|(_, words)| value(words, String::new()))
            .collect(),
        (_, "resistor", D::Resistance) | (S::Resistor, "", D::Resistance) => DRAWER
            .iter()
            .map(|&r| value(&e24::written(ohms(r)), String::new()))
            .collect(),
        (S::Fuse, "", D::Current) => fuse::ratings(ask),
        (S::Supply, "", D::Voltage) => SUPPLY_VOLTS
            .iter()
            .map(|v| value(v, String::new()))
            .collect(),
        (S::Supply, "", D::Current) => supply_currents(ask),
        (_, "gauge", D::Gauge) => gauges(ask),
        (S::Lamp | S::String, "runs", D::Current) => runs_at(ask),
        (S::Led, _, D::Angle) => BEAMS
            .iter()
            .map(|angle| value(angle, String::new()))
            .collect(),
        (S::Tried, "", D::Current) => expected(ask)
            .map(|(drawn, volts)| value(&show_short(drawn), format!("expected at {}", show(volts))))
            .into_iter()
            .collect(),
        (S::Tried, "", D::Voltage) => expected(ask)
            .map(|(_, volts)| value(&show(volts), "the bench supply".into()))
            .into_iter()
            .collect(),
        _ => Vec::new(),
    }
}

fn supply_currents(ask: &Ask) -> Vec<Offer> {
    let name = ask.tree.name().map(|(name, _)| name);
    let given = name.and_then(|name| points::at_point(ask.a, name));
    // Nothing hangs on it yet where it gives nothing.
    let given = given.map(|(_, given)| given).filter(|g| *g > amps(1e-6));
    let kept = 1.0 - ask.plan.settings.headroom.value;
    let mut list: Vec<(bool, Offer)> = supplies()
        .map(|size| {
            let text = match size.value < 0.999_999_9 {
                true => format!("{} mA", three_digits(size.value * 1e3)),
                false => format!("{} A", three_digits(size.value)),
            };
            let detail = given.map_or(String::new(), |given| {
                let part = (given / size).value;
                let little = match part > kept {
                    true => ", too little is kept free",
                    false => "",
                };
                format!("{} used by {}{little}", percent(part), show(given))
            });
            let fits = given.is_none_or(|given| given <= size * kept);
            let offer = Offer::new(OfferKind::Value, text.clone(), ask.figure(&text));
            (fits, offer.detail(detail))
        })
        .collect();
    list.sort_by_key(|(fits, _)| !fits);
    list.into_iter().map(|(_, offer)| offer).collect()
}

/// What the piece at hand should draw alone when it is tried, and on what.
fn expected(ask: &Ask) -> Option<(ElectricCurrent, ElectricPotential)> {
    let (name, _) = names(&ask.tree.head).next()?;
    trial(ask.plan, points::item_of(ask.plan, name)?)
}

fn gauges(ask: &Ask) -> Vec<Offer> {
    let ambient = ask.plan.settings.ambient;
    GAUGES
        .step_by(2)
        .map(|n| {
            let copper = gauge_diameter(f64::from(n));
            let text = format!("{n} AWG");
            let detail = format!(
                "{} of copper, {} ohm per metre, may carry {} bare",
                length(copper),
                three_digits(per_metre(copper, ambient).0),
                show(in_still_air(copper, copper, ambient))
            );
            Offer::new(OfferKind::Value, text.clone(), ask.figure(&text)).detail(detail)
        })
        .collect()
}

/// Currents that a lamp is often run at, as parts of its rated one.
fn runs_at(ask: &Ask) -> Vec<Offer> {
    let Some(led) = led(ask) else {
        return Vec::new();
    };
    [1.0, 0.5, 0.25, 0.1]
        .into_iter()
        .map(|part| {
            let text = show(led.curve.stated_amps * part);
            let detail = match part {
                1.0 => "its rated current".to_owned(),
                _ => format!("{} of its rated current", percent(part)),
            };
            Offer::new(OfferKind::Value, text.clone(), ask.figure(&text)).detail(detail)
        })
        .collect()
}

/// What the stanzas above say in the same place, the nearest first. A clause of that name elsewhere is the same only in the feed:
/// what a diode drops is nothing to a led.
fn from_above(ask: &Ask, within: &[Within], dimension: D) -> Vec<(String, &'static str)> {
    let is_feed = within
        .first()
        .is_some_and(|w| matches!(w.shape.word, "from" | "return" | "between"));
    let is_alike = |word: Option<S>| is_feed || word.is_some_and(|w| alike(w, ask.stanza_word));
    // Of two, as from the least to the greatest, the place says which is meant.
    let (nth, of) = (
        said_here(ask, within, dimension),
        usual_values(ask, within, dimension).len(),
    );
    let is_pair = of > 1;
    let mut texts: Vec<String> = Vec::new();
    let mut ahead: HashMap<*const Stanza, usize> = HashMap::new();
    for (stanza, value) in ask.said_above(within) {
        let fits = matches!(value.kind, ValueKind::Quantity(_, d) if d == dimension)
            && is_alike(stanza.word);
        let place = ahead.entry(std::ptr::from_ref(stanza)).or_default();
        let at = std::mem::replace(place, *place + usize::from(fits));
        let fits = fits && (!is_pair || at % of == nth % of);
        let text = stanza.words(value.span);
        let one_line = !text.contains(['\n', '\r', '#']);
        if fits && one_line && !texts.iter().any(|t| t == text) {
            texts.push(text.to_owned());
        }
        if texts.len() == FROM_ABOVE {
            break;
        }
    }
    texts.into_iter().map(|text| (text, "as above")).collect()
}

/// How many figures of a dimension the place's clause says ahead of it.
fn said_here(ask: &Ask, within: &[Within], dimension: D) -> usize {
    let values = ask.values(within).iter();
    let ahead = values.filter(|value| value.span.end <= ask.word.start);
    let of = |value: &&Value| matches!(value.kind, ValueKind::Quantity(_, d) if d == dimension);
    ahead.filter(of).count()
}

/// The value of the usual form: of two, as from the least to the greatest, the one that the place is for.
fn usual(ask: &Ask, within: &[Within], dimension: D) -> Vec<(String, &'static str)> {
    let mut texts = usual_values(ask, within, dimension);
    if texts.len() > 1 {
        let nth = said_here(ask, within, dimension) % texts.len();
        texts = vec![texts.swap_remove(nth)];
    }
    texts.into_iter().map(|text| (text, "usual")).collect()
}

/// The values of the usual form.
fn usual_values(ask: &Ask, within: &[Within], dimension: D) -> Vec<String> {
    let mut form = usual_head(ask.stanza_word);
    for open in within {
        form.push_str(open.shape.usual);
        form.push(' ');
    }
    let said = within.last().map(|open| open.shape.word);
    let form = read_stanza(form.into());
    let values: Vec<&Value> = match said {
        Some(word) => all_clauses(&form.clauses)
            .into_iter()
            .filter(|c| c.word == word)
            .flat_map(|c| &c.values)
            .collect(),
        None => form.head.iter().collect(),
    };
    let of = values
        .into_iter()
        .filter(|value| matches!(value.kind, ValueKind::Quantity(_, d) if d == dimension));
    of.map(|value| form.words(value.span).to_owned()).collect()
}

fn all_clauses(clauses: &[Clause]) -> Vec<&Clause> {
    let mut all = Vec::new();
    for clause in clauses {
        all.push(clause);
        all.extend(all_clauses(&clause.parts));
    }
    all
}
