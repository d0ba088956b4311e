//! What can be wrong: every single fault of a circuit, in the order of the plan, with what of it the circuit is solved with and what is
//! sure to go dark with it.

use crate::circuit::ballast_ahead;
use crate::circuit::breaks::{Breaks, OpenAt, Place};
use crate::circuit::defects::{Defect, Leg, Spot};
use crate::circuit::fused_runs::RunOf;
use crate::circuit::planted::Planted;
use crate::plan::{ItemId, LinkId, Part, Plan, Point};
use crate::units::{ElectricalResistance, Ratio, ratio};

/// A single fault.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// Copper is open.
    Open(Spot),
    /// Copper is bad: it has this resistance more than it should.
    Bad(Spot, ElectricalResistance),
    /// A connector is not plugged in.
    Unplugged(ItemId),
    /// A switch is off, or its contact does not close.
    SwitchedOff(ItemId),
    /// A fuse has blown.
    Blown(ItemId),
    /// A supply gives nothing.
    NoSupply(ItemId),
    /// A supply gives only this part of its voltage.
    Weak(ItemId, Ratio),
    /// The rails of a supply are swapped.
    Reversed(ItemId),
    /// A resistor, diode, rectifier, regulator or board is open or dead; a lamp of a light is.
    Failed(ItemId),
    /// An output of a board is.
    OutputFailed(Point),
    /// The resistor of a lamp or string is open.
    ResistorOpen(ItemId),
    /// A joint between the lamps of a string is open.
    InString(ItemId),
    /// A lamp (of a string, one of them) or a diode is the wrong way round.
    TurnedRound(ItemId),
    /// The two wires that feed a piece are swapped.
    Swapped(ItemId),
    /// Plus and minus touch at the far end of a run.
    Short(RunOf),
}

/// The parts of its voltage at which a supply is tried for being weak.
const WEAK: [f64; 3] = [0.9, 0.75, 0.6];

impl Fault {
    /// What the circuit is solved with.
    pub fn defects(self) -> Vec<Defect> {
        vec![match self {
            Fault::Open(spot) => Defect::Open(spot),
            Fault::Bad(spot, ohms) => Defect::Resists(spot, ohms),
            Fault::Weak(supply, part) => Defect::Weak(supply, part),
            Fault::Reversed(item) | Fault::Swapped(item) => Defect::Swapped(item),
            Fault::OutputFailed(point) => Defect::DeadOutput(point),
            Fault::Short(run) => Defect::Bridged(run),
            Fault::Unplugged(item)
            | Fault::SwitchedOff(item)
            | Fault::Blown(item)
            | Fault::NoSupply(item)
            | Fault::Failed(item)
            | Fault::ResistorOpen(item)
            | Fault::InString(item)
            | Fault::TurnedRound(item) => Defect::Dead(item),
        }]
    }

    /// The item or link that it is at.
    pub fn at(self) -> RunOf {
        match self {
            Fault::Open(spot) | Fault::Bad(spot, _) => match spot {
                Spot::Wire(of, _) => of,
                Spot::Joint(item, _) | Spot::Contact(item, _) | Spot::Track(item, _, _) => {
                    RunOf::Item(item)
                }
            },
            Fault::OutputFailed(point) => RunOf::Item(point.item),
            Fault::Short(of) => of,
            Fault::Unplugged(item)
            | Fault::SwitchedOff(item)
            | Fault::Blown(item)
            | Fault::NoSupply(item)
            | Fault::Weak(item, _)
            | Fault::Reversed(item)
            | Fault::Failed(item)
            | Fault::ResistorOpen(item)
            | Fault::InString(item)
            | Fault::TurnedRound(item)
            | Fault::Swapped(item) => RunOf::Item(item),
        }
    }

