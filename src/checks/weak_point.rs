//! # `weak-point`: one break that darkens more than one light
//!
//! **Warning**, only where the plan says `survives one break`: a single break, outside sources, fuses and switches, that darkens more
//! than one light.
//!
//! ## Why it matters
//!
//! A model that is closed for good, or far from home at an exhibition, is to go on with one lamp less, not with one deck less. Joints in the
//! middle of a trunk are where that is lost.
//!
//! ## The limit
//!
//! One light, as the plan asks. What breaks is an item with both legs that feed it: a cold joint, a broken wire, a pulled plug. Sources, fuses and switches are
//! left out: they can be reached and changed.
//!
//! ## Shown
//!
//! ```harness
//! harness "Pier" survives one break
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! joint deck from F1 over 150 mm of fine
//! #     ^^^^ weak-point
//! lamp bow of pearl resistor 560 ohm from deck over 80 mm of fine
//! lamp stern of pearl resistor 560 ohm from deck over 90 mm of fine
//! ```
//!
//! ## Mended
//!
//! ```harness
//! harness "Pier" survives one break
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! joint deck from F1 over 150 mm of fine
//! lamp bow of pearl resistor 560 ohm from deck over 80 mm of fine
//! lamp stern of pearl resistor 560 ohm from deck over 90 mm of fine
//! link ring between F1 and deck over 150 mm of fine
//! ```
//!
//! The link that is offered goes from the fuse, switch or other part ahead to the joint that is furthest behind, as long as the way there is now.
//! None is offered past the connector of a part that lifts off: it would solder the part down.

use super::page::page;
use super::words::list;
use super::{Check, Context, Finding, Mend};
use crate::plan::{ItemId, Part, Severity};
use crate::rewrites::close_ring;

/// One break that darkens more than one light.
pub const CHECK: Check = Check {
    name: "weak-point",
    severities: &[Severity::Warning],
    page: page!("weak_point.rs"),
    check,
    mends: Some(link),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    if !plan.settings.survives_one_break {
        return;
    }
    for (i, item) in plan.items.iter().enumerate() {
        if let Part::Supply(_) | Part::Fuse { .. } | Part::Switch { .. } = item.part {
            continue;
        }
        let dark = context.breaks().darkened(ItemId(i));
        if dark.len() < 2 {
            continue;
        }
        let name = context.quoted(ItemId(i));
        let message = format!(
            "A break at {name} darkens {} lights: {}. This plan is to survive one break: close a ring with a link.",
            dark.len(),
            list(&context.names(&dark))
        );
        let span = context.name_span(item.stanza);
        let mut finding = context.on_item(CHECK.name, Severity::Warning, ItemId(i), span, message);
        finding.related = dark
            .iter()
            .filter(|&&light| light != ItemId(i))
            .map(|&light| context.related(light, format!("goes dark with {name}")))
            .collect();
        out.push(finding);
    }
}

fn link(context: &Context, finding: &Finding) -> Vec<Mend> {
    match finding.about[..] {
        [] => Vec::new(),
        [item, ..] => close_ring(context.plan, item),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const STOCK: &str = "wire w gauge 32 AWG\nled p drops 3 V at 20 mA\nsupply s 12 V 1 A\nfuse F1 400 mA from s\nswitch S1 from F1\n";
    const CHAIN: &str = "joint a from S1 over 100 mm of w\njoint b from a over 50 mm of w\nlamp l of p resistor 560 ohm from b over 10 mm of w\nlamp m of p resistor 560 ohm from b over 10 mm of w\n";

    fn finds(wiring: &str) -> Vec<String> {
        let text = format!("harness \"x\" survives one break\n{STOCK}{wiring}");
        found(&plan(&text), CHECK.name)
            .into_iter()
            .map(|f| f.item.unwrap().0.to_string())
            .collect()
    }

    #[test]
    fn only_a_plan_that_asks_for_it_is_asked() {
        assert_eq!(found(&plan(&format!("{STOCK}{CHAIN}")), CHECK.name), []);
        assert_eq!(finds(CHAIN), ["a", "b"]);
    }

    #[test]
    fn sources_fuses_and_switches_may_darken_all() {
        let lamps = "lamp l of p resistor 560 ohm from S1 over 10 mm of w\nlamp m of p resistor 560 ohm from S1 over 10 mm of w\n";
        assert_eq!(finds(lamps), [""; 0]);
        assert_eq!(
            finds(&lamps.replace(
                "m of p resistor 560 ohm from S1",
                "m of p resistor 560 ohm from l"
            )),
            ["l"]
        );
    }

    #[test]
    fn a_ring_is_no_weak_point() {
        let ring = format!("{CHAIN}link r between b and S1 over 100 mm of w\n");
        assert_eq!(finds(&ring), [""; 0]);
    }

    #[test]
    fn the_mend_closes_the_ring_at_the_far_end() {
        let text = format!("harness \"x\" survives one break\n{STOCK}{CHAIN}");
        let after = mended(&plan(&text), CHECK.name).unwrap();
        assert!(
            after.ends_with("link ring between S1 and b over 150 mm of w\n"),
            "{after}"
        );
        assert_eq!(found(&plan(&after), CHECK.name), []);
        assert_eq!(found(&plan(&after), "link-idle"), []);
    }

    #[test]
    fn no_link_leads_past_the_plug_of_a_part_that_lifts_off() {
        let with = |lifts: &str| {
            let text = format!(
                "harness \"x\" survives one break\nzone hull\nzone roof{lifts}\n{}connector c from S1 over 20 mm of w in hull\njoint j from c over 20 mm of w in roof\nlamp l of p resistor 560 ohm from j\nlamp m of p resistor 560 ohm from j\n",
                STOCK.replace("from s\n", "from s in hull\n")
            );
            let analysis = plan(&text);
            let at = analysis.findings.iter().position(|f| f.check == CHECK.name);
            analysis.mends(at.unwrap()).len()
        };
        assert_eq!(with(" lifts off"), 0);
        assert!(with("") > 0);
    }
}
