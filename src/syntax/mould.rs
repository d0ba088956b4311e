//! Stanzas that are alike but for their names are read by the first of them: in a street the houses are often alike, and it is less
//! work to put other names and places into a tree that is there. What comes of it is what [`read_stanza`] says, always; where
//! that is not certain from the words alone the stanza is read like any other.
//!
//! It may be done because the grammar does not look at the letters of a name: a word that is none of the language is a name,
//! wherever a stanza without a fault has one. All else is in the [`Cast`] as it is written, and so is which names are the same.

use std::ops::Range;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use rustc_hash::FxHashMap;

use super::lexeme::is_word;
use super::number::unit;
use super::reader::{at_margin, read_stanza};
use super::token::{plain, put_tokens, tokens};
use super::tree::{Clause, Name, Stanza, Token, TokenKind, Value, ValueKind};
use crate::text::Span;

/// So many moulds are kept.
const REMEMBERED: usize = 512;

/// Of a stanza with more names than that there is no cast.
const MOST_NAMES: usize = 24;

/// What a stanza reads like, and the names in it.
#[derive(Debug, Default)]
pub struct Cast {
    /// All words but names, those that stand one blank apart together; and of names which are the same.
    like: Vec<u8>,
    tokens: Vec<Token>,
    /// The tokens that are neither comments nor line ends, and whether they are names.
    words: Vec<(Span, bool)>,
}

/// The marks of what is what in a cast.
mod mark {
    pub const VERBATIM: u8 = 0;
    pub const NAME: u8 = 1;
    pub const CAPITAL: u8 = 2;
    pub const DOT: u8 = 3;
}

impl Cast {
    /// Of a stanza's text; `None` where it takes more than words to know how it reads.
    pub fn of(text: &str) -> Option<Cast> {
        let mut cast = Cast::default();
        cast.take(text)?;
        Some(cast)
    }

    /// The same in the place of another.
    pub fn take(&mut self, text: &str) -> Option<()> {
        self.like.clear();
        self.tokens.clear();
        self.words.clear();
        self.like.reserve(2 * text.len());
        put_tokens(text, &mut self.tokens);
        let mut names: [&str; MOST_NAMES] = [""; MOST_NAMES];
        let mut count = 0;
        let mut begins_line = true;
        let mut before = TokenKind::LineEnd;
        // Words that are not put down yet.
        let mut together = 0..0;
        for token in &self.tokens {
            match token.kind {
                TokenKind::LineEnd => begins_line = true,
                TokenKind::Stray => return None,
                _ => {}
            }
            if !is_word_or_sign(token) {
                continue;
            }
            // A stanza begins at the margin, and goes on behind it.
            if std::mem::take(&mut begins_line)
                && at_margin(text, token.span) != self.words.is_empty()
            {
                return None;
            }
            if let [(first, _)] = self.words.as_slice() {
                let between = text.get(first.end as usize..token.span.start as usize)?;
                if !between.trim().is_empty() {
                    return None;
                }
            }
            let written = text.get(token.span.range())?;
            let is_behind_number = std::mem::replace(&mut before, token.kind) == TokenKind::Number;
            let name = match token.kind {
                TokenKind::Word => FreeName::of(written),
                _ => None,
            };
            match name {
                // It may be a unit, or have been meant for one.
                Some(_) if is_behind_number => _ = unit(written)?,
                Some(FreeName {
                    first,
                    rest,
                    has_capitals,
                }) => {
                    put_together(text, std::mem::take(&mut together), &mut self.like)?;
                    let known = names.get(..count)?;
                    let same = known
                        .iter()
                        .position(|name| name.eq_ignore_ascii_case(first));
                    let nth = match same {
                        Some(nth) => nth,
                        None => {
                            *names.get_mut(count)? = first;
                            count += 1;
                            count - 1
                        }
                    };
                    self.like
                        .extend_from_slice(&[mark::NAME, u8::try_from(nth).ok()?]);
                    let letters = first.bytes().enumerate();
                    let capitals = letters.filter(|(_, letter)| letter.is_ascii_uppercase());
                    for (at, letter) in capitals.take_while(|_| has_capitals) {
                        let at = u8::try_from(at).ok()?;
                        self.like.extend_from_slice(&[mark::CAPITAL, at, letter]);
                    }
                    if !rest.is_empty() {
                        self.like.push(mark::DOT);
                        put(rest, &mut self.like)?;
                    }
                    self.words.push((token.span, true));
                    continue;
                }
                None => {}
            }
            let place = token.span.range();
            let is_next = together.end + 1 == place.start
                && text.as_bytes().get(together.end) == Some(&b' ')
                && !together.is_empty();
            if !is_next {
                put_together(text, std::mem::take(&mut together), &mut self.like)?;
                together.start = place.start;
            }
            together.end = place.end;
            self.words.push((token.span, false));
        }
        put_together(text, together, &mut self.like)?;
        (!self.words.is_empty()).then_some(())
    }

