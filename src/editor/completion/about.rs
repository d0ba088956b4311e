//! What there is to say of one entry of the list, in Markdown: what the word means, what the name stands for with its
//! figures; for a figure, what the plan comes to with it.

use super::About;
use super::ask::Ask;
use super::points;
use crate::checks::{Analysis, severity_word};
use crate::circuit::{Figure, Solution};
use crate::editor::hover::{self, words};
use crate::numbers::{show, with_range};
use crate::plan::{Edit, FileId, Item, ItemId, Part, Plan, StanzaId};
use crate::syntax::tree::Name;
use crate::syntax::vocabulary::{ClauseShape, StanzaWord};
use crate::text::Span;
use crate::units::ElectricCurrent;

/// Larger plans are not solved again for an entry of a list.
const SOLVED: usize = 2000;

/// The text about an entry of the list for this file; `None` where there is none.
pub fn about(a: &Analysis, file: FileId, what: &About) -> Option<String> {
    match what {
        About::Name(name) => of_name(a, name),
        About::Figure(at, text) => figure(a, file, *at, text),
        _ => of_language(what),
    }
}

/// The same of what is a word of the language, whatever the plan.
pub fn of_language(what: &About) -> Option<String> {
    match what {
        About::Stanza(word) => StanzaWord::from_word(word).map(words::stanza),
        About::Clause(stanza, path) => {
            let stanza = StanzaWord::from_word(stanza)?;
            clause(stanza.shape().clauses, path).map(words::clause)
        }
        About::Check(check) => Some(words::check(check)),
        About::Name(_) | About::Figure(..) | About::Nothing => None,
    }
}

/// The clause at the end of a way through clauses and their parts.
fn clause(shapes: &'static [ClauseShape], path: &[String]) -> Option<&'static ClauseShape> {
    let (first, rest) = path.split_first()?;
    let shape = shapes.iter().find(|s| s.word == *first)?;
    match rest {
        [] => Some(shape),
        rest => clause(shape.parts, rest),
    }
}

fn of_name(a: &Analysis, name: &str) -> Option<String> {
    let whole = Name(name.into());
    if let Some(definition) = a.plan.names.get(&whole) {
        return Some(hover::of_name(a, &whole, definition, None));
    }
    let (board, output) = name.rsplit_once('.')?;
    let board = Name(board.into());
    let definition = a.plan.names.get(&board)?;
    let output = Name(output.into());
    Some(hover::of_name(a, &board, definition, Some(&output)))
}

/// What the plan comes to with a figure in the place of the word that begins at `at`.
fn figure(a: &Analysis, file: FileId, at: u32, text: &str) -> Option<String> {
    if a.plan.items.len() > SOLVED {
        return None;
    }
    let (id, word) = word_at(a, file, at)?;
    let edit = Edit {
        stanza: id,
        span: word,
        text: text.to_owned(),
    };
    let with = a.with_edits(&[edit]);
    let item = only_item(&with.plan, id)?;
    let figures = figures(&with.plan, &with.solution, item)?;
    let mut said = format!("With **{text}**: {figures}");
    let mut found: Vec<_> = with.findings.iter().filter(|f| f.stanza == id).collect();
    found.sort_by_key(|f| std::cmp::Reverse(f.severity));
    match found.is_empty() {
        true => said.push_str("\n\nNothing is found wrong with it."),
        false => {
            for finding in found {
                let severity = severity_word(finding.severity);
                let message = hover::escaped(&finding.message);
                said.push_str(&format!("\n\n- {severity}, {}: {message}", finding.check));
            }
        }
    }
    Some(said)
}

/// The word that begins at a byte of a file: its stanza, and where it stands in that; empty where none does.
fn word_at(a: &Analysis, file: FileId, at: u32) -> Option<(StanzaId, Span)> {
    let text = &a.plan.files.get(file.0)?.text;
    let step = text.get(at as usize..)?.chars().next();
    let inside = step.filter(|c| !c.is_whitespace() && *c != ',' && *c != '#');
    let offset = at as usize + inside.map_or(0, char::len_utf8);
    let (ask, _) = Ask::at(a, None, file, offset)?;
    let starts = a.plan.in_file(ask.id, ask.word).start;
    (starts == at).then_some((ask.id, ask.word))
}

/// The one item that a stanza became; `None` for a piece of a pattern, which becomes as many as there are copies.
fn only_item(plan: &Plan, id: StanzaId) -> Option<ItemId> {
    let mut items = plan.items.iter().enumerate();
    let own = items.find(|(_, item)| item.stanza == id && item.copy.is_none());
    own.map(|(index, _)| ItemId(index))
}

/// What the heat of an item is made in.
fn heated(plan: &Plan, item: &Item) -> &'static str {
    let has_resistor = plan.stanza(item.stanza).clause("resistor").is_some();
    match item.kind() {
        "lamp" if has_resistor => "lamp and resistor",
        "string" if has_resistor => "lamps and resistor",
        _ => "it",
    }
}

/// The figures of an item with everything on; of outputs that take turns, while its own is on.
fn figures(plan: &Plan, solution: &Solution, id: ItemId) -> Option<String> {
    let item = &plan.items[id.0];
    let scene = points::turn_of(solution, |f| {
        Some(f.items.get(id.0)?.amps.typical.abs().value)
    })?;
    let figures = match &scene.outcome {
        Ok(figures) => figures,
        Err(none) => {
            let culprit = hover::escaped(&plan.items[none.item.0].name.0);
            return Some(format!("no solution, {culprit} cannot have what it wants."));
        }
    };
    let own = figures.items.get(id.0)?;
    let name = hover::escaped(&item.name.0);
    if !own.reached {
        return Some(format!("{name} is not reached."));
    }
    let range = |f: &Figure<ElectricCurrent>| with_range(f.typical, f.low, f.high);
    let takes = item.is_light() || matches!(item.part, Part::Board { .. } | Part::Load(_));
    let said = if takes {
        let volts = with_range(own.volts.typical, own.volts.low, own.volts.high);
        let watts = show(own.watts.typical);
        format!(
            "draws {}, {volts} across it, {watts} in {}",
            range(&own.amps),
            heated(plan, item)
        )
    } else {
        let volts = own.hands_on;
        let volts = with_range(volts.typical, volts.low, volts.high);
        let verb = match item.part {
            Part::Supply(_) => "gives",
            _ => "passes",
        };
        format!("{verb} {}, {volts} behind it", range(&own.passes))
    };
    Some(format!("{name} {said} ({}).", scene.name.0))
}
