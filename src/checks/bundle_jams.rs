//! # `bundle-jams`: three wires that wedge
//!
//! **Hint** when exactly three wires of nearly equal thickness go through a round bore that is 2.8 to 3.2 times as wide as one of them.
//!
//! ## Why it matters
//!
//! In such a bore three wires can come to lie side by side, right across it. Pulled further they wedge like a key stone: two slip on, the third stays, and
//! its insulation with it. In a narrower bore they have to lie in a triangle, in a wider one they roll past each other.
//!
//! ## The limit
//!
//! The jam ratio of the handbooks for cable in conduit (National Electrical Code, informational note in chapter 9; IEEE 576; both from memory): inner
//! diameter over the mean diameter of the wires, between 2.8 and 3.2. Wires count as equal within 5 %. Wires are counted by legs: a pair and a
//! single wire whose return goes another way. It matters in a tube or a deep hole; through a thin wall the wires can be laid right by hand, and `accept` says so.
//!
//! ## Shown
//!
//! ```harness
//! wire hook gauge 24 AWG insulation pvc outer 1 mm colours red, black
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone base
//! zone lantern
//! passage mast between base and lantern bore 3 mm
//! #                                     ^^^^^^^^^ bundle-jams
//!
//! supply adapter 12 V 1 A in base
//! fuse F1 400 mA from adapter
//! switch key from F1
//! joint top from F1 over 200 mm of hook via mast in lantern
//! lamp beam of pearl resistor 560 ohm from top
//! lamp call of pearl resistor 560 ohm from key over 200 mm of hook via mast return to top over 10 mm of hook in lantern
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire hook gauge 24 AWG insulation pvc outer 1 mm colours red, black
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone base
//! zone lantern
//! passage mast between base and lantern bore 3.5 mm
//!
//! supply adapter 12 V 1 A in base
//! fuse F1 400 mA from adapter
//! switch key from F1
//! joint top from F1 over 200 mm of hook via mast in lantern
//! lamp beam of pearl resistor 560 ohm from top
//! lamp call of pearl resistor 560 ohm from key over 200 mm of hook via mast return to top over 10 mm of hook in lantern
//! ```

use super::page::page;
use super::{Check, Context, Finding, Mend};
use crate::circuit::bundle::bundles;
use crate::numbers::{length, three_digits};
use crate::plan::{Opening, PassageId, Severity};
use crate::rewrites::widen_passage::drill_out;
use crate::units::Length;

/// Three wires that wedge.
pub const CHECK: Check = Check {
    name: "bundle-jams",
    severities: &[Severity::Hint],
    page: page!("bundle_jams.rs"),
    check,
    mends: Some(drill),
};

/// Bore over wire between which three wires jam (handbooks for cable in conduit, from memory).
const JAMS: (f64, f64) = (2.8, 3.2);

/// Wires that differ by no more than this part of the thinnest are equally thick.
const EQUAL: f64 = 0.05;

/// What counts as no difference of a ratio.
const NOTHING: f64 = 1e-6;

/// The mean thickness of three wires that are nearly equal; `None` for any other bundle.
fn three_alike(wires: &[Length]) -> Option<Length> {
    let [a, b, c] = wires[..] else { return None };
    let (thin, thick) = (a.min(b).min(c), a.max(b).max(c));
    let alike = thick.value <= thin.value * (1.0 + EQUAL + NOTHING) && thin.value > 0.0;
    alike.then_some((a + b + c) / 3.0)
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    for (passage, bundle) in plan.passages.iter().zip(bundles(plan)) {
        let (Some(Opening::Bore(bore)), Some(wire)) = (passage.opening, three_alike(&bundle.wires))
        else {
            continue;
        };
        let ratio = (bore / wire).value;
        if ratio <= JAMS.0 + NOTHING || ratio >= JAMS.1 - NOTHING {
            continue;
        }
        let message = format!(
            "Three wires of {} may wedge in `{}`: its bore of {} is {} times as wide, and 2.8 to 3.2 times lets them lie right across. Drill it wider.",
            length(wire),
            passage.name.0,
            length(bore),
            three_digits(ratio)
        );
        let span = context.clause_span(passage.stanza, "bore");
        let mut finding =
            context.on_stanza(CHECK.name, Severity::Hint, passage.stanza, span, message);
        let items = bundle.items.iter();
        finding.related = items
            .map(|&item| context.related(item, format!("goes through `{}`", passage.name.0)))
            .collect();
        out.push(finding);
    }
}

/// The next drill that is wide enough for them to roll past each other.
fn drill(context: &Context, finding: &Finding) -> Vec<Mend> {
    let plan = context.plan;
    let passage = plan
        .passages
        .iter()
        .position(|p| p.stanza == finding.stanza);
    let mend = passage.and_then(|passage| {
        let bundle = bundles(plan).into_iter().nth(passage)?;
        let wide = three_alike(&bundle.wires)? * JAMS.1;
        drill_out(plan, PassageId(passage), wide, |text| {
            format!(
                "drill {} to {text}: wider than {}, three wires roll past each other",
                plan.passages[passage].name.0,
                length(wide)
            )
        })
    });
    mend.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn text(opening: &str, third: &str) -> String {
        format!(
            "wire w diameter 0.8 mm insulation pvc outer 1 mm\nwire v diameter 0.8 mm insulation pvc outer 1.05 mm\nwire u diameter 0.8 mm insulation pvc outer 1.06 mm\nzone a\nzone b\npassage p between a and b {opening}\nsupply s 9 V 1 A in a\njoint h from s over 1 m of w via p in b\njoint g from s over 1 m of {third} via p return to h over 10 mm of {third} in b\n"
        )
    }

    fn finds(opening: &str, third: &str) -> usize {
        found(&plan(&text(opening, third)), CHECK.name).len()
    }

    #[test]
    fn between_2_8_and_3_2_times_the_wire() {
        assert_eq!(finds("bore 2.79 mm", "w"), 0);
        assert_eq!(finds("bore 2.8 mm", "w"), 0);
        assert_eq!(finds("bore 2.81 mm", "w"), 1);
        assert_eq!(finds("bore 3.19 mm", "w"), 1);
        assert_eq!(finds("bore 3.2 mm", "w"), 0);
        assert_eq!(finds("slot 3 mm by 3 mm", "w"), 0);
    }

    #[test]
    fn three_wires_of_nearly_one_thickness() {
        assert_eq!(finds("bore 3 mm", "v"), 1);
        assert_eq!(finds("bore 3 mm", "u"), 0);
        let pair = text("bore 3 mm", "w").replace(" return to h over 10 mm of w", "");
        assert_eq!(found(&plan(&pair), CHECK.name), []);
    }

    #[test]
    fn the_next_drill_is_clear_of_it() {
        let mend = |bore: &str| mended(&plan(&text(bore, "w")), CHECK.name).unwrap();
        assert_eq!(mend("bore 3 mm"), text("bore 3.5 mm", "w"));
        assert_eq!(mend("bore 0.3cm"), text("bore 0.35cm", "w"));
        // 3.2 mm is 8.06 of 64ths.
        assert_eq!(mend("bore 1/8in"), text("bore 9/64in", "w"));
    }
}
