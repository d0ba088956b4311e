//! # `fed-in-a-circle`: items that feed each other
//!
//! **Error** on items that feed each other, so that none of them leads back to a source.
//!
//! ## Why it matters
//!
//! Each of them waits for the other: the ring is dark. A ring that is meant, with a feed and a second way round, is a `link`.
//!
//! ## The limit
//!
//! None: following `from`, every item must reach a supply.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! supply adapter 12 V 1 A
//! fuse F1 200 mA from adapter
//! load crane draws 100 mA from F1
//! joint bow from stern over 90 mm of fine
//! #         ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ fed-in-a-circle
//! joint stern from bow over 90 mm of fine
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! supply adapter 12 V 1 A
//! fuse F1 200 mA from adapter
//! load crane draws 100 mA from F1
//! joint bow from F1 over 90 mm of fine
//! joint stern from bow over 90 mm of fine
//! load winch draws 20 mA from stern
//! ```

use super::page::page;
use super::{Check, Context, Finding, reading};
use crate::plan::Severity;

/// Items that feed each other.
pub const CHECK: Check = Check {
    name: "fed-in-a-circle",
    severities: &[Severity::Error],
    page: page!("fed_in_a_circle.rs"),
    check,
    mends: None,
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    reading::report(CHECK.name, context, out);
}
