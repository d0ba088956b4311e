//! # `regulator-starved`: a regulator that cannot hold its voltage
//!
//! **Error** when a regulator gives less than its stated voltage with all values as stated; **warning** when it does so only at a
//! corner.
//!
//! ## Why it matters
//!
//! A regulator only takes off. One that is fed too little hands on what is left, and every dip of the battery, every lamp that is
//! switched on ahead of it, shows in the lights behind it: it might as well not be there.
//!
//! ## The limit
//!
//! A linear regulator needs its `dropout` above its own voltage (1.5 V where nothing is said, the usual figure of an old three-legged one); a switching one that
//! steps down needs its own voltage.
//!
//! ## Shown
//!
//! ```harness
//! supply cells 6 V 1 A
//! fuse F1 400 mA from cells
//! regulator crane-5v 5 V 500 mA from F1
//! #                  ^^^ regulator-starved
//! load crane draws 200 mA from crane-5v
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply cells 6 V 1 A
//! fuse F1 400 mA from cells
//! regulator crane-5v 5 V 500 mA dropout 0.5 V from F1
//! load crane draws 200 mA from crane-5v
//! ```
//!
//! Or feed it with more, or take a lower voltage behind it.

use super::limits::{rule, under};
use super::page::page;
use super::supplies::judged;
use super::words::{AT_WORST, in_scene};
use super::{Check, Context, Finding};
use crate::numbers::{show, show_and_limit};
use crate::plan::{ItemId, Part, RegulatorWay, Severity};

/// A regulator that cannot hold its voltage.
pub const CHECK: Check = Check {
    name: "regulator-starved",
    severities: &[Severity::Error, Severity::Warning],
    page: page!("regulator_starved.rs"),
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
        let Part::Regulator { volts, way, .. } = item.part else {
            continue;
        };
        let held = context.least(|f| {
            let f = f.items.get(i)?;
            f.reached.then_some(f.hands_on)
        });
        let Some(held) = held else { continue };
        let typical = under(held.typical, volts);
        let Some(severity) = rule(typical, under(held.corner, volts)) else {
            continue;
        };
        let name = context.quoted(ItemId(i));
        let needs = match way {
            RegulatorWay::Linear { dropout } => volts + dropout,
            RegulatorWay::Switching { .. } => volts,
        };
        let (figure, scene, can) = match typical {
            true => (held.typical, &held.typical_scene, "holds"),
            false => (held.corner, &held.corner_scene, "may hold"),
        };
        let (holds, own) = show_and_limit(figure, volts);
        let stray = match typical {
            true => String::new(),
            false => format!(" {AT_WORST}"),
        };
        let message = format!(
            "{name} {can} only {holds} of its {own} {}{stray}: it needs {} at its input. Feed it with more, or take one with less dropout.",
            in_scene(scene),
            show(needs)
        );
        let span = context.head_span(item.stanza, 1);
        out.push(context.on_item(CHECK.name, severity, ItemId(i), span, message));
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn severity(supply: &str, way: &str) -> Option<Severity> {
        let text = format!(
            "supply s {supply} 1 A\nfuse F 200 mA from s\nregulator r 5 V 500 mA {way} from F\nload l draws 100 mA from r\n"
        );
        found(&plan(&text), CHECK.name).first().map(|f| f.severity)
    }

    #[test]
    fn it_needs_its_dropout_above_its_voltage() {
        assert_eq!(severity("6.85 V", ""), None); // 5 % low: 6.508 V
        assert_eq!(severity("6.6 V", ""), Some(Severity::Warning));
        assert_eq!(severity("6.4 V", ""), Some(Severity::Error));
        assert_eq!(severity("6 V", "dropout 0.5 V"), None);
        assert_eq!(severity("5.3 V", "efficiency 85 %"), None);
        assert_eq!(
            severity("5.2 V", "efficiency 85 %"),
            Some(Severity::Warning)
        );
        assert_eq!(severity("4.9 V", "efficiency 85 %"), Some(Severity::Error));
    }

    #[test]
    fn one_that_is_off_is_not_judged() {
        let text = "supply s 9 V 1 A\nfuse F 200 mA from s\nswitch k from F\nregulator r 5 V 500 mA from k\nload l draws 100 mA from r\nscene dark off k\n";
        assert_eq!(found(&plan(text), CHECK.name), []);
    }
}