    /// The places in the text of those of its names that may be others, in order.
    pub fn names(&self) -> impl Iterator<Item = Span> + '_ {
        let names = self.words.iter().filter(|(_, is_name)| *is_name);
        names.map(|(span, _)| *span)
    }
}

/// Some words and how many letters they are.
fn put(words: &str, to: &mut Vec<u8>) -> Option<()> {
    to.extend_from_slice(&u16::try_from(words.len()).ok()?.to_le_bytes());
    to.extend_from_slice(words.as_bytes());
    Some(())
}

/// Puts down words that stand together, if there are any.
fn put_together(text: &str, together: Range<usize>, to: &mut Vec<u8>) -> Option<()> {
    if together.is_empty() {
        return Some(());
    }
    to.push(mark::VERBATIM);
    put(text.get(together)?, to)
}

/// Whether a token is more than a comment or the end of a line.
fn is_word_or_sign(token: &Token) -> bool {
    !matches!(token.kind, TokenKind::Comment | TokenKind::LineEnd)
}

/// A word that may be any other name.
struct FreeName<'a> {
    /// What stands up to its first dot, and the rest.
    first: &'a str,
    rest: &'a str,
    /// Whether there are capital letters up to the dot.
    has_capitals: bool,
}

impl FreeName<'_> {
    /// This word, if it is one.
    fn of(word: &str) -> Option<FreeName<'_>> {
        if !word.starts_with(|c: char| c.is_ascii_alphabetic()) {
            return None;
        }
        let of_name = word.bytes().map(|b| plain::IS[usize::from(b)]);
        let of_name = of_name.take_while(|is| is & plain::IN_NAME != 0);
        let (length, all) = of_name.fold((0, 0), |(length, all), is| (length + 1, all | is));
        let (first, rest) = word.split_at_checked(length)?;
        let ends = rest.is_empty() || rest.starts_with('.') && !is_word(word);
        (ends && !is_word(first)).then_some(FreeName {
            first,
            rest,
            has_capitals: all & plain::CAPITAL != 0,
        })
    }
}

/// A stanza that others are like, and what its reader has found out about all of them.
#[derive(Debug)]
pub struct Mould<F> {
    stanza: Arc<Stanza>,
    words: Vec<(Span, bool)>,
    /// For each byte of its text, and its end, in or behind which word it stands.
    word_at: Box<[u32]>,
    /// What is to be known of all stanzas that are like it.
    pub found: F,
}

/// What casts read as; `None` where there is something wrong with them.
type Known<F> = FxHashMap<Box<[u8]>, Option<Arc<Mould<F>>>>;

/// Moulds of stanzas that were read; `F` is what is to be known of each besides. Threads may share them.
#[derive(Debug)]
pub struct Moulds<F = ()>(Mutex<Known<F>>);

impl<F> Default for Moulds<F> {
    fn default() -> Moulds<F> {
        Moulds(Mutex::new(Known::default()))
    }
}

impl<F> Moulds<F> {
    /// What [`read_stanza`] says of a text.
    pub fn read(&self, text: &str, find: impl Fn(&Stanza, &Cast) -> F) -> Arc<Stanza> {
        read_by(text, |cast| self.of(text, cast, &find))
    }

    /// The same, of a text that others are hardly like: no mould is made of it.
    pub fn read_once(&self, text: &str) -> Arc<Stanza> {
        read_by(text, |cast| self.known().get(&*cast.like)?.clone())
    }

