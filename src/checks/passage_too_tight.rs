//! # `passage-too-tight`: more wire than the hole takes
//!
//! **Warning** when the wires of all runs through a passage do not fit its bore or slot.
//!
//! ## Why it matters
//!
//! The last wire is the one that does not go through, when the first are soldered at both ends. Pulled through all the same it leaves its enamel
//! on the edge of the hole, and plus finds minus there. A hole is drilled in a minute while the shell is empty.
//!
//! ## The limit
//!
//! Wires are counted by legs: a run is two, one where its return goes another way. The smallest hole is the larger of the best known packing
//! of as many equal circles as there are wires of the greatest thickness (up to 20; Graham, Lubachevsky, Nurmela and Östergård 1998), never less than the two thickest
//! wires side by side, and 1.2 · √Σd² over all wires (a trade rule that leaves room to pull). Enamelled wire without `outer` is taken 12 % thicker than
//! its copper. Through a slot the wires may go in rows, or as a bundle pressed flat: it needs as much room there as in its hole (common practice).
//!
//! ## Shown
//!
//! ```harness
//! wire hook gauge 24 AWG insulation pvc outer 1.2 mm colours red, black
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone hull
//! zone saloon
//! passage stair between hull and saloon bore 2 mm
//! #                                     ^^^^^^^^^ passage-too-tight
//!
//! supply adapter 12 V 1 A in hull
//! fuse F1 400 mA from adapter
//! lamp table of pearl resistor 560 ohm from F1 over 150 mm of hook via stair in saloon
//! lamp shelf of pearl resistor 560 ohm from F1 over 170 mm of hook via stair in saloon
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire hook gauge 24 AWG insulation pvc outer 1.2 mm colours red, black
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone hull
//! zone saloon
//! passage stair between hull and saloon bore 2.9 mm
//!
//! supply adapter 12 V 1 A in hull
//! fuse F1 400 mA from adapter
//! lamp table of pearl resistor 560 ohm from F1 over 150 mm of hook via stair in saloon
//! lamp shelf of pearl resistor 560 ohm from F1 over 170 mm of hook via stair in saloon
//! ```
//!
//! The next drill is offered: by tenths of a millimetre up to 3 mm, by halves above. Thinner wire, or one pair to a joint behind the hole, helps as well.

use super::page::page;
use super::{Check, Context, Finding, Mend};
use crate::circuit::bundle::{bundles, fits, smallest_hole};
use crate::numbers::{count, length};
use crate::plan::{Opening, PassageId, Severity};
use crate::rewrites::widen_passage::widen_passage;

/// More wire than the hole takes.
pub const CHECK: Check = Check {
    name: "passage-too-tight",
    severities: &[Severity::Warning],
    page: page!("passage_too_tight.rs"),
    check,
    mends: Some(widen),
};

/// How many of the runs are pointed at.
const SHOWN: usize = 5;

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    for (passage, bundle) in plan.passages.iter().zip(bundles(plan)) {
        let Some(opening) = passage.opening.filter(|&o| !fits(&bundle.wires, o)) else {
            continue;
        };
        let (clause, is) = match opening {
            Opening::Bore(bore) => ("bore", format!("a bore of {}", length(bore))),
            Opening::Slot(w, h) => ("slot", format!("a slot of {} by {}", length(w), length(h))),
        };
        let message = format!(
            "{} go through `{}`, which is {is}: they need a hole of {}. Widen it, or take thinner wire.",
            count(bundle.wires.len(), "wire"),
            passage.name.0,
            length(smallest_hole(&bundle.wires))
        );
        let message = match bundle.wires.len() {
            1 => message.replacen("go through", "goes through", 1).replacen(
                "they need",
                "it needs",
                1,
            ),
            _ => message,
        };
        let span = context.clause_span(passage.stanza, clause);
        let mut finding =
            context.on_stanza(CHECK.name, Severity::Warning, passage.stanza, span, message);
        let items = bundle.items.iter().take(SHOWN);
        finding.related = items
            .map(|&item| context.related(item, format!("goes through `{}`", passage.name.0)))
            .collect();
        out.push(finding);
    }
}

fn widen(context: &Context, finding: &Finding) -> Vec<Mend> {
    let passages = &context.plan.passages;
    let at = passages.iter().position(|p| p.stanza == finding.stanza);
    at.map_or_else(Vec::new, |at| widen_passage(context.plan, PassageId(at)))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn finds(bore: &str, wiring: &str) -> usize {
        let text = format!(
            "wire fat diameter 0.8 mm insulation pvc outer 1 mm\nwire lacquer diameter 1 mm insulation enamel\nzone a\nzone b\npassage p between a and b {bore}\nsupply s 9 V 1 A in a\njoint h from s\n{wiring}\n"
        );
        found(&plan(&text), CHECK.name).len()
    }

    #[test]
    fn both_legs_of_a_run_go_through() {
        let pair = "joint j from h over 1 m of fat via p in b";
        assert_eq!(finds("bore 2 mm", pair), 0);
        assert_eq!(finds("bore 1.99 mm", pair), 1);
        assert_eq!(finds("slot 2 mm by 1 mm", pair), 0);
    }

    #[test]
    fn a_return_by_another_way_is_not_counted_here() {
        // One wire: 1.2 times its thickness.
        let single = "joint g from h over 1 m of fat via p in b\njoint j from h over 1 m of fat via p return to g over 10 mm of fat in b";
        // Three wires: 2.1547 times.
        assert_eq!(finds("bore 2.16 mm", single), 0);
        assert_eq!(finds("bore 2.15 mm", single), 1);
    }

    #[test]
    fn a_link_goes_through_too() {
        let ring = "joint j from h over 1 m of fat via p in b\nlink l between h and j over 1 m of fat via p";
        assert_eq!(finds("bore 2.42 mm", ring), 0);
        assert_eq!(finds("bore 2.41 mm", ring), 1);
    }

    #[test]
    fn enamel_is_twelve_percent() {
        let pair = "joint j from h over 1 m of lacquer via p in b";
        assert_eq!(finds("bore 2.24 mm", pair), 0);
        assert_eq!(finds("bore 2.23 mm", pair), 1);
    }
}
