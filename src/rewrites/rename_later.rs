//! Gives the later of two definitions of one name another name, with the users that can mean no other.

use super::Candidate;
use super::columns::hold_columns;
use super::free_name::{free_name, numbered};
use super::stanza_text::names_written;
use crate::plan::{Edit, Plan, StanzaId, fits, split_first};
use crate::syntax::tree::{Clause, Name, Stanza, Value, ValueKind};
use crate::syntax::vocabulary::{Role, Slot};
use crate::text::Span;

/// The stanza under the next free name. Where it has its name to itself (another differs by capitals alone), all its users
/// go along; where it shares it, those for whom the first definition is of the wrong kind and this one of the right kind.
pub fn rename_later(plan: &Plan, later: StanzaId) -> Option<Candidate> {
    let stanza = plan.stanza(later);
    let (name, own) = stanza.name()?;
    let word = stanza.word?;
    let first = plan.names.get(name)?;
    if first.stanza == later && name.0.contains('.') {
        return None; // a piece, which copies name in ways of their own
    }
    let new = free_name(plan, None, &[], numbered(&name.0));
    let users: Vec<(StanzaId, Span, String)> = if first.stanza == later {
        users_of(plan, later, name, &new)
    } else {
        let users = plan.references.iter().filter(|r| {
            let tree = plan.stanza(r.stanza);
            let asked = role_at(tree, r.span).filter(|_| tree.words(r.span) == &*name.0);
            r.definition == first.stanza
                && asked.is_some_and(|role| !fits(role, first.word) && fits(role, word))
        });
        let mut users: Vec<_> = users.map(|r| (r.stanza, r.span, new.clone())).collect();
        users.sort();
        users.dedup();
        users
    };
    let mut by_stanza: std::collections::BTreeMap<StanzaId, Vec<Edit>> = Default::default();
    let count = users.len();
    for (stanza, span, text) in users.into_iter().chain([(later, own, new.clone())]) {
        let edit = Edit { stanza, span, text };
        let here = by_stanza.entry(stanza).or_default();
        if !here.contains(&edit) {
            here.push(edit);
        }
    }
    let edits = by_stanza.into_iter();
    let users = match count {
        0 => String::new(),
        1 => ", and where it is used: 1 place".to_owned(),
        n => format!(", and where it is used: {n} places"),
    };
    Some(Candidate {
        title: format!("call this one {new}{users}"),
        edits: edits
            .flat_map(|(stanza, here)| hold_columns(plan, stanza, here))
            .collect(),
        told: Vec::new(),
    })
}

/// All places that name a stanza, or a part of it (`BOARD.OUTPUT`, `COPY.PIECE`), with what they say from now on.
fn users_of(plan: &Plan, of: StanzaId, name: &Name, new: &str) -> Vec<(StanzaId, Span, String)> {
    let whole = plan.references.iter().filter(|r| r.definition == of);
    let whole = whole.filter(|r| plan.stanza(r.stanza).words(r.span) == &*name.0);
    let mut users: Vec<(StanzaId, Span, String)> =
        whole.map(|r| (r.stanza, r.span, new.to_owned())).collect();
    for &id in &plan.order {
        for (written, span) in names_written(plan.stanza(id)) {
            if let (first, Some(part)) = split_first(written)
                && first == *name
            {
                users.push((id, span, format!("{new}.{}", part.0)));
            }
        }
    }
    users.sort();
    users.dedup();
    users
}

/// What is asked of a name at this place.
fn role_at(stanza: &Stanza, span: Span) -> Option<Role> {
    let shape = stanza.word?.shape();
    if let Some(role) = role_among(&stanza.head, shape.head, span) {
        return Some(role);
    }
    let (mut clauses, mut shapes): (&[Clause], _) = (&stanza.clauses, shape.clauses);
    loop {
        let within = |c: &&Clause| c.span.start <= span.start && span.end <= c.span.end;
        let clause = clauses.iter().find(within)?;
        let shape = shapes.iter().find(|s| s.word == clause.word)?;
        if let Some(role) = role_among(&clause.values, shape.slots, span) {
            return Some(role);
        }
        (clauses, shapes) = (&clause.parts, shape.parts);
    }
}

fn role_among(values: &[Value], slots: &[Slot], span: Span) -> Option<Role> {
    fn roles(slots: &[Slot], all: &mut Vec<Role>) {
        for slot in slots {
            match slot {
                Slot::Name(role) => all.push(*role),
                Slot::List(inner) | Slot::Optional(inner) => roles(inner, all),
                _ => {}
            }
        }
    }
    let mut asked = Vec::new();
    roles(slots, &mut asked);
    let mut names = values
        .iter()
        .filter(|v| matches!(v.kind, ValueKind::Name(_)));
    let place = names.position(|v| v.span == span)?;
    // A list asks the same again and again.
    asked.get(place % asked.len().max(1)).copied()
}
