//! One file a check: its name, severity, page, limit and source, the test for it, its mends.

pub mod finding;

pub use finding::Finding;
