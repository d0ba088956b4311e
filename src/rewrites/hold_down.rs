//! Holds the voltage of a strip down to what its tape works at: a resistor or a regulator ahead of it.
//!
//! The resistor is the least E24 value (IEC 60063) that keeps the strip within its `works` with the supply high and the resistor
//! low, rated so that it is used to six tenths at most. The regulator is of a usual voltage, the highest within `works` that the supply allows when it
//! is low: linear where that has room above it and stays cool, else one that switches.

use super::branch_string::current_through;
use super::choose_resistor::in_series;
use super::clause_of::clause_of;
use super::columns::hold_columns;
use super::free_name::{free_name, numbered};
use super::stanza_text::insert_before;
use super::told::{Told, Which, Words};
use super::usual::resistor_rating;
use super::worst::{greatest, least};
use super::{Candidate, e24, in_each_copy};
use crate::circuit::Solution;
use crate::circuit::lamp::DROP_STRAYS;
use crate::circuit::supply::RESISTORS_STRAY;
use crate::numbers::show;
use crate::plan::{Edit, ItemId, Part, Plan, Tape};
use crate::units::{ElectricCurrent, ElectricPotential, ElectricalResistance, amps, volts};

/// Voltages that fixed regulators are sold for (common practice).
const REGULATORS: [f64; 9] = [3.3, 5.0, 6.0, 8.0, 9.0, 12.0, 15.0, 18.0, 24.0];

/// Currents that they are sold for (common practice), amperes.
const REGULATOR_CURRENTS: [f64; 4] = [0.1, 0.5, 1.0, 1.5];

/// How much of its current a regulator is used to, so that it stays cool.
const REGULATOR_LOAD: f64 = 0.8;

/// A linear regulator that would lose more than this is one too hot, watts (as the check `regulator-too-hot`).
const REGULATOR_HEAT: f64 = 1.0;

/// What makes a regulator one that switches, with a usual efficiency (common practice).
const SWITCHES: &str = " efficiency 88 %";

/// What a linear regulator needs above its voltage (as the plan's default `dropout`), volts.
const HEADROOM: f64 = 1.5;

/// A resistor, then a regulator. None for a strip with a return of its own, or of which a copy says
/// otherwise where it is fed from.
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
    tape: &'a Tape,
    groups: u32,
    /// What the strip has now, typical.
    typical: ElectricPotential,
    /// What it has at most.
    highest: ElectricPotential,
    /// What it has at the least.
    lowest: ElectricPotential,
}

impl<'a> Place<'a> {
    fn of(plan: &'a Plan, solution: &Solution, strip: ItemId) -> Option<Place<'a>> {
        let item = plan.items.get(strip.0)?;
        let Part::Strip { tape, groups, .. } = item.part else {
            return None;
        };
        let own_feed = clause_of(plan, strip, "from")?.0 == item.stanza;
        if !own_feed || groups == 0 || item.feed.as_ref()?.back.is_some() {
            return None;
        }
        Some(Place {
            plan,
            strip,
            tape: &plan.tapes[tape.0],
            groups,
            typical: greatest(solution, strip, |f| f.volts.typical)?,
            highest: greatest(solution, strip, |f| f.volts.high)?,
            lowest: least(solution, strip, |f| f.volts.low)?,
        })
    }

    /// What the strip draws at a voltage, its track left out; in the bright corner, its lamps and resistors are low.
    fn draws(&self, across: ElectricPotential, bright: bool) -> ElectricCurrent {
        if across <= volts(0.0) {
            return amps(0.0);
        }
        let mut lamps = in_series(&self.tape.curve, self.tape.lamps);
        let mut resistor = self.tape.resistor;
        if bright {
            lamps.stated_volts -= volts(DROP_STRAYS) * f64::from(self.tape.lamps);
            resistor *= 1.0 - RESISTORS_STRAY;
        }
        current_through(&lamps, resistor, across) * f64::from(self.groups)
    }

    /// What is left for the strip behind a resistor.
    fn behind(
        &self,
        from: ElectricPotential,
        resistor: ElectricalResistance,
        bright: bool,
    ) -> ElectricPotential {
        let (mut low, mut high) = (volts(0.0), from);
        for _ in 0..60 {
            let middle = (low + high) * 0.5;
            if middle + resistor * self.draws(middle, bright) > from {
                high = middle;
            } else {
                low = middle;
            }
        }
        low
    }

    fn resistor(&self) -> Option<Candidate> {
        let low = 1.0 - RESISTORS_STRAY;
        let (ohms, has) = e24::values()
            .map(|r| (r, self.behind(self.highest, r * low, true)))
            .find(|(_, has)| *has <= self.tape.works.1)?;
        let over = self.highest - has;
        let (_, rating) = resistor_rating(over * over / (ohms * low))?;
        let words = format!("{} {rating}", e24::written(ohms));
        let left = self.behind(self.typical, ohms, false);
        self.ahead("drop", "resistor", &words, left)
    }

    fn regulator(&self) -> Option<Candidate> {
        let (from, to) = self.tape.works;
        let mut usual = REGULATORS.iter().rev().map(|&v| volts(v));
        let holds = usual.find(|&v| v <= to && v >= from && v <= self.lowest)?;
        let draws = self.draws(holds, true);
        let limit = REGULATOR_CURRENTS
            .iter()
            .map(|&a| amps(a))
            .find(|&a| draws <= a * REGULATOR_LOAD)?;
        let has_room = holds + volts(HEADROOM) <= self.lowest;
        let way = match has_room && ((self.typical - holds) * draws).value <= REGULATOR_HEAT {
            true => "",
            false => SWITCHES,
        };
        let words = format!("{} {}{way}", show(holds), show(limit));
        self.ahead("feed", "regulator", &words, holds)
    }

    /// Puts a stanza ahead of the strip, between it and the point that feeds it.
    fn ahead(
        &self,
        stem: &str,
        kind: &str,
        words: &str,
        has: ElectricPotential,
    ) -> Option<Candidate> {
        let plan = self.plan;
        let id = plan.items[self.strip.0].stanza;
        let tree = plan.stanza(id);
        let (own, _) = tree.name()?;
        let (_, point) = tree.clause("from")?.names().next()?;
        let tail = own.0.rsplit('.').next()?;
        let copy = plan.items[self.strip.0].copy;
        let name = free_name(plan, copy, &[], numbered(&format!("{tail}-{stem}")));
        let new = format!("{kind} {name} {words} from {}", tree.words(point));
        let edits = vec![Edit {
            stanza: id,
            span: point,
            text: name,
        }];
        let mut all = vec![insert_before(plan, id, &new)];
        all.extend(hold_columns(plan, id, edits));
        let item = plan.items[self.strip.0].name.0.to_string();
        let volts = Told {
            item: item.clone(),
            what: Which::Volts,
            reckoned: show(has),
            words: Words::Beside {
                before: "it has ".to_owned(),
                behind: ", not ".to_owned(),
            },
        };
        let draws = Told {
            item,
            what: Which::Amps,
            reckoned: show(self.draws(has, false)),
            words: Words::Beside {
                before: "and draws ".to_owned(),
                behind: String::new(),
            },
        };
        Some(Candidate {
            title: format!(
                "a {kind} of {words} ahead of {}: {}{}, {}{}",
                own.0,
                volts.as_reckoned(),
                show(self.typical),
                draws.as_reckoned(),
                in_each_copy(plan, self.strip)
            ),
            edits: all,
            told: vec![volts, draws],
        })
    }
}
