//! What holds for a stanza as a whole, once it is read: clauses that are missing, stand twice or
//! exclude each other, and figures outside their bounds. All from the vocabulary.

use super::reader::{last_word, listed};
use super::tree::{Clause, Fault, FaultMend, Stanza, TokenKind, Value, ValueKind};
use super::vocabulary::{
    ClauseShape, Dimension, IN_ORDER, Often, Role, Slot, StanzaShape, StanzaWord, bounds,
};
use crate::text::Span;

/// Adds the faults of the stanza as a whole.
pub(super) fn judge(stanza: &mut Stanza, shape: &'static StanzaShape) {
    let mut faults = Vec::new();
    repeated(stanza, &stanza.clauses, shape.clauses, &mut faults);
    missing(stanza, shape, &mut faults);
    let head = stanza.head.iter();
    faults.extend(head.filter_map(|value| out_of_bounds(shape, None, value)));
    figures(stanza, shape, &stanza.clauses, &mut faults);
    dots(stanza, shape, &mut faults);
    impossible(stanza, shape, &mut faults);
    no_reason(stanza, &mut faults);
    faults.iter_mut().for_each(|fault| fault.is_of_form = false);
    stanza.faults.append(&mut faults);
}

/// Clauses, and parts of clauses, that stand twice or exclude each other.
fn repeated(stanza: &Stanza, clauses: &[Clause], shapes: &[ClauseShape], faults: &mut Vec<Fault>) {
    let shape_of = |word: &str| shapes.iter().find(|s| s.word == word);
    for (i, clause) in clauses.iter().enumerate() {
        let Some(shape) = shape_of(clause.word) else {
            continue;
        };
        repeated(stanza, &clause.parts, shape.parts, faults);
        let earlier = clauses.get(..i).unwrap_or(&[]);
        let same = earlier.iter().find(|c| c.word == clause.word);
        let same = same.filter(|_| shape.often != Often::Repeats);
        let is_other = |c: &&Clause| shape_of(c.word).and_then(|s| s.instead) == shape.instead;
        let other = shape.instead.and_then(|_| earlier.iter().find(is_other));
        let (first, message) = match (same, other) {
            (Some(first), _) => (first, format!("`{}` stands twice: keep one.", clause.word)),
            (None, Some(first)) => {
                let words = (first.word, clause.word);
                (
                    first,
                    format!(
                        "`{}` and `{}` exclude each other: keep one.",
                        words.0, words.1
                    ),
                )
            }
            (None, None) => continue,
        };
        let title = match same {
            Some(_) => format!("remove the second {}", clause.word),
            None => format!("remove {}", clause.word),
        };
        let (out, blank) = taken_out(stanza, clause.span);
        let mut fault = Fault::new("clause-repeated", clause.span, message).mend(title, out, blank);
        fault
            .related
            .push((first.span, "the first stands here".to_owned()));
        faults.push(fault);
    }
}

/// What is put in place of what, so that words are taken out: they and the blanks ahead of them, their whole line where nothing
/// else stands on it.
fn taken_out(stanza: &Stanza, span: Span) -> (Span, &'static str) {
    let ahead = stanza.text.get(..span.range().start).unwrap_or("");
    let behind = stanza.text.get(span.range().end..).unwrap_or("");
    let words = ahead.trim_end_matches([' ', '\t']);
    let at = |text: &str| u32::try_from(text.len()).unwrap_or(span.start);
    if !words.ends_with(['\n', '\r']) {
        // What touches them is not to be joined to what stands ahead.
        let touches = behind.starts_with(|c: char| !c.is_whitespace());
        return (
            Span::new(at(words), span.end),
            if touches { " " } else { "" },
        );
    }
    let rest = behind.trim_start_matches([' ', '\t']);
    if !(rest.is_empty() || rest.starts_with(['\n', '\r'])) {
        // The blanks are the line's indentation, which whatever follows needs.
        return (span, "");
    }
    let above = words.strip_suffix('\n').unwrap_or(words);
    let above = above.strip_suffix('\r').unwrap_or(above);
    (Span::new(at(above), span.end), "")
}

