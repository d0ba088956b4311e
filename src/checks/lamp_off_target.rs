//! # `lamp-off-target`: a lamp that misses the current meant for it
//!
//! **Warning** when a lamp's current, all values as stated, is more than 40 % from its `runs at`, in a scene that has it on. Without `runs at`, a
//! **hint** when it is under 2 % of the lamp's rated current.
//!
//! ## Why it matters
//!
//! Half the current is about half the light: four lamps that were to look alike do not. Under a fiftieth a lamp looks broken in daylight;
//! mostly a resistor was read wrong by a band, 33 kohm for 3.3 kohm. Where the source has less volts than the lamp and the diodes ahead of it take, no resistor
//! helps; that is said.
//!
//! ## The limit
//!
//! 40 %, a step that the eye sees between two windows side by side, with room for the steps of the resistor series (common practice). Many lamps are run far under their
//! rated current on purpose, so without `runs at` only what is next to nothing is told.
//!
//! ## Shown
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! lamp mast of pearl resistor 2.2 kohm runs at 8 mA from adapter
//! #                                    ^^^^^^^^^^^^ lamp-off-target
//! lamp flag of pearl resistor 33 kohm from adapter
//! #                  ^^^^^^^^^^^^^^^^ lamp-off-target
//! ```
//!
//! ## Mended
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! lamp mast of pearl resistor 1.1 kohm 1/4 W runs at 8 mA from adapter
//! lamp flag of pearl resistor 470 ohm 1/2 W from adapter
//! ```

use super::lamps::Lamps;
use super::limits::{over, under};
use super::page::page;
use super::words::{in_scene, list, quoted};
use super::{Check, Context, Finding, Mend, lamps, too_many_in_series};
use crate::numbers::show;
use crate::plan::{Part, Severity};
use crate::rewrites::choose_resistor;
use crate::units::{ElectricCurrent, volts};

/// A lamp that misses the current meant for it.
pub const CHECK: Check = Check {
    name: "lamp-off-target",
    severities: &[Severity::Warning, Severity::Hint],
    page: page!("lamp_off_target.rs"),
    check,
    mends: Some(mends),
};

/// How far from `runs at` is off.
const OFF: f64 = 0.4;

/// Under this part of its rated current a lamp looks dark.
const DARK: f64 = 0.02;

fn check(context: &Context, out: &mut Vec<Finding>) {
    for lamp in lamps::all(context) {
        let item = lamp.item;
        let (Some(most), Some(least)) = (
            lamps::greatest_amps(context, item),
            lamps::least_amps(context, item),
        ) else {
            continue;
        };
        let name = || context.quoted(item);
        let (severity, word, message) = match lamp.runs_at {
            Some(wanted) => {
                let (amps, scene) = if over(most.typical, wanted * (1.0 + OFF)) {
                    (most.typical, &most.typical_scene)
                } else if under(least.typical, wanted * (1.0 - OFF)) {
                    (least.typical, &least.typical_scene)
                } else {
                    continue;
                };
                let message = format!(
                    "{} runs at {} {}, not at the {} that are wanted. Take the resistor for that.",
                    name(),
                    show(amps),
                    in_scene(scene),
                    show(wanted)
                );
                (Severity::Warning, "runs", message)
            }
            None => {
                let rated = lamp.led.curve.stated_amps;
                if !under(least.typical, rated * DARK)
                    || too_many_in_series::is_error(context, &lamp)
                {
                    continue;
                }
                let message = format!(
                    "{} has {} {}, under a fiftieth of its {}: it will look dark. Check the resistor.",
                    name(),
                    show(least.typical),
                    in_scene(least.typical_scene),
                    show(rated)
                );
                (Severity::Hint, "resistor", message)
            }
        };
        if !lamp.is_held(context) {
            continue; // told as lamp-without-resistor
        }
        let message = match starved(context, &lamp, least.typical) {
            Some(why) => format!(
                "{} has {} {}: {why}. Take a source of more volts; no resistor helps.",
                name(),
                show(least.typical),
                in_scene(least.typical_scene)
            ),
            None => message,
        };
        let span = context.clause_span(context.plan.items[item.0].stanza, word);
        out.push(context.on_item(CHECK.name, severity, item, span, message));
    }
}

