//! The names of a plan: what each stanza defines, and whether a name is free.

use std::collections::hash_map::Entry;
use std::collections::{HashMap, HashSet};

use super::model::{ByName, Definition, Edit, Plan, Problem, ProblemMend, Severity, StanzaId};
use crate::syntax::tree::{Name, ValueKind};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// So many outputs of a module may take turns: in each turn every item has figures of its own.
const MOST_TURNS: usize = 24;

/// The names that stanzas define. Scenes and stages have names of their own.
#[derive(Default)]
pub(super) struct Names {
    /// Stock, items, zones, passages, patterns and their pieces.
    pub plan: ByName<Definition>,
    /// Patterns: their pieces and the words that they need.
    pub patterns: HashMap<Name, Pattern>,
    /// Names that are taken already: what else they were to be.
    pub taken: HashMap<Name, Vec<StanzaWord>>,
}

/// What belongs to a pattern.
#[derive(Default, Clone)]
pub(super) struct Pattern {
    /// Pieces: name without the pattern's, and stanza, in the order of the plan.
    pub pieces: Vec<(Name, StanzaId)>,
    /// The words that each copy puts a name to.
    pub needs: Vec<Name>,
    /// How many pieces its copies have so far.
    pub copied: usize,
}

/// The first word of a name.
pub(super) fn first_word(name: &Name) -> &str {
    name.0.split('.').next().unwrap_or("")
}

/// A name with its first word split off: `port.fx.run` is `port` and `fx.run`.
pub fn split_first(name: &Name) -> (Name, Option<Name>) {
    match name.0.split_once('.') {
        Some((first, rest)) => (Name(first.into()), Some(Name(rest.into()))),
        None => (name.clone(), None),
    }
}

/// A name with its last word split off.
pub(super) fn split_last(name: &Name) -> Option<(Name, Name)> {
    name.0
        .rsplit_once('.')
        .map(|(front, last)| (Name(front.into()), Name(last.into())))
}

/// Two names joined by a dot.
pub(super) fn join(front: &Name, back: &Name) -> Name {
    Name(format!("{}.{}", front.0, back.0).into())
}

/// Collects what the stanzas define; names taken twice and names with a wrong dot become problems,
/// and their stanzas are left out.
pub(super) fn collect(plan: &mut Plan) -> Names {
    let mut names = Names::default();
    names.plan.reserve(plan.order.len());
    let mut scenes: HashMap<Name, (StanzaId, Span)> = HashMap::new();
    let mut stages: HashMap<Name, (StanzaId, Span)> = HashMap::new();
    let mut harness: Option<(StanzaId, Span)> = None;

    for id in plan.order.clone() {
        if plan.stanza(id).word == Some(StanzaWord::Pattern)
            && let Some((name, _)) = plan.stanza(id).name()
        {
            let mut pattern = Pattern::default();
            if let Some(needs) = plan.stanza(id).clause("needs") {
                let mut doubled = Vec::new();
                let mut before = Span::default();
                for (need, span) in needs.names() {
                    if pattern.needs.contains(need) {
                        // With the comma ahead of it.
                        doubled.push((need.clone(), span, Span::new(before.end, span.end)))
                    } else {
                        pattern.needs.push(need.clone())
                    }
                    before = span;
                }
                names.patterns.entry(name.clone()).or_insert(pattern);
                for (need, span, with_comma) in doubled {
                    let mend = ProblemMend {
                        title: format!("remove this {}", need.0),
                        edits: vec![Edit {
                            stanza: id,
                            span: with_comma,
                            text: String::new(),
                        }],
                    };
                    taken(
                        plan,
                        id,
                        span,
                        "This word stands twice among those needed: remove one.".to_owned(),
                        None,
                        vec![mend],
                    );
                }
            } else {
                names.patterns.entry(name.clone()).or_insert(pattern);
            }
        }
    }

    for id in plan.order.clone() {
        let stanza = plan.files[id.file.0].tree.stanzas[id.index].stanza.clone();
        let Some(word) = stanza.word else { continue };
        if word == StanzaWord::Harness && id.file.0 == 0 {
            match harness {
                None => harness = Some((id, stanza.word_span)),
                Some(first) => {
                    let message =
                        "The plan has its `harness` stanza already: put both into one.".to_owned();
                    taken(plan, id, stanza.word_span, message, Some(first), Vec::new());
                    // It has no name that could be taken; it stands twice, and may not.
                    if let Some(problem) = plan.problems.last_mut() {
                        problem.check = "clause-repeated";
                    }
                }
            }
        }
        if word == StanzaWord::Module {
            outputs_once(plan, id);
            few_turns(plan, id);
        }
        let Some((name, span)) = stanza.name().map(|(n, s)| (n.clone(), s)) else {
            continue;
        };
        if matches!(word, StanzaWord::Scene | StanzaWord::Stage) {
            let own = if word == StanzaWord::Scene {
                &mut scenes
            } else {
                &mut stages
            };
            if word == StanzaWord::Scene && &*name.0 == "all-on" {
                let message = "`all-on` is the scene that is always there, with everything on. Choose another name.".to_owned();
                let mend = call_it(id, span, &free_beside(plan, word, &name));
                taken(plan, id, span, message, None, vec![mend]);
            } else if let Some(first) = own.get(&name).copied() {
                let message = format!(
                    "There is a {} `{}` already: choose another name.",
                    word.word(),
                    name.0
                );
                let mend = call_it(id, span, &free_beside(plan, word, &name));
                taken(plan, id, span, message, Some(first), vec![mend]);
            } else {
                own.insert(name, (id, span));
            }
            continue;
        }
        if name.0.contains('.') && !piece(plan, &mut names, id, word, &name, span) {
            continue;
        }
        let definition = Definition {
            word,
            stanza: id,
            span,
            target: None,
        };
        let first = match names.plan.entry(name.clone()) {
            Entry::Vacant(free) => {
                free.insert(definition);
                None
            }
            Entry::Occupied(first) => Some(*first.get()),
        };
        if let Some(first) = first {
            let message = format!(
                "`{}` is defined twice: here, and as a {}. Give this one another name.",
                name.0,
                first.word.word()
            );
            let free = numbered(&name, &|n| !names.plan.contains_key(n));
            names.taken.entry(name).or_default().push(word);
            let mend = call_it(id, span, &free);
            taken(
                plan,
                id,
                span,
                message,
                Some((first.stanza, first.span)),
                vec![mend],
            );
        }
    }
    alike(plan, &names);
    names
}

