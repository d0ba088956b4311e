//! # `lamp-without-resistor`: nothing holds a lamp's current
//!
//! No stated resistance holds the current of a lamp or string: it has no resistor of its own, there is none ahead of it, and its source
//! states none. **Error** when the current may pass the lamp's limit in some scene or corner; **warning** when the voltages happen to match.
//!
//! ## Why it matters
//!
//! A lamp of this kind does not limit itself: a tenth of a volt more is half as much current again, and as it warms it takes more
//! still. A lamp straight on a supply burns out at once, or glows for a week and then fails inside a hull that is glued shut. A resistor
//! costs a few cents.
//!
//! ## The limit
//!
//! The lamp's own `limit` (1.25 times its rated current where none is stated), in all scenes and at all corners. What counts as a resistance is what the
//! plan states: `resistor` on the lamp, a `resistor` stanza ahead of it, the supply's `resistance`. A regulator or a regulated output holds
//! its voltage, so what is ahead of it does not count (common practice).
//!
//! ## Shown
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 2 A
//! lamp mast of pearl from adapter
//! #    ^^^^ lamp-without-resistor
//! ```
//!
//! ## Mended
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 2 A
//! lamp mast of pearl resistor 470 ohm 1/2 W from adapter
//! ```
//!
//! Offered is the E24 value for `runs at`, or the rated current, with the power that it needs.

use super::limits::over;
use super::page::page;
use super::words::{AT_WORST, in_scene};
use super::{Check, Context, Finding, Mend, lamps};
use crate::numbers::show_and_limit;
use crate::plan::Severity;
use crate::rewrites::choose_resistor;

/// Nothing holds a lamp's current.
pub const CHECK: Check = Check {
    name: "lamp-without-resistor",
    severities: &[Severity::Error, Severity::Warning],
    page: page!("lamp_without_resistor.rs"),
    check,
    mends: Some(give_one),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    for lamp in lamps::all(context).filter(|l| !l.is_held(context)) {
        let limit = lamp.led.limit;
        let amps = lamps::greatest_amps(context, lamp.item);
        let passes = amps.filter(|a| over(a.corner, limit));
        let name = context.quoted(lamp.item);
        let (severity, message) = match passes {
            Some(a) => {
                let said = match over(a.typical, limit) {
                    true => {
                        let (flows, stands) = show_and_limit(a.typical, limit);
                        format!(
                            "{flows} flows {}, and it stands {stands}",
                            in_scene(a.typical_scene)
                        )
                    }
                    false => {
                        let (flows, stands) = show_and_limit(a.corner, limit);
                        let scene = in_scene(a.corner_scene);
                        format!("{flows} may flow {scene} {AT_WORST}, and it stands {stands}")
                    }
                };
                let message = format!("{name} has no resistor: {said}. Give it a resistor.");
                (Severity::Error, message)
            }
            None => (
                Severity::Warning,
                format!(
                    "{name} has no resistor: nothing holds its current but voltages that happen to match. Give it a resistor."
                ),
            ),
        };
        let span = context.name_span(context.plan.items[lamp.item.0].stanza);
        out.push(context.on_item(CHECK.name, severity, lamp.item, span, message));
    }
}

fn give_one(context: &Context, finding: &Finding) -> Vec<Mend> {
    let lamp = finding.about.first();
    lamp.map_or_else(Vec::new, |&lamp| {
        choose_resistor(context.plan, context.solution, lamp, None)
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const LED: &str = "led p drops 3.0 V at 20 mA limit 25 mA colour white\n";

    fn severity(wiring: &str) -> Option<Severity> {
        let findings = found(&plan(&format!("{LED}{wiring}")), CHECK.name);
        assert!(findings.len() <= 1);
        findings.first().map(|f| f.severity)
    }

    #[test]
    fn any_stated_resistance_counts() {
        assert_eq!(
            severity("supply s 5 V\nlamp l of p from s\n"),
            Some(Severity::Error)
        );
        assert_eq!(
            severity("supply s 5 V\nlamp l of p resistor 100 ohm from s\n"),
            None
        );
        assert_eq!(
            severity(
                "supply s 5 V\nresistor r 100 ohm from s\njoint j from r\nlamp l of p from j\n"
            ),
            None
        );
        assert_eq!(
            severity("supply s 3 V resistance 10 ohm\nlamp l of p from s\n"),
            None
        );
    }

    #[test]
    fn what_holds_a_voltage_is_a_source_without_resistance() {
        let behind =
            "supply s 12 V resistance 10 ohm\nregulator g 5 V 1 A from s\nlamp l of p from g\n";
        assert_eq!(severity(behind), Some(Severity::Error));
        let module = "module m works 4 V to 12 V draws 1 mA output a 3.3 V 50 mA output b 50 mA\nsupply s 9 V resistance 2 ohm\nboard x of m from s\n";
        assert_eq!(
            severity(&format!("{module}lamp l of p from x.a\n")),
            Some(Severity::Error)
        );
        assert_eq!(severity(&format!("{module}lamp l of p from x.b\n")), None);
    }

    #[test]
    fn voltages_that_match_are_a_warning_until_a_corner_passes_the_limit() {
        // 2.85 V + 5 % = 2.99 V on a lamp of 2.9 V in the bright corner: 26 mA. Of 2.6 V: 2.73 V, under 20 mA.
        assert_eq!(
            severity("supply s 2.85 V\nlamp l of p from s\n"),
            Some(Severity::Error)
        );
        assert_eq!(
            severity("supply s 2.6 V\nlamp l of p from s\n"),
            Some(Severity::Warning)
        );
    }

    #[test]
    fn a_chained_lamp_does_not_share_the_resistor_of_the_lamp_ahead() {
        let chained = "supply s 5 V\nlamp a of p resistor 100 ohm from s\nlamp l of p from a\n";
        assert_eq!(severity(chained), Some(Severity::Error));
    }

    #[test]
    fn the_resistor_is_for_the_wanted_current() {
        let with = |lamp: &str| {
            let text = format!("{LED}supply s 12 V 2 A\n{lamp}\n");
            mended(&plan(&text), CHECK.name).map(|t| t.lines().last().unwrap().to_owned())
        };
        // By hand: 12 V − 2.83 V at 5 mA over 5 mA is 1.83 kohm; 5.4 mA at most in the bright corner.
        assert_eq!(
            with("lamp l of p runs at 5 mA from s").as_deref(),
            Some("lamp l of p resistor 1.8 kohm 1/8 W runs at 5 mA from s")
        );
        // 12 V − 6 V over 20 mA is 300 ohm, but 12.6 V − 5.8 V over 285 ohm is 23.9 mA: within the limit.
        assert_eq!(
            with("string l of p 2 lamps from s").as_deref(),
            Some("string l of p 2 lamps resistor 300 ohm 1/2 W from s")
        );
    }
}
