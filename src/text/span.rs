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
