//! Feeds a strip from both ends: a link from its far end back to the point that feeds it, as long as its run and its tape.

use super::free_name::{free_name, numbered};
use super::route::{Leg, Route};
use super::stanza_text::insert_after;
use super::{Candidate, in_each_copy};
use crate::circuit::Solution;
use crate::plan::{ItemId, Part, Plan};

/// The link. None where the strip sits on its point with no run, has a return of its own, or is linked already.
pub fn feed_both_ends(plan: &Plan, _solution: &Solution, strip: ItemId) -> Vec<Candidate> {
    linked(plan, strip).into_iter().collect()
}

fn linked(plan: &Plan, strip: ItemId) -> Option<Candidate> {
    let item = plan.items.get(strip.0)?;
    if !matches!(item.part, Part::Strip { .. })
        || item.feed.as_ref()?.back.is_some()
        || plan
            .links
            .iter()
            .any(|l| l.ends.0.item == strip || l.ends.1.item == strip)
    {
        return None;
    }
    let mut back = Route::behind(plan, strip, Leg::Plus)?.with_wire(plan)?;
    back.via.reverse(); // it goes from the far end to the point
    let over = back.over_words()?;
    let name = free_name(plan, item.copy, &[], numbered("far-feed"));
    let (own, _) = plan.stanza(item.stanza).name()?;
    let mut text = format!(
        "link {name} between {} and {} {over}",
        own.0, back.point_words
    );
    if !back.via.is_empty() {
        text.push_str(&format!(" via {}", back.via.join(", ")));
    }
    Some(Candidate {
        title: format!(
            "feed {} from both ends: a link back to {}, {} more wire for both legs{}",
            own.0,
            back.point_words,
            back.spelling.write_length(back.length * 2.0),
            in_each_copy(plan, strip),
        ),
        edits: vec![insert_after(plan, item.stanza, &text)],
        told: Vec::new(),
    })
}
