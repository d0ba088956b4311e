//! Random plans: every node in balance, every part by its law, the same digits each time, and no
//! value too absurd.

use super::super::breaks::Breaks;
use super::*;
use crate::plan::{Load, Part, RegulatorWay};
use crate::units::{amps, metres, ohms, ratio, volts, watts};

/// A small generator of numbers (Steele, Lea and Flood 2014, SplitMix64), the same each time.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    fn between(&mut self, a: f64, b: f64) -> f64 {
        a + (b - a) * (self.next() % 1000) as f64 / 1000.0
    }
}

/// A plan of so many items, all of one supply.
pub(crate) fn random_plan(seed: u64, items: usize, rings: bool) -> String {
    let mut d = Dice(seed);
    let mut text = String::from(
        "module fx works 6 V to 15 V draws 8 mA\n  output reg 5 V 200 mA\n  output on 300 mA\n\
         supply s 12 V resistance 0.2 ohm\n",
    );
    let mut points = vec!["s".to_string()];
    for k in 0..items {
        let from = points[d.below(points.len())].clone();
        let name = format!("i{k}");
        let run = match d.below(4) {
            0 => String::new(),
            _ => format!(" over {:.0} mm of ohm1", d.between(10.0, 900.0)),
        };
        let back = match d.below(8) {
            0 => format!(" return to {}", points[d.below(points.len())]),
            _ => String::new(),
        };
        let feed = format!("from {from}{run}{back}");
        let mut point = Some(name.clone());
        match d.below(14) {
            0 => text += &format!("joint {name} {feed}\n"),
            1 => {
                text += &format!(
                    "fuse {name} 1 A resistance {:.2} ohm {feed}\n",
                    d.between(0.0, 0.5)
                )
            }
            2 => {
                text += &format!(
                    "connector {name} contact {:.2} ohm {feed}\n",
                    d.between(0.0, 0.1)
                )
            }
            3 => text += &format!("resistor {name} {:.1} ohm {feed}\n", d.between(0.1, 5.0)),
            4 => text += &format!("diode {name} drops 0.3 V {feed}\n"),
            5 => text += &format!("strip {name} of copper {} groups {feed}\n", 1 + d.below(6)),
            6 => text += &format!("strip {name} of warm {} groups {feed}\n", 1 + d.below(4)),
            7 => text += &format!("string {name} of pearl 2 lamps resistor 270 ohm {feed}\n"),
            8 => {
                text += &format!("board {name} of fx {feed}\n");
                points.push(format!("{name}.on"));
                point = Some(format!("{name}.reg"));
            }
            9 => text += &format!("regulator {name} 6 V 1 A {feed}\n"),
            10 => {
                text += &format!(
                    "load {name} resistance {:.0} ohm {feed}\n",
                    d.between(300.0, 3000.0)
                );
                point = None;
            }
            11 => {
                text += &format!("load {name} takes {:.0} mW {feed}\n", d.between(1.0, 40.0));
                point = None;
            }
            _ => {
                text += &format!(
                    "lamp {name} of pearl resistor {:.0} ohm {feed}\n",
                    d.between(100.0, 900.0)
                )
            }
        }
        points.extend(point);
    }
    if rings {
        let plain: Vec<&String> = points.iter().filter(|p| !p.contains('.')).collect();
        for k in 0..2 {
            let (a, b) = (plain[d.below(plain.len())], plain[d.below(plain.len())]);
            if a != b {
                text += &format!("link l{k} between {a} and {b} over 200 mm of ohm1\n");
            }
        }
    }
    text
}

