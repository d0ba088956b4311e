//! # `zone-dark`: windows and no light
//!
//! **Hint** when a zone has windows and no light sits in it.
//!
//! ## Why it matters
//!
//! It is mostly a light that was forgotten, or one whose `in` names the room next door. Once the roof is on, a dark window stays dark.
//!
//! ## The limit
//!
//! None. A room that is meant to be dark says so with `accept zone-dark because "…"`. Nothing is said while the plan has errors of reading,
//! for the light may be among what could not be read, nor of a file without any light (a list of rooms).
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone saloon windows 8 cm2
//! zone bridge windows 4 cm2
//! #           ^^^^^^^^^^^^^ zone-dark
//!
//! supply adapter 12 V 1 A in bridge
//! fuse F1 400 mA from adapter
//! lamp table of pearl resistor 560 ohm from F1 over 150 mm of fine in saloon
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone saloon windows 8 cm2
//! zone bridge windows 4 cm2
//!
//! supply adapter 12 V 1 A in bridge
//! fuse F1 400 mA from adapter
//! lamp table of pearl resistor 560 ohm from F1 over 150 mm of fine in saloon
//! lamp chart of pearl resistor 560 ohm from F1 over 80 mm of fine
//! ```

use super::facts::Fact;
use super::page::page;
use super::zone_light::lights_by_zone;
use super::{Check, Context, Finding};
use crate::plan::Severity;

/// Windows and no light.
pub const CHECK: Check = Check {
    name: "zone-dark",
    severities: &[Severity::Hint],
    page: page!("zone_dark.rs"),
    check,
    mends: None,
};

/// Whether there is a light anywhere in the plan.
fn has_lights(context: &Context) -> bool {
    context.plan.lights().next().is_some() || context.elsewhere(Fact::Lights).lights
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    if context.has_errors_of_reading() || !has_lights(context) {
        return;
    }
    for (zone, lights) in plan.zones.iter().zip(lights_by_zone(context)) {
        let has_windows = zone.windows.is_some_and(|w| w.value > 0.0);
        if !has_windows || !lights.is_empty() {
            continue;
        }
        let message = format!(
            "`{}` has windows and no light. Put one in, or take the windows out.",
            zone.name.0
        );
        let span = context.clause_span(zone.stanza, "windows");
        out.push(context.on_stanza(CHECK.name, Severity::Hint, zone.stanza, span, message));
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    const LAMP: &str = "led p drops 3 V at 20 mA\nsupply s 9 V 100 mA\n";

    fn finds(text: &str) -> usize {
        found(&plan(&format!("{LAMP}{text}\n")), CHECK.name).len()
    }

    #[test]
    fn a_room_without_windows_may_be_dark() {
        let lamp = "lamp l of p resistor 560 ohm from s\n";
        assert_eq!(finds(&format!("{lamp}zone z inside 20 cm2")), 0);
        assert_eq!(finds(&format!("{lamp}zone z windows 0 cm2")), 0);
        assert_eq!(finds(&format!("{lamp}zone z windows 1 cm2")), 1);
    }

    #[test]
    fn only_a_light_lights_it() {
        assert_eq!(
            finds("zone z windows 1 cm2\nlamp l of p resistor 560 ohm from s in z"),
            0
        );
        let load = "zone z windows 1 cm2\nload l draws 5 mA from s in z\nlamp m of p resistor 560 ohm from s";
        assert_eq!(finds(load), 1);
        // A list of rooms.
        assert_eq!(finds("zone z windows 1 cm2"), 0);
    }
}
