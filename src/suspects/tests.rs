//! Faults planted, and asked for: by hand, in the examples, in random plans.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;

use super::faults;
use super::*;
use crate::circuit::breaks::{Breaks, Place};
use crate::circuit::defects::{Leg, Spot};
use crate::circuit::fused_runs::RunOf;
use crate::circuit::planted::Planted;
use crate::circuit::{solve, tests::random_plan};
use crate::plan::{Alone, FileKey, LinkId, Part};
use crate::units::ohms;

const STOCK: &str = "\
wire fine gauge 32 AWG insulation enamel colours red, green
wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black
wire ohm1 area 0.017241 mm2
led pearl drops 3.0 V at 20 mA colour white
tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V
tape copper group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V track 40 ohm per m
";

fn plan(text: &str) -> Plan {
    let text = format!("{STOCK}{text}");
    let plan = Plan::of(FileKey::new("plan"), text.into(), &Alone);
    let problems: Vec<_> = plan.problems.iter().map(|p| &p.message).collect();
    assert!(problems.is_empty(), "{problems:?}");
    plan
}

fn asked(plan: &Plan, dark: &str, dim: &str) -> (Seen, Suspects) {
    let names = |text: &str| text.split_whitespace().map(str::to_owned).collect();
    let named = named::Named {
        dark: names(dark),
        dim: names(dim),
        ..named::Named::default()
    };
    let seen = named.in_plan(plan).unwrap();
    let found = suspects(plan, &Breaks::of(plan), &seen, &|| false).unwrap();
    (seen, found)
}

fn said(plan: &Plan, found: &Suspects) -> Vec<String> {
    found
        .all()
        .iter()
        .map(|s| words::suspect(plan, s))
        .collect()
}

const HULL: &str = "\
supply adapter 12 V 1 A
fuse F1 200 mA from adapter
switch S1 from F1 over 90 mm of hook
joint keel from S1 over 150 mm of hook
strip a of copper 2 groups from keel over 100 mm of fine
strip b of copper 2 groups from a over 40 mm of fine
lamp mast of pearl resistor 560 ohm from keel over 200 mm of fine
lamp bow of pearl resistor 560 ohm from keel over 200 mm of fine
";

#[test]
fn one_lamp_that_is_dark() {
    let p = plan(HULL);
    let (_, found) = asked(&p, "mast", "");
    assert_eq!(
        said(&p, &found),
        [
            "the plus wire (red, 200 mm of fine) from `keel` to `mast` is broken, or loose at one end",
            "the minus wire (green, 200 mm of fine) from `mast` back to `keel` is broken, or loose at one end",
            "`mast` is the wrong way round",
            "plus and minus touch at the end of the run of `mast`",
            "the lamp of `mast` has failed",
            "the resistor of `mast` is open",
        ]
    );
    let measures: Vec<String> = found
        .singles
        .iter()
        .filter_map(|s| words::measure(&p, s))
        .collect();
    assert_eq!(
        measures[0],
        "between plus at `mast` and minus at `keel`: 0 V if it is this, 12 V if whole"
    );
    assert_eq!(
        measures[1],
        "between plus at `keel` and minus at `mast`: 0 V if it is this, 12 V if whole"
    );
    // Its resistor is at the start of the run: what touches, touches behind it.
    assert_eq!(
        measures[3],
        "across the lamp of `mast`, behind its resistor: 0 V if it is this"
    );
    assert_eq!(
        measures[4],
        "across `mast`: with 12 V there, it is the piece itself"
    );
    // Weights 8, 8, 5, 4, 2 and 2. One wire is told from the rest; across the lamp, both would be.
    let test = found.test.unwrap();
    assert_eq!(test.outcomes.len(), 2);
}

#[test]
fn what_hangs_on_a_strip_goes_with_its_far_end() {
    let p = plan(HULL);
    let (_, found) = asked(&p, "b", "");
    let said = said(&p, &found);
    assert!(
        said.contains(&"the plus copper at the far end of `a` is cracked".to_owned()),
        "{said:?}"
    );
    assert!(
        said.contains(&"plus and minus are swapped where `b` is fed".to_owned()),
        "{said:?}"
    );
    // Half of a's groups go dark with b where its copper cracks between them: that is seen.
    assert!(
        !said.iter().any(|s| s.contains("between its groups")),
        "{said:?}"
    );
    let (_, found) = asked(&p, "b", "a");
    let said: Vec<String> = said_of(&p, &found);
    assert_eq!(
        said,
        [
            "the plus copper of `a` between its groups 1 and 2 is cracked",
            "the minus copper of `a` between its groups 1 and 2 is cracked"
        ]
    );
}