    /// What stanzas of a text's cast read like; `find` is asked of the first of them.
    pub fn of(
        &self,
        text: &str,
        cast: &Cast,
        find: impl Fn(&Stanza, &Cast) -> F,
    ) -> Option<Arc<Mould<F>>> {
        if let Some(known) = self.known().get(&*cast.like) {
            return known.clone();
        }
        let stanza = read_stanza(text.into());
        let mould = stanza.faults.is_empty().then(|| {
            Arc::new(Mould {
                words: cast.words.clone(),
                word_at: word_at(text, &cast.words),
                found: find(&stanza, cast),
                stanza: Arc::new(stanza),
            })
        });
        let mut known = self.known();
        if known.len() >= REMEMBERED {
            known.clear();
        }
        known.insert(cast.like.as_slice().into(), mould.clone());
        mould
    }

    fn known(&self) -> MutexGuard<'_, Known<F>> {
        // Each change of it is a whole one.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A text, read by the mould that is found for its cast; where there is none, as it is.
fn read_by<F>(text: &str, mould: impl FnOnce(&Cast) -> Option<Arc<Mould<F>>>) -> Arc<Stanza> {
    let like = Cast::of(text).and_then(|cast| Some((mould(&cast)?, cast)));
    match like {
        Some((mould, cast)) => mould.fill(text, cast.tokens),
        None => Arc::new(read_stanza(text.into())),
    }
}

impl<F> Mould<F> {
    /// The very stanza of a text that others are read by, if it is that.
    pub fn is_of(&self, text: &str) -> Option<&Arc<Stanza>> {
        Some(&self.stanza).filter(|stanza| *stanza.text == *text)
    }

    /// What [`read_stanza`] says of a text that is known to be like it.
    pub fn read(&self, text: &str) -> Arc<Stanza> {
        self.fill(text, tokens(text))
    }

    /// The stanza of a text that is like it, with these tokens: with its names, at its places.
    fn fill(&self, text: &str, tokens: Vec<Token>) -> Arc<Stanza> {
        if let Some(stanza) = self.is_of(text) {
            return stanza.clone();
        }
        let new = tokens.iter().filter(|token| is_word_or_sign(token));
        let filling = Filling {
            old: &self.words,
            word_at: &self.word_at,
            new: new.map(|token| token.span).collect(),
            text,
        };
        let stanza = Stanza {
            word: self.stanza.word,
            word_span: filling.span(self.stanza.word_span),
            head: filling.values(&self.stanza.head),
            clauses: filling.clauses(&self.stanza.clauses),
            faults: Vec::new(),
            tokens,
            text: text.into(),
        };
        debug_assert_eq!(
            stanza,
            read_stanza(text.into()),
            "another stanza is like it"
        );
        Arc::new(stanza)
    }
}

/// For each byte of a text, and its end, in or behind which of these words it stands.
fn word_at(text: &str, words: &[(Span, bool)]) -> Box<[u32]> {
    let mut behind = words.iter().skip(1).peekable();
    let mut at = 0;
    (0..=text.len())
        .map(|place| {
            while behind
                .next_if(|(word, _)| word.start as usize <= place)
                .is_some()
            {
                at += 1;
            }
            at
        })
        .collect()
}

/// What goes where.
struct Filling<'a> {
    old: &'a [(Span, bool)],
    word_at: &'a [u32],
    new: Vec<Span>,
    text: &'a str,
}

