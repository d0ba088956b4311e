//! Moves a battery out of a sealed zone, to the far end of the run by which its current leaves the zone.

use super::Candidate;
use super::branch_chain::listed;
use super::stanza_text::{StanzaEdits, removals};
use crate::plan::{ItemId, Part, Plan, Run, ZoneId};
use crate::syntax::tree::{Token, TokenKind};
use crate::text::Span;

/// The battery, and what sits behind it up to the run that leads out, in the zone where that run leads; the run itself
/// is not needed any more. None where the battery feeds more than one part, where that part stays in the zone, has a
/// return of its own, or is the piece of a pattern.
pub fn move_battery(plan: &Plan, battery: ItemId) -> Option<Candidate> {
    let sealed = plan.items.get(battery.0)?.zone?;
    let (moved, out) = up_to_the_run_out(plan, battery, sealed)?;
    let zone = plan.items[out.0].zone?;
    let zone_name = &plan.zones[zone.0].name.0;
    let mut edits = Vec::new();
    for &part in &moved {
        let id = plan.items[part.0].stanza;
        let Some(place) = plan.stanza(id).clause("in") else {
            continue;
        };
        let mut own = StanzaEdits::of(id);
        own.put(place.names().next()?.1, zone_name);
        edits.extend(own.into_edits(plan));
    }
    let id = plan.items[out.0].stanza;
    let stanza = plan.stanza(id);
    let from = stanza.clause("from")?;
    let run = Span::new(from.part("over")?.span.start, from.span.end);
    let of_run = |token: &Token| {
        let within = run.start <= token.span.start && token.span.end <= run.end;
        within && token.kind != TokenKind::Comment
    };
    let mut own = StanzaEdits::of(id);
    for span in removals(stanza, &of_run) {
        own.put(span, "");
    }
    edits.extend(own.into_edits(plan));
    let names: Vec<&str> = moved.iter().map(|i| &*plan.items[i.0].name.0).collect();
    Some(Candidate {
        title: format!(
            "move {} to {} in {zone_name}: the run from {} is not needed",
            listed(&names),
            plan.items[out.0].name.0,
            plan.zones[sealed.0].name.0
        ),
        edits,
        told: Vec::new(),
    })
}

/// The battery with what sits right behind it, and the one item whose run leads out of the zone.
fn up_to_the_run_out(
    plan: &Plan,
    battery: ItemId,
    sealed: ZoneId,
) -> Option<(Vec<ItemId>, ItemId)> {
    let mut moved = vec![battery];
    let tied = |item: ItemId| {
        let mut links = plan.links.iter();
        links.any(|l| l.ends.0.item == item || l.ends.1.item == item)
    };
    for _ in 0..plan.items.len() {
        let at = *moved.last()?;
        if plan.items[at.0].copy.is_some() || tied(at) {
            return None;
        }
        let users = (0..plan.items.len()).map(ItemId).filter(|i| {
            let feed = plan.items[i.0].feed.as_ref();
            feed.is_some_and(|f| f.from.item == at || f.minus().item == at)
        });
        let users: Vec<ItemId> = users.collect();
        let [user] = users[..] else {
            return None;
        };
        let item = &plan.items[user.0];
        let feed = item.feed.as_ref()?;
        let run: Option<&Run> = feed.run.as_ref();
        if feed.back.is_some() || item.copy.is_some() {
            return None;
        }
        match run {
            Some(_) if item.zone != Some(sealed) => return Some((moved, user)),
            Some(_) => return None,
            None if matches!(
                item.part,
                Part::Fuse { .. } | Part::Switch { .. } | Part::Connector { .. } | Part::Joint
            ) =>
            {
                moved.push(user);
            }
            None => return None,
        }
    }
    None
}
