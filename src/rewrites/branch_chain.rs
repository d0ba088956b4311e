//! Branches a chain: lights that have their power through another light each get their own way
//! back to the joint ahead of the chain, so that one break darkens one light.
//!
//! A run's new length is the sum of what it replaces: the runs of the lights passed by and the tape
//! of the strips among them. Passages are carried over, and a zone that a light has only because it
//! hung on another is written down. Where there is no joint ahead of the chain, a new one is put
//! right behind the point that feeds it. What hangs on a chained light and is no light itself (a
//! joint, a board) is re-pointed in the same way; what is branched from that stays as it is. What a
//! scene had dark because it hung on a light that is off is named in that scene.

use std::collections::{BTreeSet, HashMap, VecDeque};

use super::clause_of::clause_of;
use super::free_name::{free_name, numbered};
use super::keep_dark::{Freed, keep_dark};
use super::route::{Leg, Route, Target, is_joint, leg_point, repoint};
use super::stanza_text::{StanzaEdits, insert_after, insert_before};
use super::{Candidate, in_each_copy};
use crate::circuit::Solution;
use crate::plan::{ItemId, Plan, Point, Run};
use crate::units::metres;

/// The ways to branch the chain that this light is on: its own run for each light (preferred), or a
/// link from the chain's far end back to the point that feeds it, which closes the ring.
///
/// None where the light is on no chain, or where the chain lies partly in a pattern and partly not.
/// "More wire" in a title counts the length of the runs, each once, as the plan states them.
pub fn branch_chain(plan: &Plan, solution: &Solution, light: ItemId) -> Vec<Candidate> {
    let Some(chain) = Chain::of(plan, light) else {
        return Vec::new();
    };
    [branched(plan, solution, &chain), ring(plan, &chain)]
        .into_iter()
        .flatten()
        .collect()
}

/// The lights that go dark with the first of the chain that this light is on, it too; none where [`branch_chain`] sees no chain.
pub fn lights_of_chain(plan: &Plan, light: ItemId) -> Vec<ItemId> {
    Chain::of(plan, light).map_or_else(Vec::new, |chain| chain.lights)
}

/// The most that one rewrite re-points; a longer chain is first made shorter by hand.
const MOST: usize = 200;

/// A chain of lights and what hangs on them.
struct Chain {
    /// The light that all others have their power through.
    first: ItemId,
    /// What is fed from a light, in the order of the plan.
    chained: Vec<ItemId>,
    /// The lights that go dark with the first, itself included.
    lights: Vec<ItemId>,
    /// The copy whose pieces all of it is; `None`: it lies in the open.
    copy: Option<ItemId>,
}

/// The items that the two legs of an item lead to.
fn feeders(plan: &Plan, item: ItemId) -> impl Iterator<Item = ItemId> + '_ {
    [Leg::Plus, Leg::Minus]
        .into_iter()
        .filter_map(move |leg| Some(leg_point(plan, item, leg)?.item))
}

/// The nearest light that an item has its power through; its plus leg is looked at first.
fn light_ahead(plan: &Plan, item: ItemId) -> Option<ItemId> {
    let mut seen = BTreeSet::from([item]);
    let mut open: VecDeque<ItemId> = feeders(plan, item).collect();
    while let Some(at) = open.pop_front() {
        if !seen.insert(at) {
            continue;
        }
        if plan.items.get(at.0)?.is_light() {
            return Some(at);
        }
        open.extend(feeders(plan, at));
    }
    None
}

/// The light furthest up the way from which this one has its power.
fn first_of_chain(plan: &Plan, light: ItemId) -> ItemId {
    let mut way = BTreeSet::from([light]);
    let mut first = light;
    while let Some(ahead) = light_ahead(plan, first)
        && way.insert(ahead)
    {
        first = ahead;
    }
    first
}

/// Whether an item is fed from a light.
fn is_chained(plan: &Plan, item: ItemId) -> bool {
    feeders(plan, item).any(|f| plan.items.get(f.0).is_some_and(|f| f.is_light()))
}

impl Chain {
    fn of(plan: &Plan, light: ItemId) -> Option<Chain> {
        if !plan.items.get(light.0)?.is_light() {
            return None;
        }
        let first = first_of_chain(plan, light);
        // All that hangs on the first: what it feeds, what that feeds, and so on.
        let mut fed: HashMap<ItemId, Vec<ItemId>> = HashMap::new();
        for item in (0..plan.items.len()).map(ItemId) {
            for feeder in feeders(plan, item) {
                fed.entry(feeder).or_default().push(item);
            }
        }
        let mut behind = BTreeSet::from([first]);
        let mut open = vec![first];
        while let Some(at) = open.pop() {
            let more = fed.get(&at).into_iter().flatten();
            open.extend(more.copied().filter(|&item| behind.insert(item)));
        }
        let chained: Vec<ItemId> = behind
            .iter()
            .copied()
            .filter(|&i| i != first && is_chained(plan, i))
            .collect();
        if chained.is_empty() {
            return None;
        }
        if chained.len() > MOST {
            return None;
        }
        let copy = plan.items[first.0].copy;
        let is_light = |i: &ItemId| plan.items[i.0].is_light();
        let lights = behind.iter().copied().filter(is_light).collect();
        let whole = chained.iter().chain([&first]).all(|&i| {
            let item = &plan.items[i.0];
            item.copy == copy && ["from", "in"].iter().all(|word| says_itself(plan, i, word))
        });
        whole.then_some(Chain {
            first,
            chained,
            lights,
            copy,
        })
    }
}

