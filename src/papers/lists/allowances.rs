//! What is bought beyond what is used: for waste, and to have a spare at hand. All of it is common practice.

use crate::units::{Length, metres};

/// The part of the wire that goes to waste: ends too short, a leg cut again.
pub const WIRE_WASTE: f64 = 0.10;

/// Of lamps and resistors one in so many is bought beside those that are used, and at least one: they are lost, burnt,
/// soldered the wrong way round.
pub const ONE_SPARE_IN: u32 = 10;

/// So many fuses of each value and kind beside those that are fitted; one that heals needs none.
pub const SPARE_FUSES: u32 = 2;

/// The length of a reel of tape, where none is named.
pub fn usual_reel() -> Length {
    metres(5.0)
}

/// The spares of lamps, or of resistors of one kind.
pub fn spares(used: u32) -> u32 {
    used.div_ceil(ONE_SPARE_IN)
}

/// With waste.
pub fn with_waste(cut: Length) -> Length {
    cut * (1.0 + WIRE_WASTE)
}

/// All of it in words, for the foot of a list.
pub fn in_words() -> String {
    format!(
        "Counted in: {} for waste of wire; one spare for each {ONE_SPARE_IN} lamps or resistors of a kind, and at least one; \
         {SPARE_FUSES} spare fuses of each kind (common practice).",
        crate::numbers::percent(WIRE_WASTE)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_in_ten_and_at_least_one() {
        assert_eq!([0, 1, 10, 11, 40].map(spares), [0, 1, 1, 2, 4]);
    }
}
