//! # `feed-unfused`: a run with no fuse ahead of it
//!
//! On the way from a source to a run there is no fuse. **Error** when a short at the run's far end gives more than its wire may carry;
//! **warning** when it does not, so that the source's own limit is all that protects the wire; **hint** for a source of up to
//! 100 mA. One finding for each source, on the first such item.
//!
//! ## Why it matters
//!
//! A whisker of solder or a pinched wire joins plus and minus, and the source drives what it can through wire as thin as a hair. The enamel
//! chars, styrene melts, and where the source is a lithium cell the fire does not stop when the wire has parted. A fuse right after the source
//! opens before the wire gets hot. Test a new harness on a supply with a current limit, and never leave it running unwatched.
//!
//! ## The limit
//!
//! The short is what the source's voltage drives through the resistance of the whole loop, with the source's stated current as
//! ceiling; a source that states neither a current nor a resistance has no ceiling. The wire may carry what its stock says (`carries`), else half of the
//! current that warms it by 20 K in still air (textbook convection). A fuse belongs at the beginning of what it
//! protects: one that sits at the end of a run does not protect that run (common practice).
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! joint keel from adapter over 300 mm of fine
//! #          ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ feed-unfused
//! lamp mast of pearl resistor 560 ohm from keel over 200 mm of fine
//! lamp flag of pearl resistor 560 ohm from keel over 150 mm of fine
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! joint keel from F1 over 300 mm of fine
//! lamp mast of pearl resistor 560 ohm from keel over 200 mm of fine
//! lamp flag of pearl resistor 560 ohm from keel over 150 mm of fine
//! ```
//!
//! The fuse that is offered is the largest of the preferred series (R10 of ISO 3, as IEC 60127 uses it) that the thinnest wire behind it may
//! carry and that the source can still blow, at 2.1 times its rating; the load uses no more than three quarters of it. Where the source is too weak to
//! blow any of those, it is the smallest that carries the load.

use std::collections::BTreeMap;

use super::limits::over;
use super::page::page;
use super::runs::{feed_span, on_run, related, run_of};
use super::words::quoted;
use super::{Check, Context, Finding, Mend};
use crate::circuit::fused_runs::{FusedRun, RunOf};
use crate::numbers::{show, show_and_limit};
use crate::plan::{ItemId, Part, Severity};
use crate::rewrites::insert_fuse;
use crate::units::{ElectricCurrent, amps};

/// A run with no fuse ahead of it.
pub const CHECK: Check = Check {
    name: "feed-unfused",
    severities: &[Severity::Error, Severity::Warning, Severity::Hint],
    page: page!("feed_unfused.rs"),
    check,
    mends: Some(put_a_fuse),
};

/// Up to this current a source is weak: its wire may still get warm, but hardly hot.
fn weak() -> ElectricCurrent {
    amps(0.1)
}

/// Whether a short at its far end gives more than it may carry.
fn is_overloaded_by_a_short(run: &FusedRun) -> bool {
    over(run.short.current, run.carries)
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    for (source, unfused) in unfused(context) {
        let Some(first) = unfused.first() else {
            continue;
        };
        // It stands on the first run, where the fuse is missing; how bad it is, the worst run says.
        let worst = unfused
            .iter()
            .find(|u| is_overloaded_by_a_short(u))
            .unwrap_or(first);
        let limit = match &context.plan.items[source.0].part {
            Part::Supply(supply) => supply.limit,
            _ => None,
        };
        let severity = match limit {
            Some(limit) if !over(limit, weak()) => Severity::Hint,
            _ if is_overloaded_by_a_short(worst) => Severity::Error,
            _ => Severity::Warning,
        };
        let item = quoted(first.of.name(context.plan));
        let from = context.quoted(source);
        let short_at = short_said(context, first.of, worst.of);
        let message = if !worst.short.current.is_finite() {
            format!(
                "No fuse between {from} and {item}, and nothing limits {from}{short_at} burns wire that may carry {}. Put a fuse right after {from}.",
                show(worst.carries)
            )
        } else if is_overloaded_by_a_short(worst) {
            let (short, carries) = show_and_limit(worst.short.current, worst.carries);
            format!(
                "No fuse between {from} and {item}{short_at} drives {short} through wire that may carry {carries}. Put a fuse right after {from}."
            )
        } else {
            let (short, carries) = show_and_limit(first.short.current, first.carries);
            format!(
                "No fuse between {from} and {item}: the wire, good for {carries}, is safe only because a short there drives no more than {short}. Put a fuse right after {from}."
            )
        };
        let span = feed_span(context, first.of);
        let mut finding = on_run(context, CHECK.name, severity, first.of, span, message);
        finding.related = unfused
            .iter()
            .filter(|u| u.of != first.of)
            .map(|u| {
                let text = format!("no fuse between {from} and this run either");
                related(context, u.of, text)
            })
            .collect();
        out.push(finding);
    }
}

/// Where the worst short is, seen from the first run: there, behind it, or on another way.
fn short_said(context: &Context, first: RunOf, worst: RunOf) -> String {
    if worst == first {
        return ": a short there".to_owned();
    }
    let at = quoted(worst.name(context.plan));
    let is_behind = match (first, worst) {
        (RunOf::Item(first), RunOf::Item(worst)) => context.way_back(worst).any(|i| i == first),
        _ => false,
    };
    match is_behind {
        true => format!(": a short at {at}, behind it,"),
        false => format!("; a short at {at}, unfused too,"),
    }
}

