//! What to prepare: the resistors of the lights, told by their bands.

use crate::checks::Analysis;
use crate::numbers::show;
use crate::papers::lists::Lists;
use crate::papers::lists::table::{banded, rating};
use crate::papers::page::{Block, Section, Table, Text};
use crate::plan::{Part, Plan};
use crate::rewrites::e24;

/// The section.
pub fn section(a: &Analysis, lists: &Lists) -> Section {
    let mut section = Section::new("prepare", "Prepare the resistors");
    let columns = ["", "for", "where", "heat at most#"];
    let mut table = Table::of(&columns);
    for line in &lists.resistors {
        let value = Text::strong(e24::written(line.ohms));
        table.group(
            value
                .and(", ")
                .and(rating(line))
                .and(": ")
                .and(banded(line)),
        );
        for &id in &line.of {
            let item = &a.plan.items[id.0];
            table.row([
                Text::tick(format!("resistor of {} prepared", item.name.0)),
                (&item.name).into(),
                place(&item.part).into(),
                a.heat_of_resistor(id).map_or_else(String::new, show).into(),
            ]);
        }
    }
    section.put(Block::Table(table));
    if !section.blocks.is_empty() {
        section.say(
            "Bands after IEC 60062, read from the end that is nearest to a band; gold is ± 5 %. Measure each before you solder it.",
        );
    }
    let bare: Vec<Text> = without(&a.plan).collect();
    if !bare.is_empty() {
        section.say(
            Text::from("No resistor of their own: ")
                .and(Text::joined(bare, ", "))
                .and("."),
        );
    }
    section
}

fn place(part: &Part) -> &'static str {
    match part {
        Part::Lamps {
            resistor: Some(own),
            ..
        } if own.at_lamp => "at the light, in its plus",
        Part::Lamps { .. } => "at the start of its plus wire",
        _ => "by itself, in the plus",
    }
}

fn without(plan: &Plan) -> impl Iterator<Item = Text> + '_ {
    let bare = |part: &Part| matches!(part, Part::Lamps { resistor: None, .. });
    let items = plan.items.iter().filter(move |item| bare(&item.part));
    items.map(|item| (&item.name).into())
}
