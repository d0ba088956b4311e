//! The nearest word to one that is not known.

/// The word that somebody meant who wrote this: the same but for case, or a slip or two away.
pub(super) fn slip_of(written: &str, words: &[&'static str]) -> Option<&'static str> {
    let length = written.chars().count();
    if !(2..=24).contains(&length) {
        return None;
    }
    let slips = if length < 5 { 1 } else { 2 };
    if let Some(word) = words.iter().find(|w| w.eq_ignore_ascii_case(written)) {
        return Some(word);
    }
    words
        .iter()
        .map(|w| (strsim::osa_distance(written, w), *w))
        .filter(|(distance, w)| *distance <= slips && *distance < w.len())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, w)| w)
}

/// The nearest of some words, for a message; `None` where all are far.
pub(super) fn nearest(written: &str, words: &[&'static str]) -> Option<&'static str> {
    if written.len() > 64 {
        return None;
    }
    slip_of(written, words).or_else(|| {
        words
            .iter()
            .map(|w| (strsim::normalized_damerau_levenshtein(written, w), *w))
            .filter(|(likeness, _)| *likeness >= 0.6)
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, w)| w)
    })
}
