//! All integration tests, one binary.

mod cli;
mod tidy;
mod wire;
