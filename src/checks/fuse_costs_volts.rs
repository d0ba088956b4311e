//! # `fuse-costs-volts`: a fuse that takes its share of the voltage
//!
//! **Hint** when the `resistance` of a fuse alone takes more than a quarter of what may be lost on the way to a light (`max-drop`), all values as
//! stated; **warning** when it takes more than all of it.
//!
//! ## Why it matters
//!
//! A small fuse is a thin wire, and a resettable one has a good part of an ohm, more once it has tripped. At 12 V nobody sees it; at 5 V
//! or 3 V it is where the light goes, and no thicker wire brings it back. It also warms what it is glued to.
//!
//! ## The limit
//!
//! A quarter of `max-drop` leaves three quarters to wire and contacts (common practice). The current is that of the worst scene; `max-drop` is 5 % of what
//! the supply, regulator or regulated output ahead gives, unless the plan says otherwise. Only a fuse with a light behind it is judged, and no further than the next
//! regulator; one that does not state its `resistance` has none.
//!
//! ## Shown
//!
//! ```harness
//! tape shelf group 1 lamps long 10 mm works 4 V to 5.5 V draws 18 mA at 5 V colour warm-white
//!
//! supply charger 5 V 2 A
//! fuse F1 500 mA resettable resistance 0.5 ohm from charger
//! #                         ^^^^^^^^^^^^^^^^^^ fuse-costs-volts
//! strip saloon of shelf 12 lamps from F1
//! ```
//!
//! ## Mended
//!
//! ```harness
//! tape shelf group 1 lamps long 10 mm works 4 V to 5.5 V draws 18 mA at 5 V colour warm-white
//!
//! supply charger 5 V 2 A
//! fuse F1 500 mA quick resistance 0.15 ohm from charger
//! strip saloon of shelf 12 lamps from F1
//! ```
//!
//! Take one with less resistance: a larger rating, as far as the wire behind it allows, or a quick one. Or feed the lights by two fuses. Never bridge a fuse.

use super::lamps::way_to_source;
use super::limits::over;
use super::page::page;
use super::runs::size;
use super::supplies::judged;
use super::words::{in_scene, quoted};
use super::{Check, Context, Finding};
use crate::numbers::{percent, show, three_digits};
use crate::plan::{ItemId, Part, Severity};
use crate::rewrites::thicker_wire::fed_with;

/// A fuse that takes its share of the voltage.
pub const CHECK: Check = Check {
    name: "fuse-costs-volts",
    severities: &[Severity::Warning, Severity::Hint],
    page: page!("fuse_costs_volts.rs"),
    check,
    mends: None,
};

/// The part of `max-drop` that a fuse may take.
const ITS_SHARE: f64 = 0.25;

fn check(context: &Context, out: &mut Vec<Finding>) {
    let judged = judged(context);
    for (i, item) in context.plan.items.iter().enumerate() {
        if judged[i] {
            out.extend(judge(context, ItemId(i), &item.part));
        }
    }
}

fn judge(context: &Context, fuse: ItemId, part: &Part) -> Option<Finding> {
    let Part::Fuse { resistance, .. } = *part else {
        return None;
    };
    let (fed, point) = fed_with(context.plan, fuse)?;
    let limit = fed * context.plan.settings.max_drop;
    let carries = context.greatest(|f| Some(size(f.items.get(fuse.0)?.passes)))?;
    let takes = carries.typical * resistance;
    if !over(takes, limit * ITS_SHARE) || !lights_something(context, fuse) {
        return None;
    }
    let severity = match over(takes, limit) {
        true => Severity::Warning,
        false => Severity::Hint,
    };
    let message = format!(
        "{} alone takes {} at {} {}, {} of the {} that may be lost on the way from {} ({} % of {}). Take one with less resistance.",
        context.quoted(fuse),
        show(takes),
        show(carries.typical),
        in_scene(carries.typical_scene),
        percent((takes / limit).value),
        show(limit),
        quoted(&context.plan.point_name(point)),
        three_digits(context.plan.settings.max_drop.value * 100.0),
        show(fed),
    );
    let span = context.clause_span(context.plan.items[fuse.0].stanza, "resistance");
    Some(context.on_item(CHECK.name, severity, fuse, span, message))
}

/// Whether a light is behind a fuse, with nothing between that holds a voltage of its own.
fn lights_something(context: &Context, fuse: ItemId) -> bool {
    let mut lights = context.plan.lights();
    lights.any(|light| way_to_source(context, light).any(|ahead| ahead == fuse))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    /// What is found where a load that draws 100 mA stands beside a lamp of next to nothing.
    fn said(harness: &str, resistance: &str, wiring: &str) -> Vec<(Severity, String)> {
        let text = format!(
            "{harness}led dot drops 2 V at 10 mA colour red\nsupply s 5 V 1 A\nfuse F 400 mA {resistance} from s\n{wiring}\n"
        );
        let findings = found(&plan(&text), CHECK.name);
        findings
            .into_iter()
            .map(|f| (f.severity, f.message))
            .collect()
    }

    const BOTH: &str =
        "lamp l of dot resistor 10 Mohm from F\nload m draws 100 mA from F\nscene quiet off m";

    #[test]
    fn a_quarter_and_all_of_what_may_be_lost() {
        // 5 % of 5 V is 0.25 V, a quarter of it 62.5 mV: 0.625 ohm at 100 mA.
        let at = |ohms: &str| {
            let said = said("", &format!("resistance {ohms}"), BOTH);
            said.first().map(|s| s.0)
        };
        assert_eq!(at("0.624 ohm"), None);
        assert_eq!(at("0.626 ohm"), Some(Severity::Hint));
        assert_eq!(at("2.499 ohm"), Some(Severity::Hint));
        assert_eq!(at("2.501 ohm"), Some(Severity::Warning));
        assert_eq!(said("", "", BOTH), []);
        let more = "harness \"h\" max-drop 10 %\n";
        assert_eq!(said(more, "resistance 1.249 ohm", BOTH), []);
        assert_eq!(said(more, "resistance 1.251 ohm", BOTH).len(), 1);
    }

    #[test]
    fn the_figures_and_the_worst_scene_are_named() {
        let said = said("", "resistance 1 ohm", BOTH);
        assert_eq!(
            said[0].1,
            "`F` alone takes 0.1 V at 100 mA with everything on, 40 % of the 0.25 V that may be lost on the way from `s` (5 % of 5 V). Take one with less resistance."
        );
    }

    #[test]
    fn only_where_a_light_pays_for_it() {
        let load = "load m draws 100 mA from F";
        assert_eq!(said("", "resistance 1 ohm", load), []);
        // Behind a regulator the lamp has its volts all the same.
        let held = "regulator r 3.3 V 300 mA dropout 0.3 V from F\nlamp l of dot resistor 150 ohm from r\nload m draws 100 mA from r";
        assert_eq!(said("", "resistance 1 ohm", held), []);
    }
}
