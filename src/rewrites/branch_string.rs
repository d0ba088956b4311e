//! Branches a string: lamps in series become lamps side by side, each with a resistor of its own, so
//! that one failure darkens one lamp.
//!
//! Each lamp keeps what the string had: feed, zone, wanted current; the first keeps the notes and
//! comments too. The resistor is the E24 value (IEC 60063) whose typical current is nearest to the
//! wanted one (else the rated), and whose current stays within the lamp's limit in the bright corner.
//! What was fed from the string is fed from the string's own point then, by so much longer a run;
//! scenes and stages name all lamps; a record of the string's trial becomes a comment, since no
//! lamp drew that.

use super::free_name::free_name;
use super::keep_dark::{Freed, keep_dark};
use super::route::{Leg, Route, Target, is_overridden, leg_point, repoint};
use super::source::{Fed, Sources};
use super::stanza_text::{StanzaEdits, insert_after, line_end, removal, words_on_one_line};
use super::told::{Told, Which, Words, called};
use super::users::spelt_there;
use super::usual::resistor_rating;
use super::worst::greatest;
use super::{Candidate, e24};
use crate::circuit::Solution;
use crate::circuit::lamp::wright_omega;
use crate::numbers::show;
use crate::plan::curve::LampCurve;
use crate::plan::{Edit, ItemId, Part, Plan, RegulatorWay, StanzaId};
use crate::syntax::tree::{Clause, TokenKind, ValueKind};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;
use crate::units::{ElectricCurrent, ElectricPotential, ElectricalResistance, amps, ratio, volts};

/// How far a stated resistor strays in a corner, and how much less a lamp drops then.
const RESISTOR_STRAYS: f64 = 0.05;
pub(super) const LAMP_STRAYS: f64 = 0.1;

/// A current further off the wanted one than this is no success (as the check `lamp-off-target`).
const OFF_TARGET: f64 = 0.4;

/// More lamps than this in series are a slip of the pen: they would want over 60 V.
const MOST_LAMPS: u32 = 50;

/// The lamps of a string, branched. None where the item is no string, has no figures, where no
/// resistor serves, or where the string is used in a way that lamps cannot stand in for.
pub fn branch_string(plan: &Plan, solution: &Solution, string: ItemId) -> Vec<Candidate> {
    branched(plan, solution, string).into_iter().collect()
}

/// A resistor for one lamp.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LampResistor {
    /// Its E24 value.
    pub ohms: ElectricalResistance,
    /// The typical current.
    pub current: ElectricCurrent,
    /// The rating it needs, as written: `1/4 W`.
    pub rating: &'static str,
}

/// The current through a lamp and a resistor at a voltage: the one at which both add up to it.
pub fn current_through(
    curve: &LampCurve,
    resistor: ElectricalResistance,
    across: ElectricPotential,
) -> ElectricCurrent {
    if across <= volts(0.0) {
        return amps(0.0);
    }
    let (slope, stated) = (curve.slope, curve.stated_amps);
    let above = across - (curve.stated_volts - curve.series * stated);
    let each = slope / (curve.series + resistor);
    // With i = each · w and the knee taken off, what the lamp drops and the resistors add up to the voltage where
    // w + ln w = above / slope + ln(stated / each).
    each * wright_omega(
        (above / slope).value + libm::log((stated / each).value),
        0.0,
    )
}

/// The resistor for a lamp fed from here (typical, and in the bright corner): of the E24 values
/// that keep the current within `limit` in the bright corner, the one whose typical current is
/// nearest to `wanted`. None where the lamp would be more than 40 % off, or the resistor too hot for
/// any usual rating.
pub fn lamp_resistor(
    curve: &LampCurve,
    limit: ElectricCurrent,
    wanted: ElectricCurrent,
    sources: &Sources,
) -> Option<LampResistor> {
    let mut bright_curve = *curve;
    bright_curve.stated_volts -= volts(LAMP_STRAYS);
    let off = |current: ElectricCurrent| ((current - wanted) / wanted).value.abs();
    let bright = |ohms: ElectricalResistance| {
        let low = ohms * (1.0 - RESISTOR_STRAYS);
        let each = sources.bright.iter();
        each.map(|s| current_through(&bright_curve, low + s.resistance, s.volts))
            .fold(amps(0.0), ElectricCurrent::max)
    };
    let typical = |ohms: ElectricalResistance| {
        let source = sources.typical;
        current_through(curve, ohms + source.resistance, source.volts)
    };
    let (ohms, current) = e24::values()
        .filter(|&ohms| bright(ohms) <= limit)
        .map(|ohms| (ohms, typical(ohms)))
        .min_by(|a, b| off(a.1).total_cmp(&off(b.1)))?;
    if off(current) > OFF_TARGET {
        return None;
    }
    let most = bright(ohms);
    let (_, rating) = resistor_rating(most * most * ohms)?;
    Some(LampResistor {
        ohms,
        current,
        rating,
    })
}

