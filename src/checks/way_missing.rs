//! # `way-missing`: a wire that says no way
//!
//! **Warning** when a run goes from one zone to another, the plan declares passages, and no `via` says which of them it takes.
//!
//! ## Why it matters
//!
//! A wire whose way nobody planned goes through the hole that is nearest on the day, which is then too tight for the ones
//! that were meant to be there. Nor can its length be right.
//!
//! ## The limit
//!
//! None. A plan without passages is not asked for ways. A supply that says no zone has no place, so that nothing is asked of the wires from it;
//! an item that sits on its point has no wire.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone hull
//! zone saloon
//! passage stair between hull and saloon bore 2 mm
//!
//! supply adapter 12 V 1 A in hull
//! fuse F1 400 mA from adapter
//! lamp table of pearl resistor 560 ohm from F1 over 150 mm of fine via stair in saloon
//! lamp shelf of pearl resistor 560 ohm from F1 over 170 mm of fine in saloon
//! #                                                                   ^^^^^^ way-missing
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone hull
//! zone saloon
//! passage stair between hull and saloon bore 2 mm
//!
//! supply adapter 12 V 1 A in hull
//! fuse F1 400 mA from adapter
//! lamp table of pearl resistor 560 ohm from F1 over 150 mm of fine via stair in saloon
//! lamp shelf of pearl resistor 560 ohm from F1 over 170 mm of fine via stair in saloon
//! ```
//!
//! The way that is offered is the one through the fewest declared passages.

use super::facts::Fact;
use super::page::page;
use super::ways::{Way, last_word, ways, zone_name};
use super::{Check, Context, Finding, Mend};
use crate::plan::{Severity, ZoneId};
use crate::rewrites::shortest_way::{shortest_way, take_shortest_way, written};

/// A wire that says no way.
pub const CHECK: Check = Check {
    name: "way-missing",
    severities: &[Severity::Warning],
    page: page!("way_missing.rs"),
    check,
    mends: Some(mends),
};

/// The zones between which a run says no way.
fn is_missing(way: &Way) -> Option<(ZoneId, ZoneId)> {
    let (from, to) = (way.from?, way.to?);
    let is_said_of_plus = way.is_like_plus && way.begins_like_plus;
    (from != to && way.run.via.is_empty() && !is_said_of_plus).then_some((from, to))
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    if context.plan.passages.is_empty() && !context.elsewhere(Fact::Passages).passages {
        return;
    }
    for way in ways(context) {
        let Some((from, to)) = is_missing(&way) else {
            continue;
        };
        let what = format!(
            "No `via` says how {} gets from `{}` to `{}`.",
            way.name(context),
            zone_name(context, from),
            zone_name(context, to)
        );
        let message = match shortest_way(context.plan, from, to) {
            Some(short) => format!(
                "{what} The shortest way: `via {}`.",
                written(context.plan, &short)
            ),
            None => format!("{what} No passages lead there: declare the one that it takes."),
        };
        let span = last_word(context, way.stanza);
        let mut finding =
            context.on_stanza(CHECK.name, Severity::Warning, way.stanza, span, message);
        finding.about = way.about();
        out.push(finding);
    }
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let plan = context.plan;
    let here = ways(context).into_iter().filter(|w| {
        w.stanza == finding.stanza && w.about().iter().all(|i| finding.about.contains(i))
    });
    here.filter_map(|way| {
        let (from, to) = is_missing(&way)?;
        take_shortest_way(plan, way.stanza, way.run_of, from, to)
    })
    .take(1)
    .collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const PLACES: &str = "wire w gauge 32 AWG\nzone a\nzone b\nzone c\npassage ab between a and b bore 2 mm\nsupply s 9 V 100 mA in a\nsupply t 9 V 100 mA\n";

    fn finds(wiring: &str) -> Vec<String> {
        let findings = found(&plan(&format!("{PLACES}{wiring}\n")), CHECK.name);
        findings.into_iter().map(|f| f.message).collect()
    }

    #[test]
    fn only_a_wire_between_two_known_zones_needs_a_way() {
        assert_eq!(finds("joint x from s over 1 m of w in b").len(), 1);
        assert_eq!(finds("joint x from s over 1 m of w via ab in b").len(), 0);
        assert_eq!(finds("joint x from s over 1 m of w in a").len(), 0);
        assert_eq!(finds("joint x from s in b").len(), 0);
        assert_eq!(finds("joint x from t over 1 m of w in b").len(), 0);
        assert_eq!(
            finds("joint x from t\njoint y from x over 1 m of w in b").len(),
            0
        );
    }

    #[test]
    fn a_plan_without_passages_is_not_asked() {
        let text = PLACES.replace("passage ab between a and b bore 2 mm\n", "");
        let text = format!("{text}joint x from s over 1 m of w in b\n");
        assert_eq!(found(&plan(&text), CHECK.name), []);
    }

    #[test]
    fn links_and_returns_need_a_way_too() {
        let joints = "joint x from s\njoint y from s over 1 m of w via ab in b\n";
        assert_eq!(
            finds(&format!("{joints}link l between x and y over 1 m of w")).len(),
            1
        );
        let back = format!("{joints}joint z from y return to x over 1 m of w");
        assert_eq!(finds(&back).len(), 1);
        let after = mended(&plan(&format!("{PLACES}{back}\n")), CHECK.name).unwrap();
        assert!(
            after.contains("return to x over 1 m of w via ab"),
            "{after}"
        );
    }

    #[test]
    fn where_no_passages_lead_it_says_so() {
        let said = finds("joint x from s over 1 m of w in c");
        assert!(
            said[0].ends_with("declare the one that it takes."),
            "{said:?}"
        );
        let text = format!("{PLACES}joint x from s over 1 m of w in c\n");
        assert_eq!(mended(&plan(&text), CHECK.name), None);
    }
}
