//! Sizes that are usually to be had.

use crate::numbers::show;
use crate::units::{ElectricCurrent, Power, amps, watts};

/// Currents of plug-in and bench supplies, amperes (common practice).
const SUPPLIES: [f64; 15] = [
    0.3, 0.5, 0.6, 0.8, 1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0,
];

/// Power ratings of small resistors, watts, and how they are written (common practice).
const RESISTORS: [(f64, &str); 4] = [
    (0.125, "1/8 W"),
    (0.25, "1/4 W"),
    (0.5, "1/2 W"),
    (1.0, "1 W"),
];

/// The part of a resistor's rating that it may be used to: above it, it is too hot to touch in a
/// closed model (common practice; as the check `resistor-too-hot`).
pub const RESISTOR_LOAD: f64 = 0.6;

/// The part of its rating that a fuse carries for good (common practice).
pub const FUSE_LOAD: f64 = 0.75;

pub use crate::circuit::clearing::SURE as FUSE_BLOWS;

/// The usual supplies, by the current that they give, the least first.
pub fn supplies() -> impl Iterator<Item = ElectricCurrent> {
    SUPPLIES.iter().map(|&a| amps(a))
}

/// The least usual supply that gives at least this current.
pub fn supply_at_least(current: ElectricCurrent) -> Option<ElectricCurrent> {
    supplies().find(|&a| a >= current * (1.0 - 1e-9))
}

/// The usual ratings of a resistor that are at least this power, the least first, and how they are written.
pub fn ratings_from(power: Power) -> impl Iterator<Item = (Power, &'static str)> {
    let all = RESISTORS.iter().map(|&(w, words)| (watts(w), words));
    all.skip_while(move |&(rating, _)| power > rating * (1.0 + 1e-9))
}

/// The least usual rating of a resistor that makes at most this power, and how it is written.
pub fn resistor_rating(worst: Power) -> Option<(Power, &'static str)> {
    ratings_from(worst / RESISTOR_LOAD).next()
}

/// How a rating is written: `1/8 W`, `125 mW` only where it is none of the usual.
pub fn rating_words(rating: Power) -> String {
    let is_this = |&&(w, _): &&(f64, &str)| (rating.value - w).abs() <= 1e-9 * w;
    let known = RESISTORS.iter().find(is_this);
    known.map_or_else(|| show(rating), |(_, words)| (*words).to_owned())
}

/// The rating that is written so; `None` where it is none of the usual.
pub fn rating_of(words: &str) -> Option<Power> {
    let mut known = RESISTORS.iter();
    known.find(|r| r.1 == words).map(|&(w, _)| watts(w))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_next_usual_size_is_found() {
        assert_eq!(supply_at_least(amps(0.51)), Some(amps(0.6)));
        assert_eq!(supply_at_least(amps(0.5)), Some(amps(0.5)));
        assert_eq!(supply_at_least(amps(10.1)), None);
    }

    #[test]
    fn a_resistor_is_used_to_six_tenths() {
        let words = |w: f64| resistor_rating(watts(w)).map(|(_, words)| words);
        assert_eq!(words(0.075), Some("1/8 W"));
        assert_eq!(words(0.0751), Some("1/4 W"));
        assert_eq!(words(0.3), Some("1/2 W"));
        assert_eq!(words(0.601), None);
        let written = |w: f64| rating_words(watts(w));
        assert_eq!(
            [written(0.125), written(0.3), written(1.0), written(2.0)],
            ["1/8 W", "300 mW", "1 W", "2 W"]
        );
    }
}
