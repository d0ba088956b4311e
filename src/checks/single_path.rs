//! # `single-path`: a light fed through another light
//!
//! **Warning** when two lights or more have their power through another light and no second way, or when a light of
//! the chain is in a sealed zone; **hint** when it is one light that can still be reached.
//!
//! ## Why it matters
//!
//! A chain of lights, each soldered to the end of the one before, is quick to build, and one cold joint, one cracked pad or one
//! burnt group takes everything behind it along. In a closed hull that cannot be mended. Branched wiring, where each light has
//! its own pair back to a joint, costs some wire and keeps the rest lit.
//!
//! ## The limit
//!
//! One light behind another is a choice that the builder can still mend; from two on, or where a zone is closed for good, it is a
//! risk worth a word (common practice). A `link` that closes the ring is a second way, and counts.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! joint keel from F1 over 100 mm of fine
//! strip saloon-1 of warm 6 lamps from keel over 120 mm of fine
//! #     ^^^^^^^^ single-path
//! strip saloon-2 of warm 6 lamps from saloon-1 over 40 mm of fine
//! strip saloon-3 of warm 6 lamps from saloon-2 over 40 mm of fine
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! joint keel from F1 over 100 mm of fine
//! strip saloon-1 of warm 6 lamps from keel over 120 mm of fine
//! strip saloon-2 of warm 6 lamps from keel over 210 mm of fine
//! strip saloon-3 of warm 6 lamps from keel over 300 mm of fine
//! ```

use super::page::page;
use super::words::list;
use super::{Check, Context, Finding, Mend};
use crate::plan::{ItemId, Plan, Severity};
use crate::rewrites::branch_chain;

/// A light fed through another light.
pub const CHECK: Check = Check {
    name: "single-path",
    severities: &[Severity::Warning, Severity::Hint],
    page: page!("single_path.rs"),
    check,
    mends: Some(branch),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    let mut is_behind = vec![false; plan.items.len()];
    for first in feeding_lights(context) {
        if is_behind[first.0] {
            continue; // its chain is told on the first light
        }
        let mut behind = context.breaks().darkened(first);
        behind.retain(|&light| light != first);
        if behind.is_empty() {
            continue;
        }
        for light in &behind {
            is_behind[light.0] = true;
        }
        let sealed = behind
            .iter()
            .chain([&first])
            .any(|&light| context.is_sealed(light));
        let severity = match behind.len() > 1 || sealed {
            true => Severity::Warning,
            false => Severity::Hint,
        };
        let dark = behind.len() + 1;
        let (have, them) = match behind.len() {
            1 => ("has its", "it"),
            _ => ("have their", "them"),
        };
        let feed = plan.items[first.0].feed.as_ref();
        let ahead = feed.map_or(String::new(), |f| {
            format!(" from `{}`", plan.point_name(f.from))
        });
        let message = format!(
            "{} {have} power through {} alone: one break there darkens {dark} lights. Branch {them}{ahead}.",
            list(&context.names(&behind)),
            context.quoted(first)
        );
        let span = context.name_span(plan.items[first.0].stanza);
        let mut finding = context.on_item(CHECK.name, severity, first, span, message);
        let goes = format!("goes dark with {}", context.quoted(first));
        finding.related = behind
            .iter()
            .map(|&light| context.related(light, goes.clone()))
            .collect();
        out.push(finding);
    }
}

/// The lights that something is fed from, those nearest to a source first.
fn feeding_lights(context: &Context) -> Vec<ItemId> {
    let mut feeding = vec![false; context.plan.items.len()];
    for feed in context.plan.items.iter().filter_map(|i| i.feed.as_ref()) {
        feeding[feed.from.item.0] = true;
        feeding[feed.minus().item.0] = true;
    }
    let lights = context.plan.lights();
    let mut lights: Vec<ItemId> = lights.filter(|light| feeding[light.0]).collect();
    if lights.is_empty() {
        return lights;
    }
    let depths = depths(context.plan);
    lights.sort_by_key(|light| depths[light.0]);
    lights
}

