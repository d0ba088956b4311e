//! # `fuse-may-not-blow`: a fuse that a short does not open
//!
//! **Warning** when a short at a run's far end gives, by the resistance of the loop, less than 2.1 times the rating of the fuse ahead,
//! but more than the run may carry. **Hint** when the supply itself gives less than 2.1 times the rating: then the supply, not the
//! fuse, must cut off.
//!
//! ## Why it matters
//!
//! Thin wire, a long run, tired cells: each holds the current of a short back so far that the fuse warms up and stays whole, while
//! the wire cooks.
//!
//! ## The limit
//!
//! A quick-acting miniature fuse opens within half an hour at 2.1 times its rating, and may hold for good at 1.5 times (IEC 60127-2, sheets 1 and 2; from memory).
//! The loop is both legs of all runs, contacts, fuses, tracks, resistors, and the source's own resistance.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply cells 4.5 V resistance 3 ohm
//! fuse F1 500 mA resistance 1 ohm from cells
//! #       ^^^^^^ fuse-may-not-blow
//! lamp mast of pearl resistor 75 ohm 1/4 W from F1 over 20 mm of fine
//! lamp flag of pearl resistor 75 ohm 1/4 W at lamp from F1 over 1 m of fine
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply cells 4.5 V resistance 3 ohm
//! fuse F1 400 mA resistance 1 ohm from cells
//! lamp mast of pearl resistor 75 ohm 1/4 W from F1 over 20 mm of fine
//! lamp flag of pearl resistor 75 ohm 1/4 W at lamp from F1 over 1 m of fine
//! ```

use rustc_hash::FxHashSet;

use super::fuse_too_large::fuses;
use super::limits::{over, under};
use super::page::page;
use super::runs::related;
use super::words::quoted;
use super::{Check, Context, Finding, Mend};
use crate::circuit::fused_runs::{ByFuse, FusedRun, RunOf};
use crate::numbers::{show, show_and_limit, show_apart};
use crate::plan::{ItemId, Severity};
use crate::rewrites::resize_fuse::{smaller_fuse, smaller_that_blows, source_limit};
use crate::rewrites::thicker_wire::wire_that_blows;
use crate::rewrites::usual::FUSE_BLOWS;
use crate::units::ElectricCurrent;

/// A fuse that a short does not open.
pub const CHECK: Check = Check {
    name: "fuse-may-not-blow",
    severities: &[Severity::Warning, Severity::Hint],
    page: page!("fuse_may_not_blow.rs"),
    check,
    mends: Some(mends),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    let runs = ByFuse::of(context.fused_runs());
    for (fuse, rating) in fuses(plan) {
        let blows = rating * FUSE_BLOWS;
        let name = context.quoted(fuse);
        let span = context.head_span(plan.items[fuse.0].stanza, 1);
        let weak = too_weak(&runs, fuse, blows);
        let least = weak
            .iter()
            .min_by(|a, b| a.short.by_loop.value.total_cmp(&b.short.by_loop.value));
        if let Some(least) = least {
            let (short, [carries, blows]) = show_apart(least.short.by_loop, [least.carries, blows]);
            let message = format!(
                "A short at {} gives {short}, more than its wire may carry ({carries}), and {name} of {} is sure to open only at {blows}. Take a smaller fuse, or thicker wire.",
                quoted(least.of.name(plan)),
                show(rating)
            );
            let mut finding = context.on_item(CHECK.name, Severity::Warning, fuse, span, message);
            let mut said: FxHashSet<RunOf> = FxHashSet::default();
            for run in weak {
                if said.insert(run.of) {
                    let text = format!("a short here gives {}", show(run.short.by_loop));
                    finding.related.push(related(context, run.of, text));
                }
            }
            out.push(finding);
        } else if let Some(limit) = source_limit(plan, fuse).filter(|&l| under(l, blows)) {
            let (limit, blows) = show_and_limit(limit, blows);
            let smaller = match smaller_that_blows(plan, context.solution, runs.behind(fuse), fuse)
            {
                Some(_) => " A smaller fuse would.",
                None => "",
            };
            let message = format!(
                "The supply gives {limit}, and {name} of {} is sure to open only at {blows}: in a short the supply has to cut off.{smaller}",
                show(rating)
            );
            out.push(context.on_item(CHECK.name, Severity::Hint, fuse, span, message));
        }
    }
}

