//! Takes another wire of the stock for a run, thicker or thinner: each that may carry what flows there.

use super::branch_chain::written_name;
use super::route::{Leg, is_overridden};
use super::thicker_wire::{by_thickness, rewired, run_of, wire_words};
use super::{Candidate, in_each_copy};
use crate::circuit::fused_runs::RunOf;
use crate::circuit::wire_capacity::may_carry;
use crate::circuit::{Figures, Solution};
use crate::numbers::show;
use crate::plan::{ItemId, Plan, WireId};
use crate::units::{ElectricCurrent, amps};

/// So many wires are offered, those next in size to the one that is there.
const MOST: usize = 4;

/// The other wires for these legs of a run, the thinnest first. None where the plan names no wire of its own for them:
/// there is no run, the wire is a needed word of a pattern, or it is a piece that some copy feeds otherwise.
pub fn swap_wire(plan: &Plan, solution: &Solution, of: RunOf, legs: &[Leg]) -> Vec<Candidate> {
    swapped(plan, solution, of, legs).unwrap_or_default()
}

fn swapped(plan: &Plan, solution: &Solution, of: RunOf, legs: &[Leg]) -> Option<Vec<Candidate>> {
    let runs: Vec<(RunOf, Leg)> = legs.iter().map(|&leg| (of, leg)).collect();
    let now = run_of(plan, of, *legs.first()?)?.wire;
    let (written, _) = wire_words(plan, of, *legs.first()?)?;
    // What a copy says of its piece is of that piece alone.
    let is_own = written == of.stanza(plan);
    if is_own && is_overridden(plan, written, &["from"]) {
        return None;
    }
    let is_this = |&item: &ItemId| match is_own {
        true => plan.items[item.0].stanza == written,
        false => of == RunOf::Item(item),
    };
    let items: Vec<ItemId> = (0..plan.items.len()).map(ItemId).filter(is_this).collect();
    let flows = most(solution, of, &items, legs);

    let copper = |wire: WireId| plan.wires[wire.0].copper;
    let far = |wire: &WireId| libm::log((copper(*wire) / copper(now)).value).abs();
    let mut others = by_thickness(plan);
    others.retain(|&wire| wire != now && may_carry(plan, &plan.wires[wire.0]) >= flows);
    others.sort_by(|a, b| far(a).total_cmp(&far(b)));
    others.truncate(MOST);
    others.sort_by(|a, b| copper(*a).value.total_cmp(&copper(*b).value));

    let to = match of {
        RunOf::Item(item) if is_own => {
            format!("{}{}", written_name(plan, item), in_each_copy(plan, item))
        }
        _ => of.name(plan).to_owned(),
    };
    let candidates = others.into_iter().map(|wire| {
        Some(Candidate {
            title: format!(
                "{} instead of {} to {to}: carries {} of {}",
                plan.wires[wire.0].name.0,
                plan.wires[now.0].name.0,
                show(flows),
                show(may_carry(plan, &plan.wires[wire.0])),
            ),
            edits: rewired(plan, &runs, wire)?,
            told: Vec::new(),
        })
    });
    candidates.collect()
}

/// The most that flows in these legs, of any of these items or of the link, in any scene and at worst.
fn most(solution: &Solution, of: RunOf, items: &[ItemId], legs: &[Leg]) -> ElectricCurrent {
    let flow = |figures: &Figures, leg: Leg| {
        let of_items = items.iter().filter_map(|i| figures.items.get(i.0));
        let of_items = of_items.map(|f| match leg {
            Leg::Plus => f.passes,
            Leg::Minus => f.returns,
        });
        let of_link = match of {
            RunOf::Link(link) => figures.links.get(link.0),
            RunOf::Item(_) => None,
        };
        let of_link = of_link.map(|(plus, minus)| match leg {
            Leg::Plus => *plus,
            Leg::Minus => *minus,
        });
        let all = of_items.chain(of_link);
        all.map(|f| f.high.abs().max(f.low.abs()))
            .fold(amps(0.0), ElectricCurrent::max)
    };
    let solved = solution.states().filter_map(|s| s.outcome.as_ref().ok());
    solved
        .flat_map(|figures| legs.iter().map(move |&leg| (figures, leg)))
        .map(|(figures, leg)| flow(figures, leg))
        .fold(amps(0.0), ElectricCurrent::max)
}
