//! A supply at another voltage than its plan states, as a battery that runs down is: the typical figures of its
//! circuit in one scene.

use std::cell::OnceCell;

use super::equations::Equations;
use super::figures::{Corner, ItemFigures};
use super::linear::Workspace;
use super::network::{Circuits, Network};
use super::read_off::read_off;
use super::scene::On;
use super::settle::Trouble;
use super::solve::Stop;
use super::solve::{Key, at_corner, key, take_turns, untried};
use crate::plan::{Choice, ItemId, Plan};
use crate::units::ElectricPotential;

/// What is on in each scene of a plan, with everything on last; the same for all its supplies.
pub struct States<'a> {
    pub(super) plan: &'a Plan,
    circuits: OnceCell<Circuits>,
    choices: Vec<&'a Choice>,
    left: Vec<OnceCell<Option<Left>>>,
    stop: Stop<'a>,
}

/// What a scene leaves on.
pub(super) struct Left {
    /// The outputs of each item, with all of those that take turns.
    pub taking: Vec<Vec<bool>>,
    /// Of outputs that take turns, the one that draws most at the stated voltages.
    pub on: On,
}

impl<'a> States<'a> {
    /// Those of a plan; nothing is worked out yet.
    pub fn of(plan: &'a Plan, stop: Stop<'a>) -> States<'a> {
        let written = plan.scenes.iter().map(|scene| &scene.choice);
        let choices: Vec<&Choice> = written.chain(std::iter::once(&Choice::All)).collect();
        States {
            plan,
            circuits: OnceCell::new(),
            left: choices.iter().map(|_| OnceCell::new()).collect(),
            choices,
            stop,
        }
    }

    fn circuits(&self) -> &Circuits {
        self.circuits.get_or_init(|| Circuits::of(self.plan))
    }

    /// What the scene at a place leaves on; `None` where it is stopped.
    fn left(&self, place: usize) -> Option<&Left> {
        let left = self.left.get(place)?;
        let worked_out = || {
            let mut on = On::of(self.plan, self.choices[place]);
            let taking = on.outputs.clone();
            let taken = take_turns(self.plan, self.circuits(), &mut on, self.stop);
            taken.ok().map(|()| Left { taking, on })
        };
        left.get_or_init(worked_out).as_ref()
    }
}

/// A supply of a plan whose voltage may be set, in one scene after another.
pub struct AtVolts<'a> {
    states: &'a States<'a>,
    supply: ItemId,
    pub(super) left: Option<&'a Left>,
    seen: Vec<Key>,
}

/// The figures of one circuit.
pub struct CircuitAtVolts<'a> {
    circuits: &'a Circuits,
    which: usize,
    items: Vec<ItemFigures>,
}

impl CircuitAtVolts<'_> {
    /// The figures of an item; `None` for one of another circuit.
    pub fn get(&self, item: ItemId) -> Option<&ItemFigures> {
        let is_own = self.circuits.of_item(item) == self.which;
        self.items.get(self.circuits.place(item)).filter(|_| is_own)
    }

    /// Its items in the order of the plan.
    pub fn each(&self) -> impl Iterator<Item = (ItemId, &ItemFigures)> {
        let items = self.circuits.list[self.which].0.iter().copied();
        items.zip(&self.items)
    }
}

impl<'a> AtVolts<'a> {
    /// This supply, in no scene yet.
    pub fn of(states: &'a States<'a>, supply: ItemId) -> AtVolts<'a> {
        AtVolts {
            states,
            supply,
            left: None,
            seen: Vec::new(),
        }
    }

    /// Goes to the scene at a place, everything on being behind the last. `false` where the supply's circuit is as it was in a
    /// scene before, the turns of its outputs were not tried, or it is stopped.
    pub fn goes_to(&mut self, scene: usize) -> bool {
        self.left = self.states.left(scene);
        let Some(Left { on, .. }) = self.left else {
            return false;
        };
        let circuits = self.states.circuits();
        let which = circuits.of_item(self.supply);
        if untried(circuits, which, on).is_some() {
            return false;
        }
        let key = key(circuits, which, on);
        if self.seen.contains(&key) {
            return false;
        }
        self.seen.push(key);
        true
    }

    /// The typical figures of its circuit with the supply at a voltage. Where there is no solution, the item that keeps it from
    /// one, if any does.
    pub fn figures(&self, volts: ElectricPotential) -> Result<CircuitAtVolts<'a>, Option<ItemId>> {
        let (plan, circuits) = (self.states.plan, self.states.circuits());
        let Left { on, .. } = self.left.ok_or(None)?;
        let which = circuits.of_item(self.supply);
        let mut net = Network::of(plan, circuits, which, on);
        let sources = net.sources.iter_mut().zip(&net.source_items);
        for (source, _) in sources.filter(|(_, item)| **item == self.supply) {
            source.volts = volts.value;
        }
        let equations = Equations::of(&net);
        let state = match at_corner(
            &equations,
            Corner::Typical,
            &mut Workspace::default(),
            self.states.stop,
        ) {
            Ok(state) => state,
            Err(Trouble::Stopped) => return Err(None),
            Err(Trouble::None(item, _)) => return Err(Some(item)),
        };
        let read = read_off(plan, &net, &[state.clone(), state.clone(), state]);
        Ok(CircuitAtVolts {
            circuits,
            which,
            items: read.items,
        })
    }
}
