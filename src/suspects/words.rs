//! Suspects in words: what is wrong, where it is, what to measure.

use super::ranking::{self, Tried};
use super::{Fault, Measure, Outcome, Suspect};
use crate::circuit::defects::{Defect, Leg, Spot};
use crate::circuit::fused_runs::RunOf;
use crate::numbers::{between, length, percent, show_short};
use crate::plan::{ItemId, Part, Plan, Point, Run};
use crate::units::ElectricPotential;

/// A suspect in one sentence: `the plus wire (red) to `mast` is broken, or loose at one end`; two faults joined by `and`.
pub fn suspect(plan: &Plan, suspect: &Suspect) -> String {
    let faults = suspect.faults.iter().map(|each| {
        let said = fault(plan, *each);
        match reasons(plan, *each).as_slice() {
            [] => said,
            reasons => format!("{said} ({})", reasons.join(", ")),
        }
    });
    let said = faults.collect::<Vec<_>>().join(", and ");
    match gives_up(plan, &suspect.gives_up) {
        Some(gives_up) => format!("{said}; by that {gives_up}"),
        None => said,
    }
}

fn named(plan: &Plan, item: ItemId) -> String {
    format!("`{}`", plan.items[item.0].name.0)
}

fn name_of(plan: &Plan, of: RunOf) -> String {
    format!("`{}`", of.name(plan))
}

/// A fault, without a full stop.
pub fn fault(plan: &Plan, fault: Fault) -> String {
    match fault {
        Fault::Open(spot) => match spot {
            Spot::Wire(of, leg) => match run(plan, of, leg) {
                Some(_) => format!("{} is broken, or loose at one end", at(plan, spot)),
                None => format!("{} does not hold", at(plan, spot)),
            },
            Spot::Joint(..) => format!("{} has come apart", at(plan, spot)),
            Spot::Contact(..) => format!("{} does not meet", at(plan, spot)),
            Spot::Track(..) => format!("{} is cracked", at(plan, spot)),
        },
        Fault::Bad(spot, ohms) => {
            format!(
                "{} is bad: {} there would do it",
                at(plan, spot),
                show_short(ohms)
            )
        }
        Fault::Unplugged(item) => format!("{} is not plugged in", named(plan, item)),
        Fault::SwitchedOff(item) => {
            format!(
                "{} is off, or its contact does not close",
                named(plan, item)
            )
        }
        Fault::Blown(item) => format!("{} has blown", named(plan, item)),
        Fault::NoSupply(item) => format!("{} gives nothing", named(plan, item)),
        Fault::Weak(item, part) => format!(
            "{} is weak: {} of its voltage would do it",
            named(plan, item),
            percent(part.value)
        ),
        Fault::Reversed(item) => format!("{} is the wrong way round", named(plan, item)),
        Fault::Failed(item) => match plan.items[item.0].part {
            Part::Board { .. } => format!("{} is dead", named(plan, item)),
            Part::Regulator { .. } => format!("{} gives nothing", named(plan, item)),
            Part::Lamps { count: 1, .. } => format!("the lamp of {} has failed", named(plan, item)),
            Part::Lamps { .. } => format!("one lamp of {} has failed", named(plan, item)),
            _ => format!("{} is open", named(plan, item)),
        },
        Fault::OutputFailed(point) => format!("`{}` gives nothing", plan.point_name(point)),
        Fault::ResistorOpen(item) => format!("the resistor of {} is open", named(plan, item)),
        Fault::InString(item) => {
            format!("a joint between the lamps of {} is open", named(plan, item))
        }
        Fault::TurnedRound(item) => match plan.items[item.0].part {
            Part::Lamps { count, .. } if count > 1 => {
                format!("one lamp of {} is the wrong way round", named(plan, item))
            }
            _ => format!("{} is the wrong way round", named(plan, item)),
        },
        Fault::Swapped(item) => {
            format!(
                "plus and minus are swapped where {} is fed",
                named(plan, item)
            )
        }
        Fault::Short(of) => format!(
            "plus and minus touch at the end of the run of {}",
            name_of(plan, of)
        ),
    }
}

/// Where copper is open or bad: `the plus wire (red) from `keel` to `mast``.
fn at(plan: &Plan, spot: Spot) -> String {
    match spot {
        Spot::Wire(of, leg) => {
            let Some(run) = run(plan, of, leg) else {
                return format!("the {} joint of {}", leg.word(), name_of(plan, of));
            };
            format!(
                "the {} wire ({}{} of {}) {}",
                leg.word(),
                colour(plan, run, leg),
                length(run.length),
                plan.wires[run.wire.0].name.0,
                from_to(plan, of, leg)
            )
        }
        Spot::Joint(item, leg) => format!("the {} joint {}", leg.word(), named(plan, item)),
        Spot::Contact(item, leg) => format!("the {} contact of {}", leg.word(), named(plan, item)),
        Spot::Track(item, leg, behind) => match plan.items[item.0].part {
            Part::Strip { groups, .. } if behind < groups => format!(
                "the {} copper of {} between its groups {behind} and {}",
                leg.word(),
                named(plan, item),
                behind + 1
            ),
            _ => format!(
                "the {} copper at the far end of {}",
                leg.word(),
                named(plan, item)
            ),
        },
    }
}

