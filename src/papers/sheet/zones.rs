//! The places: light and heat of each zone, the bundle in each passage.

use crate::checks::Analysis;
use crate::circuit::places;
use crate::numbers::{count, decimals, percent, show, three_digits};
use crate::papers::page::{Block, Section, Table, Text};
use crate::plan::{Opening, Plan, Zone};
use crate::units::Area;

use super::words;

/// The section.
pub fn section(a: &Analysis) -> Section {
    let mut section = Section::new("zones", "Zones and passages");
    section.put(Block::Table(zones(a)));
    section.put(Block::Table(passages(&a.plan)));
    section
}

fn zones(a: &Analysis) -> Table {
    let plan = &a.plan;
    let columns = [
        "zone",
        "made of",
        "inner surface#",
        "windows#",
        "reflects#",
        "heat#",
        "light#",
        "on the windows#",
    ];
    let mut table = Table::of(&columns).caption("Zones, with everything on");
    let all_on = a
        .solution
        .scenes
        .last()
        .and_then(|s| s.outcome.as_ref().ok());
    let figures = all_on.map(|figures| places::zones(plan, figures));
    for (z, zone) in plan.zones.iter().enumerate() {
        let is = figures.as_ref().map(|all| &all[z]);
        let blank = |what: &str, unit| Text::blank(format!("{what} of {}", zone.name.0), unit);
        let area = |area: Option<Area>, what: &str| match area {
            Some(area) => format!("{} cm²", three_digits(area.value * 1e4)).into(),
            None => blank(what, "cm²"),
        };
        table.row([
            (&zone.name).into(),
            made_of(zone),
            area(zone.inside, "inner surface"),
            area(zone.windows, "windows"),
            match zone.reflects {
                Some(part) => percent(part.value).into(),
                None => blank("reflectance", "%"),
            },
            is.map_or(Text::none(), |is| show(is.power).into()),
            match is.and_then(|is| is.light) {
                Some(light) => format!("{} lm", three_digits(light.0)).into(),
                None => blank("light", "lm"),
            },
            match is.and_then(|is| is.on_windows) {
                Some(light) => format!("{} lx", three_digits(light.0)).into(),
                None => Text::none(),
            },
        ]);
    }
    table
}

fn made_of(zone: &Zone) -> Text {
    let material = match zone.material {
        Some(material) => material.into(),
        None => Text::blank(format!("material of {}", zone.name.0), ""),
    };
    let closed = match (zone.sealed, zone.lifts_off) {
        (true, _) => ", sealed",
        (_, true) => ", lifts off",
        _ => "",
    };
    material.and(closed)
}

fn passages(plan: &Plan) -> Table {
    let columns = [
        "passage",
        "between",
        "opening",
        "wires#",
        "smallest round hole#",
    ];
    let mut table = Table::of(&columns).caption("Passages");
    for (passage, (bundle, hole)) in plan.passages.iter().zip(places::passages(plan)) {
        let mm = |length: crate::units::Length| decimals(length.value * 1e3, 2);
        table.row([
            (&passage.name).into(),
            match passage.ends {
                Some((one, other)) => {
                    Text::joined([one, other].map(|z| words::zone_name(plan, z)), " and ")
                }
                None => Text::blank(format!("zones that {} joins", passage.name.0), ""),
            },
            match passage.opening {
                Some(Opening::Bore(bore)) => format!("bore {} mm", mm(bore)).into(),
                Some(Opening::Slot(w, h)) => format!("slot {} by {} mm", mm(w), mm(h)).into(),
                None => Text::blank(format!("opening of {}", passage.name.0), "mm"),
            },
            count(bundle.wires.len(), "wire").into(),
            format!("{} mm", mm(hole)).into(),
        ]);
    }
    table
}
