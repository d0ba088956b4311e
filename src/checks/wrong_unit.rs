//! # `wrong-unit`: a figure in the wrong unit
//!
//! **Error** on a unit of another kind, on a number without its unit, and on a decimal comma.
//!
//! ## Why it matters
//!
//! `400 V` where `400 mA` is meant is a slip of the pen on paper and a burnt wire on the bench. A number without a unit is read as whatever the
//! reader thinks of first, so units are always written.
//!
//! ## The limit
//!
//! Each place wants one kind of quantity; any unit of that kind will do (`0.4 A`, `400mA`). A decimal point is a point, in every language.
//!
//! ## Shown
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 V from adapter
//! #       ^^^^^ wrong-unit
//! load crane draws 280 mA from adapter
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 280 mA from F1
//! ```
//!
//! The likely unit is offered: the one of the right kind that gives a usual value.

use super::page::page;
use super::{Check, Context, Finding, reading};
use crate::plan::Severity;

/// A figure in the wrong unit.
pub const CHECK: Check = Check {
    name: "wrong-unit",
    severities: &[Severity::Error],
    page: page!("wrong_unit.rs"),
    check,
    mends: Some(reading::mends),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    reading::report(CHECK.name, context, out);
}
