//! Where to put the two tips of a meter, and what it reads: for one suspect, and to tell most of them apart at once.
//!
//! All that is measured is the voltage from the plus end of one piece to the minus end of another (or its own), with everything on as
//! in the scene: across a piece, or with one tip left on a piece whose voltage is there whatever the fault.

use std::rc::Rc;

use super::{Suspect, ranking};
use crate::circuit::defects::Leg;
use crate::circuit::fused_runs::RunOf;
use crate::circuit::planted::{Planted, State};
use crate::plan::{ItemId, Part, Plan};
use crate::units::{ElectricPotential, volts};

/// A voltage that is measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// The piece at whose plus end the one tip is, …
    pub plus: ItemId,
    /// … and that at whose minus end the other one is.
    pub minus: ItemId,
    /// What it reads in the whole model.
    pub whole: ElectricPotential,
    /// What it reads with the fault.
    pub with: ElectricPotential,
}

/// A measurement that tells suspects apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// Where the tips are: at the plus end of the one, at the minus end of the other.
    pub plus: ItemId,
    /// The other.
    pub minus: ItemId,
    /// What it reads in the whole model.
    pub whole: ElectricPotential,
    /// What it may read, the most first, and which suspects are left then.
    pub outcomes: Vec<Outcome>,
}

/// What a test may come to.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// The least and the most that the suspects that are left would have it read.
    pub reads: (ElectricPotential, ElectricPotential),
    /// Their places in the list.
    pub left: Vec<usize>,
}

/// Two readings are told apart by a hand meter on a model if they differ by this much, volts, …
const APART: f64 = 0.15;
/// … and by this part of what the whole model reads (common practice: what a cheap meter may be off).
const APART_PART: f64 = 0.02;
/// The most suspects that are measured, and that a test is chosen for.
pub(super) const MOST: usize = 100;

/// What is measured where.
pub(super) struct Meter<'a> {
    plan: &'a Plan,
    planted: &'a Planted<'a>,
    /// Pieces at which a tip may be put, in the order of the plan, those in reach first.
    pieces: Vec<(ItemId, bool)>,
    /// For each circuit the piece on which a tip is left.
    left_on: Vec<Option<ItemId>>,
}

/// Where two tips are.
type Tips = (ItemId, ItemId);

