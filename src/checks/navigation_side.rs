//! # `navigation-side`: red and green on the wrong sides
//!
//! **Warning** when of two lights whose names are alike but for the side the one on starboard is red and the one on port green.
//!
//! ## Why it matters
//!
//! A sidelight tells others which way a ship is heading. Everybody who has been to sea, or sat at the window of a night flight, sees at once
//! that the model goes astern.
//!
//! ## The limit
//!
//! Green to starboard, red to port: rule 21(b) of the International Regulations for Preventing Collisions at Sea, 1972; the position lights of aircraft are
//! the same. Sides are read from names alone: `port`, `starboard` or `stbd` as a whole word between `-`, `_` and `.`, in the light's own
//! name, its copy's, or else its zone's. Only a pair is judged, whose names are alike but for the side, a number or a single letter, so that a
//! red lamp on the starboard wing may be a beacon. Marks ashore and afloat are left alone, for in half of the world they
//! stand the other way round (region B of the IALA buoyage): names with `buoy`, `mark`, `pier`, `mole`, `jetty`, `breakwater`, `channel`, `entrance`
//! or `harbour` in them.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led ruby drops 2.0 V at 20 mA limit 25 mA colour red
//! led jade drops 3.1 V at 20 mA limit 25 mA colour green
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! lamp sidelight-port of jade resistor 560 ohm from F1 over 150 mm of fine
//! lamp sidelight-starboard of ruby resistor 680 ohm from F1 over 150 mm of fine
//! #                           ^^^^ navigation-side
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led ruby drops 2.0 V at 20 mA limit 25 mA colour red
//! led jade drops 3.1 V at 20 mA limit 25 mA colour green
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! lamp sidelight-port of ruby resistor 680 ohm from F1 over 150 mm of fine
//! lamp sidelight-starboard of jade resistor 560 ohm from F1 over 150 mm of fine
//! ```
//!
//! Each lamp takes its resistor along.

use std::collections::BTreeMap;

use super::page::page;
use super::{Check, Context, Finding, Mend};
use crate::plan::{Edit, ItemId, Part, Plan, Severity, StanzaId};
use crate::rewrites::hold_columns;
use crate::text::Span;

/// Red and green on the wrong sides.
pub const CHECK: Check = Check {
    name: "navigation-side",
    severities: &[Severity::Warning],
    page: page!("navigation_side.rs"),
    check,
    mends: Some(mends),
};

/// Words in the names of marks, which may stand the other way round.
const MARKS: [&str; 11] = [
    "buoy",
    "buoys",
    "mark",
    "pier",
    "mole",
    "jetty",
    "breakwater",
    "channel",
    "entrance",
    "harbour",
    "harbor",
];

/// A side of a vessel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    Port,
    Starboard,
}

/// A colour that says a side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Colour {
    Red,
    Green,
}

/// What is left of a name without the side, numbers and single letters; with the zone's, where that says the side.
type Stem = (Vec<String>, Vec<String>);

fn words(name: &str) -> impl Iterator<Item = String> + '_ {
    let words = name.split(['-', '_', '.']).filter(|w| !w.is_empty());
    words.map(str::to_lowercase)
}

fn side_of(word: &str) -> Option<Side> {
    match word {
        "port" => Some(Side::Port),
        "starboard" | "stbd" => Some(Side::Starboard),
        _ => None,
    }
}

/// The side that a name says; `None` for none, and for both.
fn side(name: &str) -> Option<Side> {
    let mut sides = words(name).filter_map(|w| side_of(&w));
    let first = sides.next()?;
    sides.all(|s| s == first).then_some(first)
}

fn stem(name: &str) -> Vec<String> {
    let idle = |w: &String| {
        side_of(w).is_some() || w.chars().count() == 1 || w.chars().all(|c| c.is_ascii_digit())
    };
    words(name).filter(|w| !idle(w)).collect()
}

/// The side of a light, and what its name has in common with that of its counterpart.
fn placed(plan: &Plan, light: ItemId) -> Option<(Side, Stem)> {
    let item = &plan.items[light.0];
    let own = &*item.name.0;
    let zone = item.zone.map_or("", |z| &*plan.zones[z.0].name.0);
    if words(own).chain(words(zone)).any(|w| MARKS.contains(&&*w)) {
        return None;
    }
    // In two copies of a pattern the same piece has the same name behind that of the copy.
    let copy = item.copy.map_or("", |c| &*plan.items[c.0].name.0);
    let piece = own.strip_prefix(copy).unwrap_or(own);
    match (side(own), side(zone)) {
        (Some(a), Some(b)) if a != b => None,
        (Some(side), _) => Some((side, (stem(own), Vec::new()))),
        (None, Some(side)) => Some((side, (stem(piece), stem(zone)))),
        (None, None) => None,
    }
}

