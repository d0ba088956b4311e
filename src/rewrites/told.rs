//! Figures of a title that only the whole circuit can tell: what a lamp draws hangs on all that shares a resistance ahead of
//! it. A rewrite puts in what it reckons; when the changed plan is solved, what is so is put in its place.

use super::Candidate;
use super::worst::greatest;
use crate::circuit::Solution;
use crate::numbers::show;
use crate::plan::{ItemId, Plan};

/// A figure of a title: the greatest that it comes to in any scene, typical.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// The item whose it is, by the name that it has in the changed plan.
    pub item: String,
    /// Which of its figures.
    pub what: Which,
    /// What was reckoned, as [`show`] writes it.
    pub reckoned: String,
    /// The words of the title that it stands in.
    pub words: Words,
}

/// A figure of an item.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// The current in it.
    Amps,
    /// The current through it, on to what it feeds.
    Passes,
    /// The volts across it.
    Volts,
}

/// The words around a figure.
#[derive(Clone, Debug, PartialEq)]
pub enum Words {
    /// The figure and what stands next to it.
    Beside {
        /// Right before it.
        before: String,
        /// Right behind it.
        behind: String,
    },
    /// `12 mA, not 20 mA`.
    InsteadOf {
        /// What it is in the plan as it stands.
        now: String,
        /// What is said where it stays so.
        same: String,
    },
}

/// What a piece of this copy is called in the whole plan, by the name that it has as written.
pub fn called(plan: &Plan, copy: Option<ItemId>, written: &str) -> String {
    let tail = written.rsplit('.').next().unwrap_or(written);
    match copy.and_then(|copy| plan.items.get(copy.0)) {
        Some(copy) => format!("{}.{tail}", copy.name.0),
        None => written.to_owned(),
    }
}

impl Told {
    /// As the title has it, with this figure.
    pub fn with(&self, figure: &str) -> String {
        match &self.words {
            Words::Beside { before, behind } => format!("{before}{figure}{behind}"),
            Words::InsteadOf { now, same } if now == figure => same.clone(),
            Words::InsteadOf { now, .. } => format!("{figure}, not {now}"),
        }
    }

    /// As the title has it when the rewrite proposes it.
    pub fn as_reckoned(&self) -> String {
        self.with(&self.reckoned)
    }
}

impl Candidate {
    /// With the figures of the title as they are in the changed plan.
    pub fn told_of(mut self, plan: &Plan, solution: &Solution) -> Candidate {
        for told in std::mem::take(&mut self.told) {
            let Some(item) = plan.item(&told.item) else {
                continue;
            };
            let figure = match told.what {
                Which::Amps => greatest(solution, item, |f| f.amps.typical).map(show),
                Which::Passes => greatest(solution, item, |f| f.passes.typical).map(show),
                Which::Volts => greatest(solution, item, |f| f.volts.typical).map(show),
            };
            if let Some(figure) = figure {
                let (old, new) = (told.as_reckoned(), told.with(&figure));
                self.title = self.title.replacen(&old, &new, 1);
            }
        }
        self
    }
}