/// Whether an item's own stanza says this clause, or none does: no copy puts another in its place.
fn says_itself(plan: &Plan, item: ItemId, word: &str) -> bool {
    clause_of(plan, item, word).is_none_or(|(stanza, _)| stanza == plan.items[item.0].stanza)
}

/// A joint that is to stand right behind a point that is none.
struct NewJoint {
    /// The points of its legs.
    at: (Point, Point),
    /// Its name, as written.
    name: String,
    /// The lights that hung on that point and others on them.
    firsts: BTreeSet<ItemId>,
}

fn branched(plan: &Plan, solution: &Solution, chain: &Chain) -> Option<Candidate> {
    let mut routes = Vec::new();
    let mut joints: Vec<NewJoint> = Vec::new();
    for &item in &chain.chained {
        let plus = Route::of(plan, item, Leg::Plus)?.with_wire(plan)?;
        let minus = Route::of(plan, item, Leg::Minus)?.with_wire(plan)?;
        if plus.point.item == item || minus.point.item == item {
            return None;
        }
        let at = (plus.point, minus.point);
        if let Some(&first) = plus.lights.last()
            && !is_joint(plan, plus.point)
            && leg_point(plan, first, Leg::Minus) == Some(minus.point)
        {
            match joints.iter_mut().find(|j| j.at == at) {
                Some(joint) => {
                    joint.firsts.insert(first);
                }
                None => {
                    let taken: Vec<String> = joints.iter().map(|j| j.name.clone()).collect();
                    joints.push(NewJoint {
                        at,
                        name: free_name(plan, chain.copy, &taken, numbered("split")),
                        firsts: BTreeSet::from([first]),
                    });
                }
            }
        }
        routes.push((item, plus, minus));
    }

    let mut edits = Vec::new();
    let mut more = metres(0.0);
    for (item, plus, minus) in &routes {
        let joint = joints.iter().find(|j| j.at == (plus.point, minus.point));
        let words = |route: &Route| match joint {
            Some(joint) => joint.name.clone(),
            None => route.point_words.clone(),
        };
        edits.extend(repoint(
            plan,
            *item,
            &Target {
                words: &words(plus),
                route: plus,
            },
            &Target {
                words: &words(minus),
                route: minus,
            },
        )?);
        let feed = plan.items[item.0].feed.as_ref()?;
        let old = |run: &Option<Run>| run.as_ref().map_or(metres(0.0), |run| run.length);
        let back = if feed.back.is_some() {
            &feed.back_run
        } else {
            &feed.run
        };
        more += plus.length - old(&feed.run) + minus.length - old(back);
    }
    for joint in &joints {
        let mut placed = false;
        for &first in &joint.firsts {
            let id = plan.items[first.0].stanza;
            let stanza = plan.stanza(id);
            let from = stanza.clause("from")?;
            let (_, plus) = from.names().next()?;
            let minus = from.part("return").and_then(|r| r.names().next());
            if !placed {
                let mut text = format!("joint {} from {}", joint.name, stanza.words(plus));
                if let Some((_, minus)) = minus
                    && joint.at.0 != joint.at.1
                {
                    text.push_str(&format!(" return to {}", stanza.words(minus)));
                }
                edits.push(insert_before(plan, id, &text));
                placed = true;
            }
            let mut own = StanzaEdits::of(id);
            own.put(plus, &joint.name);
            if let Some((_, minus)) = minus {
                own.put(minus, &joint.name);
            }
            edits.extend(own.into_edits(plan));
        }
    }
    if edits.is_empty() {
        return None;
    }
    let freed: Vec<Freed> = routes
        .iter()
        .map(|(item, plus, _)| Freed {
            item: *item,
            from: plus.lights.clone(),
        })
        .collect();
    edits.extend(keep_dark(plan, solution, &freed));

    let (_, nearest, _) = routes.first()?;
    let mut names: Vec<&str> = chain
        .chained
        .iter()
        .map(|&i| written_name(plan, i))
        .collect();
    let mut target = nearest.point_words.clone();
    if let Some(joint) = joints.first() {
        names.insert(0, written_name(plan, *joint.firsts.first()?));
        target = format!("{}, a new joint behind {target}", joint.name);
    }
    // What is no light and was branched may yet take several lights along.
    let is_light = |i: &ItemId| plan.items[i.0].is_light();
    let broken = match chain.chained.iter().all(is_light) {
        true => "one break".to_owned(),
        false => format!("a break at {}", written_name(plan, chain.first)),
    };
    Some(Candidate {
        title: format!(
            "branch {} from {target}: {broken} darkens 1 light, not {}; {} more wire for both legs{}",
            listed(&names),
            chain.lights.len(),
            nearest.spelling.write_length(more),
            in_each_copy(plan, chain.first),
        ),
        edits,
        told: Vec::new(),
    })
}

