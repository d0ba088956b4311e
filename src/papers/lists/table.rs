//! The lists as tables, for a terminal and for the bench sheet.

use super::{
    Counted, Lists, Resistor, TapeList, WireList, allowances, bands, described, wire_size,
};
use crate::numbers::{count, length};
use crate::papers::page::{Block, Page, Section, Table, Text, plain};
use crate::plan::{AtHand, ItemId, Part, Plan, Wire};
use crate::rewrites::e24;
use crate::rewrites::usual::rating_words;
use crate::syntax::tree::Name;
use crate::syntax::vocabulary::StanzaWord;
use crate::units::{Length, metres};

/// So many of the names that a line is for are written out.
const NAMES: usize = 6;

/// The lists as text.
pub fn table(plan: &Plan, lists: &Lists) -> String {
    plain::written(&Page {
        sections: vec![section(plan, lists)],
        ..Page::default()
    })
}

/// The lists as a section.
pub fn section(plan: &Plan, lists: &Lists) -> Section {
    let mut section = Section::new("buy", "To buy");
    section.put(Block::Table(counted(plan, lists)));
    section.put(Block::Table(resistors(plan, lists)));
    section.put(Block::Table(tapes(plan, lists)));
    section.put(Block::Table(wires(plan, lists)));
    match section.blocks.is_empty() {
        true => section.say("Nothing: nothing is wired."),
        false => section.say(allowances::in_words()),
    }
    section
}

/// At hand: so much, or a dash where the plan says nothing.
fn at_hand(have: Option<AtHand>) -> Text {
    match have {
        None => "-".into(),
        Some(AtHand::Length(have)) => length(have).into(),
        Some(AtHand::Pieces(n)) => count(n as usize, "piece").into(),
    }
}

/// What a line is for.
fn whom(plan: &Plan, of: &[ItemId]) -> Text {
    let names = of.iter().map(|id| &plan.items[id.0].name);
    let shown = Text::names(names.take(NAMES));
    match of.len().checked_sub(NAMES) {
        None | Some(0) => shown,
        Some(more) => shown.and(format!(" and {more} more")),
    }
}

fn counted(plan: &Plan, lists: &Lists) -> Table {
    let columns = [
        "part", "what", "used#", "spare#", "at hand#", "to buy#", "for",
    ];
    let mut table = Table::of(&columns).caption("Parts");
    for line in &lists.counted {
        let part = Text::from(line.kind.word());
        table.row([
            match &line.stock {
                Some(stock) => part.and(" ").and(stock),
                None => part,
            },
            what(plan, line),
            line.used.to_string().into(),
            line.spare.to_string().into(),
            line.have.map_or("-".into(), |have| have.to_string()).into(),
            Text::strong(line.buy().to_string()),
            whom(plan, &line.of),
        ]);
    }
    table
}

/// What sets it apart; a blank for what must be known to buy it and the plan does not say.
fn what(plan: &Plan, line: &Counted) -> Text {
    // Of a board it has the names of its outputs.
    let said = match line.kind {
        StanzaWord::Module => Text::theirs(&line.what),
        _ => Text::from(line.what.clone()),
    };
    let blank = |what: &str, unit| Text::blank(format!("{what} of the {}", line.kind.word()), unit);
    let missing = match line.of.first().map(|id| &plan.items[id.0].part) {
        _ if line.what.is_empty() => return blank("kind", ""),
        Some(Part::Supply(supply)) if supply.limit.is_none() && supply.capacity.is_none() => {
            blank("limit", "A")
        }
        Some(Part::Lamps { led, .. }) if plan.leds[led.0].colour.is_none() => {
            Text::from("colour ").and(blank("colour", ""))
        }
        Some(Part::Board { module }) if plan.modules[module.0].works.is_none() => {
            Text::from("works ").and(blank("voltages", "V"))
        }
        _ => return said,
    };
    said.and(", ").and(missing)
}

fn resistors(plan: &Plan, lists: &Lists) -> Table {
    let columns = [
        "value", "bands", "rating", "used#", "spare#", "to buy#", "for",
    ];
    let mut table = Table::of(&columns).caption("Resistors, ± 5 %");
    for line in &lists.resistors {
        table.row([
            e24::written(line.ohms).into(),
            banded(line),
            rating(line),
            line.used.to_string().into(),
            line.spare.to_string().into(),
            Text::strong((line.used + line.spare).to_string()),
            whom(plan, &line.of),
        ]);
    }
    table
}