/// Why a lamp that is next to dark would be so with any resistor: what its source gives, and what of it is taken ahead.
fn starved(context: &Context, lamp: &Lamps, has: ElectricCurrent) -> Option<String> {
    let plan = context.plan;
    let glow = lamp.led.curve.stated_amps * DARK;
    if !under(has, glow) {
        return None;
    }
    let wants = lamp.led.curve.volts_at(glow) * f64::from(lamp.count);
    let (mut left, mut source) = (None, String::new());
    let mut taken: Vec<String> = Vec::new();
    let mut drops = volts(0.0);
    let mut at = lamp.item;
    for _ in 0..plan.items.len() {
        let from = plan.items[at.0].feed.as_ref()?.from;
        let gives = match &plan.items[from.item.0].part {
            Part::Supply(supply) => Some(supply.volts),
            Part::Regulator { volts, .. } => Some(*volts),
            Part::Diode { drops: own } | Part::Rectifier { drops: own } => {
                drops += *own;
                taken.push(format!(
                    "{} takes {}",
                    context.quoted(from.item),
                    show(*own)
                ));
                None
            }
            _ => plan.output(from).and_then(|o| o.volts),
        };
        if let Some(gives) = gives {
            source = format!("{} gives {}", quoted(&plan.point_name(from)), show(gives));
            left = Some(gives - drops);
            break;
        }
        at = from.item;
    }
    left.filter(|&left| under(left, wants))?;
    let lamps = match lamp.count {
        1 => "the lamp wants".to_owned(),
        n => format!("its {n} lamps want"),
    };
    let ahead = match taken.len() {
        0 => String::new(),
        _ => format!(", {} of it", list(&taken)),
    };
    Some(format!("{source}{ahead}, and {lamps} {}", show(wants)))
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let lamp = finding.about.first();
    lamp.map_or_else(Vec::new, |&lamp| {
        choose_resistor(context.plan, context.solution, lamp, None)
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    const STOCK: &str = "led p drops 3.0 V at 20 mA limit 25 mA colour white\nsupply s 12 V 1 A\n";

    fn said(lamp: &str) -> Vec<(Severity, String)> {
        let findings = found(&plan(&format!("{STOCK}{lamp}\n")), CHECK.name);
        findings
            .into_iter()
            .map(|f| (f.severity, f.message))
            .collect()
    }

    fn severity(lamp: &str) -> Option<Severity> {
        said(lamp).first().map(|f| f.0)
    }

    #[test]
    fn two_fifths_either_way() {
        // By hand: at 6 mA the lamp drops 3.0 − 0.0619 − 0.14 = 2.798 V, so (12 − 2.798) V / 6 mA = 1533.7 ohm; 14 mA: 2.9217 V, 648.5 ohm.
        let at =
            |ohms: &str| severity(&format!("lamp l of p resistor {ohms} runs at 10 mA from s"));
        assert_eq!(at("1533 ohm"), None);
        assert_eq!(at("1535 ohm"), Some(Severity::Warning));
        assert_eq!(at("649 ohm"), None);
        assert_eq!(at("648 ohm"), Some(Severity::Warning));
    }

    #[test]
    fn without_a_wish_only_next_to_nothing_is_told() {
        // By hand: 0.4 mA drops 3.0 − 0.201 − 0.196 = 2.603 V: (12 − 2.603) V / 0.4 mA = 23.49 kohm.
        assert_eq!(severity("lamp l of p resistor 23.4 kohm from s"), None);
        assert_eq!(
            severity("lamp l of p resistor 23.6 kohm from s"),
            Some(Severity::Hint)
        );
    }

    #[test]
    fn where_the_source_has_too_few_volts_that_is_said() {
        // At 0.4 mA the lamp drops 2.603 V (by hand, above).
        let behind = |drops: &str| {
            said(&format!(
                "diode d drops {drops} from s\nlamp l of p resistor 560 ohm from d"
            ))
        };
        let (severity, message) = behind("13 V").remove(0);
        assert_eq!(severity, Severity::Hint);
        assert_eq!(
            message,
            "`l` has 0 A with everything on: `s` gives 12 V, `d` takes 13 V of it, and the lamp wants 2.6 V. Take a source of more volts; no resistor helps."
        );
        assert!(behind("9.5 V")[0].1.contains("no resistor helps"));
        // Something is left: the resistor is what holds it.
        let (_, message) =
            said("diode d drops 9.3 V from s\nlamp l of p resistor 33 kohm from d").remove(0);
        assert!(message.ends_with("Check the resistor."), "{message}");
        let (severity, message) =
            said("diode d drops 13 V from s\nlamp l of p resistor 560 ohm runs at 10 mA from d")
                .remove(0);
        assert_eq!(severity, Severity::Warning);
        assert!(message.ends_with("no resistor helps."), "{message}");
    }

    #[test]
    fn a_scene_that_has_it_off_is_no_matter() {
        let text = "lamp l of p resistor 910 ohm runs at 10 mA from s\nscene dark off l\nscene lit";
        assert_eq!(said(text), []);
    }
}
