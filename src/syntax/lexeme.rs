//! The words of a stanza as the grammar sees them: tokens without comments and line ends, each number
//! joined with its unit, each word of the language known as such.

use std::sync::{Arc, LazyLock};

use super::number::{self, Form, Number};
use super::reserved::{counted_words, every_word};
use super::spelt::Spelt;
use super::tree::{Token, TokenKind};
use crate::text::Span;

/// A word of the language, with a number that no other has.
#[derive(Clone, Copy, Debug)]
pub(super) struct Word {
    pub text: &'static str,
    number: usize,
}

/// A set of words of the language, quick to ask.
pub(super) struct Words(Vec<bool>);

impl Words {
    pub fn of(words: &[&str]) -> Words {
        let (known, count) = &*WORDS;
        let mut set = vec![false; *count];
        for word in words.iter().filter_map(|word| known.get(word)) {
            set[word.number] = true;
        }
        Words(set)
    }

    pub fn has(&self, word: Word) -> bool {
        self.0[word.number]
    }
}

/// What a lexeme is.
#[derive(Clone, Copy, Debug)]
pub(super) enum Lex {
    /// A word; where it is one of the language, that word.
    Word(Option<Word>),
    /// A number with its unit, if any.
    Number(Number),
    /// A text in double quotes.
    Text,
    /// A text whose closing quote is missing, or in typographic quotes.
    BadText,
    /// `,`
    Comma,
    /// Signs that the language does not use.
    Stray,
}

/// A lexeme and where it stands.
#[derive(Clone, Debug)]
pub(super) struct Lexeme {
    pub lex: Lex,
    pub span: Span,
    /// The word of the language that comes next, if one does.
    pub next: Option<Word>,
    /// What is written, of words, where slips are to be understood.
    pub written: Option<Arc<str>>,
}

/// The words of the language, each once, and how many numbers they have.
static WORDS: LazyLock<(Spelt<Word>, usize)> = LazyLock::new(|| {
    let words: Vec<&'static str> = every_word().collect();
    let each = words.iter().enumerate();
    let each = each.map(|(number, &text)| (text, Word { text, number }));
    (Spelt::of(each), words.len())
});

/// The word of the language that this is.
fn word_of(written: &str) -> Option<Word> {
    WORDS.0.get(written).copied()
}

/// Whether the language has a place for a word.
pub(super) fn is_word(written: &str) -> bool {
    word_of(written).is_some()
}

/// The words that counts count.
static COUNTED: LazyLock<Vec<&'static str>> = LazyLock::new(|| counted_words().collect());

/// The lexemes of some tokens of a text. `lenient`: with the words as written, so that the grammar
/// can tell a slip of the pen (slower; only for stanzas that do not read cleanly).
pub(super) fn lexemes(text: &str, tokens: &[Token], lenient: bool) -> Vec<Lexeme> {
    let tokens: Vec<&Token> = tokens
        .iter()
        .filter(|t| !matches!(t.kind, TokenKind::Comment | TokenKind::LineEnd))
        .collect();
    let words = |i: usize| {
        let token = tokens.get(i)?;
        Some((token, text.get(token.span.range()).unwrap_or("")))
    };
    let known: Vec<Option<Word>> = (0..tokens.len())
        .map(|i| words(i).filter(|(t, _)| t.kind == TokenKind::Word))
        .map(|word| word.and_then(|(_, word)| word_of(word)))
        .collect();
    let word_at = |i: usize| known.get(i).copied().flatten();
    let mut out: Vec<Lexeme> = Vec::with_capacity(tokens.len());
    let mut i = 0;
    while let Some((token, word)) = words(i) {
        i += 1;
        let mut span = token.span;
        let lex = match token.kind {
            TokenKind::Word => Lex::Word(word_at(i - 1)),
            TokenKind::Number => {
                let mut number = number::read(word);
                let bare = number.unit.is_none()
                    && !matches!(
                        number.form,
                        Form::Scale | Form::Date | Form::NoDay | Form::Misspelt | Form::Garbled
                    );
                let unit = words(i).filter(|(t, _)| bare && t.kind == TokenKind::Word);
                if let Some((next, unit)) = unit
                    && let Some((unit, known)) = unit_apart(unit, word_at(i), word_at(i + 1))
                {
                    number.unit = Some(unit);
                    number.unit_at = next.span.start - span.start;
                    if !known && number.form == Form::Plain {
                        number.form = Form::Misspelt;
                    }
                    span = span.to(next.span);
                    i += 1;
                }
                if let Some((count, thing)) = glued_count(number, word) {
                    // `6lamps` is read as `6 lamps`.
                    let split = span.start + number.unit_at;
                    out.push(Lexeme {
                        lex: Lex::Number(count),
                        span: Span::new(span.start, split),
                        next: Some(thing),
                        written: None,
                    });
                    span = Span::new(split, span.end);
                    Lex::Word(Some(thing))
                } else {
                    Lex::Number(number)
                }
            }
            TokenKind::Text => Lex::Text,
            TokenKind::Comma => Lex::Comma,
            _ if word.starts_with(['"', '“', '„', '«']) => Lex::BadText,
            _ => Lex::Stray,
        };
        let written = (lenient && matches!(lex, Lex::Word(_))).then(|| Arc::from(word));
        out.push(Lexeme {
            lex,
            span,
            next: word_at(i),
            written,
        });
    }
    out
}

/// The count and its word, where a number is glued to one of the words of counts.
fn glued_count(number: Number, written: &str) -> Option<(Number, Word)> {
    if number.form != Form::Misspelt || number.unit.is_some() {
        return None;
    }
    let word = written.get(number.unit_at as usize..)?;
    let thing = COUNTED.iter().find(|thing| **thing == word)?;
    let thing = word_of(thing)?;
    let count = Number {
        form: Form::Plain,
        ..number
    };
    Some((count, thing))
}

/// The unit that a word behind a number is, or was likely meant to be (then `false`).
fn unit_apart(
    word: &str,
    known: Option<Word>,
    next: Option<Word>,
) -> Option<(&'static super::vocabulary::Unit, bool)> {
    if let Some(unit) = number::unit(word) {
        return Some((unit, true));
    }
    // Apart, `in` is the word for a zone; but no zone is called `of` or `by`.
    let inches = word == "in" && next.is_some_and(|next| matches!(next.text, "of" | "by"));
    if known.is_some() && !inches {
        return None;
    }
    number::meant(word).map(|unit| (unit, false))
}
