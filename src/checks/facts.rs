//! What checks ask about the whole plan while they look at a part of it. Who keeps parts of a plan can tell from
//! this which of them a change elsewhere concerns.

use std::sync::atomic::{AtomicU16, Ordering};

/// Something that a check may ask of the rest of the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fact {
    /// Whether something could not be read.
    Errors = 1,
    /// Whether a name may be meant where none is seen.
    Misses = 1 << 1,
    /// Whether there is wiring.
    Wiring = 1 << 2,
    /// Whether there are lights.
    Lights = 1 << 3,
    /// Whether there are passages.
    Passages = 1 << 4,
    /// In which scenes anything has current.
    Lit = 1 << 5,
    /// Which scenes differ.
    Differ = 1 << 6,
    /// How long runs usually are.
    UsualRun = 1 << 7,
    /// What is made of the stock.
    Stock = 1 << 8,
}

/// The facts that were asked for.
#[derive(Debug, Default)]
pub struct Asked(AtomicU16);

impl Clone for Asked {
    fn clone(&self) -> Asked {
        Asked(AtomicU16::new(self.0.load(Ordering::Relaxed)))
    }
}

impl Asked {
    pub(super) fn note(&self, fact: Fact) {
        self.0.fetch_or(fact as u16, Ordering::Relaxed);
    }

    pub(super) fn forget(&self) {
        self.0.store(0, Ordering::Relaxed);
    }

    pub(super) fn add(&self, other: &Asked) {
        let other = other.0.load(Ordering::Relaxed);
        self.0.fetch_or(other, Ordering::Relaxed);
    }

    /// Whether it was asked for.
    pub fn has(&self, fact: Fact) -> bool {
        self.0.load(Ordering::Relaxed) & fact as u16 != 0
    }
}
