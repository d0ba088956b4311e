//! # `zone-uneven`: windows that differ in brightness
//!
//! For zones that are to look alike (`as bright as`): **warning** when the light on their windows differs by more than a factor of 1.5, **hint** above
//! 1.2. For other zones that a passage joins, both with windows: **hint** above 3.
//!
//! ## Why it matters
//!
//! Two decks of one saloon with the same windows are seen side by side, and the eye is quick to see that one is brighter. Room by room on the bench it
//! is hard to see.
//!
//! ## The limit
//!
//! A factor of 1.2 can just be seen side by side, 1.5 is plain, and above 3 a room looks lit by another kind of light (common practice).
//! The light on the windows is that of a lit cavity (textbook): Φ/A · 1/(1 − ρ(1 − w/A)), with the inner surface A, the windows w and what the
//! walls reflect, ρ; walls that say no `finish` count as bare. A light gives its `gives` scaled by its current. Compared are the typical figures of
//! the scenes in which all lights of both zones are on; zones that say no size, or with a light that says nothing of what it `gives`, are not compared.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white gives 5 lm
//! zone saloon inside 160 cm2 windows 30 cm2 finish white
//! zone lounge inside 160 cm2 windows 30 cm2 finish white as bright as saloon
//! #                                                      ^^^^^^^^^^^^^^^^^^^ zone-uneven
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! lamp table of pearl resistor 560 ohm from F1 over 150 mm of fine in saloon
//! lamp shelf of pearl resistor 560 ohm from F1 over 190 mm of fine in saloon
//! lamp piano of pearl resistor 560 ohm from F1 over 220 mm of fine in lounge
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white gives 5 lm
//! zone saloon inside 160 cm2 windows 30 cm2 finish white
//! zone lounge inside 160 cm2 windows 30 cm2 finish white as bright as saloon
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! lamp table of pearl resistor 560 ohm from F1 over 150 mm of fine in saloon
//! lamp shelf of pearl resistor 560 ohm from F1 over 190 mm of fine in saloon
//! lamp piano of pearl resistor 560 ohm from F1 over 220 mm of fine in lounge
//! lamp podium of pearl resistor 560 ohm from F1 over 250 mm of fine in lounge
//! ```

use std::collections::BTreeSet;

use super::page::page;
use super::words::in_scene;
use super::zone_light::{lights_by_zone, lit};
use super::{Check, Context, Finding};
use crate::circuit::light::Illuminance;
use crate::numbers::three_digits;
use crate::plan::{ItemId, Severity, ZoneId};
use crate::syntax::tree::Name;

/// Windows that differ in brightness.
pub const CHECK: Check = Check {
    name: "zone-uneven",
    severities: &[Severity::Warning, Severity::Hint],
    page: page!("zone_uneven.rs"),
    check,
    mends: None,
};

/// By what factor zones that are to look alike may differ: plainly seen, just seen.
const ALIKE: (f64, f64) = (1.5, 1.2);

/// By what factor other zones that a passage joins may differ.
const JOINED: f64 = 3.0;

/// Factors that differ by less are the same.
const NOTHING: f64 = 1e-6;

/// How two zones differ where they do most.
struct Difference {
    factor: f64,
    brighter: (ZoneId, Illuminance),
    darker: (ZoneId, Illuminance),
    scene: Name,
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    if context.has_errors_of_reading() {
        return; // a light may be among what could not be read
    }
    let lights = lights_by_zone(context);
    let mut compared: BTreeSet<(ZoneId, ZoneId)> = BTreeSet::new();
    for (z, zone) in plan.zones.iter().enumerate() {
        let Some(other) = zone.as_bright_as.filter(|o| o.0 != z) else {
            continue;
        };
        compared.insert(in_order(ZoneId(z), other));
        let Some(difference) = difference(context, &lights, ZoneId(z), other) else {
            continue;
        };
        let severity = match difference.factor {
            f if f > ALIKE.0 + NOTHING => Severity::Warning,
            f if f > ALIKE.1 + NOTHING => Severity::Hint,
            _ => continue,
        };
        let span = context.clause_span(zone.stanza, "as");
        let message = difference.said(context, "They are to look alike: even out the lights.");
        let mut finding = context.on_stanza(CHECK.name, severity, zone.stanza, span, message);
        finding.related = vec![stands(context, other)];
        out.push(finding);
    }
    for (a, b) in plan.passages.iter().filter_map(|p| p.ends) {
        if a == b || !compared.insert(in_order(a, b)) {
            continue;
        }
        let Some(difference) =
            difference(context, &lights, a, b).filter(|d| d.factor > JOINED + NOTHING)
        else {
            continue;
        };
        let darker = difference.darker.0;
        let stanza = plan.zones[darker.0].stanza;
        let span = context.clause_span(stanza, "windows");
        let message = difference.said(context, "Even out the lights, unless it is meant.");
        let mut finding = context.on_stanza(CHECK.name, Severity::Hint, stanza, span, message);
        finding.related = vec![stands(context, difference.brighter.0)];
        out.push(finding);
    }
}

fn in_order(a: ZoneId, b: ZoneId) -> (ZoneId, ZoneId) {
    (a.min(b), a.max(b))
}

fn stands(context: &Context, zone: ZoneId) -> (crate::plan::StanzaId, crate::text::Span, String) {
    let stanza = context.plan.zones[zone.0].stanza;
    (stanza, context.name_span(stanza), "the other zone".into())
}

