//! What a plan says about checks: `treat CHECK as …` for all of it, `accept CHECK because …` for one
//! stanza. Both hold for every check alike.

use std::collections::HashSet;

use super::Finding;
use crate::plan::{Plan, Severity, StanzaId};

/// The findings that remain, with the severities that the plan gives them.
pub(super) fn apply(plan: &Plan, findings: Vec<Finding>) -> Vec<Finding> {
    let mut left = Vec::with_capacity(findings.len());
    let accepted = accepted(plan);
    for mut finding in findings {
        let treated = plan
            .settings
            .treat
            .iter()
            .rev()
            .find(|(check, _)| **check == *finding.check);
        match treated.map(|(_, word)| *word) {
            Some("off") => continue,
            Some("hint") => finding.severity = Severity::Hint,
            Some("warning") => finding.severity = Severity::Warning,
            Some("error") => finding.severity = Severity::Error,
            _ => {}
        }
        if !is_accepted(plan, &accepted, &finding) {
            left.push(finding);
        }
    }
    left
}

/// Whether an `accept` silences it: one on its own stanza, or on the stanza of what it is about (the
/// pattern's piece, where it stands on a copy).
fn is_accepted(plan: &Plan, accepted: &HashSet<(StanzaId, &str)>, finding: &Finding) -> bool {
    let about = finding.about.iter().map(|i| plan.items[i.0].stanza);
    std::iter::once(finding.stanza)
        .chain(about)
        .any(|stanza| accepted.contains(&(stanza, finding.check)))
}

/// Which stanza accepts which check.
fn accepted(plan: &Plan) -> HashSet<(StanzaId, &str)> {
    let mut accepted = HashSet::new();
    for &id in &plan.order {
        let clauses = plan.stanza(id).clauses.iter();
        for clause in clauses.filter(|c| c.word == "accept") {
            accepted.extend(clause.names().map(|(name, _)| (id, &*name.0)));
        }
    }
    accepted
}
