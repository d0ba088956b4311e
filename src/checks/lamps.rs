//! What the checks of lamps and strings share.

use super::{Context, Worst};
use crate::circuit::{Figure, Figures};
use crate::plan::{Ballast, ItemId, Led, Part};
use crate::units::{ElectricCurrent, ElectricPotential, ohms};

/// A lamp, or lamps in series.
#[derive(Clone, Copy)]
pub(super) struct Lamps<'a> {
    pub item: ItemId,
    pub led: &'a Led,
    /// How many in series.
    pub count: u32,
    pub resistor: Option<Ballast>,
    pub runs_at: Option<ElectricCurrent>,
}

/// All lamps and strings of a plan.
pub(super) fn all<'a>(context: &Context<'a>) -> impl Iterator<Item = Lamps<'a>> + use<'a> {
    let plan = context.plan;
    plan.lights().filter_map(move |item| of(plan, item))
}

/// An item, where it is lamps.
pub(super) fn of(plan: &crate::plan::Plan, item: ItemId) -> Option<Lamps<'_>> {
    match plan.items[item.0].part {
        Part::Lamps {
            led,
            count,
            resistor,
            runs_at,
        } => Some(Lamps {
            item,
            led: &plan.leds[led.0],
            count,
            resistor,
            runs_at,
        }),
        _ => None,
    }
}

impl Lamps<'_> {
    /// The current that is wanted: `runs at`, else the rated one.
    pub fn wanted(&self) -> ElectricCurrent {
        self.runs_at.unwrap_or(self.led.curve.stated_amps)
    }

    /// Whether it has a resistor of its own.
    pub fn has_resistor(&self) -> bool {
        self.resistor.is_some_and(|r| r.ohms > ohms(0.0))
    }

    /// Whether a stated resistance holds its current: its own, a resistor ahead, or that of the source. What
    /// holds its voltage (a regulator, a regulated output) is a source without any.
    pub fn is_held(&self, context: &Context) -> bool {
        self.has_resistor()
            || self.resistor_ahead(context).is_some()
            || self.source_resists(context)
    }

    /// The nearest `resistor` on its way back to what holds a voltage.
    pub fn resistor_ahead(&self, context: &Context) -> Option<ItemId> {
        way_to_source(context, self.item).find(|i| {
            matches!(context.plan.items[i.0].part, Part::Resistor { ohms: r, .. } if r > ohms(0.0))
        })
    }

    fn source_resists(&self, context: &Context) -> bool {
        let source = way_to_source(context, self.item).last();
        source.is_some_and(|i| match &context.plan.items[i.0].part {
            Part::Supply(supply) => supply.resistance > ohms(0.0),
            _ => false,
        })
    }
}

/// The items ahead of an item along `from`, up to what holds a voltage: a regulator, a board's regulated output,
/// a supply.
pub(super) fn way_to_source<'a>(
    context: &Context<'a>,
    item: ItemId,
) -> impl Iterator<Item = ItemId> + use<'a> {
    let plan = context.plan;
    let mut at = Some(item);
    std::iter::from_fn(move || {
        let from = plan.items[at?.0].feed.as_ref()?.from;
        let holds = match plan.items[from.item.0].part {
            Part::Supply(_) | Part::Regulator { .. } => true,
            _ => plan.output(from).is_some_and(|o| o.volts.is_some()),
        };
        at = (!holds).then_some(from.item);
        Some(from.item)
    })
    .take(plan.items.len())
}

/// A figure of an item in a scene; `None` where it is not reached there.
fn reached<Q>(
    item: ItemId,
    of: impl Fn(&crate::circuit::ItemFigures) -> Figure<Q>,
) -> impl Fn(&Figures) -> Option<Figure<Q>> {
    move |figures| {
        let figures = figures.items.get(item.0)?;
        figures.reached.then(|| of(figures))
    }
}

/// The greatest current of an item over the scenes that have it on.
pub(super) fn greatest_amps<'a>(
    context: &Context<'a>,
    item: ItemId,
) -> Option<Worst<'a, ElectricCurrent>> {
    context.greatest(reached(item, |f| f.amps))
}

/// The least current of an item over the scenes that have it on.
pub(super) fn least_amps<'a>(
    context: &Context<'a>,
    item: ItemId,
) -> Option<Worst<'a, ElectricCurrent>> {
    context.least(reached(item, |f| f.amps))
}

/// The least voltage across an item over the scenes that have it on.
pub(super) fn least_volts<'a>(
    context: &Context<'a>,
    item: ItemId,
) -> Option<Worst<'a, ElectricPotential>> {
    context.least(reached(item, |f| f.volts))
}
