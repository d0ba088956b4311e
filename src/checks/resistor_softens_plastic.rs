//! # `resistor-softens-plastic`: a resistor too hot for what it lies on
//!
//! **Warning** when the body of a resistor in a zone of styrene, ABS or resin gets hotter than that plastic bears.
//!
//! ## Why it matters
//!
//! A resistor may be quite happy at 100 °C; the deck that it is glued to is not. Styrene dimples and lets the glue go, resin sags, paint turns brown,
//! and once the resistor has sunk in, it is hotter still. Take a size larger, put it outside, or stand it off on its leads in
//! free air.
//!
//! ## The limit
//!
//! The body is taken as hot as the plan's `ambient`, and the rise of its zone where that says its `inside`, and 85 K at the full rating, less in proportion: film resistors
//! are rated at 70 °C around them and stand 155 °C (IEC 60115-1, from memory). Power is the mean over time, typical, in the worst scene. Without a stated rating
//! 1/4 W is taken.
//!
//! Styrene may have 80 °C, ABS 90 °C, resin 60 °C. Common handbooks have styrene soften (Vicat) near 90 °C, ABS near 100 °C, and cast or printed resin give
//! from 65 °C or so (values from memory; resins differ widely, the maker's sheet counts): the limits stay some kelvins below. It is an estimate, for a resistor
//! that touches the plastic. A resistor sits in the zone of its lamp, or, `at start`, in that of what feeds the lamp. One that is `resistor-too-hot` is told there.
//!
//! ## Shown
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone saloon material styrene
//!
//! supply adapter 12 V 1 A
//! joint keel from adapter in saloon
//! lamp mast of pearl resistor 430 ohm from keel
//! #                  ^^^^^^^^^^^^^^^^ resistor-softens-plastic
//! ```
//!
//! ## Mended
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone saloon material styrene
//!
//! supply adapter 12 V 1 A
//! joint keel from adapter in saloon
//! lamp mast of pearl resistor 430 ohm 1/2 W from keel
//! ```

use super::page::page;
use super::resistor_too_hot::{is_too_hot, rating_span, resistor};
use super::words::in_scene;
use super::{Check, Context, Finding, Mend};
use crate::circuit::places::zones;
use crate::circuit::{Figures, duty};
use crate::numbers::{decimals, show};
use crate::plan::{ItemId, Part, Severity, Zone, ZoneId};
use crate::rewrites::resistor_text::ResistorWords;
use crate::rewrites::usual::{rating_words, ratings_from};
use crate::syntax::tree::Name;
use crate::units::{Power, watts};

/// A resistor too hot for what it lies on.
pub const CHECK: Check = Check {
    name: "resistor-softens-plastic",
    severities: &[Severity::Warning],
    page: page!("resistor_softens_plastic.rs"),
    check,
    mends: Some(mends),
};

/// How much hotter than what is around it a film resistor is at its rating, kelvins: 155 °C less 70 °C
/// (IEC 60115-1, from memory).
const AT_RATING: f64 = 85.0;

/// The rating of a resistor that states none, watts (common practice).
const USUAL_RATING: f64 = 0.25;

/// A temperature within so many kelvins of a limit does not pass it.
const NOTHING: f64 = 1e-6;

/// What a plastic bears, °C, with a margin below the softening points of common handbooks (from memory).
fn bears(zone: &Zone) -> Option<f64> {
    match zone.material? {
        "styrene" => Some(80.0),
        "abs" => Some(90.0),
        "resin" => Some(60.0),
        _ => None,
    }
}

/// The zone that a resistor sits in.
fn zone_of(context: &Context, item: ItemId) -> Option<ZoneId> {
    let plan = context.plan;
    let of = &plan.items[item.0];
    match &of.part {
        Part::Lamps {
            resistor: Some(own),
            ..
        } if !own.at_lamp => match &of.feed {
            Some(feed) if feed.run.is_some() => plan.items[feed.from.item.0].zone,
            _ => of.zone,
        },
        _ => of.zone,
    }
}

/// How hot a resistor gets.
struct Hot<'a> {
    /// What it turns into heat, mean over time.
    power: Power,
    /// How warm it is around it, °C.
    around: f64,
    scene: &'a Name,
}

/// The temperature of the body of a resistor of some rating that turns so much power into heat, °C.
fn body(around: f64, power: Power, rating: Power) -> f64 {
    around + AT_RATING * (power / rating).value
}

