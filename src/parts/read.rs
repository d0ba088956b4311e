//! Reading stanzas for the cut: many of them side by side, and none twice that comes and goes.

use std::collections::VecDeque;
use std::sync::Arc;

use super::knots::Tied;
use super::shape::{Form, Numbered};
use super::ties::Ties;
use crate::circuit::side_by_side::processors;
use crate::syntax::read_stanza;
use crate::syntax::tree::Stanza;

/// So many stanzas are read at a time by each processor: no more of them are held than that.
const AT_A_TIME: usize = 1024;
/// Fewer are read faster than they are handed out.
const FEW: usize = 256;
/// So many stanzas are kept that were read lately.
const REMEMBERED: usize = 64;

/// A stanza, and what ties it to others where that has been worked out.
pub(super) struct Read {
    pub stanza: Arc<Stanza>,
    pub ties: Option<(Ties, Option<Form>)>,
}

impl From<Arc<Stanza>> for Read {
    fn from(stanza: Arc<Stanza>) -> Read {
        Read { stanza, ties: None }
    }
}

impl Read {
    /// What ties a stanza to others, and what it is but for its names.
    pub fn ties(stanza: &Stanza) -> (Ties, Option<Form>) {
        (Ties::of(stanza), Form::of(stanza))
    }

    fn of(text: &str) -> Read {
        let stanza = Arc::new(read_stanza(text.into()));
        let ties = Some(Read::ties(&stanza));
        Read { stanza, ties }
    }
}

/// Reads stanzas, on all processors where they are many.
pub(super) fn read_all<'a>(texts: &'a [&'a str]) -> impl Iterator<Item = Read> + 'a {
    let workers = match texts.len() < FEW {
        true => 1,
        false => processors(),
    };
    texts
        .chunks(AT_A_TIME * workers)
        .flat_map(move |texts| side_by_side(texts, workers))
}

fn side_by_side(texts: &[&str], workers: usize) -> Vec<Read> {
    if workers < 2 {
        return texts.iter().map(|text| Read::of(text)).collect();
    }
    std::thread::scope(|scope| {
        let work = texts.chunks(texts.len().div_ceil(workers).max(1));
        let work = work.map(|texts| {
            scope.spawn(move || texts.iter().map(|text| Read::of(text)).collect::<Vec<_>>())
        });
        let work: Vec<_> = work.collect();
        let read = work.into_iter().map(|work| {
            work.join()
                .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
        });
        read.flatten().collect()
    })
}

/// Stanzas that were read lately, and their ties once these are known.
pub(super) type Lately = VecDeque<(Arc<Stanza>, Option<(Tied, Option<Numbered>)>)>;

/// Reads a stanza, unless it was read lately.
pub(super) fn read_lately(lately: &mut Lately, text: &str) -> Arc<Stanza> {
    if let Some((stanza, _)) = lately.iter().find(|(stanza, _)| *stanza.text == *text) {
        return stanza.clone();
    }
    let stanza = Arc::new(read_stanza(text.into()));
    lately.push_front((stanza.clone(), None));
    lately.truncate(REMEMBERED);
    stanza
}
