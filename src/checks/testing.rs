//! What the tests of checks share.

use std::sync::Arc;

use super::{Analysis, Finding};
use crate::plan::FileKey;
use crate::plan::sources::Alone;

/// The analysis of a plan that stands alone.
pub(super) fn plan(text: &str) -> Analysis {
    Analysis::of(
        FileKey::new("test.harness"),
        Arc::from(text),
        &Alone,
        &|| false,
    )
}

/// The findings of one check; the plan must read without a fault, lest a test pass by accident.
pub(super) fn found(analysis: &Analysis, check: &str) -> Vec<Finding> {
    let problems = &analysis.plan.problems;
    assert!(problems.is_empty(), "{problems:#?}");
    let findings = analysis.findings.iter();
    findings.filter(|f| f.check == check).cloned().collect()
}

/// The text after the preferred mend of the first finding of a check; `None` without a mend.
pub(super) fn mended(analysis: &Analysis, check: &str) -> Option<String> {
    let finding = analysis.findings.iter().position(|f| f.check == check);
    let finding = finding.unwrap_or_else(|| panic!("no {check}"));
    let mend = analysis.mends(finding).into_iter().next()?;
    let after = analysis.with_edits(&mend.edits);
    Some(after.plan.files[0].text.to_string())
}
