//! What goes dark if …: every place that can break and darkens more than its own light.

use crate::checks::Analysis;
use crate::circuit::breaks::Place;
use crate::circuit::fused_runs::RunOf;
use crate::circuit::what_if::places;
use crate::papers::page::{Block, Section, Table, Text};
use crate::plan::{ItemId, Plan};

use super::words;

/// Places of one item or link that darken the same lights.
struct Line {
    of: RunOf,
    what: Vec<&'static str>,
    lights: usize,
    dark: Text,
}

/// The section.
pub fn section(a: &Analysis) -> Section {
    let plan = &a.plan;
    let mut section = Section::new("breaks", "What goes dark if it breaks");
    let breaks = a.breaks();
    let mut lines: Vec<Line> = Vec::new();
    // Which lights each of the last lines is about, as many lines as are of one item or link: not all lights of all lines are held.
    let mut last: Vec<Vec<ItemId>> = Vec::new();
    for place in places(plan) {
        let dark = breaks.darkened_at(place);
        if dark.is_empty() || is_own(place, &dark) {
            continue;
        }
        let of = place.of();
        if lines.last().is_none_or(|line| line.of != of) {
            last.clear();
        }
        let own = lines.len() - last.len();
        match last.iter().rposition(|lights| *lights == dark) {
            Some(nth) => lines[own + nth].what.push(place.word()),
            None => {
                lines.push(Line {
                    of,
                    what: vec![place.word()],
                    lights: dark.len(),
                    dark: words_of(plan, &dark),
                });
                last.push(dark);
            }
        }
    }
    lines.sort_by_key(|line| std::cmp::Reverse(line.lights));
    let mut table = Table::of(&["breaks", "of", "lights#", "dark then"]);
    for line in lines {
        table.row([
            what(plan, &line).into(),
            words::run_of(plan, line.of),
            line.lights.to_string().into(),
            line.dark,
        ]);
    }
    let nothing = table.is_empty();
    section.put(Block::Table(table));
    if plan.lights().next().is_some() {
        section.say(match nothing {
            true => "No single break darkens more than the one light that it belongs to.",
            false => "What is not listed darkens no more than the one light that it belongs to. A leg is one wire of a pair; an item stands for its feed too.",
        });
    }
    section
}

/// Whether a light darkens itself alone.
fn is_own(place: Place, dark: &[ItemId]) -> bool {
    matches!((place.of(), dark), (RunOf::Item(of), [one]) if of == *one)
}

fn what(plan: &Plan, line: &Line) -> String {
    let kind = match line.of {
        RunOf::Item(item) => plan.items[item.0].kind(),
        RunOf::Link(_) => "link",
    };
    let mut words: Vec<&str> = line
        .what
        .iter()
        .map(|w| if *w == "item" { kind } else { w })
        .collect();
    words.dedup();
    words.join(", ")
}

fn words_of(plan: &Plan, dark: &[ItemId]) -> Text {
    if dark.len() == plan.lights().count() && dark.len() > 1 {
        return "every light".into();
    }
    words::items(plan, dark)
}
