//! What is printed: findings with the lines they stand on, tables of figures, JSON, SARIF. Each paper is a text; printing
//! it is left to the command line.

pub mod figures_table;
pub mod full;
pub mod json;
pub mod lists;
pub mod mark;
pub mod page;
pub mod places;
pub mod sarif;
pub mod sheet;
pub mod suspects;
pub mod terminal;
