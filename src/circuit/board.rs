//! Law 6, boards: all of `draws` above the lower limit, nothing below, and at the limit whatever
//! current keeps it there; 1 µV short counts as met.

use super::one_way::{AMPS_SLACK, VOLTS_SLACK};

/// So little short of the limit counts as met, volts.
pub(crate) const MET: f64 = 1e-6;

/// What a board itself draws.
#[derive(Clone, Copy, Debug)]
pub(crate) struct BoardDraw {
    pub plus: usize,
    pub minus: usize,
    pub amps: f64,
    /// Its lower limit, volts; zero where none is stated.
    pub lower: f64,
}

/// What it does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum BoardState {
    /// It draws all.
    Full,
    /// It draws what keeps it at its limit.
    AtLimit,
    /// It draws nothing.
    Idle,
}

impl BoardDraw {
    /// The state that should be tried instead, where this one contradicts the law.
    pub fn contradicts(&self, state: BoardState, volts: f64, amps: f64) -> Option<BoardState> {
        match state {
            BoardState::Full => (volts < self.lower - MET).then_some(BoardState::AtLimit),
            BoardState::AtLimit if amps > self.amps + AMPS_SLACK => Some(BoardState::Full),
            // It cannot give: at the limit with nothing to take, the node is no longer held there. Idle, it
            // then stands at the limit or below, so that the two states never chase each other.
            BoardState::AtLimit if amps < 0.0 => Some(BoardState::Idle),
            BoardState::AtLimit => None,
            BoardState::Idle => (volts > self.lower + VOLTS_SLACK).then_some(BoardState::AtLimit),
        }
    }
}
