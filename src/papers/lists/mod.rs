//! The lists of a plan: what it takes of everything, what is at hand, what is to be bought.
//!
//! Everything is counted from the items that the plan comes to, so that copies of a pattern count one by one, and what is
//! in error counts not at all.

pub mod allowances;
pub mod bands;
mod counted;
pub mod csv;
pub mod json;
pub mod reels;
mod resistors;
pub mod safe_cell;
pub mod table;
mod tapes;
mod wires;

pub use counted::{Counted, described};
pub use resistors::Resistor;
pub use tapes::{StripCut, TapeList, strip_cuts};
pub use wires::{Leg, WireList, WireOfColour, WirePiece, colour_of, wire_pieces, wire_size};

use crate::checks::Analysis;
use crate::syntax::read_stanza;
use crate::syntax::vocabulary::Dimension;
use crate::units::{Length, metres};

/// The lists of a plan.
#[derive(Clone, Debug)]
pub struct Lists {
    /// The length of a reel of tape.
    pub reel: Length,
    /// Wire, in the order of the stock.
    pub wires: Vec<WireList>,
    /// Tape, in the order of the stock.
    pub tapes: Vec<TapeList>,
    /// Resistors, by value and rating.
    pub resistors: Vec<Resistor>,
    /// All that is counted by the piece: supplies, fuses, lamps, boards and so on.
    pub counted: Vec<Counted>,
}

impl Lists {
    /// The lists of a plan, its tape coming on reels of this length.
    pub fn of(a: &Analysis, reel: Length) -> Lists {
        Lists {
            reel,
            wires: wires::wires(&a.plan),
            tapes: tapes::tapes(&a.plan, reel),
            resistors: resistors::resistors(a),
            counted: counted::counted(a),
        }
    }
}

/// A length as it is written in a plan, `5 m` or `16ft`; `None` where it is none, or nothing to cut from.
pub fn reel_of(text: &str) -> Option<Length> {
    // Read as a length is read that stands in a plan.
    let stanza = read_stanza(format!("harness \"reel\" slack {text}\n").into());
    let [clause] = &stanza.clauses[..] else {
        return None;
    };
    let length = clause.quantities(Dimension::Length).next()?;
    (stanza.faults.is_empty() && length > 0.0).then(|| metres(length))
}

#[cfg(test)]
mod tests;
