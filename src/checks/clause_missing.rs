//! # `clause-missing`: a clause that must be there
//!
//! **Error** on the last word of a stanza that lacks a clause it cannot do without, or a figure of its head: a fuse without its rating. **Error** on an
//! `accept` without its reason.
//!
//! ## Why it matters
//!
//! A lamp without its `drops` or an item without its `from` has no place in the circuit; it is left out, with what hangs on it.
//!
//! ## The limit
//!
//! What `docs/language.md` calls required; where several clauses say the same thing (`gauge`, `diameter`, `area`), exactly one of them. A reason of no
//! words is none.
//!
//! ## Shown
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane from F1
//! #               ^^ clause-missing
//! fuse F2 from adapter
//! #            ^^^^^^^ clause-missing
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane from F1 draws 20 mA
//! fuse F2 400 mA from adapter
//! ```
//!
//! The clause is offered with a usual value; a `from` with the point that feeds the item above, or a fuse or switch that stands there. It is a place to write the true
//! one, not a measurement.

use super::page::page;
use super::{Check, Context, Finding, reading};
use crate::plan::Severity;

/// A clause that must be there.
pub const CHECK: Check = Check {
    name: "clause-missing",
    severities: &[Severity::Error],
    page: page!("clause_missing.rs"),
    check,
    mends: Some(reading::mends),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    reading::report(CHECK.name, context, out);
}
