//! The curve of a lamp and the resistor of a tape group, worked out from what the stock says.
//!
//! A lamp at the current I drops `Vf + m·ln(I/If) + Rs·(I − If)` (the usual diode equation with a
//! series resistance), with m = 2·kT/q at 25 °C.

use crate::units::{ElectricCurrent, ElectricPotential, ElectricalResistance, amps, ohms, volts};

/// 2·kT/q at 25 °C, whatever the ambient.
pub const TWICE_THERMAL_VOLTAGE: f64 = 0.051_386;

/// The least voltage that the curve may reach down to, `Vf − Rs·If`.
const LEAST_KNEE: f64 = 0.5;

/// The curve of one lamp.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LampCurve {
    /// The voltage at the stated current.
    pub stated_volts: ElectricPotential,
    /// The stated current.
    pub stated_amps: ElectricCurrent,
    /// The slope of the logarithm.
    pub slope: ElectricPotential,
    /// The series resistance.
    pub series: ElectricalResistance,
}

/// Why no curve passes through the points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Impossible {
    /// The two points have one current.
    SameCurrent,
    /// The voltage does not rise with the current.
    Falling,
    /// The curve would begin to conduct under half a volt.
    KneeTooLow,
    /// The lamps of a tape group take more than the stated voltage: nothing is left for the resistor.
    NothingLeft,
}

/// One volt for how many of its rated current the usual lamp of a colour rises: Rs = this / If.
fn usual_rise(colour: Option<&str>) -> f64 {
    match colour {
        Some("red" | "amber" | "yellow" | "infrared") => 0.1,
        _ => 0.2, // green, blue, white, warm-white, uv; without a colour, as white
    }
}

/// The usual voltage of a lamp of a colour, for tape that does not state `drops`.
pub fn usual_drop(colour: Option<&str>) -> ElectricPotential {
    volts(match colour {
        Some("red" | "amber") => 2.0,
        Some("yellow") => 2.1,
        Some("green" | "blue") => 3.1,
        Some("uv") => 3.4,
        Some("infrared") => 1.3,
        _ => 3.0, // white, warm-white
    })
}

impl LampCurve {
    /// The curve through the first point, and the second where one is given.
    pub fn through(
        first: (ElectricPotential, ElectricCurrent),
        second: Option<(ElectricPotential, ElectricCurrent)>,
        colour: Option<&str>,
    ) -> Result<LampCurve, Impossible> {
        let (vf, i_f) = (first.0.value, first.1.value);
        let (mut slope, mut series) = (TWICE_THERMAL_VOLTAGE, usual_rise(colour) / i_f);
        if let Some((v2, i2)) = second {
            let (v2, i2) = (v2.value, i2.value);
            if i2 == i_f {
                return Err(Impossible::SameCurrent);
            }
            let log = libm::log(i2 / i_f);
            series = (v2 - vf - slope * log) / (i2 - i_f);
            if series < 0.0 {
                series = 0.0;
                slope = (v2 - vf) / log;
                if slope <= 0.0 {
                    return Err(Impossible::Falling);
                }
            }
        }
        if vf - series * i_f < LEAST_KNEE {
            return Err(Impossible::KneeTooLow);
        }
        Ok(LampCurve {
            stated_volts: volts(vf),
            stated_amps: amps(i_f),
            slope: volts(slope),
            series: ohms(series),
        })
    }

    /// The voltage across the lamp at a current (above zero).
    pub fn volts_at(&self, current: ElectricCurrent) -> ElectricPotential {
        let ratio = current.value / self.stated_amps.value;
        self.stated_volts
            + self.slope * libm::log(ratio)
            + self.series * (current - self.stated_amps)
    }
}

/// The resistor of a tape group that makes it draw `current` at `volts`, its `lamps` each dropping
/// `each` then.
pub fn group_resistor(
    volts: ElectricPotential,
    current: ElectricCurrent,
    lamps: u32,
    each: ElectricPotential,
) -> Result<ElectricalResistance, Impossible> {
    let left = volts - each * f64::from(lamps);
    if left.value <= 0.0 {
        Err(Impossible::NothingLeft)
    } else {
        Ok(left / current)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_point_takes_the_usual_rise_of_its_colour() {
        let white = LampCurve::through((volts(3.0), amps(0.02)), None, Some("white")).unwrap();
        assert_eq!(white.series, ohms(10.0));
        let red = LampCurve::through((volts(2.0), amps(0.02)), None, Some("red")).unwrap();
        assert_eq!(red.series, ohms(5.0));
    }

    #[test]
    fn the_curve_passes_through_both_points() {
        let curve = LampCurve::through(
            (volts(3.1), amps(0.02)),
            Some((volts(2.8), amps(0.005))),
            None,
        )
        .unwrap();
        assert!((curve.volts_at(amps(0.005)) - volts(2.8)).value.abs() < 1e-12);
        // Here the logarithm alone would rise more than the points do.
        let flat = LampCurve::through(
            (volts(3.1), amps(0.02)),
            Some((volts(3.05), amps(0.005))),
            None,
        )
        .unwrap();
        assert_eq!(flat.series, ohms(0.0));
        assert!((flat.volts_at(amps(0.005)) - volts(3.05)).value.abs() < 1e-12);
    }

    #[test]
    fn impossible_points_are_refused() {
        let of = |second| LampCurve::through((volts(3.1), amps(0.02)), Some(second), None);
        assert_eq!(of((volts(3.0), amps(0.02))), Err(Impossible::SameCurrent));
        assert_eq!(of((volts(3.2), amps(0.01))), Err(Impossible::Falling));
        assert_eq!(of((volts(0.4), amps(0.01))), Err(Impossible::KneeTooLow));
        assert_eq!(
            LampCurve::through((volts(0.6), amps(0.02)), None, None),
            Err(Impossible::KneeTooLow)
        );
        assert_eq!(
            group_resistor(volts(9.0), amps(0.02), 3, volts(3.0)),
            Err(Impossible::NothingLeft)
        );
    }
}
