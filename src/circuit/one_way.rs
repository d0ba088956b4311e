//! Law 5, what passes current one way only: diodes, rectifiers, regulators, regulated outputs.
//!
//! The far end is never below the part's own voltage, the lesser of what it holds and what its input
//! leaves; where something else holds it higher, the part gives and takes nothing. Each is in one of
//! three states; `contradicts` says when a solution breaks the law of its state and which is next.

/// Resistance that each conducting part is given, ohms: parts side by side share evenly, and 10 A
/// change a voltage by a tenth of the accuracy of the figures.
pub(crate) const SMALL: f64 = 1e-7;

/// A current this much the wrong way is rounding, amperes.
pub(crate) const AMPS_SLACK: f64 = 2e-8;
/// A voltage this much the wrong way is rounding, volts.
pub(crate) const VOLTS_SLACK: f64 = 2e-8;
/// Likewise where parts hold the same voltage side by side, so that the small resistance that they
/// are given decides: what 15 A lose in it.
pub(crate) const WIDE_SLACK: f64 = 1.5e-6;

/// A part that passes current one way.
#[derive(Clone, Copy, Debug)]
pub(crate) struct OneWay {
    pub input: usize,
    pub output: usize,
    pub minus: usize,
    /// What it takes from its input while it hands on, volts.
    pub drops: f64,
    /// The voltage that it holds against its minus; infinite: none.
    pub holds: f64,
    /// A switching regulator's efficiency; what is not one takes the current that it gives.
    pub efficiency: Option<f64>,
}

/// What it does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum OneWayState {
    /// It gives nothing.
    Blocked,
    /// Its far end follows its input.
    Follows,
    /// Its far end is held.
    Holds,
}

impl OneWay {
    /// The state to begin with.
    pub fn first_state(&self) -> OneWayState {
        if self.holds.is_finite() {
            OneWayState::Holds
        } else {
            OneWayState::Follows
        }
    }

    /// Its own voltage against its minus, at this input voltage against the same.
    pub fn own(&self, input: f64) -> f64 {
        self.holds.min(input - self.drops)
    }

    /// The state that should be tried instead, where this one contradicts the law: `input` and
    /// `output` volts against its minus, `amps` given.
    /// `slack` volts the wrong way are none.
    pub fn contradicts(
        &self,
        state: OneWayState,
        input: f64,
        output: f64,
        amps: f64,
        slack: f64,
    ) -> Option<OneWayState> {
        let follows = input - self.drops;
        match state {
            OneWayState::Blocked => {
                (output < self.own(input) - slack).then_some(if follows < self.holds {
                    OneWayState::Follows
                } else {
                    OneWayState::Holds
                })
            }
            _ if amps < -AMPS_SLACK => Some(OneWayState::Blocked),
            OneWayState::Follows => (follows > self.holds + slack).then_some(OneWayState::Holds),
            OneWayState::Holds => (follows < self.holds - slack).then_some(OneWayState::Follows),
        }
    }
}