/// Required clauses that are not there.
fn missing(stanza: &Stanza, shape: &StanzaShape, faults: &mut Vec<Fault>) {
    // Of a stanza that is its word alone it has been said what comes next.
    let last = end_of(stanza);
    if last == stanza.word_span && stanza.faults.iter().any(|fault| fault.span == last) {
        return;
    }
    let mut done: Vec<&str> = Vec::new();
    for clause in shape.clauses.iter().filter(|c| c.often == Often::Required) {
        let group: Vec<&ClauseShape> = match clause.instead {
            Some(mark) if done.contains(&mark) => continue,
            Some(mark) => {
                done.push(mark);
                shape
                    .clauses
                    .iter()
                    .filter(|c| c.instead == Some(mark))
                    .collect()
            }
            None => vec![clause],
        };
        if group.iter().any(|c| stanza.clause(c.word).is_some()) {
            continue;
        }
        let words: Vec<String> = group.iter().map(|c| format!("`{}`", c.word)).collect();
        let stanza_word = shape.stanza.word();
        let message = match words.as_slice() {
            [one] => format!("This {stanza_word} wants {one}, as in `{}`.", clause.usual),
            many => {
                let words: Vec<&str> = many.iter().map(String::as_str).collect();
                format!(
                    "This {stanza_word} wants exactly one of {}.",
                    listed(&words)
                )
            }
        };
        let mut fault = Fault::new("clause-missing", end_of(stanza), message);
        for clause in group.iter().filter(|c| !names_something(c.slots)) {
            let (at, text) = addition(stanza, clause.usual);
            fault = fault.mend(format!("add {}", clause.usual), at, text);
        }
        fault.lacks = Some(clause.word);
        faults.push(fault);
    }
}

/// Whether a clause names things of the plan, so that no usual value can be put in.
fn names_something(slots: &[Slot]) -> bool {
    slots.iter().any(|slot| match slot {
        Slot::Name(_) => true,
        Slot::List(inner) | Slot::Optional(inner) => names_something(inner),
        Slot::Either(ways) => ways.iter().any(|way| names_something(way)),
        _ => false,
    })
}

/// The last word of a stanza.
fn end_of(stanza: &Stanza) -> Span {
    last_word(&stanza.tokens).unwrap_or(stanza.word_span)
}

/// Where and how a clause is added at the end of a stanza: on a line of its own where the stanza has
/// more than one line, else behind its last word.
pub fn addition(stanza: &Stanza, clause: &str) -> (Span, String) {
    let text = &*stanza.text;
    let last = end_of(stanza);
    let one_line = stanza
        .tokens
        .iter()
        .filter(|t| t.span.start > stanza.word_span.start && t.span.end <= last.end)
        .all(|t| t.kind != TokenKind::LineEnd);
    if one_line {
        return (Span::new(last.end, last.end), format!(" {clause}"));
    }
    let line_starts = |at: usize| {
        let ahead = text.get(..at).unwrap_or("");
        ahead.rfind(['\n', '\r']).map_or(0, |i| i + 1)
    };
    let start = line_starts(last.range().start);
    let line = text.get(start..).unwrap_or("");
    let indent: String = line
        .chars()
        .take_while(|c| matches!(c, ' ' | '\t'))
        .collect();
    let indent = if indent.is_empty() { "  " } else { &indent };
    let rest = text.get(last.range().end..).unwrap_or("");
    let length = rest.find(['\n', '\r']).unwrap_or(rest.len());
    let end = last.end + u32::try_from(length).unwrap_or(0);
    // The line end of the line above is the one that the stanza uses.
    let above = text.get(..start).unwrap_or("");
    let line_end = if above.ends_with("\r\n") {
        "\r\n"
    } else if above.ends_with('\r') {
        "\r"
    } else {
        "\n"
    };
    (Span::new(end, end), format!("{line_end}{indent}{clause}"))
}

/// Figures outside their bounds, and ranges upside down.
fn figures(
    stanza: &Stanza,
    shape: &'static StanzaShape,
    clauses: &[Clause],
    faults: &mut Vec<Fault>,
) {
    for clause in clauses {
        let values = clause.values.iter();
        faults.extend(values.filter_map(|v| out_of_bounds(shape, Some(clause.word), v)));
        if IN_ORDER.contains(&clause.word) {
            let mut quantities = clause.values.iter().filter_map(|v| match v.kind {
                ValueKind::Quantity(x, _) => Some((x, v.span)),
                _ => None,
            });
            if let (Some((low, first)), Some((high, second))) =
                (quantities.next(), quantities.next())
                && high < low
            {
                let message = format!(
                    "`{}` goes from the least to the greatest: swap the two.",
                    clause.word
                );
                let mut fault = Fault::new("syntax", first.to(second), message);
                fault.mends.push(FaultMend {
                    title: "swap the two".to_owned(),
                    edits: vec![
                        (first, stanza.words(second).to_owned()),
                        (second, stanza.words(first).to_owned()),
                    ],
                });
                faults.push(fault);
            }
        }
        figures(stanza, shape, &clause.parts, faults);
    }
}

