//! What goes dark when something breaks: plain connectivity, everything else on, second ways (links)
//! and separate returns followed.
//!
//! When an item breaks, both its legs are open and nothing gets through it. The point that it hands
//! on stays in one piece, so that what hangs on it lives on where a link leads there. When a joint comes
//! apart, that point is gone: every wire that is soldered to it hangs loose, links too.
//!
//! Plus and minus are graphs of their own, for no part joins them here. Each place that can break is a
//! node of them (each leg of a run has one of its own, so that two runs side by side never count as one).
//! The end of an item is lost with a broken place if every way from the supply leads through that place:
//! if it dominates the end (Cooper, Harvey and Kennedy 2001, "A simple, fast dominance algorithm").

mod copper;
mod dominators;
mod same;

use std::collections::VecDeque;
use std::ops::Range;

use crate::plan::{ItemId, LinkId, Part, Plan};

use super::defects::Leg;
use super::fused_runs::RunOf;
use copper::Copper;
use dominators::Room;
pub use same::is_same_copper;

/// A place that can break.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Place {
    /// An item, with both legs that feed it.
    Item(ItemId),
    /// The plus leg of a run.
    PlusLeg(RunOf),
    /// The minus leg of a run.
    MinusLeg(RunOf),
    /// A joint that comes apart: every wire that is soldered to it is loose.
    Joint(ItemId),
    /// A connector's contact in plus.
    PlusContact(ItemId),
    /// A connector's contact in minus.
    MinusContact(ItemId),
    /// A strip that cracks: what it hands on at its far end is cut off. Its own groups ahead of the crack stay lit.
    Tape(ItemId),
}

impl Place {
    /// What kind of place it is, in words of the trade.
    pub fn word(self) -> &'static str {
        match self {
            Place::Item(_) => "item",
            Place::PlusLeg(_) => "plus leg",
            Place::MinusLeg(_) => "minus leg",
            Place::Joint(_) => "joint",
            Place::PlusContact(_) => "plus contact",
            Place::MinusContact(_) => "minus contact",
            Place::Tape(_) => "tape",
        }
    }

    /// The stanza that it is part of, an item's or a link's.
    pub fn of(self) -> RunOf {
        match self {
            Place::PlusLeg(of) | Place::MinusLeg(of) => of,
            Place::Item(item)
            | Place::Joint(item)
            | Place::PlusContact(item)
            | Place::MinusContact(item)
            | Place::Tape(item) => RunOf::Item(item),
        }
    }
}

/// Where a plan is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OpenAt {
    /// At a place, in one leg.
    Place(Place, Leg),
    /// Inside an item: plus does not get through it.
    Inside(ItemId),
}

/// What goes dark with each place of a plan. Made once for a plan; each answer then takes only as
/// long as it is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Breaks {
    /// For each item that is a light, how many supplies light it.
    lit_by: Vec<usize>,
    /// The lights that each supply lights, along plus, then along minus, so that all that hang on
    /// one place stand together.
    order: Vec<ItemId>,
    /// What hangs on each place, of the lights of each supply; sorted.
    hang: Vec<Hang>,
}

/// What hangs on one place, of the lights of one supply.
#[derive(Clone, Debug, PartialEq)]
struct Hang {
    place: Place,
    supply: ItemId,
    leg: Leg,
    lights: Range<usize>,
}

impl Breaks {
    /// Of a plan.
    pub fn of(plan: &Plan) -> Breaks {
        Breaks::without(plan, &[])
    }

    /// Of a plan, as if these links were not there.
    pub fn without(plan: &Plan, links: &[LinkId]) -> Breaks {
        Breaks::in_copper(plan, &Copper::of(plan, links, None))
    }

    /// Of a plan that is open somewhere already.
    pub fn once_open(plan: &Plan, at: OpenAt) -> Breaks {
        Breaks::in_copper(plan, &Copper::of(plan, &[], Some(at)))
    }

    fn in_copper(plan: &Plan, copper: &Copper) -> Breaks {
        let mut breaks = Breaks {
            lit_by: vec![0; plan.items.len()],
            order: Vec::new(),
            hang: Vec::new(),
        };
        let mut room = copper.room();
        let mut ends_reached = vec![0u8; plan.items.len()];
        for (s, item) in plan.items.iter().enumerate() {
            if matches!(item.part, Part::Supply(_)) {
                breaks.add(plan, copper, ItemId(s), &mut room, &mut ends_reached);
            }
        }
        breaks
            .hang
            .sort_unstable_by_key(|hang| (hang.place, hang.supply));
        breaks
    }

