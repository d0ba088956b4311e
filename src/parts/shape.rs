//! What a part is but for the names in it. In a street the houses are often alike: one that has nothing to be said of it
//! speaks for all that read like it, whatever their lamps are called. That a name means something is not counted
//! on anywhere but where a check reads a side in it ([`super::ties::says_a_side`]); such a part has no shape.

use std::hash::{DefaultHasher, Hasher};
use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::cut::Parts;
use super::facts::spelt;
use super::knots::Knot;
use super::part::{Slot, Told};
use super::read::Words;
use super::ties::{Kind, first_word, key, says_a_side};
use crate::syntax::tree::{Name, Stanza, TokenKind};

/// A stanza as it reads without its names, and the first words of those in order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Form {
    pub words: Words,
    /// In small letters.
    pub names: Vec<Arc<str>>,
}

/// The same with the names by number.
#[derive(Clone, Debug)]
pub(super) struct Numbered {
    pub words: Words,
    pub names: Box<[Knot]>,
}

/// A part as it reads, with its own names counted as they come.
pub(super) type Shape = Vec<u64>;

/// What so many shapes say is kept.
const REMEMBERED: usize = 256;

impl Form {
    /// Of a stanza; `None` where something is wrong with it, or its names mean something.
    pub fn of(stanza: &Stanza) -> Option<Form> {
        if !stanza.faults.is_empty() {
            return None;
        }
        let mut spelt = spelt(stanza);
        spelt.sort_by_key(|(span, _)| *span);
        if spelt.iter().any(|(_, name)| says_a_side(&name.0)) {
            return None;
        }
        let mut words: Vec<u8> = Vec::with_capacity(stanza.text.len() + 64);
        let mut next = spelt.iter().peekable();
        let mut past = 0;
        for token in &stanza.tokens {
            let is_blank = matches!(token.kind, TokenKind::Comment | TokenKind::LineEnd);
            if is_blank || token.span.start < past {
                continue;
            }
            words.push(0);
            match next.next_if(|(span, _)| span.start == token.span.start) {
                Some((span, name)) => {
                    past = span.end;
                    put_name(name, &mut words);
                }
                None => words.extend(stanza.words(token.span).bytes()),
            }
        }
        // A name that is none of the words would be missed.
        next.next().is_none().then(|| Form {
            words: (hashed(&words, 0), hashed(&words, 1)),
            names: spelt.iter().map(|(_, name)| key(&name.0)).collect(),
        })
    }

    /// With the names by number.
    pub fn numbered(self, number: impl FnMut(&Arc<str>) -> Knot) -> Numbered {
        Numbered {
            words: self.words,
            names: self.names.iter().map(number).collect(),
        }
    }
}

/// What two names may not differ in: which letters are large, and what comes behind a dot. No other word begins as this.
fn put_name(name: &Name, to: &mut Vec<u8>) {
    to.push(1);
    let (first, rest) = name.0.split_at(first_word(&name.0).len());
    let is_large = |c: char| match c.is_ascii() {
        true => c.is_ascii_uppercase(),
        false => !c.to_lowercase().eq([c]),
    };
    for (at, letter) in first.char_indices().filter(|(_, c)| is_large(*c)) {
        to.extend(format!("{at}{letter} ").bytes());
    }
    to.extend(rest.bytes());
}

/// One of several hashes of some words.
pub(super) fn hashed(words: &[u8], nth: u8) -> u64 {
    let mut hasher = DefaultHasher::new();
    hasher.write_u8(nth);
    hasher.write(words);
    hasher.finish()
}

/// What was said of shapes.
#[derive(Debug, Default)]
pub(super) struct Alike(FxHashMap<Shape, Arc<Told>>);

impl Alike {
    /// What parts of a shape say, where one did and it was nothing.
    pub fn get(&self, shape: &Shape) -> Option<&Arc<Told>> {
        self.0.get(shape)
    }

    /// Notes what a part says, if others that read like it say the same: names are told with every finding, and what a name
    /// that leads nowhere is likely meant to be hangs on its letters.
    pub fn note(&mut self, shape: Shape, told: &Arc<Told>) {
        let speaks_for_all = told.findings.is_empty() && told.summary.unknown.is_empty();
        if speaks_for_all {
            if self.0.len() >= REMEMBERED {
                self.0.clear();
            }
            self.0.insert(shape, told.clone());
        }
    }

    /// What is common to all has changed.
    pub fn clear(&mut self) {
        self.0.clear();
    }
}

impl Parts {
    /// The shape of stanzas, what is common among them.
    pub(super) fn shape(&self, slots: &[Slot]) -> Option<Shape> {
        let mut shape = Vec::with_capacity(slots.len() * 6);
        let mut local: FxHashMap<Knot, u64> = FxHashMap::default();
        for slot in slots {
            let kept = self.of(*slot);
            if kept.kind == Kind::Common {
                shape.push(0);
                continue;
            }
            let form = kept.form.as_ref()?;
            shape.extend([1 + u64::from(kept.file), form.words.0, form.words.1]);
            for knot in &form.names {
                let is_own = self.knots.ties(*knot) && !self.knots.is_listed(*knot);
                shape.push(match is_own {
                    true => {
                        let next = local.len() as u64;
                        2 * *local.entry(*knot).or_insert(next)
                    }
                    false => 2 * u64::from(*knot) + 1,
                });
            }
        }
        Some(shape)
    }
}
