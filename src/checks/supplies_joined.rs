//! # `supplies-joined`: two sources on one point
//!
//! **Error** when a point is fed by two sources, when a link joins points of different voltage, or when
//! an item's plus and minus lead to different supplies. A diode behind each source makes it right.
//!
//! ## Why it matters
//!
//! No two sources have quite the same voltage: the higher one drives a current into the lower one, limited by nothing but the wire.
//! An adapter does not like that; a lithium cell that is charged this way can burst and burn. With a diode behind each, current
//! only leaves a source, and the higher one carries the load.
//!
//! ## The limit
//!
//! None: sources are joined or they are not. A source is a supply, a regulator, or a regulated output of a board.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! supply brick 12 V 1 A
//! fuse F1 200 mA from adapter
//! fuse F2 200 mA from brick
//! joint bow from F1 over 90 mm of fine
//! joint stern from F2 over 90 mm of fine
//! lamp mast of pearl resistor 560 ohm from bow over 60 mm of fine
//! lamp flag of pearl resistor 560 ohm from stern over 60 mm of fine
//! link ring between bow and stern over 150 mm of fine
//! #         ^^^^^^^^^^^^^^^^^^^^^ supplies-joined
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! supply brick 12 V 1 A
//! fuse F1 200 mA from adapter
//! fuse F2 200 mA from brick
//! diode D1 from F1
//! diode D2 from F2
//! joint bow from D1 over 90 mm of fine
//! joint stern from D2 over 90 mm of fine
//! lamp mast of pearl resistor 560 ohm from bow over 60 mm of fine
//! lamp flag of pearl resistor 560 ohm from stern over 60 mm of fine
//! link ring between bow and stern over 150 mm of fine
//! ```
//!
//! Or take the link out, and let each supply feed its own part of the model.

use std::collections::BTreeSet;

use super::page::page;
use super::words::quoted;
use super::{Check, Context, Finding, Mend, remove};
use crate::circuit::NoSolutionCause;
use crate::numbers::show;
use crate::plan::{Feed, ItemId, Link, Part, Plan, Point, Severity};

/// Two sources on one point.
pub const CHECK: Check = Check {
    name: "supplies-joined",
    severities: &[Severity::Error],
    page: page!("supplies_joined.rs"),
    check,
    mends: Some(open_the_link),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let first = out.len();
    links(context, out);
    returns(context, out);
    if out.len() == first {
        joined_otherwise(context, out);
    }
}

/// Links between points of different sources.
fn links(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    for link in &plan.links {
        let Some((a, b)) = joined(plan, link) else {
            continue;
        };
        let message = format!(
            "`{}` joins {} and {}: two sources on one point. Take it out, or put a diode behind each.",
            link.name.0,
            said(plan, a),
            said(plan, b)
        );
        let tree = plan.stanza(link.stanza);
        let span = tree
            .clause("between")
            .map_or(context.name_span(link.stanza), |clause| {
                let names = clause
                    .names()
                    .last()
                    .map_or(clause.word_span, |(_, span)| span);
                clause.word_span.to(names)
            });
        out.push(context.on_stanza(CHECK.name, Severity::Error, link.stanza, span, message));
    }
}

/// The sources that a link joins without a diode each, if they are two.
fn joined(plan: &Plan, link: &Link) -> Option<(Point, Point)> {
    let (a, b) = (source(plan, link.ends.0)?, source(plan, link.ends.1)?);
    (a != b && !(is_diode(plan, a) && is_diode(plan, b))).then_some((a, b))
}

/// The supplies that plus and minus of a feed with a return lead to, if they are two.
fn two_supplies(plan: &Plan, feed: &Feed) -> Option<(ItemId, ItemId)> {
    let back = feed.back?;
    let plus = supply(plan, feed.from.item, |p| {
        p.feed.as_ref().map(|f| f.from.item)
    })?;
    let minus = supply(plan, back.item, |p| p.feed.as_ref().map(|f| f.minus().item))?;
    (plus != minus).then_some((plus, minus))
}