    /// What hangs on a supply. `ends_reached` is all nought between one supply and the next: each takes as long as what
    /// hangs on it, not as the plan.
    fn add(
        &mut self,
        plan: &Plan,
        copper: &Copper,
        supply: ItemId,
        room: &mut Room,
        ends_reached: &mut [u8],
    ) {
        let (plus, minus) = copper.ends[supply.0];
        let trees = [plus, minus].map(|root| copper.dominated_from(root, room));
        let item = |&(place, _): &(Option<Place>, usize)| match place {
            Some(Place::Item(item)) => Some(item),
            _ => None,
        };
        for item in trees.iter().flatten().filter_map(item) {
            ends_reached[item.0] += 1;
        }
        let is_lit = |item: ItemId| plan.items[item.0].is_light() && ends_reached[item.0] == 2;
        // Each has one end in plus.
        for item in trees[0].iter().filter_map(item).filter(|id| is_lit(*id)) {
            self.lit_by[item.0] += 1;
        }
        for (tree, leg) in trees.iter().zip([Leg::Plus, Leg::Minus]) {
            // Where in `order` each place of the tree comes to stand.
            let mut at = Vec::with_capacity(tree.len() + 1);
            for &(place, _) in tree {
                at.push(self.order.len());
                if let Some(Place::Item(item)) = place
                    && is_lit(item)
                {
                    self.order.push(item);
                }
            }
            at.push(self.order.len());
            for (k, &(place, hanging)) in tree.iter().enumerate() {
                let lights = at[k]..at[k + hanging];
                if let Some(place) = place
                    && !lights.is_empty()
                {
                    self.hang.push(Hang {
                        place,
                        supply,
                        leg,
                        lights,
                    });
                }
            }
        }
        for item in trees.iter().flatten().filter_map(item) {
            ends_reached[item.0] = 0;
        }
    }

    /// The lights that go dark when this item breaks (itself too, if it is one), in the order of the
    /// plan. Those that are dark anyway are not among them.
    pub fn darkened(&self, item: ItemId) -> Vec<ItemId> {
        self.darkened_at(Place::Item(item))
    }

    /// The lights that go dark when this place breaks, in the order of the plan. Those that are dark
    /// anyway are not among them; none go with a place that the plan does not have.
    pub fn darkened_at(&self, place: Place) -> Vec<ItemId> {
        self.lost(self.at(place))
    }

    /// The same where only one leg of the place breaks; of an item, where nothing comes through its plus end or its minus end.
    pub fn darkened_in(&self, place: Place, leg: Leg) -> Vec<ItemId> {
        self.lost(self.at(place).filter(|hang| hang.leg == leg))
    }

    /// What hangs on a place.
    fn at(&self, place: Place) -> impl Iterator<Item = &Hang> {
        let first = self.hang.partition_point(|hang| hang.place < place);
        let hang = self.hang[first..].iter();
        hang.take_while(move |hang| hang.place == place)
    }

    /// The lights that have lost all that lit them.
    fn lost<'h>(&self, hang: impl Iterator<Item = &'h Hang>) -> Vec<ItemId> {
        let mut lost: Vec<(ItemId, ItemId)> = hang
            .flat_map(|h| self.order[h.lights.clone()].iter().map(|&l| (l, h.supply)))
            .collect();
        // Along plus they stand in order more often than not, and along minus: a sort that merges.
        lost.sort();
        lost.dedup();
        // Dark is what has lost every supply that lit it.
        lost.chunk_by(|a, b| a.0 == b.0)
            .filter(|of_one| of_one.len() == self.lit_by[of_one[0].0.0])
            .map(|of_one| of_one[0].0)
            .collect()
    }

    /// The light through which this one has its power with no second way, the nearest first; `None`
    /// where it has its own way back to something that is no light.
    pub fn only_through(&self, plan: &Plan, light: ItemId) -> Option<ItemId> {
        let mut seen = vec![false; plan.items.len()];
        let mut todo = VecDeque::from([light]);
        seen[light.0] = true;
        while let Some(at) = todo.pop_front() {
            if at != light
                && plan.items[at.0].is_light()
                && self.darkened(at).binary_search(&light).is_ok()
            {
                return Some(at);
            }
            if let Some(feed) = &plan.items[at.0].feed {
                for point in [feed.from, feed.minus()] {
                    if !std::mem::replace(&mut seen[point.item.0], true) {
                        todo.push_back(point.item);
                    }
                }
            }
        }
        None
    }
}
