//! A document: its text, its revisions, and where things stand in it. The only room that knows ropey.
//!
//! Above this room a place in a text is a byte offset and a stretch of it a [`Span`]; lines and columns exist
//! only where an editor or a reader is told about them ([`Lines`]).

mod document;
mod edit;
mod encoding;
mod position;
#[cfg(test)]
pub mod scripts;
pub mod span;
mod touched;

pub use document::{Change, Document, Fault, MAX_BYTES, Mark};
pub use edit::{EditError, TextEdit, apply, line_ending_at};
pub use encoding::Encoding;
pub use position::{Lines, Position};
pub use span::Span;
pub use touched::Touched;
