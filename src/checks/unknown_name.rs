//! # `unknown-name`: a name that nothing defines
//!
//! **Error** on a name that nothing in the plan defines, or that stands for another kind of thing than is wanted there.
//!
//! ## Why it matters
//!
//! A wire that ends at a name nobody knows ends nowhere. What hangs on it is left out of the figures until the name is found.
//!
//! ## The limit
//!
//! Names are compared letter by letter, and case counts. Where one stanza that nobody refers to is a single slip away from the name, the slip
//! is likely in that stanza: it is then reported there, once, with all who use it.
//!
//! ## Shown
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! fuse F2 400 mA from adapter
//! load winch draws 280 mA from F1
//! load crane draws 280 mA from F22
//! #                            ^^^ unknown-name
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! fuse F2 400 mA from adapter
//! load winch draws 280 mA from F1
//! load crane draws 280 mA from F2
//! ```
//!
//! The nearest names are offered, and to define the name: a joint on the first fuse, a zone, stock with usual values, to be put right. Where a load is named, which
//! hands no power on, the point that feeds the load is offered. While a used file is missing, nothing is:
//! the name may be in there.

use super::page::page;
use super::{Check, Context, Finding, Mend, check_names, reading};
use crate::plan::Severity;

/// A name that nothing defines.
pub const CHECK: Check = Check {
    name: "unknown-name",
    severities: &[Severity::Error],
    page: page!("unknown_name.rs"),
    check,
    mends: Some(mends),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    reading::report(CHECK.name, context, out);
    check_names::report(CHECK.name, context, out);
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let mut mends = reading::mends(context, finding);
    mends.extend(check_names::mends(context, finding));
    mends
}
