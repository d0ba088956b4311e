//! Gives an item that hangs on joints of a long way a run of its own from further ahead: the way past the joints then
//! carries its current no more, and it loses by its own current alone.

use super::clause_of::clause_of;
use super::keep_dark::{Freed, keep_dark};
use super::route::{Leg, Route, Target, repoint};
use super::thicker_wire::{AIM, starting_volts, worst_scene};
use super::{Candidate, in_each_copy};
use crate::circuit::{Solution, copper};
use crate::numbers::show;
use crate::plan::{ItemId, Plan};
use crate::syntax::vocabulary::StanzaWord;
use crate::units::{ElectricCurrent, ElectricPotential, volts};

/// A run of its own wire, as long as the way is now, from the nearest point ahead of its joints from which it loses no
/// more than `limit`. None where it hangs on no joint, has a return of its own, or no such point is near enough.
pub fn own_run(
    plan: &Plan,
    solution: &Solution,
    item: ItemId,
    limit: ElectricPotential,
) -> Vec<Candidate> {
    branched(plan, solution, item, limit).into_iter().collect()
}

fn branched(
    plan: &Plan,
    solution: &Solution,
    item: ItemId,
    limit: ElectricPotential,
) -> Option<Candidate> {
    let own = plan.items.get(item.0)?;
    let from = clause_of(plan, item, "from")?.0;
    if own.feed.as_ref()?.back.is_some() || from != own.stanza {
        return None;
    }
    let now = &worst_scene(solution, item)?.items;
    let passes = now.get(item.0)?.passes.typical.abs();
    let old = Route::first(plan, item, Leg::Plus)?;
    let mut route = old.clone();
    // Bounded: a plan has no circles, and each step goes one item ahead.
    for _ in 0..plan.items.len() {
        let joint = route.point;
        let at = &plan.items[joint.item.0];
        let is_plain = at.word == StanzaWord::Joint
            && at.copy == own.copy
            && at.feed.as_ref().is_some_and(|f| f.back.is_none());
        if !is_plain {
            return None;
        }
        route = route.past(plan, joint.item, Leg::Plus)?;
        let ahead = match starting_volts(plan, route.point) {
            Some(_) => volts(0.0),
            None => now.get(route.point.item.0)?.drop.typical,
        };
        let then = ahead + lost(plan, &route, passes)?;
        if then <= limit * AIM {
            return edited(
                plan,
                solution,
                item,
                &old,
                &route,
                then,
                now[item.0].drop.typical,
            );
        }
    }
    None
}

/// What both legs of a route take of the voltage.
fn lost(plan: &Plan, route: &Route, current: ElectricCurrent) -> Option<ElectricPotential> {
    let name = route.wire.as_ref()?;
    let wire = plan.wires.iter().find(|w| *w.name.0 == **name)?;
    Some(copper::leg(wire, route.length, plan.settings.ambient) * 2.0 * current)
}

fn edited(
    plan: &Plan,
    solution: &Solution,
    item: ItemId,
    old: &Route,
    route: &Route,
    then: ElectricPotential,
    now: ElectricPotential,
) -> Option<Candidate> {
    let target = Target {
        words: &route.point_words,
        route,
    };
    let mut edits = repoint(plan, item, &target, &target)?;
    let freed = Freed {
        item,
        from: route.lights.clone(),
    };
    edits.extend(keep_dark(plan, solution, &[freed]));
    let (name, _) = plan.stanza(plan.items[item.0].stanza).name()?;
    Some(Candidate {
        title: format!(
            "branch {} from {} by a run of its own: {} lost on the way, not {}; {} more wire for both legs{}",
            name.0,
            route.point_words,
            show(then),
            show(now),
            route
                .spelling
                .write_length((route.length - old.length) * 2.0),
            in_each_copy(plan, item)
        ),
        edits,
        told: Vec::new(),
    })
}