fn said_of(plan: &Plan, found: &Suspects) -> Vec<String> {
    said(plan, found)
}

#[test]
fn all_dark() {
    let p = plan(HULL);
    let (_, found) = asked(&p, "a b mast bow", "");
    let said = said(&p, &found);
    for is_there in [
        "`adapter` gives nothing",
        "`adapter` is the wrong way round",
        "`F1` has blown",
        "`S1` is off, or its contact does not close",
        "the plus joint `keel` has come apart",
        // Some 10 ohm of wire in both legs: 1.1 A, over five times the 200 mA of F1. The source gives 1 A.
        "plus and minus touch at the end of the run of `a`; by that `F1` blows",
        "plus and minus touch at the end of the run of `keel`; by that `F1` blows",
    ] {
        assert!(said.contains(&is_there.to_owned()), "{is_there}: {said:#?}");
    }
    // At the end of mast's run its own resistor limits the current.
    assert!(
        !said
            .iter()
            .any(|s| s.contains("touch at the end of the run of `mast`")),
        "{said:#?}"
    );
    assert_eq!(said[0], "the plus joint `keel` has come apart");
}

#[test]
fn a_short_without_a_fuse_makes_the_source_give_up() {
    let p = plan(
        "supply s 12 V 1 A\njoint j from s over 100 mm of hook\n\
         lamp l of pearl resistor 560 ohm from j over 10 mm of fine\n\
         lamp m of pearl resistor 560 ohm from j over 10 mm of fine\n",
    );
    let (_, found) = asked(&p, "l m", "");
    let said = said(&p, &found);
    let short = "plus and minus touch at the end of the run of `j`; by that `s` gives up";
    assert!(said.contains(&short.to_owned()), "{said:#?}");
}

#[test]
fn a_ring_that_is_open_once_shows_as_dim_and_twice_as_dark() {
    let text = "supply s 12 V 2 A\njoint j from s\n\
         strip a of warm 4 groups from j over 6 m of ohm1\n\
         strip b of warm 4 groups from a over 6 m of ohm1\n\
         strip c of warm 4 groups from b over 6 m of ohm1\n\
         link l between c and j over 1 m of ohm1\n";
    let p = plan(text);
    // The link open: c is at the end of a long way now.
    let (_, found) = asked(&p, "", "b c");
    let said_dim = said(&p, &found);
    assert!(
        said_dim.contains(&"the plus wire (1 m of ohm1) of `l` between `c` and `j` is broken, or loose at one end".to_owned()),
        "{said_dim:#?}"
    );
    let (_, found) = asked(&p, "b", "");
    let both = "the plus wire (6 m of ohm1) from `a` to `b` is broken, or loose at one end, and the plus wire (6 m of ohm1) from \
        `b` to `c` is broken, or loose at one end";
    assert!(found.singles.is_empty());
    assert_eq!(said(&p, &found)[0], both);
    let (_, found) = asked(&p, "b c", "");
    assert!(found.singles.is_empty(), "{:#?}", said(&p, &found));
    let pair = "the plus wire (6 m of ohm1) from `a` to `b` is broken, or loose at one end, and the plus wire (1 m of ohm1) of `l` \
        between `c` and `j` is broken, or loose at one end";
    assert!(
        said(&p, &found).iter().any(|s| s == pair),
        "{:#?}",
        said(&p, &found)
    );
}

#[test]
fn a_battery_run_down_dims_all() {
    let p = plan(
        "supply s 9 V\nlamp l of pearl resistor 330 ohm from s\nlamp m of pearl resistor 330 ohm from s\n",
    );
    let (_, found) = asked(&p, "", "l m");
    let said = said(&p, &found);
    assert_eq!(
        said[0], "`s` is weak: 90 % of its voltage would do it",
        "{said:#?}"
    );
    let (_, found) = asked(&p, "", "l");
    assert!(!self::said(&p, &found).iter().any(|s| s.contains("weak")));
}

