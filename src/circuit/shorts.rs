//! What flows where two wires touch: the way from the nearest supply, along `from` and `return to`,
//! to the far end of a run, what limits the current there, and the fuses on it.

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
    /// The fuses on the way, the nearest to the short first.
    pub fuses: Vec<ItemId>,
}

/// A short at the far end of an item's run; `None` for a supply, and where no supply is on the way.
pub fn short_at(plan: &Plan, item: ItemId) -> Option<Short> {
    let feed = plan.items[item.0].feed.as_ref()?;
    let mut way = Way::default();
    // A resistor at the start of a lamp's run is ahead of that run.
    if let Part::Lamps {
        resistor: Some(resistor),
        ..
    } = &plan.items[item.0].part
        && !resistor.at_lamp
    {
        way.ohms += resistor.ohms.value;
    }
    way.ohms += copper::run_leg(plan, feed.run.as_ref()).value + minus_leg(plan, feed);
    way.back_to_supply(plan, feed.from, feed.minus())
}

/// A short at the far end of a link's run, fed from the end from which more would flow.
pub fn short_on_link(plan: &Plan, link: LinkId) -> Option<Short> {
    let link = &plan.links[link.0];
    let from = |end: Point| {
        let mut way = Way::default();
        way.ohms += 2.0 * copper::run_leg(plan, link.run.as_ref()).value;
        way.back_to_supply(plan, end, end)
    };
    match (from(link.ends.0), from(link.ends.1)) {
        (Some(a), Some(b)) if b.current > a.current => Some(b),
        (a, b) => a.or(b),
    }
}

/// What is on the way so far, from the short back.
struct Way {
    ohms: f64,
    /// Volts that diodes take.
    drops: f64,
    ceiling: f64,
    fuses: Vec<ItemId>,
}

impl Default for Way {
    fn default() -> Self {
        Way {
            ohms: 0.0,
            drops: 0.0,
            ceiling: f64::INFINITY,
            fuses: Vec::new(),
        }
    }
}

impl Way {
    /// Something that gives no more than so much, and no more than its volts drive through what is
    /// behind it, `minus` ohms of that in minus.
    fn limit(&mut self, volts: f64, limit: f64, minus: f64) {
        self.ceiling = self.ceiling.min(limit);
        let behind = self.ohms + minus;
        if behind > 0.0 {
            self.ceiling = self.ceiling.min((volts - self.drops).max(0.0) / behind);
        }
    }

    fn back_to_supply(mut self, plan: &Plan, plus: Point, minus: Point) -> Option<Short> {
        let arrivals = minus_way(plan, minus)?;
        let all_minus = arrivals.last().map_or(0.0, |a| a.1);
        // What of minus is behind an item of the plus way.
        let minus_behind = |item: ItemId| {
            let met = arrivals.iter().find(|a| a.0 == item);
            met.map_or(all_minus, |a| a.1)
        };
        let mut at = plus;
        let mut steps = plan.items.len();
        loop {
            let item = &plan.items[at.item.0];
            match &item.part {
                Part::Fuse { resistance, .. } => {
                    self.ohms += resistance.value;
                    self.fuses.push(at.item);
                }
                Part::Connector { contact, .. } => self.ohms += contact.value,
                Part::Resistor { ohms, .. } => self.ohms += ohms.value,
                Part::Strip { .. } => self.ohms += track_leg(plan, at.item),
                Part::Diode { drops } | Part::Rectifier { drops } => self.drops += drops.value,
                Part::Regulator { volts, limit, way } => {
                    self.limit(volts.value, limit.value, minus_behind(at.item));
                    if let RegulatorWay::Linear { dropout } = way {
                        self.drops += dropout.value;
                    }
                }
                Part::Board { .. } => {
                    if let Some(output) = plan.output(at).filter(|o| !o.sinks)
                        && let Some(volts) = output.volts
                    {
                        self.limit(volts.value, output.limit.value, minus_behind(at.item));
                    }
                }
                Part::Supply(supply) => {
                    let driving = (supply.volts.value - self.drops).max(0.0);
                    let mut current = self.ceiling;
                    let all = self.ohms + all_minus + supply.resistance.value;
                    if all > 0.0 {
                        current = current.min(driving / all);
                    }
                    if let Some(limit) = supply.limit {
                        current = current.min(limit.value);
                    }
                    return Some(Short {
                        supply: at.item,
                        loop_resistance: ohms(self.ohms + all_minus),
                        current: amps(current),
                        fuses: self.fuses,
                    });
                }
                _ => {}
            }
            let feed = item.feed.as_ref()?;
            self.ohms += copper::run_leg(plan, feed.run.as_ref()).value;
            at = feed.from;
            steps = steps.checked_sub(1)?;
        }
    }
}

/// The items that the minus way passes, and what it resists up to each; `None` where it leads in a
/// circle.
fn minus_way(plan: &Plan, mut at: Point) -> Option<Vec<(ItemId, f64)>> {
    let mut way = Vec::new();
    let mut ohms = 0.0;
    loop {
        if way.len() > plan.items.len() {
            return None;
        }
        way.push((at.item, ohms));
        let item = &plan.items[at.item.0];
        let Some(feed) = &item.feed else {
            return Some(way);
        };
        ohms += minus_leg(plan, feed)
            + match &item.part {
                Part::Connector { contact, .. } => contact.value,
                Part::Strip { .. } => track_leg(plan, at.item),
                _ => 0.0,
            };
        at = feed.minus();
    }
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
