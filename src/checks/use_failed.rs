//! # `use-failed`: a file that cannot be used
//!
//! **Error** on the path of a `use` whose file is missing, cannot be read, lies outside the plan's folder, or uses this file in turn; or whose plan is not saved yet, so that nothing lies beside it.
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
//! use "stok.harness"
//! #   ^^^^^^^^^^^^^^ use-failed
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 280 mA from F1
//! ```
//!
//! ## Mended
//!
//! Where a file with nearly that name lies there, as `stock.harness`, its name is offered. Else save the file beside the plan, or write its
//! stanzas into the plan:
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
    mends: Some(reading::mends),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    reading::report(CHECK.name, context, out);
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::sync::Arc;

    use crate::checks::{Analysis, testing::mended};
    use crate::plan::FileKey;

    fn plan(stock: &str) -> Analysis {
        let files: BTreeMap<String, Arc<str>> = [
            ("stock.harness".to_owned(), Arc::from(stock)),
            (
                "leds.harness".to_owned(),
                "led ruby drops 2 V at 20 mA\n".into(),
            ),
        ]
        .into();
        let text =
            "use \"stok.harness\"\nsupply s 9 V 1 A\nlamp a of ruby resistor 470 ohm from s\n";
        Analysis::of(FileKey::new("plan"), text.into(), &files, &|| false)
    }

    #[test]
    fn the_nearest_file_is_tried_with_all_that_it_uses() {
        let a = plan("use \"leds.harness\"\n");
        let text = mended(&a, "use-failed").unwrap();
        assert!(text.starts_with("use \"stock.harness\"\nsupply"), "{text}");
        let use_failed = a.findings.iter().position(|f| f.check == "use-failed");
        let mend = &a.mends(use_failed.unwrap())[0];
        assert_eq!(mend.title, "write stock.harness");
        assert!(a.with_edits(&mend.edits).plan.problems.is_empty());
        // One that reads worse is no mend.
        assert_eq!(mended(&plan("led ruby drops 2 V at\n"), "use-failed"), None);
    }
}
