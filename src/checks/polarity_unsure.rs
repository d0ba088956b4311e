//! # `polarity-unsure`: the plus may be on either rail
//!
//! **Error** on a light, board or regulator behind an `either-way` supply with no rectifier between. One finding a supply, on its first such
//! item, the others related.
//!
//! ## Why it matters
//!
//! On a layout the plus is on the one rail or the other, as the train was put on. Half of the time the lamps stay dark; a lamp stands some
//! 5 V the wrong way round and then breaks, and a board or a regulator may die of it at once.
//!
//! ## The limit
//!
//! A bridge of four diodes gives the same polarity whichever way it is fed (textbook); it takes about 1.4 V. A single diode is no cure:
//! it protects, but half of the time nothing lights.
//!
//! ## Shown
//!
//! ```harness
//! led ruby drops 2.0 V at 20 mA limit 25 mA colour red
//!
//! supply rails 14 V 1 A either-way
//! fuse F1 250 mA from rails
//! lamp tail of ruby resistor 1.2 kohm from F1
//! #                                   ^^^^^^^ polarity-unsure
//! ```
//!
//! ## Mended
//!
//! ```harness
//! led ruby drops 2.0 V at 20 mA limit 25 mA colour red
//!
//! supply rails 14 V 1 A either-way
//! fuse F1 250 mA from rails
//! rectifier bridge from F1
//! lamp tail of ruby resistor 1.2 kohm from bridge
//! ```

use std::collections::BTreeMap;

use super::page::page;
use super::{Check, Context, Finding, Mend};
use crate::plan::{ItemId, Part, Severity};
use crate::rewrites::insert_rectifier;

/// The plus may be on either rail.
pub const CHECK: Check = Check {
    name: "polarity-unsure",
    severities: &[Severity::Error],
    page: page!("polarity_unsure.rs"),
    check,
    mends: Some(mends),
};

/// What minds its polarity and has no rectifier ahead, by its supply.
fn unsure(context: &Context) -> BTreeMap<ItemId, Vec<ItemId>> {
    let mut by_supply: BTreeMap<ItemId, Vec<ItemId>> = BTreeMap::new();
    for (i, item) in context.plan.items.iter().enumerate() {
        if !item.is_light() && !matches!(item.part, Part::Board { .. } | Part::Regulator { .. }) {
            continue;
        }
        for at in context.way_back(ItemId(i)) {
            match &context.plan.items[at.0].part {
                Part::Rectifier { .. } => break,
                Part::Supply(supply) if supply.either_way => {
                    by_supply.entry(at).or_default().push(ItemId(i));
                }
                _ => {}
            }
        }
    }
    by_supply
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    for (supply, items) in unsure(context) {
        let Some(&first) = items.first() else {
            continue;
        };
        let (name, from) = (context.quoted(first), context.quoted(supply));
        let message = format!(
            "The plus of {from} may be on either rail, and {name} has no rectifier ahead: half of the time it gets its power the wrong way round. Put a rectifier in."
        );
        let span = context.clause_span(context.plan.items[first.0].stanza, "from");
        let mut finding = context.on_item(CHECK.name, Severity::Error, first, span, message);
        finding.related = items[1..]
            .iter()
            .map(|&i| context.related(i, format!("no rectifier between {from} and this either")))
            .collect();
        out.push(finding);
    }
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let Some(&first) = finding.about.first() else {
        return Vec::new();
    };
    let supply = unsure(context)
        .into_iter()
        .find(|(_, items)| items.contains(&first));
    supply.map_or_else(Vec::new, |(supply, _)| {
        insert_rectifier(context.plan, context.solution, supply)
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn finds(wiring: &str) -> Vec<(String, usize)> {
        let text =
            format!("led p drops 2.0 V at 20 mA colour red\nsupply s 12 V either-way\n{wiring}");
        let findings = found(&plan(&text), CHECK.name);
        let one = |f: &Finding| (f.item.as_ref().unwrap().0.to_string(), f.related.len());
        findings.iter().map(one).collect()
    }

    #[test]
    fn what_minds_its_polarity_and_what_does_not() {
        assert_eq!(
            finds("lamp l of p resistor 680 ohm from s\n"),
            [("l".into(), 0)]
        );
        assert_eq!(
            finds("regulator r 5 V 1 A from s\nlamp l of p resistor 680 ohm from r\n"),
            [("r".into(), 1)]
        );
        assert_eq!(
            finds("diode d from s\nlamp l of p resistor 680 ohm from d\n"),
            [("l".into(), 0)]
        );
        assert_eq!(finds("load motor resistance 100 ohm from s\n"), []);
        assert_eq!(
            finds("rectifier b from s\njoint j from b\nlamp l of p resistor 680 ohm from j\n"),
            []
        );
    }
}
