//! What a lamp is fed from, as a voltage behind a resistance: where something ahead takes its share of the drop (a resistor, a
//! supply with a resistance of its own, long thin wire), a lamp that draws otherwise has other volts.
//!
//! Two currents of the same lamp through two resistors give both (Thévenin's theorem). Where other lamps hang on the same
//! resistance the line between the two is not quite straight; so whoever needs the current solves once more.

use super::branch_string::LAMP_STRAYS;
use super::choose_resistor::in_series;
use super::e24;
use super::with_resistor::with_resistor;
use super::worst::greatest;
use crate::circuit::Solution;
use crate::circuit::supply::RESISTORS_STRAY;
use crate::plan::curve::LampCurve;
use crate::plan::{ItemId, Part, Plan};
use crate::units::{ElectricCurrent, ElectricPotential, ElectricalResistance, amps, ohms, volts};

/// A part of a lamp's volts that is lost in wire, above which its wire counts.
const LOST: f64 = 0.02;

/// A voltage behind a resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// What it gives to what draws nothing.
    pub volts: ElectricPotential,
    /// What is in series with it.
    pub resistance: ElectricalResistance,
}

/// What feeds a lamp and those that its stanza stands for.
#[derive(Clone, Debug, PartialEq)]
pub struct Sources {
    /// The lamp's own, typical.
    pub typical: Source,
    /// Those of all of them, in the bright corner.
    pub bright: Vec<Source>,
}

impl Sources {
    /// Volts that stay as they are, whatever is drawn: typical, and the highest in any corner.
    pub fn held(typical: ElectricPotential, highest: ElectricPotential) -> Sources {
        let stiff = |volts| Source {
            volts,
            resistance: ohms(0.0),
        };
        Sources {
            typical: stiff(typical),
            bright: vec![stiff(highest)],
        }
    }

    /// For each of so many that draw alike, side by side.
    pub fn shared_by(mut self, count: u32) -> Sources {
        self.typical.resistance *= f64::from(count);
        for source in &mut self.bright {
            source.resistance *= f64::from(count);
        }
        self
    }

    /// With more volts in the bright corner.
    pub fn with_more(mut self, more: ElectricPotential) -> Sources {
        for source in &mut self.bright {
            source.volts += more;
        }
        self
    }
}

/// Whether something ahead of an item takes its share of the drop.
pub fn is_soft(plan: &Plan, solution: &Solution, item: ItemId) -> bool {
    let lost = greatest(solution, item, |f| (f.drop.typical / f.volts.typical).value);
    if lost.is_some_and(|lost| lost > LOST) {
        return true;
    }
    let mut at = item;
    for _ in 0..plan.items.len() {
        let Some(feed) = &plan.items[at.0].feed else {
            return false;
        };
        if plan.output(feed.from).is_some_and(|o| o.volts.is_some()) {
            return false;
        }
        at = feed.from.item;
        match &plan.items[at.0].part {
            Part::Resistor { .. } => return true,
            Part::Supply(supply) => return supply.resistance > ohms(0.0),
            Part::Regulator { .. } => return false,
            _ => {}
        }
    }
    false
}

/// A lamp or string, those that its stanza stands for, and the item whose resistor is chosen.
pub struct Fed<'a> {
    plan: &'a Plan,
    holder: ItemId,
    lamp: ItemId,
    alike: Vec<ItemId>,
    count: u32,
    curve: LampCurve,
}

/// What the lamps draw through a resistor.
pub struct Drawn {
    /// The resistor.
    pub ohms: ElectricalResistance,
    typical: ElectricCurrent,
    bright: Vec<ElectricCurrent>,
}

impl<'a> Fed<'a> {
    /// Of a lamp or string. `None` for anything else.
    pub fn of(plan: &'a Plan, holder: ItemId, lamp: ItemId) -> Option<Fed<'a>> {
        let Part::Lamps { led, count, .. } = plan.items.get(lamp.0)?.part else {
            return None;
        };
        let is_alike = |i: &ItemId| plan.items[i.0].stanza == plan.items[lamp.0].stanza;
        Some(Fed {
            plan,
            holder,
            lamp,
            alike: (0..plan.items.len()).map(ItemId).filter(is_alike).collect(),
            count,
            curve: in_series(&plan.leds[led.0].curve, count),
        })
    }

    /// As the plan is solved already; `ohms` is what the holder has.
    pub fn now(&self, solution: &Solution, ohms: ElectricalResistance) -> Option<Drawn> {
        let is_on = |amps: &ElectricCurrent| *amps > amps_of_nothing();
        let typical = greatest(solution, self.lamp, |f| f.amps.typical).filter(is_on)?;
        let high = |i: &ItemId| greatest(solution, *i, |f| f.amps.high).unwrap_or_default();
        Some(Drawn {
            ohms,
            typical,
            bright: self.alike.iter().map(high).collect(),
        })
    }

    /// With a resistor of this value, solved.
    pub fn with(&self, ohms: ElectricalResistance) -> Option<Drawn> {
        self.now(&with_resistor(self.plan, self.holder, ohms)?, ohms)
    }

    /// What feeds them, from two resistors and what is drawn through each; the second counts where the line is not straight.
    pub fn sources(&self, first: &Drawn, then: &Drawn) -> Option<Sources> {
        let strays = volts(LAMP_STRAYS) * f64::from(self.count);
        let low = 1.0 - RESISTORS_STRAY;
        let typical = |d: &Drawn, amps| self.curve.volts_at(amps) + d.ohms * amps;
        let bright = |d: &Drawn, amps| self.curve.volts_at(amps) - strays + d.ohms * low * amps;
        let typical = line(
            (first.typical, typical(first, first.typical)),
            (then.typical, typical(then, then.typical)),
        );
        let pairs = first.bright.iter().zip(&then.bright);
        let lit = pairs.filter(|(a, b)| **a > amps_of_nothing() && **b > amps_of_nothing());
        let each = lit.map(|(&a, &b)| line((a, bright(first, a)), (b, bright(then, b))));
        let bright: Vec<Source> = each.collect();
        (!bright.is_empty()).then_some(Sources { typical, bright })
    }

    /// What feeds them, where something ahead takes its share of the drop.
    pub fn soft_sources(&self, solution: &Solution) -> Option<Sources> {
        if !is_soft(self.plan, solution, self.lamp) {
            return None;
        }
        let Part::Lamps { resistor, .. } = self.plan.items[self.lamp.0].part else {
            return None;
        };
        let own = resistor.map_or(ohms(0.0), |own| own.ohms);
        let now = self.now(solution, own)?;
        let then = self.with(self.another(solution, own)?)?;
        self.sources(&now, &then)
    }

    /// A resistor that is clearly another than the one there is.
    pub fn another(
        &self,
        solution: &Solution,
        own: ElectricalResistance,
    ) -> Option<ElectricalResistance> {
        let all = greatest(solution, self.lamp, |f| f.volts.typical)? / self.curve.stated_amps;
        Some(e24::nearest(own * 2.0 + all * 0.1))
    }
}

/// A current as good as none.
fn amps_of_nothing() -> ElectricCurrent {
    amps(1e-9)
}

/// The source that gives these volts at these currents.
fn line(
    first: (ElectricCurrent, ElectricPotential),
    then: (ElectricCurrent, ElectricPotential),
) -> Source {
    let more = first.0 - then.0;
    let resistance = match more.abs() > amps_of_nothing() {
        true => ((then.1 - first.1) / more).max(ohms(0.0)),
        false => ohms(0.0),
    };
    Source {
        volts: then.1 + resistance * then.0,
        resistance,
    }
}
