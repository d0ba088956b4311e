//! The tree of one stanza: what stands where, as written. Spans are byte ranges relative to the
//! stanza's own text, so that a tree stays valid when lines above it change.
//!
//! The tree is generic: a stanza is a word, a head, and clauses; a clause is a word, values, and
//! parts (the clauses that stand right behind it and belong to it, as `over …` to `from …`). What
//! may stand where is in [`super::vocabulary`]; what it means is worked out in [`crate::plan`].

use std::sync::Arc;

use super::token::on_one_line;
use super::vocabulary::{Dimension, StanzaWord};
use crate::text::Span;

/// A harness file as read: its stanzas in order. Their texts, joined, are the file, byte for byte.
#[derive(Clone, Debug, Default)]
pub struct File {
    /// The stanzas with the place where each begins in the file.
    pub stanzas: Vec<Placed>,
}

/// A stanza at its place in a file.
#[derive(Clone, Debug)]
pub struct Placed {
    /// Byte offset of the stanza's text in the file.
    pub start: u32,
    /// The stanza; shared between versions of the file while its text stays the same.
    pub stanza: Arc<Stanza>,
}

/// One stanza: its text (with the comment and blank lines that belong to it), tokens, and meaning.
#[derive(Clone, Debug, PartialEq)]
pub struct Stanza {
    /// The text, byte for byte, line ends included.
    pub text: Arc<str>,
    /// Every token, in order; together with the blanks between them they are the text.
    pub tokens: Vec<Token>,
    /// The stanza word, where it is one of the language (`None`: comments and blanks alone, or an
    /// unknown word, which is then among the faults).
    pub word: Option<StanzaWord>,
    /// Where the word at the margin stands.
    pub word_span: Span,
    /// The head: what stands in a fixed place behind the stanza word (name, values, names).
    pub head: Vec<Value>,
    /// The clauses, in the order written.
    pub clauses: Vec<Clause>,
    /// All that could not be read or is not allowed, each on its own words.
    pub faults: Vec<Fault>,
}

/// A clause: `from keel over 120 mm of fine` is the clause `from` with one value and the part `over`.
#[derive(Clone, Debug, PartialEq)]
pub struct Clause {
    /// The clause word, as in the vocabulary: `"from"`, `"over"`, `"max-drop"` …
    pub word: &'static str,
    /// Where the clause word stands.
    pub word_span: Span,
    /// From the first to the last byte of the whole clause, parts included.
    pub span: Span,
    /// The values, in the order written (words in fixed places, as `of`, are left out).
    pub values: Vec<Value>,
    /// The clauses that belong to this one, in the order written.
    pub parts: Vec<Clause>,
}

/// A value and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Value {
    /// From its first to its last byte.
    pub span: Span,
    /// What it is.
    pub kind: ValueKind,
}

/// What a value is.
#[derive(Clone, Debug, PartialEq)]
pub enum ValueKind {
    /// A name, or names joined by dots (`blinker.a`, `wing.tip`), in Unicode form NFC.
    Name(Name),
    /// A text, its escapes resolved.
    Text(Arc<str>),
    /// A quantity, in the SI unit of its dimension (see [`Dimension`]).
    Quantity(f64, Dimension),
    /// A count (`6 lamps`) with the word that it counts, or alone.
    Count(u32, Option<&'static str>),
    /// The N of `1:N`.
    Scale(f64),
    /// A date, as written, `2026-03-14`; known to be one of the calendar.
    Date(Arc<str>),
    /// One of the words that the vocabulary lists for this place, as it is spelt there.
    Choice(&'static str),
}

/// A name: one or more words joined by dots, in Unicode form NFC.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Name(pub Arc<str>);

/// Something that is wrong with the text of a stanza.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// The check it belongs to: `syntax`, `wrong-unit`, `clause-missing`, `clause-repeated`, `drops-impossible`.
    pub check: &'static str,
    /// The words at fault.
    pub span: Span,
    /// What is wrong, what was expected, what to do.
    pub message: String,
    /// Whether the form is at fault: a word that is missing, misspelt or out of its place. Else every word has its place, and the
    /// size of a figure or the stanza as a whole is at fault, which a grammar of words alone cannot see.
    pub is_of_form: bool,
    /// The required clause that is not there, where that is the fault (the first of those that would do).
    pub lacks: Option<&'static str>,
    /// Other places in the same stanza that explain it.
    pub related: Vec<(Span, String)>,
    /// Repairs of the text, the preferred one first.
    pub mends: Vec<FaultMend>,
}

/// A repair of a fault by changing words of the stanza.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultMend {
    /// What it does, for the menu.
    pub title: String,
    /// What is put in place of what.
    pub edits: Vec<(Span, String)>,
}