    /// What kind of fault it is, in words for other programs.
    pub fn word(self) -> &'static str {
        match self {
            Fault::Open(spot) | Fault::Bad(spot, _) => match (spot, leg_of(spot)) {
                (Spot::Wire(..), Leg::Plus) => "plus leg",
                (Spot::Wire(..), Leg::Minus) => "minus leg",
                (Spot::Joint(..), Leg::Plus) => "plus joint",
                (Spot::Joint(..), Leg::Minus) => "minus joint",
                (Spot::Contact(..), Leg::Plus) => "plus contact",
                (Spot::Contact(..), Leg::Minus) => "minus contact",
                (Spot::Track(..), Leg::Plus) => "plus track",
                (Spot::Track(..), Leg::Minus) => "minus track",
            },
            Fault::Unplugged(_) => "unplugged",
            Fault::SwitchedOff(_) => "off",
            Fault::Blown(_) => "blown",
            Fault::NoSupply(_) => "no supply",
            Fault::Weak(..) => "weak supply",
            Fault::Reversed(_) => "reversed supply",
            Fault::Failed(_) => "failed",
            Fault::OutputFailed(_) => "output failed",
            Fault::ResistorOpen(_) => "resistor open",
            Fault::InString(_) => "joint in string",
            Fault::TurnedRound(_) => "turned round",
            Fault::Swapped(_) => "swapped feed",
            Fault::Short(_) => "short",
        }
    }

    /// The leg that it is in, where it is in one.
    pub fn leg(self) -> Option<Leg> {
        match self {
            Fault::Open(spot) | Fault::Bad(spot, _) => Some(leg_of(spot)),
            Fault::SwitchedOff(_) | Fault::Blown(_) | Fault::OutputFailed(_) => Some(Leg::Plus),
            _ => None,
        }
    }

    /// Lights that go dark with it, whatever else: what copper alone says with everything on.
    pub(super) fn surely_darkens(self, plan: &Plan, breaks: &Breaks) -> Vec<ItemId> {
        let inside = |item: ItemId| match plan.items[item.0].is_light() {
            true => vec![item],
            false => breaks.darkened_in(Place::Item(item), Leg::Plus),
        };
        match self {
            Fault::Open(spot) => breaks.darkened_in(place_of(spot), leg_of(spot)),
            Fault::Unplugged(item) => {
                let contacts = [Place::PlusContact, Place::MinusContact].map(|of| of(item));
                both(contacts.map(|contact| breaks.darkened_at(contact)))
            }
            // Behind the resistor: nothing blows, and what hangs on the lamp's ends has its voltage.
            Fault::Short(RunOf::Item(item))
                if ballast_ahead(&plan.items[item.0].part).is_some() =>
            {
                vec![item]
            }
            Fault::NoSupply(item) | Fault::Reversed(item) => breaks.darkened_at(Place::Item(item)),
            Fault::Swapped(item) => {
                let legs = [Place::PlusLeg, Place::MinusLeg].map(|leg| leg(RunOf::Item(item)));
                both(legs.map(|leg| breaks.darkened_at(leg)))
            }
            // What has both its ends at the two that touch; a strip that is fed from its far end too has copper between.
            Fault::Short(RunOf::Item(item)) => {
                let is_strip = matches!(plan.items[item.0].part, Part::Strip { .. });
                let minus = breaks.darkened_in(Place::Item(item), Leg::Minus);
                let mut dark = breaks.darkened_in(Place::Item(item), Leg::Plus);
                dark.retain(|light| {
                    minus.binary_search(light).is_ok() && !(is_strip && *light == item)
                });
                dark
            }
            Fault::SwitchedOff(item)
            | Fault::Blown(item)
            | Fault::Failed(item)
            | Fault::ResistorOpen(item)
            | Fault::InString(item)
            | Fault::TurnedRound(item) => match plan.items[item.0].part {
                // An output may hand on, sink, or hold a voltage of its own.
                Part::Board { .. } => Vec::new(),
                _ => inside(item),
            },
            Fault::Bad(..)
            | Fault::Weak(..)
            | Fault::OutputFailed(_)
            | Fault::Short(RunOf::Link(_)) => Vec::new(),
        }
    }

    /// Whether what copper says is all that goes dark, where there is but one way to each light.
    pub(super) fn darkens_no_more(self, plan: &Plan) -> bool {
        match self {
            Fault::Bad(..) | Fault::Weak(..) | Fault::OutputFailed(_) | Fault::Short(_) => false,
            _ => !self.is_of_board(plan),
        }
    }

    /// Whether it is a board's, or one of its outputs'.
    pub(super) fn is_of_board(self, plan: &Plan) -> bool {
        match self {
            Fault::OutputFailed(_) => true,
            Fault::Failed(item) => matches!(plan.items[item.0].part, Part::Board { .. }),
            _ => false,
        }
    }

    /// Where copper is open with it; `None` where it is more than one open place.
    pub(super) fn opens(self) -> Option<OpenAt> {
        match self {
            Fault::Open(spot) => Some(OpenAt::Place(place_of(spot), leg_of(spot))),
            Fault::SwitchedOff(item) | Fault::Blown(item) => Some(OpenAt::Inside(item)),
            Fault::Failed(item) | Fault::TurnedRound(item) => Some(OpenAt::Inside(item)),
            _ => None,
        }
    }
}

