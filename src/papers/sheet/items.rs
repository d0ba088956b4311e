//! The figures of every item with everything on; each row stands for its item, by which an editor finds it.

use crate::checks::Analysis;
use crate::numbers::{between, show};
use crate::papers::page::{Block, Section, Table, Text};
use crate::plan::{ItemId, Part};

use super::words;

/// The section.
pub fn section(a: &Analysis) -> Section {
    let plan = &a.plan;
    let mut section = Section::new("items", "Figures of every item");
    let columns = [
        "item", "what", "zone", "fed from", "volts#", "draws#", "passes#", "watts#", "lost#",
    ];
    let mut table = Table::of(&columns);
    for (i, item) in plan.items.iter().enumerate() {
        let name = Text::from(item.kind()).and(" ").and(&item.name);
        let place = [
            name,
            words::what(plan, item),
            item.zone
                .map_or(Text::none(), |zone| words::zone_name(plan, zone)),
            item.feed
                .as_ref()
                .map_or(Text::none(), |feed| words::point(plan, feed.from)),
        ];
        let figures = figures(a, ItemId(i));
        table.row_of(&item.name, place.into_iter().chain(figures));
    }
    section.put(Block::Table(table));
    if !section.blocks.is_empty() {
        section.say(
            "With everything on; of what takes turns, in its turn. Volts are across the item's own ends; in brackets how far a figure may stray.",
        );
    }
    section
}

fn figures(a: &Analysis, id: ItemId) -> [Text; 5] {
    let Some(own) = a.solution.with_all_on(id).filter(|own| own.reached) else {
        return [
            "off".into(),
            Text::none(),
            Text::none(),
            Text::none(),
            Text::none(),
        ];
    };
    let item = &a.plan.items[id.0];
    let draws = item.is_light() || matches!(item.part, Part::Board { .. } | Part::Load(_));
    let range = |typical: String, range: String| match typical == range {
        true => Text::strong(typical),
        false => Text::strong(typical).and(format!(" ({range})")),
    };
    let if_any = |there: bool, text: String| match there {
        true => text.into(),
        false => Text::from("–"),
    };
    [
        range(
            show(own.volts.typical),
            between(own.volts.low, own.volts.high),
        ),
        match draws {
            true => range(show(own.amps.typical), between(own.amps.low, own.amps.high)),
            false => "–".into(),
        },
        show(own.passes.typical).into(),
        if_any(own.watts.typical.value >= 0.000_5, show(own.watts.typical)),
        if_any(own.drop.typical.value >= 0.000_5, show(own.drop.typical)),
    ]
}
