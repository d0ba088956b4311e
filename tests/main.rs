//! All integration tests, one binary.

mod cli;
mod rewrites;
mod tidy;
mod wire;
