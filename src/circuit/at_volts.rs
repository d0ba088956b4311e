//! A supply at another voltage than its plan states, as a battery that runs down is: the typical figures of its
//! circuit in one scene.

use super::equations::Equations;
use super::figures::{Corner, ItemFigures};
use super::linear::Workspace;
use super::network::{Circuits, Network};
use super::read_off::read_off;
use super::scene::On;
use super::settle::Trouble;
use super::solve::Stop;
use super::solve::{Key, at_corner, key, take_turns};
use crate::plan::{Choice, ItemId, Part, Plan};
use crate::units::ElectricPotential;

/// A supply of a plan whose voltage may be set, in one scene after another.
pub struct AtVolts<'a> {
    stated: &'a Plan,
    plan: Plan,
    supply: ItemId,
    circuits: Circuits,
    pub(super) on: On,
    seen: Vec<Key>,
    stop: Stop<'a>,
}

impl<'a> AtVolts<'a> {
    /// This supply, with everything on.
    pub fn of(plan: &'a Plan, supply: ItemId, stop: Stop<'a>) -> AtVolts<'a> {
        AtVolts {
            stated: plan,
            plan: plan.clone(),
            supply,
            circuits: Circuits::of(plan),
            on: On::all(plan),
            seen: Vec::new(),
            stop,
        }
    }

    /// Goes to a scene. Of outputs that take turns, the one that draws most at the stated voltage is on. `false`
    /// where the supply's circuit is as it was in a scene before, or it is stopped.
    pub fn goes_to(&mut self, choice: &Choice) -> bool {
        self.on = On::of(self.stated, choice);
        if take_turns(self.stated, &self.circuits, &mut self.on, self.stop).is_err() {
            return false;
        }
        let which = self.circuits.of_item(self.supply);
        let key = key(&self.circuits, which, &self.on);
        if self.seen.contains(&key) {
            return false;
        }
        self.seen.push(key);
        true
    }

    /// The typical figures with the supply at a voltage, for each item of the plan; those of other circuits are
    /// nothing. Where there is no solution, the item that keeps it from one, if any does.
    pub fn figures(
        &mut self,
        volts: ElectricPotential,
    ) -> Result<Vec<ItemFigures>, Option<ItemId>> {
        if let Part::Supply(supply) = &mut self.plan.items[self.supply.0].part {
            supply.volts = volts;
        }
        let which = self.circuits.of_item(self.supply);
        let net = Network::of(&self.plan, &self.circuits, which, &self.on);
        let equations = Equations::of(&net);
        let state = match at_corner(
            &equations,
            Corner::Typical,
            &mut Workspace::default(),
            self.stop,
        ) {
            Ok(state) => state,
            Err(Trouble::Stopped) => return Err(None),
            Err(Trouble::None(item, _)) => return Err(Some(item)),
        };
        let read = read_off(&self.plan, &net, &[state.clone(), state.clone(), state]);
        let mut all = vec![ItemFigures::default(); self.plan.items.len()];
        for (ItemId(i), figures) in self.circuits.list[which].0.iter().zip(read.items) {
            all[*i] = figures;
        }
        Ok(all)
    }
}
