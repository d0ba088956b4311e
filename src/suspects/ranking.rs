//! Which suspect stands ahead of which: one table of weights, and what changes them.
//!
//! All of it is common practice of the bench, no statistics: what a hand has soldered fails ahead of what was bought, thin wire ahead of
//! thick, what was never tried ahead of what was tried and right.

use super::Fault;
use crate::checks::trial_fits;
use crate::circuit::defects::{Leg, Spot};
use crate::circuit::fused_runs::RunOf;
use crate::plan::{ItemId, Part, Plan, Run};
use crate::units::Length;

/// A kind of fault, as far as it is ranked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A splice.
    Joint,
    /// Thin wire, or one of its soldered ends.
    ThinWire,
    /// A piece that sits on its point without wire: its solder.
    OwnJoint,
    /// A plug that is not in.
    Unplugged,
    /// A switch.
    Switch,
    /// A contact of a connector.
    Contact,
    /// The soldered far end of a tape.
    TapeEnd,
    /// A joint between the lamps of a string.
    InString,
    /// A supply that gives less than it should.
    Weak,
    /// Thicker wire, or one of its ends.
    Wire,
    /// A piece the wrong way round, or fed so.
    Turned,
    /// A supply that gives nothing, or is the wrong way round.
    Supply,
    /// Wires that touch.
    Short,
    /// A fuse that has blown, of age or of a short that has gone.
    Blown,
    /// The copper of a tape between its groups.
    Track,
    /// A bought part.
    Bought,
}

/// The table: each kind, its weight, and what it is in words. The order of this page is that of the weights.
pub const WEIGHTS: [(Kind, f64, &str); 16] = [
    (Kind::Joint, 10.0, "a joint (splice or terminal)"),
    (
        Kind::ThinWire,
        8.0,
        "a run of thin wire, or a soldered end of it",
    ),
    (
        Kind::OwnJoint,
        7.0,
        "the solder of a piece that sits on its point",
    ),
    (Kind::Unplugged, 6.0, "a connector that is not plugged in"),
    (Kind::Switch, 6.0, "a switch: off, or its contact open"),
    (Kind::Contact, 6.0, "a contact of a connector"),
    (Kind::TapeEnd, 6.0, "the soldered far end of a strip"),
    (Kind::InString, 6.0, "a joint between the lamps of a string"),
    (
        Kind::Weak,
        6.0,
        "a supply that is weak (a battery run down)",
    ),
    (Kind::Wire, 5.0, "a run of thicker wire, or an end of it"),
    (
        Kind::Turned,
        5.0,
        "a piece that is turned round or fed the wrong way round",
    ),
    (
        Kind::Supply,
        4.0,
        "a supply that gives nothing or is the wrong way round",
    ),
    (Kind::Short, 4.0, "wires that touch at the end of a run"),
    (Kind::Blown, 4.0, "a fuse that has blown by itself"),
    (Kind::Track, 3.0, "the copper of a strip between two groups"),
    (
        Kind::Bought,
        2.0,
        "a bought part: lamp, resistor, diode, regulator, board",
    ),
];

/// Wire whose copper is thinner than this breaks at the solder or when it is pulled: about 30 AWG (common practice).
pub const THIN: f64 = 0.000_26;

/// In a zone that is sealed: nobody has looked at it since.
pub const SEALED: f64 = 1.5;
/// A run that goes through a passage: its edge wears.
pub const PASSAGE: f64 = 1.2;
/// A piece that was tried and right before it was fitted, in itself.
pub const TRIED: f64 = 0.3;
/// A piece that was tried and off.
pub const TRIED_OFF: f64 = 3.0;

