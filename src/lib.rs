//! glimloom reads a *harness file*, the plain-text lighting plan of a scale model, and works out
//! the real circuit behind it.
#![warn(clippy::all)]

pub mod checks;
pub mod circuit;
pub mod editor;
pub mod format;
pub mod numbers;
pub mod papers;
pub mod parts;
pub mod plan;
pub mod rewrites;
pub mod server;
pub mod suspects;
pub mod syntax;
pub mod text;
pub mod units;
