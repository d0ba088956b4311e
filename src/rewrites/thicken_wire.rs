//! Thicker wire for the runs that an item hangs on: the one on its way that loses most is made of the next thicker wire of
//! the plan's stock, or of a thicker one still.

use super::Candidate;
use super::columns::hold_columns;
use super::route::is_overridden;
use crate::circuit::{Solution, copper};
use crate::numbers::show;
use crate::plan::{Edit, ItemId, Plan, Run, WireId};
use crate::units::volts;

/// The thinnest wire comes first.
pub fn thicken_wire(plan: &Plan, solution: &Solution, item: ItemId) -> Vec<Candidate> {
    let Some((at, run, lost)) = worst_run(plan, solution, item) else {
        return Vec::new();
    };
    let old = &plan.wires[run.wire.0];
    let mut thicker: Vec<WireId> = (0..plan.wires.len())
        .map(WireId)
        .filter(|w| plan.wires[w.0].copper > old.copper)
        .collect();
    thicker.sort_by(|a, b| {
        plan.wires[a.0]
            .copper
            .value
            .total_cmp(&plan.wires[b.0].copper.value)
    });
    thicker
        .into_iter()
        .filter_map(|wire| thickened(plan, at, run, wire, lost))
        .collect()
}

/// The item on the way back whose run loses most, both legs together, and what that is in volts.
fn worst_run<'a>(
    plan: &'a Plan,
    solution: &Solution,
    item: ItemId,
) -> Option<(ItemId, &'a Run, f64)> {
    let mut worst: Option<(ItemId, &Run, f64)> = None;
    let mut at = item;
    for _ in 0..plan.items.len() {
        let Some(feed) = &plan.items[at.0].feed else {
            break;
        };
        if let Some(run) = &feed.run {
            let passes = super::worst::greatest(solution, at, |f| f.passes.typical);
            let lost = passes.map_or(0.0, |i| 2.0 * i.value.abs())
                * copper::run_leg(plan, Some(run)).value;
            if worst.as_ref().is_none_or(|w| lost > w.2) {
                worst = Some((at, run, lost));
            }
        }
        at = feed.from.item;
    }
    worst
}

fn thickened(plan: &Plan, item: ItemId, run: &Run, wire: WireId, lost: f64) -> Option<Candidate> {
    let (old, new) = (&plan.wires[run.wire.0], &plan.wires[wire.0]);
    let id = plan.items[item.0].stanza;
    if is_overridden(plan, id, &["from"]) {
        return None;
    }
    let stanza = plan.stanza(id);
    let (_, span) = stanza.clause("from")?.part("over")?.names().next()?;
    if stanza.words(span) != &*old.name.0 {
        return None; // a needed word, that each copy says for itself
    }
    let thinner = (old.copper / new.copper).value;
    let edits = vec![Edit {
        stanza: id,
        span,
        text: new.name.0.to_string(),
    }];
    Some(Candidate {
        title: format!(
            "{} instead of {} to {}: {} lost there, not {}",
            new.name.0,
            old.name.0,
            stanza.name()?.0.0,
            show(volts(lost * thinner * thinner)),
            show(volts(lost))
        ),
        edits: hold_columns(plan, id, edits),
    })
}