impl<'a> Meter<'a> {
    pub fn of(
        plan: &'a Plan,
        planted: &'a Planted<'a>,
        suspects: &[Suspect],
        named: &[ItemId],
    ) -> Meter<'a> {
        let mut circuits: Vec<usize> = named.iter().map(|&i| planted.circuit_of(i)).collect();
        circuits.sort_unstable();
        circuits.dedup();
        let members = circuits.iter().flat_map(|&which| planted.members(which).0);
        let on = members.copied().filter(|&item| planted.is_on(item));
        let mut pieces: Vec<(ItemId, bool)> = on
            .map(|item| (item, !ranking::is_sealed(plan, RunOf::Item(item))))
            .collect();
        // Stable: in each half the order of the plan stays.
        pieces.sort_by_key(|(_, in_reach)| !in_reach);
        let mut left_on = vec![None; planted.circuits()];
        let meter = Meter {
            plan,
            planted,
            pieces,
            left_on: Vec::new(),
        };
        for &which in &circuits {
            let light = named.iter().find(|&&i| planted.circuit_of(i) == which);
            left_on[which] = light.and_then(|light| meter.steady(*light, which, suspects));
        }
        Meter { left_on, ..meter }
    }

    /// The nearest piece ahead of a light that has its voltage whichever suspect it is, in reach; without one, the supply.
    fn steady(&self, light: ItemId, which: usize, suspects: &[Suspect]) -> Option<ItemId> {
        let whole = self.planted.whole(which)?;
        let across = |state: &State, item| self.planted.between(state, item, item).value;
        let is_steady = |item: ItemId| {
            let should = across(whole, item);
            let states = suspects
                .iter()
                .take(MOST)
                .filter_map(|s| state_of(s, which));
            let mut reads = states.map(|state| across(state, item));
            should > APART && reads.all(|reads| (reads - should).abs() <= APART_PART * should)
        };
        let mut at = light;
        let mut supply = None;
        for _ in 0..self.plan.items.len() {
            let item = &self.plan.items[at.0];
            if matches!(item.part, Part::Supply(_)) {
                supply = Some(at);
            }
            let in_reach = !ranking::is_sealed(self.plan, RunOf::Item(at));
            if at != light && in_reach && is_steady(at) {
                return Some(at);
            }
            match &item.feed {
                Some(feed) => at = feed.from.item,
                None => break,
            }
        }
        supply
    }

    fn reads(&self, state: Option<&State>, which: usize, (plus, minus): Tips) -> f64 {
        let state = state.or_else(|| self.planted.whole(which));
        state.map_or(0.0, |state| self.planted.between(state, plus, minus).value)
    }

    /// Whether two readings tell each other apart where the whole model reads this.
    fn are_apart(a: f64, b: f64, whole: f64) -> bool {
        (a - b).abs() > APART.max(APART_PART * whole.abs())
    }

    /// Where tips may be put to learn of a piece: across it, or from its one end to where the other tip is left.
    fn tips(&self, item: ItemId) -> Vec<Tips> {
        let mut tips = vec![(item, item)];
        if let Some(left_on) = self.left_on[self.planted.circuit_of(item)]
            && left_on != item
        {
            tips.extend([(item, left_on), (left_on, item)]);
        }
        tips
    }

    /// What to measure for a suspect: the nearest place where it differs from the whole model, in reach if there is one.
    pub fn measure(&self, suspect: &Suspect) -> Option<Measure> {
        let fault = *suspect.faults.first()?;
        let near = match fault.at() {
            RunOf::Item(item) => item,
            RunOf::Link(link) => self.plan.links[link.0].ends.1.item,
        };
        let which = self.planted.circuit_of(near);
        let state = state_of(suspect, which);
        let measured = |tips: Tips| Measure {
            plus: tips.0,
            minus: tips.1,
            whole: volts(self.reads(None, which, tips)),
            with: volts(self.reads(state, which, tips)),
        };
        let tells = |m: &Measure| Meter::are_apart(m.whole.value, m.with.value, m.whole.value);
        let own = |item: ItemId| {
            let mut tips = self.tips(item);
            // In the leg that is open first, so that it tells the leg too.
            tips.sort_by_key(|&(plus, minus)| match fault.leg() {
                Some(Leg::Plus) => (plus != item || minus == item) as usize,
                Some(Leg::Minus) => (minus != item || plus == item) as usize,
                None => (plus != minus) as usize,
            });
            tips
        };
        let hangs_on = |item: ItemId| {
            let feed = self.plan.items[item.0].feed.as_ref();
            feed.is_some_and(|feed| feed.from.item == near || feed.minus().item == near)
        };
        let here = self
            .pieces
            .iter()
            .filter(|(item, _)| self.planted.circuit_of(*item) == which);
        let mut places: Vec<(bool, u8, ItemId)> = here
            .map(|&(item, in_reach)| {
                let far = match item {
                    _ if item == near => 0,
                    _ if hangs_on(item) => 1,
                    _ => 2,
                };
                (!in_reach, far, item)
            })
            .collect();
        places.sort_unstable();
        let all = places.iter().flat_map(|&(_, _, item)| own(item));
        let found = all.map(measured).find(tells);
        found.or_else(|| {
            // The voltage is there, and the light is dark all the same: it is the piece itself.
            let itself = ranking::piece_itself(fault)?;
            Some(measured((itself, itself))).filter(|m| m.whole.value > APART)
        })
    }

    /// The measurement that leaves fewest of the suspects, by their weight, on the whole; in reach if one there is as good.
    pub fn best_test(&self, suspects: &[Suspect]) -> Option<Test> {
        let suspects = &suspects[..suspects.len().min(MOST)];
        let all: f64 = suspects.iter().map(|s| s.weight).sum();
        let mut best: Option<(f64, Test)> = None;
        for (item, _) in &self.pieces {
            let which = self.planted.circuit_of(*item);
            for tips in self.tips(*item) {
                let test = self.test(suspects, which, tips);
                let of = |outcome: &Outcome| -> f64 {
                    let left = outcome.left.iter().map(|&k| suspects[k].weight);
                    left.sum()
                };
                let left: f64 = test.outcomes.iter().map(|o| of(o) * of(o) / all).sum();
                // A hundredth is no difference: the first one stays.
                if test.outcomes.len() > 1
                    && best
                        .as_ref()
                        .is_none_or(|(least, _)| left < least - 0.01 * all)
                {
                    best = Some((left, test));
                }
            }
        }
        best.map(|(_, test)| test)
    }

    /// What a measurement may come to.
    fn test(&self, suspects: &[Suspect], which: usize, tips: Tips) -> Test {
        let whole = self.reads(None, which, tips);
        let reads = suspects
            .iter()
            .map(|s| self.reads(state_of(s, which), which, tips));
        let mut sorted: Vec<(f64, usize)> = reads.zip(0..).collect();
        sorted.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut outcomes: Vec<Outcome> = Vec::new();
        let mut last = f64::INFINITY;
        for (reads, k) in sorted {
            match outcomes.last_mut() {
                Some(outcome) if !Meter::are_apart(last, reads, whole) => {
                    outcome.reads.0 = volts(reads);
                    outcome.left.push(k);
                }
                _ => outcomes.push(Outcome {
                    reads: (volts(reads), volts(reads)),
                    left: vec![k],
                }),
            }
            last = reads;
        }
        for outcome in &mut outcomes {
            outcome.left.sort_unstable();
        }
        Test {
            plus: tips.0,
            minus: tips.1,
            whole: volts(whole),
            outcomes,
        }
    }
}

/// A circuit with a suspect; `None`: it is whole.
fn state_of(suspect: &Suspect, which: usize) -> Option<&State> {
    let own = suspect.states.iter().find(|(of, _)| *of == which);
    own.map(|(_, state): &(usize, Rc<State>)| &**state)
}
