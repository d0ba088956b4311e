//! Puts a fuse right after a source that has none.
//!
//! Its rating is of the R10 series (ISO 3): the largest that every run up to the next fuse may carry
//! (physics, law 4), and at least the typical load over 0.75, the part of its rating that a fuse
//! carries for good (common practice, as the check `fuse-too-small`).

use std::collections::BTreeSet;

use super::free_name::free_name;
use super::route::{Leg, leg_point};
use super::stanza_text::insert_after;
use super::users::repoint_users;
use super::usual::{FUSE_BLOWS, FUSE_LOAD};
use super::worst::greatest;
use super::{Candidate, r10};
use crate::circuit::Solution;
use crate::circuit::fused_runs::{FusedRun, fused_runs};
use crate::numbers::show;
use crate::plan::{ItemId, Part, Plan, StanzaId, WireId};
use crate::units::{ElectricCurrent, amps};

/// A fuse right after this source, everything that it fed re-pointed to the fuse; only a fuse that
/// sits on the source itself stays there.
///
/// The rating is the largest that fits and that a short can still blow; where the source
/// is too weak for any, the least that carries the load, which is the nearest to it.
pub fn insert_fuse(plan: &Plan, solution: &Solution, supply: ItemId) -> Vec<Candidate> {
    let Some(place) = Place::of(plan, solution, supply) else {
        return Vec::new();
    };
    let least = place.load / FUSE_LOAD;
    let most = place.carries.min(place.blown_by / FUSE_BLOWS);
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
    /// The fuses that sit on the source itself.
    fuses: BTreeSet<StanzaId>,
    /// The typical current of all else that it feeds, in the worst scene.
    load: ElectricCurrent,
    /// The least that any run up to the next fuse may carry, and of which wire it is.
    carries: ElectricCurrent,
    wire: WireId,
    /// What blows the fuse: the least that a short gives which harms a run, and no more than a short of the source
    /// itself, and its own limit.
    blown_by: ElectricCurrent,
}

impl Place {
    fn of(plan: &Plan, solution: &Solution, supply: ItemId) -> Option<Place> {
        let Part::Supply(values) = &plan.items.get(supply.0)?.part else {
            return None;
        };
        let unfused = fused_runs(plan).into_iter();
        let unfused: Vec<FusedRun> = unfused
            .filter(|run| run.fuse().is_none() && run.short.supply == supply)
            .collect();
        let right_there = values.volts / values.resistance; // infinite without a resistance
        let harmful = unfused.iter().filter(|run| run.short.current > run.carries);
        let blown_by = harmful
            .map(|run| run.short.by_loop)
            .chain(values.limit)
            .fold(right_there, ElectricCurrent::min);
        let (carries, wire) = unfused
            .iter()
            .map(|run| (run.carries, run.wire))
            .min_by(|a, b| a.0.value.total_cmp(&b.0.value))?;
        let fuses: Vec<ItemId> = (0..plan.items.len())
            .map(ItemId)
            .filter(|&i| leg_point(plan, i, Leg::Plus).is_some_and(|p| p.item == supply))
            .filter(|i| {
                let item = &plan.items[i.0];
                let has_run = item.feed.as_ref().is_some_and(|f| f.run.is_some());
                matches!(item.part, Part::Fuse { .. }) && !has_run
            })
            .collect();
        let total = greatest(solution, supply, |f| f.passes.typical)?;
        let elsewhere = fuses
            .iter()
            .filter_map(|&i| greatest(solution, i, |f| f.passes.typical))
            .fold(amps(0.0), |sum, a| sum + a);
        Some(Place {
            fuses: fuses.iter().map(|i| plan.items[i.0].stanza).collect(),
            load: (total - elsewhere).max(amps(0.0)),
            carries,
            wire,
            blown_by,
        })
    }
}

fn fused(plan: &Plan, supply: ItemId, place: &Place, rating: ElectricCurrent) -> Option<Candidate> {
    let id = plan.items[supply.0].stanza;
    let (source, _) = plan.stanza(id).name()?;
    let name = free_name(plan, None, &[], |n| format!("F{n}"));
    let written = r10::written(rating);
    let text = format!("fuse {name} {written} from {}", source.0);
    let mut edits = vec![insert_after(plan, id, &text)];
    edits.extend(repoint_users(plan, id, &name, &|stanza| {
        !place.fuses.contains(&stanza)
    }));
    Some(Candidate {
        title: format!(
            "a fuse of {written} right after {}: it carries {}, and {} may carry {}",
            source.0,
            show(place.load),
            plan.wires[place.wire.0].name.0,
            show(place.carries),
        ),
        edits,
        told: Vec::new(),
    })
}