fn out_of_bounds(shape: &StanzaShape, clause: Option<&str>, value: &Value) -> Option<Fault> {
    let ValueKind::Quantity(x, dimension) = value.kind else {
        return None;
    };
    let bounds = bounds(shape.stanza, clause, dimension);
    let what = dimension.plain();
    let message = bounds.broken_by(x, what)?;
    Some(Fault::new("syntax", value.span, message))
}

/// What no model can have: windows larger than the surface that they are a part of, a passage from a zone to itself, a
/// zone that is compared with itself.
fn impossible(stanza: &Stanza, shape: &StanzaShape, faults: &mut Vec<Fault>) {
    let name_of = |clause: &str, nth: usize| stanza.clause(clause)?.names().nth(nth);
    let area_of = |clause: &str| {
        let mut values = stanza.clause(clause)?.values.iter();
        values.find_map(|v| match v.kind {
            ValueKind::Quantity(x, Dimension::Area) => Some((x, v.span)),
            _ => None,
        })
    };
    match shape.stanza {
        StanzaWord::Zone => {
            if let (Some((inside, whole)), Some((windows, part))) =
                (area_of("inside"), area_of("windows"))
                && windows > inside * (1.0 + 1e-9)
            {
                let message = format!(
                    "Windows of {} are more than the inner surface of {} that they are a part of. Check both.",
                    stanza.quoted(part),
                    stanza.quoted(whole)
                );
                faults.push(Fault::new("syntax", part, message));
            }
            if let (Some((own, _)), Some((other, span))) = (stanza.name(), name_of("as", 0))
                && own == other
            {
                let message = format!("`{}` is as bright as itself. Name another zone.", own.0);
                let clause = stanza.clause("as").map_or(span, |c| c.span);
                let fault = Fault::new("syntax", span, message);
                let (out, blank) = taken_out(stanza, clause);
                faults.push(fault.mend("remove it", out, blank));
            }
        }
        StanzaWord::Passage => {
            if let (Some((a, _)), Some((b, span))) = (name_of("between", 0), name_of("between", 1))
                && a == b
            {
                let message = format!(
                    "A passage leads from one zone to another, not from `{}` to itself. Name the other zone.",
                    a.0
                );
                faults.push(Fault::new("syntax", span, message));
            }
        }
        _ => {}
    }
}

/// An `accept` whose reason says nothing.
fn no_reason(stanza: &Stanza, faults: &mut Vec<Fault>) {
    for clause in stanza.clauses.iter().filter(|c| c.word == "accept") {
        let empty = clause
            .values
            .iter()
            .find(|v| matches!(&v.kind, ValueKind::Text(text) if text.trim().is_empty()));
        if let Some(value) = empty {
            let message = "The reason of an `accept` is printed on the bench sheet: say why.";
            let fault = Fault::new("clause-missing", value.span, message);
            faults.push(fault.mend("write \"…\"", value.span, "\"…\""));
        }
    }
}

/// Names with a dot where only a plain one can be defined.
fn dots(stanza: &Stanza, shape: &StanzaShape, faults: &mut Vec<Fault>) {
    let wiring = shape.stanza.is_item() || shape.stanza.word() == "link";
    let mut dotted: Vec<Span> = Vec::new();
    if let (Some((name, span)), false) = (stanza.name(), wiring)
        && name.0.contains('.')
    {
        dotted.push(span);
    }
    for clause in &stanza.clauses {
        let defines = shape.clauses.iter().any(|s| {
            s.word == clause.word
                && s.slots.iter().any(|slot| match slot {
                    Slot::Name(role) => defines_plain(*role),
                    Slot::List(inner) => inner
                        .iter()
                        .any(|s| matches!(s, Slot::Name(role) if defines_plain(*role))),
                    _ => false,
                })
        });
        if defines {
            dotted.extend(
                clause
                    .names()
                    .filter(|(n, _)| n.0.contains('.'))
                    .map(|(_, s)| s),
            );
        }
    }
    faults.extend(dotted.into_iter().map(|span| {
        let message = "Only the pieces of a pattern have a dot in their names.";
        Fault::new("syntax", span, message)
    }));
}

fn defines_plain(role: Role) -> bool {
    matches!(role, Role::OutputDefined | Role::NeedDefined)
}