fn branched(plan: &Plan, solution: &Solution, string: ItemId) -> Option<Candidate> {
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
    if item.word != StanzaWord::String || !(2..=MOST_LAMPS).contains(&count) {
        return None;
    }
    // In a pattern, the stanza stands for a string in every copy: the resistor must serve them all.
    let strings: Vec<ItemId> = (0..plan.items.len())
        .map(ItemId)
        .filter(|i| plan.items[i.0].stanza == item.stanza)
        .collect();
    let alike = strings
        .iter()
        .all(|s| matches!(plan.items[s.0].part, Part::Lamps { led: other, .. } if other == led));
    if !alike || is_overridden(plan, item.stanza, &[]) {
        return None;
    }

    let lamp = &plan.leds[led.0];
    let highest = strings
        .iter()
        .filter_map(|&s| greatest(solution, s, |f| f.volts.high))
        .fold(None, |best: Option<ElectricPotential>, v| {
            Some(best.map_or(v, |b| b.max(v)))
        })?;
    let typical = greatest(solution, string, |f| f.volts.typical)?;
    let wanted = runs_at.unwrap_or(lamp.curve.stated_amps);
    let soft = Fed::of(plan, string, string)?.soft_sources(solution);
    let sources = match soft {
        Some(sources) => sources.shared_by(count),
        None => Sources::held(typical, highest),
    };
    let resistor = lamp_resistor(&lamp.curve, lamp.limit, wanted, &sources)?;

    let names = new_names(plan, string, count)?;
    let mut edits = string_becomes_lamps(plan, item.stanza, &names, &resistor)?;
    let mut users = power_users(plan, &strings)?;
    edits.append(&mut users.edits);
    edits.extend(keep_dark(plan, solution, &users.freed));
    edits.extend(other_users(plan, item.stanza, &names, &users.stanzas)?);

    let (name, _) = plan.stanza(item.stanza).name()?;
    let words = format!("{} {}", e24::written(resistor.ohms), resistor.rating);
    let mut title = format!(
        "branch {}: {count} lamps at {} each through {words}; ",
        name.0,
        show(resistor.current)
    );
    let mut told = vec![Told {
        item: called(plan, item.copy, &names[0]),
        what: Which::Amps,
        reckoned: show(resistor.current),
        words: Words::Beside {
            before: " lamps at ".to_owned(),
            behind: " each through ".to_owned(),
        },
    }];
    let more = resistor.current * f64::from(count)
        - greatest(solution, string, |f| f.amps.typical).unwrap_or_default();
    let more = more * strings.len() as f64;
    if let Some((then, of)) = supply_goes(plan, solution, string, more) {
        title.push_str(&format!("{}{of}; ", then.as_reckoned()));
        told.push(then);
    }
    title.push_str(&format!("one break darkens 1 light, not {count}"));
    Some(Candidate { title, edits, told })
}

/// The names of the lamps, as written: `row-1`, `row-2` …, or the next that are free.
fn new_names(plan: &Plan, string: ItemId, count: u32) -> Option<Vec<String>> {
    let item = &plan.items[string.0];
    let (name, _) = plan.stanza(item.stanza).name()?;
    let own = name.0.rsplit('.').next()?;
    let mut names = Vec::new();
    for _ in 0..count {
        let next = free_name(plan, item.copy, &names, |n| format!("{own}-{n}"));
        names.push(next);
    }
    Some(names)
}

