//! What can be wrong with a circuit as it was built: where copper is open or resists, a piece that does nothing, wires that touch,
//! a piece that is turned round. [`super::network`] builds the circuit with them.

use super::fused_runs::RunOf;
use crate::plan::{ItemId, Point};
use crate::units::{ElectricalResistance, Ratio};

/// One of the two legs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Leg {
    /// Plus.
    Plus,
    /// Minus.
    Minus,
}

impl Leg {
    /// As it is written.
    pub fn word(self) -> &'static str {
        match self {
            Leg::Plus => "plus",
            Leg::Minus => "minus",
        }
    }
}

/// A place in one leg where copper can open or resist.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Spot {
    /// A wire of a run, with both its soldered ends; of what has no run, the joint that it sits on its point with.
    Wire(RunOf, Leg),
    /// A joint: every wire that is soldered there.
    Joint(ItemId, Leg),
    /// A connector's contact.
    Contact(ItemId, Leg),
    /// The copper of a tape behind so many of its groups; behind all of them, its far end.
    Track(ItemId, Leg, u32),
}

/// Something wrong.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Defect {
    /// Nothing gets through here.
    Open(Spot),
    /// So much more resistance than there should be.
    Resists(Spot, ElectricalResistance),
    /// A piece that does nothing and lets nothing through inside: a fuse that has blown, contacts that are open in both legs, a
    /// lamp, board or supply that is dead. What hands power on past itself still does.
    Dead(ItemId),
    /// An output of a board that gives (or sinks) nothing.
    DeadOutput(Point),
    /// Plus and minus touch at the far end of a run.
    Bridged(RunOf),
    /// The two wires that feed a piece are swapped; of a supply, its two rails.
    Swapped(ItemId),
    /// A supply that gives this part of its voltage.
    Weak(ItemId, Ratio),
}

/// What is wrong, all together.
#[derive(Clone, Debug, Default)]
pub(crate) struct Defects(pub Vec<Defect>);

/// What two wires that touch resist, ohms: a loose contact of bare ends (from memory, tens of milliohms).
pub(super) const BRIDGE: f64 = 0.05;

impl Defects {
    /// The resistance that is added at a spot; infinite where it is open.
    #[inline]
    pub fn ohms_at(&self, spot: Spot) -> f64 {
        // Of every leg of every circuit this is asked, and mostly nothing is wrong with any.
        if self.0.is_empty() {
            return 0.0;
        }
        let at = self.0.iter().map(|defect| match defect {
            Defect::Open(open) if *open == spot => f64::INFINITY,
            Defect::Resists(bad, ohms) if *bad == spot => ohms.value,
            _ => 0.0,
        });
        at.sum()
    }

    /// Where a strip's track resists in one leg: behind how many groups, and how much.
    pub fn in_track(&self, strip: ItemId) -> Vec<(u32, Leg, f64)> {
        let at = self.0.iter().filter_map(|defect| match *defect {
            Defect::Open(Spot::Track(of, leg, groups)) if of == strip => {
                Some((groups, leg, f64::INFINITY))
            }
            Defect::Resists(Spot::Track(of, leg, groups), ohms) if of == strip => {
                Some((groups, leg, ohms.value))
            }
            _ => None,
        });
        at.collect()
    }

    #[inline]
    pub fn is_dead(&self, item: ItemId) -> bool {
        self.0.contains(&Defect::Dead(item))
    }

    pub fn is_dead_output(&self, item: ItemId, output: usize) -> bool {
        self.is_dead(item)
            || self.0.contains(&Defect::DeadOutput(Point {
                item,
                output: Some(output),
            }))
    }

    #[inline]
    pub fn is_swapped(&self, item: ItemId) -> bool {
        self.0.contains(&Defect::Swapped(item))
    }

    /// Whether any feed is swapped, so that plus and minus must be told apart.
    pub fn swaps(&self) -> bool {
        let swapped = |defect: &Defect| matches!(defect, Defect::Swapped(_));
        self.0.iter().any(swapped)
    }

    /// The runs at whose ends plus and minus touch.
    pub fn bridged(&self) -> impl Iterator<Item = RunOf> + '_ {
        self.0.iter().filter_map(|defect| match defect {
            Defect::Bridged(run) => Some(*run),
            _ => None,
        })
    }

    /// Whether plus and minus touch at the end of an item's run.
    #[inline]
    pub fn is_bridged(&self, item: ItemId) -> bool {
        self.0.contains(&Defect::Bridged(RunOf::Item(item)))
    }

    /// What part of its voltage a supply gives.
    pub fn strength(&self, supply: ItemId) -> f64 {
        let weak = self.0.iter().find_map(|defect| match defect {
            Defect::Weak(of, part) if *of == supply => Some(part.value),
            _ => None,
        });
        weak.unwrap_or(1.0)
    }
}