/// For each item how many it is fed through, up to its source.
fn depths(plan: &Plan) -> Vec<usize> {
    let mut depths: Vec<Option<usize>> = vec![None; plan.items.len()];
    for item in 0..plan.items.len() {
        // Back to where the depth is known, and forth again.
        let mut way = Vec::new();
        let mut at = Some(item);
        while let Some(i) = at.filter(|&i| depths[i].is_none()) {
            depths[i] = Some(0);
            way.push(i);
            at = plan.items[i].feed.as_ref().map(|f| f.from.item.0);
        }
        let first = at.map_or(0, |i| depths[i].unwrap_or(0) + 1);
        for (depth, i) in (first..).zip(way.into_iter().rev()) {
            depths[i] = Some(depth);
        }
    }
    depths.into_iter().map(|depth| depth.unwrap_or(0)).collect()
}

fn branch(context: &Context, finding: &Finding) -> Vec<Mend> {
    match finding.about[..] {
        [] => Vec::new(),
        [first, ..] => branch_chain(context.plan, context.solution, first),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const STOCK: &str = "wire fine gauge 32 AWG\nled pearl drops 3.0 V at 20 mA\nsupply a 12 V 1 A\nfuse F1 200 mA from a\n";

    fn finds(lamps: &str) -> Vec<(String, Severity, usize)> {
        let findings = found(&plan(&format!("{STOCK}{lamps}")), CHECK.name);
        findings
            .into_iter()
            .map(|f| (f.item.unwrap().0.to_string(), f.severity, f.related.len()))
            .collect()
    }

    #[test]
    fn one_light_behind_is_a_hint_unless_a_zone_is_sealed() {
        let pair = "lamp x of pearl resistor 560 ohm from F1 over 50 mm of fine\nlamp y of pearl resistor 560 ohm from x over 50 mm of fine in hull\n";
        let with = |zone: &str| finds(&format!("zone hull{zone}\n{pair}"));
        assert_eq!(with(""), [("x".into(), Severity::Hint, 1)]);
        assert_eq!(with(" sealed"), [("x".into(), Severity::Warning, 1)]);
        let stage = with("\nstage close fits y seals hull");
        assert_eq!(stage, [("x".into(), Severity::Warning, 1)]);
    }

    #[test]
    fn each_chain_is_one_finding_on_its_first_light() {
        let lamps = "lamp x of pearl resistor 560 ohm from F1 over 50 mm of fine\n\
             lamp y of pearl resistor 560 ohm from x over 50 mm of fine\n\
             joint j from y over 20 mm of fine\n\
             lamp z of pearl resistor 560 ohm from j over 50 mm of fine\n\
             lamp other of pearl resistor 560 ohm from F1 over 50 mm of fine\n";
        assert_eq!(finds(lamps), [("x".into(), Severity::Warning, 2)]);
    }

    #[test]
    fn a_second_way_is_no_chain() {
        let ring = "lamp x of pearl resistor 560 ohm from F1 over 50 mm of fine\nlamp y of pearl resistor 560 ohm from x over 50 mm of fine\nlink ring between y and F1 over 50 mm of fine\n";
        assert_eq!(finds(ring), []);
    }

    #[test]
    fn a_ring_is_judged_light_by_light() {
        // The ring keeps x from darkening y, but z hangs on y alone.
        let ring = "lamp x of pearl resistor 560 ohm from F1 over 50 mm of fine\nlamp y of pearl resistor 560 ohm from x over 50 mm of fine\nlamp z of pearl resistor 560 ohm from y over 50 mm of fine\nlink ring between x and F1 over 50 mm of fine\n";
        assert_eq!(finds(ring), [("y".into(), Severity::Hint, 1)]);
    }

    #[test]
    fn the_mend_branches_it() {
        let text = format!(
            "{STOCK}joint keel from F1 over 30 mm of fine\nlamp x of pearl resistor 560 ohm from keel over 50 mm of fine\nlamp y of pearl resistor 560 ohm from x over 50 mm of fine\n"
        );
        let after = mended(&plan(&text), CHECK.name).unwrap();
        assert!(after.contains("from keel over 100 mm of fine"), "{after}");
    }
}