/// How two zones differ in the scene in which they do most; `None` where they cannot be compared.
fn difference(
    context: &Context,
    lights: &[Vec<ItemId>],
    a: ZoneId,
    b: ZoneId,
) -> Option<Difference> {
    if lights[a.0].is_empty() || lights[b.0].is_empty() {
        return None; // `zone-dark`
    }
    let mut most: Option<Difference> = None;
    for scene in &context.solution.scenes {
        let Ok(figures) = &scene.outcome else {
            continue;
        };
        let (Some(of_a), Some(of_b)) = (
            lit(context, a, &lights[a.0], figures),
            lit(context, b, &lights[b.0], figures),
        ) else {
            continue;
        };
        let (brighter, darker) = match of_a >= of_b {
            true => ((a, of_a), (b, of_b)),
            false => ((b, of_b), (a, of_a)),
        };
        if brighter.1.0 <= 0.0 {
            continue;
        }
        let factor = brighter.1.0 / darker.1.0;
        if most.as_ref().is_none_or(|m| factor > m.factor + NOTHING) {
            most = Some(Difference {
                factor,
                brighter,
                darker,
                scene: scene.name.clone(),
            });
        }
    }
    most
}

impl Difference {
    fn said(&self, context: &Context, what_to_do: &str) -> String {
        let name = |zone: ZoneId| &*context.plan.zones[zone.0].name.0;
        let lux = |light: Illuminance| format!("{:.0} lx", light.0);
        let times = match self.factor.is_finite() {
            true => format!("{} times as bright as", three_digits(self.factor)),
            false => "lit, not so".to_owned(),
        };
        format!(
            "The windows of `{}` are {times} those of `{}` {}, {} to {}. {what_to_do}",
            name(self.brighter.0),
            name(self.darker.0),
            in_scene(&self.scene),
            lux(self.brighter.1),
            lux(self.darker.1)
        )
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    /// Two rooms alike, so many loads of light in each; one lamp is a fifth of a room's five.
    fn finds(a: u32, b: u32, rooms: &str, gives: &str) -> Vec<(Severity, String)> {
        let mut text = format!(
            "led p drops 3 V at 20 mA {gives}\nsupply s 9 V 10 A\n{}\n",
            rooms.replace("SIZE", "inside 100 cm2 windows 20 cm2")
        );
        for (zone, count) in [("a", a), ("b", b)] {
            for n in 0..count {
                text += &format!("lamp {zone}{n} of p resistor 560 ohm from s in {zone}\n");
            }
        }
        let findings = found(&plan(&text), CHECK.name);
        findings
            .into_iter()
            .map(|f| (f.severity, f.message))
            .collect()
    }

    const ALIKE: &str = "zone a SIZE\nzone b SIZE as bright as a";
    const JOINED: &str = "zone a SIZE\nzone b SIZE\npassage door between a and b bore 3 mm";

    fn severities(found: Vec<(Severity, String)>) -> Vec<Severity> {
        found.into_iter().map(|f| f.0).collect()
    }

    #[test]
    fn rooms_that_are_to_look_alike_may_differ_by_a_fifth() {
        let of = |a, b| severities(finds(a, b, ALIKE, "gives 5 lm"));
        assert_eq!(of(6, 5), []);
        assert_eq!(of(5, 4), [Severity::Hint]);
        assert_eq!(of(3, 2), [Severity::Hint]);
        assert_eq!(of(8, 5), [Severity::Warning]);
        assert_eq!(of(5, 8), [Severity::Warning]);
        let said = &finds(2, 1, ALIKE, "gives 5 lm")[0].1;
        assert!(
            said.contains("`a` are 2 times as bright as those of `b` with everything on"),
            "{said}"
        );
    }

    #[test]
    fn other_rooms_may_differ_by_three() {
        let of = |a, b| severities(finds(a, b, JOINED, "gives 5 lm"));
        assert_eq!(of(3, 1), []);
        assert_eq!(of(4, 1), [Severity::Hint]);
        assert_eq!(
            severities(finds(4, 1, "zone a SIZE\nzone b SIZE", "gives 5 lm")),
            []
        );
    }

    #[test]
    fn what_is_not_known_is_not_compared() {
        assert_eq!(severities(finds(4, 1, ALIKE, "")), []);
        assert_eq!(severities(finds(4, 0, ALIKE, "gives 5 lm")), []);
        let no_windows = "zone a inside 100 cm2\nzone b SIZE as bright as a";
        assert_eq!(severities(finds(4, 1, no_windows, "gives 5 lm")), []);
    }

    #[test]
    fn a_scene_with_one_room_off_is_no_difference() {
        let rooms = format!("{ALIKE}\nscene night off b0\nscene late off a0");
        assert_eq!(severities(finds(1, 1, &rooms, "gives 5 lm")), []);
    }

    #[test]
    fn a_darker_finish_makes_a_darker_room() {
        // 1/(1 − 0.85·0.8) = 3.125 against 1/(1 − 0.05·0.8) = 1.042: three times.
        let rooms = "zone a SIZE finish white\nzone b SIZE finish black as bright as a";
        let said = finds(1, 1, rooms, "gives 5 lm");
        assert_eq!(said[0].0, Severity::Warning);
        assert!(said[0].1.contains("3 times as bright"), "{}", said[0].1);
    }
}
