//! # `fuse-too-large`: a fuse that lets a wire burn
//!
//! **Error** when a run, up to the next fuse, may carry less than the fuse's rating, and less than a short at its far
//! end gives. One finding a fuse, the runs related.
//!
//! ## Why it matters
//!
//! A fuse is there for the wire. One that is larger than the wire behind it watches while the enamel chars and the plastic around it
//! melts: the wire has become the fuse, in a place that nobody can reach.
//!
//! ## The limit
//!
//! A fuse carries its rating for good (IEC 60127), so every run up to the next fuse has to carry that too: what its stock says
//! (`carries`), else half of the current that warms it by 20 K in still air (textbook convection). A run whose own resistance, or
//! whose source, keeps a short below what it may carry needs no fuse, and is not counted.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 5 A
//! fuse F1 2 A from adapter
//! #       ^^^ fuse-too-large
//! joint keel from F1 over 300 mm of fine
//! lamp mast of pearl resistor 560 ohm 1/2 W from keel over 200 mm of fine
//! lamp flag of pearl resistor 560 ohm 1/2 W from keel over 150 mm of fine
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 5 A
//! fuse F1 500 mA from adapter
//! joint keel from F1 over 300 mm of fine
//! lamp mast of pearl resistor 560 ohm 1/2 W from keel over 200 mm of fine
//! lamp flag of pearl resistor 560 ohm 1/2 W from keel over 150 mm of fine
//! ```
//!
//! The largest fuse of the preferred series (R10 of ISO 3) that protects the wire is offered; or thicker wire; or a fuse of its own for
//! the branch with the thin wire, at the fuse itself too where something else hangs on that.

use super::limits::{over, under};
use super::page::page;
use super::runs::related;
use super::words::quoted;
use super::{Check, Context, Finding, Mend};
use crate::circuit::fused_runs::{ByFuse, FusedRun, RunOf};
use crate::numbers::{show, show_apart};
use crate::plan::{ItemId, Part, Plan, Severity};
use crate::rewrites::branch_fuse;
use crate::rewrites::resize_fuse::smaller_fuse;
use crate::rewrites::route::Leg;
use crate::rewrites::thicker_wire::wire_that_carries;
use crate::units::ElectricCurrent;

/// A fuse that lets a wire burn.
pub const CHECK: Check = Check {
    name: "fuse-too-large",
    severities: &[Severity::Error],
    page: page!("fuse_too_large.rs"),
    check,
    mends: Some(mends),
};

/// The fuses of a plan and their ratings.
pub(super) fn fuses(plan: &Plan) -> impl Iterator<Item = (ItemId, ElectricCurrent)> + '_ {
    let items = plan.items.iter().enumerate();
    items.filter_map(|(i, item)| match item.part {
        Part::Fuse { rating, .. } => Some((ItemId(i), rating)),
        _ => None,
    })
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    let runs = ByFuse::of(context.fused_runs());
    for (fuse, rating) in fuses(plan) {
        let thin = too_thin(&runs, fuse, rating);
        let Some(worst) = thin
            .iter()
            .min_by(|a, b| a.carries.value.total_cmp(&b.carries.value))
        else {
            continue;
        };
        let current = worst.short.current;
        let (carries, [rating, short]) = show_apart(worst.carries, [rating, current]);
        let at = quoted(worst.of.name(plan));
        let wire = quoted(&plan.wires[worst.wire.0].name.0);
        let short = match current.is_finite() {
            true => format!("a short at {at} gives {short}"),
            false => format!("nothing limits a short at {at}"),
        };
        let message = format!(
            "{} holds {rating}, but {wire} behind it may carry {carries}, and {short}. Take a smaller fuse, or thicker wire.",
            context.quoted(fuse)
        );
        let span = context.head_span(plan.items[fuse.0].stanza, 1);
        let mut finding = context.on_item(CHECK.name, Severity::Error, fuse, span, message);
        let mut said: Vec<RunOf> = Vec::new();
        for run in &thin {
            if !said.contains(&run.of) {
                said.push(run.of);
                let text = format!("may carry {}", show(run.carries));
                finding.related.push(related(context, run.of, text));
            }
        }
        out.push(finding);
    }
}

