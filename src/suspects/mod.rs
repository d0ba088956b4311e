//! What may be wrong with a model of which some lights are dark or dim: from the plan and from what is seen to the faults that
//! would look exactly like that, each solved with the real circuit.
//!
//! `faults` says what can be wrong, `search` finds what explains what is seen, `ranking` puts the likely first, `meter` says where to
//! measure, `words` puts it in words.

mod faults;
mod meter;
pub mod named;
pub mod ranking;
mod search;
#[cfg(test)]
mod tests;
pub mod words;

use std::rc::Rc;

pub use faults::Fault;
pub use meter::{Measure, Outcome, Test};
pub use search::suspects;

use crate::circuit::defects::Defect;
use crate::circuit::planted::State;
use crate::plan::{Choice, ItemId, Plan};

/// A light at no more than this part of its current is dark.
pub const DARK: f64 = 0.02;
/// A light that is called dim has at most this part of its current. Smaller steps are not seen without the other beside it (common
/// practice).
pub const DIM: f64 = 0.9;
/// A light of which nothing is said has at least this part of its current: half of it, which one eye may call dim and
/// another as before.
pub const AS_BEFORE: f64 = 0.5;
/// Every dim light has less of its current than every one that is as before, by this part: one that is as dim would be called so too.
pub const STEP: f64 = 0.05;

/// What is seen on the model.
#[derive(Clone, Debug, Default)]
pub struct Seen {
    /// The scene that is set, by its place among the plan's; `None`: everything is on.
    pub scene: Option<usize>,
    /// The lights that are dark, …
    pub dark: Vec<ItemId>,
    /// … those that are dimmer than they should be, but not dark, strips of which a part is dark among them, …
    pub dim: Vec<ItemId>,
    /// … and those that are as they should be.
    pub lit: Vec<ItemId>,
    /// Nobody looked at the others; else they are as they should be.
    pub others_unseen: bool,
}

impl Seen {
    /// What the scene chooses.
    pub(crate) fn choice<'a>(&self, plan: &'a Plan) -> &'a Choice {
        let scene = self.scene.and_then(|scene| plan.scenes.get(scene));
        scene.map_or(&Choice::All, |scene| &scene.choice)
    }

    /// The name of the scene.
    pub fn scene_name<'a>(&self, plan: &'a Plan) -> &'a str {
        let scene = self.scene.and_then(|scene| plan.scenes.get(scene));
        scene.map_or(crate::circuit::ALL_ON, |scene| &scene.name.0)
    }
}

/// What would explain what is seen.
#[derive(Clone, Debug)]
pub struct Suspect {
    /// One fault, or two together.
    pub faults: Vec<Fault>,
    /// How likely it is beside the others: see [`ranking`].
    pub weight: f64,
    /// What blows or gives up by it.
    pub gives_up: Vec<Defect>,
    /// What a meter would read if it is this; `None` where no voltage tells.
    pub measure: Option<Measure>,
    /// The circuits with it, solved.
    states: Vec<(usize, Rc<State>)>,
}

/// All that may be wrong.
#[derive(Clone, Debug, Default)]
pub struct Suspects {
    /// Lights that are said to be dark or dim, and are dark in the whole model too: off in this scene, or nothing feeds them.
    pub dark_anyway: Vec<ItemId>,
    /// Lights that are said to be lit, and are dark in the whole model too.
    pub lit_although: Vec<ItemId>,
    /// Single faults that explain exactly what is seen, the likeliest first.
    pub singles: Vec<Suspect>,
    /// Where no single fault does: two together.
    pub pairs: Vec<Suspect>,
    /// The measurement that tells most of them apart.
    pub test: Option<Test>,
    /// Something was to be explained.
    pub searched: bool,
    /// There was more to try than is tried at once.
    pub cut_short: bool,
}

impl Suspects {
    /// The suspects: the single ones, else the pairs.
    pub fn all(&self) -> &[Suspect] {
        match self.singles.is_empty() {
            true => &self.pairs,
            false => &self.singles,
        }
    }
}
