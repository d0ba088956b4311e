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
//! its copper. The trade rule holds for a single wire too: in a hole of just its thickness it scrapes its insulation off on the edge.
//!
//! A slot is filed, and its wires are laid in: they need no room to pull, but must lie. They do so as through a hole as wide as its narrow side; in
//! straight rows or columns, side by side; or in staggered rows, each in the gaps of the one below, all taken as thick as the thickest (geometry). Eight
//! wires of 1.6 mm lie in two staggered rows in 12.5 mm by 2 mm, not in 12 mm by 2 mm.
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
//! The next drill is offered: by tenths of a millimetre up to 3 mm, by halves above; of a slot the smallest side that is enough. Thinner wire, or one pair to a joint behind the hole, helps as well.

use super::page::page;
use super::{Check, Context, Finding, Mend};
use crate::circuit::bundle::{bundles, fits, smallest_hole};
use crate::numbers::{count, length};
use crate::plan::{Opening, PassageId, Severity};
use crate::rewrites::widen_passage::{widen_passage, wider_slot};

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
        let wires = &bundle.wires;
        let (go, they_need) = match wires.len() {
            1 => ("goes", "it needs"),
            _ => ("go", "they need"),
        };
        let slot = |(w, h)| format!("{} by {}", length(w), length(h));
        let (clause, is, need) = match opening {
            Opening::Bore(bore) => {
                let need = format!("{they_need} a hole of {}", length(smallest_hole(wires)));
                ("bore", format!("a bore of {}", length(bore)), need)
            }
            Opening::Slot(w, h) => {
                let need = match wider_slot(wires, (w, h)) {
                    Some(wider) => format!("{they_need} a slot of {}", slot(wider)),
                    None => format!("{they_need} a larger one"),
                };
                ("slot", format!("a slot of {}", slot((w, h))), need)
            }
        };
        let message = format!(
            "{} {go} through `{}`, which is {is}: {need}. Widen it, or take thinner wire.",
            count(wires.len(), "wire"),
            passage.name.0,
        );
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
    fn of_a_slot_the_slot_that_is_enough_is_told() {
        let said = |slot: &str, count: usize| {
            let mut text = format!(
                "wire w gauge 24 AWG insulation pvc outer 1.6 mm\nzone a\nzone b\npassage p between a and b slot {slot}\nsupply s 9 V 1 A in a\njoint h from s\n"
            );
            for n in 0..count {
                text += &format!("joint j{n} from h over 1 m of w via p in b\n");
            }
            let analysis = plan(&text);
            let found = found(&analysis, CHECK.name);
            found.first().map(|f| {
                let at = analysis.findings.iter().position(|g| g == f).unwrap();
                let mends = analysis.mends(at);
                (f.message.clone(), mends[0].title.clone())
            })
        };
        let (message, title) = said("50 mm by 1.0 mm", 1).unwrap();
        assert_eq!(
            message,
            "2 wires go through `p`, which is a slot of 50 mm by 1 mm: they need a slot of 50 mm by 1.6 mm. Widen it, or take thinner wire."
        );
        assert_eq!(
            title,
            "1.6 mm instead of 1.0 mm for p, so that its 2 wires go through"
        );
        // Eight wires, two staggered rows (by hand): 7 · √(1.6² − 0.4²) + 1.6 = 12.44 mm.
        let (_, title) = said("12 mm by 2 mm", 4).unwrap();
        assert_eq!(
            title,
            "12.5 mm instead of 12 mm for p, so that its 8 wires go through"
        );
        assert_eq!(said("12.5 mm by 2 mm", 4), None);
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
