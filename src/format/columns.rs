//! Which words of a line begin a column, which stanzas share their columns, how far a line is indented.

use std::collections::HashMap;

use super::row::Ahead;
use crate::syntax::tree::{Clause, Stanza, Token, TokenKind, ValueKind};
use crate::syntax::vocabulary::{Often, Slot, StanzaWord};
use crate::text::Span;

/// A column of a run, from left to right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Key {
    /// The name, behind the word that begins the line.
    Name,
    /// What follows the name: `500 mA`; a column of its own for each word that begins a line.
    Value(&'static str),
    /// What follows the name with a word ahead of it: `of warm`.
    Of,
    /// A clause, by its place in the order of columns, and whether two blanks set it off.
    Clause(usize, bool),
    /// The comment.
    Comment,
}

impl Key {
    /// A longer word at the margin (`regulator`) does not push the names of the other lines.
    pub const LONGEST_WORD: usize = "supply".len();

    /// Whether what only one line of a run has may stay in this column, behind words that end there: it may stand in
    /// a column of the runs around.
    pub fn stays_alone(self, end: usize, column: usize) -> bool {
        match self {
            Key::Comment | Key::Clause(_, true) => true,
            Key::Name => column <= Key::LONGEST_WORD + 1,
            _ => column <= end + 2,
        }
    }

    fn is_clause(self) -> bool {
        matches!(self, Key::Clause(..))
    }

    /// The blanks ahead of the column, in the longest line.
    pub fn blanks(self) -> usize {
        match self {
            Key::Comment | Key::Clause(_, true) => 2,
            _ => 1,
        }
    }
}

/// The columns of the wiring in their order, and whether two blanks set them off.
const WIRING: &[(&str, bool)] = &[
    ("resistor", false),
    ("from", true),
    ("over", false),
    ("via", false),
    ("return", true),
    ("in", true),
    ("where", true),
];

/// The stanza that stands for all those that share their columns with this one.
pub fn family(word: StanzaWord) -> StanzaWord {
    if word.is_item() || word == StanzaWord::Link {
        StanzaWord::Supply
    } else {
        word
    }
}

/// What each word of a stanza that is no plain one means for the layout, by the byte where it begins.
pub struct Columns<'a> {
    stanza: &'a Stanza,
    /// Words that begin a column (`Some`) or another clause (`None`).
    words: HashMap<u32, Option<Key>>,
    /// Where the first line of words ends.
    first_line: u32,
}

impl<'a> Columns<'a> {
    /// Those of a stanza.
    pub fn of(stanza: &'a Stanza) -> Columns<'a> {
        let ends = stanza
            .tokens
            .iter()
            .filter(|t| t.kind == TokenKind::LineEnd);
        let ends = ends.map(|t| t.span.start);
        let mut result = Columns {
            stanza,
            words: HashMap::new(),
            first_line: ends
                .into_iter()
                .find(|end| *end >= stanza.word_span.end)
                .unwrap_or(u32::MAX),
        };
        for clause in &stanza.clauses {
            result.clause(clause, true);
        }
        result.head();
        result
    }

    fn put(&mut self, at: Span, key: Option<Key>) {
        self.words.insert(at.start, key);
    }

    fn clause(&mut self, clause: &Clause, outer: bool) {
        let key = self.stanza.word.filter(|_| outer);
        let key = key.and_then(|word| place(word, clause.word, self.stanza));
        self.put(clause.word_span, key);
        for part in &clause.parts {
            self.clause(part, outer && matches!(clause.word, "from" | "between"));
        }
        if let ("output" | "but", [name, rest @ ..]) = (clause.word, &clause.values[..]) {
            self.put(name.span, Some(Key::Name));
            let value = rest.first().map(|value| value.span);
            let value = value.or(clause.parts.first().map(|part| part.word_span));
            if let Some(value) = value {
                self.put(value, Some(Key::Value(clause.word)));
            }
        }
    }

    fn head(&mut self) {
        let [name, rest @ ..] = &self.stanza.head[..] else {
            return;
        };
        if !matches!(name.kind, ValueKind::Name(_)) {
            return;
        }
        self.put(name.span, Some(Key::Name));
        let Some(value) = rest.first() else { return };
        let tokens = &self.stanza.tokens;
        let behind = tokens.partition_point(|t| t.span.start < name.span.end);
        match tokens.get(behind).map(|token| token.span) {
            Some(span) if span.start == value.span.start => {
                let word = self.stanza.word.map_or("", StanzaWord::word);
                self.put(span, Some(Key::Value(word)));
            }
            Some(span) if self.stanza.words(span) == "of" => self.put(span, Some(Key::Of)),
            _ => {}
        }
    }

    /// What stands ahead of each word of a line; `margin` is what stands ahead of the first. Clauses are in columns on
    /// the first line of the stanza alone.
    pub fn ahead(&self, tokens: &[Token], margin: usize) -> Vec<Ahead> {
        let is_head = tokens
            .first()
            .is_some_and(|t| t.span == self.stanza.word_span);
        let mut last = None;
        let mut ahead = Vec::with_capacity(tokens.len());
        for (i, token) in tokens.iter().enumerate() {
            let key = match token.kind {
                TokenKind::Comment => Some(&Some(Key::Comment)),
                _ => self.words.get(&token.span.start),
            };
            ahead.push(match key {
                _ if i == 0 => Ahead::Blanks(margin),
                // Clauses in another order than the columns stay where they are.
                Some(Some(key)) if last < Some(*key) && (is_head || !key.is_clause()) => {
                    last = Some(*key);
                    Ahead::Column(*key)
                }
                Some(_) => Ahead::OneOrTwo,
                None => Ahead::Blanks(usize::from(token.kind != TokenKind::Comma)),
            });
        }
        ahead
    }

    /// How far a line is indented that begins with this word: two blanks, or four in a clause that began on another
    /// indented line.
    pub fn indentation(&self, first: Token) -> usize {
        let clauses = &self.stanza.clauses;
        let next = clauses.partition_point(|clause| clause.span.start < first.span.start);
        let around = next.checked_sub(1).and_then(|i| clauses.get(i));
        match around {
            Some(c) if c.span.end >= first.span.end && c.span.start > self.first_line => 4,
            _ => 2,
        }
    }
}

/// The column of a clause of a stanza.
fn place(word: StanzaWord, clause: &str, stanza: &Stanza) -> Option<Key> {
    if family(word) == StanzaWord::Supply {
        // What has no feed: its zone, or the run of a link, stands where the feed of the others does.
        let unfed = matches!(clause, "in" | "over") && stanza.clause("from").is_none();
        let clause = if unfed { "from" } else { clause };
        let at = WIRING.iter().position(|(word, _)| *word == clause)?;
        return Some(Key::Clause(at, WIRING[at].1));
    }
    let all = word.shape().clauses;
    let own = all.iter().position(|shape| shape.word == clause)?;
    // Of clauses that stand instead of each other, all have the column of the first.
    let instead = all[own].instead;
    let first = all
        .iter()
        .position(|s| instead.is_some() && s.instead == instead);
    let at = first.unwrap_or(own);
    // Lists are of very different length: behind them nothing is in columns.
    let ahead = all[..at].iter().flat_map(|shape| shape.slots);
    let behind_a_list = ahead.into_iter().any(|slot| matches!(slot, Slot::List(_)));
    (!behind_a_list && all[own].often != Often::Repeats).then_some(Key::Clause(at, false))
}
