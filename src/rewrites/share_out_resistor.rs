//! Gives lamps that share one resistor a resistor each, and makes a joint of the shared one.

use super::Candidate;
use super::branch_string::LampResistor;
use super::choose_resistor::series_resistor;
use super::e24;
use super::resistor_text::add_resistor;
use super::stanza_text::{StanzaEdits, removal};
use super::worst::greatest;
use crate::circuit::Solution;
use crate::numbers::show;
use crate::plan::{Edit, ItemId, Part, Plan};
use crate::syntax::tree::ValueKind;
use crate::syntax::vocabulary::StanzaWord;

/// The lamps' own resistors, for the voltage ahead of the shared one. None where something else hangs on the resistor
/// and needs it, where it or a lamp is the piece of a copy, where a lamp has a
/// resistor, or where no value serves.
pub fn share_out_resistor(
    plan: &Plan,
    solution: &Solution,
    resistor: ItemId,
    lamps: &[ItemId],
) -> Vec<Candidate> {
    shared_out(plan, solution, resistor, lamps)
        .into_iter()
        .collect()
}

fn shared_out(
    plan: &Plan,
    solution: &Solution,
    resistor: ItemId,
    lamps: &[ItemId],
) -> Option<Candidate> {
    let item = plan.items.get(resistor.0)?;
    if !matches!(item.part, Part::Resistor { .. }) {
        return None;
    }
    if item.copy.is_some() || others_hang_on(plan, resistor, lamps) {
        return None;
    }
    let typical = greatest(solution, resistor, |f| f.volts.typical)?;
    let highest = greatest(solution, resistor, |f| f.volts.high)?;

    let stanza = plan.stanza(item.stanza);
    let mut own = StanzaEdits::of(item.stanza);
    own.put(stanza.word_span, StanzaWord::Joint.word());
    for value in &stanza.head {
        if matches!(value.kind, ValueKind::Quantity(..)) {
            own.put(removal(stanza, value.span), "");
        }
    }
    let mut edits: Vec<Edit> = own.into_edits(plan);
    let mut first: Option<LampResistor> = None;
    for &lamp in lamps {
        let Part::Lamps {
            led,
            count,
            runs_at,
            resistor: None,
        } = plan.items[lamp.0].part
        else {
            return None;
        };
        if plan.items[lamp.0].copy.is_some() {
            return None;
        }
        let led = &plan.leds[led.0];
        let wanted = runs_at.unwrap_or(led.curve.stated_amps);
        let new = series_resistor(&led.curve, count, led.limit, wanted, typical, highest)?;
        let words = format!("{} {}", e24::written(new.ohms), new.rating);
        edits.extend(add_resistor(plan, lamp, &words)?);
        first.get_or_insert(new);
    }
    let first = first?;
    Some(Candidate {
        title: format!(
            "a resistor each, {} {} for {}: {} a lamp, and one failure leaves the others as they are",
            e24::written(first.ohms),
            first.rating,
            plan.items[lamps.first()?.0].name.0,
            show(first.current)
        ),
        edits,
    })
}

/// Whether anything but these lamps draws through the resistor.
fn others_hang_on(plan: &Plan, resistor: ItemId, lamps: &[ItemId]) -> bool {
    (0..plan.items.len()).map(ItemId).any(|i| {
        let draws = plan.items[i.0].is_light()
            || matches!(
                plan.items[i.0].part,
                Part::Load(_) | Part::Board { .. } | Part::Regulator { .. }
            );
        draws && !lamps.contains(&i) && hangs_on(plan, i, resistor)
    })
}

fn hangs_on(plan: &Plan, item: ItemId, on: ItemId) -> bool {
    let mut at = item;
    for _ in 0..plan.items.len() {
        let Some(feed) = &plan.items[at.0].feed else {
            return false;
        };
        at = feed.from.item;
        if at == on {
            return true;
        }
    }
    false
}
