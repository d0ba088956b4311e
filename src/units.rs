//! The quantities of the trade as types (SI inside, by `uom`), so that no bare number of volts
//! crosses a function border.

pub use uom::si::f64::{
    Angle, Area, ElectricCharge, ElectricCurrent, ElectricPotential, ElectricalResistance,
    Frequency, Length, LuminousIntensity, Power, Ratio, TemperatureInterval,
    ThermodynamicTemperature, Time,
};

use uom::si;

/// Volts.
pub fn volts(x: f64) -> ElectricPotential {
    ElectricPotential::new::<si::electric_potential::volt>(x)
}
/// Amperes.
pub fn amps(x: f64) -> ElectricCurrent {
    ElectricCurrent::new::<si::electric_current::ampere>(x)
}
/// Ohms.
pub fn ohms(x: f64) -> ElectricalResistance {
    ElectricalResistance::new::<si::electrical_resistance::ohm>(x)
}
/// Watts.
pub fn watts(x: f64) -> Power {
    Power::new::<si::power::watt>(x)
}
/// Metres.
pub fn metres(x: f64) -> Length {
    Length::new::<si::length::meter>(x)
}
/// Square metres.
pub fn square_metres(x: f64) -> Area {
    Area::new::<si::area::square_meter>(x)
}
/// Degrees Celsius.
pub fn celsius(x: f64) -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<si::thermodynamic_temperature::degree_celsius>(x)
}
/// A plain ratio; 0.2 is 20 %.
pub fn ratio(x: f64) -> Ratio {
    Ratio::new::<si::ratio::ratio>(x)
}
/// Hertz.
pub fn hertz(x: f64) -> Frequency {
    Frequency::new::<si::frequency::hertz>(x)
}
/// Seconds.
pub fn seconds(x: f64) -> Time {
    Time::new::<si::time::second>(x)
}
/// Coulombs (1 Ah = 3600 C).
pub fn coulombs(x: f64) -> ElectricCharge {
    ElectricCharge::new::<si::electric_charge::coulomb>(x)
}
/// Radians.
pub fn radians(x: f64) -> Angle {
    Angle::new::<si::angle::radian>(x)
}
/// Candela.
pub fn candela(x: f64) -> LuminousIntensity {
    LuminousIntensity::new::<si::luminous_intensity::candela>(x)
}

/// Light given in all directions, in lumens (`uom` has no quantity of this name).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
pub struct LuminousFlux(pub f64);

/// A resistance for each length of a conductor, ohms per metre (likewise).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
pub struct ResistancePerLength(pub f64);

impl std::ops::Mul<Length> for ResistancePerLength {
    type Output = ElectricalResistance;
    fn mul(self, length: Length) -> ElectricalResistance {
        ohms(self.0 * length.value)
    }
}