/// How hot a resistor gets in the scene in which that is most.
fn hottest<'a>(
    context: &Context<'a>,
    rises: &Rises,
    item: ItemId,
    zone: ZoneId,
    rating: Power,
) -> Option<Hot<'a>> {
    let plan = context.plan;
    let (ohms, _) = resistor(context, item)?;
    let share = duty::of_item(plan, item);
    let ambient = plan.settings.ambient;
    let ambient = ambient.get::<uom::si::thermodynamic_temperature::degree_celsius>();
    let mut most: Option<Hot> = None;
    for (s, scene) in context.solution.scenes.iter().enumerate() {
        let Ok(figures) = &scene.outcome else {
            continue;
        };
        let of = &figures.items[item.0];
        let power = match plan.items[item.0].is_light() {
            true => of.amps.typical * of.amps.typical * ohms,
            false => of.watts.typical,
        };
        let here = Hot {
            power: power * share,
            around: ambient + rises.0[s][zone.0],
            scene: &scene.name,
        };
        let body = |hot: &Hot| body(hot.around, hot.power, rating);
        let is_hotter = |m: &Hot| body(&here) > body(m) + NOTHING;
        if most.as_ref().is_none_or(is_hotter) {
            most = Some(here);
        }
    }
    most
}

/// For each scene, how much warmer than around it each zone gets, kelvins; nothing where that is not known.
struct Rises(Vec<Vec<f64>>);

impl Rises {
    fn of(context: &Context) -> Rises {
        let of_scene = |figures: &Figures| {
            let zones = zones(context.plan, figures);
            let kelvins = zones.iter().map(|z| z.rise.map_or(0.0, |rise| rise.value));
            kelvins.collect()
        };
        let scenes = context.solution.scenes.iter();
        let nothing = || vec![0.0; context.plan.zones.len()];
        let all = scenes.map(|s| s.outcome.as_ref().map_or_else(|_| nothing(), of_scene));
        Rises(all.collect())
    }
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    if plan.zones.iter().all(|zone| bears(zone).is_none()) {
        return;
    }
    let rises = Rises::of(context);
    for item in (0..plan.items.len()).map(ItemId) {
        let Some((_, stated)) = resistor(context, item) else {
            continue;
        };
        let Some((zone, may)) = limit(context, item) else {
            continue;
        };
        let rating = stated.unwrap_or(watts(USUAL_RATING));
        let Some(hot) = hottest(context, &rises, item, zone, rating) else {
            continue;
        };
        let body = body(hot.around, hot.power, rating);
        if body <= may + NOTHING || is_too_hot(context, item) {
            continue;
        }
        let whose = match plan.items[item.0].is_light() {
            true => format!("The resistor of {}", context.quoted(item)),
            false => context.quoted(item),
        };
        let of = match stated {
            Some(rating) => format!("one of {}", rating_words(rating)),
            None => "one of 1/4 W, as no rating is stated,".to_owned(),
        };
        let zone = &plan.zones[zone.0];
        let message = format!(
            "{whose} has {} {}: {of} gets about {} °C hot, and {} in `{}` bears {}. Take a larger one, or stand it off in free air.",
            show(hot.power),
            in_scene(hot.scene),
            with_enough_digits(body, may),
            zone.material.unwrap_or("plastic"),
            zone.name.0,
            decimals(may, 0),
        );
        let span = match stated {
            Some(_) => rating_span(context, item),
            None => context.clause_span(plan.items[item.0].stanza, "resistor"),
        };
        out.push(context.on_item(CHECK.name, Severity::Warning, item, span, message));
    }
}

/// A temperature with as many digits as it takes to see that it is over a limit.
fn with_enough_digits(body: f64, may: f64) -> String {
    let mut texts = (0..9).map(|n| decimals(body, n));
    let differs = texts.find(|d| *d != decimals(may, 0));
    differs.unwrap_or_else(|| decimals(body, 9))
}

/// The plastic zone that a resistor sits in, and what that bears.
fn limit(context: &Context, item: ItemId) -> Option<(ZoneId, f64)> {
    let zone = zone_of(context, item)?;
    Some((zone, bears(&context.plan.zones[zone.0])?))
}

/// The next usual rating that stays cool enough, and the one above.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    const OFFERED: usize = 2;
    propose(context, finding)
        .map_or_else(Vec::new, |mends| mends.into_iter().take(OFFERED).collect())
}

