//! Law 11, light: what a light gives, and how bright the windows of a zone are lit from within.
//!
//! A light gives its `gives` scaled by its solved current. With the inner surface A, the reflectance ρ and windows of the
//! area w, the light Φ makes E = Φ/A · 1/(1 − ρ(1 − w/A)) on the windows: the lit cavity of the textbooks.

use crate::plan::{Gives, ItemId, Part, Plan, Zone};
use crate::units::{Angle, LuminousFlux, LuminousIntensity};

use super::figures::ItemFigures;

/// Light on a surface, lux (`uom` has no quantity of this name).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
pub struct Illuminance(pub f64);

/// What walls reflect that state no finish: as bare ones.
pub const UNSTATED_FINISH: f64 = 0.40;

/// What a light gives at its typical current; `None` where its stock does not state `gives`, or it is no light.
pub fn flux(plan: &Plan, item: ItemId, figures: &ItemFigures) -> Option<LuminousFlux> {
    let amps = figures.amps.typical;
    match &plan.items[item.0].part {
        Part::Strip { tape, .. } => {
            // Each group gives its part of the current's.
            let tape = &plan.tapes[tape.0];
            Some(LuminousFlux(tape.gives?.0 * (amps / tape.draws).value))
        }
        Part::Lamps { led, count, .. } => {
            let led = &plan.leds[led.0];
            let each = match led.gives? {
                Gives::Flux(flux) => flux,
                Gives::Beam(intensity, angle) => cone(intensity, angle),
            };
            let share = (amps / led.curve.stated_amps).value;
            Some(LuminousFlux(each.0 * share * f64::from(*count)))
        }
        _ => None,
    }
}

/// The light of a beam of one intensity within a cone of this full angle: 2π·(1 − cos(θ/2))·I (the solid angle of a
/// cone, elementary geometry).
pub fn cone(intensity: LuminousIntensity, angle: Angle) -> LuminousFlux {
    let solid = std::f64::consts::TAU * (1.0 - libm::cos(angle.value / 2.0));
    LuminousFlux(solid * intensity.value)
}

/// The light on a zone's windows; `None` where it has none, or its inner surface is not stated.
pub fn on_windows(zone: &Zone, flux: LuminousFlux) -> Option<Illuminance> {
    let (inside, windows) = (zone.inside?.value, zone.windows?.value);
    if windows <= 0.0 {
        return None;
    }
    let reflects = zone.reflects.map_or(UNSTATED_FINISH, |r| r.value);
    let walls = 1.0 - (windows / inside).min(1.0);
    Some(Illuminance(flux.0 / inside / (1.0 - reflects * walls)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{FileId, StanzaId};
    use crate::syntax::tree::Name;
    use crate::units::{candela, radians, ratio, square_metres};

    fn zone(inside: f64, windows: f64, reflects: Option<f64>) -> Zone {
        let stanza = StanzaId {
            file: FileId(0),
            index: 0,
        };
        Zone {
            name: Name("z".into()),
            stanza,
            inside: Some(square_metres(inside)),
            windows: Some(square_metres(windows)),
            reflects: reflects.map(ratio),
            material: None,
            sealed: false,
            lifts_off: false,
            as_bright_as: None,
        }
    }

    /// The example of `docs/physics.md`, by hand: 20 / 0.032 / (1 − 0.85 · 0.8) = 1953 lx.
    #[test]
    fn a_lit_cavity_by_hand() {
        let lux = on_windows(&zone(0.032, 0.0064, Some(0.85)), LuminousFlux(20.0)).unwrap();
        assert!((lux.0 - 1953.125).abs() < 1e-9);
        // A box that is all window reflects nothing: Φ/A.
        let open = on_windows(&zone(0.01, 0.01, Some(0.85)), LuminousFlux(1.0)).unwrap();
        assert!((open.0 - 100.0).abs() < 1e-9);
        assert_eq!(on_windows(&zone(0.01, 0.0, None), LuminousFlux(1.0)), None);
    }

    /// A source of 1 cd in all directions gives 4π lm, in a half space 2π lm (definition of the lumen, SI).
    #[test]
    fn a_beam_fills_its_cone() {
        let tau = std::f64::consts::TAU;
        assert!((cone(candela(1.0), radians(tau)).0 - 2.0 * tau).abs() < 1e-12);
        assert!((cone(candela(1.0), radians(tau / 2.0)).0 - tau).abs() < 1e-12);
    }
}