/// A module of which too many outputs take turns.
fn few_turns(plan: &mut Plan, id: StanzaId) {
    let Some(clause) = plan.stanza(id).clause("turns") else {
        return;
    };
    let mut seen = HashSet::new();
    let mut beyond = clause.names().filter(|(name, _)| seen.insert(*name));
    let Some((_, span)) = beyond.nth(MOST_TURNS) else {
        return;
    };
    let message = format!(
        "{} outputs take turns, and this is number {}. More than {MOST_TURNS} is more than this tool is for: leave out those that you do not need.",
        MOST_TURNS + 1 + beyond.count(),
        MOST_TURNS + 1
    );
    error(plan, "syntax", id, span, message);
}

/// Enters a piece into its pattern; says what is wrong where it cannot be one.
fn piece(
    plan: &mut Plan,
    names: &mut Names,
    id: StanzaId,
    word: StanzaWord,
    name: &Name,
    span: Span,
) -> bool {
    let (first, rest) = split_first(name);
    let rest = rest.unwrap_or_else(|| first.clone());
    let message = match names.patterns.get_mut(&first) {
        None => format!(
            "Only pieces of a pattern have a dot in their name, and `{}` is no pattern. Write a `-`.",
            first.0
        ),
        Some(_) if rest.0.contains('.') => {
            "A piece's name has one dot: the pattern's name, a dot, its own name.".to_owned()
        }
        Some(_)
            if !(word.is_item() || word == StanzaWord::Link)
                || word == StanzaWord::Copy
                || word == StanzaWord::Supply =>
        {
            format!(
                "A {} cannot be a piece of a pattern: give it a name without a dot.",
                word.word()
            )
        }
        Some(pattern) if pattern.needs.contains(&rest) => {
            format!(
                "`{}` is a word that the pattern needs: call the piece something else.",
                rest.0
            )
        }
        Some(pattern) => {
            if !pattern.pieces.iter().any(|(n, _)| *n == rest) {
                pattern.pieces.push((rest, id));
            }
            return true;
        }
    };
    error(plan, "unknown-name", id, span, message);
    false
}

