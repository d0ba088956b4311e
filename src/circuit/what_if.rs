//! What if something breaks, what if two wires touch: every place of a plan, as plain data.
//!
//! A single answer is quicker had from [`Breaks`] and [`fused_runs`]; this is for lists and papers.

use std::collections::BTreeMap;

use super::breaks::{Breaks, Place};
use super::clearing::{Clears, clears};
use super::fused_runs::{FusedRun, RunOf, fused_runs};
use crate::plan::{ItemId, LinkId, Part, Plan};

/// Every break and every short of a plan.
#[derive(Clone, Debug)]
pub struct WhatIf {
    /// Every place that can break, in the order of the plan.
    pub breaks: Vec<Break>,
    /// A short at the far end of every run, in the order of the plan; of a link, from each of its ends.
    pub shorts: Vec<ShortOfRun>,
}

/// A break.
#[derive(Clone, Debug, PartialEq)]
pub struct Break {
    /// Where.
    pub place: Place,
    /// The lights that go dark, in the order of the plan.
    pub dark: Vec<ItemId>,
}

/// A short at the far end of a run.
#[derive(Clone, Debug)]
pub struct ShortOfRun {
    /// The run, and the current.
    pub run: FusedRun,
    /// What the fuse next ahead does about it; `None` where there is no fuse.
    pub clears: Option<Clears>,
}

impl WhatIf {
    /// Of a plan, with what was worked out of its breaks already.
    pub fn of(plan: &Plan, breaks: &Breaks) -> WhatIf {
        let places = places(plan).into_iter();
        WhatIf {
            breaks: places
                .map(|place| Break {
                    place,
                    dark: breaks.darkened_at(place),
                })
                .collect(),
            shorts: shorts(plan),
        }
    }

    /// The break that darkens most lights, the first of several; `None` in a plan where none darkens any.
    pub fn worst(&self) -> Option<&Break> {
        let most = self.breaks.iter().map(|b| b.dark.len()).max()?;
        self.breaks
            .iter()
            .find(|b| b.dark.len() == most && most > 0)
    }

    /// How the breaks are spread: for each number of lights that go dark at once, how many places do that.
    pub fn spread(&self) -> BTreeMap<usize, usize> {
        let mut spread = BTreeMap::new();
        for b in &self.breaks {
            *spread.entry(b.dark.len()).or_default() += 1;
        }
        spread
    }
}

/// The break of a plan that darkens most lights, the first of several, as [`WhatIf::worst`] has it, without all that is else in
/// there.
pub fn worst_break(plan: &Plan, breaks: &Breaks) -> Option<Break> {
    let all = places(plan).into_iter().map(|place| Break {
        place,
        dark: breaks.darkened_at(place),
    });
    let worse = |worst: Break, next: Break| match next.dark.len() > worst.dark.len() {
        true => next,
        false => worst,
    };
    all.filter(|b| !b.dark.is_empty()).reduce(worse)
}

/// Every place of a plan that can break, in the order of the plan. What sits on a point without a run has no legs
/// of its own; a supply that fails is no break.
pub fn places(plan: &Plan) -> Vec<Place> {
    let mut places = Vec::new();
    for (i, item) in plan.items.iter().enumerate() {
        let id = ItemId(i);
        if let Some(feed) = &item.feed {
            let of = RunOf::Item(id);
            places.extend(feed.run.is_some().then_some(Place::PlusLeg(of)));
            places.extend(
                feed.back_run
                    .as_ref()
                    .or(feed.run.as_ref())
                    .map(|_| Place::MinusLeg(of)),
            );
        }
        if !matches!(item.part, Part::Supply(_)) {
            places.push(Place::Item(id));
        }
        match item.part {
            Part::Joint => places.push(Place::Joint(id)),
            Part::Connector { .. } => {
                places.extend([Place::PlusContact(id), Place::MinusContact(id)]);
            }
            Part::Strip { .. } => places.push(Place::Tape(id)),
            _ => {}
        }
    }
    for (k, link) in plan.links.iter().enumerate() {
        if link.run.is_some() {
            let of = RunOf::Link(LinkId(k));
            places.extend([Place::PlusLeg(of), Place::MinusLeg(of)]);
        }
    }
    places
}

/// A short at the far end of every run.
pub fn shorts(plan: &Plan) -> Vec<ShortOfRun> {
    let runs = fused_runs(plan).into_iter();
    runs.map(|run| ShortOfRun {
        clears: cleared(plan, &run),
        run,
    })
    .collect()
}

/// What the fuse next ahead of a run does about a short at its far end; `None` where there is no fuse.
pub fn cleared(plan: &Plan, run: &FusedRun) -> Option<Clears> {
    match &plan.items[run.fuse()?.0].part {
        Part::Fuse {
            rating, character, ..
        } => Some(clears(*character, *rating, run.short.current)),
        _ => None,
    }
}
