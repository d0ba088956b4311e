//! How many lights go dark when an item breaks, at the end of its first line. That a light itself does goes without
//! saying, and a supply has its own lens.

use super::{Labels, Subject, alike};
use crate::syntax::vocabulary::StanzaWord;

/// The hint.
pub fn labels(subject: &Subject) -> Labels {
    if subject.stanza.word == Some(StanzaWord::Supply) {
        return Vec::new();
    }
    let breaks = subject.a.breaks();
    let dark = alike(subject.items.iter().map(|item| {
        let dark = breaks.darkened(*item);
        match dark.as_slice() {
            [only] if only == item => 0,
            dark => dark.len(),
        }
    }));
    let dark = dark.filter(|dark| *dark > 0);
    let label = dark.map(|dark| (subject.end_of_first_line(), format!("break: {dark} dark")));
    label.into_iter().collect()
}
