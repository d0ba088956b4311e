//! # `joint-crowded`: too many wires in one splice
//!
//! **Hint** when more than twelve wires meet on one side, plus or minus, of a joint; a copy of a pattern is a joint too.
//!
//! ## Why it matters
//!
//! In a thick bundle the solder reaches the outer wires and not the middle one, the iron stays on too long, and the insulation creeps
//! back. It holds on the bench and lets go once the wires are bent into place. Two joints with a short wire between are sound, and either can be
//! tucked away.
//!
//! ## The limit
//!
//! Five or six wires in one splice are easy, a dozen fine ones can still be done with patience (common practice). Counted are the joint's own run, the runs that begin there or return
//! there, and links. What sits on the joint without `over` has no wire there. Where a joint is a terminal strip with a place for each wire,
//! `accept` it.
//!
//! ## Shown
//!
//! ```harness
//! wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! joint hub from F1 over 100 mm of hook
//! #     ^^^ joint-crowded
//! lamp a of pearl resistor 560 ohm from hub over 50 mm of fine
//! lamp b of pearl resistor 560 ohm from hub over 60 mm of fine
//! lamp c of pearl resistor 560 ohm from hub over 70 mm of fine
//! lamp d of pearl resistor 560 ohm from hub over 80 mm of fine
//! lamp e of pearl resistor 560 ohm from hub over 90 mm of fine
//! lamp f of pearl resistor 560 ohm from hub over 100 mm of fine
//! lamp g of pearl resistor 560 ohm from hub over 110 mm of fine
//! lamp h of pearl resistor 560 ohm from hub over 120 mm of fine
//! lamp i of pearl resistor 560 ohm from hub over 130 mm of fine
//! lamp j of pearl resistor 560 ohm from hub over 140 mm of fine
//! lamp k of pearl resistor 560 ohm from hub over 150 mm of fine
//! lamp l of pearl resistor 560 ohm from hub over 160 mm of fine
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! joint hub from F1 over 100 mm of hook
//! joint hub-2 from hub over 30 mm of hook
//! lamp a of pearl resistor 560 ohm from hub over 50 mm of fine
//! lamp b of pearl resistor 560 ohm from hub over 60 mm of fine
//! lamp c of pearl resistor 560 ohm from hub over 70 mm of fine
//! lamp d of pearl resistor 560 ohm from hub over 80 mm of fine
//! lamp e of pearl resistor 560 ohm from hub over 90 mm of fine
//! lamp f of pearl resistor 560 ohm from hub over 100 mm of fine
//! lamp g of pearl resistor 560 ohm from hub-2 over 110 mm of fine
//! lamp h of pearl resistor 560 ohm from hub-2 over 120 mm of fine
//! lamp i of pearl resistor 560 ohm from hub-2 over 130 mm of fine
//! lamp j of pearl resistor 560 ohm from hub-2 over 140 mm of fine
//! lamp k of pearl resistor 560 ohm from hub-2 over 150 mm of fine
//! lamp l of pearl resistor 560 ohm from hub-2 over 160 mm of fine
//! ```
//!
//! Offered is a second joint for half of the runs, on 30 mm of the thickest wire there.

use super::page::page;
use super::{Check, Context, Finding, Mend};
use crate::plan::{ItemId, Part, Severity};
use crate::rewrites::second_joint::{second_joint, wire_ends};

/// Too many wires in one splice.
pub const CHECK: Check = Check {
    name: "joint-crowded",
    severities: &[Severity::Hint],
    page: page!("joint_crowded.rs"),
    check,
    mends: Some(mends),
};

/// The most wires' ends that are soldered soundly in one splice.
const MOST: usize = 12;

