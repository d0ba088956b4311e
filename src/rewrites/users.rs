//! Re-points what is fed from one item to another that is put in behind it.

use std::collections::BTreeMap;

use super::columns::hold_columns;
use crate::plan::{Edit, Plan, Reference, StanzaId};
use crate::syntax::tree::Clause;
use crate::text::Span;

/// Puts `name` wherever a feed, a link or a copy names what this stanza defines. A return to it stays, since what is put
/// in is in the plus leg; so do scenes, stages and trials. Only those stanzas that `counts` says are re-pointed.
pub fn repoint_users(
    plan: &Plan,
    of: StanzaId,
    name: &str,
    counts: &dyn Fn(StanzaId) -> bool,
) -> Vec<Edit> {
    repoint(plan, of, name, &["from", "between", "where"], counts)
}

/// As [`repoint_users`], with the returns: what is put in has a contact in both legs.
pub fn repoint_both_legs(
    plan: &Plan,
    of: StanzaId,
    name: &str,
    counts: &dyn Fn(StanzaId) -> bool,
) -> Vec<Edit> {
    let clauses = ["from", "return", "between", "where"];
    repoint(plan, of, name, &clauses, counts)
}

fn repoint(
    plan: &Plan,
    of: StanzaId,
    name: &str,
    clauses: &[&str],
    counts: &dyn Fn(StanzaId) -> bool,
) -> Vec<Edit> {
    let mut by_stanza: BTreeMap<StanzaId, Vec<Edit>> = BTreeMap::new();
    for reference in plan.references.iter().filter(|r| r.definition == of) {
        let (stanza, span) = (reference.stanza, reference.span);
        let clause = innermost(&plan.stanza(stanza).clauses, span);
        if !clause.is_some_and(|c| clauses.contains(&c)) || !counts(stanza) {
            continue;
        }
        let edit = Edit {
            stanza,
            span,
            text: spelt_there(plan, reference, name),
        };
        let here = by_stanza.entry(stanza).or_default();
        if !here.contains(&edit) {
            here.push(edit);
        }
    }
    let edits = by_stanza.into_iter();
    edits
        .flat_map(|(stanza, here)| hold_columns(plan, stanza, here))
        .collect()
}

/// A name as it is written where another stands now: what a pattern calls `wing.tip-2` is `port.tip-2` where a copy's
/// `port.tip` stands.
pub fn spelt_there(plan: &Plan, reference: &Reference, name: &str) -> String {
    let written = plan.stanza(reference.stanza).words(reference.span);
    let own = name.split_once('.').map(|(_, own)| own);
    match (written.split_once('.'), own) {
        (Some((ahead, _)), Some(own)) => format!("{ahead}.{own}"),
        _ => name.to_owned(),
    }
}

/// The word of the innermost clause that a span stands in.
fn innermost(clauses: &[Clause], span: Span) -> Option<&'static str> {
    let clause = clauses
        .iter()
        .find(|c| c.span.start <= span.start && span.end <= c.span.end)?;
    innermost(&clause.parts, span).or(Some(clause.word))
}
