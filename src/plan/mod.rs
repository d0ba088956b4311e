//! What the text means: names resolved across files, quantities with their units, the feed network.

pub mod curve;
pub mod model;
pub mod sources;

pub use model::*;
pub use sources::{FileKey, Sources, UseFailure};
