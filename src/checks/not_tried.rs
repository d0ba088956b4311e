//! # `not-tried`: shut in without a trial
//!
//! **Warning** when a stage is `done` and seals a zone, and a light, board or load in that zone has no `tried`.
//!
//! ## Why it matters
//!
//! A lamp soldered the wrong way round, a cold joint, a resistor read wrongly: each shows in half a minute on the bench and never again once the glue has set.
//! The record says what the piece drew when it was whole, which is what you want to know when the model goes dark in ten years.
//!
//! ## The limit
//!
//! None (common practice). One `tried` for each piece that draws current is enough, at any voltage; one for a copy counts for all of its pieces. A piece
//! that is in no zone is asked for where the stage fits it.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone hull
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! lamp hold of pearl resistor 560 ohm from F1 over 150 mm of fine in hull
//! lamp well of pearl resistor 560 ohm from F1 over 170 mm of fine in hull
//! #    ^^^^ not-tried
//! stage shut fits hold, well seals hull done 2026-03-14
//! tried hold 16.2 mA at 12 V on 2026-03-12
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone hull
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! lamp hold of pearl resistor 560 ohm from F1 over 150 mm of fine in hull
//! lamp well of pearl resistor 560 ohm from F1 over 170 mm of fine in hull
//! stage shut fits hold, well seals hull done 2026-03-14
//! tried hold 16.2 mA at 12 V on 2026-03-12
//! tried well 16.1 mA at 12 V on 2026-03-12
//! ```

use super::page::page;
use super::{Check, Context, Finding};
use crate::plan::{Item, ItemId, Part, Plan, Severity, Stage};

/// Shut in without a trial.
pub const CHECK: Check = Check {
    name: "not-tried",
    severities: &[Severity::Warning],
    page: page!("not_tried.rs"),
    check,
    mends: None,
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    if context.has_errors_of_reading() {
        return; // the trial may be among what could not be read
    }
    for (i, item) in plan.items.iter().enumerate() {
        if !draws_current(plan, item) || is_tried(plan, ItemId(i)) {
            continue;
        }
        let stages = plan.stages.iter().filter(|s| s.done.is_some());
        let Some((stage, zone)) = stages
            .filter_map(|s| Some((s, shut_in(s, ItemId(i), item)?)))
            .next()
        else {
            continue;
        };
        let zone = &plan.zones[zone].name.0;
        let name = context.name(ItemId(i));
        let message = format!(
            "`{}` is done and has sealed `{zone}`, but nothing says that `{name}` was tried. Add what it drew: `tried {name} … mA at … V`.",
            stage.name.0
        );
        let span = context.name_span(item.stanza);
        let mut finding = context.on_item(CHECK.name, Severity::Warning, ItemId(i), span, message);
        finding.related = vec![(
            stage.stanza,
            context.clause_span(stage.stanza, "done"),
            format!("`{zone}` is sealed here"),
        )];
        out.push(finding);
    }
}

/// Whether there is something to try: a light, a load, a board that draws something itself.
fn draws_current(plan: &Plan, item: &Item) -> bool {
    match item.part {
        Part::Strip { .. } | Part::Lamps { .. } | Part::Load(_) => true,
        Part::Board { module } => plan.modules[module.0].draws.value > 0.0,
        _ => false,
    }
}

/// Whether a piece was tried, alone or with the copy that it belongs to.
fn is_tried(plan: &Plan, item: ItemId) -> bool {
    let copy = plan.items[item.0].copy;
    let mut tried = plan.trials.iter().map(|t| t.item);
    tried.any(|t| t == item || Some(t) == copy)
}

/// The zone (its index) in which a stage shuts a piece in.
fn shut_in(stage: &Stage, id: ItemId, item: &Item) -> Option<usize> {
    match item.zone {
        Some(zone) => stage.seals.contains(&zone).then_some(zone.0),
        None => {
            let fits = stage.fits.iter().map(|p| p.item);
            let fitted = fits.into_iter().any(|f| f == id || Some(f) == item.copy);
            stage.seals.first().filter(|_| fitted).map(|zone| zone.0)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    const PIECES: &str = "led p drops 3 V at 20 mA\nmodule m works 7 V to 13 V draws 5 mA\n  output a 20 mA\nmodule n works 7 V to 13 V\n  output a 20 mA\nzone z\nzone y\nsupply s 9 V 100 mA in y\njoint j from s in z\nlamp l of p resistor 560 ohm from j\nload f draws 5 mA from j\nboard b of m from j\nboard c of n from j\nlamp o of p resistor 560 ohm from s\npattern w\nlamp w.t of p resistor 560 ohm from w\ncopy k of w from j\n";

    fn finds(stages: &str) -> Vec<String> {
        found(&plan(&format!("{PIECES}{stages}\n")), CHECK.name)
            .into_iter()
            .map(|f| f.item.unwrap().0.to_string())
            .collect()
    }

    #[test]
    fn what_draws_current_in_the_sealed_zone_is_asked_for() {
        let shut = "stage a fits j, l, f, b, c, k, o seals z";
        assert_eq!(finds(shut), [""; 0]);
        assert_eq!(
            finds(&format!("{shut} done 2026-03-14")),
            ["l", "f", "b", "w.t"]
        );
        assert_eq!(finds("stage a fits l done 2026-03-14"), [""; 0]);
    }

    #[test]
    fn one_trial_is_enough_and_a_copys_counts_for_its_pieces() {
        let shut = "stage a fits l seals z done 2026-03-14\ntried l 9 mA at 9 V\ntried f 5 mA at 9 V\ntried b 5 mA at 9 V";
        assert_eq!(finds(shut), ["w.t"]);
        assert_eq!(finds(&format!("{shut}\ntried k 9 mA at 9 V")), [""; 0]);
        assert_eq!(finds(&format!("{shut}\ntried k.t 9 mA at 9 V")), [""; 0]);
    }

    #[test]
    fn without_a_zone_the_stage_that_fits_it_counts() {
        let text = "led p drops 3 V at 20 mA\nzone z\nsupply s 9 V 100 mA\nlamp l of p resistor 560 ohm from s\nlamp m of p resistor 560 ohm from s\nstage a fits l seals z done 2026-03-14\n";
        let findings = found(&plan(text), CHECK.name);
        assert_eq!(findings.len(), 1);
        assert_eq!(&*findings[0].item.as_ref().unwrap().0, "l");
    }
}
