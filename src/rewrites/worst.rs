//! Figures over all scenes.

use crate::circuit::{ItemFigures, Solution};
use crate::plan::ItemId;

/// The greatest of a figure of an item over the scenes that have a solution and in which the item
/// is on; `None` where there is none.
pub fn greatest<Q: PartialOrd>(
    solution: &Solution,
    item: ItemId,
    of: impl Fn(&ItemFigures) -> Q,
) -> Option<Q> {
    reached(solution, item)
        .map(of)
        .fold(None, |best, now| match best {
            Some(best) if best >= now => Some(best),
            _ => Some(now),
        })
}

/// The least, likewise.
pub fn least<Q: PartialOrd>(
    solution: &Solution,
    item: ItemId,
    of: impl Fn(&ItemFigures) -> Q,
) -> Option<Q> {
    reached(solution, item)
        .map(of)
        .fold(None, |best, now| match best {
            Some(best) if best <= now => Some(best),
            _ => Some(now),
        })
}

fn reached(solution: &Solution, item: ItemId) -> impl Iterator<Item = &ItemFigures> {
    let figures = solution.states();
    let figures = figures.filter_map(move |scene| scene.outcome.as_ref().ok()?.items.get(item.0));
    figures.filter(|figures| figures.reached)
}
