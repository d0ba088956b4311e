//! What the checks of tape share.

use super::{Context, Worst};
use crate::circuit::{Figure, ItemFigures};
use crate::plan::{ItemId, Part, Tape};
use crate::rewrites::branch_string::current_through;
use crate::rewrites::choose_resistor::in_series;
use crate::syntax::tree::Name;
use crate::units::{ElectricCurrent, ElectricPotential, amps, volts};

/// A cut of tape.
#[derive(Clone, Copy)]
pub(super) struct Strip<'a> {
    pub item: ItemId,
    pub tape: &'a Tape,
    pub groups: u32,
    pub dimmed: bool,
}

/// All strips of a plan that have a whole group.
pub(super) fn strips<'a>(context: &Context<'a>) -> impl Iterator<Item = Strip<'a>> + use<'a> {
    let plan = context.plan;
    plan.lights()
        .filter_map(|item| match plan.items[item.0].part {
            Part::Strip {
                tape,
                groups,
                dimmed,
                ..
            } if groups > 0 => Some(Strip {
                item,
                tape: &plan.tapes[tape.0],
                groups,
                dimmed,
            }),
            _ => None,
        })
}

impl Strip<'_> {
    fn reached<Q>(
        self,
        of: impl Fn(&ItemFigures) -> Figure<Q>,
    ) -> impl Fn(&crate::circuit::Figures) -> Option<Figure<Q>> {
        move |figures| {
            let figures = figures.items.get(self.item.0)?;
            figures.reached.then(|| of(figures))
        }
    }

    /// The least voltage at any of its groups, over the scenes that have it on.
    pub fn lowest<'a>(&self, context: &Context<'a>) -> Option<Worst<'a, ElectricPotential>> {
        context.least(self.reached(|f| f.lowest_group))
    }

    /// The least voltage that it would have with nothing lost on the way.
    pub fn without_loss<'a>(&self, context: &Context<'a>) -> Option<Worst<'a, ElectricPotential>> {
        context.least(self.reached(|f| Figure {
            typical: f.volts.typical + f.drop.typical,
            low: f.volts.low + f.drop.low,
            high: f.volts.high + f.drop.high,
        }))
    }

    /// The greatest voltage at any of its groups.
    pub fn highest<'a>(&self, context: &Context<'a>) -> Option<Worst<'a, ElectricPotential>> {
        context.greatest(self.reached(|f| f.highest_group))
    }

    /// The least that it draws.
    pub fn least_amps<'a>(&self, context: &Context<'a>) -> Option<Worst<'a, ElectricCurrent>> {
        context.least(self.reached(|f| f.amps))
    }

    /// What its groups draw at the stated voltage.
    pub fn stated(&self) -> ElectricCurrent {
        self.tape.draws * f64::from(self.groups)
    }

    /// What it draws (typical), what it would draw with no run ahead of it, and the scene, where the one is
    /// under `part` of the other.
    pub fn lost_to_runs(
        &self,
        context: &Context,
        part: f64,
    ) -> Option<(ElectricCurrent, ElectricCurrent, Name)> {
        context.solution.states().find_map(|scene| {
            let figures = scene.outcome.as_ref().ok()?.items.get(self.item.0)?;
            if !figures.reached {
                return None;
            }
            let draws = figures.amps.typical;
            let without = figures.volts.typical + figures.drop.typical;
            // Its own track takes its part even with no run: only where that could matter is it worked out.
            let is_lost = |would: ElectricCurrent| draws + amps(1e-6) < would * part;
            if !is_lost(self.at_no_track(without)) {
                return None;
            }
            let would = self.at(without);
            is_lost(would).then(|| (draws, would, scene.name.clone()))
        })
    }

    /// The current of one group at a voltage.
    fn group(&self, across: ElectricPotential) -> ElectricCurrent {
        if across <= volts(0.0) {
            return amps(0.0);
        }
        let lamps = in_series(&self.tape.curve, self.tape.lamps);
        current_through(&lamps, self.tape.resistor, across)
    }

    fn at_no_track(&self, across: ElectricPotential) -> ElectricCurrent {
        self.group(across) * f64::from(self.groups)
    }

    /// The current of the whole strip with a voltage at its beginning (law 3): from the last group towards the
    /// first, its voltage found by halving.
    fn at(&self, across: ElectricPotential) -> ElectricCurrent {
        let track = self.tape.track * self.tape.group;
        // Long strips in up to so many lumps, as fine as a comparison with a half needs.
        let lumps = self.groups.min(50);
        let each = f64::from(self.groups) / f64::from(lumps);
        let from_end = |last: ElectricPotential| {
            let (mut v, mut i) = (last, amps(0.0));
            for k in 0..lumps {
                i += self.group(v) * each;
                let length = if k + 1 == lumps { 0.5 * each } else { each };
                v += track * length * i;
            }
            (v, i)
        };
        let (mut low, mut high) = (volts(0.0), across);
        for _ in 0..40 {
            let middle = (low + high) * 0.5;
            if from_end(middle).0 > across {
                high = middle;
            } else {
                low = middle;
            }
        }
        from_end(low).1
    }
}