/// A link from the far end of a chain that is a plain row of lights.
fn ring(plan: &Plan, chain: &Chain) -> Option<Candidate> {
    let mut last = chain.first;
    for &item in &chain.chained {
        let feed = plan.items[item.0].feed.as_ref()?;
        // Another order in the file, or a light that feeds two: no plain row.
        if feed.from.item != last || feed.back.is_some() || !plan.items[item.0].is_light() {
            return None;
        }
        last = item;
    }
    if chain.lights.len() != chain.chained.len() + 1
        || plan.items[chain.first.0].feed.as_ref()?.back.is_some()
    {
        return None;
    }
    let mut back = Route::behind(plan, last, Leg::Plus)?.with_wire(plan)?;
    back.via.reverse(); // it goes from the far end to the point
    let name = free_name(plan, chain.copy, &[], numbered("ring"));
    let mut text = format!(
        "link {name} between {} and {}",
        written_name(plan, last),
        back.point_words
    );
    if let Some(over) = back.over_words() {
        text.push_str(&format!(" {over}"));
    }
    if !back.via.is_empty() {
        text.push_str(&format!(" via {}", back.via.join(", ")));
    }
    Some(Candidate {
        title: format!(
            "close the ring from {} back to {}: one break darkens 1 light, not {}; {} more wire for both legs{}",
            written_name(plan, last),
            back.point_words,
            chain.lights.len(),
            back.spelling.write_length(back.length * 2.0),
            in_each_copy(plan, chain.first),
        ),
        edits: vec![insert_after(plan, plan.items[last.0].stanza, &text)],
        told: Vec::new(),
    })
}

/// An item's name as its stanza writes it: for the piece of a copy, the pattern's.
pub fn written_name(plan: &Plan, item: ItemId) -> &str {
    let it = &plan.items[item.0];
    match plan.stanza(it.stanza).name() {
        Some((name, _)) => &name.0,
        None => &it.name.0,
    }
}

/// Names in a row: `saloon-2 to -4`, `bow and stern`, `bow, mast and 3 more`.
pub fn listed(names: &[&str]) -> String {
    let split = |name: &str| -> Option<(String, u64)> {
        let digits = name.len() - name.trim_end_matches(|c: char| c.is_ascii_digit()).len();
        let (stem, number) = name.split_at(name.len() - digits);
        Some((stem.to_string(), number.parse().ok()?))
    };
    let rows: Option<Vec<(String, u64)>> = names.iter().map(|n| split(n)).collect();
    if let Some(rows) = rows
        && rows.len() > 1
        && rows
            .windows(2)
            .all(|w| w[0].0 == w[1].0 && w[0].1.checked_add(1) == Some(w[1].1))
    {
        let (stem, to) = &rows[rows.len() - 1];
        let dash = if stem.ends_with('-') { "-" } else { "" };
        return format!(
            "{} {} {dash}{to}",
            names[0],
            if rows.len() == 2 { "and" } else { "to" }
        );
    }
    match names {
        [] => String::new(),
        [one] => one.to_string(),
        [a, b] => format!("{a} and {b}"),
        [a, b, c] => format!("{a}, {b} and {c}"),
        [a, b, rest @ ..] => format!("{a}, {b} and {} more", rest.len()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_in_a_row_are_one_row() {
        assert_eq!(
            listed(&["saloon-2", "saloon-3", "saloon-4"]),
            "saloon-2 to -4"
        );
        assert_eq!(listed(&["saloon-2", "saloon-3"]), "saloon-2 and -3");
        assert_eq!(listed(&["w9", "w10", "w11"]), "w9 to 11");
        assert_eq!(listed(&["saloon-2", "saloon-4"]), "saloon-2 and saloon-4");
        assert_eq!(listed(&["saloon-2"]), "saloon-2");
        assert_eq!(
            listed(&["draper", "grocer", "baker"]),
            "draper, grocer and baker"
        );
        assert_eq!(listed(&["a", "b", "c", "d"]), "a, b and 2 more");
    }
}
