//! Law 10, batteries: hours = ∫ dq / I, with the typical currents of the first scene, duty applied. The
//! battery's voltage falls straight from its stated one (full) to 0.6 of that (empty), until `spent`, or
//! without it until the first light is under a tenth of its rated current.
//!
//! With v falling evenly with the charge used, dq = Q/(0.4·V)·dv: the integral is taken over the voltage,
//! by Simpson's rule, the steps halved until it settles. A circuit that has no solution any more is at its
//! end too. A light that is under a tenth from the start ends nothing: it is not the battery that keeps it dark.

use super::at_volts::{AtVolts, CircuitAtVolts, Left, States};
use super::duty;
use super::solve::Stop;
use crate::plan::{ItemId, Part, Plan, RegulatorWay};
use crate::units::{Time, seconds, volts};

/// What of its voltage a battery has left when it is empty.
const EMPTY: f64 = 0.6;

/// A light under this part of its rated current has gone out.
const OUT: f64 = 0.1;

/// Steps at first, and at most; both powers of two.
const FIRST_STEPS: usize = 8;
const MOST_STEPS: usize = 64;

/// The integral has settled when halving the steps changes it by no more than this part.
const SETTLED: f64 = 1e-5;

/// A current under this is none, amperes.
const NOTHING: f64 = 1e-6;

/// How often the interval of the end is halved.
const HALVINGS: usize = 24;

/// How long a battery lasts in the plan's first scene; infinite where nothing is drawn. `None` where the
/// supply has no `capacity`, or the scene has no solution even with the battery full.
pub fn lasts(plan: &Plan, supply: ItemId, stop: Stop) -> Option<Time> {
    lasts_in(&States::of(plan, stop), supply)
}

/// As [`lasts`], for one of several batteries of a plan.
pub fn lasts_in(states: &States, supply: ItemId) -> Option<Time> {
    let plan = states.plan;
    let Part::Supply(battery) = &plan.items.get(supply.0)?.part else {
        return None;
    };
    let charge = battery.capacity?.value;
    let full = battery.volts.value;
    if full <= 0.0 {
        return None;
    }
    let empty = EMPTY * full;
    let spent = battery.spent.map(|v| v.value);
    let mut run_down = RunDown::of(states, supply, spent.is_none())?;
    let lowest = spent.map_or(empty, |s| s.max(empty));
    if lowest >= full {
        return Some(seconds(0.0));
    }
    let last = run_down.last_volts(full, lowest);
    Some(seconds(
        charge / (full - empty) * run_down.integral(last, full),
    ))
}

/// A battery that runs down in the plan's first scene.
struct RunDown<'a> {
    plan: &'a Plan,
    supply: ItemId,
    at: AtVolts<'a>,
    /// Outputs that take turns: how much of the time the one that is on stands for them all.
    turns: Vec<(ItemId, usize, f64)>,
    /// The lights whose going out is the end, with a tenth of their rated current.
    lights: Vec<(ItemId, f64)>,
    /// What was worked out: at a voltage, the mean current, or none where it is over.
    known: Vec<(f64, Option<f64>)>,
}

