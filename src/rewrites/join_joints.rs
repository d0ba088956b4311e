//! Makes one joint of two neighbours: what is fed from the second is fed from the first, by runs that are longer by the run
//! between them.

use super::clause_of::clause_of;
use super::route::{Leg, Route, Target, is_overridden, repoint};
use super::second_joint::wire_ends;
use super::users::{out_of_lists, stanza_out};
use super::{Candidate, in_each_copy};
use crate::plan::{ItemId, Plan, Run};
use crate::syntax::vocabulary::StanzaWord;
use crate::units::metres;

/// The most that one rewrite re-points.
const MOST: usize = 200;

/// The joint that feeds this one, with all that is fed from both. None where a link, a scene or a copy's `where` names
/// this one, where it has an `accept` or a `note` of its own that would be lost, or a return of its own.
pub fn join_joints(plan: &Plan, joint: ItemId) -> Option<Candidate> {
    let item = plan.items.get(joint.0)?;
    let feed = item.feed.as_ref()?;
    let into = feed.from.item;
    let neighbour = &plan.items[into.0];
    let are_joints = item.word == StanzaWord::Joint && neighbour.word == StanzaWord::Joint;
    if !are_joints || item.copy != neighbour.copy || feed.back.is_some() {
        return None;
    }
    let stanza = plan.stanza(item.stanza);
    let says_more = ["note", "accept"]
        .iter()
        .any(|w| stanza.clause(w).is_some());
    if says_more || is_overridden(plan, item.stanza, &[]) {
        return None;
    }
    let named = |words: &[&str]| {
        let references = plan
            .references
            .iter()
            .filter(|r| r.definition == item.stanza);
        let mut references = references;
        references.any(|r| {
            let mut clauses = plan.stanza(r.stanza).clauses.iter();
            clauses.any(|c| words.contains(&c.word) && c.span.to(r.span) == c.span)
        })
    };
    if named(&["between", "where"]) {
        return None;
    }

    let users: Vec<ItemId> = (0..plan.items.len())
        .map(ItemId)
        .filter(|i| {
            let feed = plan.items[i.0].feed.as_ref();
            feed.is_some_and(|f| f.from.item == joint || f.minus().item == joint)
        })
        .collect();
    if users.is_empty() || users.len() > MOST {
        return None;
    }
    let length = |run: &Option<Run>| run.as_ref().map_or(metres(0.0), |run| run.length);
    let mut edits = Vec::new();
    let mut more = -(length(&feed.run) + length(&feed.back_run));
    for &user in &users {
        let it = &plan.items[user.0];
        let own = clause_of(plan, user, "from")?.0 == it.stanza;
        if it.copy != item.copy || !own || is_overridden(plan, it.stanza, &["from", "in"]) {
            return None;
        }
        let way = |leg| Route::past_one(plan, user, leg, joint)?.with_wire(plan);
        let (plus, minus) = (way(Leg::Plus)?, way(Leg::Minus)?);
        let old = it.feed.as_ref()?;
        more += plus.length + minus.length - length(&old.run) - length(&old.back_run);
        let plus = Target {
            words: &plus.point_words,
            route: &plus,
        };
        let minus = Target {
            words: &minus.point_words,
            route: &minus,
        };
        edits.extend(repoint(plan, user, &plus, &minus)?);
    }
    edits.extend(out_of_lists(plan, item.stanza, &["fits"])?);
    edits.extend(stanza_out(plan, item.stanza));

    let (name, _) = plan.stanza(neighbour.stanza).name()?;
    let (gone, _) = stanza.name()?;
    let spelling = Route::first(plan, joint, Leg::Plus)?.spelling;
    let none = metres(1e-9);
    let wire = if more > none {
        format!("{} more wire", spelling.write_length(more))
    } else if more < -none {
        format!("{} less wire", spelling.write_length(-more))
    } else {
        "as much wire".to_owned()
    };
    let ends = wire_ends(plan);
    let now = ends[into.0].most();
    let then = now - usize::from(feed.run.is_some()) + users.len();
    let wires = match then == now {
        true => format!("{then} wires a side, as now"),
        false => format!("{then} wires a side, not {now}"),
    };
    Some(Candidate {
        title: format!(
            "one joint {} for {} and {}{}: {wires}; {wire} for both legs",
            name.0,
            name.0,
            gone.0,
            in_each_copy(plan, joint),
        ),
        edits,
        told: Vec::new(),
    })
}
