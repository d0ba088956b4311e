//! The network as equations and their solution: scenes, corners, breaks and shorts.

pub mod figures;

pub use figures::*;
