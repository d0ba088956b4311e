//! What flows where two wires touch: the way from the nearest supply, along `from` and `return to`,
//! to the far end of a run, what limits the current there, and the fuse next ahead.
//!
//! [`Ways`] walks each way once, so that asking for every run of a plan stays quick however long its chains are.

use std::collections::HashSet;

use crate::plan::{Feed, ItemId, LinkId, Part, Plan, Point, RegulatorWay};
use crate::units::{ElectricCurrent, ElectricalResistance, amps, ohms};

use super::copper;

/// A short at the far end of a run.
#[derive(Clone, Debug, PartialEq)]
pub struct Short {
    /// The supply that feeds it.
    pub supply: ItemId,
    /// All resistance around it but the supply's own: both legs of all runs, contacts, fuses, tracks,
    /// and the resistors on the way.
    pub loop_resistance: ElectricalResistance,
    /// What flows: the supply's voltage over that and its own resistance, with its limit, and that of
    /// a regulator or a regulated output on the way, as ceiling. Infinite where nothing limits it.
    pub current: ElectricCurrent,
    /// The same without the limit of the supply itself: what the resistance of the loop lets through.
    pub by_loop: ElectricCurrent,
    /// The fuse next ahead of the run; `None` where there is none up to the supply.
    pub fuse: Option<ItemId>,
}

/// The ways of a plan from its supplies to its items, each walked once.
#[derive(Debug)]
pub struct Ways<'a> {
    plan: &'a Plan,
    /// For each item, the plus way up to its own plus end, behind its run. `None` where no supply is on it.
    plus: Vec<Option<Way>>,
    /// For each item, what the minus way resists from its own minus end, ahead of its run, to a supply.
    minus: Vec<Option<f64>>,
    /// Regulators and regulated outputs on plus ways.
    limits: Vec<Limit>,
}

/// What is on a plus way, from its supply on.
#[derive(Clone, Copy, Debug)]
struct Way {
    supply: ItemId,
    ohms: f64,
    /// Volts that diodes and linear regulators take.
    drops: f64,
    fuse: Option<ItemId>,
    /// The nearest of [`Ways::limits`].
    limit: Option<usize>,
}

/// Something on a plus way that gives no more than so much, and no more than its volts drive through what is
/// behind it.
#[derive(Clone, Copy, Debug)]
struct Limit {
    item: ItemId,
    volts: f64,
    amps: f64,
    /// The way up to its output.
    ohms: f64,
    drops: f64,
    /// The next one towards the supply.
    before: Option<usize>,
}

