//! Another rating for a fuse, of the R10 series (ISO 3): between what it carries for good and what the wire
//! behind it may carry.

use super::columns::hold_columns;
use super::stanza_text::Spelling;
use super::usual::{FUSE_BLOWS, FUSE_LOAD};
use super::worst::greatest;
use super::{Candidate, r10};
use crate::circuit::Solution;
use crate::circuit::fused_runs::{FusedRun, fused_runs};
use crate::numbers::show;
use crate::plan::{Edit, ItemId, Part, Plan, WireId};
use crate::syntax::tree::ValueKind;
use crate::syntax::vocabulary::Dimension;
use crate::units::ElectricCurrent;

/// What bounds the rating of a fuse.
struct Bounds {
    now: ElectricCurrent,
    /// What it carries, typically, in the worst scene.
    load: ElectricCurrent,
    /// The least rating that carries that for good, and is not passed in any corner.
    least: ElectricCurrent,
    /// The least that a run may carry which a short would overload, and its wire.
    wire: Option<(ElectricCurrent, WireId)>,
    /// The greatest rating that every such short, and the source, is sure to blow.
    blows: Option<ElectricCurrent>,
}

impl Bounds {
    fn of(plan: &Plan, solution: &Solution, fuse: ItemId) -> Option<Bounds> {
        Bounds::with(
            plan,
            solution,
            &fused_runs(plan).iter().collect::<Vec<_>>(),
            fuse,
        )
    }

    /// As [`Bounds::of`], the runs behind the fuse known; others do no harm.
    fn with(plan: &Plan, solution: &Solution, runs: &[&FusedRun], fuse: ItemId) -> Option<Bounds> {
        let Part::Fuse { rating, .. } = plan.items.get(fuse.0)?.part else {
            return None;
        };
        let load = greatest(solution, fuse, |f| f.passes.typical.abs())?;
        let most = greatest(solution, fuse, |f| {
            f.passes.high.abs().max(f.passes.low.abs())
        })?;
        let less = |a: ElectricCurrent, b: ElectricCurrent| if b < a { b } else { a };
        let (mut wire, mut blows): (Option<(ElectricCurrent, WireId)>, Option<ElectricCurrent>) =
            (None, None);
        for run in runs
            .iter()
            .filter(|r| r.fuse() == Some(fuse) && r.short.current > r.carries)
        {
            if wire.is_none_or(|(least, _)| run.carries < least) {
                wire = Some((run.carries, run.wire));
            }
            let at = run.short.by_loop / FUSE_BLOWS;
            blows = Some(blows.map_or(at, |b| less(b, at)));
        }
        if let Some(limit) = source_limit(plan, fuse) {
            let at = limit / FUSE_BLOWS;
            blows = Some(blows.map_or(at, |b| less(b, at)));
        }
        Some(Bounds {
            now: rating,
            load,
            least: (load / FUSE_LOAD).max(most),
            wire,
            blows,
        })
    }

    fn carries_its_load(&self, rating: ElectricCurrent) -> bool {
        rating >= self.least * (1.0 - 1e-9)
    }

    fn is_smaller(&self, rating: ElectricCurrent) -> bool {
        rating < self.now * (1.0 - 1e-6) && self.carries_its_load(rating)
    }

    /// The most at which it protects every run and is sure to blow; `None` without a bound.
    fn protects_and_blows(&self) -> Option<ElectricCurrent> {
        let carries = self.wire.map(|(carries, _)| carries);
        carries
            .into_iter()
            .chain(self.blows)
            .reduce(ElectricCurrent::min)
    }

    fn protects(&self, rating: ElectricCurrent) -> bool {
        self.wire
            .is_none_or(|(carries, _)| rating <= carries * (1.0 + 1e-9))
    }
}

/// What bounds the rating of a fuse: the current that it carries, typically, in the worst scene; the least rating that
/// carries that for good; the least that a run behind it may carry which a short would overload, where there is one.
pub fn limits_of(
    plan: &Plan,
    solution: &Solution,
    fuse: ItemId,
) -> Option<(ElectricCurrent, ElectricCurrent, Option<ElectricCurrent>)> {
    let bounds = Bounds::of(plan, solution, fuse)?;
    let wire = bounds.wire.map(|(carries, _)| carries);
    Some((bounds.load, bounds.least, wire))
}