#[test]
fn what_is_off_is_told_as_such() {
    let p = plan(&format!("{HULL}scene moored off mast\n"));
    let (_, found) = asked(&p, "mast", "");
    assert_eq!(found.dark_anyway, [p.item("mast").unwrap()]);
    assert!(!found.searched && found.singles.is_empty());
    // What is left is explained.
    let (_, found) = asked(&p, "mast bow", "");
    assert!(found.searched && found.singles.len() == 6);
}

#[test]
fn a_trial_weighs() {
    let weights = |tried: &str| {
        let p = plan(&format!("{HULL}{tried}"));
        let (_, found) = asked(&p, "mast", "");
        found.singles.iter().map(|s| s.weight).collect::<Vec<f64>>()
    };
    assert_eq!(weights(""), [8.0, 8.0, 5.0, 4.0, 2.0, 2.0]);
    // 560 ohm and a lamp at 12 V: 16.2 mA, by hand.
    assert_eq!(
        weights("tried mast 16.1 mA at 12 V\n"),
        [8.0, 8.0, 4.0, 1.5, 0.6, 0.6]
    );
    assert_eq!(
        weights("tried mast 0 mA at 12 V\n"),
        [15.0, 8.0, 8.0, 6.0, 6.0, 4.0]
    );
    // The last trial counts.
    let twice = weights("tried mast 0 mA at 12 V\ntried mast 16.1 mA at 12 V\n");
    assert_eq!(twice, [8.0, 8.0, 4.0, 1.5, 0.6, 0.6]);
}

#[test]
fn the_test_is_where_a_hand_can_reach() {
    let text = HULL.replace("of hook\nstrip", "of hook in bilge\nstrip");
    let p = plan(&format!("zone bilge sealed\nzone top\n{text}").replace(
        "lamp bow of pearl resistor 560 ohm from keel over 200 mm of fine",
        "lamp bow of pearl resistor 560 ohm from keel over 200 mm of fine in top",
    ));
    let (_, found) = asked(&p, "a b mast bow", "");
    let test = found.test.unwrap();
    let sealed = |item: ItemId| ranking::is_sealed(&p, RunOf::Item(item));
    assert!(!sealed(test.plus) && !sealed(test.minus), "{test:?}");
    for suspect in &found.singles {
        let measure = suspect.measure.unwrap();
        assert!(
            !sealed(measure.plus) && !sealed(measure.minus),
            "{measure:?}"
        );
    }
}

#[test]
fn names_that_are_wrong_are_all_told_at_once() {
    let p = plan(HULL);
    let names = |of: &[&str]| of.iter().map(|&n| n.to_owned()).collect::<Vec<String>>();
    let wrong = named::Named {
        dark: names(&["mats", "keel", "bow"]),
        lit: names(&["bow"]),
        scene: Some("al-on".into()),
        ..Default::default()
    };
    assert_eq!(
        wrong.in_plan(&p).unwrap_err(),
        [
            "No light is named `mats`. Nearest name: mast.",
            "`keel` is a joint, no light.",
            "`bow` cannot be dark and lit.",
            "No scene is named `al-on`. Nearest name: all-on.",
        ]
    );
    let none = named::Named::default().in_plan(&p).unwrap_err();
    assert_eq!(none, ["Name a light that is dark or dim."]);
}

/// What a state looks like.
fn looks(
    plan: &Plan,
    planted: &Planted,
    which: usize,
    state: &State,
) -> Option<(Vec<ItemId>, Vec<ItemId>)> {
    let (mut dark, mut dim) = (Vec::new(), Vec::new());
    let whole = planted.whole(which).unwrap();
    let (items, _) = planted.members(which);
    for &light in items.iter().filter(|i| plan.items[i.0].is_light()) {
        let before = planted.draws(whole, light).value;
        if before <= 1e-6 {
            continue;
        }
        let is_dark = planted.draws(state, light).value / before <= DARK;
        if !is_dark && !planted.as_many_groups(state, whole, light) {
            dim.push(light);
            continue;
        }
        match planted.draws(state, light).value / before {
            x if x <= DARK => dark.push(light),
            x if x <= 0.85 => dim.push(light),
            // Nobody could say.
            x if x <= 0.95 => return None,
            _ => {}
        }
    }
    // Nor of lights that are dim by half a step more than the next one.
    Some((dark, dim))
}