/// What flows out of each item's point through legs and links, in plus and minus.
fn handed_on(s: &Solved, figures: &Figures) -> Vec<(f64, f64)> {
    let mut out = vec![(0.0, 0.0); s.plan.items.len()];
    for (i, item) in s.plan.items.iter().enumerate() {
        if let Some(feed) = &item.feed {
            out[feed.from.item.0].0 += figures.items[i].passes.typical.value;
            out[feed.minus().item.0].1 += figures.items[i].returns.typical.value;
        }
    }
    for (link, (plus, minus)) in s.plan.links.iter().zip(figures.links.iter()) {
        for (point, sign) in [(link.ends.0, 1.0), (link.ends.1, -1.0)] {
            out[point.item.0].0 += sign * plus.typical.value;
            out[point.item.0].1 -= sign * minus.typical.value;
        }
    }
    out
}

/// Holds every item against its law and against what goes in and out of it.
fn check(s: &Solved) {
    let Ok(figures) = &s.scene("all-on").outcome else {
        return;
    };
    let out = handed_on(s, figures);
    for (i, item) in s.plan.items.iter().enumerate() {
        let f = &figures.items[i];
        if !f.reached {
            continue;
        }
        let (v, i_in, i_own) = (
            f.volts.typical.value,
            f.passes.typical.value,
            f.amps.typical.value,
        );
        let (out_plus, out_minus) = out[i];
        let name = &item.name.0;
        let holds = |what: &str, is: f64, should: f64, slack: f64| {
            assert!(
                (is - should).abs() < slack,
                "{name} {what}: {is}, should be {should}"
            );
        };
        let balanced = |is: f64, should: f64| holds("balance", is, should, 1e-7);
        match &item.part {
            Part::Supply(supply) => {
                balanced(i_in, out_plus);
                balanced(i_in, out_minus);
                holds(
                    "volts",
                    v,
                    (supply.volts - supply.resistance * amps(i_in)).value,
                    1e-6,
                );
                continue;
            }
            // What its outputs give comes through it too.
            Part::Board { .. } => {
                let given: f64 = f.outputs.iter().map(|o| o.amps.typical.value).sum();
                balanced(given, out_plus);
            }
            Part::Lamps {
                led,
                count,
                resistor,
                ..
            } => {
                let each = s.plan.leds[led.0].curve.volts_at(amps(i_own)) * f64::from(*count);
                let r = resistor.map_or(ohms(0.0), |r| r.ohms);
                if i_own > 1e-9 {
                    holds("lamp", v, (each + r * amps(i_own)).value, 1e-6);
                }
            }
            Part::Strip { tape, groups, .. } => {
                let tape = &s.plan.tapes[tape.0];
                let at = |v: f64| {
                    let one = super::super::tape::groups(tape, 1);
                    one.at(Corner::Typical, 0.0).current(v).0 * f64::from(*groups)
                };
                let (low, high) = (f.lowest_group.typical.value, f.highest_group.typical.value);
                assert!(
                    at(low) <= i_own + 1e-7 && i_own <= at(high) + 1e-7,
                    "{name}"
                );
            }
            Part::Load(Load::Takes(p)) => holds("power", v * i_own, p.value, 1e-7),
            Part::Load(Load::Resistance(r)) => holds("load", v, i_own * r.value, 1e-6),
            Part::Diode { drops } => {
                let behind = f.hands_on.typical.value;
                assert!(i_in > -1e-7, "{name} runs backwards");
                if i_in > 1e-6 {
                    holds("diode", behind, v - drops.value, 1e-5);
                } else {
                    assert!(behind > v - drops.value - 1e-5, "{name}");
                }
            }
            Part::Regulator {
                volts,
                way: RegulatorWay::Linear { dropout },
                ..
            } => {
                let own = volts.value.min(v - dropout.value);
                let behind = f.hands_on.typical.value;
                assert!(i_in > -1e-7, "{name} runs backwards");
                if i_in > 1e-6 {
                    holds("regulator", behind, own, 1e-5);
                }
            }
            _ => {}
        }
        balanced(i_in, i_own + out_plus);
        balanced(f.returns.typical.value, i_own + out_minus);
    }
}