/// The runs that no fuse stands ahead of, in the order of the plan, by their source.
fn unfused(context: &Context) -> BTreeMap<ItemId, Vec<FusedRun>> {
    let mut by_source: BTreeMap<ItemId, Vec<FusedRun>> = BTreeMap::new();
    let runs = context.fused_runs().iter();
    for run in runs.filter(|run| run.fuse().is_none()).cloned() {
        let here = by_source.entry(run.short.supply).or_default();
        match here.last_mut().filter(|known| known.of == run.of) {
            // A link, whose two ends follow each other: the one from which more flows speaks.
            Some(known) if run.short.current > known.short.current => *known = run,
            Some(_) => {}
            None => here.push(run),
        }
    }
    by_source
}

/// A fuse right after the source.
fn put_a_fuse(context: &Context, finding: &Finding) -> Vec<Mend> {
    let plan = context.plan;
    let of = run_of(context, finding);
    let mut runs = context.fused_runs().iter();
    let run = runs.find(|run| Some(run.of) == of && run.fuse().is_none());
    run.map_or_else(Vec::new, |run| {
        insert_fuse(plan, context.solution, run.short.supply)
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn severity(supply: &str, wiring: &str) -> Option<Severity> {
        let text = format!(
            "wire fine gauge 32 AWG carries 500 mA\nwire thick gauge 24 AWG carries 2 A\n{supply}\n{wiring}"
        );
        let findings = found(&plan(&text), CHECK.name);
        assert!(findings.len() <= 1);
        findings.first().map(|f| f.severity)
    }

    const FINE: &str = "load m resistance 1 kohm from a over 100 mm of fine\n";

    #[test]
    fn what_a_short_gives_decides() {
        assert_eq!(severity("supply a 12 V 1 A", FINE), Some(Severity::Error));
        assert_eq!(
            severity("supply a 12 V 500 mA", FINE),
            Some(Severity::Warning)
        );
        assert_eq!(severity("supply a 12 V 100 mA", FINE), Some(Severity::Hint));
        assert_eq!(
            severity("supply a 12 V 101 mA", FINE),
            Some(Severity::Warning)
        );
        // No ceiling but the loop: 12 V over 10 ohm and less, over 100 ohm and more.
        assert_eq!(severity("supply a 12 V", FINE), Some(Severity::Error));
        assert_eq!(
            severity("supply a 12 V resistance 10 ohm", FINE),
            Some(Severity::Error)
        );
        assert_eq!(
            severity("supply a 12 V resistance 100 ohm", FINE),
            Some(Severity::Warning)
        );
    }

    #[test]
    fn a_fuse_protects_what_is_behind_it() {
        let behind = "fuse F from a\nload m resistance 1 kohm from F over 100 mm of fine\n"
            .replace("F from", "F 50 mA from");
        assert_eq!(severity("supply a 12 V 1 A", &behind), None);
        let at_the_end =
            "fuse F 50 mA from a over 100 mm of fine\nload m resistance 1 kohm from F\n";
        assert_eq!(
            severity("supply a 12 V 1 A", at_the_end),
            Some(Severity::Error)
        );
        assert_eq!(
            severity("supply a 12 V 1 A", "load m resistance 1 kohm from a\n"),
            None
        );
    }

    #[test]
    fn one_finding_a_source_on_the_first_run_and_as_bad_as_the_worst() {
        let text = "wire fine gauge 32 AWG carries 500 mA\nwire thick gauge 24 AWG carries 2 A\nsupply a 12 V 1 A\njoint j from a over 1 m of thick\nload m resistance 1 kohm from j over 1 m of fine\n";
        let findings = found(&plan(text), CHECK.name);
        assert_eq!(findings.len(), 1);
        assert_eq!(&*findings[0].item.as_ref().unwrap().0, "j");
        assert_eq!(findings[0].severity, Severity::Error);
        assert!(
            findings[0]
                .message
                .contains("a short at `m`, behind it, drives 1 A")
        );
        assert_eq!(findings[0].related.len(), 1);
        // Beside it, not behind it.
        let beside = text.replace("from j over 1 m of fine", "from a over 1 m of fine");
        let message = &found(&plan(&beside), CHECK.name)[0].message;
        assert!(
            message.starts_with(
                "No fuse between `a` and `j`; a short at `m`, unfused too, drives 1 A"
            ),
            "{message}"
        );
    }

    #[test]
    fn a_link_is_a_run_too() {
        // The load sits on the source itself; the link brings the source to the fused joint by its own wire.
        let link = "fuse F 200 mA from a\njoint j from F over 100 mm of thick\nlink l between j and a over 100 mm of fine\n";
        assert_eq!(severity("supply a 12 V 1 A", link), Some(Severity::Error));
    }

    #[test]
    fn the_mend_re_points_all_users() {
        let text = "wire fine gauge 32 AWG\nsupply a 12 V 1 A # the wall\nload m resistance 1 kohm from a over 1 m of fine\nload n resistance 1 kohm from a over 1 m of fine return to a\n";
        assert_eq!(
            mended(&plan(text), CHECK.name).unwrap(),
            "wire fine gauge 32 AWG\nsupply a 12 V 1 A # the wall\nfuse F1 400 mA from a\nload m resistance 1 kohm from F1 over 1 m of fine\nload n resistance 1 kohm from F1 over 1 m of fine return to a\n"
        );
    }
}
