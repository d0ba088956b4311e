//! # `name-taken`: one name for two things
//!
//! **Error** on a name that is defined a second time; **hint** where two names differ by capitals alone.
//!
//! ## Why it matters
//!
//! `from keel` must lead to one place. With two joints of that name it would be anybody's guess which of them a lamp hangs on, and a label on the
//! model that fits two wires is worse than none.
//!
//! ## The limit
//!
//! One name, one thing, among all stock, items, zones, passages and patterns of a plan, used files included. Scenes and stages have
//! names of their own.
//!
//! ## Shown
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 100 mA from F1
//! load crane draws 120 mA from F1
//! #    ^^^^^ name-taken
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 100 mA from F1
//! load crane-2 draws 120 mA from F1
//! ```
//!
//! A free name is offered.

use super::page::page;
use super::{Check, Context, Finding, reading};
use crate::plan::Severity;

/// One name for two things.
pub const CHECK: Check = Check {
    name: "name-taken",
    severities: &[Severity::Error, Severity::Hint],
    page: page!("name_taken.rs"),
    check,
    mends: Some(reading::mends),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    reading::report(CHECK.name, context, out);
}