/// Plants every single fault of a plan: each is among the suspects for what it looks like, and every suspect looks exactly so.
/// Of all looks of the plan every nth is asked for. How many were planted.
fn every_single_fault_is_found(plan: &Plan, from: usize, every: usize) -> usize {
    every_single_fault_is_found_in(plan, None, from, every)
}

/// The same in a scene.
fn every_single_fault_is_found_in(
    plan: &Plan,
    scene: Option<usize>,
    from: usize,
    every: usize,
) -> usize {
    let breaks = Breaks::of(plan);
    let scene = Seen {
        scene,
        ..Seen::default()
    };
    let planted = Planted::of(plan, scene.choice(plan), &|| false).unwrap();
    let mut number = 0;
    for which in 0..planted.circuits() {
        if planted.whole(which).is_none() {
            continue;
        }
        let mut by_look: BTreeMap<(Vec<ItemId>, Vec<ItemId>), Vec<Fault>> = BTreeMap::new();
        for fault in faults::all(plan, &planted, which) {
            let Some(state) = planted.with(which, &fault.defects()) else {
                continue;
            };
            let Some((dark, dim)) = looks(plan, &planted, which, &state) else {
                continue;
            };
            if !dark.is_empty() || !dim.is_empty() {
                by_look.entry((dark, dim)).or_default().push(fault);
            }
        }
        for ((dark, dim), faults) in by_look.into_iter().skip(from).step_by(every) {
            let seen = Seen {
                dark: dark.clone(),
                dim: dim.clone(),
                ..scene.clone()
            };
            let found = suspects(plan, &breaks, &seen, &|| false).unwrap();
            a_test_tells_suspects_apart(&found);
            for fault in &faults {
                number += 1;
                assert!(
                    found.singles.iter().any(|s| s.faults == [*fault]),
                    "{} is not among the suspects for {seen:?}: {:#?}\n{}",
                    words::fault(plan, *fault),
                    said(plan, &found),
                    plan.files[0].text
                );
            }
            for suspect in &found.singles {
                let state = planted.with(which, &suspect.faults[0].defects()).unwrap();
                let whole = planted.whole(which).unwrap();
                for &light in planted.members(which).0 {
                    let before = planted.draws(whole, light).value;
                    if !plan.items[light.0].is_light() || before <= 1e-6 {
                        continue;
                    }
                    let part = planted.draws(&state, light).value / before;
                    let all_groups = planted.as_many_groups(&state, whole, light);
                    let fits = match (dark.contains(&light), dim.contains(&light)) {
                        (true, _) => part <= DARK,
                        (_, true) => part > DARK && (part <= DIM || !all_groups),
                        _ => part >= AS_BEFORE && all_groups,
                    };
                    assert!(
                        fits,
                        "{}: {} at {part}",
                        words::suspect(plan, suspect),
                        plan.items[light.0].name.0
                    );
                }
            }
        }
    }
    number
}

/// Each suspect is left by one outcome, and none leaves all of them.
fn a_test_tells_suspects_apart(found: &Suspects) {
    let Some(test) = &found.test else { return };
    let mut left: Vec<usize> = test
        .outcomes
        .iter()
        .flat_map(|o| o.left.iter().copied())
        .collect();
    left.sort_unstable();
    assert!(left.iter().copied().eq(0..left.len()), "{test:?}");
    let weight = |all: &[usize]| all.iter().map(|&k| found.all()[k].weight).sum::<f64>();
    let on_the_whole = |outcomes: &[Outcome]| {
        let each = outcomes.iter().map(|o| weight(&o.left).powi(2));
        each.sum::<f64>() / weight(&left)
    };
    // Whatever it reads, suspects fall away.
    assert!(test.outcomes.len() > 1 && on_the_whole(&test.outcomes) < weight(&left));
    for (a, b) in test.outcomes.iter().zip(&test.outcomes[1..]) {
        assert!(
            a.reads.0 > b.reads.1 && a.reads.0 <= a.reads.1,
            "{:?}",
            test.outcomes
        );
    }
}

