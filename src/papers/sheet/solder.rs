//! What to solder: joint by joint, which wires of which colours come together there; then the ends at the lights.

use std::collections::BTreeMap;

use crate::numbers::length;
use crate::papers::lists::{Leg, colour_of};
use crate::papers::page::{Block, Section, Table, Text};
use crate::plan::{Item, ItemId, Part, Plan, Point, Run};
use crate::rewrites::e24;

use super::cut::colour;
use super::words;

const COLUMNS: [&str; 7] = ["", "wires", "plus", "minus", "wire", "each cut#", "with it"];

/// Ends of wire that come together at a point: those of one item, or of a link.
struct Ends<'a> {
    /// What the tick is for.
    name: String,
    /// Where they lead.
    leads: Text,
    plus: Option<Option<&'a Run>>,
    minus: Option<Option<&'a Run>>,
    /// What is soldered in.
    with: Text,
}

/// The section.
pub fn section(plan: &Plan) -> Section {
    let mut section = Section::new("solder", "Solder").on_new_page();
    let leaving = leaving(plan);
    let mut joints = Table::of(&COLUMNS).caption("Joint by joint");
    let mut ends = Table::of(&COLUMNS).caption("At the lights and what else hands nothing on");
    for (i, item) in plan.items.iter().enumerate() {
        let id = ItemId(i);
        let arriving = arriving(plan, id);
        let points = points(plan, id);
        if points
            .iter()
            .all(|point| !leaving.contains_key(&key(*point)))
        {
            for end in arriving {
                let end = Ends {
                    leads: words::piece(plan, item),
                    ..end
                };
                ends.row(cells(plan, &end));
            }
            continue;
        }
        let title = |point: Point| {
            let title = Text::from(item.kind())
                .and(" ")
                .and(words::point(plan, point));
            match item.zone {
                Some(zone) => title.and(" in ").and(words::zone_name(plan, zone)),
                None => title,
            }
        };
        let at_board = matches!(item.part, Part::Board { .. });
        if at_board && !arriving.is_empty() {
            joints.group(title(Point {
                item: id,
                output: None,
            }));
            arriving.iter().for_each(|end| joints.row(cells(plan, end)));
        }
        for (n, point) in points.iter().enumerate() {
            let here = leaving.get(&key(*point));
            if here.is_none() && (at_board || n > 0) {
                continue;
            }
            joints.group(title(*point));
            if !at_board {
                arriving.iter().for_each(|end| joints.row(cells(plan, end)));
            }
            let here = here.into_iter().flatten();
            here.for_each(|end| joints.row(cells(plan, end)));
        }
    }
    section.put(Block::Table(joints));
    section.put(Block::Table(ends));
    if !section.blocks.is_empty() {
        section.say(
            "Sleeve before you solder, tug each joint when it is cold, and tick it. A blank length: the plan states no wire, the \
             piece sits right on the point; write the length down if you use one.",
        );
        if plan.items.iter().any(|item| is_in_plus(&item.part)) {
            section.say(
                "Fuses, switches, resistors and diodes sit in the plus alone: there the plus wires go to their two ends, and the minus \
                 wires are joined with each other beside them.",
            );
        }
    }
    section
}

/// The order of points: by item, then by output.
fn key(point: Point) -> (usize, Option<usize>) {
    (point.item.0, point.output)
}

/// The points that an item hands on.
fn points(plan: &Plan, id: ItemId) -> Vec<Point> {
    let point = |output| Point { item: id, output };
    match plan.items[id.0].part {
        Part::Board { module } => {
            let outputs = 0..plan.modules[module.0].outputs.len();
            let own = std::iter::once(None);
            own.chain(outputs.map(Some)).map(point).collect()
        }
        _ => vec![point(None)],
    }
}

