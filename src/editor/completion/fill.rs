//! The usual form of a stanza or a clause with names of the plan in it: as plain text, and with the places that are
//! to be filled in.

use super::ask::said_above;
use super::{is_written, names, new_names, points, resistor};
use crate::checks::Analysis;
use crate::editor::record_trial::trial;
use crate::numbers::{show, show_short};
use crate::parts::Around;
use crate::plan::{Plan, StanzaId};
use crate::syntax::expected::{Wanted, What, expected};
use crate::syntax::tree::{Name, Stanza, Token, TokenKind, ValueKind};
use crate::syntax::vocabulary::{Dimension, Role, Slot, StanzaWord};
use crate::syntax::{read_stanza, tokens};

/// How many stanzas to either side are looked at for a name of the right kind.
pub(super) const NEIGHBOURS: usize = 200;

/// Where the form is put in.
pub(super) struct Filler<'a> {
    pub a: &'a Analysis,
    /// What stands around it, where the plan is a part of a larger one.
    pub around: Option<&'a Around>,
    /// The stanza that it goes into, or that it stands ahead of.
    pub id: StanzaId,
    pub word: StanzaWord,
    /// The stanza that it goes into.
    pub tree: Option<&'a Stanza>,
    /// The whole stanza with its names filled in already: its figures go by them.
    pub named: Option<&'a Stanza>,
}

/// A form with its places filled in.
pub(super) struct Filled {
    pub plain: String,
    pub snippet: String,
}

/// The head of a stanza in its usual form, for clauses to stand behind.
pub(super) fn usual_head(word: StanzaWord) -> String {
    let usual = word.shape().usual;
    let stanza = read_stanza(usual.into());
    let end = stanza
        .head
        .last()
        .map_or(stanza.word_span.end, |v| v.span.end);
    format!("{} ", usual.get(..end as usize).unwrap_or(usual))
}

/// Fills `usual`; `ahead` stands before it for the reading alone.
pub(super) fn fill(filler: &Filler, ahead: &str, usual: &str) -> Filled {
    let text = format!("{ahead}{usual}");
    let stanza = read_stanza(text.as_str().into());
    let mut filled = Filled {
        plain: String::new(),
        snippet: String::new(),
    };
    let mut places = 0;
    let mut given: Vec<String> = Vec::new();
    let mut done = ahead.len();
    for token in tokens(&text) {
        let range = token.span.range();
        if range.start < done || !is_written(token.kind) {
            continue;
        }
        let between = text.get(done..range.start).unwrap_or("");
        filled.plain.push_str(between);
        filled.snippet.push_str(&escaped(between));
        let written = text.get(range.clone()).unwrap_or("");
        let wants = expected(&stanza, token.span.start).map_or_else(Vec::new, |e| e.wants);
        let (end, place) = place(filler, &text, token, &given, &wants);
        match place {
            Some(place) => {
                places += 1;
                given.push(place.clone());
                let quote = if token.kind == TokenKind::Text {
                    "\""
                } else {
                    ""
                };
                filled.plain.push_str(&format!("{quote}{place}{quote}"));
                let place = escaped(&place);
                filled
                    .snippet
                    .push_str(&format!("{quote}${{{places}:{place}}}{quote}"));
            }
            None => {
                filled.plain.push_str(written);
                filled.snippet.push_str(&escaped(written));
            }
        }
        done = end;
    }
    let rest = text.get(done..).unwrap_or("");
    filled.plain.push_str(rest);
    filled.snippet.push_str(&escaped(rest));
    filled
}

/// What is to be filled in for a token, if anything, and where that ends.
fn place(
    filler: &Filler,
    text: &str,
    token: Token,
    given: &[String],
    wants: &[Wanted],
) -> (usize, Option<String>) {
    let end = token.span.end as usize;
    let written = text.get(token.span.range()).unwrap_or("");
    let fixed = wants.iter().any(|wanted| match wanted.what {
        What::Slot(Slot::Word(word)) => *word == written,
        What::Clause(shape) => shape.word == written,
        _ => false,
    });
    let as_written = (end, Some(written.to_owned()));
    match token.kind {
        TokenKind::Text => (end, Some(written.trim_matches('"').to_owned())),
        TokenKind::Word if !fixed => wants
            .iter()
            .find_map(|wanted| match wanted.what {
                What::Slot(Slot::Name(role)) => {
                    let name = best(filler, wanted, *role, (written, given));
                    Some((end, Some(name.unwrap_or_else(|| written.to_owned()))))
                }
                What::Slot(Slot::Choice(_)) => Some(as_written.clone()),
                _ => None,
            })
            .unwrap_or((end, None)),
        TokenKind::Number => {
            let of_light = wants.iter().any(|wanted| {
                matches!(
                    wanted.what,
                    What::Slot(Slot::Quantity(Dimension::Resistance))
                ) && wanted
                    .within
                    .last()
                    .is_some_and(|w| w.shape.word == "resistor")
            });
            let tree = filler.tree.or(filler.named);
            let best = tree.filter(|_| of_light);
            let best = best.and_then(|tree| resistor::best(filler.a, tree));
            let best = best.or_else(|| of_trial(filler, tree?, wants));
            let unit = text.get(end..).and_then(|rest| rest.strip_prefix(' '));
            let unit = unit.and_then(|rest| rest.split([' ', ',', '\n']).next());
            match (best, unit) {
                // With its unit.
                (Some(best), Some(unit)) => (end + 1 + unit.len(), Some(best)),
                _ => as_written,
            }
        }
        _ => (end, None),
    }
}

