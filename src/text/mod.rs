//! A document: rope, line index, edits, position encodings.

pub mod span;

pub use span::Span;
