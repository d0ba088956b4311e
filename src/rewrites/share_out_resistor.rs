//! Gives lamps that share one resistor a resistor each, and makes a joint of the shared one.

use super::branch_chain::written_name;
use super::branch_string::LampResistor;
use super::choose_resistor::series_resistor;
use super::resistor_text::add_resistor;
use super::source::Sources;
use super::stanza_text::{StanzaEdits, removal};
use super::told::{Told, Which, Words};
use super::worst::greatest;
use super::{Candidate, e24, in_each_copy};
use crate::circuit::Solution;
use crate::numbers::show;
use crate::plan::{Edit, ItemId, Part, Plan};
use crate::syntax::tree::ValueKind;
use crate::syntax::vocabulary::StanzaWord;
use crate::units::ElectricPotential;

/// The lamps' own resistors, for the voltage ahead of the shared one. None where something else hangs on the resistor
/// and needs it, where a lamp is no piece of the same copy or has a resistor, or where no value serves.
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
    if others_hang_on(plan, resistor, lamps) {
        return None;
    }
    let typical = greatest(solution, resistor, |f| f.volts.typical)?;
    // In a pattern, the stanza stands for a resistor in every copy.
    let alike = (0..plan.items.len()).map(ItemId);
    let highest = alike
        .filter(|i| plan.items[i.0].stanza == item.stanza)
        .filter_map(|i| greatest(solution, i, |f| f.volts.high))
        .reduce(ElectricPotential::max)?;

    let stanza = plan.stanza(item.stanza);
    let mut own = StanzaEdits::of(item.stanza);
    own.put(stanza.word_span, StanzaWord::Joint.word());
    for value in &stanza.head {
        if matches!(value.kind, ValueKind::Quantity(..)) {
            own.put(removal(stanza, value.span), "");
        }
    }
    let mut edits: Vec<Edit> = own.into_edits(plan);
    let sources = Sources::held(typical, highest);
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
        if plan.items[lamp.0].copy != item.copy {
            return None;
        }
        let led = &plan.leds[led.0];
        let wanted = runs_at.unwrap_or(led.curve.stated_amps);
        let new = series_resistor(&led.curve, count, led.limit, wanted, &sources)?;
        let words = format!("{} {}", e24::written(new.ohms), new.rating);
        edits.extend(add_resistor(plan, lamp, &words)?);
        first.get_or_insert(new);
    }
    let first = first?;
    let lead = *lamps.first()?;
    let told = Told {
        item: plan.items[lead.0].name.0.to_string(),
        what: Which::Amps,
        reckoned: show(first.current),
        words: Words::Beside {
            before: String::new(),
            behind: " a lamp, and one failure".to_owned(),
        },
    };
    Some(Candidate {
        title: format!(
            "a resistor each, {} {} for {}: {} leaves the others as they are{}",
            e24::written(first.ohms),
            first.rating,
            written_name(plan, lead),
            told.as_reckoned(),
            in_each_copy(plan, resistor)
        ),
        edits,
        told: vec![told],
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

/// Whether an item is fed by another, at once or through others.
pub fn hangs_on(plan: &Plan, item: ItemId, on: ItemId) -> bool {
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