fn propose(context: &Context, finding: &Finding) -> Option<Vec<Mend>> {
    let plan = context.plan;
    let rises = Rises::of(context);
    let (mut wanted, mut power, mut around) = (watts(0.0), watts(0.0), 0.0);
    for &item in &finding.about {
        let (zone, may) = limit(context, item)?;
        let (_, stated) = resistor(context, item)?;
        let rating = stated.unwrap_or(watts(USUAL_RATING));
        let hot = hottest(context, &rises, item, zone, rating)?;
        if hot.around >= may {
            return None; // no resistor is cool enough there
        }
        let needs = hot.power * (AT_RATING / (may - hot.around));
        if needs > wanted {
            (wanted, power, around) = (needs, hot.power, hot.around);
        }
    }
    let &item = finding.about.first()?;
    let (_, stated) = resistor(context, item)?;
    let written = ResistorWords::of(plan, item)?;
    let mend = |(rating, words): (Power, &str)| {
        let body = decimals(body(around, power, rating), 0);
        let instead = stated.map_or_else(String::new, |old| {
            format!(" instead of {}", rating_words(old))
        });
        Mend {
            title: format!("{words}{instead}: about {body} °C hot"),
            edits: written.put(plan, None, Some(words)),
            told: Vec::new(),
        }
    };
    Some(ratings_from(wanted).map(mend).collect())
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn text(zone: &str, resistor: &str) -> String {
        format!(
            "module m works 4 V to 30 V\n  output a 500 mA duty 50 %\nzone z {zone}\nzone open\nsupply s 20 V 1 A tolerance 0 %\njoint j from s in open\n{resistor}\n"
        )
    }

    fn said(zone: &str, resistor: &str) -> Vec<String> {
        let findings = found(&plan(&text(zone, resistor)), CHECK.name);
        findings.into_iter().map(|f| f.message).collect()
    }

    fn finds(zone: &str, resistor: &str) -> bool {
        !said(zone, resistor).is_empty()
    }

    /// A resistor in the zone that turns so many milliwatts into heat: 20 V over it.
    fn makes(milliwatts: f64) -> String {
        format!(
            "resistor r {} ohm from j in z\nload short resistance 0 ohm from r",
            400_000.0 / milliwatts
        )
    }

    #[test]
    fn each_plastic_has_its_limit() {
        // By hand, at 20 °C and 1/4 W: 20 K + 85 K · P / 250 mW.
        for (material, most) in [("styrene", 176.47), ("abs", 205.88), ("resin", 117.64)] {
            let zone = format!("material {material}");
            assert!(!finds(&zone, &makes(most - 0.1)), "{material}");
            assert!(finds(&zone, &makes(most + 0.1)), "{material}");
        }
        for zone in ["material wood", "material metal", ""] {
            assert!(!finds(zone, &makes(230.0)), "{zone}");
        }
    }

    #[test]
    fn the_rating_the_room_and_the_zone_count() {
        let half = makes(300.0).replace("ohm from j", "ohm 1 W from j");
        assert!(!finds("material styrene", &half));
        // Over 60 % of a stated rating is told as `resistor-too-hot`.
        let quarter = makes(180.0).replace("ohm from j", "ohm 1/4 W from j");
        assert!(!finds("material styrene", &quarter));
        // 280 mW of 1/2 W are 47.6 K; in 25 cm2 they make 14 K more by P/(8·A).
        let half = makes(280.0).replace("ohm from j", "ohm 1/2 W from j");
        assert!(!finds("material styrene", &half));
        assert!(finds("material styrene inside 25 cm2", &half));
        assert!(!finds("material styrene inside 2500 cm2", &half));
        let warm = |degrees: u32| {
            let text = text("material styrene", &half);
            let text = format!("harness \"h\" ambient {degrees} degC\n{text}");
            found(&plan(&text), CHECK.name).len()
        };
        assert_eq!((warm(32), warm(33)), (0, 1));
    }

    #[test]
    fn duty_counts() {
        let with = |point: &str| {
            let wiring = makes(220.0).replace("from j in z", &format!("from {point} in z"));
            finds(
                "material styrene",
                &format!("board b of m from j\n{wiring}"),
            )
        };
        assert!(with("j"));
        assert!(!with("b.a"));
    }

    const LAMP: &str = "led p drops 3.0 V at 20 mA limit 25 mA\nwire w gauge 30 AWG\n";

    #[test]
    fn it_sits_where_it_is_soldered() {
        let with = |resistor: &str, from: &str| {
            finds(
                "material styrene",
                &format!(
                    "{LAMP}joint in-z from j in z\nlamp l of p resistor 820 ohm {resistor} {from}"
                ),
            )
        };
        // 20.7 mA through 820 ohm: 0.35 W.
        let from_open = "from j over 50 mm of w in z";
        assert!(!with("", from_open));
        assert!(with("at lamp", from_open));
        let from_z = "from in-z over 50 mm of w in open";
        assert!(with("", from_z));
        assert!(!with("at lamp", from_z));
        assert!(with("", "from in-z"));
    }

    #[test]
    fn the_next_rating_that_stays_cool_is_offered() {
        let before = text("material styrene", &makes(200.0));
        assert_eq!(
            mended(&plan(&before), CHECK.name).unwrap(),
            before.replace("ohm from j", "ohm 1/2 W from j")
        );
        let said = said("material styrene", &makes(200.0));
        assert_eq!(
            said[0],
            "`r` has 200 mW with everything on: one of 1/4 W, as no rating is stated, gets about 88 °C hot, and styrene in `z` bears 80. Take a larger one, or stand it off in free air."
        );
    }
}