/// Items whose minus leads back to another supply than their plus.
fn returns(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    for (i, item) in plan.items.iter().enumerate() {
        let Some((plus, minus)) = item.feed.as_ref().and_then(|f| two_supplies(plan, f)) else {
            continue;
        };
        let message = format!(
            "The plus of `{}` leads to {}, its minus to {}. Return it to a point of {}.",
            item.name.0,
            context.quoted(plus),
            context.quoted(minus),
            context.quoted(plus)
        );
        let tree = plan.stanza(item.stanza);
        let part = tree.clause("from").and_then(|c| c.part("return"));
        let span = part.map_or_else(|| context.name_span(item.stanza), |p| p.span);
        out.push(context.on_item(CHECK.name, Severity::Error, ItemId(i), span, message));
    }
}

/// What solving met with, where the wiring as written does not show it.
fn joined_otherwise(context: &Context, out: &mut Vec<Finding>) {
    let causes = context
        .solution
        .scenes
        .iter()
        .filter_map(|s| s.outcome.as_ref().err());
    let point = causes.filter_map(|no| match no.cause {
        NoSolutionCause::SourcesJoined(point) => Some(point),
        _ => None,
    });
    if let Some(point) = point.into_iter().next() {
        let message = format!(
            "`{}` is fed by two sources with no resistance between. Take one off, or put a diode behind each.",
            context.plan.point_name(point)
        );
        let span = context.name_span(context.plan.items[point.item.0].stanza);
        out.push(context.on_item(CHECK.name, Severity::Error, point.item, span, message));
    }
}

/// The supplies that are joined with another source. No figures are promised for what they feed, so
/// the checks of a supply's current say nothing about them.
pub(super) fn joined_supplies(plan: &Plan) -> BTreeSet<ItemId> {
    let root = |point: Point| supply(plan, point.item, |p| p.feed.as_ref().map(|f| f.from.item));
    let links = plan
        .links
        .iter()
        .filter(|link| joined(plan, link).is_some());
    let linked = links.flat_map(|link| [root(link.ends.0), root(link.ends.1)]);
    let returned = plan
        .items
        .iter()
        .filter_map(|item| two_supplies(plan, item.feed.as_ref()?))
        .flat_map(|(plus, minus)| [Some(plus), Some(minus)]);
    linked.chain(returned).flatten().collect()
}

/// What holds the plus of a point at its voltage: the nearest supply, diode, rectifier, regulator or
/// regulated output on the way back.
fn source(plan: &Plan, point: Point) -> Option<Point> {
    let mut at = point;
    for _ in 0..=plan.items.len() {
        match &plan.items[at.item.0].part {
            Part::Supply(_)
            | Part::Diode { .. }
            | Part::Rectifier { .. }
            | Part::Regulator { .. } => {
                return Some(Point {
                    item: at.item,
                    output: None,
                });
            }
            Part::Board { .. } if plan.output(at).is_some_and(|o| o.volts.is_some()) => {
                return Some(at);
            }
            _ => at = plan.items[at.item.0].feed.as_ref()?.from,
        }
    }
    None
}

fn is_diode(plan: &Plan, source: Point) -> bool {
    matches!(
        plan.items[source.item.0].part,
        Part::Diode { .. } | Part::Rectifier { .. }
    )
}

/// A source and its voltage: `adapter (12 V)`; where a diode holds a point, the source ahead of it: `adapter (12 V)
/// behind d1`.
fn said(plan: &Plan, at: Point) -> String {
    let mut source_ahead = Some(at);
    for _ in 0..plan.items.len() {
        match source_ahead {
            Some(point) if is_diode(plan, point) => {
                let feed = plan.items[point.item.0].feed.as_ref();
                source_ahead = feed.and_then(|f| source(plan, f.from));
            }
            _ => break,
        }
    }
    match source_ahead.filter(|&source| source != at) {
        Some(source) => {
            let diode = quoted(&plan.point_name(at));
            format!("{} behind {diode}", with_volts(plan, source))
        }
        None => with_volts(plan, at),
    }
}

fn with_volts(plan: &Plan, source: Point) -> String {
    let volts = match &plan.items[source.item.0].part {
        Part::Supply(supply) => Some(supply.volts),
        Part::Regulator { volts, .. } => Some(*volts),
        _ => plan.output(source).and_then(|o| o.volts),
    };
    let name = quoted(&plan.point_name(source));
    volts.map_or(name.clone(), |v| format!("{name} ({})", show(v)))
}

