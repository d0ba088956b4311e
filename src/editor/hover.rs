//! What is shown when the cursor rests on a word: what it is, its figures, the way of the power to it, what hangs
//! on it.

mod item;
mod place;
mod quantity;
mod stock;
pub(super) mod what_if;
pub(super) mod words;

#[cfg(test)]
mod tests;

use super::target::{self, On, Spot};
use crate::checks::Analysis;
use crate::circuit::Figure;
use crate::numbers::{Shown, with_range};
use crate::plan::{Definition, FileId, Severity, StanzaId, Target};
use crate::syntax::tree::{Name, ValueKind};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// A figure with how far it may stray.
fn figure<Q: Shown>(figure: &Figure<Q>) -> String {
    with_range(figure.typical, figure.low, figure.high)
}

/// A text in Markdown, and the words of the file that it is about.
#[derive(Clone, Debug, PartialEq)]
pub struct Hover {
    /// The text.
    pub markdown: String,
    /// The words.
    pub span: Span,
}

/// What to show at this byte of a file.
pub fn hover(a: &Analysis, file: FileId, offset: usize) -> Option<Hover> {
    let spot = target::at(&a.plan, file, offset)?;
    let markdown = text_of(a, &spot)?;
    Some(Hover {
        markdown,
        span: a.plan.in_file(spot.stanza, spot.span),
    })
}

fn text_of(a: &Analysis, spot: &Spot) -> Option<String> {
    let stanza = a.plan.stanza(spot.stanza);
    let clause = || spot.clause.map(words::clause);
    match &spot.on {
        On::StanzaWord(StanzaWord::Harness) => paragraphs([
            Some(words::stanza(StanzaWord::Harness)),
            what_if::of_plan(a),
        ]),
        On::StanzaWord(word) => Some(words::stanza(*word)),
        On::ClauseWord | On::Other | On::Need => {
            clause().or_else(|| stanza.word.map(words::stanza))
        }
        On::Name {
            name,
            definition,
            output,
        } => Some(of_name(a, name, definition, output.as_ref())),
        On::State(word) => place::state(a, *word, spot.stanza),
        On::Output(output) => stock::output_of_stanza(a, spot.stanza, output),
        On::Check(check) => Some(words::check(&check.0)),
        On::Quantity(x, dimension) => {
            let written = stanza.words(spot.span);
            let others = quantity::others(written, *x, *dimension, spot.clause.map(|c| c.word));
            let says = clause().or_else(|| stanza.word.map(words::stanza));
            paragraphs([others, says])
        }
        On::Count(n) => {
            let cut = stock::count_of_tape(a, spot.stanza, *n);
            paragraphs([cut, clause().or_else(|| stanza.word.map(words::stanza))])
        }
        On::Scale(n) => Some(quantity::scale(*n)),
        On::Text if stanza.word == Some(StanzaWord::Harness) && spot.clause.is_none() => {
            paragraphs([
                what_if::of_plan(a),
                Some(words::stanza(StanzaWord::Harness)),
            ])
        }
        On::Text => clause().or_else(|| stanza.word.map(words::stanza)),
    }
}

/// A name of the plan: what it is, its figures, what belongs to it.
pub(super) fn of_name(
    a: &Analysis,
    name: &Name,
    definition: &Definition,
    output: Option<&Name>,
) -> String {
    let known = match definition.target {
        Some(Target::Wire(id)) => Some(stock::wire(a, id)),
        Some(Target::Tape(id)) => Some(stock::tape(a, id)),
        Some(Target::Led(id)) => Some(stock::led(a, id)),
        Some(Target::Module(id)) => Some(stock::module(a, id)),
        Some(Target::Item(id)) => match output {
            Some(output) => item::output(a, id, output),
            None => Some(item::item(a, id)),
        },
        Some(Target::Link(id)) => Some(place::link(a, id)),
        Some(Target::Zone(id)) => Some(place::zone(a, id)),
        Some(Target::Passage(id)) => Some(place::passage(a, id)),
        Some(Target::Pattern(stanza)) => Some(place::pattern(a, stanza, name)),
        None => target::copies_of(&a.plan, name, definition)
            .map(|copies| item::piece(a, name, definition.word, &copies)),
    };
    let mut text = known.unwrap_or_else(|| left_out(a, name, definition));
    text.push_str(&notes(a, definition.stanza));
    text
}

/// A stanza in error: what it would be, and why it is not among the figures.
fn left_out(a: &Analysis, name: &Name, definition: &Definition) -> String {
    let word = definition.word;
    let mut text = format!("**{} {}**: {}", word.word(), name.0, word.shape().says);
    let why = reason_left_out(a, definition.stanza);
    text.push_str("\n\nLeft out of the figures");
    text.push_str(&match why {
        Some(why) => format!(": {}", escaped(&why)),
        None => ".".into(),
    });
    text
}

