//! # `zone-too-hot`: a closed room that gets too warm
//!
//! **Warning** when what sits in a zone warms it by more than 15 K (styrene, ABS, resin), by more than 30 K else.
//!
//! ## Why it matters
//!
//! A closed hull holds its heat. Styrene creeps under its own weight long before it softens, resin sags, glue lets go, and lamps age fast when they are warm. That is the
//! average: a resistor or a regulator is much hotter at its own spot, so keep a millimetre of air or a scrap of copper foil under it, and try a closed
//! model for some hours while somebody is there.
//!
//! ## The limit
//!
//! The rise is P / (8 W/m²K · A), with the zone's inner surface A: still air inside and out, thin walls (common practice for small enclosures). P is all
//! power that lights, loads, boards, resistors and the rest take in the zone, typical, in the worst scene; what flashes counts for its duty (half the time where that is not
//! stated). 15 K keep a model that stands in a warm room well under the 70 °C or so at which styrene and ABS begin to give (common practice). A zone that does not say
//! its `inside` is not checked.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! zone saloon inside 40 cm2 material styrene
//! #           ^^^^^^^^^^^^^ zone-too-hot
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load sound draws 45 mA from F1 over 150 mm of fine in saloon
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! zone plinth inside 400 cm2 material wood
//! zone saloon inside 40 cm2 material styrene
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! load sound draws 45 mA from F1 over 150 mm of fine in plinth
//! load voice draws 20 mA from F1 over 150 mm of fine in saloon
//! ```
//!
//! Move what need not sit there, run lamps lower, or let air through.

use super::page::page;
use super::words::{in_scene, list};
use super::{Check, Context, Finding};
use crate::circuit::Figures;
use crate::circuit::heat::{mean_power, rise};
use crate::circuit::places::{ZoneFigures, zones};
use crate::numbers::{decimals, show};
use crate::plan::{ItemId, Severity, Zone, ZoneId};
use crate::syntax::tree::Name;
use crate::units::{Power, TemperatureInterval};

/// A closed room that gets too warm.
pub const CHECK: Check = Check {
    name: "zone-too-hot",
    severities: &[Severity::Warning],
    page: page!("zone_too_hot.rs"),
    check,
    mends: None,
};

/// How many of the warmest are named.
const SHOWN: usize = 3;

/// How much warmer than around it a zone may be, kelvins: plastics creep, wood and metal do not (common practice).
fn limit(zone: &Zone) -> f64 {
    match zone.material {
        Some("styrene" | "abs" | "resin") => 15.0,
        _ => 30.0,
    }
}

/// Kelvins that count as nothing.
const NOTHING: f64 = 1e-6;

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    let mut in_zone: Vec<Vec<ItemId>> = vec![Vec::new(); plan.zones.len()];
    for (i, item) in plan.items.iter().enumerate() {
        if let Some(zone) = item.zone {
            in_zone[zone.0].push(ItemId(i));
        }
    }
    if plan.zones.iter().all(|zone| zone.inside.is_none()) {
        return;
    }
    let scenes: Vec<Scene> = (context.solution.scenes.iter())
        .filter_map(|scene| {
            let figures = scene.outcome.as_ref().ok()?;
            Some((zones(plan, figures), figures, &scene.name))
        })
        .collect();
    for (z, zone) in plan.zones.iter().enumerate() {
        let Some(inside) = zone.inside else { continue };
        let Some((power, figures, scene)) = warmest(&scenes, z) else {
            continue;
        };
        let warmer: TemperatureInterval = rise(power, inside);
        let may = limit(zone);
        if warmer.value <= may + NOTHING {
            continue;
        }
        let powers = in_zone[z]
            .iter()
            .map(|&i| (mean_power(plan, i, figures).value, i));
        let mut most: Vec<(f64, ItemId)> = powers.filter(|(power, _)| *power > 0.0).collect();
        most.sort_by(|(a, _), (b, _)| b.total_cmp(a));
        let makers: Vec<ItemId> = most.into_iter().take(SHOWN).map(|(_, i)| i).collect();
        let message = said(
            context,
            ZoneId(z),
            (power, scene),
            (warmer.value, may),
            &makers,
        );
        let span = context.clause_span(zone.stanza, "inside");
        let mut finding =
            context.on_stanza(CHECK.name, Severity::Warning, zone.stanza, span, message);
        finding.related = makers
            .iter()
            .map(|&i| context.related(i, format!("makes {}", show(mean_power(plan, i, figures)))))
            .collect();
        out.push(finding);
    }
}

