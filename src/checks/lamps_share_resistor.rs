//! # `lamps-share-resistor`: lamps side by side behind one resistor
//!
//! Two or more lamps without a resistor of their own hang side by side behind one `resistor`. **Error** when one of them alone would pass its
//! limit there; else **warning**.
//!
//! ## Why it matters
//!
//! No two lamps drop quite the same voltage: the one that wants least takes most of the current, and the others stay dim. When one
//! fails or a joint breaks, the rest share its current too, and go one after the other.
//!
//! ## The limit
//!
//! A resistor for each lamp (common practice). What one alone would draw is worked out from the voltage ahead of the resistor, all values as stated.
//!
//! ## Shown
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! resistor R1 150 ohm 2 W from adapter
//! #        ^^ lamps-share-resistor
//! lamp mast of pearl from R1
//! lamp flag of pearl from R1
//! lamp deck of pearl from R1
//! ```
//!
//! ## Mended
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! joint R1 from adapter
//! lamp mast of pearl resistor 470 ohm 1/2 W from R1
//! lamp flag of pearl resistor 470 ohm 1/2 W from R1
//! lamp deck of pearl resistor 470 ohm 1/2 W from R1
//! ```

use std::collections::BTreeMap;

use super::lamps::{self, Lamps};
use super::limits::over;
use super::page::page;
use super::words::list;
use super::{Check, Context, Finding, Mend};
use crate::numbers::show_and_limit;
use crate::plan::{ItemId, Part, Severity};
use crate::rewrites::branch_string::current_through;
use crate::rewrites::choose_resistor::in_series;
use crate::rewrites::share_out_resistor;
use crate::units::ElectricCurrent;

/// Lamps side by side behind one resistor.
pub const CHECK: Check = Check {
    name: "lamps-share-resistor",
    severities: &[Severity::Error, Severity::Warning],
    page: page!("lamps_share_resistor.rs"),
    check,
    mends: Some(mends),
};

/// The lamps without a resistor of their own, by the nearest resistor ahead of them.
fn sharing<'a>(context: &Context<'a>) -> BTreeMap<ItemId, Vec<Lamps<'a>>> {
    let mut by_resistor: BTreeMap<ItemId, Vec<Lamps>> = BTreeMap::new();
    for lamp in lamps::all(context).filter(|l| !l.has_resistor()) {
        if let Some(resistor) = lamp.resistor_ahead(context) {
            by_resistor.entry(resistor).or_default().push(lamp);
        }
    }
    by_resistor.retain(|_, lamps| lamps.len() > 1);
    by_resistor
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    for (resistor, lamps) in sharing(context) {
        let passing = lamps.iter().find_map(|l| {
            let alone = alone(context, resistor, l)?;
            over(alone, l.led.limit).then_some((l, alone))
        });
        let names: Vec<String> = lamps.iter().map(|l| context.quoted(l.item)).collect();
        let (names, shared) = (list(&names), context.quoted(resistor));
        let (severity, message) = match passing {
            Some((lamp, alone)) => {
                let (alone, limit) = show_and_limit(alone, lamp.led.limit);
                let message = format!(
                    "{names} share {shared}: {} alone would take {alone} there, and it stands {limit}. Give each lamp its own resistor.",
                    context.quoted(lamp.item)
                );
                (Severity::Error, message)
            }
            None => {
                let message = format!(
                    "{names} share {shared}: the one that wants least takes most of the current. Give each lamp its own resistor."
                );
                (Severity::Warning, message)
            }
        };
        let span = context.name_span(context.plan.items[resistor.0].stanza);
        let mut finding = context.on_item(CHECK.name, severity, resistor, span, message);
        finding.related = lamps
            .iter()
            .map(|l| context.related(l.item, format!("has no resistor but {shared}")))
            .collect();
        out.push(finding);
    }
}

/// What one lamp draws when it is the only one behind the resistor.
fn alone(context: &Context, resistor: ItemId, lamp: &Lamps) -> Option<ElectricCurrent> {
    let Part::Resistor { ohms, .. } = context.plan.items[resistor.0].part else {
        return None;
    };
    let volts = context.greatest(|f| Some(f.items.get(resistor.0)?.volts))?;
    let curve = in_series(&lamp.led.curve, lamp.count);
    Some(current_through(&curve, ohms, volts.typical))
}

/// A resistor each, and a joint where the shared one was.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let Some(&resistor) = finding.about.first() else {
        return Vec::new();
    };
    let lamps = sharing(context).remove(&resistor).unwrap_or_default();
    let lamps: Vec<ItemId> = lamps.iter().map(|l| l.item).collect();
    share_out_resistor(context.plan, context.solution, resistor, &lamps)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn severity(wiring: &str) -> Option<Severity> {
        let text = format!(
            "led p drops 3.0 V at 20 mA limit 25 mA colour white\nsupply s 12 V 1 A\n{wiring}"
        );
        let findings = found(&plan(&text), CHECK.name);
        assert!(findings.len() <= 1);
        findings.first().map(|f| f.severity)
    }

    #[test]
    fn one_alone_decides() {
        let two = |ohms: u32| {
            format!("resistor r {ohms} ohm from s\nlamp a of p from r\nlamp b of p from r\n")
        };
        // By hand: (12 − 3.06) V / 25 mA is 357 ohm.
        assert_eq!(severity(&two(350)), Some(Severity::Error));
        assert_eq!(severity(&two(365)), Some(Severity::Warning));
    }

    #[test]
    fn a_joint_between_makes_no_difference_but_an_own_resistor_does() {
        let behind = "resistor r 470 ohm from s\njoint j from r\njoint k from j\nlamp a of p from j\nlamp b of p from k\n";
        assert_eq!(severity(behind), Some(Severity::Warning));
        assert_eq!(
            severity("resistor r 470 ohm from s\nlamp a of p from r\n"),
            None
        );
        assert_eq!(
            severity(
                "resistor r 100 ohm from s\nlamp a of p resistor 330 ohm from r\nlamp b of p resistor 330 ohm from r\n"
            ),
            None
        );
    }
}
