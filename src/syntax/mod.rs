//! From text to trees: the stanza splitter, the tokens, the grammar of one stanza, the vocabulary.
//!
//! - [`read_file`] reads a whole file; [`read_file_reusing`] does so after an edit and keeps the
//!   stanzas whose text is unchanged. [`read_stanza`] reads one. None of them can fail: what cannot
//!   be read is among the [`tree::Fault`]s of its stanza, and the rest is read as usual.
//! - [`tree`] is what they give: lossless (texts, joined, are the file), spans relative to the stanza.
//! - [`vocabulary`] is the one table of the language that everything here is built from.
//! - [`expected`] says what can stand at a place of a stanza that is being written.
//! - [`read_name`] says what can be a name; [`reserved_words`] are those words that cannot.
//!
//! The way of a text: `splitter` cuts it into stanzas by the shape of its lines; `token` cuts a stanza
//! into tokens; `lexeme` and `number` make out the words and figures; `grammar` (chumsky) finds what
//! stands where; `reader` and `figures` turn that into a tree and faults in plain words; `judge` adds
//! what holds for the stanza as a whole. Of many stanzas that are alike but for their names `mould` has one read, and the others by it.

pub mod expected;
mod figures;
mod grammar;
mod judge;
mod lexeme;
mod mould;
mod name;
mod near;
mod number;
mod reader;
mod reserved;
mod spelt;
mod splitter;
#[cfg(test)]
mod tests;
mod token;
pub mod tree;
pub mod vocabulary;

pub use judge::addition;
pub use mould::{Cast, Mould, Moulds};
pub use name::read_name;
pub use reader::read_stanza;
pub use reserved::{is_of_the_language, is_reserved, reserved_words};
pub use splitter::{Replaced, read_edit, read_file, read_file_reusing, stanza_texts};
pub use token::{on_one_line, tokens};
