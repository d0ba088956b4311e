//! All integration tests, one binary.

mod rewrites;
mod tidy;
mod wire;
