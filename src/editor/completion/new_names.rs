//! Names for something new: what others call and nothing defines, the next of a row, one that is free.

use super::ask::Ask;
use crate::plan::{Plan, StanzaId, fits};
use crate::syntax::expected::{What, expected};
use crate::syntax::is_reserved;
use crate::syntax::tree::Name;
use crate::syntax::vocabulary::{Slot, StanzaWord};

/// How many problems are looked at for names that nothing defines.
const PROBLEMS: usize = 100;

/// How far a row of names is counted.
const ROW: u32 = 10_000;

/// A letter that no output has yet.
pub(super) fn new_output(ask: &Ask) -> Vec<(String, String)> {
    let taken: Vec<&str> = ask
        .tree
        .clauses
        .iter()
        .filter(|c| c.word == "output")
        .filter_map(|c| c.names().next().map(|(name, _)| &*name.0))
        .collect();
    let free = ('a'..='z')
        .map(String::from)
        .find(|l| !taken.contains(&l.as_str()));
    free.into_iter().map(|l| (l, String::new())).collect()
}

/// Names for a new stanza: those that others call, the next of a row.
pub(super) fn new_names(ask: &Ask) -> Vec<(String, String)> {
    let called = called_for(ask.plan, ask.stanza_word);
    let mut list: Vec<(String, String)> = called
        .into_iter()
        .map(|name| (name, "called elsewhere, and not defined".into()))
        .collect();
    if !matches!(ask.stanza_word, StanzaWord::Scene | StanzaWord::Stage) {
        let next = next_of_row(ask.plan, ask.id, ask.stanza_word);
        list.extend(next.map(|name| (name, "the next of the row".into())));
    }
    list
}

/// Names that are used in the plan, that nothing defines and that a stanza of this word could define.
pub(super) fn called_for(plan: &Plan, word: StanzaWord) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let unknown = plan.problems.iter().filter(|p| p.check == "unknown-name");
    for problem in unknown.take(PROBLEMS) {
        let stanza = plan.stanza(problem.stanza);
        let name = stanza.words(problem.span);
        let known = plan.names.contains_key(&Name(name.into()));
        let wants = expected(stanza, problem.span.start).map_or_else(Vec::new, |e| e.wants);
        let asked = wants.iter().any(|w| match w.what {
            What::Slot(Slot::Name(role)) => fits(*role, word),
            _ => false,
        });
        if asked && !known && !name.contains(['.', ' ']) && !found.iter().any(|f| f == name) {
            found.push(name.to_owned());
        }
    }
    found
}

/// The next free name of the row that the nearest stanza above of this word is in: `saloon-2`, then `saloon-3`.
pub(super) fn next_of_row(plan: &Plan, id: StanzaId, word: StanzaWord) -> Option<String> {
    let mut above = super::ask::above(plan, id).map(|(_, stanza)| stanza);
    let (name, _) = above.find(|s| s.word == Some(word))?.name()?;
    let stem = name.0.trim_end_matches(|c: char| c.is_ascii_digit());
    let number: u32 = name.0.get(stem.len()..)?.parse().ok()?;
    let next = (number.checked_add(1)?..).take(ROW as usize);
    let mut names = next.map(|n| format!("{stem}{n}"));
    names.find(|name| is_free(plan, name))
}

/// The usual name, else the first with a number that is free.
pub(super) fn first_free(plan: &Plan, usual: &str, from: u32) -> Option<String> {
    let mut names = (from..ROW).map(|n| match n {
        1 => usual.to_owned(),
        _ => format!("{usual}-{n}"),
    });
    names.find(|name| is_free(plan, name))
}

fn is_free(plan: &Plan, name: &str) -> bool {
    !is_reserved(name) && !plan.names.contains_key(&Name(name.into()))
}
