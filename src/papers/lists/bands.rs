//! The colour bands of a resistor, by IEC 60062: two figures, the factor, the tolerance.

use crate::units::ElectricalResistance;

/// The colours of the figures 0 to 9 (IEC 60062).
const FIGURES: [&str; 10] = [
    "black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white",
];

/// The band of ± 5 %, the tolerance of the E24 series (IEC 60062, IEC 60063).
const FIVE_PERCENT: &str = "gold";

/// The four bands of a value of two figures, ± 5 %, read from the end that is nearest to a band. `None` where the value
/// has more than two figures, or four bands cannot show it: under 1 ohm (read with silver and gold: 0.1 ohm), above 91 Gohm.
pub fn bands(value: ElectricalResistance) -> Option<[&'static str; 4]> {
    let ohms = value.value;
    if !(0.099..1e12).contains(&ohms) {
        return None;
    }
    let exponent = libm::log10(ohms * (1.0 + 1e-9)).floor() as i32 - 1;
    let figures = ohms / 10f64.powi(exponent);
    let whole = figures.round();
    if (figures - whole).abs() > 1e-6 * whole {
        return None;
    }
    let whole = whole as usize;
    let factor = match exponent {
        -2 => "silver",
        -1 => "gold",
        0..=9 => FIGURES.get(exponent as usize)?,
        _ => return None,
    };
    let (tens, ones) = (FIGURES.get(whole / 10)?, FIGURES.get(whole % 10)?);
    Some([tens, ones, factor, FIVE_PERCENT])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rewrites::e24;
    use crate::units::ohms;

    /// IEC 60062, from memory: figures black 0 to white 9; factors silver 0.01, gold 0.1, then as the figures; gold ± 5 %.
    #[test]
    fn the_bands_are_those_of_the_standard() {
        for (value, expected) in [
            (0.1, "brown black silver gold"),
            (0.47, "yellow violet silver gold"),
            (1.0, "brown black gold gold"),
            (4.7, "yellow violet gold gold"),
            (10.0, "brown black black gold"),
            (47.0, "yellow violet black gold"),
            (100.0, "brown black brown gold"),
            (330.0, "orange orange brown gold"),
            (560.0, "green blue brown gold"),
            (1e3, "brown black red gold"),
            (2.2e3, "red red red gold"),
            (6.8e3, "blue grey red gold"),
            (9.1e3, "white brown red gold"),
            (10e3, "brown black orange gold"),
            (470e3, "yellow violet yellow gold"),
            (1e6, "brown black green gold"),
            (9.1e6, "white brown green gold"),
        ] {
            assert_eq!(
                bands(ohms(value)).map(|b| b.join(" ")).as_deref(),
                Some(expected),
                "{value}"
            );
        }
    }

    #[test]
    fn every_value_of_the_series_has_bands_of_its_own() {
        let all: Vec<_> = e24::values().map(|v| bands(v).unwrap()).collect();
        let mut once = all.clone();
        once.sort();
        once.dedup();
        assert_eq!(once.len(), all.len());
        // Read back by the table: the figures and the factor give the value again.
        let place = |colour: &str| FIGURES.iter().position(|c| *c == colour).unwrap() as i32;
        for (value, [tens, ones, factor, _]) in e24::values().zip(all) {
            let factor = if factor == "gold" { -1 } else { place(factor) };
            let read = f64::from(10 * place(tens) + place(ones)) * 10f64.powi(factor);
            assert!((read / value.value - 1.0).abs() < 1e-9, "{}", value.value);
        }
    }

    #[test]
    fn what_four_bands_cannot_show_has_none() {
        for value in [0.0, -5.0, 0.05, 475.0, 33.25, 1e12, f64::INFINITY, f64::NAN] {
            assert_eq!(bands(ohms(value)), None, "{value}");
        }
    }
}
