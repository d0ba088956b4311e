//! The lists as comma-separated values (RFC 4180), for a spreadsheet: one line a part, texts in quotes.

use ::csv::{QuoteStyle, WriterBuilder};

use super::safe_cell::safe;
use super::{Lists, allowances, described, wire_size};
use crate::numbers::decimals;
use crate::plan::{AtHand, ItemId, Plan};
use crate::rewrites::e24;
use crate::rewrites::usual::rating_words;

/// The heading.
pub const COLUMNS: [&str; 9] = [
    "list", "name", "what", "used", "extra", "at hand", "to buy", "unit", "for",
];

/// The lists, one line a part. `used` and what comes after it are numbers of the unit; an empty cell says that the plan
/// does not tell.
pub fn csv(plan: &Plan, lists: &Lists) -> String {
    let mut out = WriterBuilder::new()
        .quote_style(QuoteStyle::NonNumeric)
        .from_writer(Vec::new());
    let mut line = |cells: [String; 9]| {
        // Writing to memory does not fail.
        let _ = out.write_record(cells.iter().map(|cell| safe(cell).into_owned()));
    };
    line(COLUMNS.map(str::to_owned));
    for part in &lists.counted {
        line([
            part.kind.word().into(),
            part.stock
                .as_ref()
                .map_or_else(String::new, |name| name.0.to_string()),
            part.what.clone(),
            part.used.to_string(),
            part.spare.to_string(),
            part.have.map_or_else(String::new, |have| have.to_string()),
            part.buy().to_string(),
            "piece".into(),
            names(plan, &part.of),
        ]);
    }
    for part in &lists.resistors {
        let rating = part.rating.map_or_else(String::new, rating_words);
        line([
            "resistor".into(),
            String::new(),
            format!("{} {rating}", e24::written(part.ohms))
                .trim_end()
                .into(),
            part.used.to_string(),
            part.spare.to_string(),
            String::new(),
            (part.used + part.spare).to_string(),
            "piece".into(),
            names(plan, &part.of),
        ]);
    }
    for part in &lists.tapes {
        let tape = &plan.tapes[part.tape.0];
        let first = part.cuts.first().map(|cut| &plan.items[cut.item.0]);
        let of: Vec<ItemId> = part.cuts.iter().map(|cut| cut.item).collect();
        line([
            "tape".into(),
            tape.name.0.to_string(),
            first.map_or_else(String::new, |item| described(plan, item)),
            metres(part.length.value),
            String::new(),
            at_hand(tape.have),
            part.from.as_ref().map_or_else(String::new, |from| {
                metres(from.buy as f64 * lists.reel.value)
            }),
            "m".into(),
            names(plan, &of),
        ]);
    }
    for part in &lists.wires {
        let wire = &plan.wires[part.wire.0];
        line([
            "wire".into(),
            wire.name.0.to_string(),
            wire_size(wire),
            metres(part.cut.value),
            metres(part.cut.value * allowances::WIRE_WASTE),
            at_hand(wire.have),
            part.buy.map_or_else(String::new, |buy| metres(buy.value)),
            "m".into(),
            String::new(),
        ]);
        for of in &part.colours {
            let colour = of.colour.as_ref().map_or("no colour stated", |c| &*c.0);
            line([
                "wire of one colour".into(),
                wire.name.0.to_string(),
                colour.into(),
                metres(of.cut.value),
                metres(of.cut.value * allowances::WIRE_WASTE),
                String::new(),
                String::new(),
                "m".into(),
                String::new(),
            ]);
        }
    }
    let bytes = out.into_inner().unwrap_or_default();
    String::from_utf8_lossy(&bytes).into_owned()
}

fn names(plan: &Plan, of: &[ItemId]) -> String {
    let names: Vec<&str> = of.iter().map(|id| &*plan.items[id.0].name.0).collect();
    names.join(", ")
}

/// Metres to the tenth of a millimetre.
fn metres(length: f64) -> String {
    decimals(length, 4)
}

fn at_hand(have: Option<AtHand>) -> String {
    match have {
        Some(AtHand::Length(have)) => metres(have.value),
        _ => String::new(),
    }
}
