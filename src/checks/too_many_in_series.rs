//! # `too-many-in-series`: lamps in series that leave nothing for the resistor
//!
//! **Error** when the lamps of a string together want all the voltage that they are fed, or more; **warning** when they leave under 10 % of it for the
//! resistor.
//!
//! ## Why it matters
//!
//! In series the voltages add up. With nothing left for the resistor the string glows faintly or not at all; with little left, a supply that is
//! 5 % high doubles the current, and one that is 5 % low leaves it dark.
//!
//! ## The limit
//!
//! A tenth of the voltage, twice what a usual supply strays (common practice). The lamps' voltages are those at the wanted current (`runs at`), else as
//! `drops` states them; the voltage is the least that the string has in any scene that has it on.
//!
//! ## Shown
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone deck
//!
//! supply adapter 9 V 1 A in deck
//! string row of pearl 3 lamps resistor 47 ohm from adapter
//! #                   ^^^^^^^ too-many-in-series
//! lamp lone of pearl resistor 330 ohm from adapter
//! ```
//!
//! ## Mended
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone deck
//!
//! supply adapter 9 V 1 A in deck
//! lamp row-1 of pearl resistor 330 ohm 1/4 W from adapter
//! lamp row-2 of pearl resistor 330 ohm 1/4 W from adapter
//! lamp row-3 of pearl resistor 330 ohm 1/4 W from adapter
//! lamp lone of pearl resistor 330 ohm from adapter
//! ```

use super::lamps::{self, Lamps};
use super::limits::over;
use super::page::page;
use super::words::in_scene;
use super::{Check, Context, Finding, Mend};
use crate::numbers::{show, show_and_limit};
use crate::plan::Severity;
use crate::rewrites::{branch_string, split_string};
use crate::syntax::tree::Name;
use crate::syntax::vocabulary::StanzaWord;
use crate::units::{ElectricPotential, volts};

/// Lamps in series that leave nothing for the resistor.
pub const CHECK: Check = Check {
    name: "too-many-in-series",
    severities: &[Severity::Error, Severity::Warning],
    page: page!("too_many_in_series.rs"),
    check,
    mends: Some(mends),
};

/// The part of the voltage that is to be left for the resistor.
const LEFT: f64 = 0.1;

/// What a string wants and has.
struct Share<'a> {
    has: ElectricPotential,
    wants: ElectricPotential,
    scene: &'a Name,
}

impl Share<'_> {
    fn severity(&self) -> Option<Severity> {
        let left = self.has - self.wants;
        if !over(left, volts(0.0)) {
            Some(Severity::Error)
        } else if over(self.has * LEFT, left) {
            Some(Severity::Warning)
        } else {
            None
        }
    }
}

/// `None` where it is no string, or has no voltage at all.
fn share<'a>(context: &Context<'a>, lamps: &Lamps) -> Option<Share<'a>> {
    if context.plan.items[lamps.item.0].word != StanzaWord::String || lamps.count < 2 {
        return None;
    }
    let least = lamps::least_volts(context, lamps.item).filter(|v| over(v.typical, volts(0.0)))?;
    let each = lamps.led.curve.volts_at(lamps.wanted());
    Some(Share {
        has: least.typical,
        wants: each * f64::from(lamps.count),
        scene: least.typical_scene,
    })
}

/// Whether nothing is left for the resistor of a string.
pub(super) fn is_error(context: &Context, lamps: &Lamps) -> bool {
    share(context, lamps).and_then(|s| s.severity()) == Some(Severity::Error)
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    for lamps in lamps::all(context) {
        let Some(share) = share(context, &lamps) else {
            continue;
        };
        let Some(severity) = share.severity() else {
            continue;
        };
        let name = context.quoted(lamps.item);
        let (wants, has) = show_and_limit(share.wants, share.has);
        let scene = in_scene(share.scene);
        let message = match severity {
            Severity::Error => format!(
                "The {} lamps of {name} want {wants} in series, and have {has} {scene}: nothing is left for the resistor. Put fewer in series.",
                lamps.count
            ),
            _ => format!(
                "The {} lamps of {name} want {wants} in series of the {has} {scene}: {} is left for the resistor, under a tenth. Put fewer in series.",
                lamps.count,
                show(share.has - share.wants)
            ),
        };
        let span = context.head_span(context.plan.items[lamps.item.0].stanza, 2);
        out.push(context.on_item(CHECK.name, severity, lamps.item, span, message));
    }
}

/// Fewer in series, then each lamp by itself.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let Some(&string) = finding.about.first() else {
        return Vec::new();
    };
    let (plan, solution) = (context.plan, context.solution);
    let mut mends = split_string(plan, solution, string, 1.0 - LEFT);
    mends.extend(branch_string(plan, solution, string));
    mends
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn severity(supply: &str, string: &str) -> Option<Severity> {
        let text = format!(
            "led p drops 3.0 V at 20 mA limit 25 mA colour white\nsupply s {supply}\nstring l of p {string} from s\n"
        );
        found(&plan(&text), CHECK.name).first().map(|f| f.severity)
    }

    #[test]
    fn nothing_and_a_tenth() {
        assert_eq!(
            severity("9 V", "3 lamps resistor 22 ohm"),
            Some(Severity::Error)
        );
        assert_eq!(
            severity("9.01 V", "3 lamps resistor 22 ohm"),
            Some(Severity::Warning)
        );
        assert_eq!(
            severity("9.99 V", "3 lamps resistor 47 ohm"),
            Some(Severity::Warning)
        );
        assert_eq!(severity("10 V", "3 lamps resistor 51 ohm"), None);
    }

    #[test]
    fn less_current_wants_less_voltage() {
        // At 2 mA each drops 3.0 − 0.118 − 0.18 = 2.70 V: three want 8.1 V of 9 V.
        assert_eq!(
            severity("9.02 V", "3 lamps resistor 470 ohm runs at 2 mA"),
            None
        );
    }

    #[test]
    fn one_lamp_is_no_series() {
        let text = "led p drops 3.0 V at 20 mA colour white\nsupply s 3 V\nlamp l of p resistor 10 ohm from s\n";
        assert_eq!(found(&plan(text), CHECK.name), []);
    }
}
