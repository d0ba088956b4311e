//! Law 4, what a wire may carry, and where a bare one melts.
//!
//! Without `carries` a run may carry half of the current that warms a single wire by 20 K in still
//! air (half, because wire in a model is glued down or bundled): I = ½·√(h·π·D·20 K / R′), with
//! h = 3.53·(20 K / D)^0.25 W/m²K (textbook short form for free convection around thin wires), D over
//! the insulation, R′ per metre of one leg at ambient + 20 K.

use std::f64::consts::PI;

use super::copper;
use crate::plan::{Plan, Wire};
use crate::units::{ElectricCurrent, Length, ThermodynamicTemperature, amps};

/// How much warmer than the air a single wire may be, kelvins.
const WARMER: f64 = 20.0;

/// What a run of this wire may carry in this plan: what the stock states, else law 4.
pub fn may_carry(plan: &Plan, wire: &Wire) -> ElectricCurrent {
    wire.carries.unwrap_or_else(|| {
        in_still_air(
            wire.copper,
            wire.outer.unwrap_or(wire.copper),
            plan.settings.ambient,
        )
    })
}

/// Law 4 for copper of this diameter, so thick over its insulation, in air of this temperature.
pub fn in_still_air(
    copper: Length,
    outer: Length,
    ambient: ThermodynamicTemperature,
) -> ElectricCurrent {
    let mut warm = ambient;
    warm.value += WARMER;
    let per_metre = copper::per_metre(copper, warm).0;
    let d = outer.value;
    let h = 3.53 * libm::pow(WARMER / d, 0.25);
    amps(0.5 * (h * PI * d * WARMER / per_metre).sqrt())
}

/// The current at which a bare copper wire in air melts: 80·d^1.5 A, d in mm (W. H. Preece, 1884).
pub fn melts_at(copper: Length) -> ElectricCurrent {
    amps(80.0 * libm::pow(copper.value * 1000.0, 1.5))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{celsius, metres};

    #[test]
    fn thin_wire_by_hand() {
        // 0.2 mm bare at 20 °C: R′ at 40 °C = 1.7241e-8·(1 + 0.00393·20)/(π/4·0.04e-6) = 0.59194 ohm/m;
        // h = 3.53·(20/0.0002)^0.25 = 62.773; I = ½·√(62.773·π·0.0002·20/0.59194) = 0.57718 A.
        let i = in_still_air(metres(0.2e-3), metres(0.2e-3), celsius(20.0));
        assert!((i.value - 0.57718).abs() < 1e-4, "{i:?}");
    }

    #[test]
    fn a_thin_wire_melts_where_preece_says() {
        // 1 mm of copper: 80 A by definition of the formula's constant (Preece 1884, in mm).
        assert_eq!(melts_at(metres(1e-3)).value, 80.0);
    }
}
