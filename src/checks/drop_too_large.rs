//! # `drop-too-large`: too much voltage lost on the way
//!
//! **Warning** when a light loses more on the way from its supply, regulator or regulated output than the plan's `max-drop`, with all values
//! as stated.
//!
//! ## Why it matters
//!
//! Thin wire takes its share of every volt. The far light of a long run is dimmer than the near one of the same kind, and
//! changes when its neighbours are switched: what looked alike on the bench does not in the model.
//!
//! ## The limit
//!
//! 5 % of what the source gives (common practice); `max-drop 3 %` in the `harness` stanza says otherwise. What is lost in wire, track, contacts and fuses, in
//! both legs, counts; what resistors and diodes take does not.
//!
//! ## Shown
//!
//! ```harness
//! wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! tape shelf group 1 lamps long 10 mm works 4 V to 5.5 V draws 18 mA at 5 V colour warm-white
//!
//! supply charger 5 V 1 A
//! fuse F1 400 mA from charger
//! joint keel from F1 over 100 mm of hook
//! strip saloon of shelf 12 lamps from keel over 1200 mm of fine
//! #                              ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ drop-too-large
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black
//! tape shelf group 1 lamps long 10 mm works 4 V to 5.5 V draws 18 mA at 5 V colour warm-white
//!
//! supply charger 5 V 1 A
//! fuse F1 400 mA from charger
//! joint keel from F1 over 100 mm of hook
//! strip saloon of shelf 12 lamps from keel over 1200 mm of hook
//! ```
//!
//! The thinnest wire of the plan's stock that keeps the drop is offered, on the run that loses most or on all of the way; and, for a light
//! that is chained through another, a branch of its own. A light that hangs on joints of a long way may have a run of its own wire from
//! further ahead.

use super::limits::over;
use super::page::page;
use super::supplies::judged;
use super::words::{in_scene, quoted};
use super::{Check, Context, Finding, Mend};
use crate::numbers::{show, show_and_limit, three_digits};
use crate::plan::{ItemId, Point, Severity};
use crate::rewrites::thicker_wire::{fed_with, wire_that_keeps_drop};
use crate::rewrites::{branch_chain, own_run};
use crate::units::ElectricPotential;

/// Too much voltage lost on the way.
pub const CHECK: Check = Check {
    name: "drop-too-large",
    severities: &[Severity::Warning],
    page: page!("drop_too_large.rs"),
    check,
    mends: Some(mends),
};

/// What a light may lose, and what feeds it.
fn limit(context: &Context, light: ItemId) -> Option<(ElectricPotential, Point)> {
    let (fed, point) = fed_with(context.plan, light)?;
    Some((fed * context.plan.settings.max_drop, point))
}