#[test]
fn every_node_is_in_balance_and_every_part_by_its_law() {
    let mut solved_ones = 0;
    for seed in 0..150 {
        let s = solved(&random_plan(seed, 4 + (seed as usize % 40), seed % 3 == 0));
        check(&s);
        let outcome = &s.scene("all-on").outcome;
        solved_ones += usize::from(outcome.is_ok());
        if let Err(no) = outcome {
            // `takes` loads behind much copper may have no state; all else must.
            assert_eq!(no.cause, NoSolutionCause::Starved, "seed {seed}");
        }
    }
    assert!(solved_ones > 100, "{solved_ones}");
}

#[test]
fn the_same_plan_gives_the_same_digits() {
    let text = random_plan(7, 60, true);
    let once = format!("{:?}", solved(&text).solution);
    assert_eq!(once, format!("{:?}", solved(&text).solution));
}

#[test]
fn a_circuit_of_two_thousand_lights_is_solved() {
    let mut text = String::from("supply s 12 V\njoint j0 from s over 1 mm of ohm1\n");
    for k in 0..200 {
        text += &format!("joint j{} from j{k} over 1 mm of ohm1\n", k + 1);
        for l in 0..10 {
            text += &format!(
                "lamp l{k}-{l} of pearl resistor 4.7 kohm from j{k} over 100 mm of ohm1\n"
            );
        }
    }
    let s = solved(&text);
    check(&s);
    let f = s.item("l199-9");
    assert!(f.amps.typical.value > 1e-3 && f.amps.typical.value < 2e-3);
}

/// Found by fuzzing: a load that cannot have its power, and lamps with next to no resistor beside it, took three thousand
/// solutions of the equations a corner, and as many again for each break and short.
#[test]
fn what_has_no_state_is_given_up_soon() {
    let p = plan(
        "led ruby drops 1.9 V at 10 mA limit 15 mA colour red\nsupply s 12 V\nlamp a of ruby resistor 1 ohm from s\n\
         load b resistance 1 ohm from a over 100 mm of ohm1\nlamp c of ruby resistor 1 Mohm from a over 900 m of ohm1\n\
         lamp d of pearl resistor 0.22 ohm from c\nload e takes 246 mW from c over 100 mm of ohm1\n",
    );
    let asked = std::sync::atomic::AtomicUsize::new(0);
    let count = || {
        asked.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        false
    };
    let solution = solve(&p, &count);
    let outcome = solution.scenes[0].outcome.as_ref();
    let why = outcome.expect_err("there is less than it wants");
    assert_eq!(
        (why.item, why.cause),
        (p.item("e").unwrap(), NoSolutionCause::Starved)
    );
    // Whether to stop is asked before each solution of the equations.
    let asked = asked.into_inner();
    assert!((3..1000).contains(&asked), "{asked}");
}

#[test]
fn stopping_stops() {
    let p = plan("supply s 12 V\nload l draws 1 mA from s\n");
    assert!(solve(&p, &|| true).scenes.is_empty());
}

/// Values of a part, the ordinary ones and the absurd.
const ABSURD: [f64; 9] = [
    0.0,
    1e-300,
    1e-12,
    1e-3,
    1.0,
    12.0,
    1e6,
    1e300,
    f64::INFINITY,
];

fn absurd(d: &mut Dice) -> f64 {
    ABSURD[d.below(ABSURD.len())]
}

