//! # `stock-short`: not enough at hand
//!
//! **Warning** when a plan needs more of a wire, tape, lamp or board than its stock says is at hand (`have`).
//!
//! ## Why it matters
//!
//! A reel that ends ten centimetres before the last lamp means a splice, or a week's wait for wire of another batch and another shade of white.
//!
//! ## The limit
//!
//! What `have` says. Wire is counted as in the cutting list: each leg of each run, with the plan's `slack` (15 mm) at both of its ends. Tape is counted in whole groups,
//! lamps one by one, also those of strings. A number of pieces of wire or tape says nothing of their length, and is not checked.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green have 1 m
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white have 1
//! #                                                       ^^^^^^ stock-short
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! lamp mast of pearl resistor 560 ohm from F1 over 200 mm of fine
//! lamp flag of pearl resistor 560 ohm from F1 over 150 mm of fine
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green have 1 m
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white have 2
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! lamp mast of pearl resistor 560 ohm from F1 over 200 mm of fine
//! lamp flag of pearl resistor 560 ohm from F1 over 150 mm of fine
//! ```

use super::page::page;
use super::stock_use::sum;
use super::{Check, Context, Finding};
use crate::numbers::length;
use crate::plan::{AtHand, Severity, StanzaId};
use crate::syntax::tree::Name;

/// Not enough at hand.
pub const CHECK: Check = Check {
    name: "stock-short",
    severities: &[Severity::Warning],
    page: page!("stock_short.rs"),
    check,
    mends: None,
};

/// Lengths that differ by less are the same.
const NOTHING: f64 = 1e-6;

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    let has = |have: Option<AtHand>| have.is_some();
    if !plan.wires.iter().any(|w| has(w.have))
        && !plan.tapes.iter().any(|t| has(t.have))
        && !plan.leds.iter().any(|l| has(l.have))
        && !plan.modules.iter().any(|m| has(m.have))
    {
        return;
    }
    let uses = context.stock_use();
    let needed = |name: &Name| uses.get(name).copied().unwrap_or_default();
    let mut short = |stanza: StanzaId, name: &str, needs: String, at_hand: String| {
        let message = format!(
            "The plan needs {needs} of `{name}`, and {at_hand} is at hand. Get more before you begin."
        );
        let span = context.clause_span(stanza, "have");
        out.push(context.on_stanza(CHECK.name, Severity::Warning, stanza, span, message));
    };
    let wires = plan.wires.iter().map(|w| (w.stanza, &w.name, w.have));
    let tapes = plan.tapes.iter().map(|t| (t.stanza, &t.name, t.have));
    for (stanza, name, have) in wires.chain(tapes) {
        let need = sum(needed(name).cut);
        if let Some(AtHand::Length(have)) = have
            && need.value > have.value + NOTHING
        {
            short(stanza, &name.0, length(need), length(have));
        }
    }
    let leds = plan.leds.iter().map(|l| (l.stanza, &l.name, l.have));
    let modules = plan.modules.iter().map(|m| (m.stanza, &m.name, m.have));
    for (stanza, name, have) in leds.chain(modules) {
        let need = needed(name).pieces;
        if let Some(AtHand::Pieces(have)) = have
            && need > u64::from(have)
        {
            short(stanza, &name.0, need.to_string(), have.to_string());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn finds(have: [&str; 4], harness: &str) -> Vec<String> {
        let [wire, tape, led, module] = have;
        let text = format!(
            "{harness}\nwire w gauge 32 AWG {wire}\ntape t group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V {tape}\nled p drops 2 V at 20 mA {led}\nmodule m works 7 V to 13 V {module}\n  output a 20 mA\n\
             supply s 12 V 1 A\njoint j from s over 100 mm of w\njoint k from j over 200 mm of w return to s over 300 mm of w\nlink r between j and s over 50 mm of w\njoint i from k over 0 mm of w\n\
             strip u of t 6 lamps from k\nstrip v of t 50 mm from k\nlamp l of p resistor 560 ohm from k\nstring o of p 3 lamps resistor 330 ohm from k\nboard b of m from k\nboard c of m from k\n"
        );
        found(&plan(&text), CHECK.name)
            .into_iter()
            .map(|f| f.message)
            .collect()
    }

    #[test]
    fn wire_is_counted_by_legs_with_slack_at_both_ends() {
        // 2·100 + 200 + 300 + 2·50 = 800 mm, and 30 mm for each of the six legs.
        let wire = |have: &str, harness: &str| finds([have, "", "", ""], harness).len();
        assert_eq!(wire("have 980 mm", ""), 0);
        assert_eq!(wire("have 979 mm", ""), 1);
        assert_eq!(wire("have 800 mm", "harness \"x\" slack 0 mm"), 0);
        assert_eq!(wire("have 799 mm", "harness \"x\" slack 0 mm"), 1);
        assert_eq!(wire("have 1", ""), 0);
    }

    #[test]
    fn tape_lamps_and_boards_are_counted() {
        assert_eq!(finds(["", "have 10 cm", "have 4", "have 2"], ""), [""; 0]);
        let short = finds(["", "have 99 mm", "have 3", "have 1"], "");
        assert_eq!(short.len(), 3);
        assert!(
            short
                .iter()
                .any(|m| m.contains("needs 100 mm of `t`, and 99 mm")),
            "{short:?}"
        );
        assert!(
            short.iter().any(|m| m.contains("needs 4 of `p`, and 3")),
            "{short:?}"
        );
    }
}