/// What a piece should show when it is tried.
fn of_trial(filler: &Filler, tree: &Stanza, wants: &[Wanted]) -> Option<String> {
    let (name, _) = crate::syntax::tree::names(&tree.head).next()?;
    let item =
        points::item_of(&filler.a.plan, name).filter(|_| filler.word == StanzaWord::Tried)?;
    let (drawn, volts) = trial(&filler.a.plan, item)?;
    wants.iter().find_map(|wanted| match wanted.what {
        What::Slot(Slot::Quantity(Dimension::Current)) => Some(show_short(drawn)),
        What::Slot(Slot::Quantity(Dimension::Voltage)) => Some(show(volts)),
        _ => None,
    })
}

/// The likeliest name for a place, where `usual` would stand and others are `given` already; `None` where the plan has
/// none.
fn best(
    filler: &Filler,
    wanted: &Wanted,
    role: Role,
    (usual, given): (&str, &[String]),
) -> Option<String> {
    let plan = &filler.a.plan;
    match role {
        Role::Defined => return new_name(filler, usual),
        Role::Check => return check_found(filler),
        Role::WireColour => return None,
        // What stands for a word was found for that word already.
        Role::StandIn if plan.names.contains_key(&Name(usual.into())) => return None,
        _ => {}
    }
    best_of(filler, wanted, role, given, true)
        .or_else(|| best_of(filler, wanted, role, given, false))
}

/// As [`best`]; of the `likely` names only, or of all that fit.
fn best_of(
    filler: &Filler,
    wanted: &Wanted,
    role: Role,
    given: &[String],
    likely: bool,
) -> Option<String> {
    let plan = &filler.a.plan;
    let own = filler.tree.and_then(|tree| tree.name()).map(|(n, _)| n);
    let here = wanted.within.last().map(|open| open.shape.word);
    // What goes back to another source than the plus comes from joins the two, and so does a link between two.
    let from = filler.tree.and_then(|tree| tree.clause("from"));
    let from = from.and_then(|from| from.names().next());
    let from = from.filter(|_| here == Some("return"));
    let source = from.map(|(point, _)| points::source_of(plan, point));
    let other = given
        .last()
        .filter(|_| here == Some("between") && role == Role::Point);
    let other = other.map(|end| Name(end.as_str().into()));
    let other = other.filter(|end| names::is_one(plan, role, end));
    let rail = other.map(|end| points::rail_of(plan, &end));
    let goes_back = |name: &Name| {
        source
            .as_ref()
            .is_none_or(|source| points::source_of(plan, name) == *source)
            && rail
                .as_ref()
                .is_none_or(|rail| points::rail_of(plan, name) == *rail)
    };
    let fits = |name: &Name| {
        Some(name) != own
            && names::is_one(plan, role, name)
            && goes_back(name)
            && !given.iter().any(|g| **g == *name.0)
            && !hangs(filler, own, name)
            && !(likely && is_unlikely(filler, role, name))
    };
    // A piece of a pattern is fed from where a copy is fed.
    if let (Role::Point, Some("from"), Some(own)) = (role, here, own)
        && let Some((pattern, _)) = own.0.split_once('.')
        && let Some(definition) = plan.names.get(&Name(pattern.into()))
        && definition.word == StanzaWord::Pattern
    {
        return Some(pattern.to_owned());
    }
    if here == Some("return")
        && (filler.word.is_light() || filler.word == StanzaWord::Load)
        && let Some(sink) = sink_near(filler, own, goes_back)
    {
        return Some(sink);
    }
    // Zones and passages may be of any part.
    let around = filler.around.and_then(|around| match (role, here) {
        (Role::Zone, Some("in")) => around.zone.likeliest.clone(),
        (Role::Passage, Some("via")) => around.passage.likeliest.clone(),
        _ => None,
    });
    if let Some(name) = around {
        return Some(name.0.to_string());
    }
    let used = |clause: Option<&str>| {
        let said = said_above((plan, filler.around), filler.id, filler.word, clause);
        said.into_iter().find_map(|(_, value)| match &value.kind {
            ValueKind::Name(name) if fits(name) => Some(name.0.to_string()),
            _ => None,
        })
    };
    // Any point that feeds something will do as the end of a link.
    let feeds = || (role == Role::Point).then(|| used(Some("from"))).flatten();
    used(here).or_else(feeds).or_else(|| {
        let found = near(plan, filler.id).find(|stanza| {
            let word = stanza.word.is_some_and(|w| crate::plan::fits(role, w));
            word && stanza.name().is_some_and(|(name, _)| fits(name))
        })?;
        found.name().map(|(name, _)| name.0.to_string())
    })
}

