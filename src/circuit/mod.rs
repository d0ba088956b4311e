//! The network as equations and their solution: scenes, corners, breaks and shorts.
//!
//! One file a law of the physics: `copper`, `lamp`, `tape`, `wire_capacity`, `one_way`, `board`,
//! `loads`, `supply`, `battery`, `duty`, `light`, `heat`, `bundle`; `places` puts the last
//! three together. `scene` says what is on, `network` what is connected to what, `equations`
//! makes a matrix of it, `settle` solves it, `read_off` reads the figures, `solve` does so for a plan.
//! `breaks` and `shorts` ask what if, `clearing` how surely a fuse ends a short, `what_if` has it all for a plan;
//! `alone` says what a piece draws on the bench, `at_volts` what is where with a supply at another voltage,
//! `fused_runs` which fuse protects which run. `alike` says whether the figures of another plan are the same; `lists` and `side_by_side` are tools.

pub mod alike;
pub mod alone;
pub mod at_volts;
pub mod battery;
mod board;
pub mod breaks;
pub mod bundle;
pub mod clearing;
pub mod copper;
pub mod defects;
pub mod duty;
mod equations;
pub mod figures;
pub mod fused_runs;
pub mod heat;
pub mod lamp;
pub mod light;
mod linear;
mod lists;
mod loads;
mod network;
mod one_way;
pub mod places;
pub mod planted;
mod read_off;
mod rings;
mod scene;
mod settle;
pub mod shorts;
pub mod side_by_side;
pub mod solve;
pub mod supply;
mod tape;
#[cfg(test)]
pub(crate) mod tests;
pub mod what_if;
pub mod wire_capacity;

pub use figures::*;
pub(crate) use network::ballast_ahead;
pub use network::circuit_of_each;
pub use solve::{ALL_ON, Stop, solve};
pub(crate) use tape::most_lumps;
pub use tape::most_lumps_of;
