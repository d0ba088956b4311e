//! # `sealed-out-of-reach`: what wears out behind a wall
//!
//! **Warning** on a connector, a switch, a fuse or a battery in a zone that is `sealed`, or that a stage seals.
//!
//! ## Why it matters
//!
//! Contacts corrode, fuses blow, cells run flat and some leak. Behind a glued wall none of them can be reached again, and a plug that nobody can
//! pull is only one more contact that can fail. In a sealed zone solder joints alone stay; what has to be reached goes outside. A lithium cell belongs
//! where it can be taken out, charged by its own charger and watched.
//!
//! ## The limit
//!
//! None (common practice). A battery is a supply that states `capacity`, `spent` or `lasts`.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone plinth
//! zone hull sealed
//!
//! supply adapter 12 V 1 A in plinth
//! fuse F1 400 mA from adapter
//! connector plug rated 1 A from F1 over 100 mm of fine in hull
//! #         ^^^^ sealed-out-of-reach
//! lamp hold of pearl resistor 560 ohm from plug over 80 mm of fine
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone plinth
//! zone hull sealed
//!
//! supply adapter 12 V 1 A in plinth
//! fuse F1 400 mA from adapter
//! joint plug from F1 over 100 mm of fine in hull
//! lamp hold of pearl resistor 560 ohm from plug over 80 mm of fine
//! ```
//!
//! A connector may be soldered instead. A connector, switch or fuse whose run comes from outside may be moved to the beginning of that run: a joint then stands
//! where it was. One without a run of its own goes ahead of the parts that it sits on. A battery whose current leaves the zone by one run may sit at the far end of that run.

use super::page::page;
use super::{Check, Context, Finding, Mend};
use crate::plan::{Item, ItemId, Part, Severity};
use crate::rewrites::{move_battery, move_outside, solder_connector};

/// What wears out behind a wall.
pub const CHECK: Check = Check {
    name: "sealed-out-of-reach",
    severities: &[Severity::Warning],
    page: page!("sealed_out_of_reach.rs"),
    check,
    mends: Some(mends),
};