/// The supply at the end of one leg's way back.
fn supply(
    plan: &Plan,
    from: ItemId,
    back: impl Fn(&crate::plan::Item) -> Option<ItemId>,
) -> Option<ItemId> {
    let mut at = from;
    for _ in 0..=plan.items.len() {
        match back(&plan.items[at.0]) {
            Some(next) => at = next,
            None => return Some(at),
        }
    }
    None
}

/// Takes the link out, where it is one.
fn open_the_link(context: &Context, finding: &Finding) -> Vec<Mend> {
    let links = &context.plan.links;
    let link = links.iter().find(|l| l.stanza == finding.stanza);
    let mend = link.and_then(|link| {
        Some(Mend {
            title: format!("remove the link {}", link.name.0),
            edits: vec![remove::stanza(context.plan, link.stanza)?],
            told: Vec::new(),
        })
    });
    mend.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn finds(text: &str) -> Vec<String> {
        found(&plan(text), CHECK.name)
            .into_iter()
            .map(|f| f.message)
            .collect()
    }

    const TWO: &str = "wire fine gauge 32 AWG\nsupply a 12 V 1 A\nsupply b 12 V 1 A\n";

    #[test]
    fn one_source_may_have_two_ways() {
        let ring = "wire fine gauge 32 AWG\nsupply a 12 V\njoint x from a over 1 m of fine\njoint y from a over 1 m of fine\nlink r between x and y\n";
        assert_eq!(finds(ring), [""; 0]);
    }

    #[test]
    fn what_joined_sources_drive_is_not_judged() {
        let text = format!(
            "{}fuse F 1 A from a\nfuse G 1 A from b\nlink r between F and G over 1 m of fine\nsupply other 9 V 100 mA\nload m draws 110 mA from other\n",
            TWO.replacen("12 V", "9 V", 1)
        );
        let said: Vec<_> = plan(&text)
            .findings
            .into_iter()
            .map(|f| (f.check, f.item.unwrap().0.to_string()))
            .filter(|f| f.0.starts_with("suppl"))
            .collect();
        let pair = |check, item: &str| (check, item.to_owned());
        assert_eq!(
            said,
            [pair(CHECK.name, "r"), pair("supply-over-budget", "other")]
        );
    }

    #[test]
    fn a_diode_each_or_none() {
        let with = |x: &str, y: &str| {
            format!(
                "{TWO}diode d from a\ndiode e from b\njoint x from {x} over 1 m of fine\njoint y from {y} over 1 m of fine\nlink r between x and y\n"
            )
        };
        assert_eq!(finds(&with("d", "e")), [""; 0]);
        assert_eq!(finds(&with("d", "b")).len(), 1);
        assert_eq!(finds(&with("a", "b")).len(), 1);
    }

    #[test]
    fn a_regulator_is_a_source_of_its_own() {
        let text = "wire fine gauge 32 AWG\nsupply a 12 V\nregulator low 5 V 1 A efficiency 90 % from a\njoint x from low over 1 m of fine\nlink r between x and a over 1 m of fine\n";
        assert_eq!(
            finds(text),
            [
                "`r` joins `low` (5 V) and `a` (12 V): two sources on one point. Take it out, or put a diode behind each."
            ]
        );
    }

    #[test]
    fn two_legs_lead_to_one_supply() {
        let text = format!("{TWO}joint y from b\nload m resistance 1 kohm from a return to y\n");
        assert_eq!(
            finds(&text),
            ["The plus of `m` leads to `a`, its minus to `b`. Return it to a point of `a`."]
        );
    }

    #[test]
    fn the_source_behind_a_diode_is_named() {
        let text = format!(
            "{}diode d from a\nlink l between d and b\n",
            TWO.replacen("12 V", "9 V", 1)
        );
        assert_eq!(
            finds(&text),
            [
                "`l` joins `a` (9 V) behind `d` and `b` (12 V): two sources on one point. Take it out, or put a diode behind each."
            ]
        );
    }
}
