//! The resistor of a lamp: the values of the E24 series (IEC 60063) next to the one wanted, with the current that
//! each gives.
//!
//! The list reckons with the volts that the point has now and the run's own copper. What the whole plan comes to with
//! a value is worked out when an entry is looked at ([`super::about`]).

use super::ask::Ask;
use super::{Offer, OfferKind};
use super::{patterns, points};
use crate::checks::Analysis;
use crate::circuit::alone::bench_volts;
use crate::circuit::copper::leg;
use crate::numbers::show;
use crate::plan::curve::LampCurve;
use crate::plan::{Plan, Target};
use crate::rewrites::branch_string::current_through;
use crate::rewrites::choose_resistor::in_series;
use crate::rewrites::e24;
use crate::rewrites::usual::{RESISTOR_LOAD, ratings_from};
use crate::syntax::expected::Within;
use crate::syntax::tree::{Stanza, ValueKind, names, quantities};
use crate::syntax::vocabulary::{Dimension as D, StanzaWord};
use crate::units::{
    ElectricCurrent, ElectricPotential, ElectricalResistance, amps, metres, ohms, watts,
};

/// How many values to either side of the wanted one are listed.
const EACH_WAY: usize = 4;

/// What is known of a lamp or string, as it is written.
struct Lamps {
    curve: LampCurve,
    limit: ElectricCurrent,
    wanted: ElectricCurrent,
    volts: ElectricPotential,
    /// Both legs of its run.
    run: ElectricalResistance,
    /// The point's own volts are not known: those of the bench are taken.
    on_bench: bool,
}

impl Lamps {
    fn of(a: &Analysis, tree: &Stanza) -> Option<Lamps> {
        let plan = &a.plan;
        if !matches!(tree.word?, StanzaWord::Lamp | StanzaWord::String) {
            return None;
        }
        let (led, _) = names(&tree.head).nth(1)?;
        let Some(Target::Led(led)) = plan.names.get(led)?.target else {
            return None;
        };
        let led = &plan.leds[led.0];
        let count = tree.head.iter().find_map(|v| match v.kind {
            ValueKind::Count(n, _) => Some(n),
            _ => None,
        });
        let runs = tree.clause("runs");
        let wanted = runs.and_then(|c| c.quantities(D::Current).next());
        let from = tree.clause("from");
        let point = from.and_then(|from| from.names().next());
        let at_point = point.and_then(|(point, _)| points::at_point(a, point));
        let run = from
            .and_then(|from| from.part("over"))
            .and_then(|over| run_of(plan, over));
        Some(Lamps {
            curve: in_series(&led.curve, count.unwrap_or(1)),
            limit: led.limit,
            wanted: wanted.map_or(led.curve.stated_amps, amps),
            volts: match at_point {
                Some((volts, _)) => volts,
                None => bench_volts(plan)?,
            },
            run: run.unwrap_or_default(),
            on_bench: at_point.is_none(),
        })
    }

    fn current(&self, value: ElectricalResistance) -> ElectricCurrent {
        current_through(&self.curve, value + self.run, self.volts)
    }

    /// The value that gives just the wanted current; `None` where too few volts are left for any.
    fn ideal(&self) -> Option<ElectricalResistance> {
        let left = self.volts - self.curve.volts_at(self.wanted) - self.run * self.wanted;
        let ideal = left / self.wanted;
        (ideal > ohms(0.0)).then_some(ideal)
    }
}

fn run_of(plan: &Plan, over: &crate::syntax::tree::Clause) -> Option<ElectricalResistance> {
    let length = metres(quantities(&over.values, D::Length).next()?);
    let (wire, _) = over.names().next()?;
    let Some(Target::Wire(wire)) = plan.names.get(wire)?.target else {
        return None;
    };
    let wire = &plan.wires[wire.0];
    Some(leg(wire, length, plan.settings.ambient) * 2.0)
}

/// The value that comes nearest to the wanted current without passing the lamp's limit, as it is written.
pub(super) fn best(a: &Analysis, tree: &Stanza) -> Option<String> {
    let lamps = Lamps::of(a, tree)?;
    nearest(&lamps).first().copied().map(e24::written)
}

/// The values around the wanted one, the nearest first; those that pass the lamp's limit last.
fn nearest(lamps: &Lamps) -> Vec<ElectricalResistance> {
    let Some(ideal) = lamps.ideal() else {
        return Vec::new();
    };
    let below = e24::values().rev().filter(|&v| v < ideal).take(EACH_WAY);
    let above = e24::values().filter(|&v| v >= ideal).take(EACH_WAY);
    let mut values: Vec<ElectricalResistance> = below.chain(above).collect();
    let off = |v: ElectricalResistance| (lamps.current(v) - lamps.wanted).abs();
    let key = |v: ElectricalResistance| (lamps.current(v) > lamps.limit, off(v).value);
    values.sort_by(|&a, &b| {
        let (a, b) = (key(a), key(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    values
}

/// The values around the wanted one.
pub(super) fn values(ask: &Ask) -> Vec<Offer> {
    values_of(ask, &ask.tree)
}

/// The values around the one that a piece wants, in what a copy says of it.
pub(super) fn values_in_copy(ask: &Ask, within: &[Within]) -> Vec<Offer> {
    let piece = patterns::piece_in_copy(ask, within);
    piece.map_or_else(Vec::new, |piece| values_of(ask, &piece))
}

fn values_of(ask: &Ask, tree: &Stanza) -> Vec<Offer> {
    let Some(lamps) = Lamps::of(ask.a, tree) else {
        return Vec::new();
    };
    let on = match lamps.on_bench {
        true => format!(" on {}", show(lamps.volts)),
        false => String::new(),
    };
    nearest(&lamps)
        .into_iter()
        .map(|value| {
            let current = lamps.current(value);
            let over = match current > lamps.limit {
                true => format!(", over its limit of {}", show(lamps.limit)),
                false => String::new(),
            };
            let text = e24::written(value);
            let detail = format!(
                "about {}{on}, {} in it{over}",
                show(current),
                show(current * current * value)
            );
            Offer::new(OfferKind::Value, text.clone(), ask.figure(&text)).detail(detail)
        })
        .collect()
}

/// The ratings that the resistor can have, the least that does first.
pub(super) fn ratings(ask: &Ask) -> Vec<Offer> {
    let power = Lamps::of(ask.a, &ask.tree).and_then(|lamps| {
        let own = ask.tree.clause("resistor")?;
        let value = ohms(own.quantities(D::Resistance).next()?);
        let current = lamps.current(value);
        Some(current * current * value)
    });
    let least = power.map_or(watts(0.0), |p| p / RESISTOR_LOAD);
    ratings_from(least)
        .map(|(rating, words)| {
            let detail = power.map_or(String::new(), |p| {
                let part = (p / rating).value;
                format!(
                    "{} used by about {}",
                    crate::numbers::percent(part),
                    show(p)
                )
            });
            Offer::new(OfferKind::Value, words, ask.figure(words)).detail(detail)
        })
        .collect()
}
