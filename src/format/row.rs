//! A line while it is laid out, and how the lines of a run come into columns.

use std::collections::BTreeMap;

use unicode_width::UnicodeWidthStr;

use super::Line;
use super::columns::Key;
use crate::syntax::tree::{Placed, TokenKind};
use crate::text::{Span, TextEdit};

/// A tab leads to the next multiple of this; only places as they were are counted with tabs, none is written.
const TAB: usize = 8;

/// What stands ahead of a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ahead {
    /// So many blanks.
    Blanks(usize),
    /// One blank or two, as written.
    OneOrTwo,
    /// As many as lead to this column.
    Column(Key),
}

/// A word, a text, a comma or a comment of a line.
struct Piece {
    span: Span,
    ahead: Ahead,
    /// The column that it stood in.
    was_at: usize,
    /// How many blanks stand ahead of it from now on.
    blanks: usize,
}

/// A line while it is laid out, from left to right.
pub struct Row<'a> {
    text: &'a str,
    /// Where the stanza begins in the file.
    start: u32,
    line: Span,
    pieces: Vec<Piece>,
    /// The first piece that has no place yet.
    next: usize,
    /// The column behind the last piece that has one.
    cursor: usize,
}

impl<'a> Row<'a> {
    /// The row of a line; `ahead` says what stands ahead of each of its tokens.
    pub fn new(placed: &'a Placed, line: &Line, ahead: Vec<Ahead>) -> Row<'a> {
        let text = &*placed.stanza.text;
        let (mut at, mut column) = (line.span.start, 0);
        // The columns move with the margin.
        if let (Some(token), Some(Ahead::Blanks(margin))) = (line.tokens.first(), ahead.first()) {
            (at, column) = (token.span.start, *margin);
        }
        let mut pieces = Vec::with_capacity(line.tokens.len());
        for (token, ahead) in line.tokens.iter().zip(ahead) {
            let mut span = token.span;
            if token.kind == TokenKind::Comment {
                let words = text.get(span.range()).unwrap_or("").trim_end();
                span.end = span.start + words.len() as u32;
            }
            let between = Span::new(at, span.start).of(text).unwrap_or("");
            let was_at = behind(column, between);
            pieces.push(Piece {
                span,
                ahead,
                was_at,
                blanks: was_at - column,
            });
            column = behind(was_at, span.of(text).unwrap_or(""));
            at = span.end;
        }
        Row {
            text,
            start: placed.start,
            line: line.span,
            pieces,
            next: 0,
            cursor: 0,
        }
    }

    /// Gives all pieces up to the next column their place; that column.
    fn advance(&mut self) -> Option<Key> {
        while let Some(piece) = self.pieces.get(self.next) {
            let blanks = match piece.ahead {
                Ahead::Blanks(blanks) => blanks,
                Ahead::OneOrTwo => piece.blanks.clamp(1, 2),
                Ahead::Column(key) => return Some(key),
            };
            self.place(self.cursor + blanks);
        }
        None
    }

    /// Puts the next piece in a column.
    fn place(&mut self, column: usize) {
        if let Some(piece) = self.pieces.get_mut(self.next) {
            piece.blanks = column.saturating_sub(self.cursor);
            let words = piece.span.of(self.text).unwrap_or("");
            self.cursor = behind(self.cursor + piece.blanks, words);
            self.next += 1;
        }
    }

    /// The column that the next piece stood in.
    fn was_at(&self) -> usize {
        self.pieces.get(self.next).map_or(0, |piece| piece.was_at)
    }

    /// The edits that give the line its layout.
    pub fn edits(&self, edits: &mut Vec<TextEdit>) {
        let mut at = self.line.start;
        let mut put = |gap: Span, blanks: usize| {
            let text = " ".repeat(blanks);
            if gap.of(self.text) != Some(&text) {
                let span = gap.shifted(self.start);
                edits.push(TextEdit { span, text });
            }
        };
        for piece in &self.pieces {
            put(Span::new(at, piece.span.start), piece.blanks);
            at = piece.span.end;
        }
        put(Span::new(at, self.line.end), 0);
    }
}

/// Brings the rows of a run into columns, from left to right.
pub fn align(rows: &mut [Row]) {
    let mut waiting: BTreeMap<Key, Vec<usize>> = BTreeMap::new();
    for (i, row) in rows.iter_mut().enumerate() {
        if let Some(key) = row.advance() {
            waiting.entry(key).or_default().push(i);
        }
    }
    // Within a row the columns go up, so that each comes after all that lead to it.
    while let Some((key, group)) = waiting.pop_first() {
        let column = column_of(key, &group, rows);
        for i in group {
            let row = &mut rows[i];
            row.place(column.max(row.cursor + 1));
            if let Some(key) = row.advance() {
                waiting.entry(key).or_default().push(i);
            }
        }
    }
}

/// Where a column stands: where more than half of its rows have it, if all have room there; else behind the longest.
fn column_of(key: Key, group: &[usize], rows: &[Row]) -> usize {
    let counted = |row: &&Row| key != Key::Name || row.cursor <= Key::LONGEST_WORD;
    let mut counts: Vec<&Row> = group.iter().map(|i| &rows[*i]).filter(counted).collect();
    if counts.is_empty() {
        counts = group.iter().map(|i| &rows[*i]).collect();
    }
    let mut usual: BTreeMap<usize, usize> = BTreeMap::new();
    for row in &counts {
        *usual.entry(row.was_at()).or_default() += 1;
    }
    let most = usual.into_iter().find(|(_, n)| 2 * n > counts.len());
    let end = counts.iter().map(|row| row.cursor).max().unwrap_or(0);
    let stays = |column: usize| column > end && (counts.len() > 1 || key.stays_alone(end, column));
    match most {
        Some((column, _)) if stays(column) => column,
        _ => end + key.blanks(),
    }
}

/// The column behind `words` that begin in a column.
fn behind(column: usize, words: &str) -> usize {
    let mut parts = words.split('\t');
    let first = column + parts.next().map_or(0, UnicodeWidthStr::width);
    parts.fold(first, |column, part| {
        (column / TAB + 1) * TAB + part.width()
    })
}
