//! Makes one strip of two of the same tape of which the second is fed from the end of the first: the run between them goes, the
//! groups add up.

use super::route::is_overridden;
use super::stanza_text::{Spelling, StanzaEdits};
use super::state_cut::{Form, Whole};
use super::users::{out_of_lists, repoint_both_legs, stanza_out};
use super::{Candidate, in_each_copy};
use crate::circuit::Solution;
use crate::plan::{ItemId, Part, Plan};
use crate::units::{Length, metres};

/// The strip that this one is fed from, with its groups too. None where anything else is fed from between them, where a
/// scene has one on and the other off, where they are in different zones, where one has an `accept` or a `note` of its own
/// that would be lost, or where the second was tried.
pub fn join_strips(plan: &Plan, solution: &Solution, second: ItemId) -> Option<Candidate> {
    let feed = plan.items.get(second.0)?.feed.as_ref()?;
    let first = feed.from.item;
    let (a, b) = (&plan.items[first.0], &plan.items[second.0]);
    let (before, behind) = (Whole::of(plan, first)?, Whole::of(plan, second)?);
    let is_alike = |first: ItemId, second: ItemId| match (
        &plan.items[first.0].part,
        &plan.items[second.0].part,
    ) {
        (
            Part::Strip { tape, dimmed, .. },
            Part::Strip {
                tape: other,
                dimmed: also,
                ..
            },
        ) => tape == other && dimmed == also,
        _ => false,
    };
    // In a pattern, in each copy.
    let pairs: Vec<(ItemId, ItemId)> = (0..plan.items.len())
        .map(ItemId)
        .filter(|i| plan.items[i.0].stanza == b.stanza)
        .filter_map(|i| Some((plan.items[i.0].feed.as_ref()?.from.item, i)))
        .collect();
    let fits = |&(one, two): &(ItemId, ItemId)| {
        let (a, b) = (&plan.items[one.0], &plan.items[two.0]);
        a.copy == b.copy
            && a.zone == b.zone
            && is_alike(one, two)
            && feeds_only(plan, one, two)
            && on_together(solution, one, two)
    };
    if !pairs.iter().all(fits) || is_overridden(plan, a.stanza, &[]) {
        return None;
    }
    let stanza = plan.stanza(b.stanza);
    let says_more = ["note", "accept"]
        .iter()
        .any(|w| stanza.clause(w).is_some());
    if says_more || is_overridden(plan, b.stanza, &[]) {
        return None;
    }
    let was_tried = |id: ItemId| plan.trials.iter().any(|t| t.item == id);
    if pairs.iter().any(|&(a, b)| was_tried(a) || was_tried(b)) {
        return None;
    }

    let groups = before.groups.checked_add(behind.groups)?;
    let mut cut = StanzaEdits::of(a.stanza);
    let text = before.words(plan, first, Form::of(before.cut), groups)?;
    cut.put(before.value.span, &text);
    let (name, _) = plan.stanza(a.stanza).name()?;
    let (gone, _) = stanza.name()?;
    let mut edits = cut.into_edits(plan);
    edits.extend(repoint_both_legs(plan, b.stanza, &name.0, &|_| true));
    edits.extend(out_of_lists(plan, b.stanza, &["off", "only", "fits"])?);
    edits.extend(stanza_out(plan, b.stanza));
    let run = |run: &Option<crate::plan::Run>| run.as_ref().map_or(metres(0.0), |r| r.length);
    let less: Length = run(&feed.run) + run(&feed.back_run);
    let less = match less.value > 0.0 {
        true => format!(
            "; {} less wire for both legs",
            Spelling::millimetres().write_length(less)
        ),
        false => String::new(),
    };
    Some(Candidate {
        title: format!(
            "join {} and {} as {}{}: {text}{less}",
            name.0,
            gone.0,
            name.0,
            in_each_copy(plan, second),
        ),
        edits,
        told: Vec::new(),
    })
}

/// Whether nothing but this strip hangs on the far end of the other, by both legs, and no link ends there.
fn feeds_only(plan: &Plan, first: ItemId, second: ItemId) -> bool {
    let hangs = |(i, item): (usize, &crate::plan::Item)| {
        let feed = item.feed.as_ref()?;
        let there = feed.from.item == first || feed.minus().item == first;
        (there && ItemId(i) != second).then_some(())
    };
    let own = plan.items[second.0].feed.as_ref();
    let is_plain = own.is_some_and(|feed| feed.back.is_none());
    let linked = |l: &crate::plan::Link| l.ends.0.item == first || l.ends.1.item == first;
    is_plain
        && !plan.items.iter().enumerate().any(|i| hangs(i).is_some())
        && !plan.links.iter().any(linked)
}

/// Whether in every state both are on, or neither.
fn on_together(solution: &Solution, a: ItemId, b: ItemId) -> bool {
    let solved = solution.states().filter_map(|s| s.outcome.as_ref().ok());
    let mut items = solved.map(|figures| &figures.items);
    items.all(|items| {
        let on = |i: ItemId| items.get(i.0).is_some_and(|f| f.reached);
        on(a) == on(b)
    })
}
