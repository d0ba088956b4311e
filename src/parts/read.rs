//! Reading stanzas for the cut: many of them side by side, none twice that comes and goes, and of those that are alike but for their
//! names one ([`crate::syntax::Moulds`]).

use std::collections::VecDeque;
use std::sync::Arc;

use std::hash::BuildHasher;

use foldhash::quality::FixedState;

use super::facts::Facts;
use super::knots::Tied;
use super::shape::{Form, Numbered};
use super::ties::{Ties, says_a_side};
use crate::syntax::tree::Stanza;
use crate::syntax::{Cast, Mould, Moulds};

/// So many stanzas are read at a time by each processor: no more of them are held than that.
const AT_A_TIME: usize = 1024;
/// Fewer are read faster than they are handed out.
const FEW: usize = 256;
/// So many stanzas are kept that were read lately.
const REMEMBERED: usize = 64;

/// A stanza as the cut takes it in.
pub(super) struct Read<'a> {
    pub what: What<'a>,
    /// What its text is known by.
    pub words: Words,
    /// How long its text is, and how many line ends it has.
    pub length: u32,
    pub lines: u32,
}

/// What is known of a stanza.
pub(super) enum What<'a> {
    /// All; and what ties it to others, where that has been worked out.
    Stanza(Arc<Stanza>, Option<(Ties, Option<Form>)>),
    /// What all stanzas of its mould have in common, and the names of this one; itself, where it has been read.
    Alike(Arc<Mould<Option<Facts>>>, Vec<&'a str>, Option<Arc<Stanza>>),
}

/// What is known of all stanzas that are alike but for their names.
pub(super) type Casts = Moulds<Option<Facts>>;

impl From<Arc<Stanza>> for Read<'_> {
    fn from(stanza: Arc<Stanza>) -> Self {
        let text = stanza.text.clone();
        Read::with(&text, What::Stanza(stanza, None))
    }
}

impl<'a> Read<'a> {
    /// What ties a stanza to others, and what it is but for its names.
    pub fn ties(stanza: &Stanza) -> (Ties, Option<Form>) {
        (Ties::of(stanza), Form::of(stanza))
    }

    /// Of a stanza's text; `cast` is for its cast.
    fn of(text: &'a str, casts: &Casts, cast: &mut Cast) -> Read<'a> {
        let mut alike = || {
            cast.take(text)?;
            let names = || cast.names().map(|span| span.of(text).unwrap_or(""));
            if names().any(says_a_side) {
                return None;
            }
            let mould = casts.of(text, cast, Facts::of)?;
            let facts = mould.found.as_ref()?;
            let mut own = Vec::with_capacity(facts.names.len());
            own.extend(names());
            let stanza = mould.is_of(text).cloned();
            Some(What::Alike(mould, own, stanza))
        };
        let what = alike().unwrap_or_else(|| {
            let stanza = casts.read(text, Facts::of);
            let ties = Some(Read::ties(&stanza));
            What::Stanza(stanza, ties)
        });
        Read::with(text, what)
    }

    fn with(text: &str, what: What<'a>) -> Read<'a> {
        Read {
            what,
            words: words(text),
            length: u32::try_from(text.len()).unwrap_or(u32::MAX),
            lines: line_ends(text),
        }
    }
}

/// Reads stanzas, on all processors where they are many.
pub(super) fn read_all<'a>(
    texts: &'a [&'a str],
    casts: &'a Casts,
) -> impl Iterator<Item = Read<'a>> + 'a {
    let workers = match texts.len() < FEW {
        true => 1,
        false => std::thread::available_parallelism().map_or(1, usize::from),
    };
    texts
        .chunks(AT_A_TIME * workers)
        .flat_map(move |texts| side_by_side(texts, casts, workers))
}

fn side_by_side<'a>(texts: &[&'a str], casts: &Casts, workers: usize) -> Vec<Read<'a>> {
    let read = |texts: &[&'a str]| -> Vec<Read<'a>> {
        let mut cast = Cast::default();
        let texts = texts.iter();
        texts.map(|text| Read::of(text, casts, &mut cast)).collect()
    };
    if workers < 2 {
        return read(texts);
    }
    std::thread::scope(|scope| {
        let work = texts.chunks(texts.len().div_ceil(workers).max(1));
        let work: Vec<_> = work.map(|texts| scope.spawn(move || read(texts))).collect();
        let read = work.into_iter().map(|work| {
            work.join()
                .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
        });
        read.flatten().collect()
    })
}

/// What words are known by. That two in one session have the same by chance, nobody will see.
pub(super) type Words = (u64, u64);

fn words(text: &str) -> Words {
    let by = |seed| FixedState::with_seed(seed).hash_one(text.as_bytes());
    (by(2), by(3))
}

/// How many line ends there are (LF, CRLF, CR).
fn line_ends(text: &str) -> u32 {
    let bytes = text.as_bytes();
    let ends = (0..bytes.len()).filter(|&k| match bytes[k] {
        b'\n' => true,
        b'\r' => bytes.get(k + 1) != Some(&b'\n'),
        _ => false,
    });
    u32::try_from(ends.count()).unwrap_or(u32::MAX)
}

/// Stanzas that were read lately, and their ties once these are known.
pub(super) type Lately = VecDeque<(Arc<Stanza>, Option<(Tied, Option<Numbered>)>)>;

/// Reads a stanza, unless it was read lately.
pub(super) fn read_lately(lately: &mut Lately, casts: &Casts, text: &str) -> Arc<Stanza> {
    if let Some((stanza, _)) = lately.iter().find(|(stanza, _)| *stanza.text == *text) {
        return stanza.clone();
    }
    let stanza = casts.read(text, Facts::of);
    lately.push_front((stanza.clone(), None));
    lately.truncate(REMEMBERED);
    stanza
}
