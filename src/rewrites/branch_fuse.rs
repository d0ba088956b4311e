//! A fuse for a branch: right ahead of the runs that are too thin for the fuse that they hang on.

use std::collections::BTreeSet;

use super::columns::hold_columns;
use super::free_name::free_name;
use super::route::{Leg, leg_point};
use super::stanza_text::insert_before;
use super::usual::{FUSE_BLOWS, FUSE_LOAD};
use super::worst::greatest;
use super::{Candidate, r10};
use crate::circuit::Solution;
use crate::circuit::fused_runs::{FusedRun, RunOf, fused_runs};
use crate::numbers::show;
use crate::plan::{Edit, ItemId, Plan};
use crate::units::{ElectricCurrent, amps};

/// A fuse at the point where all runs begin that a short overloads and this fuse does not protect. None
/// where they begin at more than one point, or in a pattern.
pub fn branch_fuse(plan: &Plan, solution: &Solution, fuse: ItemId) -> Vec<Candidate> {
    fused(plan, solution, fuse).into_iter().collect()
}

fn fused(plan: &Plan, solution: &Solution, fuse: ItemId) -> Option<Candidate> {
    let crate::plan::Part::Fuse { rating: ahead, .. } = plan.items.get(fuse.0)?.part else {
        return None;
    };
    let behind: Vec<FusedRun> = fused_runs(plan)
        .into_iter()
        .filter(|run| run.fuse() == Some(fuse))
        .collect();
    let mut thin: BTreeSet<ItemId> = BTreeSet::new();
    for run in &behind {
        if run.short.current > run.carries && ahead > run.carries {
            match run.of {
                RunOf::Item(item) => thin.insert(item),
                RunOf::Link(_) => return None,
            };
        }
    }
    // Those that no other of them is ahead of.
    let fed_by = |item: ItemId| leg_point(plan, item, Leg::Plus);
    let hangs_on_thin = |item: ItemId| {
        let mut at = item;
        for _ in 0..plan.items.len() {
            match fed_by(at) {
                Some(point) if thin.contains(&point.item) => return true,
                Some(point) if point.item != fuse => at = point.item,
                _ => return false,
            }
        }
        false
    };
    let firsts: Vec<ItemId> = thin
        .iter()
        .copied()
        .filter(|&item| !hangs_on_thin(item))
        .collect();
    let point = fed_by(*firsts.first()?)?;
    let whole = firsts
        .iter()
        .all(|&i| fed_by(i) == Some(point) && plan.items[i.0].copy.is_none());
    // Ahead of all that hangs on the fuse itself, another fuse would only stand in for it.
    let all_fed = (0..plan.items.len()).map(ItemId);
    let mut beside = all_fed.filter(|&i| fed_by(i) == Some(point) && !firsts.contains(&i));
    if !whole || point.item == fuse && beside.next().is_none() {
        return None;
    }

    // Everything up to the next fuse is behind the new one.
    let is_behind = |of: RunOf| match of {
        RunOf::Item(item) => firsts.contains(&item) || hangs_on_thin(item) || thin.contains(&item),
        RunOf::Link(_) => false,
    };
    let less = |a: ElectricCurrent, b: ElectricCurrent| if b < a { b } else { a };
    let mut cap: Option<ElectricCurrent> = None;
    for run in behind.iter().filter(|run| is_behind(run.of)) {
        if run.short.current > run.carries {
            let here = less(run.carries, run.short.by_loop / FUSE_BLOWS);
            cap = Some(cap.map_or(here, |cap| less(cap, here)));
        }
    }
    let rating = r10::at_most(cap?)?;
    let load = firsts
        .iter()
        .filter_map(|&i| greatest(solution, i, |f| f.passes.typical.abs()))
        .fold(amps(0.0), |sum, a| sum + a);
    if rating * FUSE_LOAD < load * (1.0 - 1e-9) {
        return None;
    }
    let name = free_name(plan, None, &[], |n| format!("F{n}"));
    let written = r10::written(rating);
    let first = plan.items[firsts.first()?.0].stanza;
    let from = plan.point_name(point);
    let mut edits = vec![insert_before(
        plan,
        first,
        &format!("fuse {name} {written} from {from}"),
    )];
    for &item in &firsts {
        let id = plan.items[item.0].stanza;
        let (_, span) = plan.stanza(id).clause("from")?.names().next()?;
        let edit = Edit {
            stanza: id,
            span,
            text: name.clone(),
        };
        edits.extend(hold_columns(plan, id, vec![edit]));
    }
    let names: Vec<&str> = firsts.iter().map(|i| &*plan.items[i.0].name.0).collect();
    Some(Candidate {
        title: format!(
            "a fuse of {written} at {from} for {}: it carries {}",
            super::branch_chain::listed(&names),
            show(load)
        ),
        edits,
        told: Vec::new(),
    })
}
