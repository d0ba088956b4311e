//! # `link-idle`: a link that saves nothing
//!
//! **Hint** on a link without which no single break would darken more lights.
//!
//! ## Why it matters
//!
//! A link costs wire, two more joints and room in the holes. One that joins two points which hang on the same joint anyway looks like a second way and is none:
//! better to know before the hull is closed.
//!
//! ## The limit
//!
//! None: each item is broken in turn, with the link and without it. A link to a strip whose tape states its `track` is not judged: it feeds the tape
//! from both ends, and evens out its light. Nothing is judged where a circuit has more than 128 links.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! joint deck from F1 over 150 mm of fine
//! lamp bow of pearl resistor 560 ohm from deck over 80 mm of fine
//! lamp stern of pearl resistor 560 ohm from deck over 90 mm of fine
//! link cross between bow and stern over 60 mm of fine
//! #    ^^^^^ link-idle
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! joint deck from F1 over 150 mm of fine
//! lamp bow of pearl resistor 560 ohm from deck over 80 mm of fine
//! lamp stern of pearl resistor 560 ohm from deck over 90 mm of fine
//! link ring between F1 and deck over 170 mm of fine
//! ```

use std::collections::{HashMap, HashSet};

use super::page::page;
use super::{Check, Context, Finding, Mend, remove};
use crate::circuit::breaks::Breaks;
use crate::circuit::circuit_of_each;
use crate::numbers::length;
use crate::plan::{ItemId, Link, LinkId, Part, Plan, Severity};

/// A link that saves nothing.
pub const CHECK: Check = Check {
    name: "link-idle",
    severities: &[Severity::Hint],
    page: page!("link_idle.rs"),
    check,
    mends: Some(take_out),
};

/// The plan's breaks are worked out anew without each link; more links than this in one circuit are no builder's.
const MOST_JUDGED: usize = 128;

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    if context.has_errors_of_reading() {
        return; // a light may be among what could not be read
    }
    let judged: Vec<usize> = (0..plan.links.len())
        .filter(|&k| !evens_out_tape(plan, &plan.links[k]))
        .collect();
    if judged.is_empty() {
        return;
    }
    let idle = context.copper.idle(&judged, || idle(context, &judged));
    for k in idle {
        let link = &plan.links[k];
        let message = format!(
            "Without the link `{}`, no single break would darken more lights. Remove it, or join points that have different ways back.",
            link.name.0
        );
        let span = context.name_span(link.stanza);
        out.push(context.on_stanza(CHECK.name, Severity::Hint, link.stanza, span, message));
    }
}

/// Those of these links that save nothing. That hangs on the copper alone.
fn idle(context: &Context, judged: &[usize]) -> Vec<usize> {
    let plan = context.plan;
    // A break can matter to a link only where it is ahead of an end of some link.
    let breaks: Vec<(ItemId, usize)> = ahead_of_links(plan)
        .into_iter()
        .map(|item| (item, context.breaks().darkened(item).len()))
        .collect();
    let circuits = circuit_of_each(plan);
    let mut idle: Vec<usize> = Vec::new();
    let rounds = rounds(plan, judged, &circuits);
    if rounds.len() > MOST_JUDGED {
        return idle;
    }
    for round in rounds {
        let away: Vec<LinkId> = round.iter().map(|&k| LinkId(k)).collect();
        let without = Breaks::without(plan, &away);
        let saving: HashSet<usize> = breaks
            .iter()
            .filter(|&&(item, dark)| without.darkened(item).len() > dark)
            .map(|(item, _)| circuits[item.0])
            .collect();
        let saves = |k: usize| saving.contains(&circuits[plan.links[k].ends.0.item.0]);
        idle.extend(round.into_iter().filter(|&k| !saves(k)));
    }
    idle.sort_unstable();
    idle
}

/// The links in rounds, at most one of each circuit in a round: those do not touch each other, and
/// may be taken away together.
fn rounds(plan: &Plan, links: &[usize], circuits: &[usize]) -> Vec<Vec<usize>> {
    let mut rounds: Vec<Vec<usize>> = Vec::new();
    let mut had: HashMap<usize, usize> = HashMap::new();
    for &k in links {
        let nth = had
            .entry(circuits[plan.links[k].ends.0.item.0])
            .or_default();
        if *nth == rounds.len() {
            rounds.push(Vec::new());
        }
        rounds[*nth].push(k);
        *nth += 1;
    }
    rounds
}

/// Whether a link feeds a strip with resistance in its tracks from its far end.
fn evens_out_tape(plan: &Plan, link: &Link) -> bool {
    let (a, b) = link.ends;
    [a, b].iter().any(|end| match plan.items[end.item.0].part {
        Part::Strip { tape, .. } => plan.tapes[tape.0].track.0 > 0.0,
        _ => false,
    })
}