fn colour(plan: &Plan, light: ItemId) -> Option<Colour> {
    let colour = match plan.items[light.0].part {
        Part::Strip { tape, .. } => plan.tapes[tape.0].colour,
        Part::Lamps { led, .. } => plan.leds[led.0].colour,
        _ => None,
    };
    match colour {
        Some("red") => Some(Colour::Red),
        Some("green") => Some(Colour::Green),
        _ => None,
    }
}

/// Each pair on the wrong sides: the red light on starboard, the green one on port.
fn swapped(plan: &Plan) -> Vec<(ItemId, ItemId)> {
    let mut pairs: BTreeMap<Stem, Vec<(Side, Colour, ItemId)>> = BTreeMap::new();
    for light in plan.lights() {
        if let Some(colour) = colour(plan, light)
            && let Some((side, stem)) = placed(plan, light)
        {
            pairs.entry(stem).or_default().push((side, colour, light));
        }
    }
    let pair = |all: Vec<(Side, Colour, ItemId)>| match all[..] {
        [
            (Side::Port, Colour::Green, green),
            (Side::Starboard, Colour::Red, red),
        ]
        | [
            (Side::Starboard, Colour::Red, red),
            (Side::Port, Colour::Green, green),
        ] => Some((red, green)),
        _ => None,
    };
    pairs.into_values().filter_map(pair).collect()
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    for (red, green) in swapped(plan) {
        let message = format!(
            "{} is red and {} green. Sidelights are green to starboard and red to port: swap them.",
            context.quoted(red),
            context.quoted(green)
        );
        let stanza = plan.items[red.0].stanza;
        let span = context.head_span(stanza, 1);
        let mut finding = context.on_item(CHECK.name, Severity::Warning, red, span, message);
        let copy = plan.items[green.0].copy;
        finding.related = vec![context.related(copy.unwrap_or(green), "green to port")];
        out.push(finding);
    }
}

/// Each light is of the other's stock, with the other's resistor; or of the other's stock alone.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let plan = context.plan;
    let pair = swapped(plan)
        .into_iter()
        .find(|(red, _)| finding.about.first() == Some(red));
    let Some((red, green)) = pair else {
        return Vec::new();
    };
    let Some(stock) = stock_word(plan, red).zip(stock_word(plan, green)) else {
        return Vec::new();
    };
    let title = |what: &str| {
        format!(
            "swap {what} of {} and {}: green to starboard, red to port",
            context.name(red),
            context.name(green)
        )
    };
    let mut mends = Vec::new();
    if let Some(resistors) = resistor_words(plan, red).zip(resistor_words(plan, green)) {
        let edits = swap(plan, &[stock, resistors]);
        mends.push((title("the lamps and resistors"), edits));
    }
    mends.push((title("the stock"), swap(plan, &[stock])));
    let mends = mends.into_iter();
    mends
        .map(|(title, edits)| Mend {
            title,
            edits,
            told: Vec::new(),
        })
        .collect()
}

type Words = (StanzaId, Span);

/// Where it is written of which stock a light is: in its stanza; for a piece whose pattern leaves it open, in its copy.
fn stock_word(plan: &Plan, light: ItemId) -> Option<Words> {
    let item = &plan.items[light.0];
    let (stock, name) = match item.part {
        Part::Strip { tape, .. } => (plan.tapes[tape.0].stanza, &plan.tapes[tape.0].name),
        Part::Lamps { led, .. } => (plan.leds[led.0].stanza, &plan.leds[led.0].name),
        _ => return None,
    };
    let place = match item.copy {
        Some(copy) => plan.items[copy.0].stanza,
        None => item.stanza,
    };
    let tree = plan.stanza(place);
    let mut here = (plan.references.iter())
        .filter(|r| r.stanza == place && r.definition == stock)
        .filter(|r| tree.words(r.span) == &*name.0)
        .map(|r| (place, r.span));
    let first = here.next()?;
    // Where a copy puts the same stock to two words, it cannot be told which is meant.
    here.all(|other| other == first).then_some(first)
}

/// Where the resistor of a light that is no piece stands.
fn resistor_words(plan: &Plan, light: ItemId) -> Option<Words> {
    let item = &plan.items[light.0];
    let clause = plan.stanza(item.stanza).clause("resistor")?;
    item.copy.is_none().then_some((item.stanza, clause.span))
}

