//! A byte range of a text.

use std::ops::Range;

/// A half-open range of bytes, `start..end`, both on character borders. What it is relative to
/// (a file, a stanza) is said where it is used.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Span {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// The range `start..end`.
    pub const fn new(start: u32, end: u32) -> Self {
        Span { start, end }
    }

    /// The bytes from `start` up to `end`, as a text counts them; empty at `start` if they are inverted. Texts
    /// are bounded far below 4 GiB, so that nothing is lost in the narrower numbers.
    pub fn between(start: usize, end: usize) -> Self {
        let narrow = |offset| u32::try_from(offset).unwrap_or(u32::MAX);
        Span::new(narrow(start), narrow(end.max(start)))
    }

    /// The text that it covers; `None` where it leaves `text` or cuts a character.
    pub fn of(self, text: &str) -> Option<&str> {
        text.get(self.range())
    }

    /// Whether it holds no byte.
    pub fn is_empty(self) -> bool {
        self.start >= self.end
    }

    /// Whether the two share a byte or meet end to end.
    pub fn meets(self, other: Span) -> bool {
        self.start <= other.end && other.start <= self.end
    }

    /// Whether the two share a byte.
    pub fn overlaps(self, other: Span) -> bool {
        self.start < other.end && other.start < self.end
    }

    /// The smallest range that covers both.
    pub fn to(self, other: Span) -> Span {
        Span::new(self.start.min(other.start), self.end.max(other.end))
    }

    /// The same range, `by` bytes further on.
    pub fn shifted(self, by: u32) -> Span {
        Span::new(self.start.saturating_add(by), self.end.saturating_add(by))
    }

    /// Whether a cursor at `offset` touches the range (its end included, as an editor's cursor does).
    pub fn touches(self, offset: u32) -> bool {
        self.start <= offset && offset <= self.end
    }

    /// As a range to index a text with.
    pub fn range(self) -> Range<usize> {
        self.start as usize..self.end as usize
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_inverted_pair_is_empty() {
        assert_eq!(Span::between(5, 2), Span::new(5, 5));
        assert!(Span::between(5, 2).is_empty() && !Span::between(2, 5).is_empty());
    }

    #[test]
    fn spans_meet_end_to_end() {
        let word = Span::new(2, 5);
        assert!(word.meets(Span::new(5, 9)) && word.meets(Span::new(0, 2)));
        assert!(!word.meets(Span::new(6, 9)) && !word.meets(Span::new(0, 1)));
        assert!(word.overlaps(Span::new(4, 9)) && word.overlaps(Span::new(3, 4)));
        assert!(!word.overlaps(Span::new(5, 9)) && !word.overlaps(Span::new(0, 2)));
    }

    #[test]
    fn the_text_of_a_span_is_never_a_broken_character() {
        assert_eq!(Span::new(0, 2).of("éa"), Some("é"));
        assert_eq!(Span::new(1, 2).of("éa"), None);
        assert_eq!(Span::new(0, 9).of("éa"), None);
        assert_eq!(Span::new(2, 1).of("éa"), None);
    }
}
