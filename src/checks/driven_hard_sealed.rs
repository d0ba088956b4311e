//! # `driven-hard-sealed`: a lamp run hard where nobody can change it
//!
//! **Hint** when a lamp or string in a zone that is `sealed`, or that a stage seals, runs at more than four fifths of its lamp's stated `limit`.
//!
//! ## Why it matters
//!
//! A lamp does not burn out at its limit, it fades, and the faster the more current it has and the warmer it sits. Behind a glued wall it cannot be
//! changed, and it sits warm. At three quarters of the current it is hardly dimmer to the eye and stays so for years longer.
//!
//! ## The limit
//!
//! Makers measure how light is kept for thousands of hours at a stated current and temperature (IES LM-80, carried on by TM-21); both shorten it. Half to three quarters of
//! the limit is common practice for lamps that are to last; above four fifths, at the usual lamp of 25 mA, it has more than its rated 20 mA. Typical figures, the scene in
//! which it is most. A lamp that states no `limit`, or is over it in some corner (`lamp-over-limit`), is not told here.
//!
//! ## Shown
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone hull sealed
//!
//! supply adapter 12 V 1 A
//! lamp hold of pearl resistor 430 ohm 1/2 W from adapter in hull
//! #                  ^^^^^^^^^^^^^^^^^^^^^^ driven-hard-sealed
//! ```
//!
//! ## Mended
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone hull sealed
//!
//! supply adapter 12 V 1 A
//! lamp hold of pearl resistor 470 ohm 1/2 W from adapter in hull
//! ```
//!
//! Offered is the E24 resistor for three quarters of the limit.

use super::limits::over;
use super::page::page;
use super::words::in_scene;
use super::{Check, Context, Finding, Mend, lamps};
use crate::numbers::{percent, show};
use crate::plan::Severity;
use crate::rewrites::choose_resistor;

/// A lamp run hard where nobody can change it.
pub const CHECK: Check = Check {
    name: "driven-hard-sealed",
    severities: &[Severity::Hint],
    page: page!("driven_hard_sealed.rs"),
    check,
    mends: Some(mends),
};

/// The part of its limit above which a lamp is run hard.
const HARD: f64 = 0.8;

/// The part of its limit that a lamp should run at for long.
const EASY: f64 = 0.75;

fn check(context: &Context, out: &mut Vec<Finding>) {
    for lamp in lamps::all(context) {
        if !lamp.led.limit_stated || !context.is_sealed(lamp.item) {
            continue;
        }
        let limit = lamp.led.limit;
        let Some(amps) = lamps::greatest_amps(context, lamp.item) else {
            continue;
        };
        let is_told = over(amps.corner, limit) || !lamp.is_held(context);
        if is_told || !over(amps.typical, limit * HARD) {
            continue;
        }
        let item = &context.plan.items[lamp.item.0];
        let zone = item.zone.map_or("", |z| &*context.plan.zones[z.0].name.0);
        let message = format!(
            "{} runs at {} {}, {} of the {} that it stands, and in `{zone}` it cannot be changed. At three quarters it lasts far longer: take a larger resistor.",
            context.quoted(lamp.item),
            show(amps.typical),
            in_scene(amps.typical_scene),
            percent((amps.typical / limit).value),
            show(limit),
        );
        let span = context.clause_span(item.stanza, "resistor");
        out.push(context.on_item(CHECK.name, Severity::Hint, lamp.item, span, message));
    }
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let lamp = finding.about.first();
    let Some(lamp) = lamp.and_then(|&item| lamps::of(context.plan, item)) else {
        return Vec::new();
    };
    let wanted = lamp.led.limit * EASY;
    choose_resistor(context.plan, context.solution, lamp.item, Some(wanted))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn finds(limit: &str, ohms: &str, zone: &str, more: &str) -> usize {
        let text = format!(
            "led p drops 3.0 V at 20 mA {limit} colour white\nzone hull {zone}\nsupply s 12 V 1 A tolerance 0 %\nlamp l of p resistor {ohms} from s in hull\n{more}\n"
        );
        found(&plan(&text), CHECK.name).len()
    }

    #[test]
    fn four_fifths_of_the_limit() {
        // At 20 mA the lamp drops 3.0 V: 9 V / 20 mA = 450 ohm.
        assert_eq!(finds("limit 25 mA", "450.1 ohm", "sealed", ""), 0);
        assert_eq!(finds("limit 25 mA", "449.9 ohm", "sealed", ""), 1);
        // Told as `lamp-over-limit`, at the worst of the tolerances and at once.
        assert_eq!(finds("limit 25 mA", "370 ohm", "sealed", ""), 0);
        assert_eq!(finds("limit 25 mA", "340 ohm", "sealed", ""), 0);
    }

    #[test]
    fn only_where_it_is_stated_and_sealed() {
        assert_eq!(finds("", "430 ohm", "sealed", ""), 0);
        assert_eq!(finds("limit 25 mA", "430 ohm", "", ""), 0);
        let stage = "stage shut fits l seals hull";
        assert_eq!(finds("limit 25 mA", "430 ohm", "", stage), 1);
        assert_eq!(
            finds("limit 25 mA", "430 ohm", "sealed", "scene dark off l"),
            1
        );
    }
}
