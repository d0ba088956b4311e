//! Figures over all scenes, and how they are said in a title.

use super::stanza_text::plain;
use crate::circuit::{ItemFigures, Solution};
use crate::plan::ItemId;
use crate::units::ElectricCurrent;

/// The greatest of a figure of an item over the scenes that have a solution and in which the item
/// is on; `None` where there is none.
pub fn greatest<Q: PartialOrd>(
    solution: &Solution,
    item: ItemId,
    of: impl Fn(&ItemFigures) -> Q,
) -> Option<Q> {
    solution
        .scenes
        .iter()
        .filter_map(|scene| scene.outcome.as_ref().ok()?.items.get(item.0))
        .filter(|figures| figures.reached)
        .map(of)
        .fold(None, |best, now| match best {
            Some(best) if best >= now => Some(best),
            _ => Some(now),
        })
}

/// A current to read: `0.46 A`, `17.8 mA`.
pub fn amps_words(current: ElectricCurrent) -> String {
    if current.value.abs() < 0.0995 {
        format!("{} mA", plain(current.value * 1e3, 1))
    } else {
        format!("{} A", plain(current.value, 2))
    }
}