/// Why a stanza is left out: its own error, else the name of a stanza in error that it hangs on.
fn reason_left_out(a: &Analysis, stanza: StanzaId) -> Option<String> {
    let plan = &a.plan;
    let mut errors = plan
        .problems
        .iter()
        .filter(|p| p.severity == Severity::Error);
    let own = errors.clone().find(|p| p.stanza == stanza);
    // A slip in a name is told where the name is defined; who uses it stands there as a related place.
    let told_elsewhere = || errors.find(|p| p.related.iter().any(|(id, _, _)| *id == stanza));
    own.or_else(told_elsewhere)
        .map(|p| p.message.clone())
        .or_else(|| {
            let fault = plan.stanza(stanza).faults.first()?;
            Some(fault.message.clone())
        })
        .or_else(|| {
            let on = plan.references.iter().find(|r| {
                r.stanza == stanza
                    && r.definition != stanza
                    && plan.left_out.contains(&r.definition)
            })?;
            Some(format!("it hangs on {}, which is in error.", on.name.0))
        })
}

/// The remarks of a stanza.
fn notes(a: &Analysis, stanza: StanzaId) -> String {
    let stanza = a.plan.stanza(stanza);
    let notes = stanza.clauses.iter().filter(|c| c.word == "note");
    let texts = notes.filter_map(|c| match &c.values.first()?.kind {
        ValueKind::Text(text) => Some(format!("\n\nNote: {}", escaped(text))),
        _ => None,
    });
    texts.collect()
}

/// Text that Markdown is to show as it is.
pub(super) fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(
            c,
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '#' | '~' | '&' | '!'
        ) {
            safe.push('\\');
        }
        safe.push(c);
    }
    safe
}

/// Paragraphs of Markdown; `None` where there is none.
fn paragraphs(parts: impl IntoIterator<Item = Option<String>>) -> Option<String> {
    let there: Vec<String> = parts.into_iter().flatten().collect();
    (!there.is_empty()).then(|| there.join("\n\n"))
}

/// So many columns of letters a window has room for, one of 80 with what stands around.
const ROOM: usize = 78;

/// A table of Markdown: columns without any entry are left out. Some editors show its text as it is, and break lines that are too
/// long anywhere: so its cells are padded, and where it is too wide, how far a figure may stray stands below the figure.
fn table(heads: &[&str], rows: &[Vec<Option<String>>]) -> Option<String> {
    let kept: Vec<usize> = (0..heads.len())
        .filter(|&c| rows.iter().any(|row| row[c].is_some()))
        .collect();
    if kept.is_empty() {
        return None;
    }
    let of = |row: &Vec<Option<String>>| -> Vec<String> {
        kept.iter()
            .map(|&c| row[c].clone().unwrap_or_default())
            .collect()
    };
    let heads: Vec<String> = kept.iter().map(|&c| heads[c].to_owned()).collect();
    let mut lines: Vec<Vec<String>> = rows.iter().map(of).collect();
    let mut widths = widths(&heads, &lines);
    if widths.iter().map(|width| width + 3).sum::<usize>() > ROOM {
        lines = lines.into_iter().flat_map(in_two_lines).collect();
        widths = self::widths(&heads, &lines);
    }
    let rule: Vec<String> = widths.iter().map(|&width| "-".repeat(width)).collect();
    let lines = [&heads, &rule].into_iter().chain(&lines).map(|cells| {
        let cells = cells.iter().zip(&widths);
        let padded: Vec<_> = cells
            .map(|(cell, &width)| format!(" {cell:<width$} "))
            .collect();
        format!("|{}|", padded.join("|"))
    });
    Some(lines.collect::<Vec<_>>().join("\n"))
}

fn widths(heads: &[String], lines: &[Vec<String>]) -> Vec<usize> {
    let width = |c: usize| {
        let cells = lines.iter().map(|cells| cells[c].chars().count());
        cells.fold(heads[c].chars().count().max(3), usize::max)
    };
    (0..heads.len()).map(width).collect()
}

/// A row whose figures say how far they may stray, as two: the figures, and that below them.
fn in_two_lines(row: Vec<String>) -> Vec<Vec<String>> {
    let parts = row.iter().enumerate().map(|(c, cell)| {
        let at = cell.find(" (").filter(|_| c > 0).unwrap_or(cell.len());
        (cell[..at].to_owned(), cell[at..].trim_start().to_owned())
    });
    let (figures, strays): (Vec<_>, Vec<_>) = parts.unzip();
    let says_something = strays.iter().any(|cell| !cell.is_empty());
    [Some(figures), Some(strays).filter(|_| says_something)]
        .into_iter()
        .flatten()
        .collect()
}

/// A list of names: all of a few, else the first and how many more.
pub(super) fn some_names<'a>(names: impl IntoIterator<Item = &'a Name>) -> String {
    const SHOWN: usize = 8;
    let names: Vec<&str> = names.into_iter().map(|n| &*n.0).collect();
    if names.len() <= SHOWN + 1 {
        names.join(", ")
    } else {
        let more = names.len() - SHOWN;
        format!("{} and {more} more", names[..SHOWN].join(", "))
    }
}

/// The words of a stanza kind with its article: "a strip".
fn bold(word: StanzaWord, name: &Name) -> String {
    format!("**{} {}**", word.word(), name.0)
}