/// The ends that leave each point.
fn leaving(plan: &Plan) -> BTreeMap<(usize, Option<usize>), Vec<Ends<'_>>> {
    let mut all: BTreeMap<_, Vec<Ends>> = BTreeMap::new();
    for item in &plan.items {
        let Some(feed) = &item.feed else { continue };
        let plus = Ends {
            name: format!("wire to {}", item.name.0),
            leads: Text::from("to ").and(&item.name),
            plus: Some(feed.run.as_ref()),
            minus: None,
            with: with(resistor(item, false), far_end(plan, feed.from)),
        };
        let minus = Some(feed.back_run.as_ref());
        if feed.minus() == feed.from {
            let pair = Ends { minus, ..plus };
            all.entry(key(feed.from)).or_default().push(pair);
            continue;
        }
        let back = Ends {
            name: plus.name.clone(),
            leads: plus.leads.clone(),
            plus: None,
            minus,
            with: far_end(plan, feed.minus()),
        };
        all.entry(key(feed.from)).or_default().push(plus);
        all.entry(key(feed.minus())).or_default().push(back);
    }
    for link in &plan.links {
        let (one, other) = link.ends;
        for (here, there) in [(one, other), (other, one)] {
            let run = Some(link.run.as_ref());
            all.entry(key(here)).or_default().push(Ends {
                name: format!("link {}", link.name.0),
                leads: Text::from("to ")
                    .and(words::point(plan, there))
                    .and(", link ")
                    .and(&link.name),
                plus: run,
                minus: run,
                with: far_end(plan, here),
            });
        }
    }
    all
}

/// The ends that come to an item: a pair, or two from two points.
fn arriving(plan: &Plan, id: ItemId) -> Vec<Ends<'_>> {
    let item = &plan.items[id.0];
    let Some(feed) = &item.feed else {
        return Vec::new();
    };
    let from = |point| Text::from("from ").and(words::point(plan, point));
    let plus = Ends {
        name: format!("feed of {}", item.name.0),
        leads: from(feed.from),
        plus: Some(feed.run.as_ref()),
        minus: None,
        with: with(resistor(item, true), in_series(item)),
    };
    let minus = Some(feed.back_run.as_ref());
    if feed.minus() == feed.from {
        return vec![Ends { minus, ..plus }];
    }
    let back = Ends {
        name: plus.name.clone(),
        leads: from(feed.minus()),
        plus: None,
        minus,
        with: Text::none(),
    };
    vec![plus, back]
}

/// The resistor that is soldered in at this end of an item's plus wire.
fn resistor(item: &Item, at_item: bool) -> Text {
    match &item.part {
        Part::Lamps {
            resistor: Some(own),
            ..
        } if own.at_lamp == at_item => format!("{} in the plus", e24::written(own.ohms)).into(),
        _ => Text::none(),
    }
}

/// What hangs on a strip is soldered where its last group ends.
fn far_end(plan: &Plan, point: Point) -> Text {
    match plan.items[point.item.0].part {
        Part::Strip { .. } => "at the far end".into(),
        _ => Text::none(),
    }
}

/// How the lamps of a string hang together.
fn in_series(item: &Item) -> Text {
    match item.part {
        Part::Lamps { count: 2.., .. } => {
            "lamps in series: the minus of each to the plus of the next".into()
        }
        _ => Text::none(),
    }
}

fn with(one: Text, other: Text) -> Text {
    let both = [one, other].into_iter();
    Text::joined(both.filter(|text| !text.is_empty()), "; ")
}

/// What sits in the plus leg alone.
fn is_in_plus(part: &Part) -> bool {
    matches!(
        part,
        Part::Fuse { .. } | Part::Switch { .. } | Part::Resistor { .. } | Part::Diode { .. }
    )
}

fn cells(plan: &Plan, end: &Ends) -> [Text; 7] {
    let leg = |leg: Leg, run: Option<Option<&Run>>| match run {
        None => Text::from("–"),
        Some(None) => Text::none(),
        Some(Some(run)) => colour(colour_of(&plan.wires[run.wire.0], leg)),
    };
    let runs: Vec<&Run> = [end.plus, end.minus]
        .into_iter()
        .flatten()
        .flatten()
        .collect();
    let slack = plan.settings.slack * 2.0;
    let each = |say: &dyn Fn(&Run) -> Text| {
        let mut texts: Vec<Text> = runs.iter().map(|run| say(run)).collect();
        texts.dedup();
        Text::joined(texts, " / ")
    };
    let (wire, cut) = match runs.is_empty() {
        true => (
            "right on it".into(),
            Text::blank(format!("length of {}", end.name), "mm"),
        ),
        false => (
            each(&|run| (&plan.wires[run.wire.0].name).into()),
            each(&|run| length(run.length + slack).into()),
        ),
    };
    [
        Text::tick(format!("{} soldered", end.name)),
        end.leads.clone(),
        leg(Leg::Plus, end.plus),
        leg(Leg::Minus, end.minus),
        wire,
        cut,
        end.with.clone(),
    ]
}
