//! # `supply-over-budget`: more current than the supply gives
//!
//! **Error** when the plan draws more than the supply's stated current with all values as stated;
//! **warning** when it does so only at a corner (the supply high, resistors and lamps low).
//!
//! ## Why it matters
//!
//! An adapter that is asked for more than it gives gets hot, lets its voltage sag, or switches itself off and on
//! again: the model blinks, or goes dark with the public in front of it. A cell is drained at a rate that it was not made for.
//! An adapter is mains equipment: never open one, never stretch its rating, and follow the rules of your country.
//!
//! ## The limit
//!
//! The current on the supply's own label, as the plan states it (`supply adapter 12 V 1 A`). It is compared in every scene and with
//! everything on at once. A supply without a stated current is not checked.
//!
//! ## Shown
//!
//! ```harness
//! supply adapter 12 V 1 A
//! #                   ^^^ supply-over-budget
//! fuse F1 400 mA from adapter
//! fuse F2 400 mA from adapter
//! fuse F3 400 mA from adapter
//! fuse F4 400 mA from adapter
//! load crane draws 280 mA from F1
//! load winch draws 280 mA from F2
//! load radar draws 280 mA from F3
//! load smoke draws 280 mA from F4
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply adapter 12 V 1.5 A
//! fuse F1 400 mA from adapter
//! fuse F2 400 mA from adapter
//! fuse F3 400 mA from adapter
//! fuse F4 400 mA from adapter
//! load crane draws 280 mA from F1
//! load winch draws 280 mA from F2
//! load radar draws 280 mA from F3
//! load smoke draws 280 mA from F4
//! ```
//!
//! The next usual size that keeps the plan's headroom free is offered. Or feed some branches from a second supply, each
//! with its own return.

use super::limits::{over, rule};
use super::page::page;
use super::words::{AT_WORST, in_scene};
use super::{Check, Context, Finding, supplies};
use crate::numbers::{show, show_and_limit};
use crate::plan::{ItemId, Part, Severity};
use crate::syntax::tree::Name;
use crate::units::ElectricCurrent;

/// More current than the supply gives.
pub const CHECK: Check = Check {
    name: "supply-over-budget",
    severities: &[Severity::Error, Severity::Warning],
    page: page!("supply_over_budget.rs"),
    check,
    mends: Some(supplies::relieve),
};

/// How many of the biggest takers are named.
const TAKERS: usize = 3;

fn check(context: &Context, out: &mut Vec<Finding>) {
    for (supply, limit) in supplies::limited(context) {
        let Some(given) = supplies::given(context, supply) else {
            continue;
        };
        let breaks = (over(given.typical, limit), over(given.corner, limit));
        let Some(severity) = rule(breaks.0, breaks.1) else {
            continue;
        };
        let name = context.quoted(supply);
        let (message, scene) = if breaks.0 {
            let (takes, limit) = show_and_limit(given.typical, limit);
            let scene = &given.typical_scene;
            let message = format!(
                "{name} would have to give {takes} {}, but it gives {limit}. Take a larger one, or feed part of this from a second supply.",
                in_scene(scene)
            );
            (message, scene)
        } else {
            let (takes, limit) = show_and_limit(given.corner, limit);
            let scene = &given.corner_scene;
            let message = format!(
                "{name} may have to give {takes} {} {AT_WORST}, and it gives {limit}. Take a larger one.",
                in_scene(scene)
            );
            (message, scene)
        };
        let span = context.head_span(context.plan.items[supply.0].stanza, 2);
        let mut finding = context.on_item(CHECK.name, severity, supply, span, message);
        for (taker, takes) in takers(context, supply, scene) {
            finding
                .related
                .push(context.related(taker, format!("takes {}", show(takes))));
        }
        out.push(finding);
    }
}

/// What takes most of what a supply gives in a scene, the biggest first.
fn takers(context: &Context, supply: ItemId, scene: &Name) -> Vec<(ItemId, ElectricCurrent)> {
    let scene = context.solution.states().find(|s| s.name == *scene);
    let Some(figures) = scene.and_then(|s| s.outcome.as_ref().ok()) else {
        return Vec::new();
    };
    let mut takers: Vec<(ItemId, ElectricCurrent)> = (0..context.plan.items.len())
        .map(ItemId)
        .filter(|&item| !matches!(context.plan.items[item.0].part, Part::Supply(_)))
        .filter(|&item| context.way_back(item).last() == Some(supply))
        .filter_map(|item| Some((item, figures.items.get(item.0)?.amps.typical)))
        .filter(|(_, takes)| takes.value > 0.0)
        .collect();
    takers.sort_by(|a, b| b.1.value.total_cmp(&a.1.value)); // stable: in the plan's order where alike
    takers.truncate(TAKERS);
    takers
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn severity(limit: &str, draws: &str) -> Option<Severity> {
        let text = format!("supply cell 12 V {limit}\nload pump draws {draws} from cell\n");
        found(&plan(&text), CHECK.name).first().map(|f| f.severity)
    }

    #[test]
    fn the_limit_itself_is_not_passed() {
        assert_eq!(severity("100 mA", "100 mA"), None);
        assert_eq!(severity("100 mA", "100.0009 mA"), None);
        assert_eq!(severity("100 mA", "100.0011 mA"), Some(Severity::Error));
        assert_eq!(severity("", "5 A"), None);
    }

    #[test]
    fn what_only_a_corner_breaks_is_a_warning() {
        // 120 ohm at 12 V draws 100 mA, and 105 mA where the supply is 5 % high.
        let at = |limit: &str| {
            let text =
                format!("supply cell 12 V {limit}\nload pump resistance 120 ohm from cell\n");
            found(&plan(&text), CHECK.name).first().map(|f| f.severity)
        };
        assert_eq!(at("99 mA"), Some(Severity::Error));
        assert_eq!(at("104 mA"), Some(Severity::Warning));
        assert_eq!(at("105 mA"), None);
    }

    #[test]
    fn the_worst_scene_is_named_and_the_biggest_takers_first() {
        let text = "supply cell 12 V 50 mA\nload a draws 10 mA from cell\nload b draws 70 mA from cell\nscene quiet off b\n";
        let findings = found(&plan(text), CHECK.name);
        assert!(
            findings[0].message.contains("80 mA with everything on"),
            "{}",
            findings[0].message
        );
        let related: Vec<&str> = findings[0].related.iter().map(|r| &*r.2).collect();
        assert_eq!(related, ["takes 70 mA", "takes 10 mA"]);
    }
}
