//! What a plan that is a part of a larger one must know of the rest of it.
//!
//! A large plan is read and checked in parts that no name ties to each other (see [`crate::parts`]). All that a part
//! says depends on its own stanzas, on the stock, and on what stands here; for a whole plan nothing stands here.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::syntax::tree::Name;

/// What there is outside of this part of a plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Elsewhere {
    /// First words of the names that scenes list and that items elsewhere have.
    pub listed: Arc<BTreeSet<Arc<str>>>,
    /// How many names there are to compare with one that is not known.
    pub names: usize,
    /// How many strips.
    pub strips: usize,
    /// Whether there is any wiring.
    pub wiring: bool,
    /// Whether there are lights.
    pub lights: bool,
    /// Whether there are passages.
    pub passages: bool,
    /// For each scene as written, and then for all on: whether anything has current.
    pub lit: Vec<bool>,
    /// Pairs of scenes, the earlier first, in which not the same things are on.
    pub differ: BTreeSet<(usize, usize)>,
    /// The middle one of the lengths of all runs of the whole plan, metres.
    pub usual_run: Option<f64>,
    /// Whether something could not be read, and whether a name may be missed. Only a part that is to be changed knows this; else
    /// what must not be said then is taken out of what all parts say.
    pub errors: bool,
    /// See there.
    pub misses: bool,
    /// What is made of the stock.
    pub stock: BTreeMap<Name, StockUse>,
}

impl Elsewhere {
    /// Whether something refers to stock of this name.
    pub fn refers_to(&self, stock: &Name) -> bool {
        self.stock.get(stock).is_some_and(|of| of.referred)
    }
}

/// What is made of one kind of stock.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct StockUse {
    /// Something refers to it.
    pub referred: bool,
    /// A wire is a plus leg, or of a link.
    pub plus: bool,
    /// A wire is a minus leg, or of a link.
    pub minus: bool,
    /// Something is made of it.
    pub made: bool,
    /// Where it says what is at hand: how much is cut of it, nanometres; whole numbers, so that the order of the sum does
    /// not matter.
    pub cut: i128,
    /// Where it says what is at hand: how many pieces of it there are.
    pub pieces: u64,
}

impl StockUse {
    /// Both together.
    pub fn and(self, other: StockUse) -> StockUse {
        StockUse {
            referred: self.referred || other.referred,
            plus: self.plus || other.plus,
            minus: self.minus || other.minus,
            made: self.made || other.made,
            cut: self.cut + other.cut,
            pieces: self.pieces + other.pieces,
        }
    }
}