/// The edits that put words in each other's place.
fn swap(plan: &Plan, pairs: &[(Words, Words)]) -> Vec<Edit> {
    let mut by_stanza: BTreeMap<StanzaId, Vec<Edit>> = BTreeMap::new();
    for &(a, b) in pairs {
        for ((stanza, span), (from, words)) in [(a, b), (b, a)] {
            by_stanza.entry(stanza).or_default().push(Edit {
                stanza,
                span,
                text: plan.stanza(from).words(words).to_owned(),
            });
        }
    }
    let edits = by_stanza.into_iter();
    edits
        .flat_map(|(stanza, edits)| hold_columns(plan, stanza, edits))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const STOCK: &str = "led ruby drops 2 V at 20 mA colour red\nled jade drops 3.1 V at 20 mA colour green\nled pearl drops 3 V at 20 mA colour white\ntape scarlet group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour red\nzone wing-port\nzone wing-starboard\nzone hold\nsupply s 12 V 1 A\n";

    fn lamps(lamps: &[(&str, &str, &str)]) -> String {
        let lamp = |(name, stock, place): &(&str, &str, &str)| {
            format!("lamp {name} of {stock} resistor 1 kohm from s {place}\n")
        };
        lamps.iter().map(lamp).collect()
    }

    fn finds(wiring: &str) -> usize {
        found(&plan(&format!("{STOCK}{wiring}")), CHECK.name).len()
    }

    #[test]
    fn a_pair_on_the_wrong_sides() {
        let pair = |a: &str, b: &str| finds(&lamps(&[(a, "jade", ""), (b, "ruby", "")]));
        assert_eq!(pair("side-port", "side-starboard"), 1);
        assert_eq!(pair("port", "starboard"), 1);
        assert_eq!(pair("Port_side", "stbd_side"), 1);
        assert_eq!(pair("tip-1-port", "tip-2-starboard"), 1);
        // The right way round.
        assert_eq!(pair("side-starboard", "side-port"), 0);
        // No pair, and no sides.
        assert_eq!(pair("side-port", "beacon-starboard"), 0);
        assert_eq!(pair("side-left", "side-right"), 0);
        assert_eq!(pair("portal", "starboards"), 0);
        assert_eq!(pair("port-starboard-a", "port-starboard-b"), 0);
    }

    #[test]
    fn one_red_lamp_is_a_beacon() {
        assert_eq!(finds(&lamps(&[("tip-starboard", "ruby", "")])), 0);
        let beacons = [("tip-starboard", "ruby", ""), ("tip-port", "ruby", "")];
        assert_eq!(finds(&lamps(&beacons)), 0);
        let white = [("tip-starboard", "ruby", ""), ("tip-port", "pearl", "")];
        assert_eq!(finds(&lamps(&white)), 0);
    }

    #[test]
    fn marks_may_stand_the_other_way_round() {
        let marks = [("pier-port", "jade", ""), ("pier-starboard", "ruby", "")];
        assert_eq!(finds(&lamps(&marks)), 0);
    }

    #[test]
    fn the_zone_says_the_side_of_lights_that_are_called_alike() {
        let tips = |a: &str, b: &str| {
            finds(&lamps(&[
                (a, "jade", "in wing-port"),
                (b, "ruby", "in wing-starboard"),
            ]))
        };
        assert_eq!(tips("tip-a", "tip-b"), 1);
        assert_eq!(tips("radar", "stove"), 0);
        // The name and the zone disagree.
        assert_eq!(tips("tip-starboard", "tip-port"), 0);
    }

    #[test]
    fn a_strip_is_a_light_too() {
        let strip = "lamp rail-port of jade resistor 560 ohm from s\nstrip rail-starboard of scarlet 3 lamps from s\n";
        assert_eq!(finds(strip), 1);
    }

    const WINGS: &str = "pattern w needs lens\nlamp w.tip of w.lens resistor 1 kohm from w\n";

    #[test]
    fn copies_swap_what_they_are_given() {
        let wings = |port: &str, starboard: &str| {
            format!(
                "{STOCK}{WINGS}copy port of w from s where lens {port}\ncopy starboard of w from s where lens {starboard}\n"
            )
        };
        let analysis = plan(&wings("jade", "ruby"));
        let finding = &found(&analysis, CHECK.name)[0];
        assert_eq!(&*finding.item.as_ref().unwrap().0, "starboard");
        assert_eq!(
            mended(&analysis, CHECK.name).unwrap(),
            wings("ruby", "jade")
        );
        assert_eq!(found(&plan(&wings("ruby", "jade")), CHECK.name), []);
    }

    #[test]
    fn the_resistors_go_along() {
        let pair = |port: &str, starboard: &str| {
            format!("{STOCK}lamp a-port of {port} from s\nlamp a-starboard of {starboard} from s\n")
        };
        assert_eq!(
            mended(
                &plan(&pair("jade resistor 560 ohm", "ruby resistor 680 ohm")),
                CHECK.name
            )
            .unwrap(),
            pair("ruby resistor 680 ohm", "jade resistor 560 ohm")
        );
    }
}
