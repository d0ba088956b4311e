//! Which names of a plan are spelt nearly like one that leads nowhere.

use crate::syntax::tree::Name;

/// A name that a stanza defines, and whether more names hang on it: a board's outputs, a copy's pieces.
pub(super) struct Known<'a> {
    pub name: &'a str,
    pub has_more: bool,
}

/// Whether the name, or one that hangs on it, may be among those that are offered for an unknown one. It may say yes
/// where none is.
pub(super) fn may_be_meant(known: &Known, unknown: &Name) -> bool {
    let wanted = &*unknown.0;
    let (short, long) = (known.name.len(), wanted.len());
    let most = (wanted.chars().count() / 3).max(1);
    // In bytes: each character that differs is up to four.
    let is_near =
        short.abs_diff(long) <= 4 * most && strsim::osa_distance(known.name, wanted) <= most;
    is_near || known.has_more && begins_like(known.name, wanted, most + 1)
}

/// Whether some beginning of `long` is no further from `word` than `most`.
fn begins_like(word: &str, long: &str, most: usize) -> bool {
    let size = word.chars().count();
    let least = size.saturating_sub(most);
    let ends = long.char_indices().map(|(at, _)| at).chain([long.len()]);
    ends.enumerate()
        .filter(|(count, _)| (least..=size + most).contains(count))
        .any(|(_, end)| strsim::osa_distance(word, &long[..end]) <= most)
}
