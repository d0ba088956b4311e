//! Splits a string into strings of fewer lamps side by side, each with a resistor of its own.
//!
//! As many lamps stay in series as leave the resistor its part of the voltage; the lamps are shared out evenly. Scenes
//! and stages name all the strings.

use super::choose_resistor::series_resistor;
use super::free_name::free_name;
use super::route::is_overridden;
use super::source::{Fed, Sources};
use super::stanza_text::{StanzaEdits, insert_after, line_end, words_on_one_line};
use super::told::{Told, Which, Words, called};
use super::users::listed_as;
use super::worst::greatest;
use super::{Candidate, e24, in_each_copy};
use crate::circuit::Solution;
use crate::numbers::show;
use crate::plan::{ItemId, Part, Plan};
use crate::syntax::tree::ValueKind;
use crate::syntax::vocabulary::StanzaWord;
use crate::units::ElectricPotential;

/// More lamps than this in series are a slip of the pen: they would want over 60 V.
const MOST_LAMPS: u32 = 50;

/// Strings of which each wants no more than `part` of the voltage. None where a copy says otherwise of it, where fewer than two would
/// stay in series, where no resistor serves, or where the string is used in a way that several cannot stand in for.
pub fn split_string(plan: &Plan, solution: &Solution, string: ItemId, part: f64) -> Vec<Candidate> {
    split(plan, solution, string, part).into_iter().collect()
}

fn split(plan: &Plan, solution: &Solution, string: ItemId, part: f64) -> Option<Candidate> {
    let item = plan.items.get(string.0)?;
    let Part::Lamps {
        led,
        count,
        runs_at,
        ..
    } = item.part
    else {
        return None;
    };
    if is_overridden(plan, item.stanza, &[])
        || item.word != StanzaWord::String
        || count > MOST_LAMPS
    {
        return None;
    }
    let led = &plan.leds[led.0];
    let wanted = runs_at.unwrap_or(led.curve.stated_amps);
    let typical = greatest(solution, string, |f| f.volts.typical)?;
    let highest = greatest(solution, string, |f| f.volts.high)?;
    let least = solution
        .states()
        .filter_map(|s| s.outcome.as_ref().ok()?.items.get(string.0))
        .filter(|f| f.reached)
        .map(|f| f.volts.typical)
        .reduce(ElectricPotential::min)?;
    let fit = (least * part / led.curve.volts_at(wanted)).value.floor();
    let most = if fit >= f64::from(count) {
        return None;
    } else {
        fit as u32
    };
    if most < 2 {
        return None;
    }
    let strings = count.div_ceil(most);
    let (each, over) = (count / strings, count % strings);
    let sizes: Vec<u32> = (0..strings).map(|k| each + u32::from(k < over)).collect();

    let stanza = plan.stanza(item.stanza);
    let (own, _) = stanza.name()?;
    let tail = own.0.rsplit('.').next()?;
    let mut names = vec![own.0.to_string()];
    for _ in 1..strings {
        names.push(free_name(plan, item.copy, &names, |n| {
            format!("{tail}-{}", n + 1)
        }));
    }
    let soft = Fed::of(plan, string, string)?.soft_sources(solution);
    let sources = match soft {
        Some(sources) => sources.shared_by(strings),
        None => Sources::held(typical, highest),
    };
    let resistor = |n: u32| {
        let new = series_resistor(&led.curve, n, led.limit, wanted, &sources)?;
        Some((
            format!("{} {}", e24::written(new.ohms), new.rating),
            new.current,
        ))
    };

    let mut edits = Vec::new();
    let mut first = StanzaEdits::of(item.stanza);
    let value = stanza
        .head
        .iter()
        .find(|v| matches!(v.kind, ValueKind::Count(..)))?;
    let (words, _) = resistor(sizes[0])?;
    first.put(value.span, &lamps(sizes[0]));
    match stanza.clause("resistor") {
        Some(c) => first.put(c.values.first()?.span.to(c.values.last()?.span), &words),
        None => first.insert(value.span.end, &format!(" resistor {words}")),
    }
    edits.extend(first.into_edits(plan));
    let (_, led_span) = crate::syntax::tree::names(&stanza.head).nth(1)?;
    let mut others = Vec::new();
    for (name, &size) in names.iter().zip(&sizes).skip(1) {
        let (words, _) = resistor(size)?;
        let (word, number) = match size {
            1 => ("lamp", String::new()),
            n => ("string", format!(" {}", lamps(n))),
        };
        let mut text = format!(
            "{word} {name} of {}{number} resistor {words}",
            stanza.words(led_span)
        );
        for clause in &stanza.clauses {
            match clause.word {
                "note" | "accept" => {}
                "resistor" => {
                    if let Some(at) = clause.part("at") {
                        text.push_str(&format!(" {}", words_on_one_line(stanza, at.span)));
                    }
                }
                _ => text.push_str(&format!(" {}", words_on_one_line(stanza, clause.span))),
            }
        }
        others.push(text);
    }
    edits.push(insert_after(
        plan,
        item.stanza,
        &others.join(line_end(plan, item.stanza)),
    ));
    edits.extend(listed_as(plan, item.stanza, &names)?);
    // Strings of one size have one resistor.
    let (mut through, mut told) = (Vec::new(), Vec::new());
    let mut of_size = names.iter();
    for alike in sizes.chunk_by(|a, b| a == b) {
        let (words, current) = resistor(alike[0])?;
        let shared: Vec<String> = alike.iter().map(u32::to_string).collect();
        let lamps = if alike == [1] { "lamp" } else { "lamps" };
        let figure = Told {
            item: called(plan, item.copy, of_size.nth(alike.len() - 1)?),
            what: Which::Amps,
            reckoned: show(current),
            words: Words::Beside {
                before: format!("{} {lamps} through {words} with ", shared.join(" and ")),
                behind: String::new(),
            },
        };
        through.push(figure.as_reckoned());
        told.push(figure);
    }
    Some(Candidate {
        title: format!(
            "{strings} strings side by side instead of {count} lamps in series: {}{}",
            through.join(", "),
            in_each_copy(plan, string)
        ),
        edits,
        told,
    })
}

fn lamps(count: u32) -> String {
    format!("{count} {}", if count == 1 { "lamp" } else { "lamps" })
}
