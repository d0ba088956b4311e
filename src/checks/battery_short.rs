//! # `battery-short`: a battery that does not last
//!
//! **Warning** when a battery is empty before its `lasts`; without `lasts`, before two hours. One that counts as `spent` at the volts that it has when
//! full, or above, is empty from the start: the warning stands on `spent`.
//!
//! ## Why it matters
//!
//! Half a show with the lights out. And where the battery sits in a hull, changing it means opening the model each time. Draw less, or take a
//! larger battery. Lithium cells want a protected holder and a charger made for them; follow the maker.
//!
//! ## The limit
//!
//! The hours are the charge used, divided step by step by the current at that voltage in the first scene, duty applied. The voltage falls
//! evenly from the stated one to 0.6 of it (an alkaline cell from 1.5 V to 0.9 V, common practice), until `spent`, or without it until the first light is
//! under a tenth of its rated current. Two hours are an evening's show (common practice).
//!
//! ## Shown
//!
//! ```harness
//! supply block 9 V capacity 500 mAh
//! #                ^^^^^^^^^^^^^^^^ battery-short
//! load drum draws 300 mA from block
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply block 9 V capacity 600 mAh
//! load drum draws 300 mA from block
//! ```
//!
//! The least capacity that is enough is offered; where `spent` is at fault, one at two thirds of the full volts.

use super::limits::under;
use super::page::page;
use super::words::in_scene;
use super::{Check, Context, Finding, Mend};
use crate::circuit::at_volts::States;
use crate::circuit::battery;
use crate::numbers::{decimals, show, three_digits};
use crate::plan::{ItemId, Part, Severity};
use crate::rewrites::{larger_battery, set_spent};
use crate::units::{Time, seconds};

/// A battery that does not last.
pub const CHECK: Check = Check {
    name: "battery-short",
    severities: &[Severity::Warning],
    page: page!("battery_short.rs"),
    check,
    mends: Some(mends),
};

/// The part of its full volts at which a battery of any kind is near its end: 1.0 V of 1.5 V (common practice).
const NEARLY_SPENT: f64 = 2.0 / 3.0;

/// How long a battery is to last where its plan does not say, seconds.
const AN_EVENING: f64 = 2.0 * 3600.0;

/// A difference under this part is none.
const SAME: f64 = 1e-4;

/// A time in hours.
fn hours(time: Time) -> f64 {
    time.value / 3600.0
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    let states = States::of(context.plan, &|| false);
    for (i, item) in context.plan.items.iter().enumerate() {
        let Part::Supply(supply) = &item.part else {
            continue;
        };
        if let Some(spent) = supply.spent.filter(|&s| !under(s, supply.volts)) {
            let message = format!(
                "{} has {} when full and counts as spent at {}: it is empty from the start. Say the volts at which you change it.",
                context.quoted(ItemId(i)),
                show(supply.volts),
                show(spent)
            );
            let span = context.clause_span(item.stanza, "spent");
            out.push(context.on_item(CHECK.name, Severity::Warning, ItemId(i), span, message));
            continue;
        }
        let Some(lasts) = battery::lasts_in(&states, ItemId(i)) else {
            continue;
        };
        let wanted = supply.lasts.unwrap_or(seconds(AN_EVENING));
        if lasts >= wanted * (1.0 - SAME) {
            continue;
        }
        let given = context.solution.scenes.first();
        let given = given.and_then(|s| {
            let figures = s.outcome.as_ref().ok()?.items.get(i)?;
            Some((in_scene(&s.name), figures.passes.typical))
        });
        let Some((scene, amps)) = given else {
            continue;
        };
        let wanted = three_digits(hours(wanted));
        // With as many digits as it takes to see that it is less.
        let mut texts = (1..=4).map(|n| decimals(hours(lasts), n));
        let lasts = texts.find(|lasts| *lasts != wanted);
        let message = format!(
            "{} lasts about {} h {scene}, where it gives {} when full, and is to last {wanted} h. Draw less, or take a larger one.",
            context.quoted(ItemId(i)),
            lasts.unwrap_or_else(|| wanted.clone()),
            show(amps)
        );
        let span = context.clause_span(item.stanza, "capacity");
        out.push(context.on_item(CHECK.name, Severity::Warning, ItemId(i), span, message));
    }
}

/// Another `spent` than one that it has from the start; else a larger battery.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let battery = finding.about.first().copied();
    let mend = battery.and_then(|item| {
        let Part::Supply(supply) = &context.plan.items[item.0].part else {
            return None;
        };
        if supply.spent.is_some_and(|s| !under(s, supply.volts)) {
            let to = supply.volts * NEARLY_SPENT;
            return set_spent(context.plan, item, to, "two thirds of its full volts");
        }
        let wanted = supply.lasts.unwrap_or(seconds(AN_EVENING));
        larger_battery(context.plan, item, wanted)
    });
    mend.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn finds(supply: &str) -> bool {
        let text = format!("supply s 9 V {supply}\nload m draws 100 mA from s\n");
        !found(&plan(&text), CHECK.name).is_empty()
    }

    #[test]
    fn two_hours_unless_the_plan_says_otherwise() {
        // 100 mA: 200 mAh are just two hours.
        assert!(!finds("capacity 200 mAh"));
        assert!(finds("capacity 199 mAh"));
        assert!(finds("capacity 200 mAh lasts 3 h"));
        assert!(!finds("capacity 100 mAh lasts 1 h"));
        assert!(!finds(""));
    }

    #[test]
    fn a_larger_one_that_is_enough_is_offered() {
        // 100 mA for 3 h are 300 mAh; two digits.
        let text = "supply s 9 V capacity 250mAh lasts 3 h\nload m draws 100.5 mA from s\n";
        assert_eq!(
            mended(&plan(text), CHECK.name).unwrap(),
            text.replace("250mAh", "310mAh")
        );
    }

    #[test]
    fn spent_from_the_start_is_told_there() {
        let text = "supply s 9 V capacity 500 mAh spent 12 V\nload m draws 10 mA from s\n";
        let analysis = plan(text);
        let findings = found(&analysis, CHECK.name);
        assert_eq!(findings.len(), 1);
        let stanza = analysis.plan.stanza(findings[0].stanza);
        assert_eq!(stanza.words(findings[0].span), "spent 12 V");
        assert_eq!(
            mended(&analysis, CHECK.name).unwrap(),
            text.replace("spent 12 V", "spent 6 V")
        );
        assert!(finds("spent 9 V"));
        assert!(!finds("spent 8.9 V"));
    }

    #[test]
    fn spent_cuts_it_short() {
        // 9 V to 6 V is five sixths of the way to 5.4 V.
        assert!(!finds("capacity 240 mAh spent 6 V"));
        assert!(finds("capacity 239 mAh spent 6 V"));
    }
}