/// The string's stanza as that of the first lamp, and the others behind it.
fn string_becomes_lamps(
    plan: &Plan,
    id: StanzaId,
    names: &[String],
    resistor: &LampResistor,
) -> Option<Vec<Edit>> {
    let stanza = plan.stanza(id);
    let values = format!("{} {}", e24::written(resistor.ohms), resistor.rating);
    let (_, name) = stanza.name()?;
    let (_, led) = crate::syntax::tree::names(&stanza.head).nth(1)?;
    let count = stanza
        .head
        .iter()
        .find(|v| matches!(v.kind, ValueKind::Count(..)))?
        .span;

    let mut first = StanzaEdits::of(id);
    first.put(stanza.word_span, StanzaWord::Lamp.word());
    first.put(name, &names[0]);
    let own = stanza.clause("resistor");
    match own {
        Some(clause) => {
            first.put(removal(stanza, count), "");
            let span = clause.values.first()?.span.to(clause.values.last()?.span);
            first.put(span, &values);
        }
        None => first.put(count, &format!("resistor {values}")),
    }
    for clause in &stanza.clauses {
        if only_for_strings(clause) {
            first.put(removal(stanza, clause.span), "");
        }
    }

    let mut clauses: Vec<String> = stanza
        .clauses
        .iter()
        .filter(|c| !matches!(c.word, "note" | "accept"))
        .map(|c| match c.word {
            "resistor" => {
                let at = c.part("at").map(|at| words_on_one_line(stanza, at.span));
                let at = at.map_or_else(String::new, |at| format!(" {at}"));
                format!("resistor {values}{at}")
            }
            _ => words_on_one_line(stanza, c.span),
        })
        .collect();
    if own.is_none() {
        clauses.insert(0, format!("resistor {values}"));
    }
    let clauses = clauses.join(" ");
    let others: Vec<String> = names[1..]
        .iter()
        .map(|name| format!("lamp {name} of {} {clauses}", stanza.words(led)))
        .collect();
    let mut edits = first.into_edits(plan);
    edits.push(insert_after(plan, id, &others.join(line_end(plan, id))));
    Some(edits)
}

/// Whether a clause accepts what only a string can do.
fn only_for_strings(clause: &Clause) -> bool {
    clause.word == "accept"
        && clause
            .names()
            .next()
            .is_some_and(|(check, _)| matches!(&*check.0, "series-string" | "too-many-in-series"))
}

/// Items fed from the string, re-pointed to what feeds it.
struct PowerUsers {
    edits: Vec<Edit>,
    stanzas: Vec<StanzaId>,
    freed: Vec<Freed>,
}

fn power_users(plan: &Plan, strings: &[ItemId]) -> Option<PowerUsers> {
    let mut users = PowerUsers {
        edits: Vec::new(),
        stanzas: Vec::new(),
        freed: Vec::new(),
    };
    for item in (0..plan.items.len()).map(ItemId) {
        let fed_from = |leg| leg_point(plan, item, leg).map(|p| p.item);
        let Some(&string) = strings
            .iter()
            .find(|&&s| fed_from(Leg::Plus) == Some(s) || fed_from(Leg::Minus) == Some(s))
        else {
            continue;
        };
        let it = &plan.items[item.0];
        if users.stanzas.contains(&it.stanza) {
            continue; // a piece, met in another copy
        }
        if it.copy != plan.items[string.0].copy || is_overridden(plan, it.stanza, &["from", "in"]) {
            return None;
        }
        let plus = Route::past_one(plan, item, Leg::Plus, string)?;
        let minus = Route::past_one(plan, item, Leg::Minus, string)?;
        if plus.point.item == item || minus.point.item == item {
            return None;
        }
        users.edits.extend(repoint(
            plan,
            item,
            &Target {
                words: &plus.point_words,
                route: &plus,
            },
            &Target {
                words: &minus.point_words,
                route: &minus,
            },
        )?);
        users.stanzas.push(it.stanza);
        users.freed.push(Freed {
            item,
            from: plus.lights,
        });
    }
    Some(users)
}

/// All other places that name the string. `None` where lamps cannot stand in for it.
fn other_users(
    plan: &Plan,
    string: StanzaId,
    names: &[String],
    repointed: &[StanzaId],
) -> Option<Vec<Edit>> {
    let mut edits: Vec<Edit> = Vec::new();
    for reference in &plan.references {
        if reference.definition != string {
            continue;
        }
        let (id, span) = (reference.stanza, reference.span);
        let stanza = plan.stanza(id);
        let spelt = |name: &String| spelt_there(plan, reference, name);
        let clause = stanza
            .clauses
            .iter()
            .find(|c| c.span.start <= span.start && span.end <= c.span.end);
        let text = match (clause.map(|c| c.word), stanza.word) {
            (Some("from"), _) if repointed.contains(&id) => continue,
            (Some("between"), _) => spelt(&names[0]),
            (Some("off" | "only" | "fits"), _) => {
                names.iter().map(spelt).collect::<Vec<_>>().join(", ")
            }
            (None, Some(StanzaWord::Tried)) => {
                edits.extend(as_comment(plan, id, "# tried as a string:"));
                continue;
            }
            _ => return None,
        };
        let edit = Edit {
            stanza: id,
            span,
            text,
        };
        if !edits.contains(&edit) {
            edits.push(edit);
        }
    }
    Some(edits)
}

