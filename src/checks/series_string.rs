//! # `series-string`: many lamps on one current
//!
//! **Hint** when four or more lamps are in series, or when a zone's only light is lamps in series.
//!
//! ## Why it matters
//!
//! In series one current goes through all the lamps: one that fails, or one cold joint, and all are dark. Their voltages add up,
//! too, so that little is left for the resistor and the light changes much with the supply. A resistor for each
//! lamp and its own way back costs a resistor and some wire, and one failure is one lamp.
//!
//! ## The limit
//!
//! Four, where half a row of windows goes dark at once (common practice). For a zone that has no other light,
//! two are enough: the zone is dark.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led ruby drops 2.0 V at 20 mA limit 25 mA colour red
//!
//! supply adapter 12 V 1 A
//! fuse F1 200 mA from adapter
//! joint keel from F1 over 100 mm of fine
//! string deck of ruby 4 lamps resistor 270 ohm from keel over 80 mm of fine
//! #                   ^^^^^^^ series-string
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led ruby drops 2.0 V at 20 mA limit 25 mA colour red
//!
//! supply adapter 12 V 1 A
//! fuse F1 200 mA from adapter
//! joint keel from F1 over 100 mm of fine
//! lamp deck-1 of ruby resistor 680 ohm from keel over 80 mm of fine
//! lamp deck-2 of ruby resistor 680 ohm from keel over 80 mm of fine
//! lamp deck-3 of ruby resistor 680 ohm from keel over 80 mm of fine
//! lamp deck-4 of ruby resistor 680 ohm from keel over 80 mm of fine
//! ```

use super::page::page;
use super::{Check, Context, Finding, Mend};
use crate::plan::{Part, Severity};
use crate::rewrites::branch_string;
use crate::syntax::vocabulary::StanzaWord;

/// Many lamps on one current.
pub const CHECK: Check = Check {
    name: "series-string",
    severities: &[Severity::Hint],
    page: page!("series_string.rs"),
    check,
    mends: Some(branch),
};

/// From so many lamps on.
const MANY: u32 = 4;

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    let mut lights_in = vec![0; plan.zones.len()];
    for zone in plan.lights().filter_map(|light| plan.items[light.0].zone) {
        lights_in[zone.0] += 1;
    }
    for light in plan.lights() {
        let item = &plan.items[light.0];
        let Part::Lamps { count, .. } = item.part else {
            continue;
        };
        if item.word != StanzaWord::String || count < 2 {
            continue;
        }
        let name = context.quoted(light);
        let message = match item.zone.filter(|zone| lights_in[zone.0] == 1) {
            _ if count >= MANY => format!(
                "{name} is {count} lamps in series: one failure darkens all {count}. Branch them, a resistor each."
            ),
            Some(zone) => format!(
                "{name} is the only light of `{}` and its {count} lamps are in series: one failure, and the zone is dark. Branch them, a resistor each.",
                plan.zones[zone.0].name.0
            ),
            None => continue,
        };
        let span = context.head_span(item.stanza, 2);
        out.push(context.on_item(CHECK.name, Severity::Hint, light, span, message));
    }
}

fn branch(context: &Context, finding: &Finding) -> Vec<Mend> {
    match finding.about[..] {
        [] => Vec::new(),
        [light, ..] => branch_string(context.plan, context.solution, light),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn finds(wiring: &str) -> Vec<String> {
        let text = format!(
            "led ruby drops 2.0 V at 20 mA colour red\nzone deck\nsupply a 12 V 1 A\nfuse F1 200 mA from a\n{wiring}"
        );
        let findings = found(&plan(&text), CHECK.name);
        findings
            .into_iter()
            .map(|f| f.item.unwrap().0.to_string())
            .collect()
    }

    #[test]
    fn four_anywhere_and_two_where_nothing_else_gives_light() {
        assert_eq!(
            finds("string s of ruby 4 lamps resistor 270 ohm from F1\n"),
            ["s"]
        );
        assert_eq!(
            finds("string s of ruby 3 lamps resistor 330 ohm from F1\n"),
            [""; 0]
        );
        assert_eq!(
            finds("string s of ruby 2 lamps resistor 470 ohm from F1 in deck\n"),
            ["s"]
        );
        let two = "string s of ruby 2 lamps resistor 470 ohm from F1 in deck\nlamp l of ruby resistor 680 ohm from F1 in deck\n";
        assert_eq!(finds(two), [""; 0]);
    }
}
