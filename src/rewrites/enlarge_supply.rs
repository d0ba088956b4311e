//! Puts the next usual size of supply in the place of one that is too small.

use super::Candidate;
use super::columns::hold_columns;
use super::stanza_text::{Spelling, plain};
use super::usual::supply_at_least;
use super::worst::greatest;
use crate::circuit::Solution;
use crate::numbers::show;
use crate::plan::{Edit, ItemId, Part, Plan};
use crate::syntax::tree::ValueKind;
use crate::syntax::vocabulary::Dimension;

/// The least usual size that keeps the plan's headroom free at the typical current of the worst
/// scene, and is not exceeded in any corner. None where the supply states no current, is large
/// enough already, or no usual one is.
pub fn enlarge_supply(plan: &Plan, solution: &Solution, supply: ItemId) -> Vec<Candidate> {
    enlarged(plan, solution, supply).into_iter().collect()
}

fn enlarged(plan: &Plan, solution: &Solution, supply: ItemId) -> Option<Candidate> {
    let item = plan.items.get(supply.0)?;
    let Part::Supply(source) = &item.part else {
        return None;
    };
    let limit = source.limit?;
    let typical = greatest(solution, supply, |f| f.passes.typical)?;
    let highest = greatest(solution, supply, |f| f.passes.high)?;
    let used = 1.0 - plan.settings.headroom.value;
    if used <= 0.0 {
        return None;
    }
    let size = supply_at_least((typical / used).max(highest))?;
    if size <= limit {
        return None;
    }
    let stanza = plan.stanza(item.stanza);
    let value = stanza
        .head
        .iter()
        .find(|v| matches!(v.kind, ValueKind::Quantity(_, Dimension::Current)))?;
    let spelling = Spelling::of(stanza.words(value.span))?;
    Some(Candidate {
        title: format!(
            "{} of {} instead of {}: it gives {}, {} % stays free",
            item.name.0,
            spelling.write(size.value, 3),
            stanza.quoted(value.span),
            show(typical),
            plain(100.0 * (1.0 - (typical / size).value), 0),
        ),
        edits: hold_columns(
            plan,
            item.stanza,
            vec![Edit {
                stanza: item.stanza,
                span: value.span,
                text: spelling.write(size.value, 3),
            }],
        ),
        told: Vec::new(),
    })
}
