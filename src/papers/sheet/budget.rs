//! What each supply gives in each scene, of what it may; how long batteries last.

use crate::checks::Analysis;
use crate::circuit::at_volts::States;
use crate::circuit::battery;
use crate::numbers::{between, percent, show, time};
use crate::papers::page::{Block, Section, Table, Text};
use crate::plan::{ItemId, Part};

use super::words;

/// The section.
pub fn section(a: &Analysis) -> Section {
    let plan = &a.plan;
    let mut section = Section::new("budget", "Budget").on_new_page();
    let columns = [
        "scene",
        "gives#",
        "low to high#",
        "may give#",
        "used at most#",
        "power#",
    ];
    let mut table = Table::of(&columns);
    for (i, item) in plan.items.iter().enumerate() {
        let Part::Supply(supply) = &item.part else {
            continue;
        };
        table.group(
            Text::from("supply ")
                .and(&item.name)
                .and(format!(", {}", show(supply.volts))),
        );
        for state in a.solution.states() {
            let Ok(figures) = &state.outcome else {
                table.row(
                    [words::scene(&state.name), "no solution".into()]
                        .into_iter()
                        .chain(std::iter::repeat_n(Text::none(), 4)),
                );
                continue;
            };
            let gives = figures.items[i].passes;
            table.row([
                words::scene(&state.name),
                Text::strong(show(gives.typical)),
                between(gives.low, gives.high).into(),
                match supply.limit {
                    Some(limit) => show(limit).into(),
                    None => Text::blank(format!("limit of {}", item.name.0), "A"),
                },
                match supply.limit {
                    Some(limit) => percent((gives.high / limit).value).into(),
                    None => Text::none(),
                },
                show(gives.typical * figures.items[i].volts.typical).into(),
            ]);
        }
    }
    section.put(Block::Table(table));
    let states = States::of(plan, &|| false);
    let mut batteries = Table::of(&["battery", "lasts in the first scene#", "wanted#"]);
    for (i, item) in plan.items.iter().enumerate() {
        let Part::Supply(supply) = &item.part else {
            continue;
        };
        if supply.capacity.is_none() {
            continue;
        }
        let lasts = battery::lasts_in(&states, ItemId(i));
        batteries.row([
            (&item.name).into(),
            match lasts {
                Some(lasts) if lasts.value.is_finite() => time(lasts).into(),
                Some(_) => "nothing is drawn".into(),
                None => "no solution".into(),
            },
            match supply.lasts {
                Some(wanted) => time(wanted).into(),
                None => Text::blank(format!("how long {} is to last", item.name.0), "h"),
            },
        ]);
    }
    section.put(Block::Table(batteries));
    if !section.blocks.is_empty() {
        section.say(format!(
            "Keep {} of each supply's limit free: a supply at its limit runs hot.",
            percent(plan.settings.headroom.value)
        ));
    }
    section
}