/// The bands of a resistor; where it is none of the series, the value that is.
pub fn banded(line: &Resistor) -> Text {
    match bands::bands(line.ohms) {
        Some(bands) if e24::is_preferred(line.ohms) => {
            Text::joined(bands.iter().map(Text::colour), " ")
        }
        _ => format!(
            "not of E24; nearest: {}",
            e24::written(e24::nearest(line.ohms))
        )
        .into(),
    }
}

/// The rating of a resistor, and who says so.
pub fn rating(line: &Resistor) -> Text {
    match line.rating {
        Some(rating) if line.stated => rating_words(rating).into(),
        Some(rating) => format!("{} or more", rating_words(rating)).into(),
        None => Text::from("over 1 W: ").and(Text::blank("rating of the resistor", "W")),
    }
}

fn tapes(plan: &Plan, lists: &Lists) -> Table {
    let columns = [
        "tape", "what", "strips#", "groups#", "length#", "at hand#", "to buy",
    ];
    let mut table = Table::of(&columns).caption("Tape");
    for line in &lists.tapes {
        let tape = &plan.tapes[line.tape.0];
        let of = line.cuts.first().map_or(ItemId(0), |cut| cut.item);
        table.row([
            (&tape.name).into(),
            match tape.colour {
                Some(_) => described(plan, &plan.items[of.0]).into(),
                None => Text::from(described(plan, &plan.items[of.0]))
                    .and(", colour ")
                    .and(Text::blank(format!("colour of {}", tape.name.0), "")),
            },
            line.cuts.len().to_string().into(),
            line.groups.to_string().into(),
            length(line.length).into(),
            at_hand(tape.have),
            reels(lists, line),
        ]);
    }
    table
}

/// How many reels are to be bought.
fn reels(lists: &Lists, line: &TapeList) -> Text {
    let each = length(lists.reel);
    match &line.from {
        None => format!("a group is longer than a reel of {each}").into(),
        Some(from) if from.buy == 0 => Text::strong("nothing"),
        Some(from) => {
            let reels = usize::try_from(from.buy).unwrap_or(usize::MAX);
            let buy = Text::strong(format!("{} of {each}", count(reels, "reel")));
            match from.at_least < from.buy {
                true => buy.and(format!(" (perhaps {})", from.at_least)),
                false => buy,
            }
        }
    }
}

fn wires(plan: &Plan, lists: &Lists) -> Table {
    let columns = [
        "wire",
        "what",
        "colour",
        "pieces#",
        "cut length#",
        "with waste#",
        "at hand#",
        "to buy#",
    ];
    let mut table = Table::of(&columns).caption("Wire");
    for line in &lists.wires {
        wire(plan, line, &mut table);
    }
    table
}

/// How thick a wire is and what covers it.
fn sized(wire: &Wire) -> Text {
    let size = Text::from(wire_size(wire));
    match wire.insulation {
        Some(_) => size,
        None => size
            .and(", insulation ")
            .and(Text::blank(format!("insulation of {}", wire.name.0), "")),
    }
}

fn wire(plan: &Plan, line: &WireList, table: &mut Table) {
    let wire = &plan.wires[line.wire.0];
    let with_waste = |cut| length(rounded_up(allowances::with_waste(cut))).into();
    let buy = match line.buy {
        Some(buy) if buy.value <= 0.0 => Text::strong("nothing"),
        Some(buy) => Text::strong(length(rounded_up(buy))),
        None => Text::blank(format!("metres of {} to buy", wire.name.0), "m"),
    };
    let colour = |colour: &Option<Name>| match colour {
        Some(colour) => Text::colour(&*colour.0),
        None => Text::blank(format!("colour of {}", wire.name.0), ""),
    };
    let one = match &line.colours[..] {
        [one] => colour(&one.colour),
        _ => "all".into(),
    };
    table.row([
        (&wire.name).into(),
        sized(wire),
        one,
        line.pieces.to_string().into(),
        length(line.cut).into(),
        with_waste(line.cut),
        at_hand(wire.have),
        buy,
    ]);
    if line.colours.len() < 2 {
        return;
    }
    for of in &line.colours {
        table.row([
            Text::none(),
            Text::none(),
            colour(&of.colour),
            of.pieces.to_string().into(),
            length(of.cut).into(),
            with_waste(of.cut),
            Text::none(),
            Text::none(),
        ]);
    }
}

/// To the next whole centimetre: nobody buys wire by the millimetre.
fn rounded_up(length: Length) -> Length {
    metres((length.value * 100.0 - 1e-6).ceil() / 100.0)
}