/// Gives something of a part this value.
fn make_absurd(part: &mut Part, x: f64, d: &mut Dice) {
    match part {
        Part::Supply(s) => match d.below(3) {
            0 => s.volts = volts(x),
            1 => s.resistance = ohms(x),
            _ => s.tolerance = ratio(x),
        },
        Part::Fuse { resistance, .. } => *resistance = ohms(x),
        Part::Connector { contact, .. } => *contact = ohms(x),
        Part::Resistor { ohms: r, .. } => *r = ohms(x),
        Part::Diode { drops } => *drops = volts(x),
        Part::Regulator { volts: v, way, .. } => {
            *v = volts(x);
            if d.below(2) == 0 {
                *way = RegulatorWay::Switching {
                    efficiency: ratio(absurd(d)),
                };
            }
        }
        // Every group is a node of its own: one case of the very most will do.
        Part::Strip { groups, .. } => {
            *groups = match x {
                f64::INFINITY => u32::MAX,
                x => x.clamp(0.0, 300.0) as u32,
            }
        }
        Part::Lamps {
            count, resistor, ..
        } => {
            *count = [0, 1, 1000, u32::MAX][d.below(4)];
            if let Some(r) = resistor {
                r.ohms = ohms(x);
            }
        }
        Part::Load(load) => {
            *load = match d.below(3) {
                0 => Load::Draws(amps(x), None),
                1 => Load::Takes(watts(x)),
                _ => Load::Resistance(ohms(x)),
            }
        }
        _ => {}
    }
}

/// Whatever is asked of a plan, its figures are numbers.
fn has_figures_that_are_numbers(p: &Plan, which: &str) {
    let solution = solve(p, &|| false);
    for scene in &solution.scenes {
        if let Ok(figures) = &scene.outcome {
            for f in figures.items.iter() {
                assert!(f.volts.typical.value.is_finite(), "{which}");
                assert!(f.amps.typical.value.is_finite(), "{which}");
                assert!(f.passes.typical.value.is_finite(), "{which}");
            }
        }
    }
    let breaks = Breaks::of(p);
    for k in 0..p.items.len() {
        breaks.darkened(ItemId(k));
        shorts::short_at(p, ItemId(k));
    }
}

/// One of each part, something behind each that hands on.
const ONE_OF_EACH: &str = "\
module fx works 6 V to 15 V draws 8 mA
  output reg 5 V 200 mA
supply s 12 V resistance 0.2 ohm
fuse f 1 A resistance 0.1 ohm from s
connector c contact 0.1 ohm from f over 100 mm of ohm1
resistor r 1 ohm from c
diode d drops 0.3 V from r
regulator g 6 V 1 A from d
lamp a of pearl resistor 150 ohm from g over 100 mm of ohm1
strip t of copper 2 groups from c
string b of pearl 2 lamps resistor 270 ohm from t
board e of fx from c
load h resistance 300 ohm from e.reg
load i takes 10 mW from c over 100 mm of ohm1
";

#[test]
fn no_value_of_a_part_is_too_absurd() {
    let p = plan(ONE_OF_EACH);
    for k in 0..p.items.len() {
        for (v, &x) in ABSURD.iter().enumerate() {
            let mut p = p.clone();
            make_absurd(
                &mut p.items[k].part,
                x,
                &mut Dice((k * ABSURD.len() + v) as u64),
            );
            has_figures_that_are_numbers(&p, &format!("{}: {x}", p.items[k].name.0));
        }
    }
    for k in (0..p.items.len()).filter(|&k| p.items[k].feed.is_some()) {
        for x in ABSURD {
            let mut p = p.clone();
            if let Some(run) = p.items[k].feed.as_mut().and_then(|f| f.run.as_mut()) {
                run.length = metres(x);
                has_figures_that_are_numbers(&p, &format!("run of {}: {x}", p.items[k].name.0));
            }
        }
    }
}

#[test]
fn absurd_values_together_are_not_too_much() {
    for seed in 0..30 {
        let mut d = Dice(seed + 1000);
        let mut p = plan(&random_plan(seed, 3 + (seed as usize % 12), seed % 2 == 0));
        for _ in 0..=d.below(4) {
            let k = d.below(p.items.len());
            let x = absurd(&mut d);
            make_absurd(&mut p.items[k].part, x, &mut d);
            if d.below(2) == 0
                && let Some(run) = p.items[k].feed.as_mut().and_then(|f| f.run.as_mut())
            {
                run.length = metres(absurd(&mut d));
            }
        }
        has_figures_that_are_numbers(&p, &format!("seed {seed}"));
    }
}
