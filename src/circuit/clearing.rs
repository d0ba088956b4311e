//! How surely, and how soon, a fuse ends a short.
//!
//! IEC 60127-2 gives the longest time that a miniature fuse may take at some multiples of its rating: sheet 2 for
//! quick-acting ones (from memory), sheets 3 and 5 for time-lag ones (as two data sheets print them). From 1 A on time-lag fuses
//! may be of sheet 5, of high breaking capacity, which takes longer: the longer time counts. Between two multiples
//! the time of the lower one counts; under 2.1 times the rating it may hold for good.

use crate::plan::FuseCharacter;
use crate::units::{ElectricCurrent, Time, amps, seconds};

/// The least multiple of its rating at which a fuse is sure to open (IEC 60127-2).
pub const SURE: f64 = 2.1;

/// Fuses up to this have times of their own, amperes.
const SMALL: f64 = 0.1;

/// (multiple of the rating, longest time in seconds); quick-acting, up to 100 mA.
const QUICK_SMALL: [(f64, f64); 4] = [(SURE, 1800.0), (2.75, 0.5), (4.0, 0.1), (10.0, 0.02)];
/// Quick-acting, 125 mA and more.
const QUICK: [(f64, f64); 4] = [(SURE, 1800.0), (2.75, 2.0), (4.0, 0.3), (10.0, 0.02)];
/// Time-lag, under 1 A (sheet 3).
const SLOW: [(f64, f64); 4] = [(SURE, 120.0), (2.75, 10.0), (4.0, 3.0), (10.0, 0.3)];

/// Time-lag, 1 A and more (sheet 5; at ten times sheet 3, which takes longer there).
const SLOW_LARGE: [(f64, f64); 4] = [(SURE, 1800.0), (2.75, 80.0), (4.0, 5.0), (10.0, 0.3)];

/// Time-lag fuses from this on may be of either sheet, amperes.
const LARGE: f64 = 1.0;

/// What a fuse does about a current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Clears {
    /// It opens, within this time at most.
    Within(Time),
    /// A resettable one trips; how soon, its maker says.
    Trips,
    /// It may hold for good.
    NotSurely,
}

/// What a fuse of this character and rating does about a current.
pub fn clears(
    character: FuseCharacter,
    rating: ElectricCurrent,
    current: ElectricCurrent,
) -> Clears {
    // The same leniency as every limit: 1 uA.
    let times = |multiple: f64| current + amps(1e-6) >= rating * multiple;
    if !times(SURE) {
        return Clears::NotSurely;
    }
    let table = match character {
        FuseCharacter::Resettable => return Clears::Trips,
        FuseCharacter::Slow if rating.value >= LARGE => SLOW_LARGE,
        FuseCharacter::Slow => SLOW,
        FuseCharacter::Quick if rating.value <= SMALL => QUICK_SMALL,
        FuseCharacter::Quick => QUICK,
    };
    let longest = table
        .iter()
        .filter(|(multiple, _)| times(*multiple))
        .map(|(_, longest)| *longest);
    Clears::Within(seconds(longest.fold(f64::INFINITY, f64::min)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IEC 60127-2 sheets 2 (from memory) and 3, at the multiples of the sheets and right under them.
    #[test]
    fn times_are_those_of_the_sheets() {
        let within = |character, rating: f64, multiple: f64| {
            clears(character, amps(rating), amps(rating * multiple))
        };
        let (quick, slow) = (FuseCharacter::Quick, FuseCharacter::Slow);
        for (character, rating, multiple, longest) in [
            (quick, 0.4, 2.1, 1800.0),
            (quick, 0.4, 2.74, 1800.0),
            (quick, 0.4, 2.75, 2.0),
            (quick, 0.4, 4.0, 0.3),
            (quick, 0.4, 10.0, 0.02),
            (quick, 0.1, 2.75, 0.5),
            (quick, 0.1, 4.0, 0.1),
            (slow, 0.4, 2.1, 120.0),
            (slow, 0.4, 2.75, 10.0),
            (slow, 0.1, 4.0, 3.0),
            (slow, 0.4, f64::INFINITY, 0.3),
            (slow, 1.0, 2.1, 1800.0),
            (slow, 3.15, 2.75, 80.0),
            (slow, 6.3, 4.0, 5.0),
        ] {
            assert_eq!(
                within(character, rating, multiple),
                Clears::Within(seconds(longest))
            );
        }
        assert_eq!(within(quick, 0.4, 2.09), Clears::NotSurely);
        assert_eq!(
            within(FuseCharacter::Resettable, 0.4, 2.09),
            Clears::NotSurely
        );
        assert_eq!(within(FuseCharacter::Resettable, 0.4, 5.0), Clears::Trips);
    }
}