fn said(
    context: &Context,
    zone: ZoneId,
    (power, scene): (Power, &Name),
    (warmer, may): (f64, f64),
    makers: &[ItemId],
) -> String {
    // With as many digits as it takes to see that it is over.
    let rise = (0..9)
        .map(|n| decimals(warmer, n))
        .find(|d| *d != decimals(may, 0));
    format!(
        "{} in `{}` warm it by {} K {}; {} K is what it should have. Move some of it out, above all {}.",
        show(power),
        context.plan.zones[zone.0].name.0,
        rise.unwrap_or_else(|| decimals(warmer, 9)),
        in_scene(scene),
        decimals(may, 0),
        list(&context.names(makers))
    )
}

/// What every zone is like in a scene, the scene's figures, its name.
type Scene<'a> = (Vec<ZoneFigures>, &'a Figures, &'a Name);

/// The scene in which most heat is made in a zone, with that.
fn warmest<'a>(scenes: &[Scene<'a>], zone: usize) -> Option<(Power, &'a Figures, &'a Name)> {
    let mut most: Option<(Power, &Figures, &Name)> = None;
    for (zones, figures, name) in scenes {
        let power = zones[zone].power;
        if most.is_none_or(|(m, ..)| power.value > m.value + 1e-9) {
            most = Some((power, figures, name));
        }
    }
    most
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn finds(inside: &str, wiring: &str) -> Vec<Finding> {
        let text = format!(
            "module m works 7 V to 13 V\n  output a 500 mA duty 25 % flash 1 Hz\n  output b 500 mA flash 1 Hz\nzone z {inside}\nzone y inside 1000 cm2\nsupply s 10 V 1 A\n{wiring}\n"
        );
        found(&plan(&text), CHECK.name)
    }

    const LOAD: &str = "load l resistance 1 kohm from s in z"; // 0.1 W

    #[test]
    fn the_limit_is_fifteen_kelvins_in_plastic_and_thirty_else() {
        // 0.1 W / (8 · 15 K) = 8.333 cm², by hand
        for plastic in ["styrene", "abs", "resin"] {
            assert_eq!(
                finds(&format!("inside 8.34 cm2 material {plastic}"), LOAD),
                []
            );
            assert_eq!(
                finds(&format!("inside 8.33 cm2 material {plastic}"), LOAD).len(),
                1
            );
        }
        for other in [" material wood", " material metal", ""] {
            assert_eq!(finds(&format!("inside 4.17 cm2{other}"), LOAD), []);
            assert_eq!(finds(&format!("inside 4.16 cm2{other}"), LOAD).len(), 1);
        }
        assert_eq!(finds("material styrene", LOAD), []);
    }

    #[test]
    fn what_flashes_counts_for_its_duty() {
        let board = |output: &str| {
            format!("board x of m from s in y\nload l resistance 1 kohm from x.{output} in z")
        };
        assert_eq!(finds("inside 2.09 cm2 material abs", &board("a")), []);
        assert_eq!(finds("inside 2.08 cm2 material abs", &board("a")).len(), 1);
        assert_eq!(finds("inside 4.17 cm2 material abs", &board("b")), []);
        assert_eq!(finds("inside 4.16 cm2 material abs", &board("b")).len(), 1);
    }

    #[test]
    fn the_worst_scene_counts_and_the_warmest_are_named() {
        let two = "load l resistance 1 kohm from s in z\nload k resistance 500 ohm from s in z\nscene day off k";
        let findings = finds("inside 4.17 cm2", two);
        assert_eq!(findings.len(), 1);
        let said = &findings[0].message;
        assert!(
            said.starts_with("300 mW in `z` warm it by 90 K with everything on; 30 K"),
            "{said}"
        );
        assert!(said.ends_with("above all `k` and `l`."), "{said}");
        assert_eq!(findings[0].related[0].2, "makes 200 mW");
    }
}
