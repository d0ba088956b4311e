//! Law 1, copper: what a leg of wire resists.
//!
//! Annealed copper has 1.7241e-8 ohm m at 20 °C and +0.393 % per kelvin (IEC 60028). Each leg of a
//! run has the full length; stranded wire counts by its area alone.

use std::f64::consts::PI;

use crate::plan::{Plan, Run, Wire};
use crate::units::{
    ElectricalResistance, Length, ResistancePerLength, ThermodynamicTemperature, celsius,
};

/// Resistivity of annealed copper at 20 °C, ohm metres (IEC 60028).
pub const RESISTIVITY: f64 = 1.7241e-8;

/// Its rise per kelvin, from 20 °C (IEC 60028).
pub const PER_KELVIN: f64 = 0.00393;

/// The resistance per metre of a round copper conductor of this diameter, at this temperature.
pub fn per_metre(diameter: Length, at: ThermodynamicTemperature) -> ResistancePerLength {
    let area = PI / 4.0 * diameter.value * diameter.value;
    let warmer = at.value - celsius(20.0).value;
    ResistancePerLength(RESISTIVITY * (1.0 + PER_KELVIN * warmer) / area)
}

/// The resistance of one leg of this wire, so long, at this temperature.
pub fn leg(wire: &Wire, length: Length, at: ThermodynamicTemperature) -> ElectricalResistance {
    per_metre(wire.copper, at) * length
}

/// The resistance of one leg of a run at the plan's ambient; zero without a run.
pub fn run_leg(plan: &Plan, run: Option<&Run>) -> ElectricalResistance {
    run.map_or(ElectricalResistance::default(), |run| {
        leg(&plan.wires[run.wire.0], run.length, plan.settings.ambient)
    })
}
