//! Makes two joints of one on which too many wires meet: a second one on a short piece of the thickest wire there,
//! with the latter half of the runs.

use super::Candidate;
use super::branch_chain::listed;
use super::free_name::{free_name, numbered};
use super::route::Leg;
use super::stanza_text::{Spelling, insert_after};
use super::thicker_wire::over_clause;
use super::users::repoint_both_legs;
use crate::circuit::fused_runs::RunOf;
use crate::plan::{Feed, ItemId, Plan, Run, StanzaId};
use crate::syntax::vocabulary::{Dimension, StanzaWord};
use crate::units::{Length, metres};

/// How long the wire between the two joints is, metres: room for an iron (common practice).
const APART: f64 = 0.03;

/// How many wires' ends meet on each side of an item.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct WireEnds {
    /// On its plus.
    pub plus: usize,
    /// On its minus.
    pub minus: usize,
}

impl WireEnds {
    /// On the side with more.
    pub fn most(self) -> usize {
        self.plus.max(self.minus)
    }
}

/// The ends of wires at each item: of its own run, of the runs that begin there, and of links. What sits on it
/// without a run has none.
pub fn wire_ends(plan: &Plan) -> Vec<WireEnds> {
    let mut ends = vec![WireEnds::default(); plan.items.len()];
    for (i, item) in plan.items.iter().enumerate() {
        let Some(feed) = &item.feed else { continue };
        if feed.run.is_some() {
            ends[i].plus += 1;
            ends[feed.from.item.0].plus += 1;
        }
        if feed.back_run.is_some() {
            ends[i].minus += 1;
            ends[feed.minus().item.0].minus += 1;
        }
    }
    for link in plan.links.iter().filter(|link| link.run.is_some()) {
        for point in [link.ends.0, link.ends.1] {
            ends[point.item.0].plus += 1;
            ends[point.item.0].minus += 1;
        }
    }
    ends
}

/// A second joint for the latter half of the runs that begin at this one. None where it is no joint in the open,
/// fewer than four runs of the open begin there, or no wire meets there.
pub fn second_joint(plan: &Plan, joint: ItemId) -> Option<Candidate> {
    let item = plan.items.get(joint.0)?;
    if item.word != StanzaWord::Joint || item.copy.is_some() {
        return None;
    }
    let begins_here = |feed: &Feed| feed.from.item == joint && feed.run.is_some();
    let users: Vec<usize> = (0..plan.items.len())
        .filter(|&i| {
            let user = &plan.items[i];
            user.copy.is_none() && user.feed.as_ref().is_some_and(begins_here)
        })
        .collect();
    let moved = users.get(users.len().div_ceil(2)..)?;
    if moved.len() < 2 {
        return None;
    }
    let runs = users.iter().filter_map(|&i| plan.items[i].feed.as_ref());
    let runs = runs.chain(&item.feed).filter_map(|feed| feed.run.as_ref());
    let copper = |run: &&Run| plan.wires[run.wire.0].copper;
    let thicker = |a: &Run, b: &Run| copper(&a) > copper(&b);
    let run = runs.reduce(|most, run| if thicker(run, most) { run } else { most })?;
    let wire = &plan.wires[run.wire.0].name.0;

    let name = free_name(plan, None, &[], numbered(&item.name.0));
    let length = spelling(plan, joint).write_length(Length::min(metres(APART), run.length));
    let stanza = format!("joint {name} from {} over {length} of {wire}", item.name.0);
    let stanzas: Vec<StanzaId> = moved.iter().map(|&i| plan.items[i].stanza).collect();
    let mut edits = vec![insert_after(plan, item.stanza, &stanza)];
    edits.extend(repoint_both_legs(plan, item.stanza, &name, &|s| {
        stanzas.contains(&s)
    }));

    let names: Vec<&str> = moved.iter().map(|&i| &*plan.items[i].name.0).collect();
    let before = wire_ends(plan)[joint.0];
    let returns = |&&i: &&usize| {
        let feed = plan.items[i].feed.as_ref();
        feed.is_some_and(|f| f.minus().item == joint && f.back_run.is_some())
    };
    let (plus, minus) = (moved.len(), moved.iter().filter(returns).count());
    let left = WireEnds {
        plus: before.plus - plus + 1,
        minus: before.minus - minus + 1,
    };
    Some(Candidate {
        title: format!(
            "a second joint {name} for {}: {} and {} wires a side, not {}",
            listed(&names),
            left.most(),
            plus.max(minus) + 1,
            before.most()
        ),
        edits,
        told: Vec::new(),
    })
}

/// How the joint's own run is spelt.
fn spelling(plan: &Plan, joint: ItemId) -> Spelling {
    let written = || {
        let over = over_clause(plan, RunOf::Item(joint), Leg::Plus)?;
        let is_length = |v: &&crate::syntax::tree::Value| {
            matches!(
                v.kind,
                crate::syntax::tree::ValueKind::Quantity(_, Dimension::Length)
            )
        };
        let value = over.values.iter().find(is_length)?;
        Spelling::of(plan.stanza(plan.items[joint.0].stanza).words(value.span))
    };
    written().unwrap_or_else(Spelling::millimetres)
}
