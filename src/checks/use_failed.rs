//! # `use-failed`: a file that cannot be used
//!
//! **Error** on the path of a `use` whose file is missing, cannot be read, lies outside the plan's folder, or uses this file in turn.
//!
//! ## Why it matters
//!
//! What the file would bring in is not there: its stock, its joints, and all that hangs on them.
//!
//! ## The limit
//!
//! The path is relative to the file that it stands in and stays inside the plan's folder, symbolic links resolved, so that a plan that was sent
//! by mail reads nothing it should not. A file is brought in once; files that use each other in a circle are an error that names the circle.
//!
//! ## Shown
//!
//! ```harness
//! use "stock.harness"
//! #   ^^^^^^^^^^^^^^^ use-failed
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 280 mA from F1
//! ```
//!
//! ## Mended
//!
//! Save the file beside the plan, or write its stanzas into the plan:
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 280 mA from F1
//! ```

use super::page::page;
use super::{Check, Context, Finding, reading};
use crate::plan::Severity;

/// A file that cannot be used.
pub const CHECK: Check = Check {
    name: "use-failed",
    severities: &[Severity::Error],
    page: page!("use_failed.rs"),
    check,
    mends: None,
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    reading::report(CHECK.name, context, out);
}