impl<'a> Ways<'a> {
    /// Walks all ways of a plan.
    pub fn of(plan: &'a Plan) -> Ways<'a> {
        let mut ways = Ways {
            plan,
            plus: vec![None; plan.items.len()],
            minus: vec![None; plan.items.len()],
            limits: Vec::new(),
        };
        for item in outward(plan, |feed| feed.from) {
            ways.plus[item.0] = match &plan.items[item.0].feed {
                None => supply_way(plan, item),
                Some(feed) => ways.behind(feed.from).map(|way| Way {
                    ohms: way.ohms + copper::run_leg(plan, feed.run.as_ref()).value,
                    ..way
                }),
            };
        }
        for item in outward(plan, Feed::minus) {
            ways.minus[item.0] = match &plan.items[item.0].feed {
                None => Some(0.0),
                Some(feed) => ways
                    .minus_behind(feed.minus().item)
                    .map(|ohms| ohms + minus_leg(plan, feed)),
            };
        }
        ways
    }

    /// The plus way up to a point, through the item that it is at.
    fn behind(&mut self, point: Point) -> Option<Way> {
        let mut way = self.plus[point.item.0]?;
        match &self.plan.items[point.item.0].part {
            Part::Fuse { resistance, .. } => {
                way.ohms += resistance.value;
                way.fuse = Some(point.item);
            }
            Part::Connector { contact, .. } => way.ohms += contact.value,
            Part::Resistor { ohms, .. } => way.ohms += ohms.value,
            Part::Strip { .. } => way.ohms += track_leg(self.plan, point.item),
            Part::Diode { drops } | Part::Rectifier { drops } => way.drops += drops.value,
            Part::Regulator {
                volts,
                limit,
                way: how,
            } => {
                if let RegulatorWay::Linear { dropout } = how {
                    way.drops += dropout.value;
                }
                self.limited(&mut way, point.item, volts.value, limit.value);
            }
            Part::Board { .. } => {
                let output = self.plan.output(point).filter(|output| !output.sinks);
                if let Some((volts, limit)) = output.and_then(|o| Some((o.volts?, o.limit))) {
                    self.limited(&mut way, point.item, volts.value, limit.value);
                }
            }
            _ => {}
        }
        Some(way)
    }

    fn limited(&mut self, way: &mut Way, item: ItemId, volts: f64, amps: f64) {
        self.limits.push(Limit {
            item,
            volts,
            amps,
            ohms: way.ohms,
            drops: way.drops,
            before: way.limit,
        });
        way.limit = Some(self.limits.len() - 1);
    }

    /// What the minus way resists from the point behind an item, through the item.
    fn minus_behind(&self, item: ItemId) -> Option<f64> {
        let inside = match &self.plan.items[item.0].part {
            Part::Connector { contact, .. } => contact.value,
            Part::Strip { .. } => track_leg(self.plan, item),
            _ => 0.0,
        };
        Some(self.minus[item.0]? + inside)
    }

    /// A short at the far end of an item's run; `None` for a supply, and where no supply is on the way.
    pub fn short_at(&self, item: ItemId) -> Option<Short> {
        let feed = self.plan.items[item.0].feed.as_ref()?;
        let mut way = self.plus[item.0]?;
        // A resistor at the start of a lamp's run is ahead of that run.
        if let Part::Lamps {
            resistor: Some(resistor),
            ..
        } = &self.plan.items[item.0].part
            && !resistor.at_lamp
        {
            way.ohms += resistor.ohms.value;
        }
        self.short(way, feed.minus(), self.minus[item.0]?)
    }

    /// A short at the far end of a link's run, fed from its first end, and from its second.
    pub fn shorts_on_link(&mut self, link: LinkId) -> [Option<Short>; 2] {
        let link = &self.plan.links[link.0];
        let leg = copper::run_leg(self.plan, link.run.as_ref()).value;
        [link.ends.0, link.ends.1].map(|end| {
            let mut way = self.behind(end)?;
            way.ohms += leg;
            self.short(way, end, self.minus_behind(end.item)? + leg)
        })
    }

    /// A short at the end of a plus way, with so much resistance in minus, which goes by way of `back`.
    fn short(&self, way: Way, back: Point, minus: f64) -> Option<Short> {
        let Part::Supply(supply) = &self.plan.items[way.supply.0].part else {
            return None;
        };
        let on_minus_way = match way.limit {
            Some(_) => self.minus_way(back.item),
            None => HashSet::new(),
        };
        let mut by_loop = f64::INFINITY;
        let mut next = way.limit;
        while let Some(limit) = next.and_then(|k| self.limits.get(k)) {
            by_loop = by_loop.min(limit.amps);
            let ahead = match on_minus_way.contains(&limit.item) {
                true => self.minus_behind(limit.item)?,
                false => 0.0,
            };
            let behind = (way.ohms - limit.ohms) + (minus - ahead);
            if behind > 0.0 {
                let driving = (limit.volts - (way.drops - limit.drops)).max(0.0);
                by_loop = by_loop.min(driving / behind);
            }
            next = limit.before;
        }
        let all = way.ohms + minus + supply.resistance.value;
        if all > 0.0 {
            by_loop = by_loop.min((supply.volts.value - way.drops).max(0.0) / all);
        }
        let current = supply
            .limit
            .map_or(by_loop, |limit| by_loop.min(limit.value));
        Some(Short {
            supply: way.supply,
            loop_resistance: ohms(way.ohms + minus),
            current: amps(current),
            by_loop: amps(by_loop),
            fuse: way.fuse,
        })
    }

    /// The items that the minus way passes.
    fn minus_way(&self, mut at: ItemId) -> HashSet<ItemId> {
        let mut way = HashSet::new();
        while way.insert(at)
            && let Some(feed) = &self.plan.items[at.0].feed
        {
            at = feed.minus().item;
        }
        way
    }
}

/// A short at the far end of an item's run; `None` for a supply, and where no supply is on the way.
pub fn short_at(plan: &Plan, item: ItemId) -> Option<Short> {
    Ways::of(plan).short_at(item)
}

/// A short at the far end of a link's run, fed from the end from which more would flow.
pub fn short_on_link(plan: &Plan, link: LinkId) -> Option<Short> {
    match Ways::of(plan).shorts_on_link(link) {
        [Some(a), Some(b)] if b.current > a.current => Some(b),
        [a, b] => a.or(b),
    }
}

/// All items such that what feeds one by this leg stands before it; items that feed each other, and what
/// hangs on them, in whatever order.
fn outward(plan: &Plan, leg: impl Fn(&Feed) -> Point) -> Vec<ItemId> {
    let mut walked = vec![false; plan.items.len()];
    let mut order = Vec::with_capacity(plan.items.len());
    let mut way = Vec::new();
    for item in (0..plan.items.len()).map(ItemId) {
        let mut at = Some(item);
        while let Some(here) = at.filter(|here| !walked[here.0]) {
            walked[here.0] = true;
            way.push(here);
            at = plan.items[here.0].feed.as_ref().map(|f| leg(f).item);
        }
        order.extend(way.drain(..).rev());
    }
    order
}

fn supply_way(plan: &Plan, item: ItemId) -> Option<Way> {
    matches!(plan.items[item.0].part, Part::Supply(_)).then_some(Way {
        supply: item,
        ohms: 0.0,
        drops: 0.0,
        fuse: None,
        limit: None,
    })
}

fn minus_leg(plan: &Plan, feed: &Feed) -> f64 {
    let back = feed.back_run.as_ref().or(feed.run.as_ref());
    copper::run_leg(plan, back).value
}

/// The resistance of one track of a strip, all along it.
fn track_leg(plan: &Plan, strip: ItemId) -> f64 {
    match &plan.items[strip.0].part {
        Part::Strip { tape, groups, .. } => {
            let tape = &plan.tapes[tape.0];
            (tape.track * tape.group).value / 2.0 * f64::from(*groups)
        }
        _ => 0.0,
    }
}
