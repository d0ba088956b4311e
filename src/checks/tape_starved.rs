//! # `tape-starved`: tape that does not get its voltage
//!
//! **Error** when the voltage at a strip's lowest group is under what its tape works at, all values as stated. **Warning** when that is so only
//! at a corner, or when the strip draws under half of what it would draw with no run ahead of it. **Hint** when it draws under a tenth of what
//! its tape is stated to draw, and does not say `dimmed`.
//!
//! ## Why it matters
//!
//! Three lamps in series want nine volts before they light at all: a volt lost in hair-thin wire is half of the light, and the far
//! end of a long strip goes first. On the bench, with short leads, it looked right.
//!
//! ## The limit
//!
//! The tape's own `works`. Half of the current is about half of the light, which the eye sees (common practice). `dimmed` says that running a strip
//! low is meant; under `works` some groups stay dark all the same, so that is told in any case.
//!
//! ## Shown
//!
//! ```harness
//! harness "Gallery" max-drop 10 %
//! wire hair gauge 40 AWG insulation enamel colours red, green
//! wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black
//! tape warm group 3 lamps long 25 mm works 11.5 V to 12.6 V draws 18 mA at 12 V colour warm-white
//!
//! supply adapter 12 V 1 A tolerance 1 %
//! fuse F1 125 mA from adapter
//! joint keel from F1 over 100 mm of hook
//! strip saloon of warm 15 lamps from keel over 1200 mm of hair
//! #     ^^^^^^ tape-starved
//! ```
//!
//! ## Mended
//!
//! ```harness
//! harness "Gallery" max-drop 10 %
//! wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black
//! tape warm group 3 lamps long 25 mm works 11.5 V to 12.6 V draws 18 mA at 12 V colour warm-white
//!
//! supply adapter 12 V 1 A tolerance 1 %
//! fuse F1 125 mA from adapter
//! joint keel from F1 over 100 mm of hook
//! strip saloon of warm 15 lamps from keel over 1200 mm of hook
//! ```
//!
//! Where the source itself gives less than the tape works at, or what resistors and diodes leave of it is less, no wire can help: then the source is
//! named, with the volts that it gives.
//!
//! Offered are thicker wire from the plan's stock, a way of its own back to the joint for each strip of a chain, and a link from the strip's far end
//! back to the point that feeds it.

use super::limits::under;
use super::page::page;
use super::tape_figures::{Strip, strips};
use super::words::{AT_WORST, in_scene, quoted};
use super::{Check, Context, Finding, Mend};
use crate::numbers::{show, show_and_limit};
use crate::plan::{Part, Severity};
use crate::rewrites::thicker_wire::fed_with;
use crate::rewrites::{branch_chain, feed_both_ends, thicken_wire};
use crate::units::ratio;

/// Tape that does not get its voltage.
pub const CHECK: Check = Check {
    name: "tape-starved",
    severities: &[Severity::Error, Severity::Warning, Severity::Hint],
    page: page!("tape_starved.rs"),
    check,
    mends: Some(mends),
};

/// Under this part of the current that it draws with no run, a strip is dim for want of wire.
const WITHOUT_RUN: f64 = 0.5;

/// Under this part of the stated current a strip looks dark.
const DARK: f64 = 0.1;

fn check(context: &Context, out: &mut Vec<Finding>) {
    for strip in strips(context) {
        let Some((severity, message)) = judge(context, &strip) else {
            continue;
        };
        let span = context.name_span(context.plan.items[strip.item.0].stanza);
        out.push(context.on_item(CHECK.name, severity, strip.item, span, message));
    }
}

