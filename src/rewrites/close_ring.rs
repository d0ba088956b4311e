//! Closes a ring around a weak point: a link from what is ahead of it to the joint that is furthest behind it.

use super::Candidate;
use super::free_name::{free_name, numbered};
use super::route::{Leg, Route, tape_length};
use super::shortest_way::{shortest_way, written};
use super::stanza_text::{Spelling, insert_after};
use crate::circuit::breaks::Breaks;
use crate::plan::{Item, ItemId, Part, Plan, Run};
use crate::units::{Length, metres};

/// Whether voltage is the same ahead of it and behind it, so that a link may go around it.
fn only_hands_on(item: &Item) -> bool {
    item.is_light() || matches!(item.part, Part::Joint | Part::Connector { .. })
}

/// A link around a weak point, to the joint behind it that is furthest away; then to the weak point itself. As long as the
/// way there is now, of the same wire as the weak point's run. None where the weak point changes the voltage, has a way of
/// return of its own, has no run, or where the link would lead past the connector of a part that lifts off.
pub fn close_ring(plan: &Plan, weak: ItemId) -> Vec<Candidate> {
    let Some((ahead, mut run)) = ahead(plan, weak) else {
        return Vec::new();
    };
    let mut ends = vec![(weak, metres(0.0))];
    ends.extend(furthest_behind(plan, weak, true));
    ends.reverse();
    let to_weak = run.length;
    ends.into_iter()
        .filter_map(|(end, beyond)| {
            run.length = to_weak + beyond;
            linked(plan, weak, ahead, end, &run)
        })
        .collect()
}

/// A link that closes the row of joints and chained lights that an item is in, from the one furthest behind it back to what
/// feeds the row. None as for [`close_ring`], and where the row is one item alone.
pub fn close_row(plan: &Plan, item: ItemId) -> Option<Candidate> {
    let (ahead, run) = ahead(plan, item)?;
    let members = row(plan, item);
    let end = *members.first().filter(|_| members.len() > 1)?;
    let length = members.iter().fold(metres(0.0), |length, &at| {
        let feed = plan.items[at.0].feed.as_ref();
        let run = feed.and_then(|feed| feed.run.as_ref());
        let tape = feed.map_or(metres(0.0), |feed| tape_length(plan, feed.from.item));
        length + tape + run.map_or(metres(0.0), |run| run.length)
    });
    let run = Run { length, ..run };
    let link = linked(plan, item, ahead, end, &run)?;
    let spelling = Route::of(plan, item, Leg::Plus).map_or(Spelling::millimetres(), |r| r.spelling);
    Some(Candidate {
        title: format!(
            "close the ring from {} back to {}: {} more of {} for both legs",
            plan.items[end.0].name.0,
            plan.items[ahead.0].name.0,
            spelling.write_length(length * 2.0),
            plan.wires[run.wire.0].name.0
        ),
        ..link
    })
}

/// The items that such a ring goes through, from its far end to the first behind what feeds it; none where there is none.
pub fn row(plan: &Plan, item: ItemId) -> Vec<ItemId> {
    let Some((ahead, _)) = ahead(plan, item) else {
        return Vec::new();
    };
    let over_lights = plan.items[item.0].is_light();
    let end = furthest_behind(plan, item, over_lights).map_or(item, |(end, _)| end);
    let back = |item: &ItemId| plan.items[item.0].feed.as_ref().map(|f| f.from.item);
    let way = std::iter::successors(Some(end), back).take(plan.items.len());
    way.take_while(|&i| i != ahead).collect()
}

/// What a link may begin at: the first part ahead that is no joint, connector or light; with a run like the weak
/// point's, as long as the way from there.
fn ahead(plan: &Plan, weak: ItemId) -> Option<(ItemId, Run)> {
    let (mut at, mut length) = (weak, metres(0.0));
    let mut like: Option<Run> = None;
    // No circles are left in a plan; the bound is for safety alone.
    for _ in 0..plan.items.len() {
        let item = &plan.items[at.0];
        let feed = item.feed.as_ref()?;
        if !only_hands_on(item) || feed.back.is_some() || feed.from.output.is_some() {
            return None;
        }
        if let Some(run) = &feed.run {
            length += run.length;
            like.get_or_insert(run.clone());
        }
        length += tape_length(plan, feed.from.item);
        at = feed.from.item;
        if !only_hands_on(&plan.items[at.0]) {
            let run = like?;
            return Some((at, Run { length, ..run }));
        }
    }
    None
}

