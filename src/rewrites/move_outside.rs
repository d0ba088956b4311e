//! Moves a switch, a fuse or a connector from the end of its run to the beginning: out of a sealed zone.

use super::Candidate;
use super::branch_chain::written_name;
use super::free_name::{free_name, numbered};
use super::route::is_overridden;
use super::stanza_text::{StanzaEdits, has_comment, insert_after, removal, words_on_one_line};
use super::users::repoint_both_legs;
use crate::plan::{ItemId, Part, Plan};
use crate::text::Span;

/// The part sits on the point that feeds it; its run, its passages and its zone go to a new joint, which feeds what the
/// part fed. None without a run from another zone, where the return goes another way, where a copy says otherwise of it, and where
/// a comment would be lost.
pub fn move_outside(plan: &Plan, part: ItemId) -> Option<Candidate> {
    let item = plan.items.get(part.0)?;
    let feed = item.feed.as_ref()?;
    let is_movable = matches!(
        item.part,
        Part::Switch { .. } | Part::Fuse { .. } | Part::Connector { .. }
    );
    let ahead = plan.items[feed.from.item.0].zone;
    let own_words = !is_overridden(plan, item.stanza, &["from", "in"]);
    if !is_movable || !own_words || feed.back.is_some() || ahead == item.zone {
        return None;
    }
    let stanza = plan.stanza(item.stanza);
    let from = stanza.clause("from")?;
    let over = from.part("over")?;
    let own_zone = stanza.clause("in")?;
    let run = over.span.to(from.span);
    let run = Span::new(over.span.start, run.end);
    if has_comment(stanza, run) || has_comment(stanza, own_zone.span) {
        return None;
    }
    let name = written_name(plan, part);
    let (_, point) = from.names().next()?;
    let point = stanza.words(point);
    let tail = name.rsplit('.').next()?;
    let joint = free_name(plan, item.copy, &[], numbered(&format!("{tail}-end")));
    let mut edits = StanzaEdits::of(item.stanza);
    let mut gone = [run, own_zone.span];
    gone.sort_by_key(|s| s.start);
    for span in gone {
        edits.put(removal(stanza, span), "");
    }
    let mut edits = edits.into_edits(plan);
    let text = format!(
        "joint {joint} from {name} {} {}",
        words_on_one_line(stanza, run),
        words_on_one_line(stanza, own_zone.span)
    );
    edits.push(insert_after(plan, item.stanza, &text));
    edits.extend(repoint_both_legs(plan, item.stanza, &joint, &|_| true));
    let place = match ahead {
        Some(zone) => format!("to {point} in {}", plan.zones[zone.0].name.0),
        None => format!("to {point}"),
    };
    Some(Candidate {
        title: format!("move {name} {place}; a joint {joint} where it was"),
        edits,
    })
}
