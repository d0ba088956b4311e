//! All integration tests, one binary.

mod tidy;
mod wire;
