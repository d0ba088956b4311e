//! Laws 7 and 8, supplies, and what strays in the corners.
//!
//! A supply holds V − I·resistance for either sign of I; its limit is no limit in the figures. All
//! is dim or bright at once: supplies by their `tolerance`, resistors by 5 %, each lamp by 0.1 V.

use super::figures::Corner;

/// How far resistors stray in the corners.
pub const RESISTORS_STRAY: f64 = 0.05;

/// A supply that is on.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Source {
    pub plus: usize,
    pub minus: usize,
    pub volts: f64,
    pub tolerance: f64,
    pub ohms: f64,
}

impl Source {
    /// Its voltage without load at a corner.
    pub fn volts_at(&self, corner: Corner) -> f64 {
        self.volts
            * match corner {
                Corner::Typical => 1.0,
                Corner::Dim => 1.0 - self.tolerance,
                Corner::Bright => 1.0 + self.tolerance,
            }
    }
}

/// What the resistance of a resistor is multiplied by at a corner.
pub(crate) fn resistor_factor(corner: Corner) -> f64 {
    match corner {
        Corner::Typical => 1.0,
        Corner::Dim => 1.0 + RESISTORS_STRAY,
        Corner::Bright => 1.0 - RESISTORS_STRAY,
    }
}
