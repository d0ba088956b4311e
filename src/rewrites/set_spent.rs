//! Says at what voltage a battery counts as empty: another `spent` than it has, or one behind its `capacity`.

use super::Candidate;
use super::stanza_text::{Spelling, StanzaEdits};
use crate::numbers::show;
use crate::plan::{ItemId, Plan};
use crate::units::ElectricPotential;

/// This `spent` for a battery, with why. None where it has no `spent` and no
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
            let new = Spelling::of(tree.words(value.span))?.write(to.value, 3);
            edits.put(value.span, &new);
            format!("spent {new} instead of {}", tree.quoted(value.span))
        }
        None => {
            let new = format!("spent {}", show(to));
            edits.insert(tree.clause("capacity")?.span.end, &format!(" {new}"));
            new
        }
    };
    Some(Candidate {
        title: format!("{what}: {why}"),
        edits: edits.into_edits(plan),
        told: Vec::new(),
    })
}
