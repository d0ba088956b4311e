//! What to cut: tape, strip by strip, and wire, piece by piece.

use crate::numbers::{count, length};
use crate::papers::lists::{Leg, Lists, TapeList, WirePiece, wire_pieces};
use crate::papers::page::{Block, Section, Table, Text};
use crate::plan::{Cut, Part, Plan};

use super::words;

/// The section.
pub fn section(plan: &Plan, lists: &Lists) -> Section {
    let mut section = Section::new("cut", "Cut").on_new_page();
    section.put(Block::Table(tapes(plan, lists)));
    section.put(Block::Table(wires(plan)));
    if !section.blocks.is_empty() {
        section.say("Cut tape only on the marks between its groups. Label both ends of each wire as you cut it.");
    }
    section
}

fn tapes(plan: &Plan, lists: &Lists) -> Table {
    let columns = [
        "",
        "strip",
        "cut behind",
        "length#",
        "the plan says",
        "from",
    ];
    let mut table = Table::of(&columns).caption("Tape");
    for list in &lists.tapes {
        table.group(Text::strong("").and(&plan.tapes[list.tape.0].name));
        for (n, cut) in list.cuts.iter().enumerate() {
            let item = &plan.items[cut.item.0];
            table.row([
                Text::tick(format!("cut {}", item.name.0)),
                (&item.name).into(),
                count(cut.groups as usize, "group").into(),
                length(cut.length).into(),
                as_stated(&item.part).into(),
                cut_from(list, n),
            ]);
        }
    }
    table
}

fn as_stated(part: &Part) -> String {
    match part {
        Part::Strip { cut, .. } => match cut {
            Cut::Lamps(n) => count(*n as usize, "lamp"),
            Cut::Groups(n) => count(*n as usize, "group"),
            Cut::Length(l) => length(*l),
        },
        _ => String::new(),
    }
}

fn cut_from(list: &TapeList, n: usize) -> Text {
    let Some(reels) = &list.from else {
        return Text::blank("what it is cut from", "");
    };
    let from = match reels.from.get(n) {
        Some(Some(reel)) => format!("reel {}", reel + 1),
        _ => "the piece at hand".to_owned(),
    };
    match reels.whole.get(n) {
        None | Some(0) => from.into(),
        Some(whole) => format!("{whole} whole reels and a piece of {from}, joined").into(),
    }
}

/// By kind and colour, so that each reel of wire is taken up once.
fn wires(plan: &Plan) -> Table {
    let columns = ["", "for", "leg", "run#", "cut#", "between"];
    let mut table = Table::of(&columns).caption("Wire");
    let mut pieces = wire_pieces(plan);
    let place = |piece: &WirePiece| {
        let colours = &plan.wires[piece.wire.0].colours;
        let colour = colours
            .iter()
            .position(|c| Some(c) == piece.colour.as_ref());
        (piece.wire, colour)
    };
    pieces.sort_by_key(place);
    let mut last = None;
    for piece in &pieces {
        if last != Some(place(piece)) {
            last = Some(place(piece));
            let wire: Text = (&plan.wires[piece.wire.0].name).into();
            table.group(wire.and(", ").and(colour(piece.colour.as_ref())));
        }
        let name = piece.of.name(plan);
        let leg = leg_word(piece.leg);
        let to = match piece.to {
            Some(point) => words::point(plan, point),
            None => Text::theirs(name),
        };
        table.row([
            Text::tick(format!("{leg} wire of {name} cut")),
            Text::theirs(name),
            leg.into(),
            length(piece.run.length).into(),
            Text::strong(length(piece.cut)),
            words::point(plan, piece.from).and(" – ").and(to),
        ]);
    }
    table
}

/// A colour; a blank where the stock states none.
pub fn colour(colour: Option<&crate::syntax::tree::Name>) -> Text {
    match colour {
        Some(colour) => Text::colour(&*colour.0),
        None => Text::blank("colour of the wire", ""),
    }
}

/// The leg, in a word.
pub fn leg_word(leg: Leg) -> &'static str {
    match leg {
        Leg::Plus => "plus",
        Leg::Minus => "minus",
    }
}
