//! Names for something new: what others call and nothing defines, the next of a row, one that is free.

use super::ask::Ask;
use crate::plan::{Plan, StanzaId, fits};
use crate::syntax::expected::{What, expected};
use crate::syntax::is_reserved;
use crate::syntax::tree::{Clause, Name, names};
use crate::syntax::vocabulary::{Slot, StanzaWord};

/// How many problems are looked at for names that nothing defines.
const PROBLEMS: usize = 100;

/// How many stanzas are looked at for outputs that they call.
const STANZAS: usize = 2_000;

/// How far a row of names is counted.
const ROW: u32 = 10_000;

/// Names for an output: those that others call, a letter that no output has yet.
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
    let mut list = called_of(ask);
    list.extend(free.map(|l| (l, String::new())));
    list
}

/// Outputs of the boards of the module at hand that items are fed from or return to, and the module does not have.
fn called_of(ask: &Ask) -> Vec<(String, String)> {
    let plan = ask.plan;
    let module = ask.tree.name().map(|(name, _)| name);
    let has = |output: &str| {
        let outputs = ask.tree.clauses.iter().filter(|c| c.word == "output");
        outputs
            .filter_map(|c| c.names().next())
            .any(|(name, _)| &*name.0 == output)
    };
    let stanzas = plan.files.iter().flat_map(|file| &file.tree.stanzas);
    let feeds = stanzas
        .take(STANZAS)
        .filter_map(|placed| placed.stanza.clause("from"));
    let points = feeds.flat_map(|from| {
        from.names()
            .chain(from.part("return").into_iter().flat_map(Clause::names))
    });
    let mut list: Vec<(String, String)> = Vec::new();
    for (point, _) in points {
        let Some((board, output)) = point.0.rsplit_once('.') else {
            continue;
        };
        let board = plan.names.get(&Name(board.into()));
        let board = board.filter(|d| d.word == StanzaWord::Board);
        let made_of = board.and_then(|d| names(&plan.stanza(d.stanza).head).nth(1));
        let is_known = has(output) || list.iter().any(|(known, _)| known == output);
        if made_of.map(|(name, _)| name) == module && !is_known {
            list.push((
                output.to_owned(),
                "called elsewhere, and not defined".into(),
            ));
        }
    }
    list
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
    let is_like = |name: &str| plan.names.keys().any(|known| is_same_word(&known.0, name));
    let mut names = numbered(usual, from);
    names.find(|name| is_free(plan, name) && !is_like(name))
}

/// The usual name of a scene or stage, else the first with a number that is free; those have names of their own.
pub(super) fn free_of_work(plan: &Plan, word: StanzaWord, usual: &str) -> Option<String> {
    let scenes = plan.scenes.iter().map(|scene| &scene.name);
    let stages = plan.stages.iter().map(|stage| &stage.name);
    let taken: Vec<&Name> = match word {
        StanzaWord::Scene => scenes.collect(),
        _ => stages.collect(),
    };
    let mut names = numbered(usual, 1);
    names.find(|name| !taken.iter().any(|known| is_same_word(&known.0, name)))
}

/// Whether two names differ by nothing but upper and lower case.
fn is_same_word(a: &str, b: &str) -> bool {
    a.len() == b.len() && a.to_lowercase() == b.to_lowercase()
}

fn numbered(usual: &str, from: u32) -> impl Iterator<Item = String> {
    (from..ROW).map(move |n| match n {
        1 => usual.to_owned(),
        _ => format!("{usual}-{n}"),
    })
}

fn is_free(plan: &Plan, name: &str) -> bool {
    !is_reserved(name) && !plan.names.contains_key(&Name(name.into()))
}