/// The items at the ends of links and ahead of those, in the order of the plan.
fn ahead_of_links(plan: &Plan) -> Vec<ItemId> {
    let mut ahead = vec![false; plan.items.len()];
    let ends = plan
        .links
        .iter()
        .flat_map(|l| [l.ends.0.item, l.ends.1.item]);
    let mut todo: Vec<ItemId> = ends.collect();
    while let Some(item) = todo.pop() {
        if !std::mem::replace(&mut ahead[item.0], true)
            && let Some(feed) = &plan.items[item.0].feed
        {
            todo.extend([feed.from.item, feed.minus().item]);
        }
    }
    let all = (0..plan.items.len()).map(ItemId);
    all.filter(|i| ahead[i.0]).collect()
}

fn take_out(context: &Context, finding: &Finding) -> Vec<Mend> {
    let plan = context.plan;
    let link = plan.links.iter().find(|l| l.stanza == finding.stanza);
    let edit = remove::stanza(plan, finding.stanza);
    let mend = link.zip(edit).map(|(link, edit)| {
        let wire = link.run.as_ref().map(|run| {
            let wire = &plan.wires[run.wire.0].name.0;
            format!(
                ": {} less of {wire} for both legs",
                length(run.length * 2.0)
            )
        });
        Mend {
            title: format!(
                "remove the link {}{}",
                link.name.0,
                wire.unwrap_or_default()
            ),
            edits: vec![edit],
            told: Vec::new(),
        }
    });
    mend.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const STOCK: &str = "wire w gauge 32 AWG\nled p drops 3 V at 20 mA\ntape t group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V track 0.5 ohm per m\ntape u group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V\nsupply s 12 V 1 A\nfuse F1 400 mA from s\njoint a from F1 over 100 mm of w\njoint b from a over 50 mm of w\nlamp l of p resistor 560 ohm from a over 10 mm of w\nlamp m of p resistor 560 ohm from b over 10 mm of w\nstrip long of t 60 lamps from b over 20 mm of w\nstrip short of u 6 lamps from b over 20 mm of w\n";

    fn finds(links: &str) -> Vec<String> {
        found(&plan(&format!("{STOCK}{links}\n")), CHECK.name)
            .into_iter()
            .map(|f| f.item.unwrap().0.to_string())
            .collect()
    }

    #[test]
    fn a_link_that_keeps_a_light_lit_is_not_idle() {
        assert_eq!(finds("link r between b and F1 over 100 mm of w"), [""; 0]);
        assert_eq!(finds("link r between m and l over 100 mm of w"), [""; 0]);
        assert_eq!(finds("link r between m and b over 100 mm of w"), ["r"]);
        // Each of two alike would do alone.
        let two =
            "link r between b and F1 over 100 mm of w\nlink q between b and F1 over 100 mm of w";
        assert_eq!(finds(two), ["r", "q"]);
    }

    #[test]
    fn links_of_different_circuits_do_not_speak_for_each_other() {
        let second = STOCK
            .lines()
            .skip(4)
            .map(|line| {
                line.replace(" s", " z")
                    .replace("F1", "F2")
                    .replace(" a ", " aa ")
                    .replace(" b ", " bb ")
            })
            .map(|line| {
                line.replace("lamp l", "lamp ll")
                    .replace("lamp m", "lamp mm")
            })
            .filter(|line| !line.starts_with("ztrip") && !line.starts_with("strip"))
            .collect::<Vec<_>>()
            .join("\n");
        let links = "link r between b and F1 over 100 mm of w\nlink idle-1 between m and b over 100 mm of w\nlink idle-2 between mm and bb over 100 mm of w\nlink q between bb and F2 over 100 mm of w";
        assert_eq!(finds(&format!("{second}\n{links}")), ["idle-1", "idle-2"]);
    }

    #[test]
    fn links_in_a_row_count_together() {
        let other = "joint c from F1 over 100 mm of w\n";
        let row = format!("{other}link q between b and c over 10 mm of w");
        assert_eq!(finds(&row), [""; 0]);
    }

    #[test]
    fn tape_may_be_fed_from_both_ends() {
        assert_eq!(finds("link r between long and b over 100 mm of w"), [""; 0]);
        assert_eq!(finds("link r between short and b over 100 mm of w"), ["r"]);
    }

    #[test]
    fn the_mend_takes_it_out() {
        let text = format!(
            "{STOCK}link r between m and b over 100 mm of w\nlamp n of p resistor 560 ohm from b\n"
        );
        let after = mended(&plan(&text), CHECK.name).unwrap();
        assert_eq!(
            after,
            format!("{STOCK}lamp n of p resistor 560 ohm from b\n")
        );
    }
}
