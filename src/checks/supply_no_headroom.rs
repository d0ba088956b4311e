//! # `supply-no-headroom`: a supply run to the brim
//!
//! **Warning** when the plan draws more than the supply's stated current less the headroom, with all values as
//! stated.
//!
//! ## Why it matters
//!
//! A supply that runs at its limit for hours gets warm and ages fast, and there is nothing left for the one lamp that is
//! added later. Cheap adapters do not always give what is printed on them.
//!
//! ## The limit
//!
//! A fifth of the supply's current is kept free (common practice). `headroom 10 %` in the `harness` stanza says otherwise. Nothing
//! more is said where the supply is over its limit altogether: that is `supply-over-budget`.
//!
//! ## Shown
//!
//! ```harness
//! supply adapter 12 V 1 A
//! #                   ^^^ supply-no-headroom
//! fuse F1 400 mA from adapter
//! fuse F2 400 mA from adapter
//! fuse F3 400 mA from adapter
//! load crane draws 280 mA from F1
//! load winch draws 280 mA from F2
//! load radar draws 280 mA from F3
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply adapter 12 V 1.2 A
//! fuse F1 400 mA from adapter
//! fuse F2 400 mA from adapter
//! fuse F3 400 mA from adapter
//! load crane draws 280 mA from F1
//! load winch draws 280 mA from F2
//! load radar draws 280 mA from F3
//! ```

use super::limits::over;
use super::page::page;
use super::words::in_scene;
use super::{Check, Context, Finding, supplies};
use crate::numbers::{show, show_and_limit, three_digits};
use crate::plan::Severity;
use crate::units::ratio;

/// A supply run to the brim.
pub const CHECK: Check = Check {
    name: "supply-no-headroom",
    severities: &[Severity::Warning],
    page: page!("supply_no_headroom.rs"),
    check,
    mends: Some(supplies::enlarge),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let headroom = context.plan.settings.headroom;
    for (supply, limit) in supplies::limited(context) {
        let Some(given) = supplies::given(context, supply) else {
            continue;
        };
        let free = limit * (ratio(1.0) - headroom);
        if over(given.typical, limit) || !over(given.typical, free) {
            continue;
        }
        let (gives, free) = show_and_limit(given.typical, free);
        let message = format!(
            "{} gives {gives} {}; with {} % headroom it should give at most {free} of its {}. Take a larger one.",
            context.quoted(supply),
            in_scene(given.typical_scene),
            three_digits(headroom.value * 100.0),
            show(limit)
        );
        let span = context.head_span(context.plan.items[supply.0].stanza, 2);
        out.push(context.on_item(CHECK.name, Severity::Warning, supply, span, message));
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn finds(harness: &str, draws: &str) -> bool {
        let text = format!("{harness}supply cell 12 V 100 mA\nload pump draws {draws} from cell\n");
        !found(&plan(&text), CHECK.name).is_empty()
    }

    #[test]
    fn a_fifth_is_kept_free_or_what_the_plan_says() {
        assert!(!finds("", "80 mA"));
        assert!(!finds("", "80.0009 mA"));
        assert!(finds("", "80.0011 mA"));
        assert!(!finds("harness \"h\" headroom 10 %\n", "90 mA"));
        assert!(finds("harness \"h\" headroom 10 %\n", "91 mA"));
        assert!(!finds("harness \"h\" headroom 0 %\n", "100 mA"));
    }

    #[test]
    fn a_supply_over_its_limit_is_not_told_twice() {
        assert!(finds("", "100 mA"));
        assert!(!finds("", "101 mA"));
    }
}
