//! # `lift-off-tied`: a part that its wires hold down
//!
//! **Warning** when a run goes into a zone that `lifts off` and there is no connector on its way.
//!
//! ## Why it matters
//!
//! A roof that comes off to show the inside, or to reach a battery, hangs on its wires. They are as thin as hair: after a few openings one breaks at its
//! solder joint, mostly in the part that is hardest to reach.
//!
//! ## The limit
//!
//! None (common practice). A connector counts at the end of the run, at its beginning, and further back as long as the way stays in the zone that the run
//! comes from: what is behind it comes off with the part. Both legs need one; a link into the zone likewise.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone house
//! zone roof lifts off
//!
//! supply adapter 12 V 1 A in house
//! fuse F1 400 mA from adapter
//! lamp attic of pearl resistor 560 ohm from F1 over 150 mm of fine in roof
//! #                                    ^^^^^^^^^^^^^^^^^^^^^^^^^^^ lift-off-tied
//! lamp stair of pearl resistor 560 ohm from F1 over 100 mm of fine
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone house
//! zone roof lifts off
//!
//! supply adapter 12 V 1 A in house
//! fuse F1 400 mA from adapter
//! connector roof-plug from F1
//! lamp attic of pearl resistor 560 ohm from roof-plug over 150 mm of fine in roof
//! lamp stair of pearl resistor 560 ohm from F1 over 100 mm of fine
//! ```

use super::page::page;
use super::ways::{Owner, Way, ways, zone_name};
use super::{Check, Context, Finding, Mend};
use crate::plan::{ItemId, Part, Severity, ZoneId};
use crate::rewrites::insert_connector;
use crate::rewrites::shortest_way::RunOf;

/// A part that its wires hold down.
pub const CHECK: Check = Check {
    name: "lift-off-tied",
    severities: &[Severity::Warning],
    page: page!("lift_off_tied.rs"),
    check,
    mends: Some(put_a_connector),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let mut told: Option<Owner> = None;
    for way in ways(context) {
        if told == Some(way.owner) {
            continue; // its plus leg
        }
        let Some(zone) = entered(context, &way).filter(|&zone| is_tied(context, &way, zone)) else {
            continue;
        };
        told = Some(way.owner);
        let zone = zone_name(context, zone);
        let mut wire = way.name(context);
        wire.replace_range(..1, "T");
        let message = format!(
            "{wire} goes into `{zone}`, which lifts off, and no connector is on its way. Put one in, so that `{zone}` comes off without a soldering iron."
        );
        let clause = way.run_of.clause(context.plan, way.stanza);
        let span = clause.map_or_else(|| context.name_span(way.stanza), |c| c.span);
        let mut finding =
            context.on_stanza(CHECK.name, Severity::Warning, way.stanza, span, message);
        finding.about = way.about();
        out.push(finding);
    }
}

/// The zone that lifts off into which a run goes from outside.
fn entered(context: &Context, way: &Way) -> Option<ZoneId> {
    let lifts_off = |zone: &ZoneId| context.plan.zones[zone.0].lifts_off;
    if way.from == way.to {
        return None;
    }
    match way.owner {
        Owner::Item(_) => way.to.filter(lifts_off),
        Owner::Link(_) => way.to.filter(lifts_off).or(way.from.filter(lifts_off)),
    }
}

/// Whether no connector parts a run that goes into this zone.
fn is_tied(context: &Context, way: &Way, zone: ZoneId) -> bool {
    let plan = context.plan;
    let is_connector = |item: ItemId| matches!(plan.items[item.0].part, Part::Connector { .. });
    let minus = way.run_of == RunOf::Minus;
    let outside = match way.owner {
        Owner::Item(item) if is_connector(item) => return false,
        Owner::Item(item) => plan.items[item.0]
            .feed
            .as_ref()
            .map(|feed| if minus { feed.minus() } else { feed.from }),
        Owner::Link(link) => {
            let (a, b) = plan.links[link.0].ends;
            Some(if plan.items[a.item.0].zone == Some(zone) {
                b
            } else {
                a
            })
        }
    };
    let Some(outside) = outside else { return false };
    let comes_from = plan.items[outside.item.0].zone;
    let mut at = outside.item;
    // No circles are left in a plan; the bound is for safety alone.
    for _ in 0..plan.items.len() {
        if plan.items[at.0].zone != comes_from {
            break;
        }
        if is_connector(at) {
            return false;
        }
        let Some(feed) = &plan.items[at.0].feed else {
            break;
        };
        at = if minus {
            feed.minus().item
        } else {
            feed.from.item
        };
    }
    true
}