/// The runs behind a fuse that it does not protect.
fn too_thin<'a>(runs: &ByFuse<'a>, fuse: ItemId, rating: ElectricCurrent) -> Vec<&'a FusedRun> {
    let runs = runs.behind(fuse).iter().copied();
    runs.filter(|run| under(run.carries, rating) && over(run.short.current, run.carries))
        .collect()
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let (plan, solution) = (context.plan, context.solution);
    let Some(&fuse) = finding.about.first() else {
        return Vec::new();
    };
    let Some((_, rating)) = fuses(plan).find(|f| f.0 == fuse) else {
        return Vec::new();
    };
    let runs = ByFuse::of(context.fused_runs());
    let legs: Vec<(RunOf, Leg)> = too_thin(&runs, fuse, rating)
        .into_iter()
        .flat_map(|run| [(run.of, Leg::Plus), (run.of, Leg::Minus)])
        .collect();
    let mut mends = smaller_fuse(plan, solution, fuse);
    mends.extend(branch_fuse(plan, solution, fuse));
    mends.extend(wire_that_carries(plan, &legs, rating));
    mends
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const WIRE: &str =
        "wire fine gauge 32 AWG carries 500 mA\nwire thick gauge 24 AWG carries 2 A\n";

    fn finds(wiring: &str) -> Vec<String> {
        let findings = found(&plan(&format!("{WIRE}{wiring}")), CHECK.name);
        findings.into_iter().map(|f| f.message).collect()
    }

    #[test]
    fn the_wire_carries_what_the_fuse_holds() {
        let with = |supply: &str, rating: &str| {
            let text = format!(
                "supply a 12 V {supply}\nfuse F {rating} from a\nload m resistance 1 kohm from F over 100 mm of fine\n"
            );
            finds(&text).len()
        };
        assert_eq!(with("2 A", "500 mA"), 0);
        assert_eq!(with("2 A", "500.0009 mA"), 0);
        assert_eq!(with("2 A", "500.0011 mA"), 1);
        assert_eq!(with("2 A", "1 A"), 1);
        // A short gives no more than the wire may carry: nothing can burn it.
        assert_eq!(with("500 mA", "1 A"), 0);
        assert_eq!(with("resistance 24 ohm", "1 A"), 0);
        assert_eq!(with("", "1 A"), 1);
    }

    #[test]
    fn only_the_runs_up_to_the_next_fuse_count() {
        let next = "supply a 12 V 5 A\nfuse F 2 A from a\njoint j from F over 100 mm of thick\nfuse G 400 mA from j\nload m resistance 1 kohm from G over 100 mm of fine\n";
        assert_eq!(finds(next), [""; 0]);
        let ahead = next.replace("from j\n", "from j over 10 mm of fine\n");
        assert_eq!(finds(&ahead).len(), 1);
        let back = next.replace(
            "100 mm of thick",
            "100 mm of thick return to a over 100 mm of fine",
        );
        assert_eq!(finds(&back).len(), 1);
        let link = format!("{next}link l between j and F over 20 mm of fine\n");
        assert_eq!(finds(&link).len(), 1);
    }

    #[test]
    fn the_message_names_the_thinnest_run() {
        let text = "supply a 12 V 5 A\nfuse F 4 A from a\njoint j from F over 100 mm of thick\nload m resistance 1 kohm from j over 100 mm of fine\n";
        assert_eq!(
            finds(text),
            [
                "`F` holds 4 A, but `fine` behind it may carry 500 mA, and a short at `m` gives 5 A. Take a smaller fuse, or thicker wire."
            ]
        );
    }

    #[test]
    fn a_smaller_fuse_a_fuse_for_the_branch_or_thicker_wire() {
        let text = format!(
            "{WIRE}supply a 12 V 5 A\nfuse F 1.6 A from a\njoint j from F over 100 mm of thick\nload big draws 200 mA from j over 100 mm of thick\nload m draws 100 mA from j over 100 mm of fine\n"
        );
        let analysis = plan(&text);
        let at = analysis
            .findings
            .iter()
            .position(|f| f.check == CHECK.name)
            .unwrap();
        let mends = analysis.mends(at);
        let titles: Vec<&str> = mends.iter().map(|m| &*m.title).collect();
        assert_eq!(
            titles,
            [
                "F of 500 mA instead of 1.6 A: it carries 300 mA, and fine may carry 500 mA",
                "a fuse of 500 mA at j for m: it carries 100 mA",
                "thick instead of fine to m: it may carry 2 A, and 1.6 A is wanted",
            ]
        );
        let after = |n: usize| {
            let after = analysis.with_edits(&mends[n].edits);
            after.plan.files[0].text.to_string()
        };
        assert_eq!(after(0), text.replace("1.6 A", "500 mA"));
        assert_eq!(
            after(1),
            text.replace(
                "load m draws 100 mA from j",
                "fuse F1 500 mA from j\nload m draws 100 mA from F1"
            )
        );
        assert_eq!(after(2), text.replace("of fine", "of thick"));
    }

    #[test]
    fn a_load_that_no_smaller_fuse_carries_gets_a_branch_of_its_own() {
        let text = format!(
            "{WIRE}supply a 12 V 5 A\nfuse F 1.6 A from a\njoint j from F over 100 mm of thick\nload big draws 1 A from j over 100 mm of thick\nload m draws 100 mA from j over 100 mm of fine\n"
        );
        let after = mended(&plan(&text), CHECK.name).unwrap();
        assert!(after.contains("fuse F1 500 mA from j"), "{after}");
    }

    #[test]
    fn a_branch_right_at_the_fuse_may_have_its_own() {
        let text = format!(
            "{WIRE}supply a 12 V 3 A\nfuse F 1.25 A from a\nload heat draws 800 mA from F over 200 mm of thick\nload m draws 100 mA from F over 100 mm of fine\n"
        );
        let after = mended(&plan(&text), CHECK.name).unwrap();
        let expected = text
            .replace("load m", "fuse F1 500 mA from F\nload m")
            .replace("100 mA from F", "100 mA from F1");
        assert_eq!(after, expected);
        // Where nothing else hangs on it, another would only stand in for it.
        let alone = text.replace("800 mA from F over 200 mm of thick", "800 mA from a");
        let at = |text: &str| {
            let analysis = plan(text);
            let at = analysis.findings.iter().position(|f| f.check == CHECK.name);
            analysis.mends(at.unwrap())
        };
        assert!(at(&alone).iter().all(|m| !m.title.contains("at F for")));
    }
}