/// The runs behind a fuse that a short harms before it opens the fuse.
fn too_weak<'a>(runs: &ByFuse<'a>, fuse: ItemId, blows: ElectricCurrent) -> Vec<&'a FusedRun> {
    let runs = runs.behind(fuse).iter().copied();
    runs.filter(|run| under(run.short.by_loop, blows) && over(run.short.current, run.carries))
        .collect()
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let (plan, solution) = (context.plan, context.solution);
    let fuse = finding.about.first().copied();
    let Some((fuse, rating)) = fuses(plan).find(|f| Some(f.0) == fuse) else {
        return Vec::new();
    };
    let mut mends = smaller_fuse(plan, solution, fuse);
    let blows = rating * FUSE_BLOWS;
    let runs = ByFuse::of(context.fused_runs());
    if let [run] = too_weak(&runs, fuse, blows)[..] {
        mends.extend(wire_that_blows(plan, run, blows));
    }
    mends
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn severity(supply: &str, rating: &str) -> Option<Severity> {
        let text = format!(
            "wire fine gauge 32 AWG carries 500 mA\nsupply a 12 V {supply}\nfuse F {rating} from a\nload m resistance 1 kohm from F over 0 mm of fine\n"
        );
        found(&plan(&text), CHECK.name).first().map(|f| f.severity)
    }

    #[test]
    fn the_loop_decides() {
        // 12 V over 12 ohm is 1 A: it opens a fuse of up to 476 mA.
        assert_eq!(severity("resistance 12 ohm", "476 mA"), None);
        assert_eq!(
            severity("resistance 12 ohm", "477 mA"),
            Some(Severity::Warning)
        );
        // 0.5 A and less do the wire no harm.
        assert_eq!(severity("resistance 24 ohm", "477 mA"), None);
        assert_eq!(
            severity("resistance 23.9 ohm", "477 mA"),
            Some(Severity::Warning)
        );
    }

    #[test]
    fn a_weak_supply_is_a_hint() {
        assert_eq!(severity("840 mA", "400 mA"), None);
        assert_eq!(severity("839 mA", "400 mA"), Some(Severity::Hint));
        // What the supply gives does the wire no harm; the loop alone would.
        assert_eq!(
            severity("400 mA resistance 12 ohm", "500 mA"),
            Some(Severity::Hint)
        );
        assert_eq!(severity("", "400 mA"), None);
    }

    #[test]
    fn a_smaller_fuse_mends_both() {
        let weak = "supply a 12 V 500 mA\nfuse F 400 mA from a\nload m resistance 1 kohm from F\n";
        assert_eq!(
            mended(&plan(weak), CHECK.name).unwrap(),
            weak.replace("400 mA", "200 mA")
        );
        let thin = "wire fine gauge 32 AWG carries 500 mA\nwire hook gauge 24 AWG carries 2 A\nsupply a 1.5 V\nfuse F 500 mA from a\nload m resistance 1 kohm from F over 2 m of fine\n";
        let analysis = plan(thin);
        let at = analysis.findings.iter().position(|f| f.check == CHECK.name);
        let mends = analysis.mends(at.unwrap());
        let texts: Vec<String> = mends
            .iter()
            .map(|m| analysis.with_edits(&m.edits).plan.files[0].text.to_string())
            .collect();
        // 4 m of 32 AWG are 2.2 ohm, and 0.7 A: enough for 315 mA. Of 24 AWG 0.34 ohm: 4.5 A.
        assert_eq!(
            texts,
            [
                thin.replace("F 500 mA", "F 315 mA"),
                thin.replace("2 m of fine", "2 m of hook")
            ]
        );
    }

    #[test]
    fn a_smaller_one_is_spoken_of_only_where_it_holds_the_load() {
        let with = |load: &str| {
            let text =
                format!("supply a 12 V 500 mA\nfuse F 500 mA from a\nload m draws {load} from F\n");
            found(&plan(&text), CHECK.name).remove(0).message
        };
        // 500 mA open 238 mA and less: 200 mA of the series, which hold 150 mA for good.
        assert!(with("150 mA").ends_with("the supply has to cut off. A smaller fuse would."));
        assert!(with("151 mA").ends_with("the supply has to cut off."));
    }

    #[test]
    fn a_short_that_gives_hardly_more_than_the_wire_carries_reads_as_more() {
        // 12 V over 23.99 ohm: 500.2 mA.
        let text = "wire fine gauge 32 AWG carries 500 mA\nsupply a 12 V resistance 23.99 ohm\nfuse F 477 mA from a\nload m resistance 1 kohm from F over 0 mm of fine\n";
        let message = &found(&plan(text), CHECK.name)[0].message;
        assert!(
            message.starts_with(
                "A short at `m` gives 500.2 mA, more than its wire may carry (500 mA)"
            ),
            "{message}"
        );
    }
}