/// What a fault is ranked as.
pub fn kind(plan: &Plan, fault: Fault) -> Kind {
    match fault {
        Fault::Open(spot) | Fault::Bad(spot, _) => match spot {
            Spot::Joint(..) => Kind::Joint,
            Spot::Contact(..) => Kind::Contact,
            Spot::Track(item, _, behind) => match plan.items[item.0].part {
                Part::Strip { groups, .. } if behind < groups => Kind::Track,
                _ => Kind::TapeEnd,
            },
            Spot::Wire(of, leg) => match run(plan, of, leg) {
                None => Kind::OwnJoint,
                Some(run) if is_thin(plan, run) => Kind::ThinWire,
                Some(_) => Kind::Wire,
            },
        },
        Fault::Unplugged(_) => Kind::Unplugged,
        Fault::SwitchedOff(_) => Kind::Switch,
        Fault::Blown(_) => Kind::Blown,
        Fault::NoSupply(_) | Fault::Reversed(_) => Kind::Supply,
        Fault::Weak(..) => Kind::Weak,
        Fault::Failed(_) | Fault::OutputFailed(_) | Fault::ResistorOpen(_) => Kind::Bought,
        Fault::InString(_) => Kind::InString,
        Fault::TurnedRound(_) | Fault::Swapped(_) => Kind::Turned,
        Fault::Short(_) => Kind::Short,
    }
}

/// How likely a fault is beside others.
pub fn weight(plan: &Plan, fault: Fault) -> f64 {
    let kind = kind(plan, fault);
    let own = WEIGHTS.iter().find(|(of, ..)| *of == kind);
    let mut weight = own.map_or(1.0, |(_, weight, _)| *weight);
    if is_sealed(plan, fault.at()) {
        weight *= SEALED;
    }
    let wired = matches!(
        fault,
        Fault::Open(Spot::Wire(..)) | Fault::Bad(Spot::Wire(..), _)
    );
    if (wired || kind == Kind::Short) && passes(plan, fault.at()) {
        weight *= PASSAGE;
    }
    if let Some(item) = piece_itself(fault) {
        weight *= match tried(plan, item) {
            Some(Tried::Right) => TRIED,
            Some(Tried::Off) => TRIED_OFF,
            None => 1.0,
        };
    }
    weight
}

/// How a piece was when it was tried last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tried {
    /// As it should be.
    Right,
    /// It drew more or less than it should.
    Off,
}

/// How a piece was when it was tried last, as `tried-off` judges it; `None` where that is not on record, or nothing says what it
/// should draw.
pub fn tried(plan: &Plan, item: ItemId) -> Option<Tried> {
    let trial = plan.trials.iter().rfind(|trial| trial.item == item)?;
    Some(match trial_fits(plan, trial)? {
        true => Tried::Right,
        false => Tried::Off,
    })
}

/// The piece that a fault is inside of, so that a trial of it alone tells of it.
pub fn piece_itself(fault: Fault) -> Option<ItemId> {
    match fault {
        Fault::Failed(item)
        | Fault::ResistorOpen(item)
        | Fault::InString(item)
        | Fault::TurnedRound(item)
        | Fault::Open(Spot::Track(item, ..))
        | Fault::Bad(Spot::Track(item, ..), _) => Some(item),
        _ => None,
    }
}

/// Whether what a fault is at cannot be reached any more.
pub fn is_sealed(plan: &Plan, of: RunOf) -> bool {
    let item = match of {
        RunOf::Item(item) => item,
        RunOf::Link(link) => plan.links[link.0].ends.0.item,
    };
    let zone = plan.items[item.0].zone;
    zone.is_some_and(|zone| plan.zones[zone.0].sealed)
}

fn run(plan: &Plan, of: RunOf, leg: Leg) -> Option<&Run> {
    match of {
        RunOf::Link(link) => plan.links[link.0].run.as_ref(),
        RunOf::Item(item) => {
            let feed = plan.items[item.0].feed.as_ref()?;
            match leg {
                Leg::Plus => feed.run.as_ref(),
                Leg::Minus => feed.back_run.as_ref().or(feed.run.as_ref()),
            }
        }
    }
}

fn is_thin(plan: &Plan, run: &Run) -> bool {
    let copper: Length = plan.wires[run.wire.0].copper;
    copper.value < THIN
}

fn passes(plan: &Plan, of: RunOf) -> bool {
    let legs = [Leg::Plus, Leg::Minus].into_iter();
    legs.filter_map(|leg| run(plan, of, leg))
        .any(|run| !run.via.is_empty())
}
