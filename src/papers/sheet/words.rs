//! Words that the sections of the sheet share.

use crate::circuit::fused_runs::RunOf;
use crate::circuit::{ALL_ON, Figure};
use crate::numbers::{Shown, count, with_range};
use crate::papers::lists::described;
use crate::papers::page::Text;
use crate::plan::{Item, ItemId, Part, Plan, Point, StanzaId, ZoneId};
use crate::syntax::tree::{Name, ValueKind};

/// The name of an item.
pub fn item(plan: &Plan, id: ItemId) -> Text {
    (&plan.items[id.0].name).into()
}

/// So many names are written out where there may be very many.
const NAMES: usize = 24;

/// The names of items; of very many, the first.
pub fn items(plan: &Plan, ids: &[ItemId]) -> Text {
    let names = ids.iter().take(NAMES).map(|id| item(plan, *id));
    let text = Text::joined(names, ", ");
    match ids.len().checked_sub(NAMES) {
        None | Some(0) => text,
        Some(more) => text.and(format!(" and {more} more")),
    }
}

/// What an item is made of: `of pearl`, `3 of pearl`, `2 groups of warm`; of others what sets them apart, if anything.
pub fn what(plan: &Plan, item: &Item) -> Text {
    match item.part {
        Part::Strip { tape, groups, .. } => Text::from(count(groups as usize, "group"))
            .and(" of ")
            .and(&plan.tapes[tape.0].name),
        Part::Lamps { led, count: 1, .. } => Text::from("of ").and(&plan.leds[led.0].name),
        Part::Lamps { led, count, .. } => {
            Text::from(format!("{count} of ")).and(&plan.leds[led.0].name)
        }
        Part::Board { module } => Text::from("of ").and(&plan.modules[module.0].name),
        _ => described(plan, item).into(),
    }
}

/// An item with what it is: `lamp mast of pearl`, `fuse F1, 400 mA quick`.
pub fn piece(plan: &Plan, item: &Item) -> Text {
    let name = Text::from(item.kind()).and(" ").and(&item.name);
    let what = what(plan, item);
    let between = match item.part {
        _ if what.is_empty() => "",
        Part::Lamps { count: 1, .. } | Part::Board { .. } => " ",
        _ => ", ",
    };
    name.and(between).and(what)
}

/// A point as it is written in the plan.
pub fn point(plan: &Plan, point: Point) -> Text {
    Text::theirs(plan.point_name(point))
}

/// The item or link that a run belongs to.
pub fn run_of(plan: &Plan, of: RunOf) -> Text {
    Text::theirs(of.name(plan))
}

/// The zone that an item is in; a blank where it is in none.
pub fn zone(plan: &Plan, item: &Item) -> Text {
    match item.zone {
        Some(zone) => zone_name(plan, zone),
        None => Text::blank(format!("zone of {}", item.name.0), ""),
    }
}

/// The name of a zone.
pub fn zone_name(plan: &Plan, zone: ZoneId) -> Text {
    (&plan.zones[zone.0].name).into()
}

/// A scene as a reader calls it: the one that no plan writes is everything on.
pub fn scene(name: &Name) -> Text {
    match name.0.strip_prefix(ALL_ON) {
        Some("") => "everything on".into(),
        Some(turn) if turn.starts_with(", ") => format!("everything on{turn}").into(),
        _ => name.into(),
    }
}

/// A figure with how far it may stray.
pub fn figure<Q: Shown>(figure: Figure<Q>) -> String {
    with_range(figure.typical, figure.low, figure.high)
}

/// The notes of a stanza.
pub fn notes(plan: &Plan, stanza: StanzaId) -> Text {
    let clauses = plan.stanza(stanza).clauses.iter();
    let values = clauses.filter(|c| c.word == "note").flat_map(|c| &c.values);
    let texts = values.filter_map(|value| match &value.kind {
        ValueKind::Text(text) => Some(Text::theirs(text)),
        _ => None,
    });
    Text::joined(texts, "; ")
}

/// A message with the words that the builder wrote, which stand in it between backticks, told apart.
pub fn message(message: &str) -> Text {
    let mut text = Text::none();
    for (n, piece) in message.split('`').enumerate() {
        text = match n % 2 {
            _ if piece.is_empty() => text,
            0 => text.and(piece),
            _ => text.and(Text::theirs(piece)),
        };
    }
    text
}