fn put_a_connector(context: &Context, finding: &Finding) -> Vec<Mend> {
    let item = finding.about.first();
    item.and_then(|&item| insert_connector(context.plan, item))
        .into_iter()
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const PLACES: &str = "wire w gauge 32 AWG\nled p drops 3 V at 20 mA\nzone house\nzone cellar\nzone roof lifts off\nsupply s 9 V 100 mA in cellar\n";

    fn finds(wiring: &str) -> usize {
        found(&plan(&format!("{PLACES}{wiring}\n")), CHECK.name).len()
    }

    #[test]
    fn a_connector_at_either_end_parts_the_run() {
        let lamp = "lamp l of p resistor 560 ohm from";
        assert_eq!(finds(&format!("{lamp} s over 1 m of w in roof")), 1);
        assert_eq!(finds(&format!("{lamp} s over 1 m of w in house")), 0);
        let at_the_end =
            format!("connector c from s over 1 m of w in roof\n{lamp} c over 1 m of w");
        assert_eq!(finds(&at_the_end), 0);
        let at_the_beginning = format!("connector c from s\n{lamp} c over 1 m of w in roof");
        assert_eq!(finds(&at_the_beginning), 0);
    }

    #[test]
    fn a_connector_in_another_room_does_not() {
        let lamp = "lamp l of p resistor 560 ohm from j over 1 m of w in roof";
        let far = format!("connector c from s\njoint j from c over 1 m of w in house\n{lamp}");
        assert_eq!(finds(&far), 1);
        let near = format!(
            "connector c from s over 1 m of w in house\njoint j from c over 1 m of w\n{lamp}"
        );
        assert_eq!(finds(&near), 0);
    }

    #[test]
    fn only_the_first_run_into_it_counts() {
        let inside = "joint j from s over 1 m of w in roof\nlamp l of p resistor 560 ohm from j over 1 m of w\nlamp m of p resistor 560 ohm from j over 1 m of w";
        assert_eq!(finds(inside), 1);
    }

    #[test]
    fn both_legs_and_links_need_one() {
        let back = "connector c from s\njoint j from s\nlamp l of p resistor 560 ohm from c over 1 m of w return to j in roof";
        assert_eq!(finds(back), 1);
        let link = "connector c from s\njoint j from s\njoint k from c over 1 m of w in roof\nlink r between k and j over 1 m of w";
        assert_eq!(finds(link), 1);
        assert_eq!(finds(&link.replace("k and j", "k and c")), 0);
    }

    #[test]
    fn one_connector_does_for_all_runs_from_a_point() {
        let text = format!(
            "{PLACES}# up there\nlamp l of p resistor 560 ohm from s over 1 m of w in roof\nlamp k of p resistor 560 ohm from s over 1 m of w\nlamp m of p resistor 560 ohm from s over 2 m of w in roof\n"
        );
        assert_eq!(found(&plan(&text), CHECK.name).len(), 2);
        let after = mended(&plan(&text), CHECK.name).unwrap();
        assert_eq!(
            after,
            format!(
                "{PLACES}connector roof-plug from s\n# up there\nlamp l of p resistor 560 ohm from roof-plug over 1 m of w in roof\nlamp k of p resistor 560 ohm from s over 1 m of w\nlamp m of p resistor 560 ohm from roof-plug over 2 m of w in roof\n"
            )
        );
        assert_eq!(found(&plan(&after), CHECK.name), []);
    }
}
