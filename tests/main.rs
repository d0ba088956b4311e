//! All integration tests, one binary.

mod cli;
mod pages;
mod rewrites;
mod tidy;
mod wire;
