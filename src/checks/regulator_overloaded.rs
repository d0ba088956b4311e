//! # `regulator-overloaded`: more current than a regulator gives
//!
//! **Error** when a regulator has to give more than its stated current with all values as stated; **warning** when it has to only at a
//! corner.
//!
//! ## Why it matters
//!
//! A regulator that is asked for too much lets its voltage sag or shuts down, cools, and starts again: the lights behind it breathe. A cheap one
//! just gets hot until something gives.
//!
//! ## The limit
//!
//! The current that the plan states for it, at its output: a switching one takes less than that at its input. It is compared in every scene and with
//! everything on at once.
//!
//! ## Shown
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! regulator crane-5v 5 V 200 mA efficiency 85 % from F1
//! #                      ^^^^^^ regulator-overloaded
//! load crane draws 280 mA from crane-5v
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! regulator crane-5v 5 V 500 mA efficiency 85 % from F1
//! load crane draws 280 mA from crane-5v
//! ```

use super::limits::{over, rule};
use super::page::page;
use super::runs::size;
use super::supplies::judged;
use super::words::{AT_WORST, in_scene};
use super::{Check, Context, Finding};
use crate::numbers::show_and_limit;
use crate::plan::{ItemId, Part, Severity};

/// More current than a regulator gives.
pub const CHECK: Check = Check {
    name: "regulator-overloaded",
    severities: &[Severity::Error, Severity::Warning],
    page: page!("regulator_overloaded.rs"),
    check,
    mends: None,
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let judged = judged(context);
    for (i, item) in context
        .plan
        .items
        .iter()
        .enumerate()
        .filter(|(i, _)| judged[*i])
    {
        let Part::Regulator { limit, .. } = item.part else {
            continue;
        };
        let Some(given) = context.greatest(|f| Some(size(f.items.get(i)?.gives))) else {
            continue;
        };
        let typical = over(given.typical, limit);
        let Some(severity) = rule(typical, over(given.corner, limit)) else {
            continue;
        };
        let name = context.quoted(ItemId(i));
        let message = if typical {
            let (gives, limit) = show_and_limit(given.typical, limit);
            format!(
                "{name} would have to give {gives} {}, but it gives {limit}. Take a larger one, or feed part of this from another.",
                in_scene(given.typical_scene)
            )
        } else {
            let (gives, limit) = show_and_limit(given.corner, limit);
            format!(
                "{name} may have to give {gives} {} {AT_WORST}, and it gives {limit}. Take a larger one.",
                in_scene(given.corner_scene)
            )
        };
        let span = context.head_span(item.stanza, 2);
        out.push(context.on_item(CHECK.name, severity, ItemId(i), span, message));
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn severity(way: &str, load: &str) -> Option<Severity> {
        let text = format!(
            "supply s 12 V 1 A\nfuse F 500 mA from s\nregulator r 5 V 100 mA {way} from F\n{load}\n"
        );
        found(&plan(&text), CHECK.name).first().map(|f| f.severity)
    }

    #[test]
    fn what_it_gives_counts_not_what_it_takes() {
        for way in ["", "efficiency 90 %"] {
            let at = |load: &str| severity(way, &format!("load l {load} from r"));
            assert_eq!(at("draws 100 mA"), None);
            assert_eq!(at("draws 100.0009 mA"), None);
            assert_eq!(at("draws 100.0011 mA"), Some(Severity::Error));
        }
        assert_eq!(
            severity("", "load l draws 60 mA from r\nload k draws 60 mA from r"),
            Some(Severity::Error)
        );
    }

    #[test]
    fn what_only_a_corner_breaks_is_a_warning() {
        // 2 V over 21 ohm is 95 mA; 5 % less ohms and 0.1 V less across the lamp give 105 mA.
        let lamp = "led p drops 3 V at 95 mA limit 200 mA\nlamp l of p resistor 21 ohm from r";
        assert_eq!(severity("", lamp), Some(Severity::Warning));
    }
}
