//! Puts a fuse right after a source that has none.
//!
//! Its rating is of the R10 series (ISO 3): the largest that every run up to the next fuse may carry
//! (physics, law 4), and at least the typical load over 0.75, the part of its rating that a fuse
//! carries for good (common practice, as the check `fuse-too-small`).

use std::collections::{BTreeMap, BTreeSet};

use super::columns::hold_columns;
use super::free_name::free_name;
use super::route::{Leg, leg_point};
use super::stanza_text::insert_after;
use super::usual::{FUSE_BLOWS, FUSE_LOAD};
use super::worst::greatest;
use super::{Candidate, r10};
use crate::circuit::Solution;
use crate::numbers::show;
use crate::plan::{Edit, ItemId, Part, Plan, Run, StanzaId, WireId};
use crate::syntax::tree::Clause;
use crate::text::Span;
use crate::units::{ElectricCurrent, amps};

/// A fuse right after this source, everything that it fed re-pointed to the fuse; only a fuse that
/// sits on the source itself stays there. `may_carry` says what a wire may carry (law 4).
///
/// The rating is the largest that fits and that the source's own limit can still blow; where the source
/// is too weak for any, the least that carries the load, which is the nearest to it.
pub fn insert_fuse(
    plan: &Plan,
    solution: &Solution,
    supply: ItemId,
    may_carry: &dyn Fn(WireId) -> ElectricCurrent,
) -> Vec<Candidate> {
    let Some(place) = Place::of(plan, solution, supply, may_carry) else {
        return Vec::new();
    };
    let least = place.load / FUSE_LOAD;
    let most = match place.limit {
        Some(limit) => place.carries.min(limit / FUSE_BLOWS),
        None => place.carries,
    };
    let fits = |rating: &ElectricCurrent| *rating >= least * (1.0 - 1e-9);
    let rating = r10::at_most(most)
        .filter(fits)
        .or_else(|| r10::at_least(least).filter(|rating| *rating <= place.carries));
    rating
        .and_then(|rating| fused(plan, supply, &place, rating))
        .into_iter()
        .collect()
}

/// What a fuse right after the source has to do with.
struct Place {
    /// What is fed from the source by a run, or is no fuse.
    users: BTreeSet<ItemId>,
    /// The typical current of those, in the worst scene.
    load: ElectricCurrent,
    /// The least that any run up to the next fuse may carry, and of which wire it is.
    carries: ElectricCurrent,
    wire: WireId,
    /// What the source gives at most, where stated.
    limit: Option<ElectricCurrent>,
}

impl Place {
    fn of(
        plan: &Plan,
        solution: &Solution,
        supply: ItemId,
        may_carry: &dyn Fn(WireId) -> ElectricCurrent,
    ) -> Option<Place> {
        let source = plan.items.get(supply.0)?;
        let Part::Supply(values) = &source.part else {
            return None;
        };
        if source.copy.is_some() {
            return None;
        }
        let fed_by = |item: ItemId| leg_point(plan, item, Leg::Plus).map(|p| p.item);
        let is_fuse = |item: ItemId| matches!(plan.items[item.0].part, Part::Fuse { .. });
        let run_of = |item: ItemId| {
            plan.items[item.0]
                .feed
                .as_ref()
                .and_then(|f| f.run.as_ref())
        };
        let all = || (0..plan.items.len()).map(ItemId);
        let (fused, users): (BTreeSet<ItemId>, BTreeSet<ItemId>) = all()
            .filter(|&i| fed_by(i) == Some(supply))
            .partition(|&i| is_fuse(i) && run_of(i).is_none());
        if users.is_empty() {
            return None;
        }

        // Everything up to the next fuse; the run to that fuse too.
        let mut behind = users.clone();
        loop {
            let more: Vec<ItemId> = all()
                .filter(|i| !behind.contains(i))
                .filter(|&i| fed_by(i).is_some_and(|f| behind.contains(&f) && !is_fuse(f)))
                .collect();
            if more.is_empty() {
                break;
            }
            behind.extend(more);
        }
        let mut runs: Vec<&Run> = Vec::new();
        for &item in &behind {
            let feed = plan.items[item.0].feed.as_ref()?;
            runs.extend(feed.run.iter().chain(&feed.back_run));
        }
        for link in &plan.links {
            let reached = |i: ItemId| i == supply || behind.contains(&i) && !is_fuse(i);
            if reached(link.ends.0.item) || reached(link.ends.1.item) {
                runs.extend(&link.run);
            }
        }
        let (carries, wire) = runs
            .iter()
            .map(|run| (may_carry(run.wire), run.wire))
            .min_by(|a, b| a.0.value.total_cmp(&b.0.value))?;

        let total = greatest(solution, supply, |f| f.passes.typical)?;
        let elsewhere = fused
            .iter()
            .filter_map(|&i| greatest(solution, i, |f| f.passes.typical))
            .fold(amps(0.0), |sum, a| sum + a);
        Some(Place {
            users,
            load: (total - elsewhere).max(amps(0.0)),
            carries,
            wire,
            limit: values.limit,
        })
    }
}

fn fused(plan: &Plan, supply: ItemId, place: &Place, rating: ElectricCurrent) -> Option<Candidate> {
    let id = plan.items[supply.0].stanza;
    let (source, _) = plan.stanza(id).name()?;
    let name = free_name(plan, None, &[], |n| format!("F{n}"));
    let written = r10::written(rating);
    let mut edits = vec![insert_after(
        plan,
        id,
        &format!("fuse {name} {written} from {}", source.0),
    )];
    let kept: BTreeSet<_> = (0..plan.items.len())
        .map(ItemId)
        .filter(|i| {
            leg_point(plan, *i, Leg::Plus).is_some_and(|p| p.item == supply)
                && !place.users.contains(i)
        })
        .map(|i| plan.items[i.0].stanza)
        .collect();
    let mut renamed: BTreeMap<StanzaId, Vec<Edit>> = BTreeMap::new();
    for reference in &plan.references {
        let (stanza, span) = (reference.stanza, reference.span);
        if reference.definition != id || kept.contains(&stanza) {
            continue;
        }
        // A return to the source stays: the fuse is in the plus leg. So do scenes, stages, trials.
        let clause = innermost(&plan.stanza(stanza).clauses, span);
        if !matches!(clause, Some("from" | "between" | "where")) {
            continue;
        }
        let edit = Edit {
            stanza,
            span,
            text: name.clone(),
        };
        let here = renamed.entry(stanza).or_default();
        if !here.contains(&edit) {
            here.push(edit);
        }
    }
    for (stanza, here) in renamed {
        edits.extend(hold_columns(plan, stanza, here));
    }
    Some(Candidate {
        title: format!(
            "a fuse of {written} right after {}: it carries {}, and {} may carry {}",
            source.0,
            show(place.load),
            plan.wires[place.wire.0].name.0,
            show(place.carries),
        ),
        edits,
    })
}

/// The word of the innermost clause that a span stands in.
fn innermost(clauses: &[Clause], span: Span) -> Option<&'static str> {
    let clause = clauses
        .iter()
        .find(|c| c.span.start <= span.start && span.end <= c.span.end)?;
    innermost(&clause.parts, span).or(Some(clause.word))
}
