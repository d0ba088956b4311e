//! Wherever a plan names an item: re-points what is fed from it to another, puts others on the lists that it is on, or takes
//! it off them.

use std::collections::BTreeMap;

use super::columns::hold_columns;
use super::stanza_text::{has_comment, removals};
use crate::plan::{Edit, Plan, Reference, StanzaId};
use crate::syntax::tree::{Clause, TokenKind};
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

/// Scenes and stages that name what this stanza defines name all of these instead. What is fed or linked from it is left
/// for others to re-point; `None` where it is named anywhere else, in the record of a trial say.
pub fn listed_as(plan: &Plan, of: StanzaId, names: &[String]) -> Option<Vec<Edit>> {
    let mut edits = Vec::new();
    for reference in plan.references.iter().filter(|r| r.definition == of) {
        let (stanza, span) = (reference.stanza, reference.span);
        match outermost(&plan.stanza(stanza).clauses, span).map(|c| c.word) {
            Some("off" | "only" | "fits") => {
                let spelt = names.iter().map(|name| spelt_there(plan, reference, name));
                let text = spelt.collect::<Vec<_>>().join(", ");
                edits.push(Edit { stanza, span, text });
            }
            Some("from" | "between" | "where") => {}
            _ => return None,
        }
    }
    Some(edits)
}

/// Takes what this stanza defines out of the lists of these words. What is fed or linked from it is left for others to
/// re-point. `None` where it is named anywhere else, where nothing would be left of a list, or a comment would be lost.
pub fn out_of_lists(plan: &Plan, of: StanzaId, words: &[&str]) -> Option<Vec<Edit>> {
    let mut lists: BTreeMap<(StanzaId, u32), (&Clause, Vec<Span>)> = BTreeMap::new();
    for reference in plan.references.iter().filter(|r| r.definition == of) {
        let clause = outermost(&plan.stanza(reference.stanza).clauses, reference.span)?;
        if words.contains(&clause.word) {
            let place = (reference.stanza, clause.span.start);
            let (_, gone) = lists.entry(place).or_insert((clause, Vec::new()));
            gone.push(reference.span);
        } else if !matches!(clause.word, "from" | "between" | "where") {
            return None;
        }
    }
    let mut edits = Vec::new();
    for ((stanza, _), (clause, gone)) in lists {
        let spans: Vec<Span> = clause.names().map(|(_, span)| span).collect();
        let first_kept = spans.iter().position(|span| !gone.contains(span))?;
        for (i, span) in spans.iter().enumerate().filter(|(_, s)| gone.contains(s)) {
            let span = match i > first_kept {
                true => Span::new(spans[i - 1].end, span.end),
                false => Span::new(span.start, spans.get(i + 1)?.start),
            };
            if has_comment(plan.stanza(stanza), span) {
                return None;
            }
            edits.push(Edit {
                stanza,
                span,
                text: String::new(),
            });
        }
    }
    Some(edits)
}

/// The edits that take a stanza out; its comments stay where they are.
pub fn stanza_out(plan: &Plan, id: StanzaId) -> Vec<Edit> {
    let words = removals(plan.stanza(id), &|token| token.kind != TokenKind::Comment);
    let out = words.into_iter().map(|span| Edit {
        stanza: id,
        span,
        text: String::new(),
    });
    out.collect()
}

/// The clause of a stanza that a span stands in.
fn outermost(clauses: &[Clause], span: Span) -> Option<&Clause> {
    let mut clauses = clauses.iter();
    clauses.find(|c| c.span.start <= span.start && span.end <= c.span.end)
}

/// The word of the innermost clause that a span stands in.
fn innermost(clauses: &[Clause], span: Span) -> Option<&'static str> {
    let clause = outermost(clauses, span)?;
    innermost(&clause.parts, span).or(Some(clause.word))
}
