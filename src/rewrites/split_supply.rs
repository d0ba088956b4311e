//! Takes branches off a supply that gives too much, to a second supply with a fuse of its own.
//!
//! The branches are those of the first fork behind the supply. As few as need be move, the largest
//! first; each is led back to the new fuse by its own run and the trunk's length. A branch that is a fuse on
//! the supply itself sits on the new supply likewise, and needs no other. A branch that a link or a separate return
//! ties to another stays.

use super::free_name::{free_name, numbered};
use super::keep_dark::{Freed, keep_dark};
use super::route::{Leg, Route, Target, leg_point, repoint};
use super::stanza_text::{insert_after, line_end, words_on_one_line};
use super::usual::{FUSE_BLOWS, FUSE_LOAD, supply_at_least};
use super::worst::greatest;
use super::{Candidate, r10};
use crate::circuit::wire_capacity::may_carry;
use crate::circuit::{Figure, Solution};
use crate::numbers::show;
use crate::plan::{ItemId, Part, Plan, Point, Run, WireId};
use crate::syntax::tree::ValueKind;
use crate::syntax::vocabulary::Dimension;
use crate::units::{ElectricCurrent, amps};

/// A second supply for some of the branches of this one. None where the supply states no current,
/// is a battery, has no fork, or where no usual size and fuse fit.
pub fn split_supply(plan: &Plan, solution: &Solution, supply: ItemId) -> Vec<Candidate> {
    split(plan, solution, supply).into_iter().collect()
}

/// What the first fork behind a supply has on it.
struct Fork {
    /// What stands between the supply and the fork, one behind the other.
    trunk: Vec<ItemId>,
    /// What is fed from the fork and may be fed from elsewhere.
    branches: Vec<ItemId>,
}

fn split(plan: &Plan, solution: &Solution, supply: ItemId) -> Option<Candidate> {
    let item = plan.items.get(supply.0)?;
    let Part::Supply(source) = &item.part else {
        return None;
    };
    let limit = source
        .limit
        .filter(|_| source.capacity.is_none() && item.copy.is_none())?;
    let used = 1.0 - plan.settings.headroom.value;
    let all_on = solution.scenes.last()?.outcome.as_ref().ok()?;
    let passes = |i: ItemId| all_on.items.get(i.0).map(|f| f.passes);
    let total = greatest(solution, supply, |f| f.passes.typical)?;

    let fork = Fork::of(plan, supply)?;
    let mut branches: Vec<(ItemId, Figure<ElectricCurrent>)> = fork
        .branches
        .iter()
        .filter_map(|&b| Some((b, passes(b)?)))
        .collect();
    branches.sort_by(|a, b| {
        b.1.typical
            .value
            .total_cmp(&a.1.typical.value)
            .then(a.0.cmp(&b.0))
    });

    let mut left = passes(supply)?;
    let mut moved = Vec::new();
    let mut taken = Figure {
        typical: amps(0.0),
        low: amps(0.0),
        high: amps(0.0),
    };
    for (branch, its) in branches {
        if left.typical <= limit * used && left.high <= limit {
            break;
        }
        left.typical -= its.typical;
        left.high -= its.high;
        taken.typical += its.typical;
        taken.high += its.high;
        moved.push(branch);
    }
    if moved.is_empty()
        || left.typical > limit * used
        || left.high > limit
        || left.typical.value <= 1e-6
    {
        return None;
    }
    let size = supply_at_least((taken.typical / used).max(taken.high))?;

    let trunk = trunk_runs(plan, &fork.trunk);
    let mut routes = Vec::new();
    for &branch in &moved {
        let mut route = Route::of(plan, branch, Leg::Plus)?;
        for run in trunk.iter().rev() {
            route.length += run.length;
            let passages = run
                .via
                .iter()
                .map(|p| plan.passages[p.0].name.0.to_string());
            route.via.splice(0..0, passages);
        }
        let mut route = route.with_wire(plan)?;
        route.point = Point {
            item: supply,
            output: None,
        };
        routes.push((branch, route));
    }
    // A fuse that sits on the supply itself needs no other ahead.
    let (fuses, bare): (Vec<_>, Vec<_>) = routes.into_iter().partition(|(branch, route)| {
        matches!(plan.items[branch.0].part, Part::Fuse { .. }) && route.length.value == 0.0
    });
    let behind_fuse = bare.iter().filter_map(|(branch, _)| passes(*branch));
    let load = behind_fuse.fold(amps(0.0), |sum, f| sum + f.typical);
    let rating = match bare.is_empty() {
        true => None,
        false => Some(fuse_for(plan, &bare, load, size)?),
    };

    let name = free_name(plan, None, &[], numbered(&item.name.0));
    let fuse = free_name(plan, None, std::slice::from_ref(&name), |n| format!("F{n}"));
    let stanza = plan.stanza(item.stanza);
    let volts = stanza
        .head
        .iter()
        .find(|v| matches!(v.kind, ValueKind::Quantity(_, Dimension::Voltage)))?;
    let mut second = format!(
        "supply {name} {} {} A",
        stanza.quoted(volts.span),
        super::stanza_text::plain(size.value, 1)
    );
    for clause in ["tolerance", "in"]
        .iter()
        .filter_map(|word| stanza.clause(word))
    {
        second.push_str(&format!(" {}", words_on_one_line(stanza, clause.span)));
    }
    let written = rating.map(r10::written);
    if let Some(written) = &written {
        let end = line_end(plan, item.stanza);
        second.push_str(&format!("{end}fuse {fuse} {written} from {name}"));
    }
    let mut edits = vec![insert_after(plan, item.stanza, &second)];
    let ahead: Vec<ItemId> = std::iter::once(supply)
        .chain(fork.trunk.iter().copied())
        .collect();
    let mut freed = Vec::new();
    let on_supply = fuses.iter().map(|branch| (branch, &name));
    let on_fuse = bare.iter().map(|branch| (branch, &fuse));
    for ((branch, route), words) in on_supply.chain(on_fuse) {
        let target = Target { words, route };
        edits.extend(repoint(plan, *branch, &target, &target)?);
        freed.push(Freed {
            item: *branch,
            from: ahead.clone(),
        });
    }
    edits.extend(keep_dark(plan, solution, &freed));

    let names: Vec<&str> = moved.iter().map(|b| &*plan.items[b.0].name.0).collect();
    Some(Candidate {
        title: format!(
            "split off {} to {name}, {} {} A{}: {} goes from {} to {} of {}",
            super::branch_chain::listed(&names),
            stanza.quoted(volts.span),
            super::stanza_text::plain(size.value, 1),
            written.map_or_else(String::new, |w| format!(" behind a fuse of {w}")),
            item.name.0,
            show(total),
            show(left.typical),
            show(limit),
        ),
        edits,
        told: Vec::new(),
    })
}