fn both(lights: [Vec<ItemId>; 2]) -> Vec<ItemId> {
    let mut all = lights.concat();
    all.sort_unstable();
    all.dedup();
    all
}

fn leg_of(spot: Spot) -> Leg {
    match spot {
        Spot::Wire(_, leg)
        | Spot::Joint(_, leg)
        | Spot::Contact(_, leg)
        | Spot::Track(_, leg, _) => leg,
    }
}

fn place_of(spot: Spot) -> Place {
    match spot {
        Spot::Wire(of, Leg::Plus) => Place::PlusLeg(of),
        Spot::Wire(of, Leg::Minus) => Place::MinusLeg(of),
        Spot::Joint(item, _) => Place::Joint(item),
        Spot::Contact(item, Leg::Plus) => Place::PlusContact(item),
        Spot::Contact(item, Leg::Minus) => Place::MinusContact(item),
        Spot::Track(item, _, _) => Place::Tape(item),
    }
}

const LEGS: [Leg; 2] = [Leg::Plus, Leg::Minus];

/// Every place of a circuit where copper can open, in the order of the plan, links last.
pub(super) fn spots(plan: &Plan, items: &[ItemId], links: &[LinkId]) -> Vec<Spot> {
    let hands_on = handing_on(plan);
    let mut spots = Vec::new();
    for &id in items {
        let item = &plan.items[id.0];
        if let Some(feed) = &item.feed {
            let sinks = plan.output(feed.from).is_some_and(|output| output.sinks);
            let legs = LEGS.into_iter().filter(|leg| *leg == Leg::Minus || !sinks);
            spots.extend(legs.map(|leg| Spot::Wire(RunOf::Item(id), leg)));
        }
        match item.part {
            Part::Joint => spots.extend(LEGS.map(|leg| Spot::Joint(id, leg))),
            Part::Connector { .. } => spots.extend(LEGS.map(|leg| Spot::Contact(id, leg))),
            Part::Strip { groups, .. } => {
                let hands_on = hands_on[id.0];
                let last = if hands_on {
                    groups
                } else {
                    groups.saturating_sub(1)
                };
                let behind = 1..=last.min(MOST_CUTS);
                spots.extend(behind.flat_map(|k| LEGS.map(|leg| Spot::Track(id, leg, k))));
                if hands_on && groups > MOST_CUTS {
                    spots.extend(LEGS.map(|leg| Spot::Track(id, leg, groups)));
                }
            }
            _ => {}
        }
    }
    for &id in links {
        spots.extend(LEGS.map(|leg| Spot::Wire(RunOf::Link(id), leg)));
    }
    spots
}

/// The most cracks of one strip that are tried, from its start on.
const MOST_CUTS: u32 = 40;

