//! What the checks of light in zones share.

use super::Context;
use crate::circuit::Figures;
use crate::circuit::light::{Illuminance, flux, on_windows};
use crate::plan::{ItemId, ZoneId};
use crate::units::LuminousFlux;

/// The lights that sit in each zone.
pub(super) fn lights_by_zone(context: &Context) -> Vec<Vec<ItemId>> {
    let mut lights = vec![Vec::new(); context.plan.zones.len()];
    for light in context.plan.lights() {
        if let Some(zone) = context.plan.items[light.0].zone {
            lights[zone.0].push(light);
        }
    }
    lights
}

/// The light on a zone's windows while all of its lights are on; `None` while one is off, where one of them does not
/// say what it gives, and where the zone says no size.
pub(super) fn lit(
    context: &Context,
    zone: ZoneId,
    lights: &[ItemId],
    figures: &Figures,
) -> Option<Illuminance> {
    let mut total = LuminousFlux(0.0);
    for &light in lights {
        let of = figures.items.get(light.0).filter(|f| f.reached)?;
        total.0 += flux(context.plan, light, of)?.0;
    }
    on_windows(&context.plan.zones[zone.0], total)
}
