//! # `clause-repeated`: a clause that stands twice
//!
//! **Error** on a clause that stands a second time, or beside one that excludes it.
//!
//! ## Why it matters
//!
//! Of two lengths of one wire, one is wrong, and only the builder knows which.
//!
//! ## The limit
//!
//! Each clause at most once, unless the language says otherwise (`note`, `accept`, `treat`, `output`, `but` may repeat).
//!
//! ## Shown
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 280 mA from F1 draws 20 mA
//! #                               ^^^^^^^^^^^ clause-repeated
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 280 mA from F1
//! ```

use super::page::page;
use super::{Check, Context, Finding, reading};
use crate::plan::Severity;

/// A clause that stands twice.
pub const CHECK: Check = Check {
    name: "clause-repeated",
    severities: &[Severity::Error],
    page: page!("clause_repeated.rs"),
    check,
    mends: Some(reading::mends),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    reading::report(CHECK.name, context, out);
}
