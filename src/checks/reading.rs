//! What the checks of reading share: their findings are the problems that reading the plan met with.

use super::{Context, Finding, Mend};

/// The checks whose findings come from reading the plan.
const OF_READING: &[&str] = &[
    "syntax",
    "unknown-name",
    "name-taken",
    "wrong-unit",
    "clause-missing",
    "clause-repeated",
    "use-failed",
    "drops-impossible",
    "fed-in-a-circle",
    "not-fed",
];

/// Whether a check's findings come from reading the plan.
pub(super) fn is_of_reading(check: &str) -> bool {
    OF_READING.contains(&check)
}

/// Whether a check looks at the text of one stanza alone.
pub(super) fn is_of_text(check: &str) -> bool {
    matches!(
        check,
        "syntax" | "wrong-unit" | "clause-missing" | "clause-repeated"
    )
}

/// Puts down the problems of one check.
pub(super) fn report(check: &'static str, context: &Context, out: &mut Vec<Finding>) {
    for problem in context.plan.problems.iter().filter(|p| p.check == check) {
        let mut finding = context.on_stanza(
            check,
            problem.severity,
            problem.stanza,
            problem.span,
            problem.message.clone(),
        );
        finding.related = problem.related.clone();
        out.push(finding);
    }
}

/// The repairs that come with a problem.
pub(super) fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let problem = context.plan.problems.iter().find(|p| {
        (p.check, p.stanza, p.span) == (finding.check, finding.stanza, finding.span)
            && p.message == finding.message
    });
    let mends = problem.map_or(&[][..], |p| &p.mends);
    mends
        .iter()
        .map(|m| Mend {
            title: m.title.clone(),
            edits: m.edits.clone(),
            told: Vec::new(),
        })
        .collect()
}