fn check(context: &Context, out: &mut Vec<Finding>) {
    let ends = wire_ends(context.plan);
    for (i, item) in context.plan.items.iter().enumerate() {
        let most = ends[i].most();
        if most <= MOST || !matches!(item.part, Part::Joint) {
            continue;
        }
        let side = match ends[i].plus >= ends[i].minus {
            true => "plus",
            false => "minus",
        };
        let message = format!(
            "{most} wires meet on the {side} side of {}; more than {MOST} are hard to solder soundly in one splice. Make two joints of it.",
            context.quoted(ItemId(i))
        );
        let span = context.name_span(item.stanza);
        out.push(context.on_item(CHECK.name, Severity::Hint, ItemId(i), span, message));
    }
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let joint = finding.about.first();
    let mend = joint.and_then(|&joint| second_joint(context.plan, joint));
    mend.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const STOCK: &str = "wire hook gauge 24 AWG\nwire w gauge 32 AWG\nled p drops 3.0 V at 20 mA\nsupply s 12 V 2 A\n";

    /// So many lamps, each on its own run.
    fn lamps(from: &str, count: usize) -> String {
        let lamp = |n| format!("lamp l{n} of p resistor 560 ohm {from}\n");
        (0..count).map(lamp).collect()
    }

    fn finds(wiring: &str) -> Vec<String> {
        let findings = found(&plan(&format!("{STOCK}{wiring}")), CHECK.name);
        findings.into_iter().map(|f| f.message).collect()
    }

    #[test]
    fn twelve_wires_at_the_most() {
        let run = "from j over 50 mm of w";
        let fed = "joint j from s over 90 mm of w\n";
        assert_eq!(finds(&format!("{fed}{}", lamps(run, 11))), [""; 0]);
        assert_eq!(
            finds(&format!("{fed}{}", lamps(run, 12))),
            [
                "13 wires meet on the plus side of `j`; more than 12 are hard to solder soundly in one splice. Make two joints of it."
            ]
        );
        // Without a run of its own there is one wire less; what sits on it has none.
        assert_eq!(
            finds(&format!("joint j from s\n{}", lamps(run, 12))),
            [""; 0]
        );
        assert_eq!(finds(&format!("{fed}{}", lamps("from j", 20))), [""; 0]);
        assert_eq!(finds(&lamps("from s over 50 mm of w", 20)), [""; 0]);
    }

    #[test]
    fn links_and_returns_count() {
        let wiring = format!(
            "joint j from s over 90 mm of w\njoint k from s over 80 mm of w\n{}",
            lamps("from k over 50 mm of w return to j", 11)
        );
        assert_eq!(finds(&wiring), [""; 0]);
        let link = format!("{wiring}link ring between j and k over 40 mm of w\n");
        let found = finds(&link);
        // Eleven and its own and the link's, on the minus of j and on the plus of k.
        assert!(
            found[0].starts_with("13 wires meet on the minus side of `j`"),
            "{found:?}"
        );
        assert!(
            found[1].starts_with("13 wires meet on the plus side of `k`"),
            "{found:?}"
        );
        assert_eq!(found.len(), 2);
    }

    #[test]
    fn a_copy_is_a_joint() {
        let piece = |n| format!("lamp wing.l{n} of p resistor 560 ohm from wing over 50 mm of w\n");
        let pieces: String = (0..12).map(piece).collect();
        let wiring = format!("pattern wing\n{pieces}copy port of wing from s over 60 mm of w\n");
        let found = finds(&wiring);
        assert!(
            found[0].starts_with("13 wires meet on the plus side of `port`"),
            "{found:?}"
        );
    }

    #[test]
    fn half_of_the_runs_get_a_joint_of_their_own() {
        let text = format!(
            "{STOCK}joint j from s over 9cm of hook # by the stair\n{}scene dark off j, l7\n",
            lamps("from j over 50 mm of w return to j", 12)
        );
        let mut after = text.replace(
            "# by the stair\n",
            "# by the stair\njoint j-2 from j over 3cm of hook\n",
        );
        for lamp in ["l6", "l7", "l8", "l9", "l10", "l11"] {
            let line = |point: &str| {
                format!(
                    "lamp {lamp} of p resistor 560 ohm from {point} over 50 mm of w return to {point}"
                )
            };
            after = after.replace(&line("j"), &line("j-2"));
        }
        assert_eq!(mended(&plan(&text), CHECK.name).unwrap(), after);
    }
}
