//! # `never-fitted`: sealed before it is in
//!
//! **Hint** on a stage that seals a zone in which a light, board or load sits that no stage fits.
//!
//! ## Why it matters
//!
//! The stages are the list that one works down. What is on none of them lies on the bench when the deck is glued.
//!
//! ## The limit
//!
//! None. A stage that fits a copy fits its pieces. Joints and other parts that only pass power on are not asked for: they are soldered in with
//! what hangs on them.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone plinth
//! zone hull
//!
//! supply adapter 12 V 1 A in plinth
//! fuse F1 400 mA from adapter
//! lamp hold of pearl resistor 560 ohm from F1 over 150 mm of fine in hull
//! lamp well of pearl resistor 560 ohm from F1 over 170 mm of fine in hull
//! stage shut fits hold seals hull
//! #                    ^^^^^^^^^^ never-fitted
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone plinth
//! zone hull
//!
//! supply adapter 12 V 1 A in plinth
//! fuse F1 400 mA from adapter
//! lamp hold of pearl resistor 560 ohm from F1 over 150 mm of fine in hull
//! lamp well of pearl resistor 560 ohm from F1 over 170 mm of fine in hull
//! stage shut fits hold, well seals hull
//! ```

use super::page::page;
use super::words::list;
use super::{Check, Context, Finding, Mend};
use crate::plan::{Edit, ItemId, Part, Plan, Severity, Stage, ZoneId};
use crate::rewrites::hold_columns;
use crate::text::Span;

/// Sealed before it is in.
pub const CHECK: Check = Check {
    name: "never-fitted",
    severities: &[Severity::Hint],
    page: page!("never_fitted.rs"),
    check,
    mends: Some(fit),
};

/// How many of the pieces are pointed at.
const SHOWN: usize = 5;

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    if context.has_errors_of_reading() {
        return; // the stage that fits it may be among what could not be read
    }
    for stage in 0..plan.stages.len() {
        let left = left_out(plan, stage);
        if left.is_empty() {
            continue;
        }
        let stage = &plan.stages[stage];
        let names = context.names(&left);
        let zones: Vec<String> = (stage.seals.iter())
            .filter(|&&zone| left.iter().any(|i| plan.items[i.0].zone == Some(zone)))
            .map(|zone| format!("`{}`", plan.zones[zone.0].name.0))
            .collect();
        let (is, it) = match left.len() {
            1 => ("is", "it"),
            _ => ("are", "them"),
        };
        let message = format!(
            "`{}` seals {}, and {} in there {is} fitted by no stage. Fit {it} here or before.",
            stage.name.0,
            list(&zones),
            list(&names)
        );
        let span = context.clause_span(stage.stanza, "seals");
        let mut finding =
            context.on_stanza(CHECK.name, Severity::Hint, stage.stanza, span, message);
        let shown = left.iter().take(SHOWN);
        finding.related = shown
            .map(|&item| context.related(item, "fitted by no stage"))
            .collect();
        out.push(finding);
    }
}

/// What sits in the zones that this stage is the first to seal, and is fitted by no stage.
fn left_out(plan: &Plan, stage: usize) -> Vec<ItemId> {
    let sealed_before = |zone: &ZoneId| plan.stages[..stage].iter().any(|s| s.seals.contains(zone));
    let seals: Vec<ZoneId> = (plan.stages[stage].seals.iter().copied())
        .filter(|zone| !sealed_before(zone))
        .collect();
    let all = (0..plan.items.len()).map(ItemId);
    all.filter(|&id| {
        let item = &plan.items[id.0];
        let piece = item.is_light() || matches!(item.part, Part::Board { .. } | Part::Load(_));
        let fits = |s: &Stage| {
            s.fits
                .iter()
                .any(|p| p.item == id || Some(p.item) == item.copy)
        };
        piece && item.zone.is_some_and(|z| seals.contains(&z)) && !plan.stages.iter().any(fits)
    })
    .collect()
}

/// This stage fits it too; a copy as a whole.
fn fit(context: &Context, finding: &Finding) -> Vec<Mend> {
    fitted(context, finding).into_iter().collect()
}

fn fitted(context: &Context, finding: &Finding) -> Option<Mend> {
    let plan = context.plan;
    let stage = (plan.stages.iter()).position(|s| s.stanza == finding.stanza)?;
    let mut names: Vec<&str> = Vec::new();
    for item in left_out(plan, stage) {
        let name = context.name(plan.items[item.0].copy.unwrap_or(item));
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let fits = plan.stanza(finding.stanza).clause("fits")?;
    let (_, last) = fits.names().last()?;
    let edit = Edit {
        stanza: finding.stanza,
        span: Span::new(last.end, last.end),
        text: format!(", {}", names.join(", ")),
    };
    let stage = &plan.stages[stage];
    let zones: Vec<&str> = (stage.seals.iter())
        .map(|z| &*plan.zones[z.0].name.0)
        .collect();
    Some(Mend {
        title: format!(
            "fit {} in {} too, before {} is sealed",
            list(&names),
            stage.name.0,
            list(&zones)
        ),
        edits: hold_columns(plan, finding.stanza, vec![edit]),
        told: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const PLAN: &str = "led p drops 3 V at 20 mA\nzone z\nzone y\nsupply s 9 V 100 mA in y\njoint j from s in z\nlamp l of p resistor 560 ohm from j\nload f draws 5 mA from j\nlamp o of p resistor 560 ohm from s\npattern w\nlamp w.t of p resistor 560 ohm from w\ncopy k of w from j\n";

    fn finds(stages: &str) -> Vec<String> {
        let findings = found(&plan(&format!("{PLAN}{stages}\n")), CHECK.name);
        findings.into_iter().map(|f| f.message).collect()
    }

    #[test]
    fn what_sits_in_a_sealed_zone_is_fitted_by_some_stage() {
        assert_eq!(finds("stage a fits l, f, k seals z"), [""; 0]);
        assert_eq!(finds("stage a fits l, f, k.t seals z"), [""; 0]);
        assert_eq!(finds("stage a fits l, f\nstage b fits k seals z"), [""; 0]);
        // Too late is for another check.
        assert_eq!(finds("stage a fits l, k seals z\nstage b fits f"), [""; 0]);
        assert_eq!(finds("stage a fits l"), [""; 0]);
        assert_eq!(
            finds("stage a fits l seals z"),
            [
                "`a` seals `z`, and `f` and `k.t` in there are fitted by no stage. Fit them here or before."
            ]
        );
    }

    #[test]
    fn each_stage_answers_for_the_zones_that_it_seals() {
        let both = finds("stage a fits l, f, k seals y\nstage b fits l seals z");
        assert_eq!(
            both,
            ["`a` seals `y`, and `o` in there is fitted by no stage. Fit it here or before."]
        );
        let again = finds("stage a fits l, f seals z\nstage b fits o seals z");
        assert_eq!(again.len(), 1);
    }

    #[test]
    fn the_stage_fits_it_too() {
        let text = format!("{PLAN}stage a fits l seals z\n");
        assert_eq!(
            mended(&plan(&text), CHECK.name).unwrap(),
            format!("{PLAN}stage a fits l, f, k seals z\n")
        );
    }
}
