//! Preferred values of fuses: the R10 series of preferred numbers (ISO 3), of which IEC 60127 takes
//! its ratings, from 50 mA to 10 A.

use super::stanza_text::plain;
use crate::units::{ElectricCurrent, amps};

/// The ten values of a decade, in hundredths (ISO 3).
pub const R10: [u32; 10] = [100, 125, 160, 200, 250, 315, 400, 500, 630, 800];

/// The least and the greatest miniature fuse that is easily had (common practice), amperes.
const RANGE: std::ops::RangeInclusive<f64> = 0.0499..=10.01;

/// How much two ratings may differ and still be the same.
const SAME: f64 = 1e-6;

/// All ratings of the series at any size, in milliamperes' decade upwards: 1 mA to 80 A.
fn series() -> impl DoubleEndedIterator<Item = ElectricCurrent> {
    (-3..=1).flat_map(|decade| {
        R10.iter()
            .map(move |&hundredths| amps(f64::from(hundredths) * 10f64.powi(decade) / 100.0))
    })
}

/// The ratings of fuses that are easily had, rising.
pub fn ratings() -> impl DoubleEndedIterator<Item = ElectricCurrent> {
    series().filter(|r| RANGE.contains(&r.value))
}

/// Whether a rating is one of the series.
pub fn is_preferred(rating: ElectricCurrent) -> bool {
    series().any(|v| ((v - rating) / v).value.abs() < SAME)
}

/// The least rating that is not below this current.
pub fn at_least(current: ElectricCurrent) -> Option<ElectricCurrent> {
    ratings().find(|&v| v >= current * (1.0 - SAME))
}

/// The greatest rating that is not above this current.
pub fn at_most(current: ElectricCurrent) -> Option<ElectricCurrent> {
    ratings().rev().find(|&v| v <= current * (1.0 + SAME))
}

/// The next rating up.
pub fn next_above(current: ElectricCurrent) -> Option<ElectricCurrent> {
    ratings().find(|&v| v > current * (1.0 + SAME))
}

/// The next rating down.
pub fn next_below(current: ElectricCurrent) -> Option<ElectricCurrent> {
    ratings().rev().find(|&v| v < current * (1.0 - SAME))
}

/// The rating that is nearest in ratio; at the ends, the end.
pub fn nearest(current: ElectricCurrent) -> ElectricCurrent {
    match (at_most(current), at_least(current)) {
        (Some(low), Some(high)) if current.value * current.value > low.value * high.value => high,
        (Some(low), _) => low,
        (None, Some(high)) => high,
        (None, None) => amps(1.0),
    }
}

/// As a builder writes it: `400 mA`, `1.25 A`.
pub fn written(current: ElectricCurrent) -> String {
    if current.value < 0.999_999_9 {
        format!("{} mA", plain(current.value * 1e3, 3))
    } else {
        format!("{} A", plain(current.value, 3))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 3:1973, table 1, R10, from memory.
    #[test]
    fn the_series_is_that_of_the_standard() {
        let table = "1.00 1.25 1.60 2.00 2.50 3.15 4.00 5.00 6.30 8.00";
        let ours: Vec<String> = R10
            .iter()
            .map(|&h| format!("{:.2}", f64::from(h) / 100.0))
            .collect();
        assert_eq!(ours.join(" "), table);
        // And the law behind it: powers of the tenth root of ten, rounded by up to 1.3 % (ISO 3).
        for (n, &hundredths) in R10.iter().enumerate() {
            let power = 100.0 * libm::pow(10.0, n as f64 / 10.0);
            assert!((f64::from(hundredths) / power - 1.0).abs() < 0.013);
        }
    }

    /// Ratings of IEC 60127-2 sheets 2 and 3 from 50 mA on, from memory.
    #[test]
    fn the_ratings_are_those_of_fuses() {
        let ours: Vec<String> = ratings().map(written).collect();
        assert_eq!(
            ours.join(", "),
            "50 mA, 63 mA, 80 mA, 100 mA, 125 mA, 160 mA, 200 mA, 250 mA, 315 mA, 400 mA, 500 mA, \
             630 mA, 800 mA, 1 A, 1.25 A, 1.6 A, 2 A, 2.5 A, 3.15 A, 4 A, 5 A, 6.3 A, 8 A, 10 A"
        );
    }

    #[test]
    fn ratings_are_found_over_the_decades() {
        let said = |r: Option<ElectricCurrent>| r.map(written);
        let some = |text: &str| Some(text.to_string());
        assert_eq!(said(at_least(amps(0.401))), some("500 mA"));
        assert_eq!(said(at_least(amps(0.4))), some("400 mA"));
        assert_eq!(said(at_most(amps(0.999))), some("800 mA"));
        assert_eq!(said(next_above(amps(0.8))), some("1 A"));
        assert_eq!(said(next_below(amps(0.05))), None);
        assert_eq!(said(at_least(amps(10.5))), None);
        assert_eq!(written(nearest(amps(0.75))), "800 mA");
        assert!(is_preferred(amps(0.0315)) && is_preferred(amps(1.25)));
        assert!(!is_preferred(amps(0.75)) && !is_preferred(amps(0.3)));
    }
}
