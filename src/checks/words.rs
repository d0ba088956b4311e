//! How messages write lists of names.

/// A word that the builder wrote, or is to write, in a sentence: `` `mast` ``.
pub fn quoted(word: &str) -> String {
    format!("`{word}`")
}

/// Names in a sentence: `a`, `a and b`, `a, b and c`, `a, b, c and 4 more`.
pub fn list<S: AsRef<str>>(names: &[S]) -> String {
    const SHOWN: usize = 4;
    match names {
        [] => String::new(),
        [one] => one.as_ref().into(),
        [ahead @ .., last] if names.len() <= SHOWN => {
            let ahead: Vec<&str> = ahead.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", ahead.join(", "), last.as_ref())
        }
        _ => {
            let shown: Vec<&str> = names[..SHOWN - 1].iter().map(AsRef::as_ref).collect();
            format!(
                "{} and {} more",
                shown.join(", "),
                names.len() - shown.len()
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lists_are_cut() {
        assert_eq!(list(&["a"]), "a");
        assert_eq!(list(&["a", "b", "c"]), "a, b and c");
        assert_eq!(list(&["a", "b", "c", "d"]), "a, b, c and d");
        assert_eq!(list(&["a", "b", "c", "d", "e"]), "a, b, c and 2 more");
    }
}
