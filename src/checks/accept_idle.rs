//! # `accept-idle`: an accept that silences nothing
//!
//! **Hint** on an `accept` whose check has nothing to say about its stanza.
//!
//! ## Why it matters
//!
//! What was accepted once may have been mended since. Left standing, the accept would silence the same mistake when it is made
//! again, and the bench sheet prints a reason for something that is not there.
//!
//! ## The limit
//!
//! None. While the plan has errors of reading, or a scene without a solution, nothing is said: then the check may just not
//! have been able to look. Accepts in used files are left alone: another plan may need them.
//!
//! ## Shown
//!
//! ```harness
//! tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! strip saloon of warm 6 lamps from F1
//!   accept cut-inside-group because "the last lamps are covered by the funnel"
//! # ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ accept-idle
//! ```
//!
//! ## Mended
//!
//! ```harness
//! tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! strip saloon of warm 6 lamps from F1
//! ```

use super::page::page;
use super::{Check, Context, Finding, Mend, named, remove};
use crate::plan::{FileId, Severity, StanzaId};

/// An accept that silences nothing.
pub const CHECK: Check = Check {
    name: "accept-idle",
    severities: &[Severity::Hint],
    page: page!("accept_idle.rs"),
    check,
    mends: Some(take_out),
};

/// Runs last: `out` holds what all other checks found.
fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    if context.has_errors_of_reading() || context.solution.scenes.iter().any(|s| s.outcome.is_err())
    {
        return;
    }
    let mut idle = Vec::new();
    for &stanza in plan.order.iter().filter(|s| s.file == FileId(0)) {
        for clause in plan
            .stanza(stanza)
            .clauses
            .iter()
            .filter(|c| c.word == "accept")
        {
            let Some(check) = clause.names().find_map(|(name, _)| named(&name.0)) else {
                continue; // `unknown-name`
            };
            let silences = |f: &Finding| f.check == check.name && stands_on(context, f, stanza);
            if check.name != CHECK.name && !out.iter().any(silences) {
                let message = format!(
                    "There is no {} here for this to accept. Remove it, lest it hide a later one.",
                    check.name
                );
                let finding =
                    context.on_stanza(CHECK.name, Severity::Hint, stanza, clause.span, message);
                idle.push(Finding {
                    unnecessary: true,
                    ..finding
                });
            }
        }
    }
    out.extend(idle);
}

/// Whether an accept on this stanza is about the finding: on its own stanza, on a pattern's piece, or on
/// a copy that has it.
fn stands_on(context: &Context, finding: &Finding, stanza: StanzaId) -> bool {
    let items = &context.plan.items;
    finding.stanza == stanza
        || finding.about.iter().map(|i| &items[i.0]).any(|item| {
            item.stanza == stanza || item.copy.is_some_and(|copy| items[copy.0].stanza == stanza)
        })
}

fn take_out(context: &Context, finding: &Finding) -> Vec<Mend> {
    let edit = remove::words(context.plan, finding.stanza, finding.span);
    let mend = edit.map(|edit| Mend {
        title: "remove this accept".into(),
        edits: vec![edit],
        told: Vec::new(),
    });
    mend.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const STOCK: &str = "tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V\nsupply a 12 V 1 A\nfuse F1 200 mA from a\n";

    fn finds(wiring: &str) -> usize {
        found(&plan(&format!("{STOCK}{wiring}")), CHECK.name).len()
    }

    #[test]
    fn an_accept_that_silences_something_is_not_idle() {
        let accept = "accept cut-inside-group because \"tried\"\n";
        assert_eq!(
            finds(&format!("strip s of warm 7 lamps from F1 {accept}")),
            0
        );
        assert_eq!(
            finds(&format!("strip s of warm 6 lamps from F1 {accept}")),
            1
        );
        let piece =
            format!("pattern p\nstrip p.s of warm 7 lamps from p {accept}copy x of p from F1\n");
        assert_eq!(finds(&piece), 0);
    }

    #[test]
    fn nothing_is_said_of_a_plan_that_does_not_read() {
        let text = format!(
            "{STOCK}strip s of warm 6 lamps from F1 accept cut-inside-group because \"x\"\njoint j from nowhere\n"
        );
        assert!(plan(&text).findings.iter().all(|f| f.check != CHECK.name));
    }

    #[test]
    fn the_rest_of_the_line_stays() {
        let text = format!(
            "{STOCK}strip s of warm 6 lamps accept cut-inside-group because \"x\" from F1 # kept\n"
        );
        let after = format!("{STOCK}strip s of warm 6 lamps from F1 # kept\n");
        assert_eq!(mended(&plan(&text), CHECK.name), Some(after));
    }
}