fn outputs_once(plan: &mut Plan, id: StanzaId) {
    let mut seen: HashMap<Name, Span> = HashMap::new();
    let mut twice = Vec::new();
    for clause in plan
        .stanza(id)
        .clauses
        .iter()
        .filter(|c| c.word == "output")
    {
        if let Some((name, span)) = clause.names().next() {
            match seen.get(name) {
                Some(first) => twice.push((name.clone(), span, *first)),
                None => drop(seen.insert(name.clone(), span)),
            }
        }
    }
    for (name, span, first) in twice {
        let message = format!(
            "The module has an output `{}` already: choose another name.",
            name.0
        );
        let free = numbered(&name, &|n| !seen.contains_key(n));
        let mend = call_it(id, span, &free);
        taken(plan, id, span, message, Some((id, first)), vec![mend]);
    }
}

/// Names that differ by case alone are easily taken for each other: a hint.
fn alike(plan: &mut Plan, names: &Names) {
    let is_small = |name: &Name| match name.0.is_ascii() {
        true => !name.0.bytes().any(|b| b.is_ascii_uppercase()),
        false => name.0.chars().all(|c| c.to_lowercase().eq([c])),
    };
    if names.plan.keys().all(is_small) {
        return;
    }
    let mut seen: HashMap<String, Definition> = HashMap::new();
    let mut all: Vec<(&Name, &Definition)> = names.plan.iter().collect();
    let place: HashMap<StanzaId, usize> = plan
        .order
        .iter()
        .enumerate()
        .map(|(i, s)| (*s, i))
        .collect();
    all.sort_by_key(|(_, d)| place.get(&d.stanza).copied());
    for (name, definition) in all {
        let folded = name.0.to_lowercase();
        match seen.get(&folded) {
            None => drop(seen.insert(folded, *definition)),
            Some(first) => plan.problems.push(Problem {
                check: "name-taken",
                severity: Severity::Hint,
                stanza: definition.stanza,
                span: definition.span,
                message: format!(
                    "`{}` differs from another name by case alone: they are easily mixed up.",
                    name.0
                ),
                related: vec![(first.stanza, first.span, "the other name".to_owned())],
                mends: Vec::new(),
            }),
        }
    }
}

/// The name with the first number that no other scene or stage has; nothing refers to them.
fn free_beside(plan: &Plan, word: StanzaWord, name: &Name) -> Name {
    let stanzas = plan.order.iter().map(|other| plan.stanza(*other));
    let same = stanzas.filter(|s| s.word == Some(word));
    let known: HashSet<&Name> = same.filter_map(|s| s.name()).map(|(n, _)| n).collect();
    numbered(name, &|n| !known.contains(n))
}

/// The name with the first number behind it that is free.
fn numbered(name: &Name, is_free: &dyn Fn(&Name) -> bool) -> Name {
    (2..)
        .map(|k| Name(format!("{}-{k}", name.0).into()))
        .find(is_free)
        .unwrap_or_else(|| name.clone())
}

/// The mend that gives what is defined here another name.
fn call_it(stanza: StanzaId, span: Span, name: &Name) -> ProblemMend {
    ProblemMend {
        title: format!("call this one {}", name.0),
        edits: vec![Edit {
            stanza,
            span,
            text: name.0.to_string(),
        }],
    }
}

fn taken(
    plan: &mut Plan,
    stanza: StanzaId,
    span: Span,
    message: String,
    first: Option<(StanzaId, Span)>,
    mends: Vec<ProblemMend>,
) {
    plan.left_out.insert(stanza);
    let related = first
        .map(|(stanza, span)| (stanza, span, "the other one".to_owned()))
        .into_iter()
        .collect();
    plan.problems.push(Problem {
        check: "name-taken",
        severity: Severity::Error,
        stanza,
        span,
        message,
        related,
        mends,
    });
}

/// Reports an error of reading and leaves the stanza out.
pub(super) fn error(
    plan: &mut Plan,
    check: &'static str,
    stanza: StanzaId,
    span: Span,
    message: String,
) {
    plan.left_out.insert(stanza);
    plan.problems.push(Problem {
        check,
        severity: Severity::Error,
        stanza,
        span,
        message,
        related: Vec::new(),
        mends: Vec::new(),
    });
}

/// The text of a value that is a text.
pub(super) fn text_of(kind: &ValueKind) -> Option<std::sync::Arc<str>> {
    if let ValueKind::Text(text) = kind {
        Some(text.clone())
    } else {
        None
    }
}

/// Names that occur in a set more than once are harmless; this keeps the first of each.
pub(super) fn once<T: std::hash::Hash + Eq + Copy>(list: Vec<T>) -> Vec<T> {
    let mut seen = HashSet::new();
    list.into_iter().filter(|x| seen.insert(*x)).collect()
}
