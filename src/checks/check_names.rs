//! The names of checks that a plan writes, in `treat` and `accept`: those of the catalogue.

use super::{CHECKS, Context, Finding, Mend};
use crate::plan::{Edit, Severity};
use crate::syntax::tree::Clause;

/// All names of the catalogue.
pub fn all() -> impl Iterator<Item = &'static str> {
    CHECKS.iter().map(|c| c.name)
}

/// The name of the catalogue that is spelt most nearly like this one.
pub fn nearest(name: &str) -> Option<&'static str> {
    let near = all()
        .map(|known| (strsim::osa_distance(known, name), known))
        .min()?;
    (near.0 <= name.chars().count() / 3).then_some(near.1)
}

/// Reports names that are not of the catalogue.
pub(super) fn report(check: &'static str, context: &Context, out: &mut Vec<Finding>) {
    for &stanza in &context.plan.order {
        let clauses = context.plan.stanza(stanza).clauses.iter();
        for (name, span) in clauses
            .filter(|c| names_a_check(c))
            .flat_map(|c| c.names().take(1))
        {
            if all().any(|known| known == &*name.0) {
                continue;
            }
            let message = match nearest(&name.0) {
                Some(near) => format!("No check is named `{}`. Nearest name: {near}.", name.0),
                None => format!(
                    "No check is named `{}`. Take the name from the finding itself.",
                    name.0
                ),
            };
            out.push(context.on_stanza(check, Severity::Error, stanza, span, message));
        }
    }
}

fn names_a_check(clause: &Clause) -> bool {
    matches!(clause.word, "treat" | "accept")
}

/// The nearest name instead.
pub(super) fn mends(context: &Context, finding: &Finding) -> Option<Mend> {
    let stanza = context.plan.stanza(finding.stanza);
    let clauses = stanza.clauses.iter().filter(|c| names_a_check(c));
    let (name, span) = clauses
        .flat_map(|c| c.names().take(1))
        .find(|(_, s)| *s == finding.span)?;
    let near = nearest(&name.0)?;
    let edit = Edit {
        stanza: finding.stanza,
        span,
        text: near.to_owned(),
    };
    Some(Mend {
        title: format!("write {near}"),
        edits: vec![edit],
        told: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const LAMP: &str =
        "led p drops 3 V at 20 mA\nsupply s 9 V 100 mA\nlamp l of p resistor 560 ohm from s";

    #[test]
    fn names_of_checks_are_known() {
        let text = format!(
            "harness \"x\" treat sngle-path as off\n{LAMP} accept zone-dark because \"y\"\n"
        );
        let findings = found(&plan(&text), "unknown-name");
        assert_eq!(findings.len(), 1);
        assert_eq!(
            findings[0].message,
            "No check is named `sngle-path`. Nearest name: single-path."
        );
        assert!(
            mended(&plan(&text), "unknown-name")
                .unwrap()
                .starts_with("harness \"x\" treat single-path as off")
        );
        let text = format!("{LAMP} accept everything because \"y\"\n");
        assert_eq!(found(&plan(&text), "unknown-name").len(), 1);
    }

    #[test]
    fn no_name_stands_twice() {
        let mut names: Vec<_> = all().collect();
        let count = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), count);
    }
}
