//! Before the first text comes, while nobody waits, a small plan is worked out for nothing: what that takes of the program is then
//! in memory, and its tables and the grammar are built. The first text is answered in half the time.

use super::demo::PLAN;
use crate::parts::{Parts, Patience};
use crate::plan::{Alone, FileKey};
use crate::text::Document;

/// Works a plan out. The grammar is built for each thread: this is to be called where texts are read.
pub fn warm_up() {
    let document = Document::new(PLAN, None);
    if let Ok(lines) = document.lines() {
        let mut parts = Parts::new(FileKey::new("warm"));
        parts.update(lines, None, &Alone, &Patience::ENDLESS);
    }
}
