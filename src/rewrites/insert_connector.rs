//! Puts a connector ahead of a run, so that the part that the run goes into can be lifted off.

use super::Candidate;
use super::branch_chain::written_name;
use super::free_name::{free_name, numbered};
use super::stanza_text::{insert_before, words_on_one_line};
use super::users::repoint_both_legs;
use crate::plan::{ItemId, Plan, StanzaId};

/// A connector on the point that feeds this item; the item, and all else in its zone that the same point feeds, is fed
/// from the connector. None where the item has its own way of return, or is fed from an output.
pub fn insert_connector(plan: &Plan, item: ItemId) -> Option<Candidate> {
    let first = plan.items.get(item.0)?;
    let feed = first.feed.as_ref()?;
    let zone = first.zone?;
    let point = feed.from;
    if point.output.is_some() {
        return None;
    }
    // All that goes into the zone from here; a return to the same point goes through the connector too.
    let goes_in = |i: &usize| {
        let other = &plan.items[*i];
        let fed = other.feed.as_ref();
        other.zone == Some(zone)
            && other.copy == first.copy
            && fed.is_some_and(|f| f.from == point && f.minus() == point && f.run.is_some())
    };
    let users: Vec<usize> = (0..plan.items.len()).filter(goes_in).collect();
    let stanzas: Vec<StanzaId> = users.iter().map(|&i| plan.items[i].stanza).collect();
    if !stanzas.contains(&first.stanza) {
        return None;
    }
    let stem = format!("{}-plug", plan.zones[zone.0].name.0);
    let stem = match first.copy {
        Some(_) => "plug".to_owned(),
        None => stem,
    };
    let plug = free_name(plan, first.copy, &[], numbered(&stem));
    let earliest = *stanzas.iter().min()?;
    let tree = plan.stanza(first.stanza);
    let (_, written) = tree.clause("from")?.names().next()?;
    let written = words_on_one_line(tree, written);
    let mut edits = vec![insert_before(
        plan,
        earliest,
        &format!("connector {plug} from {written}"),
    )];
    let definition = plan.references.iter().find(|r| {
        let from = tree.clause("from");
        r.stanza == first.stanza
            && from
                .and_then(|c| c.names().next())
                .is_some_and(|(_, s)| s == r.span)
    });
    let definition = definition?.definition;
    edits.extend(repoint_both_legs(plan, definition, &plug, &|s| {
        stanzas.contains(&s)
    }));
    let what = match users[..] {
        [_] => format!("{}'s run", written_name(plan, item)),
        _ => format!("{} runs", users.len()),
    };
    Some(Candidate {
        title: format!(
            "a connector {plug} at {written}, ahead of {what}: {} comes off",
            plan.zones[zone.0].name.0
        ),
        edits,
        told: Vec::new(),
    })
}
