//! What an editor shows and offers, one file a feature, in plain data and byte offsets: spans here are byte ranges
//! of a file. Nothing in this room knows how an editor is spoken to.

pub mod actions;
pub mod colours;
pub mod completion;
pub mod definition;
pub mod feed_tree;
pub mod fix_all;
pub mod folding;
pub mod highlights;
pub mod hints;
pub mod hover;
pub mod inline_use;
pub mod lenses;
pub mod linked;
pub mod links;
pub mod mentions;
pub mod moved_paths;
pub mod organise;
pub mod plain;
pub mod refactor;
pub mod references;
pub mod rename;
pub mod rows;
pub mod same;
pub mod selection;
pub mod signature;
pub mod stock_file;
pub mod symbols;
pub mod target;
pub mod tokens;
pub mod type_definition;
pub mod used_paths;
pub mod way;
pub mod workspace_symbols;
pub mod write_out;

#[cfg(test)]
mod half_written;