/// The point furthest behind an item over joints and connectors alone, or, where lights are chained, over those too if wanted.
fn furthest_behind(plan: &Plan, weak: ItemId, over_lights: bool) -> Option<(ItemId, Length)> {
    let mut beyond: Vec<Option<Length>> = vec![None; plan.items.len()];
    beyond[weak.0] = Some(metres(0.0));
    let mut todo = vec![weak];
    let mut furthest: Option<(ItemId, Length)> = None;
    let feeds_something = |item: ItemId| {
        plan.items
            .iter()
            .filter_map(|i| i.feed.as_ref())
            .any(|f| f.from.item == item)
    };
    while let Some(at) = todo.pop() {
        let so_far = beyond[at.0].unwrap_or_default() + tape_length(plan, at);
        for (i, item) in plan.items.iter().enumerate() {
            let Some(feed) = item
                .feed
                .as_ref()
                .filter(|f| f.from.item == at && f.back.is_none())
            else {
                continue;
            };
            let chained = plan.items[at.0].is_light() && item.is_light();
            if beyond[i].is_some() || !only_hands_on(item) || item.copy != plan.items[weak.0].copy {
                continue;
            }
            let hands_on = over_lights && (chained || feeds_something(ItemId(i)));
            if item.is_light() && !hands_on {
                continue;
            }
            let length = so_far + feed.run.as_ref().map_or(metres(0.0), |r| r.length);
            beyond[i] = Some(length);
            todo.push(ItemId(i));
            if furthest.is_none_or(|(_, l)| length > l) {
                furthest = Some((ItemId(i), length));
            }
        }
    }
    furthest
}

/// Whether a link from here to there leads past a connector by which a part is to lift off.
fn ties_down(plan: &Plan, ahead: ItemId, end: ItemId) -> bool {
    let outside = plan.items[ahead.0].zone;
    let lifts_off = |item: &Item| {
        let zone = item.zone.filter(|zone| plan.zones[zone.0].lifts_off);
        zone.is_some() && zone != outside
    };
    let back = |item: ItemId| plan.items[item.0].feed.as_ref().map(|f| f.from.item);
    let way =
        |item: ItemId| std::iter::successors(Some(item), move |&i| back(i)).take(plan.items.len());
    let mut passed = way(end).take_while(|&i| i != ahead);
    passed.any(|i| {
        let is_connector = matches!(plan.items[i.0].part, Part::Connector { .. });
        let mut others = (0..plan.items.len()).map(ItemId);
        is_connector && others.any(|o| lifts_off(&plan.items[o.0]) && way(o).any(|at| at == i))
    })
}

fn linked(plan: &Plan, weak: ItemId, ahead: ItemId, end: ItemId, run: &Run) -> Option<Candidate> {
    if plan.items[weak.0].copy.is_some() {
        return None; // the link would belong to one copy alone
    }
    if ties_down(plan, ahead, end) {
        return None;
    }
    let (a, b) = (&plan.items[ahead.0], &plan.items[end.0]);
    let name = free_name(plan, None, &[], numbered("ring"));
    let spelling = Route::of(plan, weak, Leg::Plus).map_or(Spelling::millimetres(), |r| r.spelling);
    let wire = &plan.wires[run.wire.0].name.0;
    let length = spelling.write_length(run.length);
    let both = spelling.write_length(run.length * 2.0);
    let way = match (a.zone, b.zone) {
        (Some(a), Some(b)) if a != b => shortest_way(plan, a, b)?,
        _ => Vec::new(),
    };
    let via = match way.is_empty() {
        true => String::new(),
        false => format!(" via {}", written(plan, &way)),
    };
    let text = format!(
        "link {name} between {} and {} over {length} of {wire}{via}",
        a.name.0, b.name.0
    );
    // Behind all that it joins, and the lights there.
    let dark = Breaks::of(plan).darkened(weak);
    let last = dark
        .iter()
        .copied()
        .chain([end])
        .map(|i| plan.items[i.0].stanza)
        .filter(|s| s.file == plan.items[end.0].stanza.file)
        .max()?;
    let dark = dark.len();
    Some(Candidate {
        title: format!(
            "a link from {} to {}: a break at {} no longer darkens {dark} lights; {both} more of {wire} for both legs",
            a.name.0, b.name.0, plan.items[weak.0].name.0
        ),
        edits: vec![insert_after(plan, last, &text)],
        told: Vec::new(),
    })
}
