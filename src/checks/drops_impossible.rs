//! # `drops-impossible`: figures that no lamp has
//!
//! **Error** on the `drops` of a lamp or a tape from which no lamp's curve follows, or on the `draws` of a tape that leaves nothing for the resistor
//! of a group.
//!
//! ## Why it matters
//!
//! All figures of a light come from its curve: the voltage that it drops at the current that flows. Two points copied from a data sheet
//! in the wrong order, or three lamps of 3 V on a group stated at 9 V, give a curve that no lamp has.
//!
//! ## The limit
//!
//! The lamp follows the diode equation with a series resistance (textbook). Its voltage must rise with the current, and must not begin
//! under 0.5 V; a tape group's resistor, worked out from `draws`, must be more than nothing.
//!
//! ## Shown
//!
//! ```harness
//! led pearl
//!   drops 3.0 V at 20 mA, 3.2 V at 5 mA
//! # ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ drops-impossible
//!   colour white
//! supply adapter 12 V 1 A
//! fuse F1 200 mA from adapter
//! lamp mast of pearl resistor 560 ohm from F1
//! ```
//!
//! ## Mended
//!
//! ```harness
//! led pearl
//!   drops 3.0 V at 20 mA, 2.8 V at 5 mA
//!   colour white
//! supply adapter 12 V 1 A
//! fuse F1 200 mA from adapter
//! lamp mast of pearl resistor 560 ohm from F1
//! ```

use super::page::page;
use super::{Check, Context, Finding, reading};
use crate::plan::Severity;

/// Figures that no lamp has.
pub const CHECK: Check = Check {
    name: "drops-impossible",
    severities: &[Severity::Error],
    page: page!("drops_impossible.rs"),
    check,
    mends: None,
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    reading::report(CHECK.name, context, out);
}
