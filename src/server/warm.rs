//! Before the first text comes, while nobody waits, a small plan is worked out for nothing: what that takes of the program is then
//! in memory, and its tables and the grammar are built. The first text is answered sooner for it.

use super::demo::PLAN;
use crate::parts::{Parts, Patience};
use crate::plan::{Alone, FileKey};
use crate::syntax::read_stanza;
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Document;

/// Works a plan out, and reads a stanza of each word: the grammar of a word is built when it is first read, for each thread. So
/// this is to be called where texts are read.
pub fn warm_up() {
    for word in StanzaWord::ALL {
        read_stanza(word.shape().usual.into());
    }
    let document = Document::new(PLAN, None);
    if let Ok(lines) = document.lines() {
        let mut parts = Parts::new(FileKey::new("warm"));
        parts.update(lines, None, &Alone, &Patience::ENDLESS);
    }
}