impl Fork {
    fn of(plan: &Plan, supply: ItemId) -> Option<Fork> {
        let mut at = supply;
        let mut trunk = Vec::new();
        let users = loop {
            let point = Point {
                item: at,
                output: None,
            };
            let users: Vec<ItemId> = (0..plan.items.len())
                .map(ItemId)
                .filter(|&i| leg_point(plan, i, Leg::Plus) == Some(point))
                .collect();
            match users[..] {
                [only] if carries_on(plan, only) => {
                    trunk.push(only);
                    at = only;
                }
                _ => break users,
            }
        };
        if users.len() < 2 {
            return None;
        }
        // For each item, the branch that it hangs on by either leg.
        let branch_of = |start: ItemId, leg: Leg| {
            let mut at = start;
            for _ in 0..=plan.items.len() {
                if users.contains(&at) {
                    return Some(at);
                }
                at = leg_point(plan, at, leg)?.item;
            }
            None
        };
        let mut tied = Vec::new();
        for i in (0..plan.items.len()).map(ItemId) {
            let (plus, minus) = (branch_of(i, Leg::Plus), branch_of(i, Leg::Minus));
            if plus != minus {
                tied.extend([plus, minus].into_iter().flatten());
            }
        }
        for link in &plan.links {
            let ends = [link.ends.0, link.ends.1].map(|p| branch_of(p.item, Leg::Plus));
            if ends[0] != ends[1] {
                tied.extend(ends.into_iter().flatten());
            }
        }
        let free = |b: &ItemId| {
            let item = &plan.items[b.0];
            item.copy.is_none()
                && item.feed.as_ref().is_some_and(|f| f.back.is_none())
                && !tied.contains(b)
        };
        Some(Fork {
            trunk,
            branches: users.iter().copied().filter(free).collect(),
        })
    }
}

/// Whether an item only hands on what it is fed, by a pair of wires of its own.
fn carries_on(plan: &Plan, item: ItemId) -> bool {
    let item = &plan.items[item.0];
    let plain = matches!(
        item.part,
        Part::Fuse { .. } | Part::Switch { .. } | Part::Connector { .. } | Part::Joint
    );
    plain && item.copy.is_none() && item.feed.as_ref().is_some_and(|f| f.back.is_none())
}

fn trunk_runs<'p>(plan: &'p Plan, trunk: &[ItemId]) -> Vec<&'p Run> {
    trunk
        .iter()
        .filter_map(|i| plan.items[i.0].feed.as_ref()?.run.as_ref())
        .collect()
}

/// The largest preferred rating that every run of the moved branches may carry up to the next fuse,
/// that the load leaves cool, and that the new supply can still blow; where that supply is too weak
/// to blow any, the least that the load leaves cool.
fn fuse_for(
    plan: &Plan,
    routes: &[(ItemId, Route)],
    load: ElectricCurrent,
    size: ElectricCurrent,
) -> Option<ElectricCurrent> {
    let mut wires: Vec<WireId> = Vec::new();
    for (_, route) in routes {
        let named = |name: &String| plan.wires.iter().position(|w| *w.name.0 == **name);
        wires.extend(route.wire.as_ref().and_then(named).map(WireId));
    }
    let mut behind: Vec<ItemId> = routes.iter().map(|(branch, _)| *branch).collect();
    let mut next = 0;
    while next < behind.len() {
        let at = behind[next];
        next += 1;
        if matches!(plan.items[at.0].part, Part::Fuse { .. }) {
            continue;
        }
        for (i, item) in plan.items.iter().enumerate() {
            if let Some(feed) = item.feed.as_ref().filter(|f| f.from.item == at) {
                wires.extend(feed.run.iter().chain(&feed.back_run).map(|run| run.wire));
                behind.push(ItemId(i));
            }
        }
    }
    let carries = wires
        .iter()
        .map(|w| may_carry(plan, &plan.wires[w.0]))
        .reduce(|a, b| a.min(b))?;
    let enough = |rating: ElectricCurrent| rating * FUSE_LOAD >= load * (1.0 - 1e-9);
    let sure = r10::at_most(carries.min(size / FUSE_BLOWS)).filter(|&rating| enough(rating));
    sure.or_else(|| r10::at_least(load / FUSE_LOAD).filter(|&rating| rating <= carries))
}