/// Whether this is found on a light.
pub(super) fn is_lost(context: &Context, light: ItemId) -> bool {
    let drop = context.greatest(|f| Some(f.items.get(light.0)?.drop));
    let lost = limit(context, light).zip(drop);
    lost.is_some_and(|((limit, _), drop)| over(drop.typical, limit))
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    let judged = judged(context);
    for light in context.plan.lights().filter(|light| judged[light.0]) {
        let Some((limit, from)) = limit(context, light) else {
            continue;
        };
        let Some(drop) = context.greatest(|f| Some(f.items.get(light.0)?.drop)) else {
            continue;
        };
        if !over(drop.typical, limit) {
            continue;
        }
        let max = context.plan.settings.max_drop;
        let (lost, limit_words) = show_and_limit(drop.typical, limit);
        let from = quoted(&context.plan.point_name(from));
        let message = format!(
            "{} loses {lost} on the way from {from} {}; {} % of {} is {limit_words}. Take thicker wire, or a run of its own.",
            context.quoted(light),
            in_scene(drop.typical_scene),
            three_digits(max.value * 100.0),
            show(limit / max),
        );
        let span = context.clause_span(context.plan.items[light.0].stanza, "from");
        out.push(context.on_item(CHECK.name, Severity::Warning, light, span, message));
    }
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let (plan, solution) = (context.plan, context.solution);
    let Some(&light) = finding.about.first() else {
        return Vec::new();
    };
    let Some((limit, _)) = limit(context, light) else {
        return Vec::new();
    };
    let mut mends = wire_that_keeps_drop(plan, solution, light, limit);
    mends.extend(branch_chain(plan, solution, light));
    mends.extend(own_run(plan, solution, light, limit));
    mends
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    /// 100 mA through 1.6 ohm of contacts and its own wire of nothing.
    fn finds(harness: &str, contact: &str) -> Vec<String> {
        let text = format!(
            "{harness}led big drops 3 V at 100 mA limit 200 mA\nsupply a 5 V 1 A\nfuse F 400 mA from a\nconnector c contact {contact} from F\nlamp m of big resistor 10 ohm from c\nload n draws 100 mA from c\nscene alone off n\n"
        );
        let findings = found(&plan(&text), CHECK.name);
        findings.into_iter().map(|f| f.message).collect()
    }

    #[test]
    fn both_legs_count_and_the_worst_scene_is_named() {
        // The load alone takes 100 mA through two contacts of 0.1 ohm: 20 mV; the lamp rather more.
        assert_eq!(finds("", "0.1 ohm"), [""; 0]);
        let message = finds("", "0.6 ohm").remove(0);
        assert!(message.starts_with("`m` loses "), "{message}");
        assert!(
            message.contains("on the way from `a` with everything on; 5 % of 5 V is 0.25 V"),
            "{message}"
        );
    }

    #[test]
    fn the_plan_may_allow_more_or_less() {
        assert_eq!(finds("harness \"h\" max-drop 10 %\n", "0.6 ohm"), [""; 0]);
        assert_eq!(finds("harness \"h\" max-drop 1 %\n", "0.1 ohm").len(), 1);
    }

    #[test]
    fn the_limit_itself_is_not_passed() {
        // A string's current is set by a load that draws exactly 100 mA: 0.25 V over 2.5 ohm (two legs).
        let at = |draws: &str| {
            let text = format!(
                "led dot drops 3 V at 20 mA\nsupply a 5 V 1 A\nfuse F 400 mA from a\nconnector c contact 1.25 ohm from F\nlamp m of dot resistor 1 Mohm from c\nload n draws {draws} from c\n"
            );
            found(&plan(&text), CHECK.name).len()
        };
        assert_eq!(at("99.99 mA"), 0);
        assert_eq!(at("100.01 mA"), 1);
    }

    #[test]
    fn it_counts_from_the_regulator() {
        let text = "wire fine gauge 32 AWG\nled p drops 3 V at 20 mA\nsupply a 12 V 1 A\nfuse F 250 mA from a\nregulator r 3.3 V 300 mA from F over 2 m of fine\nlamp m of p resistor 10 ohm from r\nload n draws 150 mA from r\n";
        assert_eq!(found(&plan(text), CHECK.name), []);
        let behind = text.replace("from F over 2 m of fine", "from F").replace(
            "lamp m of p resistor 10 ohm from r\nload n draws 150 mA from r",
            "joint j from r over 2 m of fine\nlamp m of p resistor 10 ohm from j\nload n draws 150 mA from j",
        );
        let findings = found(&plan(&behind), CHECK.name);
        assert!(
            findings[0]
                .message
                .contains("from `r` with everything on; 5 % of 3.3 V is 0.165 V"),
            "{findings:?}"
        );
    }

    #[test]
    fn the_run_that_loses_most_gets_other_wire() {
        let text = "wire thick gauge 20 AWG\nwire hook gauge 24 AWG\nwire fine gauge 32 AWG\ntape t group 1 lamps long 10 mm works 4 V to 5.5 V draws 18 mA at 5 V\nsupply a 5 V 2 A\nfuse F 500 mA from a\njoint j from F over 1 m of fine\nstrip s of t 10 lamps from j over 100 mm of fine\nstrip u of t 5 lamps from j over 50 mm of hook\nload w draws 1 mA from j over 50 mm of thick\n";
        assert_eq!(
            mended(&plan(text), CHECK.name).unwrap(),
            text.replace("1 m of fine", "1 m of hook")
        );
    }

    #[test]
    fn a_light_far_along_the_joints_may_have_a_run_of_its_own() {
        let text = "wire fine gauge 30 AWG\ntape t group 1 lamps long 10 mm works 4 V to 5.5 V draws 18 mA at 5 V\nsupply a 5 V 1 A\nfuse F 400 mA from a\njoint j from F over 100 mm of fine\njoint k from j over 1600 mm of fine\nload m draws 200 mA from k\nstrip s of t 3 lamps from k over 150 mm of fine\nscene dark off k\n";
        let analysis = plan(text);
        let at = analysis.findings.iter().position(|f| f.check == CHECK.name);
        let mends = analysis.mends(at.unwrap());
        // Two legs of 1.75 m at 0.339 ohm per metre (30 AWG, hand calculation) and 54 mA are 64 mV; 5 % of 5 V is 250 mV.
        let title = "branch s from j by a run of its own: ";
        let mend = mends.iter().find(|m| m.title.starts_with(title));
        let mend = mend.unwrap_or_else(|| panic!("{mends:?}"));
        assert!(
            mend.title.ends_with("3200 mm more wire for both legs"),
            "{}",
            mend.title
        );
        let after = analysis.with_edits(&mend.edits);
        assert_eq!(
            &*after.plan.files[0].text,
            text.replace("from k over 150 mm", "from j over 1750 mm")
                .replace("dark off k", "dark off k, s")
        );
    }

    #[test]
    fn a_chained_light_may_be_branched() {
        let text = "wire fine gauge 32 AWG\ntape t group 1 lamps long 10 mm works 4 V to 5.5 V draws 18 mA at 5 V track 14 ohm per m\nsupply a 5 V 1 A\nfuse F 400 mA from a\njoint j from F over 100 mm of fine\nstrip s of t 10 lamps from j over 50 mm of fine\nstrip u of t 6 lamps from s over 50 mm of fine\n";
        let analysis = plan(text);
        let at = analysis.findings.iter().position(|f| f.check == CHECK.name);
        let mends = analysis.mends(at.unwrap());
        assert!(
            mends.iter().any(|m| m.title.starts_with("branch u from j")),
            "{mends:?}"
        );
    }
}
