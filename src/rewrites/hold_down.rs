//! Holds the voltage of a strip down to what its tape works at: a resistor or a regulator ahead of it.
//!
//! The resistor is the least E24 value (IEC 60063) that keeps the strip within its `works` with the supply high and the resistor
//! low, rated so that it is used to six tenths at most. The regulator is linear, of a usual voltage, the highest within `works`.

use super::branch_string::current_through;
use super::choose_resistor::in_series;
use super::columns::hold_columns;
use super::free_name::{free_name, numbered};
use super::stanza_text::insert_before;
use super::usual::resistor_rating;
use super::worst::{amps_words, greatest};
use super::{Candidate, e24};
use crate::circuit::Solution;
use crate::circuit::supply::RESISTORS_STRAY;
use crate::plan::{Edit, ItemId, Part, Plan};
use crate::units::{ElectricCurrent, ElectricPotential, amps, volts};

/// Voltages that fixed regulators are sold for (common practice).
const REGULATORS: [f64; 9] = [3.3, 5.0, 6.0, 8.0, 9.0, 12.0, 15.0, 18.0, 24.0];

/// Currents that they are sold for (common practice), amperes.
const REGULATOR_CURRENTS: [f64; 4] = [0.1, 0.5, 1.0, 1.5];

/// How much of its current a regulator is used to, so that it stays cool.
const REGULATOR_LOAD: f64 = 0.8;

/// A linear regulator is not offered where it would lose more than this, watts (as the check `regulator-too-hot`).
const REGULATOR_HEAT: f64 = 1.0;

/// What a linear regulator needs above its voltage, and what a supply may stray besides.
const HEADROOM: f64 = 1.5;

/// A resistor, then a regulator. None for the piece of a copy or a strip with a return of its own.
pub fn hold_down(plan: &Plan, solution: &Solution, strip: ItemId) -> Vec<Candidate> {
    let Some(place) = Place::of(plan, solution, strip) else {
        return Vec::new();
    };
    [place.resistor(), place.regulator()]
        .into_iter()
        .flatten()
        .collect()
}

struct Place<'a> {
    plan: &'a Plan,
    strip: ItemId,
    /// What the strip has now: typical, and at most.
    has: (ElectricPotential, ElectricPotential),
    works: (ElectricPotential, ElectricPotential),
    /// What it draws in all at a voltage, with its lamps and resistors low.
    draws: Box<dyn Fn(ElectricPotential) -> ElectricCurrent + 'a>,
}

impl<'a> Place<'a> {
    fn of(plan: &'a Plan, solution: &Solution, strip: ItemId) -> Option<Place<'a>> {
        let item = plan.items.get(strip.0)?;
        let Part::Strip { tape, groups, .. } = item.part else {
            return None;
        };
        if item.copy.is_some() || item.feed.as_ref()?.back.is_some() {
            return None;
        }
        let tape = &plan.tapes[tape.0];
        Some(Place {
            plan,
            strip,
            has: (
                greatest(solution, strip, |f| f.volts.typical)?,
                greatest(solution, strip, |f| f.volts.high)?,
            ),
            works: tape.works,
            draws: Box::new(move |across| {
                let lamps = in_series(&tape.curve, tape.lamps);
                current_through(&lamps, tape.resistor, across) * f64::from(groups)
            }),
        })
    }

    fn resistor(&self) -> Option<Candidate> {
        // All that is over must be lost at the current of the upper limit, the resistor low. A little under the
        // limit, since the bright tape draws more, which only lowers it.
        let most = (self.draws)(self.works.1);
        if most <= amps(0.0) {
            return None;
        }
        let over = self.has.1 - self.works.1;
        let ohms = e24::at_least(over / most / (1.0 - RESISTORS_STRAY))?;
        let (_, rating) = resistor_rating(over * over * 1.6 / ohms)?;
        let words = format!("{} {rating}", e24::written(ohms));
        self.ahead("drop", |name| format!("resistor {name} {words}"), &words)
    }

    fn regulator(&self) -> Option<Candidate> {
        let volts = REGULATORS.iter().rev().map(|&v| volts(v)).find(|&v| {
            v <= self.works.1 && v >= self.works.0 && v + self::volts(HEADROOM) <= self.has.0
        })?;
        let draws = (self.draws)(volts);
        let heat = (self.has.0 - volts) * draws;
        let limit = REGULATOR_CURRENTS
            .iter()
            .map(|&a| amps(a))
            .find(|&a| draws <= a * REGULATOR_LOAD)?;
        if heat.value > REGULATOR_HEAT {
            return None;
        }
        let limit = if limit < amps(1.0) {
            format!("{} mA", limit.value * 1e3)
        } else {
            format!("{} A", limit.value)
        };
        let words = format!("{} V {limit}", volts.value);
        self.ahead("feed", |name| format!("regulator {name} {words}"), &words)
    }

    /// Puts a stanza ahead of the strip, between it and the point that feeds it.
    fn ahead(&self, stem: &str, stanza: impl Fn(&str) -> String, words: &str) -> Option<Candidate> {
        let plan = self.plan;
        let id = plan.items[self.strip.0].stanza;
        let tree = plan.stanza(id);
        let (own, _) = tree.name()?;
        let (_, point) = tree.clause("from")?.names().next()?;
        let name = free_name(plan, None, &[], numbered(&format!("{}-{stem}", own.0)));
        let new = format!("{} from {}", stanza(&name), tree.words(point));
        let kind = new.split(' ').next().unwrap_or("part").to_owned();
        let edits = vec![Edit {
            stanza: id,
            span: point,
            text: name,
        }];
        let mut all = vec![insert_before(plan, id, &new)];
        all.extend(hold_columns(plan, id, edits));
        Some(Candidate {
            title: format!(
                "a {kind} of {words} ahead of {}: it draws {} at {} V",
                own.0,
                amps_words((self.draws)(self.works.1.min(self.has.0))),
                super::stanza_text::plain(self.works.1.min(self.has.0).value, 2)
            ),
            edits: all,
        })
    }
}
