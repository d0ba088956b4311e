//! When a figure passes a limit: by more than 10 µV or 1 µA, so that 12 V + 5 %, which computes
//! to 12.600000000000001 V, does not pass 12.6 V.

use std::ops::Sub;

use crate::plan::Severity;
use crate::units::{ElectricCurrent, ElectricPotential, amps, volts};

/// A quantity with a least difference that counts.
pub trait Counted: Copy + PartialOrd + Sub<Output = Self> {
    /// The least difference that counts.
    fn least() -> Self;
}

impl Counted for ElectricPotential {
    fn least() -> Self {
        volts(10e-6)
    }
}

impl Counted for ElectricCurrent {
    fn least() -> Self {
        amps(1e-6)
    }
}

/// Whether `figure` is above `limit` by more than counts as nothing.
pub fn over<Q: Counted>(figure: Q, limit: Q) -> bool {
    figure - limit > Q::least()
}

/// Whether `figure` is below `limit` by more than counts as nothing.
pub fn under<Q: Counted>(figure: Q, limit: Q) -> bool {
    over(limit, figure)
}

/// The rule for limits: an error when typical figures break it, a warning when only a corner does.
pub fn rule(typical_breaks: bool, corner_breaks: bool) -> Option<Severity> {
    match (typical_breaks, corner_breaks) {
        (true, _) => Some(Severity::Error),
        (false, true) => Some(Severity::Warning),
        (false, false) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_limit_is_passed_by_more_than_10_microvolts_or_1_microampere() {
        assert!(!over(volts(12.0) * 1.05, volts(12.6)));
        assert!(!over(volts(12.600009), volts(12.6)));
        assert!(over(volts(12.600011), volts(12.6)));
        assert!(!over(amps(1.0000009), amps(1.0)));
        assert!(over(amps(1.0000011), amps(1.0)));
        assert!(!under(amps(0.9999991), amps(1.0)));
        assert!(under(amps(0.9999989), amps(1.0)));
    }

    #[test]
    fn typical_is_an_error_and_a_corner_a_warning() {
        assert_eq!(rule(true, true), Some(Severity::Error));
        assert_eq!(rule(false, true), Some(Severity::Warning));
        assert_eq!(rule(false, false), None);
    }
}