/// What the examples do not have: rails, rectifiers, both kinds of regulators, a ring across a switch, sinking outputs by turns.
const ODD: &str = "\
module turner works 4 V to 14 V draws 4 mA
  output left 40 mA sinks
  output right 40 mA sinks
  output eye 5 V 60 mA
  turns left, right
supply rails 14 V 1 A either-way
fuse F1 300 mA from rails
rectifier bridge from F1 over 40 mm of fine
joint loop from bridge over 80 mm of fine
joint far from loop over 300 mm of fine
link round between far and loop over 400 mm of fine
regulator low 5 V 200 mA from loop
regulator brisk 6 V 300 mA efficiency 85 % from far over 30 mm of fine
lamp tail of pearl resistor 1 kohm from loop over 60 mm of fine
lamp head of pearl resistor 150 ohm at lamp from low over 70 mm of fine
string row of pearl 2 lamps resistor 560 ohm from far over 90 mm of fine
resistor damper 100 ohm from far
strip glow of warm 2 groups dimmed from damper over 50 mm of fine
strip more of warm 1 group dimmed from glow over 20 mm of fine
diode guard drops 0.3 V from brisk
board b of turner from guard over 25 mm of fine
lamp port of pearl resistor 220 ohm from guard over 60 mm of fine return to b.left
lamp starboard of pearl resistor 220 ohm from guard over 60 mm of fine return to b.right over 70 mm of hook
lamp eye of pearl resistor 150 ohm from b.eye over 30 mm of fine
supply cells 4.5 V capacity 500 mAh resistance 0.8 ohm
switch S2 from cells
connector plug contact 0.05 ohm from S2 over 40 mm of hook
lamp cabin of pearl resistor 100 ohm from plug over 50 mm of fine
lamp shelf of pearl resistor 100 ohm from plug over 50 mm of fine return to S2 over 80 mm of fine
scene run
scene stand off tail, b.eye
scene dark only row, cabin, port
";

#[test]
fn every_single_fault_of_an_odd_plan_is_found_in_every_scene() {
    let p = plan(ODD);
    let mut number = 0;
    for scene in [None, Some(0), Some(1), Some(2)] {
        number += every_single_fault_is_found_in(&p, scene, 0, 1);
    }
    assert!(number > 300, "{number}");
}

/// Who names what is lit and did not look at the rest gets no less than who looked at all, and nothing that what is named contradicts.
#[test]
fn what_nobody_looked_at_excludes_nothing() {
    let mut compared = 0;
    for seed in 200..230 {
        let p = plan(&random_plan(seed, 6 + (seed as usize % 6), seed % 2 == 0));
        let breaks = Breaks::of(&p);
        let planted = Planted::of(&p, &Choice::All, &|| false).unwrap();
        let lights: Vec<ItemId> = p.lights().collect();
        for which in 0..planted.circuits() {
            let Some(whole) = planted.whole(which) else {
                continue;
            };
            for fault in faults::all(&p, &planted, which).into_iter().step_by(9) {
                let Some(state) = planted.with(which, &fault.defects()) else {
                    continue;
                };
                let Some((dark, _)) = looks(&p, &planted, which, &state)
                    .filter(|(dark, dim)| !dark.is_empty() && dim.is_empty())
                else {
                    continue;
                };
                let before = |light: ItemId| planted.draws(whole, light).value;
                let lit = lights.iter().copied().filter(|light| {
                    planted.circuit_of(*light) == which
                        && !dark.contains(light)
                        && before(*light) > 1e-6
                });
                let lit: Vec<ItemId> = lit.take(1).collect();
                let all = Seen {
                    dark: dark.clone(),
                    lit: lit.clone(),
                    ..Seen::default()
                };
                let some = Seen {
                    others_unseen: true,
                    ..all.clone()
                };
                let of = |seen: &Seen| suspects(&p, &breaks, seen, &|| false).unwrap().singles;
                let (all, some) = (of(&all), of(&some));
                assert!(
                    all.iter()
                        .all(|s| some.iter().any(|t| t.faults == s.faults)),
                    "{}",
                    p.files[0].text
                );
                assert!(some.iter().any(|s| s.faults == [fault]));
                for suspect in &some {
                    let state = planted.with(which, &suspect.faults[0].defects()).unwrap();
                    for light in &lit {
                        let part = planted.draws(&state, *light).value / before(*light);
                        assert!(part >= AS_BEFORE, "{}", words::suspect(&p, suspect));
                    }
                    compared += 1;
                }
            }
        }
    }
    assert!(compared > 200, "{compared}");
}