/// How bad it is with a strip, and what is said of it.
pub(super) fn judge(context: &Context, strip: &Strip) -> Option<(Severity, String)> {
    const WIRE: &str = "Use thicker wire, or feed it another way.";
    let name = context.quoted(strip.item);
    let lowest = strip.lowest(context)?;
    let (works, _) = strip.tape.works;
    if under(lowest.typical, works) {
        let message = too_low_a_source(context, strip, false).unwrap_or_else(|| {
            let (has, works) = show_and_limit(lowest.typical, works);
            let scene = in_scene(lowest.typical_scene);
            format!("{name} has {has} at its lowest group {scene}, and works from {works}. {WIRE}")
        });
        return Some((Severity::Error, message));
    }
    if let Some((draws, would, scene)) = strip.lost_to_runs(context, WITHOUT_RUN) {
        let message = format!(
            "{name} draws {} {}, under half of the {} that it would without the wire ahead. {WIRE}",
            show(draws),
            in_scene(&scene),
            show(would)
        );
        return Some((Severity::Warning, message));
    }
    if under(lowest.corner, works) {
        let message = too_low_a_source(context, strip, true).unwrap_or_else(|| {
            let (has, works) = show_and_limit(lowest.corner, works);
            let scene = in_scene(lowest.corner_scene);
            format!(
                "{name} may have {has} at its lowest group {scene} {AT_WORST}, and works from {works}. {WIRE}"
            )
        });
        return Some((Severity::Warning, message));
    }
    let least = strip.least_amps(context)?;
    let stated = strip.stated();
    if !strip.dimmed && under(least.typical, stated * DARK) {
        let message = format!(
            "{name} draws {} {}, under a tenth of its {}: it will look dark. Say `dimmed` if that is meant.",
            show(least.typical),
            in_scene(least.typical_scene),
            show(stated)
        );
        return Some((Severity::Hint, message));
    }
    None
}

/// What is said where no wire can help: the strip's source, or what is left of its voltage behind resistors, diodes and
/// the source's own resistance, is under what the tape works at; typically, or at a corner.
fn too_low_a_source(context: &Context, strip: &Strip, at_corner: bool) -> Option<String> {
    let plan = context.plan;
    let (fed, point) = fed_with(plan, strip.item)?;
    let works = strip.tape.works.0;
    let without = strip.without_loss(context)?;
    let (brings, scene, stray) = match at_corner {
        false => (without.typical, without.typical_scene, String::new()),
        true => (without.corner, without.corner_scene, format!(" {AT_WORST}")),
    };
    if !under(brings, works) {
        return None;
    }
    let strays = match &plan.items[point.item.0].part {
        Part::Supply(supply) if at_corner => supply.tolerance,
        _ => ratio(0.0),
    };
    let gives = fed * (ratio(1.0) - strays);
    let (name, source) = (context.quoted(strip.item), quoted(&plan.point_name(point)));
    let what = "Take a source of more volts, or tape that works lower.";
    Some(if under(gives, works) {
        let can = if at_corner { "may give only" } else { "gives" };
        let (gives, works) = show_and_limit(gives, works);
        format!("{name} works from {works}, and {source} {can} {gives}{stray}. {what}")
    } else {
        let (brings, works) = show_and_limit(brings, works);
        let (fed, scene) = (show(fed), in_scene(scene));
        format!(
            "{name} works from {works}, and even with nothing lost in wire {source} of {fed} would bring it only {brings} {scene}{stray}. {what}"
        )
    })
}