/// Makes a comment of a stanza; `word` comes in the place of its stanza word.
fn as_comment(plan: &Plan, id: StanzaId, word: &str) -> Vec<Edit> {
    let stanza = plan.stanza(id);
    let core = stanza.core_span();
    let edit = |span, text: &str| Edit {
        stanza: id,
        span,
        text: text.to_string(),
    };
    let mut edits = vec![edit(stanza.word_span, word)];
    for token in &stanza.tokens {
        if token.kind == TokenKind::LineEnd
            && core.start < token.span.start
            && token.span.end < core.end
        {
            edits.push(edit(Span::new(token.span.end, token.span.end), "# "));
        }
    }
    edits
}

/// "adapter goes from 0.41 A to 0.46 A" and " of 1 A"; `None` where the supply does not see the same
/// current, behind a switching regulator.
fn supply_goes(
    plan: &Plan,
    solution: &Solution,
    string: ItemId,
    more: ElectricCurrent,
) -> Option<(Told, String)> {
    let mut at = string;
    for _ in 0..plan.items.len() {
        match &plan.items[at.0].part {
            Part::Supply(supply) => {
                let now = greatest(solution, at, |f| f.passes.typical)?;
                let of = supply
                    .limit
                    .map_or_else(String::new, |limit| format!(" of {}", show(limit)));
                let name = &plan.items[at.0].name.0;
                let told = Told {
                    item: name.to_string(),
                    what: Which::Passes,
                    reckoned: show(now + more),
                    words: Words::Beside {
                        before: format!("{name} goes from {} to ", show(now)),
                        behind: String::new(),
                    },
                };
                return Some((told, of));
            }
            Part::Regulator {
                way: RegulatorWay::Switching { efficiency },
                ..
            } if *efficiency > ratio(0.0) => return None,
            _ => at = leg_point(plan, at, Leg::Plus)?.item,
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::ohms;

    fn white() -> LampCurve {
        LampCurve::through((volts(3.0), amps(0.02)), None, None).unwrap()
    }

    /// Ohm's law at the stated point: 12 V − 3 V over 450 ohm is 20 mA (hand calculation).
    #[test]
    fn the_current_adds_up() {
        let current = current_through(&white(), ohms(450.0), volts(12.0));
        assert!((current - amps(0.02)).abs() < amps(1e-9));
        assert_eq!(
            current_through(&white(), ohms(450.0), volts(0.0)),
            amps(0.0)
        );
        let least = current_through(&white(), ohms(450.0), volts(1.0));
        assert!(least < amps(1e-6));
        for tenths in 16..400 {
            let across = volts(f64::from(tenths) / 10.0);
            for resistor in [0.001, 1.0, 47.0, 450.0, 1e4, 1e6].map(ohms) {
                let current = current_through(&white(), resistor, across);
                let sum = white().volts_at(current) + resistor * current;
                assert!(
                    (sum - across).abs() < across * 1e-12,
                    "{resistor:?} {across:?}"
                );
            }
        }
        assert!(current_through(&white(), ohms(450.0), volts(1e-9)) < amps(1e-12));
    }

    /// By hand: 12 V − 3 V at 20 mA asks for 450 ohm; 430 gives 20.9 mA, 470 gives 19.2 mA. In the
    /// bright corner 430 ohm − 5 % at 12.6 V with a lamp of 2.9 V: 23.5 mA.
    #[test]
    fn the_value_nearest_to_the_wanted_current_within_the_limit() {
        let choose = |limit: f64, wanted: f64, v: f64, high: f64| {
            lamp_resistor(
                &white(),
                amps(limit),
                amps(wanted),
                &Sources::held(volts(v), volts(high)),
            )
        };
        let usual = choose(0.025, 0.02, 12.0, 12.6).unwrap();
        assert_eq!(e24::written(usual.ohms), "470 ohm");
        assert!((usual.current - amps(0.0192)).abs() < amps(0.0001));
        // 21.6 mA bright: 0.22 W, over 60 % of 1/4 W.
        assert_eq!(usual.rating, "1/2 W");
        // 470 ohm gives 21.6 mA in the bright corner; 510 gives 19.9 mA.
        let tight = choose(0.021, 0.02, 12.0, 12.6).unwrap();
        assert_eq!(e24::written(tight.ohms), "510 ohm");
        assert_eq!(choose(0.025, 0.02, 2.5, 2.6), None);
        assert_eq!(
            choose(0.010, 0.02, 12.0, 12.6),
            None,
            "half the wanted current is no success"
        );
    }
}