fn example(name: &str) -> Plan {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/examples");
    let text = std::fs::read_to_string(format!("{folder}/{name}.harness")).unwrap();
    Plan::of(FileKey::new(name), text.into(), &Alone)
}

#[test]
fn every_single_fault_of_the_examples_is_found() {
    let mut number = 0;
    for name in [
        "night-ferry",
        "signal-cabin",
        "tanker-yard",
        "station-street",
        "mistakes",
    ] {
        number += every_single_fault_is_found(&example(name), 0, 1);
    }
    assert!(number > 500, "{number}");
}

#[test]
fn every_single_fault_of_random_plans_is_found() {
    let mut number = 0;
    for seed in 0..120 {
        let text = random_plan(seed, 3 + (seed as usize % 7), seed % 2 == 0);
        number += every_single_fault_is_found(&plan(&text), seed as usize % 4, 4);
    }
    assert!(number > 500, "{number}");
}

/// Two faults planted in one plan, of which no single one looks like that: they are among the pairs.
#[test]
fn planted_pairs_are_found() {
    let (mut number, mut in_rings) = (0, 0);
    for seed in 0..36u64 {
        let rings = seed % 2 == 0;
        let p = plan(&random_plan(seed, 5 + (seed as usize % 4), rings));
        let breaks = Breaks::of(&p);
        let planted = Planted::of(&p, Seen::default().choice(&p), &|| false).unwrap();
        if planted.whole(0).is_none() {
            continue;
        }
        let look = |faults: &[Fault]| {
            let defects: Vec<Defect> = faults.iter().flat_map(|f| f.defects()).collect();
            let state = planted.with(0, &defects)?;
            looks(&p, &planted, 0, &state).filter(|(dark, dim)| !dark.is_empty() && dim.is_empty())
        };
        let all = faults::all(&p, &planted, 0);
        let alone: Vec<_> = all.iter().filter_map(|&fault| look(&[fault])).collect();
        let open: Vec<Fault> = all.into_iter().filter(|f| f.opens().is_some()).collect();
        let pairs = (0..open.len()).flat_map(|a| (a + 1..open.len()).map(move |b| (a, b)));
        let mut told = Vec::new();
        // Of a plan three, far from each other in the list.
        for (a, b) in pairs.step_by(7) {
            let pair = [open[a], open[b]];
            let Some(both) = look(&pair).filter(|look| !alone.contains(look)) else {
                continue;
            };
            if told.len() == 3 || told.contains(&both.0) {
                continue;
            }
            told.push(both.0.clone());
            let seen = Seen {
                dark: both.0,
                ..Seen::default()
            };
            let found = suspects(&p, &breaks, &seen, &|| false).unwrap();
            // The look of a single fault that nobody could tell from it.
            if !found.singles.is_empty() {
                continue;
            }
            number += 1;
            in_rings += usize::from(rings);
            let is_it = |s: &Suspect| s.faults == pair;
            assert!(
                found.pairs.iter().any(is_it) || found.cut_short,
                "{} and {}: {:#?}\n{seen:?} {}",
                words::fault(&p, pair[0]),
                words::fault(&p, pair[1]),
                said(&p, &found),
                p.files[0].text
            );
        }
    }
    assert!(number > 25 && in_rings > 10, "{number} {in_rings}");
}