fn from_to(plan: &Plan, of: RunOf, leg: Leg) -> String {
    let point = |point: Point| format!("`{}`", plan.point_name(point));
    match of {
        RunOf::Item(item) => match (&plan.items[item.0].feed, leg) {
            (Some(feed), Leg::Plus) => {
                format!("from {} to {}", point(feed.from), named(plan, item))
            }
            (Some(feed), Leg::Minus) => {
                format!("from {} back to {}", named(plan, item), point(feed.minus()))
            }
            (None, _) => format!("of {}", named(plan, item)),
        },
        RunOf::Link(link) => {
            let link = &plan.links[link.0];
            format!(
                "of `{}` between {} and {}",
                link.name.0,
                point(link.ends.0),
                point(link.ends.1)
            )
        }
    }
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

/// `red, ` where the wire says so.
fn colour(plan: &Plan, run: &Run, leg: Leg) -> String {
    let colours = &plan.wires[run.wire.0].colours;
    let own = match leg {
        Leg::Plus => colours.first(),
        Leg::Minus => colours.last(),
    };
    own.map_or(String::new(), |colour| format!("{}, ", colour.0))
}

/// What has blown or given up: `` `F1` blows``.
fn gives_up(plan: &Plan, what: &[Defect]) -> Option<String> {
    let each = what.iter().filter_map(|defect| match defect {
        Defect::Dead(item) => Some(match plan.items[item.0].part {
            Part::Fuse { .. } => format!("{} blows", named(plan, *item)),
            _ => format!("{} gives up", named(plan, *item)),
        }),
        Defect::DeadOutput(point) => Some(format!("`{}` gives up", plan.point_name(*point))),
        _ => None,
    });
    let each: Vec<String> = each.collect();
    (!each.is_empty()).then(|| each.join(", then "))
}

/// What stands for or against a fault, in a few words each.
fn reasons(plan: &Plan, fault: Fault) -> Vec<String> {
    let mut reasons = Vec::new();
    if ranking::is_sealed(plan, fault.at()) {
        reasons.push("in a sealed zone".to_owned());
    }
    let tried = ranking::piece_itself(fault).and_then(|item| ranking::tried(plan, item));
    reasons.extend(tried.map(|tried| {
        let how = match tried {
            Tried::Right => "right when tried",
            Tried::Off => "off when tried",
        };
        how.to_owned()
    }));
    reasons
}

/// Where the tips of the meter are: `across `mast``, `from plus at `mast` to minus at `keel``.
pub fn tips(plan: &Plan, plus: ItemId, minus: ItemId) -> String {
    if plus == minus {
        return format!("across {}", named(plan, plus));
    }
    format!(
        "between plus at {} and minus at {}",
        named(plan, plus),
        named(plan, minus)
    )
}

/// What to measure for a suspect.
pub fn measure(plan: &Plan, suspect: &Suspect) -> Option<String> {
    if let [Fault::Short(RunOf::Item(item))] = suspect.faults[..] {
        return Some(format!(
            "with the supply off, across {}: under 1 ohm if it is this, least where they touch",
            named(plan, item)
        ));
    }
    suspect.measure.as_ref().map(|m| reading(plan, m))
}

fn reading(plan: &Plan, measure: &Measure) -> String {
    let tips = tips(plan, measure.plus, measure.minus);
    let (whole, with) = (volts(measure.whole), volts(measure.with));
    if whole == with {
        return format!("{tips}: with {whole} there, it is the piece itself");
    }
    format!("{tips}: {with} if it is this, {whole} if whole")
}

/// What a test may read: `11.9 V`, `0–0.2 V`.
pub fn reads(outcome: &Outcome) -> String {
    match outcome.reads {
        (low, high) if volts(low) == volts(high) => volts(high),
        (low, high) => between(low, high),
    }
}

/// A voltage as a hand meter is read: next to nothing is nothing.
pub fn volts(reads: ElectricPotential) -> String {
    match reads.value.abs() < NOTHING {
        true => "0 V".to_owned(),
        false => show_short(reads),
    }
}

/// Under this a meter on a model reads nothing, volts.
const NOTHING: f64 = 0.05;
