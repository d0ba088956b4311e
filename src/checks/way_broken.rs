//! # `way-broken`: passages that do not lead there
//!
//! **Error** when the passages of a `via`, in their order, do not lead from the zone where the wire begins to the zone where it ends.
//!
//! ## Why it matters
//!
//! The wire is cut to length and threaded at the bench as the plan says. A way with a gap in it comes to an end before a wall without a
//! hole, or the wire turns up in the wrong room, and the hole that it takes instead was never sized for it.
//!
//! ## The limit
//!
//! None: passages join the two zones that they are declared `between`, either way. The way starts in the zone of the point that feeds the
//! item and ends in the item's own. A supply that says no zone has no place: a way from there may start at either end of its first passage. A
//! link's passages, and those of a `return to`, may be listed from either end.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone hull
//! zone saloon
//! zone bridge
//! passage stair between hull and saloon bore 2 mm
//! passage hatch between saloon and bridge bore 2 mm
//!
//! supply adapter 12 V 1 A in hull
//! fuse F1 400 mA from adapter
//! lamp chart of pearl resistor 560 ohm from F1 over 200 mm of fine via hatch in bridge
//! #                                                                ^^^^^^^^^ way-broken
//! lamp table of pearl resistor 560 ohm from F1 over 150 mm of fine via stair in saloon
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone hull
//! zone saloon
//! zone bridge
//! passage stair between hull and saloon bore 2 mm
//! passage hatch between saloon and bridge bore 2 mm
//!
//! supply adapter 12 V 1 A in hull
//! fuse F1 400 mA from adapter
//! lamp chart of pearl resistor 560 ohm from F1 over 200 mm of fine via stair, hatch in bridge
//! lamp table of pearl resistor 560 ohm from F1 over 150 mm of fine via stair in saloon
//! ```
//!
//! The way that is offered is the one through the fewest declared passages. Where the item says no zone of its own, it may be meant to sit where the
//! passages lead: that is offered first.

use super::page::page;
use super::ways::{Leads, Owner, Way, follow, ways, zone_name};
use super::{Check, Context, Finding, Mend};
use crate::plan::{Edit, Severity, ZoneId};
use crate::rewrites::shortest_way::{RunOf, shortest_way, take_shortest_way, written};
use crate::text::Span;

/// Passages that do not lead there.
pub const CHECK: Check = Check {
    name: "way-broken",
    severities: &[Severity::Error],
    page: page!("way_broken.rs"),
    check,
    mends: Some(mends),
};

/// What is the matter with a way.
enum Fault {
    /// It ends in this zone.
    Ends(ZoneId),
    /// A passage does not begin where the way is by then.
    Gap(String, ZoneId),
}

fn fault(context: &Context, way: &Way) -> Option<Fault> {
    let via = &way.run.via;
    if via.is_empty() || way.is_like_plus {
        return None;
    }
    let led = |leads: Leads, to: Option<ZoneId>| match (leads, to) {
        (Leads::To(Some(end)), Some(to)) if end != to => Some(Fault::Ends(end)),
        (Leads::To(_), _) => None,
        (Leads::Broken(passage, at), _) => Some(Fault::Gap(written(context.plan, &[passage]), at)),
    };
    let backwards: Vec<_> = via.iter().rev().copied().collect();
    if let (None, Some(to)) = (way.from, way.to) {
        // It may begin anywhere, but it ends in the item's zone.
        return match follow(context, Some(to), &backwards) {
            Leads::Broken(passage, at) => Some(Fault::Gap(written(context.plan, &[passage]), at)),
            Leads::To(_) => None,
        };
    }
    let fault = led(follow(context, way.from, via), way.to)?;
    let either_way = way.run_of != RunOf::Plus;
    let is_right_backwards =
        either_way && led(follow(context, way.from, &backwards), way.to).is_none();
    (!is_right_backwards).then_some(fault)
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    for way in ways(context) {
        let Some(fault) = fault(context, &way) else {
            continue;
        };
        let mut wire = way.name(context);
        wire.replace_range(..1, "T");
        let mut message = match &fault {
            Fault::Ends(end) => {
                let to = way.to.map_or("", |to| zone_name(context, to));
                format!(
                    "{wire} comes out in `{}`, but it ends in `{to}`.",
                    zone_name(context, *end)
                )
            }
            Fault::Gap(passage, at) => format!(
                "{wire} cannot go through `{passage}` from `{}`: that is not one of its two zones.",
                zone_name(context, *at)
            ),
        };
        let shortest = way.from.zip(way.to);
        message += &match shortest.and_then(|(from, to)| shortest_way(context.plan, from, to)) {
            Some(short) if short.is_empty() => " It needs no passage.".to_owned(),
            Some(short) => format!(
                " The shortest way: `via {}`.",
                written(context.plan, &short)
            ),
            None => " Name the passages in order, from where the wire begins.".to_owned(),
        };
        let span = way.via_span(context);
        let mut finding = context.on_stanza(CHECK.name, Severity::Error, way.stanza, span, message);
        finding.about = way.about();
        out.push(finding);
    }
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let mut mends = Vec::new();
    for way in ways(context) {
        if (way.stanza, way.via_span(context)) != (finding.stanza, finding.span)
            || !way.about().iter().all(|item| finding.about.contains(item))
        {
            continue;
        }
        let fault = fault(context, &way);
        if let (Some(Fault::Ends(end)), Owner::Item(_)) = (fault, way.owner) {
            mends.extend(sits_there(context, &way, end));
        }
        if let (Some(from), Some(to)) = (way.from, way.to) {
            mends.extend(take_shortest_way(
                context.plan,
                way.stanza,
                way.run_of,
                from,
                to,
            ));
        }
        break;
    }
    mends
}