/// What a defect does is what the same does when it is written into the plan.
#[test]
fn a_defect_is_what_a_plan_says_of_it() {
    let mut compared = 0;
    for seed in 0..40 {
        let text = random_plan(seed, 6 + (seed as usize % 12), seed % 2 == 0);
        let p = plan(&text);
        let planted = Planted::of(&p, Seen::default().choice(&p), &|| false).unwrap();
        for (i, item) in p.items.iter().enumerate() {
            let id = ItemId(i);
            let which = planted.circuit_of(id);
            // Off is open on both sides of it, and what is off has a point of its own.
            let is_plain = matches!(
                item.part,
                Part::Fuse { .. }
                    | Part::Diode { .. }
                    | Part::Regulator { .. }
                    | Part::Resistor { .. }
            );
            if !is_plain || planted.whole(which).is_none() {
                continue;
            }
            let off = plan(&format!("{text}scene without off {}\n", item.name.0));
            let solved = solve(&off, &|| false);
            let (Ok(figures), Some(state)) = (
                &solved.scenes[0].outcome,
                planted.with(which, &[Defect::Dead(id)]),
            ) else {
                continue;
            };
            for &light in planted.members(which).0 {
                let with = planted.draws(&state, light).value;
                let should = figures.items[light.0].amps.typical.value;
                assert!(
                    (with - should).abs() < 1e-6,
                    "{}: {with} {should}\n{text}",
                    p.items[light.0].name.0
                );
                compared += 1;
            }
        }
    }
    assert!(compared > 400, "{compared}");
}

/// More resistance in both legs is a longer run.
#[test]
fn a_bad_run_is_a_longer_run() {
    let text = |mm: u32| {
        format!("supply s 12 V\nstrip a of copper 3 groups from s over {mm} mm of ohm1\n")
    };
    let (p, longer) = (plan(&text(1000)), plan(&text(4000)));
    let planted = Planted::of(&p, Seen::default().choice(&p), &|| false).unwrap();
    let a = p.item("a").unwrap();
    let bad = [Leg::Plus, Leg::Minus]
        .map(|leg| Defect::Resists(Spot::Wire(RunOf::Item(a), leg), ohms(3.0)));
    let state = planted.with(0, &bad).unwrap();
    let solved = solve(&longer, &|| false);
    let should = solved.scenes[0].outcome.as_ref().unwrap().items[a.0]
        .amps
        .typical;
    assert!((planted.draws(&state, a) - should).value.abs() < 1e-8);
}

/// Where copper is open, what goes dark is at least what no way leads to, and where there is one way to each light no more.
#[test]
fn open_copper_darkens_what_no_way_leads_to() {
    let mut compared = 0;
    for seed in 0..60 {
        let rings = seed % 2 == 0;
        let p = plan(&random_plan(seed, 4 + (seed as usize % 20), rings));
        let breaks = Breaks::of(&p);
        let planted = Planted::of(&p, Seen::default().choice(&p), &|| false).unwrap();
        for place in crate::circuit::what_if::places(&p) {
            let open: Vec<Spot> = match place {
                Place::PlusLeg(of) => vec![Spot::Wire(of, Leg::Plus)],
                Place::MinusLeg(of) => vec![Spot::Wire(of, Leg::Minus)],
                Place::Joint(i) => vec![Spot::Joint(i, Leg::Plus), Spot::Joint(i, Leg::Minus)],
                Place::PlusContact(i) => vec![Spot::Contact(i, Leg::Plus)],
                Place::MinusContact(i) => vec![Spot::Contact(i, Leg::Minus)],
                Place::Tape(i) => {
                    let Part::Strip { groups, .. } = p.items[i.0].part else {
                        continue;
                    };
                    vec![
                        Spot::Track(i, Leg::Plus, groups),
                        Spot::Track(i, Leg::Minus, groups),
                    ]
                }
                Place::Item(_) => continue,
            };
            let which = match place.of() {
                RunOf::Item(item) => planted.circuit_of(item),
                RunOf::Link(LinkId(link)) => planted.circuit_of(p.links[link].ends.0.item),
            };
            let defects: Vec<Defect> = open.into_iter().map(Defect::Open).collect();
            let (Some(state), Some(whole)) = (planted.with(which, &defects), planted.whole(which))
            else {
                continue;
            };
            let lost = breaks.darkened_at(place);
            for &light in planted.members(which).0 {
                let (with, before) = (
                    planted.draws(&state, light).value,
                    planted.draws(whole, light).value,
                );
                if !p.items[light.0].is_light() || before < 1e-6 {
                    continue;
                }
                compared += 1;
                if lost.contains(&light) {
                    assert!(
                        with == 0.0,
                        "seed {seed} {place:?} {}",
                        p.items[light.0].name.0
                    );
                } else if !rings {
                    assert!(
                        with > 0.5 * before,
                        "seed {seed} {place:?} {}",
                        p.items[light.0].name.0
                    );
                }
            }
        }
    }
    assert!(compared > 3000, "{compared}");
}
