//! Says at what voltage a battery counts as empty: another `spent` than it has, or one behind its `capacity`.

use super::Candidate;
use super::stanza_text::{Spelling, StanzaEdits};
use crate::circuit::battery;
use crate::numbers::{decimals, show};
use crate::plan::{ItemId, Part, Plan};
use crate::units::ElectricPotential;

/// This `spent` for a battery, with why, and what it does to its hours. None where it has no `spent` and no
/// `capacity`.
pub fn set_spent(
    plan: &Plan,
    battery: ItemId,
    to: ElectricPotential,
    why: &str,
) -> Option<Candidate> {
    let stanza = plan.items.get(battery.0)?.stanza;
    let tree = plan.stanza(stanza);
    let mut edits = StanzaEdits::of(stanza);
    let what = match tree.clause("spent") {
        Some(clause) => {
            let value = clause.values.first()?;
            let old = tree.words(value.span);
            let new = Spelling::of(old)?.write(to.value, 3);
            edits.put(value.span, &new);
            format!("spent {new} instead of {old}")
        }
        None => {
            let new = format!("spent {}", show(to));
            edits.insert(tree.clause("capacity")?.span.end, &format!(" {new}"));
            new
        }
    };
    let hours = hours_with(plan, battery, None).zip(hours_with(plan, battery, Some(to)));
    let hours = hours.filter(|(now, then)| now != then);
    let hours = hours.map(|(now, then)| format!("; {then} h, not {now} h"));
    Some(Candidate {
        title: format!("{what}: {why}{}", hours.unwrap_or_default()),
        edits: edits.into_edits(plan),
    })
}

/// The hours that a battery lasts, with another `spent` if one is given; `None` where it says no capacity or lasts
/// for ever.
fn hours_with(plan: &Plan, battery: ItemId, spent: Option<ElectricPotential>) -> Option<String> {
    let mut plan = plan.clone();
    if let (Some(to), Part::Supply(supply)) = (spent, &mut plan.items[battery.0].part) {
        supply.spent = Some(to);
    }
    let hours = battery::lasts(&plan, battery, &|| false)?.value / 3600.0;
    hours.is_finite().then(|| decimals(hours, 1))
}
