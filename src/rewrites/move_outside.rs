//! Moves a switch, a fuse or a connector from the end of its run to the beginning: out of a sealed zone. One without a run of its own
//! goes ahead of the parts that it sits on, to the beginning of theirs.

use super::Candidate;
use super::branch_chain::written_name;
use super::free_name::{free_name, numbered};
use super::route::is_overridden;
use super::stanza_text::{StanzaEdits, has_comment, insert_after, removal, words_on_one_line};
use super::users::repoint_both_legs;
use crate::plan::{Edit, ItemId, Part, Plan};
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
    if !is_movable || !own_words || feed.back.is_some() {
        return None;
    }
    if ahead == item.zone {
        return move_ahead(plan, part);
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
        told: Vec::new(),
    })
}

/// The part ahead of those that it sits on, one on the other, up to the one whose run comes from another zone: they carry what it does, and
/// nothing else hangs on them.
fn move_ahead(plan: &Plan, part: ItemId) -> Option<Candidate> {
    let item = plan.items.get(part.0)?;
    let feed = item.feed.as_ref().filter(|f| f.run.is_none())?;
    let mut first = feed.from.item;
    let mut behind = part;
    // Bounded: a plan has no circles, and each step goes one item ahead.
    for _ in 0..plan.items.len() {
        let at = &plan.items[first.0];
        let own = at.feed.as_ref().filter(|f| f.back.is_none())?;
        if !feeds_only(plan, first, behind) || at.copy != item.copy || at.word.is_light() {
            return None;
        }
        let ahead = own.from.item;
        match plan.items[ahead.0].zone == item.zone {
            true if own.run.is_none() => (behind, first) = (first, ahead),
            true => return None,
            false => break,
        }
    }
    let at = plan.items.get(first.0)?;
    if is_overridden(plan, at.stanza, &["from", "in"]) {
        return None;
    }
    let (tree, of_first) = (plan.stanza(item.stanza), plan.stanza(at.stanza));
    let (_, own) = tree.clause("from")?.names().next()?;
    let (_, outside) = of_first.clause("from")?.names().next()?;
    let (sat_on, point) = (tree.words(own), of_first.words(outside));
    let name = written_name(plan, part);
    let mut edits = StanzaEdits::of(item.stanza);
    let mut changes = vec![(own, point)];
    if let Some(zone) = tree.clause("in") {
        if has_comment(tree, zone.span) {
            return None;
        }
        changes.push((removal(tree, zone.span), ""));
    }
    changes.sort_by_key(|(span, _)| span.start);
    for (span, text) in changes {
        edits.put(span, text);
    }
    let mut edits = edits.into_edits(plan);
    edits.extend(repoint_both_legs(plan, item.stanza, sat_on, &|_| true));
    edits.push(Edit {
        stanza: at.stanza,
        span: outside,
        text: name.to_owned(),
    });
    Some(Candidate {
        title: format!(
            "move {name} to {point}, ahead of {}",
            written_name(plan, first)
        ),
        edits,
        told: Vec::new(),
    })
}

/// Whether all that hangs on an item is another one.
fn feeds_only(plan: &Plan, item: ItemId, other: ItemId) -> bool {
    let id = plan.items[item.0].stanza;
    let is_user = |r: &&crate::plan::Reference| r.definition == id;
    let hangs = |k: usize| {
        let feed = plan.items[k].feed.as_ref();
        feed.is_some_and(|f| f.from.item == item || f.minus().item == item)
    };
    let of_links = plan
        .links
        .iter()
        .any(|l| [l.ends.0.item, l.ends.1.item].contains(&item));
    let in_scenes = plan.references.iter().filter(is_user).any(|r| {
        let word = plan.stanza(r.stanza).word;
        word == Some(crate::syntax::vocabulary::StanzaWord::Scene)
    });
    !of_links && !in_scenes && (0..plan.items.len()).all(|k| !hangs(k) || k == other.0)
}
