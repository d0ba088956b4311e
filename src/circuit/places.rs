//! Laws 11 and 12 for the places of a plan: the light and the warmth of each zone, the bundle in each passage.

use super::bundle::{Bundle, bundles, smallest_hole};
use super::figures::Figures;
use super::heat::{mean_power, rise};
use super::light::{Illuminance, flux, on_windows};
use crate::plan::{ItemId, Plan};
use crate::units::{Length, LuminousFlux, Power, TemperatureInterval, watts};

/// What a zone is like in one scene, typical.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneFigures {
    /// What the lights in it that are lit give; `None` where one of them does not say what it gives.
    pub light: Option<LuminousFlux>,
    /// The light on its windows; `None` without that, without windows, and where its inner surface is not stated.
    pub on_windows: Option<Illuminance>,
    /// The heat and light that is made in it over time, what flashes counted for the part that it is on.
    pub power: Power,
    /// How much warmer that makes it; `None` where its inner surface is not stated.
    pub rise: Option<TemperatureInterval>,
}

/// Every zone of a plan, in its order.
pub fn zones(plan: &Plan, figures: &Figures) -> Vec<ZoneFigures> {
    let mut light = vec![Some(LuminousFlux(0.0)); plan.zones.len()];
    let mut power = vec![watts(0.0); plan.zones.len()];
    for (i, (item, own)) in plan.items.iter().zip(figures.items.iter()).enumerate() {
        let Some(zone) = item.zone else { continue };
        power[zone.0] += mean_power(plan, ItemId(i), figures);
        if item.is_light() && own.reached {
            let more = flux(plan, ItemId(i), own);
            let so_far = &mut light[zone.0];
            *so_far = so_far.zip(more).map(|(a, b)| LuminousFlux(a.0 + b.0));
        }
    }
    let of = |((zone, light), power): ((&_, Option<LuminousFlux>), Power)| {
        let zone: &crate::plan::Zone = zone;
        ZoneFigures {
            light,
            on_windows: light.and_then(|light| on_windows(zone, light)),
            power,
            rise: zone.inside.map(|inside| rise(power, inside)),
        }
    };
    plan.zones.iter().zip(light).zip(power).map(of).collect()
}

/// The bundle in every passage of a plan, in its order, with the smallest round hole that it goes through.
pub fn passages(plan: &Plan) -> Vec<(Bundle, Length)> {
    let holes = bundles(plan).into_iter();
    holes
        .map(|bundle| {
            let hole = smallest_hole(&bundle.wires);
            (bundle, hole)
        })
        .collect()
}
