//! All integration tests, one binary.

mod cli;
mod dice;
mod hostile;
mod mends;
mod pages;
mod plans;
mod rewrites;
mod tidy;
mod wire;