impl Filling<'_> {
    fn clauses(&self, clauses: &[Clause]) -> Vec<Clause> {
        let clause = |clause: &Clause| Clause {
            word: clause.word,
            word_span: self.span(clause.word_span),
            span: self.span(clause.span),
            values: self.values(&clause.values),
            parts: self.clauses(&clause.parts),
        };
        clauses.iter().map(clause).collect()
    }

    fn values(&self, values: &[Value]) -> Vec<Value> {
        let value = |value: &Value| Value {
            span: self.span(value.span),
            kind: match &value.kind {
                ValueKind::Name(name) => ValueKind::Name(self.name(name, value.span)),
                kind => kind.clone(),
            },
        };
        values.iter().map(value).collect()
    }

    fn name(&self, name: &Name, span: Span) -> Name {
        let is_name = self.old[self.word(span.start)].1;
        let written = self.text.get(self.span(span).range());
        match written.filter(|_| is_name) {
            Some(written) => Name(written.into()),
            None => name.clone(),
        }
    }

    /// The word in which a place is, or behind which.
    fn word(&self, place: u32) -> usize {
        self.word_at[place as usize] as usize
    }

    /// Where a span begins and ends among the new words.
    fn span(&self, span: Span) -> Span {
        let first = self.word(span.start);
        let last = self.word(span.end.saturating_sub(1));
        let start = self.new[first].start + (span.start - self.old[first].0.start);
        let end = self.new[last].end - (self.old[last].0.end - span.end);
        Span::new(start, end)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Read after the other, one stanza is what it is alone.
    fn read_like(first: &str, second: &str) -> (bool, Arc<Stanza>) {
        let moulds = Moulds::default();
        moulds.read(first, |_, _| ());
        let before = moulds.known().len();
        let stanza = moulds.read(second, |_, _| ());
        (moulds.known().len() == before, stanza)
    }

    #[test]
    fn a_stanza_with_other_names_is_read_by_the_first() {
        let (is_by_mould, stanza) = read_like(
            "lamp saloon-1 of warm from keel over 120 mm of fine\n",
            "# the mast\nlamp mast of  warm   # red?\n  from keel.a-long-one\n  over 120 mm of fine",
        );
        assert!(!is_by_mould, "a dot is not left out");
        assert_eq!(stanza.name().unwrap().0.0.as_ref(), "mast");
        let text =
            "# the mast\nlamp mast of  ruby   # red?\n  from keelson\n  over 120 mm of coarse";
        let (is_by_mould, stanza) = read_like(
            "lamp saloon-1 of warm from keel over 120 mm of fine\n",
            text,
        );
        assert!(is_by_mould);
        assert_eq!(*stanza, read_stanza(text.into()));
        assert_eq!(
            stanza.words(stanza.clause("from").unwrap().parts[0].span),
            "over 120 mm of coarse"
        );
    }

    #[test]
    fn what_words_alone_do_not_tell_is_read_as_it_is() {
        for (first, second) in [
            // From a zone to itself.
            (
                "passage p between a and b bore 3 mm",
                "passage p between a and a bore 3 mm",
            ),
            // A name for another, and a word that is none.
            ("lamp a of warm from b", "lamp a of red from b"),
            ("lamp a of warm from b", "lamp of of warm from b"),
            ("supply a 12 V 2 A", "supply a 12 W 2 A"),
            ("supply a 12 V 2 A", "supply a 12 VV 2 A"),
            ("lamp a of warm from b", "lamp a of warm\nfrom b"),
            ("lamp a of warm from b", "  lamp a of warm from b"),
            ("lamp a of warm from b", "lamp # c\n  a of warm from b"),
            ("lamp a of warm from b", "lamp a of w\u{e4}rm from b"),
            ("lamp a of warm from b", "lamp a of warm from b b"),
            ("lamp a of warm from b", "lamp a of warm% from b"),
        ] {
            let (_, stanza) = read_like(first, second);
            assert_eq!(*stanza, read_stanza(second.into()), "{second}");
        }
    }

    proptest::proptest! {
        #[test]
        fn what_is_read_by_a_mould_is_what_is_read(
            words in proptest::collection::vec(
                proptest::sample::select(vec![
                    "lamp", "strip", "of", "from", "over", "a", "b", "A", "keel", "keel.a", "warm", "red", "white",
                    "12", "mm", "V", "in", "120 mm", "6 lamps", "6lamps", "via", ",", "and", "between", "passage",
                    "bore", "3 mm", "zone", "\"t\"", "# c\n ", "\n ", "\n", "\r\n  ", "é", "x_1", "resistor", "510 ohm", "R",
                ]),
                0..12,
            ),
            others in proptest::collection::vec("[abAB]|keel|über|mm|of", 12),
        ) {
            let moulds = Moulds::default();
            let first = words.join(" ");
            let is_name = |word: &&str| matches!(*word, "a" | "b" | "A" | "keel" | "warm" | "x_1");
            let mut others = others.iter();
            let other = |word: &&str| match is_name(word) {
                true => others.next().map_or("c", |s| s).to_owned(),
                false => (*word).to_owned(),
            };
            let second = words.iter().map(other).collect::<Vec<_>>().join("  ");
            for text in [&first, &second, &first] {
                let read = moulds.read(text, |_, _| ());
                proptest::prop_assert_eq!(&*read, &read_stanza(text.as_str().into()));
            }
        }
    }
}
