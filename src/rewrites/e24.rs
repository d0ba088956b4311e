//! Preferred values of resistors: the E24 series of IEC 60063 (± 5 %), over all decades from 1 ohm
//! to 10 Mohm.

use super::stanza_text::plain;
use crate::units::{ElectricalResistance, ohms};

/// The 24 values of a decade, in tenths (IEC 60063).
pub const E24: [u32; 24] = [
    10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91,
];

/// The least and the greatest decade: 1 ohm …, … 9.1 Mohm.
const DECADES: std::ops::RangeInclusive<i32> = 0..=6;

/// How much two values may differ and still be the same: less than any resistor is marked to.
const SAME: f64 = 1e-6;

/// All values, from 1 ohm to 9.1 Mohm, rising.
pub fn values() -> impl DoubleEndedIterator<Item = ElectricalResistance> {
    DECADES.flat_map(|decade| {
        E24.iter()
            .map(move |&tenths| ohms(f64::from(tenths) * 10f64.powi(decade) / 10.0))
    })
}

/// Whether a resistance is one of the series.
pub fn is_preferred(value: ElectricalResistance) -> bool {
    values().any(|v| ((v - value) / v).value.abs() < SAME)
}

/// The least value that is not below this resistance; `None` above the series.
pub fn at_least(value: ElectricalResistance) -> Option<ElectricalResistance> {
    values().find(|&v| v >= value * (1.0 - SAME))
}

/// The greatest value that is not above this resistance; `None` below the series.
pub fn at_most(value: ElectricalResistance) -> Option<ElectricalResistance> {
    values().rev().find(|&v| v <= value * (1.0 + SAME))
}

/// The next value up.
pub fn next_above(value: ElectricalResistance) -> Option<ElectricalResistance> {
    values().find(|&v| v > value * (1.0 + SAME))
}

/// The next value down.
pub fn next_below(value: ElectricalResistance) -> Option<ElectricalResistance> {
    values().rev().find(|&v| v < value * (1.0 - SAME))
}

/// The value that is nearest in ratio; at the ends of the series, its end.
pub fn nearest(value: ElectricalResistance) -> ElectricalResistance {
    let (low, high) = (at_most(value), at_least(value));
    match (low, high) {
        // The geometric mean parts the two: value / low > high / value.
        (Some(low), Some(high)) if value.value * value.value > low.value * high.value => high,
        (Some(low), _) => low,
        (None, Some(high)) => high,
        (None, None) => ohms(1.0),
    }
}

/// As a builder writes it: `560 ohm`, `4.7 kohm`, `1 Mohm`.
pub fn written(value: ElectricalResistance) -> String {
    let (number, unit) = match value.value {
        v if v >= 0.999_999_9e6 => (v / 1e6, "Mohm"),
        v if v >= 0.999_999_9e3 => (v / 1e3, "kohm"),
        v => (v, "ohm"),
    };
    format!("{} {unit}", plain(number, 6))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IEC 60063:2015, table 1, E24, from memory.
    #[test]
    fn the_series_is_that_of_the_standard() {
        let table = "1.0 1.1 1.2 1.3 1.5 1.6 1.8 2.0 2.2 2.4 2.7 3.0 \
                     3.3 3.6 3.9 4.3 4.7 5.1 5.6 6.2 6.8 7.5 8.2 9.1";
        let ours: Vec<String> = E24
            .iter()
            .map(|&t| format!("{:.1}", f64::from(t) / 10.0))
            .collect();
        assert_eq!(
            ours.join(" "),
            table.split_whitespace().collect::<Vec<_>>().join(" ")
        );
    }

    /// The standard's rule: each value is the power of 10^(1/24), rounded to two digits, except for
    /// 2.7 3.0 3.3 3.6 3.9 4.3 4.7 and 8.2, which were in use before and stay (from memory).
    #[test]
    fn the_series_follows_the_powers() {
        let odd = [27, 30, 33, 36, 39, 43, 47, 82];
        for (n, &tenths) in E24.iter().enumerate() {
            let power = (10.0 * libm::pow(10.0, n as f64 / 24.0)).round() as u32;
            if odd.contains(&tenths) {
                assert_eq!(tenths.abs_diff(power), 1, "{tenths}");
            } else {
                assert_eq!(tenths, power);
            }
        }
    }

    #[test]
    fn values_are_found_over_the_decades() {
        let said = |r: Option<ElectricalResistance>| r.map(written);
        let some = |text: &str| Some(text.to_string());
        assert_eq!(said(at_least(ohms(561.0))), some("620 ohm"));
        assert_eq!(said(at_least(ohms(560.0))), some("560 ohm"));
        assert_eq!(said(at_most(ohms(619.0))), some("560 ohm"));
        assert_eq!(said(next_above(ohms(910.0))), some("1 kohm"));
        assert_eq!(said(next_below(ohms(1000.0))), some("910 ohm"));
        assert_eq!(said(next_below(ohms(1.0))), None);
        assert_eq!(said(next_above(ohms(9.1e6))), None);
        assert_eq!(written(nearest(ohms(4600.0))), "4.7 kohm");
        assert_eq!(written(nearest(ohms(0.2))), "1 ohm");
        assert_eq!(written(nearest(ohms(5e7))), "9.1 Mohm");
        assert!(is_preferred(ohms(4700.0)) && is_preferred(ohms(0.0047e6)));
        assert!(!is_preferred(ohms(500.0)));
    }

    #[test]
    fn values_are_written_as_a_builder_does() {
        assert_eq!(written(ohms(560.0)), "560 ohm");
        assert_eq!(written(ohms(4700.0)), "4.7 kohm");
        assert_eq!(written(ohms(1e6)), "1 Mohm");
        assert_eq!(written(ohms(1.1)), "1.1 ohm");
        for value in values() {
            let text = written(value);
            let (number, unit) = text.split_once(' ').unwrap();
            let factor = match unit {
                "Mohm" => 1e6,
                "kohm" => 1e3,
                _ => 1.0,
            };
            let back = number.parse::<f64>().unwrap() * factor;
            assert!(
                (back / value.value - 1.0).abs() < 1e-12 && number.len() <= 3,
                "{text}"
            );
        }
    }
}
