//! What the text means: names resolved across files, quantities with their units, the feed network.

mod again;
mod circles;
mod copies;
pub mod curve;
pub mod elsewhere;
mod load;
pub mod looks;
pub mod model;
mod names;
mod of;
mod places;
mod points;
mod resolve;
pub mod sources;
mod states;
mod stock;
#[cfg(test)]
mod tests;
mod wiring;

pub use elsewhere::{Elsewhere, StockUse};
pub use model::*;
pub use names::split_first;
pub use of::Excerpt;
pub use resolve::{MOST_COMPARED, fits};
pub use sources::{Alone, FileKey, Sources, UseFailure};
pub use states::FEW_SCENES;
pub use stock::gauge_diameter;
pub use wiring::{cut_is_whole, whole_groups};
