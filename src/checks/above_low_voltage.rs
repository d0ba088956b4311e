//! # `above-low-voltage`: over 60 V
//!
//! **Error** on a source of more than 60 V.
//!
//! ## Why it matters
//!
//! Up to there a dry hand that touches both wires feels little; above, the current through the body can kill. Models are opened, probed and
//! rewired by bare hands, with insulation as thin as enamel.
//!
//! ## The limit
//!
//! 60 V of ripple-free direct current in dry use, the limit of extra-low voltage for touch in IEC 61140. Over it this tool is of no help:
//! leave such work to licensed practice and the rules of your country. The same goes for the inside of any mains adapter.
//!
//! ## Shown
//!
//! ```harness
//! supply rack 72 V 1 A
//! #           ^^^^ above-low-voltage
//! load lamps draws 100 mA from rack
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply rack 24 V 1 A
//! load lamps draws 100 mA from rack
//! ```

use super::limits::over;
use super::page::page;
use super::{Check, Context, Finding};
use crate::numbers::show_and_limit;
use crate::plan::{ItemId, Part, Severity};
use crate::units::volts;

/// Over 60 V.
pub const CHECK: Check = Check {
    name: "above-low-voltage",
    severities: &[Severity::Error],
    page: page!("above_low_voltage.rs"),
    check,
    mends: None,
};

/// The limit of extra-low voltage (IEC 61140: ripple-free direct current, dry use), volts.
const MOST: f64 = 60.0;

fn check(context: &Context, out: &mut Vec<Finding>) {
    for (i, item) in context.plan.items.iter().enumerate() {
        let Part::Supply(supply) = &item.part else {
            continue;
        };
        if !over(supply.volts, volts(MOST)) {
            continue;
        }
        let message = format!(
            "{} gives {}, and over 60 V a touch can kill: that is outside what this tool is for. Use a low-voltage supply, or leave it to licensed practice.",
            context.quoted(ItemId(i)),
            show_and_limit(supply.volts, volts(MOST)).0
        );
        let span = context.head_span(item.stanza, 1);
        out.push(context.on_item(CHECK.name, Severity::Error, ItemId(i), span, message));
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    #[test]
    fn sixty_volts_themselves_are_within() {
        let finds = |v: &str| {
            !found(
                &plan(&format!("supply s {v}\nload m draws 1 mA from s\n")),
                CHECK.name,
            )
            .is_empty()
        };
        assert!(!finds("60 V"));
        assert!(finds("60.1 V"));
    }
}
