//! What an editor shows and offers, one file a feature, in plain data and byte offsets: spans here are byte ranges
//! of a file. Nothing in this room knows how an editor is spoken to.

pub mod actions;
pub mod definition;
pub mod fix_all;
pub mod hover;
pub mod symbols;
pub mod target;
pub mod way;
pub mod write_out;

#[cfg(test)]
mod half_written;