/// The nearest output that switches the minus, where it will do.
fn sink_near(
    filler: &Filler,
    own: Option<&Name>,
    goes_back: impl Fn(&Name) -> bool,
) -> Option<String> {
    let plan = &filler.a.plan;
    let pattern_of = |name: &Name| {
        let (first, _) = name.0.split_once('.')?;
        let definition = plan.names.get(&Name(first.into()))?;
        (definition.word == StanzaWord::Pattern).then(|| first.to_owned())
    };
    let here = own.and_then(pattern_of);
    near(plan, filler.id)
        .filter(|stanza| stanza.word == Some(StanzaWord::Board))
        .filter_map(|stanza| plan.names.get_key_value(stanza.name()?.0))
        .filter(|(board, _)| pattern_of(board) == here)
        .find_map(|(board, definition)| {
            let outputs = points::outputs(filler.a, board, definition).into_iter();
            let mut sinks = outputs
                .filter(|output| output.sinks)
                .map(|output| format!("{}.{}", board.0, output.name));
            sinks.find(|sink| goes_back(&Name(sink.as_str().into())))
        })
}

/// What is wired to a light is chained through it, and what is new is seldom meant for an output or a piece of a copy;
/// what is tried draws current.
fn is_unlikely(filler: &Filler, role: Role, name: &Name) -> bool {
    let plan = &filler.a.plan;
    match role {
        Role::Point => names::is_light(plan, name) || filler.tree.is_none() && name.0.contains('.'),
        Role::Item => filler.word == StanzaWord::Tried && !names::is_tried(plan, name),
        _ => false,
    }
}

/// A check that found something on the stanza.
fn check_found(filler: &Filler) -> Option<String> {
    let mut findings = filler.a.findings.iter();
    let here = findings.find(|f| filler.tree.is_some() && f.stanza == filler.id)?;
    Some(here.check.to_owned())
}

fn hangs(filler: &Filler, own: Option<&Name>, name: &Name) -> bool {
    own.is_some_and(|own| points::hangs_on(&filler.a.plan, name, own))
}

/// The stanzas around one in its file, those above first, and those of used files.
fn near(plan: &Plan, id: StanzaId) -> impl Iterator<Item = &Stanza> {
    let last = |file: usize| plan.files.get(file).map_or(0, |f| f.tree.stanzas.len());
    let own = move |index| StanzaId { index, ..id };
    let up = (0..id.index.min(last(id.file.0))).rev().take(NEIGHBOURS);
    let down = (id.index..last(id.file.0)).take(NEIGHBOURS);
    let here = up.chain(down).map(own);
    let others = (0..plan.files.len()).filter(move |f| *f != id.file.0);
    let elsewhere = others.flat_map(move |file| {
        let file_id = crate::plan::FileId(file);
        let all = (0..last(file)).take(NEIGHBOURS);
        all.map(move |index| StanzaId {
            file: file_id,
            index,
        })
    });
    here.chain(elsewhere).map(|id| plan.stanza(id))
}

/// A name for something new: what others call and nothing defines, else the next of a row, else the usual one.
fn new_name(filler: &Filler, usual: &str) -> Option<String> {
    let plan = &filler.a.plan;
    if matches!(filler.word, StanzaWord::Scene | StanzaWord::Stage) {
        return new_names::free_of_work(plan, filler.word, usual);
    }
    let name = new_names::called_for(plan, filler.word).into_iter().next();
    name.or_else(|| new_names::next_of_row(plan, filler.id, filler.word))
        .or_else(|| new_names::first_free(plan, usual, 1))
}

/// Text as a snippet shows it.
pub(super) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(c, '\\' | '$' | '}') {
            out.push('\\');
        }
        out.push(c);
    }
    out
}
