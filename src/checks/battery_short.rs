//! # `battery-short`: a battery that does not last
//!
//! **Warning** when a battery is empty before its `lasts`; without `lasts`, before two hours.
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
//! supply block 9 V capacity 1200 mAh
//! load drum draws 300 mA from block
//! ```

use super::page::page;
use super::{Check, Context, Finding};
use crate::circuit::battery;
use crate::numbers::{decimals, show, three_digits};
use crate::plan::{ItemId, Part, Severity};
use crate::units::{Time, seconds};

/// A battery that does not last.
pub const CHECK: Check = Check {
    name: "battery-short",
    severities: &[Severity::Warning],
    page: page!("battery_short.rs"),
    check,
    mends: None,
};

/// How long a battery is to last where its plan does not say, seconds.
const AN_EVENING: f64 = 2.0 * 3600.0;

/// A difference under this part is none.
const SAME: f64 = 1e-4;

/// A time in hours.
fn hours(time: Time) -> f64 {
    time.value / 3600.0
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    for (i, item) in context.plan.items.iter().enumerate() {
        let Part::Supply(supply) = &item.part else {
            continue;
        };
        let Some(lasts) = battery::lasts(context.plan, ItemId(i), &|| false) else {
            continue;
        };
        let wanted = supply.lasts.unwrap_or(seconds(AN_EVENING));
        if lasts >= wanted * (1.0 - SAME) {
            continue;
        }
        let given = context.solution.scenes.first();
        let given = given.and_then(|s| {
            let figures = s.outcome.as_ref().ok()?.items.get(i)?;
            Some((s.name.0.clone(), figures.passes.typical))
        });
        let Some((scene, amps)) = given else {
            continue;
        };
        let message = format!(
            "{} lasts about {} h in {scene}, where it gives {} when full, and is to last {} h. Draw less, or take a larger one.",
            item.name.0,
            decimals(hours(lasts), 1),
            show(amps),
            three_digits(hours(wanted))
        );
        let span = context.clause_span(item.stanza, "capacity");
        out.push(context.on_item(CHECK.name, Severity::Warning, ItemId(i), span, message));
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
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
    fn spent_cuts_it_short() {
        // 9 V to 6 V is five sixths of the way to 5.4 V.
        assert!(!finds("capacity 240 mAh spent 6 V"));
        assert!(finds("capacity 239 mAh spent 6 V"));
    }
}
