//! # `colour-unusual`: a wire colour outside the standard's list
//!
//! **Hint** on a colour of wire that is not among those of IEC 60757, written in full, nor `natural`.
//!
//! ## Why it matters
//!
//! Years later somebody looks for the wire by the word on the sheet. "Mauve" to one is "violet" or "pink" to another.
//!
//! ## The limit
//!
//! The colours of IEC 60757 in full: black, brown, red, orange, yellow, green, blue, violet, grey, white, pink, turquoise, gold, silver,
//! green-and-yellow; and natural, for bare enamel.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, mauve
//! #                                                     ^^^^^ colour-unusual
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 280 mA from F1 over 200 mm of fine
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, violet
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load crane draws 280 mA from F1 over 200 mm of fine
//! ```

use super::page::page;
use super::{Check, Context, Finding};
use crate::plan::Severity;
use crate::syntax::tree::Clause;
use crate::syntax::vocabulary::WIRE_COLOURS;

/// A wire colour outside the standard's list.
pub const CHECK: Check = Check {
    name: "colour-unusual",
    severities: &[Severity::Hint],
    page: page!("colour_unusual.rs"),
    check,
    mends: None,
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    for wire in &context.plan.wires {
        let stanza = context.plan.stanza(wire.stanza);
        let clauses = ["colours", "colour"]
            .into_iter()
            .filter_map(|word| stanza.clause(word));
        for (name, span) in clauses.flat_map(Clause::names) {
            if !WIRE_COLOURS.contains(&&*name.0) {
                let message = format!(
                    "`{}` is not among the colours of IEC 60757 ({} …). Write the nearest one, so that others find the wire.",
                    name.0,
                    WIRE_COLOURS[..5].join(", ")
                );
                out.push(context.on_stanza(CHECK.name, Severity::Hint, wire.stanza, span, message));
            }
        }
    }
}
