//! The lists as JSON, for other programs. Keys are part of the page on papers.

use serde::Serialize;

use super::{Lists, allowances, bands, described, wire_size};
use crate::papers::json::written;
use crate::plan::{AtHand, ItemId, Plan};
use crate::rewrites::e24;

#[derive(Serialize)]
struct All<'a> {
    plan: &'a str,
    reel_metres: f64,
    waste: f64,
    left_out: Vec<String>,
    parts: Vec<Part<'a>>,
    resistors: Vec<Resistor<'a>>,
    tapes: Vec<Tape<'a>>,
    wires: Vec<Wire<'a>>,
}

#[derive(Serialize)]
struct Part<'a> {
    kind: &'static str,
    name: Option<&'a str>,
    what: &'a str,
    used: u32,
    spare: u32,
    have: Option<u32>,
    buy: u32,
    #[serde(rename = "for")]
    of: Vec<&'a str>,
}

#[derive(Serialize)]
struct Resistor<'a> {
    ohms: f64,
    watts: Option<f64>,
    watts_stated: bool,
    preferred: bool,
    bands: Option<[&'static str; 4]>,
    used: u32,
    spare: u32,
    buy: u32,
    #[serde(rename = "for")]
    of: Vec<&'a str>,
}

#[derive(Serialize)]
struct Tape<'a> {
    name: &'a str,
    what: String,
    groups: u64,
    metres: f64,
    have_metres: Option<f64>,
    buy_reels: Option<u64>,
    /// No way of cutting takes fewer.
    at_least: Option<u64>,
    cuts: Vec<Cut<'a>>,
}

#[derive(Serialize)]
struct Cut<'a> {
    #[serde(rename = "for")]
    of: &'a str,
    groups: u32,
    metres: f64,
    /// From 1; `None`: from the piece at hand.
    reel: Option<usize>,
    /// Of a strip longer than a reel: so many reels are in it whole.
    whole_reels: u64,
}

#[derive(Serialize)]
struct Wire<'a> {
    name: &'a str,
    what: String,
    pieces: u32,
    metres: f64,
    have_metres: Option<f64>,
    buy_metres: Option<f64>,
    colours: Vec<OfColour<'a>>,
}

#[derive(Serialize)]
struct OfColour<'a> {
    colour: Option<&'a str>,
    pieces: u32,
    metres: f64,
}

/// The lists in one object. `name` stands in for a title that the plan does not have.
pub fn json(plan: &Plan, lists: &Lists, name: &str) -> String {
    written(&All {
        plan: plan.settings.title.as_deref().unwrap_or(name),
        reel_metres: lists.reel.value,
        waste: allowances::WIRE_WASTE,
        left_out: crate::papers::figures_table::names_left_out(plan),
        parts: (lists.counted.iter())
            .map(|part| Part {
                kind: part.kind.word(),
                name: part.stock.as_ref().map(|name| &*name.0),
                what: &part.what,
                used: part.used,
                spare: part.spare,
                have: part.have,
                buy: part.buy(),
                of: names(plan, &part.of),
            })
            .collect(),
        resistors: (lists.resistors.iter())
            .map(|part| Resistor {
                ohms: part.ohms.value,
                watts: part.rating.map(|rating| rating.value),
                watts_stated: part.stated,
                preferred: e24::is_preferred(part.ohms),
                bands: bands::bands(part.ohms),
                used: part.used,
                spare: part.spare,
                buy: part.used + part.spare,
                of: names(plan, &part.of),
            })
            .collect(),
        tapes: lists.tapes.iter().map(|list| tape(plan, list)).collect(),
        wires: lists.wires.iter().map(|list| wire(plan, list)).collect(),
    })
}

fn names<'a>(plan: &'a Plan, of: &[ItemId]) -> Vec<&'a str> {
    of.iter().map(|id| &*plan.items[id.0].name.0).collect()
}

fn have_metres(have: Option<AtHand>) -> Option<f64> {
    match have {
        Some(AtHand::Length(have)) => Some(have.value),
        _ => None,
    }
}

fn tape<'a>(plan: &'a Plan, list: &super::TapeList) -> Tape<'a> {
    let tape = &plan.tapes[list.tape.0];
    let first = list.cuts.first().map(|cut| &plan.items[cut.item.0]);
    let from = list.from.as_ref();
    let cuts = list.cuts.iter().enumerate();
    Tape {
        name: &tape.name.0,
        what: first.map_or_else(String::new, |item| described(plan, item)),
        groups: list.groups,
        metres: tidy(list.length.value),
        have_metres: have_metres(tape.have),
        buy_reels: from.map(|from| from.buy),
        at_least: from.map(|from| from.at_least),
        cuts: cuts
            .map(|(n, cut)| Cut {
                of: &plan.items[cut.item.0].name.0,
                groups: cut.groups,
                metres: tidy(cut.length.value),
                reel: from.and_then(|from| from.from.get(n)?.map(|reel| reel + 1)),
                whole_reels: from.and_then(|f| f.whole.get(n).copied()).unwrap_or(0),
            })
            .collect(),
    }
}

fn wire<'a>(plan: &'a Plan, list: &'a super::WireList) -> Wire<'a> {
    let wire = &plan.wires[list.wire.0];
    Wire {
        name: &wire.name.0,
        what: wire_size(wire),
        pieces: list.pieces,
        metres: tidy(list.cut.value),
        have_metres: have_metres(wire.have),
        buy_metres: list.buy.map(|buy| tidy(buy.value)),
        colours: (list.colours.iter())
            .map(|of| OfColour {
                colour: of.colour.as_ref().map(|colour| &*colour.0),
                pieces: of.pieces,
                metres: tidy(of.cut.value),
            })
            .collect(),
    }
}

/// To the nanometre, so that a sum shows no dust.
fn tidy(metres: f64) -> f64 {
    (metres * 1e9).round() / 1e9
}