/// Says that an item without a zone of its own sits where its wire comes out.
fn sits_there(context: &Context, way: &Way, end: ZoneId) -> Option<Mend> {
    let tree = context.plan.stanza(way.stanza);
    if tree.clause("in").is_some() || way.run_of != RunOf::Plus {
        return None;
    }
    let at = tree.clause("from")?.span.end;
    let zone = zone_name(context, end);
    Some(Mend {
        title: format!(
            "in {zone}, where {} leads",
            written(context.plan, &way.run.via)
        ),
        edits: vec![Edit {
            stanza: way.stanza,
            span: Span::new(at, at),
            text: format!(" in {zone}"),
        }],
        told: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const PLACES: &str = "wire w gauge 32 AWG\nzone a\nzone b\nzone c\npassage ab between a and b bore 2 mm\npassage bc between b and c bore 2 mm\nsupply s 9 V 100 mA in a\nsupply t 9 V 100 mA\njoint ja from s\njoint jc from s over 1 m of w via ab, bc in c\n";

    fn message(wiring: &str) -> Option<String> {
        let findings = found(&plan(&format!("{PLACES}{wiring}\n")), CHECK.name);
        assert!(findings.len() <= 1, "{findings:?}");
        findings.into_iter().next().map(|f| f.message)
    }

    #[test]
    fn passages_lead_either_way_in_their_order() {
        assert_eq!(message("joint x from ja over 1 m of w via ab in b"), None);
        assert_eq!(
            message("joint x from jc over 1 m of w via bc, ab in a"),
            None
        );
        let gap = message("joint x from ja over 1 m of w via bc, ab in c").unwrap();
        assert!(gap.contains("cannot go through `bc` from `a`"), "{gap}");
        assert!(gap.ends_with("`via ab, bc`."), "{gap}");
        let end = message("joint x from ja over 1 m of w via ab in c").unwrap();
        assert!(
            end.contains("comes out in `b`, but it ends in `c`"),
            "{end}"
        );
    }

    #[test]
    fn a_supply_without_a_zone_may_be_at_either_end() {
        assert_eq!(
            message("joint x from t over 1 m of w via ab, bc in c"),
            None
        );
        assert_eq!(message("joint x from t over 1 m of w via bc in b"), None);
        assert!(message("joint x from t over 1 m of w via ab, bc in b").is_some());
        assert_eq!(message("joint x from t over 1 m of w via ab"), None);
    }

    #[test]
    fn returns_and_links_may_be_listed_from_either_end() {
        let back = "joint x from jc return to ja over 1 m of w via";
        assert_eq!(message(&format!("{back} ab, bc")), None);
        assert_eq!(message(&format!("{back} bc, ab")), None);
        assert!(message(&format!("{back} ab")).is_some());
        let link = "link l between ja and jc over 1 m of w via";
        assert_eq!(message(&format!("{link} ab, bc")), None);
        assert_eq!(message(&format!("{link} bc, ab")), None);
        assert!(message(&format!("{link} bc")).is_some());
    }

    #[test]
    fn a_forgotten_zone_is_offered_first() {
        let text = format!("{PLACES}joint x from ja over 1 m of w via ab # up\n");
        let after = mended(&plan(&text), CHECK.name).unwrap();
        assert!(after.contains("via ab in b # up"), "{after}");
    }
}