/// What a part that has to be reached is called, and why.
fn to_be_reached(item: &Item) -> Option<(&'static str, &'static str)> {
    match &item.part {
        Part::Connector { .. } => Some(("connector", "cannot be pulled there: solder it")),
        Part::Switch { .. } => Some(("switch", "cannot be reached there: move it out")),
        Part::Fuse { .. } => Some(("fuse", "cannot be replaced there: move it out")),
        Part::Supply(s) if s.capacity.is_some() || s.spent.is_some() || s.lasts.is_some() => {
            Some(("battery", "cannot be changed or charged there: move it out"))
        }
        _ => None,
    }
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    for (i, item) in context.plan.items.iter().enumerate() {
        let Some((what, why)) = to_be_reached(item).filter(|_| context.is_sealed(ItemId(i))) else {
            continue;
        };
        let zone = item
            .zone
            .map_or("", |zone| &*context.plan.zones[zone.0].name.0);
        let message = format!(
            "{} is a {what} in `{zone}`, which is sealed, and {why}.",
            context.quoted(ItemId(i))
        );
        let span = context.name_span(item.stanza);
        out.push(context.on_item(CHECK.name, Severity::Warning, ItemId(i), span, message));
    }
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let Some(&item) = finding.about.first() else {
        return Vec::new();
    };
    let moved = move_outside(context.plan, item);
    match context.plan.items[item.0].part {
        Part::Connector { .. } => solder_connector(context.plan, item)
            .into_iter()
            .chain(moved)
            .collect(),
        Part::Supply(_) => move_battery(context.plan, item).into_iter().collect(),
        _ => moved.into_iter().collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const PLACES: &str = "wire w gauge 32 AWG\nled p drops 3 V at 20 mA\nzone out\nzone hull sealed\nzone deck\nsupply s 9 V 100 mA in out\njoint keel from s over 90 mm of w in hull\n";

    fn text(wiring: &str) -> String {
        format!("{PLACES}{wiring}\n")
    }

    fn finds(wiring: &str) -> Vec<String> {
        let findings = found(&plan(&text(wiring)), CHECK.name);
        findings
            .into_iter()
            .map(|f| f.item.unwrap().0.to_string())
            .collect()
    }

    #[test]
    fn what_wears_out_is_found_in_sealed_zones_alone() {
        for item in ["connector x", "switch x", "fuse x 100 mA"] {
            assert_eq!(finds(&format!("{item} from keel")), ["x"]);
            assert_eq!(finds(&format!("{item} from s")), [""; 0]);
        }
        assert_eq!(finds("supply x 4.5 V capacity 2000 mAh in hull"), ["x"]);
        assert_eq!(finds("supply x 4.5 V in hull"), [""; 0]);
        assert_eq!(finds("resistor x 10 ohm from keel"), [""; 0]);
    }

    #[test]
    fn a_stage_seals_as_well() {
        let switch = "switch x from s in deck";
        assert_eq!(finds(switch), [""; 0]);
        assert_eq!(
            finds(&format!("{switch}\nstage shut fits x seals deck")),
            ["x"]
        );
    }

    #[test]
    fn a_connector_is_soldered() {
        let text = text("connector x rated 1 A contact 20 mohm from keel # the old plug")
            .replace("20 mohm", "0.02 ohm");
        let after = mended(&plan(&text), CHECK.name).unwrap();
        assert!(
            after.ends_with("joint x from keel # the old plug\n"),
            "{after}"
        );
    }

    #[test]
    fn a_battery_is_moved_with_what_sits_on_it() {
        let text = text(
            "supply x 4.5 V capacity 2000 mAh in hull # three cells\nfuse F 100 mA from x\njoint j from F\n  over 40 mm of w in deck\nlamp l of p resistor 82 ohm 1/4 W from j over 20 mm of w in hull\nload m draws 1 mA from keel",
        );
        let after = mended(&plan(&text), CHECK.name).unwrap();
        let end = "supply x 4.5 V capacity 2000 mAh in deck # three cells\nfuse F 100 mA from x\njoint j from F\n  in deck\nlamp l of p resistor 82 ohm 1/4 W from j over 20 mm of w in hull\nload m draws 1 mA from keel\n";
        assert!(after.ends_with(end), "{after}");
        // Two runs lead out: where it goes is the builder's choice.
        let two = text.replace(
            "draws 1 mA from keel",
            "draws 1 mA from F over 20 mm of w in deck",
        );
        assert_eq!(mended(&plan(&two), CHECK.name), None);
    }

    #[test]
    fn a_fuse_is_moved_to_the_beginning_of_its_run() {
        let text = text(
            "fuse x 100 mA from s over 40 mm of w in hull # spare: 2\nlamp l of p resistor 560 ohm from x over 20 mm of w",
        );
        let after = mended(&plan(&text), CHECK.name).unwrap();
        let end = "fuse x 100 mA from s # spare: 2\njoint x-end from x over 40 mm of w in hull\nlamp l of p resistor 560 ohm from x-end over 20 mm of w\n";
        assert!(after.ends_with(end), "{after}");
    }

    #[test]
    fn a_fuse_on_a_switch_goes_ahead_of_it() {
        let text = text(
            "joint port from s in deck\nswitch y from port over 40 mm of w in hull\njoint k from y\nfuse x 100 mA from k in hull # spare: 2\nlamp l of p resistor 560 ohm from x over 20 mm of w",
        );
        let analysis = plan(&text);
        let finding = analysis.findings.iter().position(|f| {
            f.check == CHECK.name && f.item.as_ref().is_some_and(|name| &*name.0 == "x")
        });
        let mends = analysis.mends(finding.unwrap());
        assert_eq!(mends[0].title, "move x to port, ahead of y");
        let after = analysis.with_edits(&mends[0].edits);
        let end = "switch y from x over 40 mm of w in hull\njoint k from y\nfuse x 100 mA from port # spare: 2\nlamp l of p resistor 560 ohm from k over 20 mm of w\n";
        let after = &after.plan.files[0].text;
        assert!(after.ends_with(end), "{after}");
        // Something else hangs on the way: it would be behind the fuse too.
        let shared = text.replace("fuse x", "load m draws 1 mA from k\nfuse x");
        let analysis = plan(&shared);
        let finding = analysis.findings.iter().position(|f| {
            f.check == CHECK.name && f.item.as_ref().is_some_and(|name| &*name.0 == "x")
        });
        assert_eq!(analysis.mends(finding.unwrap()), []);
    }
}
