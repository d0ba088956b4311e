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

/// A current to read, as exact as a title needs it: `0.46 A`, `18 mA`, `4.2 mA`.
pub fn amps_words(current: ElectricCurrent) -> String {
    match current.value.abs() {
        a if a < 0.00995 => format!("{} mA", plain(current.value * 1e3, 1)),
        a if a < 0.0995 => format!("{} mA", plain(current.value * 1e3, 0)),
        _ => format!("{} A", plain(current.value, 2)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::amps;

    #[test]
    fn currents_are_said_in_two_digits() {
        let said = |a: f64| amps_words(amps(a));
        assert_eq!(said(0.0042), "4.2 mA");
        assert_eq!(said(0.01), "10 mA");
        assert_eq!(said(0.0178), "18 mA");
        assert_eq!(said(0.0999), "0.1 A");
        assert_eq!(said(0.4567), "0.46 A");
        assert_eq!(said(12.0), "12 A");
    }
}
