//! The mark by which the program knows a file that it has written, so that it takes the place of no other.

/// Stands in a comment at the beginning of every file that is written; no name of a plan can bring it there.
pub const MARK: &str = "made by glimloom; what is changed here by hand is lost with the next call";

/// So far into a file the mark may stand: a declaration and the opening of a comment come first.
pub const WITHIN: usize = 200;

/// Whether a file that begins so was written by the program.
pub fn is_ours(beginning: &[u8]) -> bool {
    let looked_at = &beginning[..beginning.len().min(WITHIN)];
    let mut windows = looked_at.windows(MARK.len());
    windows.any(|window| window == MARK.as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mark_stands_at_the_beginning() {
        let of = |ahead: usize| format!("{}<!-- {MARK} -->", " ".repeat(ahead));
        assert!(is_ours(of(0).as_bytes()));
        assert!(is_ours(of(WITHIN - MARK.len() - 5).as_bytes()));
        assert!(!is_ours(of(WITHIN).as_bytes()));
        assert!(!is_ours(b"") && !is_ours(b"<!doctype html>"));
        // It stands in comments of HTML and of SVG, which end with two hyphens.
        assert!(!MARK.contains("--"));
    }
}