/// A token of a stanza.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Token {
    /// What it is.
    pub kind: TokenKind,
    /// Where it stands.
    pub span: Span,
}

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TokenKind {
    /// A word: letters, digits, `-`, `_`, and dots between words.
    Word,
    /// What begins as a number: `12`, `-5`, `1/4`, `0.75A`, `2k2`, `1:150`, `2026-03-14`.
    Number,
    /// A text in double quotes.
    Text,
    /// `,`
    Comma,
    /// From `#` to the end of the line.
    Comment,
    /// A line end, LF or CRLF (or a lone CR).
    LineEnd,
    /// Anything else: a sign that the language does not use, a text without its closing quote.
    Stray,
}

impl Stanza {
    /// The words of a span, as written.
    pub fn words(&self, span: Span) -> &str {
        self.text.get(span.range()).unwrap_or("")
    }

    /// The words of a span as a message says them: on one line, without comments, with one blank where there are any.
    pub fn quoted(&self, span: Span) -> String {
        on_one_line(self.words(span))
    }

    /// The first clause with this word.
    pub fn clause(&self, word: &str) -> Option<&Clause> {
        self.clauses.iter().find(|c| c.word == word)
    }

    /// The name that the stanza defines, where it has one: it stands right behind the stanza word.
    pub fn name(&self) -> Option<(&Name, Span)> {
        let Some(Value {
            span,
            kind: ValueKind::Name(name),
        }) = self.head.first()
        else {
            return None;
        };
        let between = self
            .text
            .get(self.word_span.end as usize..span.start as usize)?;
        let is_behind =
            between == " " || between.trim().is_empty() || on_one_line(between).is_empty();
        (self.word.is_some_and(StanzaWord::defines_a_name) && is_behind).then_some((name, *span))
    }

    /// From the word at the margin to the last word that is not a comment.
    pub fn core_span(&self) -> Span {
        let last = self
            .tokens
            .iter()
            .rev()
            .find(|t| !matches!(t.kind, TokenKind::Comment | TokenKind::LineEnd));
        last.map_or(self.word_span, |t| self.word_span.to(t.span))
    }
}

impl Clause {
    /// The part with this word.
    pub fn part(&self, word: &str) -> Option<&Clause> {
        self.parts.iter().find(|c| c.word == word)
    }

    /// The quantities of a dimension, in the order written, in SI units.
    pub fn quantities(&self, dimension: Dimension) -> impl Iterator<Item = f64> + '_ {
        quantities(&self.values, dimension)
    }

    /// The names among the values, in the order written.
    pub fn names(&self) -> impl Iterator<Item = (&Name, Span)> + '_ {
        names(&self.values)
    }

    /// The first word of choice among the values.
    pub fn choice(&self) -> Option<&'static str> {
        self.values.iter().find_map(|v| {
            if let ValueKind::Choice(word) = v.kind {
                Some(word)
            } else {
                None
            }
        })
    }
}

/// The quantities of a dimension among values.
pub fn quantities(values: &[Value], dimension: Dimension) -> impl Iterator<Item = f64> + '_ {
    values.iter().filter_map(move |v| match v.kind {
        ValueKind::Quantity(x, d) if d == dimension => Some(x),
        _ => None,
    })
}

/// The names among values.
pub fn names(values: &[Value]) -> impl Iterator<Item = (&Name, Span)> + '_ {
    values.iter().filter_map(|v| {
        if let ValueKind::Name(name) = &v.kind {
            Some((name, v.span))
        } else {
            None
        }
    })
}
