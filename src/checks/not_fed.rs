//! # `not-fed`: no way back to a source
//!
//! **Error** on an item that has no way back to a source.
//!
//! ## Why it matters
//!
//! It never lights. The usual slip is an output that switches the minus: it has no plus to give, so its light takes its plus elsewhere and only
//! returns to the output.
//!
//! ## The limit
//!
//! None: plus and minus must each lead back to a supply.
//!
//! ## Shown
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! module dimmer works 6 V to 13 V draws 3 mA output a 60 mA sinks
//! supply adapter 12 V 1 A
//! fuse F1 200 mA from adapter
//! board blink of dimmer from F1
//! lamp mast of pearl resistor 560 ohm from blink.a
//! #                                   ^^^^^^^^^^^^ not-fed
//! ```
//!
//! ## Mended
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! module dimmer works 6 V to 13 V draws 3 mA output a 60 mA sinks
//! supply adapter 12 V 1 A
//! fuse F1 200 mA from adapter
//! board blink of dimmer from F1
//! lamp mast of pearl resistor 560 ohm from F1 return to blink.a
//! ```

use super::page::page;
use super::{Check, Context, Finding, reading};
use crate::plan::Severity;

/// No way back to a source.
pub const CHECK: Check = Check {
    name: "not-fed",
    severities: &[Severity::Error],
    page: page!("not_fed.rs"),
    check,
    mends: None,
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    reading::report(CHECK.name, context, out);
}
