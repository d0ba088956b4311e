//! Reading stanzas for the cut: many of them side by side, none twice that comes and goes, and of those that are alike but for their
//! names one ([`crate::syntax::Moulds`]).

use std::collections::VecDeque;
use std::hash::BuildHasher;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, sync_channel};

use foldhash::quality::FixedState;

use super::facts::Facts;
use super::knots::Tied;
use super::recent::keep_recent;
use super::shape::{Form, Numbered};
use super::ties::{Ties, says_a_side};
use crate::circuit::side_by_side::processors;
use crate::syntax::tree::Stanza;
use crate::syntax::{Cast, Mould, Moulds, read_stanza};

/// So many stanzas are read at a time by each processor: not many more of them are held than that.
const AT_A_TIME: usize = 256;
/// Fewer are read faster than they are handed out.
const FEW: usize = 256;
/// So many stanzas are kept that were read lately, of so many bytes of text together: a stanza of a long broken text may hold
/// hundreds of times its length.
const REMEMBERED: usize = 64;
const REMEMBERED_BYTES: usize = 64 * 1024;

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
    Alike(Arc<CastMould>, Vec<&'a str>, Option<Arc<Stanza>>),
}

/// What stanzas that are alike but for their names are read by.
pub(super) type CastMould = Mould<Option<Facts>>;

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
        let stanza = |stanza: Arc<Stanza>| {
            let ties = Some(Read::ties(&stanza));
            What::Stanza(stanza, ties)
        };
        let mould = cast.take(text);
        let mould = mould.and_then(|()| casts.of(text, cast, Facts::of));
        let what = match mould {
            None => stanza(Arc::new(read_stanza(text.into()))),
            Some(mould) => {
                let names = || cast.names().map(|span| span.of(text).unwrap_or(""));
                let facts = mould.found.as_ref();
                match facts.filter(|_| !names().any(says_a_side)) {
                    None => stanza(mould.read(text)),
                    Some(facts) => {
                        let mut own = Vec::with_capacity(facts.names.len());
                        own.extend(names());
                        let stanza = mould.is_of(text).cloned();
                        What::Alike(mould, own, stanza)
                    }
                }
            }
        };
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

/// Reads stanzas and hands them over in their order. Where they are many, all processors read, a little ahead of `take`.
pub(super) fn read_all<'a, T>(
    texts: &[&'a str],
    casts: &Casts,
    take: impl FnOnce(&mut dyn Iterator<Item = Read<'a>>) -> T,
) -> T {
    if texts.len() < FEW {
        let mut cast = Cast::default();
        let texts = texts.iter();
        return take(&mut texts.map(|text| Read::of(text, casts, &mut cast)));
    }
    let readers = processors();
    let shares = texts.chunks(AT_A_TIME);
    let count = shares.len();
    std::thread::scope(|scope| {
        // Each reads every so many-th share.
        let read: Vec<Receiver<Vec<Read<'a>>>> = (0..readers.min(count))
            .map(|nth| {
                let (done, read) = sync_channel(1);
                let own = shares.clone().skip(nth).step_by(readers);
                scope.spawn(move || {
                    let mut cast = Cast::default();
                    for share in own {
                        let read = share.iter().map(|text| Read::of(text, casts, &mut cast));
                        if done.send(read.collect()).is_err() {
                            return;
                        }
                    }
                });
                read
            })
            .collect();
        // Where one has panicked so does the scope, when it ends.
        let share = |nth: usize| read[nth % readers].recv().unwrap_or_default();
        take(&mut (0..count).flat_map(share))
    })
}

/// What words are known by. That two in one session have the same by chance, nobody will see.
pub(super) type Words = (u64, u64);

fn words(text: &str) -> Words {
    let by = |seed| FixedState::with_seed(seed).hash_one(text.as_bytes());
    (by(2), by(3))
}

/// What words count for that stand in the nth place. The sum of all is what they are known by together.
pub(super) fn in_place((a, b): Words, nth: usize) -> Words {
    // Odd, so that nothing of the words is lost, and another one for each place.
    let by = (2 * nth as u64 + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    (a.wrapping_mul(by), b.wrapping_mul(by))
}

/// How many line ends there are (LF, CRLF, CR).
fn line_ends(text: &str) -> u32 {
    let each = |end: &str| text.matches(end).count();
    let ends = match text.contains('\r') {
        true => each("\n") + each("\r") - each("\r\n"),
        false => text.bytes().filter(|b| *b == b'\n').count(),
    };
    u32::try_from(ends).unwrap_or(u32::MAX)
}

/// Stanzas that were read lately, what their texts are known by, and their ties once these are known.
pub(super) type Lately = VecDeque<(Words, Arc<Stanza>, Option<(Tied, Option<Numbered>)>)>;

/// Reads a stanza, unless it was read lately.
pub(super) fn read_lately(lately: &mut Lately, casts: &Casts, text: &str) -> Arc<Stanza> {
    let words = words(text);
    let mut known = lately.iter().filter(|(known, ..)| *known == words);
    if let Some((_, stanza, _)) = known.find(|(_, stanza, _)| *stanza.text == *text) {
        return stanza.clone();
    }
    // What is being typed is soon another.
    let stanza = casts.read_once(text);
    lately.push_front((words, stanza.clone(), None));
    let length = |known: &(Words, Arc<Stanza>, _)| known.1.text.len();
    keep_recent(lately, REMEMBERED, REMEMBERED_BYTES, length);
    stanza
}
