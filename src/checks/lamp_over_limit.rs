//! # `lamp-over-limit`: more current than a lamp stands
//!
//! **Error** when the current of a lamp or string is over the lamp's limit with all values as stated; **warning** when it is so only at a
//! corner (the supply high, resistor and lamp low).
//!
//! ## Why it matters
//!
//! Over its limit a lamp gets hot, turns bluish or dull, and dies in hours instead of years, where no one can reach it any more.
//!
//! ## The limit
//!
//! The lamp's `limit`; where none is stated, 1.25 times its rated current (common practice: the usual 20 mA lamp stands 25 mA). A lamp without any
//! resistor is told as `lamp-without-resistor`, not here too.
//!
//! ## Shown
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! lamp mast of pearl resistor 220 ohm from adapter
//! #                  ^^^^^^^^^^^^^^^^ lamp-over-limit
//! ```
//!
//! ## Mended
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! lamp mast of pearl resistor 430 ohm 1/2 W from adapter
//! ```
//!
//! Offered is the next E24 value that keeps the limit at all corners, then the one for the rated current.

use super::limits::{over, rule};
use super::page::page;
use super::words::{AT_WORST, in_scene};
use super::{Check, Context, Finding, Mend, lamps};
use crate::numbers::show_and_limit;
use crate::plan::Severity;
use crate::rewrites::choose_resistor;

/// More current than a lamp stands.
pub const CHECK: Check = Check {
    name: "lamp-over-limit",
    severities: &[Severity::Error, Severity::Warning],
    page: page!("lamp_over_limit.rs"),
    check,
    mends: Some(mends),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    for lamp in lamps::all(context) {
        let limit = lamp.led.limit;
        let Some(amps) = lamps::greatest_amps(context, lamp.item) else {
            continue;
        };
        let typical = over(amps.typical, limit);
        let Some(severity) = rule(typical, over(amps.corner, limit)) else {
            continue;
        };
        if !lamp.is_held(context) {
            continue;
        }
        let name = context.quoted(lamp.item);
        let what = match lamp.has_resistor() || lamp.resistor_ahead(context).is_some() {
            true => "Take a larger resistor",
            false => "Give it a resistor",
        };
        let message = if typical {
            let (flows, limit) = show_and_limit(amps.typical, limit);
            format!(
                "{name} runs at {flows} {}, and it stands {limit}. {what}.",
                in_scene(amps.typical_scene)
            )
        } else {
            let (flows, limit) = show_and_limit(amps.corner, limit);
            format!(
                "{name} may run at {flows} {} {AT_WORST}, and it stands {limit}. {what}.",
                in_scene(amps.corner_scene)
            )
        };
        let span = context.clause_span(context.plan.items[lamp.item.0].stanza, "resistor");
        out.push(context.on_item(CHECK.name, severity, lamp.item, span, message));
    }
}

/// The least value that keeps the limit, then the one for the rated current.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let lamp = finding.about.first();
    let Some(lamp) = lamp.and_then(|&item| lamps::of(context.plan, item)) else {
        return Vec::new();
    };
    let mut mends: Vec<Mend> = Vec::new();
    for wanted in [lamp.led.limit, lamp.wanted()] {
        for mend in choose_resistor(context.plan, context.solution, lamp.item, Some(wanted)) {
            if mends.iter().all(|m| m.edits != mend.edits) {
                mends.push(mend);
            }
        }
    }
    mends
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn text(resistor: &str) -> String {
        format!(
            "led p drops 3.0 V at 20 mA limit 25 mA colour white\nsupply s 12 V 1 A\nlamp l of p resistor {resistor} from s\n"
        )
    }

    #[test]
    fn typical_is_an_error_and_a_corner_a_warning() {
        let severity = |r: &str| {
            found(&plan(&text(r)), CHECK.name)
                .first()
                .map(|f| f.severity)
        };
        // By hand: (12 − 3.06) V / 25 mA is 357 ohm, less than what the bright corner wants: (12.6 − 2.96) / 25 mA / 0.95 = 406 ohm.
        assert_eq!(severity("350 ohm"), Some(Severity::Error));
        assert_eq!(severity("360 ohm"), Some(Severity::Warning));
        assert_eq!(severity("400 ohm"), Some(Severity::Warning));
        assert_eq!(severity("410 ohm"), None);
    }

    #[test]
    fn the_next_value_that_meets_the_limit_keeps_a_rating_that_is_enough() {
        assert_eq!(
            mended(&plan(&text("220R 1 W")), CHECK.name).unwrap(),
            text("430 ohm 1 W")
        );
        assert_eq!(
            mended(&plan(&text("220R 1/4 W")), CHECK.name).unwrap(),
            text("430 ohm 1/2 W")
        );
    }

    #[test]
    fn a_copy_that_says_otherwise_is_mended_in_the_copy() {
        let pattern = |ohms: &str| {
            format!(
                "led p drops 3.0 V at 20 mA limit 25 mA colour white\nsupply s 12 V 1 A\npattern h\nlamp h.a of p resistor 560 ohm from h\ncopy x of h from s\ncopy y of h from s\n but a resistor {ohms}\n"
            )
        };
        let analysis = plan(&pattern("100 ohm"));
        let findings = found(&analysis, CHECK.name);
        assert_eq!(findings.len(), 1);
        assert_eq!(&*findings[0].item.as_ref().unwrap().0, "y");
        assert_eq!(
            mended(&analysis, CHECK.name).unwrap(),
            pattern("430 ohm 1/2 W")
        );
    }
}
