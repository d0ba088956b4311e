//! All integration tests, one binary.

mod cli;
mod rewrites;
mod pages;
mod tidy;
mod wire;