/// For each item, whether anything hangs on it.
fn handing_on(plan: &Plan) -> Vec<bool> {
    let feeds = plan.items.iter().filter_map(|item| item.feed.as_ref());
    let points = feeds.flat_map(|feed| [feed.from, feed.minus()]);
    let ends = plan
        .links
        .iter()
        .flat_map(|link| [link.ends.0, link.ends.1]);
    let mut hands_on = vec![false; plan.items.len()];
    for point in points.chain(ends) {
        hands_on[point.item.0] = true;
    }
    hands_on
}

/// Every single fault of a circuit that opens something, turns something round or shorts it, in the order of the plan; what is off in
/// this state is not among them.
pub(super) fn all(plan: &Plan, planted: &Planted, which: usize) -> Vec<Fault> {
    let (items, links) = planted.members(which);
    let hands_on = handing_on(plan);
    let mut faults = Vec::new();
    let mut spots = spots(plan, items, links).into_iter().peekable();
    let rectified = items
        .iter()
        .any(|item| matches!(plan.items[item.0].part, Part::Rectifier { .. }));
    for &id in items {
        let of = RunOf::Item(id);
        while let Some(spot) = spots.next_if(|spot| Fault::Open(*spot).at() == of) {
            faults.push(Fault::Open(spot));
        }
        let item = &plan.items[id.0];
        match &item.part {
            Part::Supply(_) => {
                faults.push(Fault::NoSupply(id));
                // A rectifier puts that right.
                faults.extend((!rectified).then_some(Fault::Reversed(id)));
            }
            Part::Fuse { .. } => faults.push(Fault::Blown(id)),
            Part::Switch { .. } => faults.push(Fault::SwitchedOff(id)),
            Part::Connector { .. } => faults.push(Fault::Unplugged(id)),
            Part::Diode { .. } => faults.extend([Fault::TurnedRound(id), Fault::Failed(id)]),
            Part::Resistor { .. } | Part::Rectifier { .. } | Part::Regulator { .. } => {
                faults.push(Fault::Failed(id));
            }
            Part::Lamps {
                count, resistor, ..
            } => {
                faults.push(Fault::TurnedRound(id));
                faults.extend((*count > 1).then_some(Fault::InString(id)));
                faults.push(Fault::Failed(id));
                faults.extend(resistor.is_some().then_some(Fault::ResistorOpen(id)));
            }
            Part::Board { module } => {
                faults.push(Fault::Failed(id));
                let outputs = 0..plan.modules[module.0].outputs.len();
                let points = outputs.map(|o| Point {
                    item: id,
                    output: Some(o),
                });
                faults.extend(points.map(Fault::OutputFailed));
            }
            Part::Joint | Part::Strip { .. } | Part::Load(_) => {}
        }
        if let Some(feed) = &item.feed {
            // A lamp with nothing behind it that is fed the wrong way round is a lamp the wrong way round.
            let is_lamp = matches!(item.part, Part::Lamps { .. } | Part::Diode { .. });
            let is_load = matches!(item.part, Part::Load(_));
            if !rectified && !is_load && (!is_lamp || hands_on[id.0]) {
                faults.push(Fault::Swapped(id));
            }
            if feed.run.is_some() {
                faults.push(Fault::Short(of));
            }
        }
    }
    faults.extend(spots.map(Fault::Open));
    for &id in links {
        if plan.links[id.0].run.is_some() {
            faults.push(Fault::Short(RunOf::Link(id)));
        }
    }
    faults.retain(|fault| is_on(planted, *fault));
    faults
}

fn is_on(planted: &Planted, fault: Fault) -> bool {
    match (fault, fault.at()) {
        (Fault::OutputFailed(point), _) => planted.is_point_on(point),
        (_, RunOf::Item(item)) => planted.is_on(item),
        (_, RunOf::Link(_)) => true,
    }
}

/// How a supply may be weak.
pub(super) fn weak(plan: &Plan, items: &[ItemId]) -> Vec<Vec<Fault>> {
    let supplies = items
        .iter()
        .filter(|item| matches!(plan.items[item.0].part, Part::Supply(_)));
    supplies
        .map(|&item| WEAK.map(|part| Fault::Weak(item, ratio(part))).to_vec())
        .collect()
}
