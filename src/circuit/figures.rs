//! The figures of a plan: what is measured where, in every scene.

use std::sync::Arc;

use crate::plan::{ItemId, Point};
use crate::syntax::tree::Name;
use crate::units::{ElectricCurrent, ElectricPotential, Power};

/// One of the three solutions of a scene.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Corner {
    /// All values as stated.
    Typical,
    /// Supplies low, resistors and lamps high.
    Dim,
    /// Supplies high, resistors and lamps low.
    Bright,
}

impl Corner {
    /// All, in the order in which they are solved.
    pub const ALL: [Corner; 3] = [Corner::Typical, Corner::Dim, Corner::Bright];

    /// As written in lists.
    pub fn word(self) -> &'static str {
        match self {
            Corner::Typical => "typical",
            Corner::Dim => "dim",
            Corner::Bright => "bright",
        }
    }
}

/// A figure over the three corners.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Figure<Q> {
    /// With all values as stated.
    pub typical: Q,
    /// The least of the three.
    pub low: Q,
    /// The greatest of the three.
    pub high: Q,
}

/// The same seen from the other side: a current in the other direction.
impl<Q: std::ops::Neg<Output = Q>> std::ops::Neg for Figure<Q> {
    type Output = Figure<Q>;

    fn neg(self) -> Figure<Q> {
        Figure {
            typical: -self.typical,
            low: -self.high,
            high: -self.low,
        }
    }
}

/// The figures of a plan.
#[derive(Clone, Debug, Default)]
pub struct Solution {
    /// The plan's scenes in order, then `all-on`.
    pub scenes: Vec<SceneFigures>,
    /// Everything on, with other outputs of those that take turns: each that is on in no scene of `all-on`'s choice
    /// has its turn in one of these. No scenes of the plan, but states that the model comes into, for the checks to judge.
    pub turns: Vec<SceneFigures>,
}

impl Solution {
    /// Every state that the model comes into: the scenes, then the other turns.
    pub fn states(&self) -> impl Iterator<Item = &SceneFigures> {
        self.scenes.iter().chain(&self.turns)
    }

    /// The figures of an item with everything on; of what takes turns, in its turn.
    pub fn with_all_on(&self, id: ItemId) -> Option<&ItemFigures> {
        let all_on = self.scenes.last().into_iter().chain(&self.turns);
        let mut own = all_on.filter_map(|state| state.outcome.as_ref().ok()?.items.get(id.0));
        own.clone().find(|own| own.reached).or_else(|| own.next())
    }

    /// The states to show something in: the scenes, and, where it `is_on` in none of them, the first other turn in which it
    /// is.
    pub fn shown(&self, is_on: impl Fn(&Figures) -> bool) -> Vec<&SceneFigures> {
        let is_on = |state: &SceneFigures| state.outcome.as_ref().is_ok_and(&is_on);
        let its_turn = match self.scenes.iter().any(is_on) {
            true => None,
            false => self.turns.iter().find(|turn| is_on(turn)),
        };
        self.scenes.iter().chain(its_turn).collect()
    }

    /// As [`Solution::shown`], for an item.
    pub fn shown_of(&self, id: ItemId) -> Vec<&SceneFigures> {
        self.shown(|figures| figures.items.get(id.0).is_some_and(|own| own.reached))
    }
}

/// The figures of one scene.
#[derive(Clone, Debug)]
pub struct SceneFigures {
    /// Its name; `all-on` for the implied one.
    pub name: Name,
    /// What is on: for each item of the plan, whether it is not cut out by the scene itself.
    pub on: Vec<bool>,
    /// Whether an earlier state leaves the same on, so that its figures are the same.
    pub is_repeat: bool,
    /// The figures, or why there are none.
    pub outcome: Result<Figures, NoSolution>,
}

/// The figures of a scene that has a solution at every corner. Scenes that leave the same on share them.
#[derive(Clone, Debug, Default)]
pub struct Figures {
    /// For each item of the plan.
    pub items: Arc<Vec<ItemFigures>>,
    /// For each link of the plan: the current of its plus leg and of its minus leg, from the first end to the second.
    pub links: Arc<Vec<(Figure<ElectricCurrent>, Figure<ElectricCurrent>)>>,
}

/// The figures of one item. All are zero where it is not reached.
#[derive(Clone, Debug, Default)]
pub struct ItemFigures {
    /// Whether both its ends lead to a supply that is on.
    pub reached: bool,
    /// Across its own ends, behind its run.
    pub volts: Figure<ElectricPotential>,
    /// What flows inside it from plus to minus.
    pub amps: Figure<ElectricCurrent>,
    /// Through the plus leg that feeds it, towards it.
    pub passes: Figure<ElectricCurrent>,
    /// Through the minus leg that feeds it, away from it.
    pub returns: Figure<ElectricCurrent>,
    /// For a diode, rectifier or regulator: what comes out of it.
    pub gives: Figure<ElectricCurrent>,
    /// The heat and light that it makes.
    pub watts: Figure<Power>,
    /// What is lost in wire, track, contacts and fuses on the way to it.
    pub drop: Figure<ElectricPotential>,
    /// For a strip: the least voltage across one of its groups (the greatest is `volts`' side).
    pub lowest_group: Figure<ElectricPotential>,
    /// For a strip: the greatest voltage across one of its groups.
    pub highest_group: Figure<ElectricPotential>,
    /// For a board: each output's voltage and the current that it gives (or sinks).
    pub outputs: Vec<OutputFigures>,
    /// For what hands power on: the voltage at the point that it hands on.
    pub hands_on: Figure<ElectricPotential>,
}

/// The figures of a board's output.
#[derive(Clone, Debug, Default)]
pub struct OutputFigures {
    /// Between its plus and the board's minus (for a sinking one, 0).
    pub volts: Figure<ElectricPotential>,
    /// What it gives; what it sinks.
    pub amps: Figure<ElectricCurrent>,
}

/// Why a scene has no figures.
#[derive(Clone, Debug)]
pub struct NoSolution {
    /// The item that cannot have what it wants.
    pub item: ItemId,
    /// The first corner at which it shows.
    pub corner: Corner,
    /// What is the matter.
    pub cause: NoSolutionCause,
}

/// What keeps a circuit from settling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoSolutionCause {
    /// A load cannot get its current or power above 0 V.
    Starved,
    /// Two sources are joined with no resistance between.
    SourcesJoined(Point),
    /// More than 1 kA would flow.
    TooMuchCurrent,
    /// The solver did not settle within its bounds.
    Unsettled,
    /// So many outputs of one circuit take turns that it would take long to try them all.
    ManyTurns,
}