/// What the supply that a fuse hangs on gives at most, where stated.
pub fn source_limit(plan: &Plan, fuse: ItemId) -> Option<ElectricCurrent> {
    let mut at = fuse;
    for _ in 0..plan.items.len() {
        match &plan.items[at.0].part {
            Part::Supply(supply) => return supply.limit,
            _ => at = plan.items[at.0].feed.as_ref()?.from.item,
        }
    }
    None
}

/// The largest rating below that of a fuse that protects every run up to the next fuse, is sure to blow, and carries its
/// load for good. `runs` are those behind it.
pub fn smaller_that_blows(
    plan: &Plan,
    solution: &Solution,
    runs: &[&FusedRun],
    fuse: ItemId,
) -> Option<ElectricCurrent> {
    let bounds = Bounds::with(plan, solution, runs, fuse)?;
    let rating = r10::at_most(bounds.protects_and_blows()?)?;
    bounds.is_smaller(rating).then_some(rating)
}

/// A smaller fuse: the largest that protects every run up to the next fuse and is sure to blow; then the
/// largest that protects.
pub fn smaller_fuse(plan: &Plan, solution: &Solution, fuse: ItemId) -> Vec<Candidate> {
    let Some(bounds) = Bounds::of(plan, solution, fuse) else {
        return Vec::new();
    };
    let carries = bounds.wire.map(|(carries, _)| carries);
    let mut ratings: Vec<ElectricCurrent> = [bounds.protects_and_blows(), carries]
        .into_iter()
        .flatten()
        .filter_map(r10::at_most)
        .filter(|&rating| bounds.is_smaller(rating))
        .collect();
    ratings.dedup();
    offered(plan, fuse, &bounds, &ratings)
}

/// The next larger fuse that carries its load for good, where the wire behind it allows that.
pub fn larger_fuse(plan: &Plan, solution: &Solution, fuse: ItemId) -> Vec<Candidate> {
    let Some(bounds) = Bounds::of(plan, solution, fuse) else {
        return Vec::new();
    };
    let rating = r10::at_least(bounds.least)
        .filter(|&rating| rating > bounds.now * (1.0 + 1e-6) && bounds.protects(rating));
    offered(plan, fuse, &bounds, rating.as_slice())
}

/// The preferred ratings next to that of a fuse, the nearest first; none where it is one of them.
pub fn preferred_fuse(plan: &Plan, solution: &Solution, fuse: ItemId) -> Vec<Candidate> {
    let Some(bounds) = Bounds::of(plan, solution, fuse) else {
        return Vec::new();
    };
    if r10::is_preferred(bounds.now) {
        return Vec::new();
    }
    let mut ratings = vec![r10::nearest(bounds.now)];
    let others = [r10::at_most(bounds.now), r10::at_least(bounds.now)];
    for other in others.into_iter().flatten() {
        if !ratings.contains(&other) {
            ratings.push(other);
        }
    }
    ratings.retain(|&rating| bounds.protects(rating) && bounds.carries_its_load(rating));
    offered(plan, fuse, &bounds, &ratings)
}

fn offered(
    plan: &Plan,
    fuse: ItemId,
    bounds: &Bounds,
    ratings: &[ElectricCurrent],
) -> Vec<Candidate> {
    ratings
        .iter()
        .filter_map(|&rating| resized(plan, fuse, bounds, rating))
        .collect()
}

fn resized(
    plan: &Plan,
    fuse: ItemId,
    bounds: &Bounds,
    rating: ElectricCurrent,
) -> Option<Candidate> {
    let id = plan.items[fuse.0].stanza;
    let stanza = plan.stanza(id);
    let value = stanza
        .head
        .iter()
        .find(|v| matches!(v.kind, ValueKind::Quantity(_, Dimension::Current)))?;
    // 0.4 A stays in amperes, but 2 A made smaller is 400 mA, not 0.4 A.
    let spelling = Spelling::of(stanza.words(value.span))?;
    let new = if (bounds.now.value < 1.0) == (rating.value < 1.0) {
        spelling.write(rating.value, 3)
    } else {
        r10::written(rating)
    };
    let (name, _) = stanza.name()?;
    let wire = bounds.wire.map_or_else(String::new, |(carries, wire)| {
        format!(
            ", and {} may carry {}",
            plan.wires[wire.0].name.0,
            show(carries)
        )
    });
    let edit = Edit {
        stanza: id,
        span: value.span,
        text: new.clone(),
    };
    Some(Candidate {
        title: format!(
            "{} of {new} instead of {}: it carries {}{wire}",
            name.0,
            stanza.quoted(value.span),
            show(bounds.load)
        ),
        edits: hold_columns(plan, id, vec![edit]),
        told: Vec::new(),
    })
}
