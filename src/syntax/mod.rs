//! From text to trees: the stanza splitter, the tokens, the grammar of one stanza, the vocabulary.

pub mod tree;
pub mod vocabulary;
