//! Puts a rectifier behind a supply whose plus may be on either rail: right behind its fuse, where one fuse is all that it
//! feeds, else right behind the supply. All that was fed from there is fed from the rectifier then.

use super::Candidate;
use super::free_name::{free_name, numbered};
use super::stanza_text::insert_after;
use super::users::repoint_users;
use super::worst::greatest;
use crate::circuit::Solution;
use crate::numbers::show;
use crate::plan::{ItemId, Part, Plan};

/// A bridge rectifier for this supply. None where the item is no supply, or the piece of a copy.
pub fn insert_rectifier(plan: &Plan, solution: &Solution, supply: ItemId) -> Vec<Candidate> {
    inserted(plan, solution, supply).into_iter().collect()
}

fn inserted(plan: &Plan, solution: &Solution, supply: ItemId) -> Option<Candidate> {
    if !matches!(plan.items.get(supply.0)?.part, Part::Supply(_)) {
        return None;
    }
    let behind = only_fuse(plan, supply).unwrap_or(supply);
    let item = plan.items.get(behind.0)?;
    if item.copy.is_some() {
        return None;
    }
    let (ahead, _) = plan.stanza(item.stanza).name()?;
    let name = free_name(plan, None, &[], numbered("bridge"));
    let mut edits = vec![insert_after(
        plan,
        item.stanza,
        &format!("rectifier {name} from {}", ahead.0),
    )];
    edits.extend(repoint_users(plan, item.stanza, &name, &|_| true));
    let carries = greatest(solution, supply, |f| f.passes.typical)?;
    Some(Candidate {
        title: format!(
            "a rectifier behind {}: the same plus whichever way the supply is; it carries {} and takes 1.4 V",
            ahead.0,
            show(carries)
        ),
        edits,
        told: Vec::new(),
    })
}

/// The fuse on the supply itself, where that is all that it feeds.
fn only_fuse(plan: &Plan, supply: ItemId) -> Option<ItemId> {
    let mut fed = (0..plan.items.len()).map(ItemId).filter(|i| {
        let feed = plan.items[i.0].feed.as_ref();
        feed.is_some_and(|f| f.from.item == supply || f.minus().item == supply)
    });
    let only = fed.next()?;
    let is_fuse = matches!(plan.items[only.0].part, Part::Fuse { .. });
    let links = plan
        .links
        .iter()
        .any(|l| l.ends.0.item == supply || l.ends.1.item == supply);
    (fed.next().is_none() && is_fuse && !links).then_some(only)
}
