//! # `tape-overdriven`: tape at too high a voltage
//!
//! **Error** when the voltage at a strip's highest group is above what its tape works at, all values as stated; **warning** when that is so only at a
//! corner (the supply high).
//!
//! ## Why it matters
//!
//! The little resistor of a group is made for the stated voltage. A quarter more voltage can be twice the current: the tape gets hot enough to
//! lose its glue and to soften styrene, and its lamps fade within weeks.
//!
//! ## The limit
//!
//! The tape's own `works`, in all scenes.
//!
//! ## Shown
//!
//! ```harness
//! tape warm group 3 lamps long 25 mm works 9 V to 12.6 V draws 18 mA at 12 V colour warm-white
//!
//! supply adapter 15 V 1 A
//! strip saloon of warm 6 lamps from adapter
//! #     ^^^^^^ tape-overdriven
//! ```
//!
//! ## Mended
//!
//! ```harness
//! tape warm group 3 lamps long 25 mm works 9 V to 12.6 V draws 18 mA at 12 V colour warm-white
//!
//! supply adapter 15 V 1 A
//! regulator saloon-feed 12 V 100 mA from adapter
//! strip saloon of warm 6 lamps from saloon-feed
//! ```
//!
//! Offered are a resistor ahead of the strip, and a regulator.

use super::limits::{over, rule};
use super::page::page;
use super::tape_figures::strips;
use super::words::in_scene;
use super::{Check, Context, Finding, Mend};
use crate::numbers::show_and_limit;
use crate::plan::Severity;
use crate::rewrites::hold_down;

/// Tape at too high a voltage.
pub const CHECK: Check = Check {
    name: "tape-overdriven",
    severities: &[Severity::Error, Severity::Warning],
    page: page!("tape_overdriven.rs"),
    check,
    mends: Some(mends),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    for strip in strips(context) {
        let Some(highest) = strip.highest(context) else {
            continue;
        };
        let (_, works) = strip.tape.works;
        let typical = over(highest.typical, works);
        let Some(severity) = rule(typical, over(highest.corner, works)) else {
            continue;
        };
        let name = context.quoted(strip.item);
        let message = if typical {
            let (has, works) = show_and_limit(highest.typical, works);
            format!(
                "{name} has {has} {}, and works to {works}. Put a resistor or a regulator ahead of it.",
                in_scene(highest.typical_scene)
            )
        } else {
            let (has, works) = show_and_limit(highest.corner, works);
            format!(
                "{name} may have {has} {} where the supply is high, and works to {works}. Put a resistor or a regulator ahead of it.",
                in_scene(highest.corner_scene)
            )
        };
        let span = context.name_span(context.plan.items[strip.item.0].stanza);
        out.push(context.on_item(CHECK.name, severity, strip.item, span, message));
    }
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let strip = finding.about.first();
    strip.map_or_else(Vec::new, |&strip| {
        hold_down(context.plan, context.solution, strip)
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    #[test]
    fn a_regulator_without_room_above_it_switches() {
        // 14 V − 5 % are 13.3 V: under 12 V and the 1.5 V that a linear one needs.
        let text = "tape warm group 3 lamps long 25 mm works 9 V to 12.6 V draws 18 mA at 12 V\nsupply a 14 V 1 A\nfuse F 160 mA from a\nstrip s of warm 12 lamps from F\n";
        let analysis = plan(text);
        let at = analysis.findings.iter().position(|f| f.check == CHECK.name);
        let mends = analysis.mends(at.unwrap());
        let titles: Vec<&str> = mends.iter().map(|m| &*m.title).collect();
        assert!(
            titles
                .iter()
                .any(|t| t.starts_with("a regulator of 12 V 500 mA efficiency 88 % ahead of s: ")),
            "{titles:?}"
        );
        assert!(titles[0].starts_with("a resistor of "), "{titles:?}");
    }

    #[test]
    fn the_upper_limit_itself_is_within() {
        let severity = |supply: &str| {
            let text = format!(
                "tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V\nsupply a {supply}\nstrip s of warm 6 lamps from a\n"
            );
            found(&plan(&text), CHECK.name).first().map(|f| f.severity)
        };
        assert_eq!(severity("12 V"), None); // 12 V + 5 % is 12.6 V
        assert_eq!(severity("12.01 V"), Some(Severity::Warning));
        assert_eq!(severity("12.6 V tolerance 0 %"), None);
        assert_eq!(severity("12.61 V tolerance 0 %"), Some(Severity::Error));
    }
}