impl<'a> RunDown<'a> {
    fn of(states: &'a States<'a>, supply: ItemId, until_dark: bool) -> Option<RunDown<'a>> {
        let plan = states.plan;
        let mut at = AtVolts::of(states, supply);
        if !at.goes_to(0) {
            return None;
        }
        let Part::Supply(battery) = &plan.items[supply.0].part else {
            return None;
        };
        let full = at.figures(battery.volts).ok()?;
        let turns = turns(plan, &full, at.left?);
        let mut run_down = RunDown {
            plan,
            supply,
            turns,
            at,
            lights: Vec::new(),
            known: Vec::new(),
        };
        if until_dark {
            let lights = plan.lights().filter_map(|light| {
                let tenth = OUT * rated(plan, light)?;
                (full.get(light)?.amps.typical.value >= tenth).then_some((light, tenth))
            });
            run_down.lights = lights.collect();
        }
        Some(run_down)
    }

    /// The mean current that the battery gives at a voltage; `None` where it has reached its end.
    fn amps(&mut self, v: f64) -> Option<f64> {
        if let Some((_, amps)) = self.known.iter().find(|(at, _)| *at == v) {
            return *amps;
        }
        let amps = self.at.figures(volts(v)).ok().and_then(|figures| {
            let is_out = |&(light, tenth): &(ItemId, f64)| {
                figures
                    .get(light)
                    .is_some_and(|own| own.amps.typical.value < tenth)
            };
            (!self.lights.iter().any(is_out)).then(|| self.mean(&figures))
        });
        self.known.push((v, amps));
        amps
    }

    /// What the battery gives on average: all that it gives while everything is on, less what the outputs
    /// of boards do not draw in the time that they are off.
    fn mean(&self, figures: &CircuitAtVolts) -> f64 {
        let own = figures.get(self.supply);
        let mut amps = own.map_or(0.0, |own| own.passes.typical.value);
        for (board, own) in figures.each() {
            let Part::Board { module } = self.plan.items[board.0].part else {
                continue;
            };
            for (o, output) in self.plan.modules[module.0].outputs.iter().enumerate() {
                let Some(given) = own.outputs.get(o) else {
                    continue;
                };
                let turns = self.turns.iter().find(|t| (t.0, t.1) == (board, o));
                let on = turns.map_or(duty::of_output(output).value, |t| t.2);
                let share = share_of_supply(self.plan, figures, board);
                let while_board = duty::of_item(self.plan, board).value;
                amps -= (1.0 - on) * while_board * share * given.amps.typical.value;
            }
        }
        // What counts as nothing anywhere else lasts for ever here.
        if amps < NOTHING { 0.0 } else { amps }
    }

    /// The voltage at which it is over, between these.
    fn last_volts(&mut self, full: f64, lowest: f64) -> f64 {
        let step = (full - lowest) / FIRST_STEPS as f64;
        let mut alive = full;
        for k in 1..=FIRST_STEPS {
            let v = full - step * k as f64;
            if self.amps(v).is_some() {
                alive = v;
                continue;
            }
            let mut dead = v;
            for _ in 0..HALVINGS {
                let middle = 0.5 * (alive + dead);
                match self.amps(middle) {
                    Some(_) => alive = middle,
                    None => dead = middle,
                }
            }
            return alive;
        }
        lowest
    }

    /// ∫ dv / I from a voltage up to full.
    fn integral(&mut self, low: f64, full: f64) -> f64 {
        if low >= full {
            return 0.0;
        }
        let mut steps = FIRST_STEPS;
        let mut before = self.simpson(low, full, steps);
        while steps < MOST_STEPS {
            steps *= 2;
            let now = self.simpson(low, full, steps);
            if !now.is_finite() || (now - before).abs() <= SETTLED * now {
                return now;
            }
            before = now;
        }
        before
    }

    fn simpson(&mut self, low: f64, full: f64, steps: usize) -> f64 {
        let step = (full - low) / steps as f64;
        let mut sum = 0.0;
        for k in 0..=steps {
            let v = if k == steps {
                low
            } else {
                full - step * k as f64
            };
            let weight = match k {
                _ if k == 0 || k == steps => 1.0,
                _ if k % 2 == 1 => 4.0,
                _ => 2.0,
            };
            sum += weight / self.amps(v).unwrap_or(f64::INFINITY);
        }
        sum * step / 3.0
    }
}

/// How much of a current at an item the supply gives: a switching regulator ahead takes less than it gives, by
/// the voltages and its efficiency.
fn share_of_supply(plan: &Plan, figures: &CircuitAtVolts, item: ItemId) -> f64 {
    let mut share = 1.0;
    let mut at = item;
    for _ in 0..plan.items.len() {
        let Some(feed) = &plan.items[at.0].feed else {
            break;
        };
        at = feed.from.item;
        if let Part::Regulator {
            way: RegulatorWay::Switching { efficiency },
            ..
        } = plan.items[at.0].part
            && let Some(own) = figures.get(at)
        {
            let (takes, gives) = (own.volts.typical, own.hands_on.typical);
            let in_full = efficiency.value * takes.value;
            if in_full > 0.0 {
                share *= gives.value / in_full;
            }
        }
    }
    share
}

/// The rated current of a light.
fn rated(plan: &Plan, light: ItemId) -> Option<f64> {
    match plan.items[light.0].part {
        Part::Lamps { led, .. } => Some(plan.leds[led.0].curve.stated_amps.value),
        Part::Strip { tape, groups, .. } => {
            Some(plan.tapes[tape.0].draws.value * f64::from(groups))
        }
        _ => None,
    }
}

