//! # `stage-impossible`: a stage that comes too late
//!
//! **Error** when a stage fits a piece into a zone that an earlier stage has sealed, or leads its wire through one.
//!
//! ## Why it matters
//!
//! The order of the work is found out with a glued deck in hand, a strip of tape left over, and no way in.
//!
//! ## The limit
//!
//! None. Stages come in the order in which they stand; a zone is sealed from the end of the stage that `seals` it. A wire is fitted with the piece that it feeds,
//! and goes through the zones where it begins and ends and through those that its `via` leads through.
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
//! stage late fits well
//! #               ^^^^ stage-impossible
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
use super::ways::{Owner, Way, ways, zone_name};
use super::{Check, Context, Finding};
use crate::plan::{ItemId, Plan, Severity, Stage, ZoneId};
use crate::text::Span;

/// A stage that comes too late.
pub const CHECK: Check = Check {
    name: "stage-impossible",
    severities: &[Severity::Error],
    page: page!("stage_impossible.rs"),
    check,
    mends: None,
};

/// What is in the way of a piece.
enum Shut {
    /// It goes into this zone.
    Into(ZoneId),
    /// Its wire goes through this zone.
    Through(ZoneId),
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    if plan.stages.iter().all(|s| s.seals.is_empty()) {
        return;
    }
    let ways = ways(context);
    // The stage that has sealed a zone, by the zone.
    let mut sealed: Vec<Option<&Stage>> = vec![None; plan.zones.len()];
    for stage in &plan.stages {
        for (name, span) in fitted_names(context, stage) {
            let Some(item) = plan.item(name) else {
                continue;
            };
            let shut = pieces(plan, item).into_iter().find_map(|piece| {
                let shut = in_the_way(context, piece, &ways, &sealed)?;
                Some((piece, shut))
            });
            let Some((piece, shut)) = shut else { continue };
            let (zone, how) = match shut {
                Shut::Into(zone) => (zone, format!("{} into", context.quoted(piece))),
                Shut::Through(zone) => (
                    zone,
                    format!("the wire of {} through", context.quoted(piece)),
                ),
            };
            let Some(by) = sealed[zone.0] else { continue };
            let zone = zone_name(context, zone);
            let message = format!(
                "`{}` fits {how} `{zone}`, which `{}` has sealed by then. Fit it in `{}` or before.",
                stage.name.0, by.name.0, by.name.0
            );
            let mut finding =
                context.on_stanza(CHECK.name, Severity::Error, stage.stanza, span, message);
            finding.about = vec![piece];
            let seals = context.clause_span(by.stanza, "seals");
            finding.related = vec![(by.stanza, seals, format!("`{zone}` is sealed here"))];
            out.push(finding);
        }
        for zone in &stage.seals {
            sealed[zone.0].get_or_insert(stage);
        }
    }
}

/// The names of the items that a stage fits, without the outputs of boards, and where they stand.
fn fitted_names<'a>(context: &Context<'a>, stage: &Stage) -> Vec<(&'a str, Span)> {
    let plan = context.plan;
    let clause = plan.stanza(stage.stanza).clause("fits");
    let names = clause.into_iter().flat_map(|c| c.names());
    names
        .filter(|(name, _)| {
            let mut fits = stage.fits.iter();
            fits.any(|p| p.output.is_none() && plan.items[p.item.0].name == **name)
        })
        .map(|(name, span)| (&*name.0, span))
        .collect()
}

/// An item, and for a copy its pieces.
fn pieces(plan: &Plan, item: ItemId) -> Vec<ItemId> {
    let all = (0..plan.items.len()).map(ItemId);
    all.filter(|&i| i == item || plan.items[i.0].copy == Some(item))
        .collect()
}

fn in_the_way(
    context: &Context,
    item: ItemId,
    ways: &[Way],
    sealed: &[Option<&Stage>],
) -> Option<Shut> {
    let is_sealed = |zone: &ZoneId| sealed[zone.0].is_some();
    if let Some(zone) = context.plan.items[item.0].zone.filter(is_sealed) {
        return Some(Shut::Into(zone));
    }
    let own = ways.iter().filter(|w| w.owner == Owner::Item(item));
    own.flat_map(|way| zones_of(context, way))
        .find(is_sealed)
        .map(Shut::Through)
}

/// The zones that a run goes through: where it begins, and where it can only be between two of its passages.
fn zones_of(context: &Context, way: &Way) -> Vec<ZoneId> {
    let mut zones: Vec<ZoneId> = way.from.into_iter().collect();
    let ends = |k: usize| {
        way.run
            .via
            .get(k)
            .and_then(|p| context.plan.passages[p.0].ends)
    };
    for k in 0..way.run.via.len() {
        let (Some((a, b)), next) = (ends(k), ends(k + 1)) else {
            continue;
        };
        if let Some((c, d)) = next {
            zones.extend([a, b].into_iter().filter(|z| *z == c || *z == d));
        }
    }
    zones
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    const PLACES: &str = "wire w gauge 32 AWG\nled p drops 3 V at 20 mA\nzone a\nzone b\nzone c\npassage ab between a and b bore 3 mm\npassage bc between b and c bore 3 mm\nsupply s 9 V 100 mA in a\njoint j from s over 1 m of w via ab in b\nlamp la of p resistor 560 ohm from s over 1 m of w\nlamp lb of p resistor 560 ohm from j over 1 m of w\nlamp lc of p resistor 560 ohm from s over 1 m of w via ab, bc in c\nlamp ld of p resistor 560 ohm from j over 1 m of w via bc in c\npattern q needs bay\nlamp q.l of p resistor 560 ohm from q over 1 m of w via ab in q.bay\ncopy k of q from s where bay b\n";

    fn finds(stages: &str) -> Vec<String> {
        let analysis = plan(&format!("{PLACES}{stages}\n"));
        found(&analysis, CHECK.name)
            .into_iter()
            .map(|f| analysis.plan.stanza(f.stanza).words(f.span).to_owned())
            .collect()
    }

    #[test]
    fn nothing_goes_into_or_through_what_an_earlier_stage_sealed() {
        let after = |later: &str| finds(&format!("stage x fits j seals b\nstage y fits {later}"));
        assert_eq!(after("la"), [""; 0]);
        assert_eq!(after("la, lb"), ["lb"]);
        assert_eq!(after("lc"), ["lc"]); // through b
        assert_eq!(after("ld"), ["ld"]); // from a joint in b
        assert_eq!(after("k"), ["k"]); // its piece goes into b
    }

    #[test]
    fn the_sealing_stage_itself_may_fit_all_of_it() {
        assert_eq!(
            finds("stage x fits j, lb, lc, ld, k seals b\nstage y fits la"),
            [""; 0]
        );
        assert_eq!(finds("stage y fits lb\nstage x fits j seals b"), [""; 0]);
    }

    #[test]
    fn it_says_where_and_when() {
        let analysis = plan(&format!(
            "{PLACES}stage x fits j seals b\nstage y fits lc\n"
        ));
        assert_eq!(
            found(&analysis, CHECK.name)[0].message,
            "`y` fits the wire of `lc` through `b`, which `x` has sealed by then. Fit it in `x` or before."
        );
    }
}
