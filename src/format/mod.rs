//! The layout of a harness file: blanks alone are changed, never a word, a figure, a comment or a line end. What
//! stands in columns by hand stays there; what does not is brought into columns.
//!
//! - Clauses on lines of their own are indented by two blanks, and what goes on a line further down by two more.
//! - Stanzas that touch (no blank line between) and are alike make a *run*: their names, clauses and comments stand in
//!   columns. All of the wiring is alike; other stanzas are alike where they begin with the same word.
//! - A column stands where more than half of the lines of its run already have it, if every line has room there; else
//!   right behind the longest (see [`row`]).
//! - A stanza that cannot be read is left as it is.
//!
//! Laying out twice changes nothing more.

mod columns;
mod line_end;
mod row;

use crate::syntax::read_file;
use crate::syntax::tree::{File, Placed, Token, TokenKind};
use crate::text::{Span, TextEdit};

use columns::Columns;
pub use line_end::after_line_end;
use row::{Row, align};

/// How far a clause on a line of its own is indented.
pub const INDENTATION: usize = 2;

/// The byte-order mark, which is kept at the start of a file.
const BOM: char = '\u{feff}';

/// The edits that lay out a whole file, in the order of the file; each puts other blanks in the place of blanks.
pub fn document(file: &File) -> Vec<TextEdit> {
    let mut edits = Vec::new();
    let mut run = Vec::new();
    let mut alike = None;
    for placed in &file.stanzas {
        let lines = lines_of(placed);
        let head = lines
            .iter()
            .position(|line| line.begins_with(placed.stanza.word_span));
        if !is_left_alone(placed) {
            let family = placed.stanza.word.map(columns::family);
            if family != alike {
                lay_out(&mut run, &mut edits);
                alike = family;
            }
            let mut rows = rows_of(placed, &lines);
            run.extend(head.map(|head| rows.remove(head)));
            lay_out(&mut rows, &mut edits);
        }
        let behind = lines.get(head.unwrap_or(0)..).unwrap_or_default();
        if behind.iter().any(Line::is_blank) {
            lay_out(&mut run, &mut edits);
        }
    }
    lay_out(&mut run, &mut edits);
    edits.sort_by_key(|edit| edit.span);
    edits
}

/// Of the edits that lay out a file with this text, those in the lines that `span` touches. A span that ends at the
/// start of a line does not touch it.
pub fn lines(text: &str, span: Span) -> Vec<TextEdit> {
    let at = |offset: u32| (offset as usize).min(text.len());
    let is_end = |b: &u8| matches!(b, b'\n' | b'\r');
    let bytes = text.as_bytes();
    let from = bytes[..at(span.start)].iter().rposition(is_end);
    let from = from.map_or(0, |end| end + 1);
    let to = at(span.end).max(from);
    let to = if to > from && bytes.get(to - 1).is_some_and(is_end) {
        to
    } else {
        let ahead = bytes[to..].iter().position(is_end);
        ahead.map_or(text.len(), |ahead| to + ahead)
    };
    let touched = Span::between(from, to);
    let mut edits = document(&read_file(text));
    edits.retain(|e| touched.start <= e.span.start && e.span.end <= touched.end);
    edits
}

fn lay_out(run: &mut Vec<Row>, edits: &mut Vec<TextEdit>) {
    align(run);
    for row in run.drain(..) {
        row.edits(edits);
    }
}

/// What cannot be read keeps its layout; so does a stanza with a byte-order mark somewhere inside.
fn is_left_alone(placed: &Placed) -> bool {
    let stanza = &placed.stanza;
    let text = stanza.text.strip_prefix(BOM).filter(|_| placed.start == 0);
    text.unwrap_or(&stanza.text).contains(BOM) || stanza.faults.iter().any(|f| f.check == "syntax")
}

/// The lines of a stanza: its tokens line by line, without the line ends.
fn lines_of(placed: &Placed) -> Vec<Line<'_>> {
    let stanza = &placed.stanza;
    let bom = placed.start == 0 && stanza.text.starts_with(BOM);
    let mut start = if bom { BOM.len_utf8() as u32 } else { 0 };
    let mut lines = Vec::new();
    for tokens in stanza
        .tokens
        .split_inclusive(|token| token.kind == TokenKind::LineEnd)
    {
        let (tokens, end, next) = match tokens.split_last() {
            Some((last, tokens)) if last.kind == TokenKind::LineEnd => {
                (tokens, last.span.start, last.span.end)
            }
            _ => (tokens, stanza.text.len() as u32, stanza.text.len() as u32),
        };
        let span = Span::new(start, end);
        lines.push(Line { span, tokens });
        start = next;
    }
    if (start as usize) < stanza.text.len() {
        // Blanks at the very end of a file, on a line that has no end.
        let span = Span::new(start, stanza.text.len() as u32);
        lines.push(Line { span, tokens: &[] });
    }
    lines
}

/// The lines as rows. A comment on a line of its own stands like the words below it.
fn rows_of<'a>(placed: &'a Placed, lines: &[Line]) -> Vec<Row<'a>> {
    let columns = Columns::of(&placed.stanza);
    let mut below = INDENTATION;
    let mut rows: Vec<Row> = Vec::with_capacity(lines.len());
    for line in lines.iter().rev() {
        let margin = match line.tokens.first() {
            Some(first) if first.span.start == line.span.start => 0,
            Some(first) if first.kind != TokenKind::Comment => {
                below = columns.indentation(*first);
                below
            }
            _ => below,
        };
        rows.push(Row::new(placed, line, columns.ahead(line.tokens, margin)));
    }
    rows.reverse();
    rows
}

/// A line of a stanza.
struct Line<'a> {
    /// Its bytes, relative to the stanza, without its line end and without a byte-order mark at the start of the file.
    span: Span,
    /// Its tokens, without the line end.
    tokens: &'a [Token],
}

impl Line<'_> {
    fn is_blank(&self) -> bool {
        self.tokens.is_empty()
    }

    fn begins_with(&self, words: Span) -> bool {
        self.tokens.first().is_some_and(|token| token.span == words)
    }
}

#[cfg(test)]
mod tests;