/// Of outputs that take turns only one is in the figures; in the battery's time it stands for all of them.
fn turns(plan: &Plan, circuit: &CircuitAtVolts, left: &Left) -> Vec<(ItemId, usize, f64)> {
    let mut all = Vec::new();
    for (board, _) in circuit.each() {
        let Part::Board { module } = plan.items[board.0].part else {
            continue;
        };
        let module = &plan.modules[module.0];
        let is_on = |outputs: &[Vec<bool>], o: usize| outputs[board.0].get(o) == Some(&true);
        let taking = module.turns.iter().filter(|&&o| is_on(&left.taking, o));
        let share: f64 = taking
            .filter_map(|&o| module.outputs.get(o))
            .map(|o| duty::of_output(o).value)
            .sum();
        let standing = module.turns.iter().find(|&&o| is_on(&left.on.outputs, o));
        all.extend(standing.map(|&o| (board, o, share.min(1.0))));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};

    /// Hours of the battery `cell`.
    fn hours(text: &str) -> f64 {
        let plan = Plan::of(FileKey::new("p"), text.into(), &Alone);
        assert!(plan.problems.is_empty(), "{:?}", plan.problems);
        let cell = plan.item("cell").unwrap();
        lasts(&plan, cell, &|| false).unwrap().value / 3600.0
    }

    fn near(is: f64, expected: f64) {
        assert!((is / expected - 1.0).abs() < 1e-4, "{is}, not {expected}");
    }

    /// A constant 10 mA from 500 mAh: 50 h (a public worked example: 9 V, 500 mAh, 10 mA).
    #[test]
    fn a_constant_current_is_charge_over_current() {
        let cell = |more: &str| {
            format!("supply cell 9 V capacity 500 mAh{more}\nload m draws 10 mA from cell\n")
        };
        near(hours(&cell("")), 50.0);
        // 9 V to 6 V is 3 V of the 3.6 V down to empty.
        near(hours(&cell(" spent 6 V")), 50.0 * 3.0 / 3.6);
        // Under empty there is nothing more.
        near(hours(&cell(" spent 3 V")), 50.0);
    }

    /// By hand: I = v/R, so t = Q/(0.4·V)·R·ln(V/0.6·V) = 1 Ah / 2.4 V · 100 ohm · ln(1/0.6) = 21.2844 h.
    #[test]
    fn a_resistance_draws_less_as_it_runs_down() {
        near(
            hours("supply cell 6 V capacity 1000 mAh\nload m resistance 100 ohm from cell\n"),
            21.2844,
        );
    }

    /// By hand: dv = (m/I + Rt)·dI with Rt = 68 + 10 ohm, so ∫ dv/I = m·(1/Ie − 1/I0) + Rt·ln(I0/Ie), down to
    /// Ie = 2 mA, a tenth of the rated current, at 2.9 + m·ln 0.1 − 0.18 + 0.136 = 2.7377 V (over empty, 2.7 V). I0
    /// solves 4.5 = 2.9 + m·ln(I/20 mA) + 10·(I − 20 mA) + 68·I: 22.9853 mA.
    #[test]
    fn a_light_ends_it_at_a_tenth_of_its_rated_current() {
        let m: f64 = 0.051_386;
        let (start, end) = (0.022_985_3_f64, 0.002_f64);
        let left = 2.9 + m * libm::log(start / 0.02) + 10.0 * (start - 0.02) + 68.0 * start - 4.5;
        assert!(left.abs() < 1e-4, "{left}");
        let integral = m * (1.0 / end - 1.0 / start) + 78.0 * libm::log(start / end);
        let lamp = "led p drops 2.9 V at 20 mA colour white\nsupply cell 4.5 V capacity 1200 mAh\nlamp l of p resistor 68 ohm from cell\n";
        near(hours(lamp), 1.2 / (0.4 * 4.5) * integral);
    }

    /// 10 mA half of the time, and a board's own 2 mA all the time: 7 mA.
    #[test]
    fn duty_counts() {
        let with = |output: &str, load: &str| {
            hours(&format!(
                "module m works 3 V to 12 V draws 2 mA\n {output}\nsupply cell 9 V capacity 700 mAh\nboard b of m from cell\n{load}"
            ))
        };
        let load = "load x draws 10 mA from b.a\n";
        near(with("output a 20 mA flash 1 Hz", load), 100.0);
        near(with("output a 20 mA duty 50 %", load), 100.0);
        near(with("output a 20 mA", load), 700.0 / 12.0);
        // In turns one or the other is on: together all of the time.
        let two = "load x draws 10 mA from b.a\nload y draws 10 mA from b.c\n";
        near(
            with(
                "output a 20 mA duty 50 %\n output c 20 mA duty 50 %\n turns a, c",
                two,
            ),
            700.0 / 12.0,
        );
        near(
            with("output a 20 mA duty 50 %\n output c 20 mA duty 50 %", two),
            700.0 / 12.0,
        );
    }

    /// Behind a switching regulator of 80 %, 5 V · 10 mA · ½ take 62.5/2 mW from the battery; a constant power P
    /// lasts Q·(1 − 0.6²)·V/(2·0.4·P) = 0.8·Q·V/P: 0.8 · 1 Ah · 9 V / 31.25 mW = 230.4 h.
    #[test]
    fn duty_behind_a_switching_regulator() {
        near(
            hours(
                "module m works 3 V to 6 V\n draws 0 mA output a 20 mA duty 50 %\nsupply cell 9 V capacity 1000 mAh\nregulator r 5 V 1 A efficiency 80 % from cell\nboard b of m from r\nload x draws 10 mA from b.a\n",
            ),
            230.4,
        );
    }

    #[test]
    fn the_first_scene_counts_and_nothing_lasts_for_ever() {
        let cell = "supply cell 9 V capacity 500 mAh\nload a draws 10 mA from cell\nload b draws 40 mA from cell\nscene calm off b\nscene storm\n";
        near(hours(cell), 50.0);
        assert_eq!(
            hours(
                "supply cell 9 V capacity 500 mAh\nload a draws 1 mA from cell\nscene dark off a\n"
            ),
            f64::INFINITY
        );
    }
}
