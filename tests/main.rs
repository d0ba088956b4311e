//! All integration tests, one binary.

mod rewrites;