/// Thicker wire, branched, fed from both ends.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let Some(&strip) = finding.about.first() else {
        return Vec::new();
    };
    let (plan, solution) = (context.plan, context.solution);
    let mut mends = thicken_wire(plan, solution, strip);
    mends.extend(branch_chain(plan, solution, strip));
    // The ring of a chain is this same link, seen from its last strip.
    let feed = plan.items[strip.0].feed.as_ref();
    if feed.is_some_and(|f| !plan.items[f.from.item.0].is_light()) {
        mends.extend(feed_both_ends(plan, solution, strip));
    }
    mends
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    /// 1 ohm of copper per metre at 20 °C: 1.7241e-8 ohm m over 0.017241 mm2.
    fn severity(tape: &str, wiring: &str) -> Option<Severity> {
        let text = format!(
            "wire ohm1 area 0.017241 mm2\ntape t group 3 lamps long 25 mm works {tape} draws 18 mA at 12 V\n{wiring}"
        );
        let findings = found(&plan(&text), CHECK.name);
        assert!(findings.len() <= 1);
        findings.first().map(|f| f.severity)
    }

    #[test]
    fn under_works_typical_and_at_a_corner() {
        let at = |supply: &str| {
            severity(
                "7 V to 12.6 V",
                &format!("supply s {supply}\nstrip l of t 6 lamps dimmed from s\n"),
            )
        };
        assert_eq!(at("6.9 V"), Some(Severity::Error));
        assert_eq!(at("7.3 V"), Some(Severity::Warning)); // 7.3 V − 5 % = 6.935 V
        assert_eq!(at("7.37 V"), None); // 7.0015 V
    }

    #[test]
    fn a_source_that_is_too_low_is_named_and_no_wire_is_asked_for() {
        let said = |supply: &str, way: &str| {
            let text = format!(
                "wire w gauge 24 AWG\ntape t group 3 lamps long 25 mm works 9 V to 12.6 V draws 18 mA at 12 V\n{supply}\n{way}\n"
            );
            found(&plan(&text), CHECK.name).remove(0).message
        };
        let direct = "strip l of t 6 lamps from s over 50 mm of w";
        let what = "Take a source of more volts, or tape that works lower.";
        assert_eq!(
            said("supply s 6 V 1 A", direct),
            format!("`l` works from 9 V, and `s` gives 6 V. {what}")
        );
        // 9.2 V − 5 % = 8.74 V.
        assert_eq!(
            said("supply s 9.2 V 1 A", direct),
            format!(
                "`l` works from 9 V, and `s` may give only 8.74 V at the worst of the tolerances. {what}"
            )
        );
        // 9.5 V − 0.7 V = 8.8 V, and no wire at all.
        assert_eq!(
            said(
                "supply s 9.5 V 1 A",
                "diode d from s\nstrip l of t 6 lamps from d"
            ),
            format!(
                "`l` works from 9 V, and even with nothing lost in wire `s` of 9.5 V would bring it only 8.8 V with everything on. {what}"
            )
        );
    }

    #[test]
    fn a_tenth_is_dark_unless_it_is_meant() {
        // At 8.6 V: 8.6 = 3·(3.0 + m·ln(I/18 mA) + 11.1·(I − 18 mA)) + 166.7·I has I under 1.8 mA.
        let at = |flag: &str| {
            severity(
                "7 V to 12.6 V",
                &format!("supply s 8.4 V\nstrip l of t 6 lamps {flag} from s\n"),
            )
        };
        assert_eq!(at(""), Some(Severity::Hint));
        assert_eq!(at("dimmed"), None);
    }

    #[test]
    fn half_lost_in_the_run() {
        // 36 mA in all at 12 V, and about 5 mA less for each volt: two legs of 100 ohm take 60 % of the 3 V over the lamps.
        let at = |length: &str| {
            severity(
                "7 V to 13 V",
                &format!("supply s 12 V\nstrip l of t 6 lamps from s over {length} of ohm1\n"),
            )
        };
        assert_eq!(at("100 m"), Some(Severity::Warning));
        assert_eq!(at("20 m"), None);
        // A resistor that dims it is no loss of the run.
        let dimmed = "supply s 12 V\nresistor r 200 ohm from s\nstrip l of t 6 lamps from r\n";
        assert_eq!(severity("7 V to 13 V", dimmed), None);
    }

    #[test]
    fn its_own_track_is_no_run() {
        // 40 groups on 200 ohm of track a metre: the far groups get little, with or without a run.
        let track = "7 V to 13 V track 200 ohm per m";
        assert_eq!(
            severity(track, "supply s 12 V\nstrip l of t 120 lamps from s\n"),
            None
        );
    }
}
