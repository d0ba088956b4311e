//! A quantity in the other usual units of its dimension.

use crate::numbers::{decimals, three_digits};
use crate::plan::gauge_diameter;
use crate::syntax::vocabulary::{Dimension, Unit};

/// Bare units that are another's second spelling.
const SPELT_TWICE: [&str; 3] = ["Ω", "kΩ", "MΩ"];

/// The same quantity in other units: `120 mm` is 12 cm, 4.72 inch.
pub fn others(
    written: &str,
    si: f64,
    dimension: Dimension,
    clause: Option<&str>,
) -> Option<String> {
    let mut shown = match dimension {
        Dimension::Gauge => {
            let mm = gauge_diameter(si).value * 1e3;
            vec![
                format!("{} mm", three_digits(mm)),
                format!("{} inch", three_digits(mm / 25.4)),
                format!(
                    "{} mm²",
                    three_digits(std::f64::consts::FRAC_PI_4 * mm * mm)
                ),
            ]
        }
        Dimension::Frequency if si > 0.0 => {
            vec![format!("once every {} s", three_digits(1.0 / si))]
        }
        _ => in_units(written, si, dimension),
    };
    let copper_mm = match (dimension, clause) {
        (Dimension::Length, Some("diameter")) => Some(si * 1e3),
        (Dimension::Area, Some("area")) => Some((si * 4.0 / std::f64::consts::PI).sqrt() * 1e3),
        _ => None,
    };
    if let Some(mm) = copper_mm.filter(|mm| *mm > 0.0) {
        if dimension == Dimension::Area {
            shown.push(format!("{} mm across", three_digits(mm)));
        }
        let gauge = 36.0 - 39.0 * libm::log(mm / 0.127) / libm::log(92.0);
        if (0.0..=50.0).contains(&gauge) {
            shown.push(format!("nearest gauge {} AWG", gauge.round()));
        }
    }
    (!shown.is_empty()).then(|| format!("`{written}` is {}", shown.join(", ")))
}

/// The value in each other unit in which it is a handy number.
fn in_units(written: &str, si: f64, dimension: Dimension) -> Vec<String> {
    let own = dimension
        .units()
        .filter(|u| written.ends_with(u.word) || u.word == "inch" && written.ends_with("in"))
        .max_by_key(|u| u.word.len());
    let same = |u: &Unit| own.is_some_and(|own| own.factor == u.factor && own.offset == u.offset);
    dimension
        .units()
        .filter(|u| !SPELT_TWICE.contains(&u.word) && !same(u))
        .filter_map(|u| {
            let x = si / u.factor - u.offset;
            if dimension == Dimension::Temperature {
                return Some(format!("{} {}", decimals(x, 1), u.word));
            }
            let handy = (0.1..1000.0).contains(&x.abs());
            handy.then(|| format!("{} {}", three_digits(x), plain(u.word)))
        })
        .collect()
}

/// A unit as it is read.
fn plain(unit: &str) -> &str {
    match unit {
        "mm2" => "mm²",
        "cm2" => "cm²",
        "in2" => "in²",
        unit => unit,
    }
}

/// A scale: how long a metre, and a foot, of the prototype is in the model.
pub fn scale(n: f64) -> String {
    format!(
        "1 m of the prototype is {} mm in the model, 1 ft is {} mm.",
        three_digits(1e3 / n),
        three_digits(304.8 / n)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Wire sizes: ASTM B258 (24 AWG is 0.5106 mm, 0.2047 mm²; values as usually tabulated, from memory).
    #[test]
    fn other_units() {
        let of = |written, si, dimension| others(written, si, dimension, None).unwrap_or_default();
        assert_eq!(
            of("24 AWG", 24.0, Dimension::Gauge),
            "`24 AWG` is 0.511 mm, 0.0201 inch, 0.205 mm²"
        );
        assert_eq!(
            of("120 mm", 0.12, Dimension::Length),
            "`120 mm` is 12 cm, 0.12 m, 0.394 ft, 4.72 inch"
        );
        assert_eq!(
            of("4in", 0.1016, Dimension::Length),
            "`4in` is 102 mm, 10.2 cm, 0.102 m, 0.333 ft"
        );
        assert_eq!(of("400 mA", 0.4, Dimension::Current), "`400 mA` is 0.4 A");
        assert_eq!(of("12 V", 12.0, Dimension::Voltage), "");
        assert_eq!(
            of("2k2", 2200.0, Dimension::Resistance),
            "`2k2` is 2.2 kohm"
        );
        assert_eq!(
            of("25 degC", 298.15, Dimension::Temperature),
            "`25 degC` is 77 degF"
        );
        assert_eq!(
            others("0.2 mm", 0.0002, Dimension::Length, Some("diameter")),
            Some("`0.2 mm` is nearest gauge 32 AWG".into())
        );
        assert_eq!(
            scale(150.0),
            "1 m of the prototype is 6.67 mm in the model, 1 ft is 2.03 mm."
        );
    }
}
