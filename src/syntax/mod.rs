//! From text to trees: the stanza splitter, the tokens, the grammar of one stanza, the vocabulary.

pub mod tree;
pub mod vocabulary;

/// stand-in
pub fn read_file(_: &str) -> tree::File {
    tree::File::default()
}
