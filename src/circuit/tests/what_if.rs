//! Breaks and shorts.

use super::super::breaks::{Breaks, Place};
use super::super::fused_runs::RunOf;
use super::super::what_if::{Break, WhatIf, places};
use super::super::{clearing::Clears, shorts};
use super::*;
use crate::plan::Part;

fn names(plan: &Plan, items: &[ItemId]) -> Vec<String> {
    items
        .iter()
        .map(|i| plan.items[i.0].name.0.to_string())
        .collect()
}

fn dark(plan: &Plan, item: &str) -> Vec<String> {
    names(plan, &Breaks::of(plan).darkened(plan.item(item).unwrap()))
}

const CHAIN: &str = "\
supply s 12 V 1 A
fuse f 400 mA from s
joint j from f over 1 m of ohm1
strip a of warm 1 group from j over 1 m of ohm1
strip b of warm 1 group from a over 1 m of ohm1
strip c of warm 1 group from b over 1 m of ohm1
lamp d of pearl resistor 560 ohm from j over 1 m of ohm1
";

#[test]
fn a_break_darkens_what_is_chained_behind_it() {
    let p = plan(CHAIN);
    assert_eq!(dark(&p, "a"), ["a", "b", "c"]);
    assert_eq!(dark(&p, "c"), ["c"]);
    assert_eq!(dark(&p, "f"), ["a", "b", "c", "d"]);
    assert_eq!(dark(&p, "d"), ["d"]);
    let breaks = Breaks::of(&p);
    let through = |light| breaks.only_through(&p, p.item(light).unwrap());
    assert_eq!(through("a"), None);
    assert_eq!(through("b"), p.item("a"));
    assert_eq!(through("c"), p.item("b"));
    assert_eq!(through("d"), None);
}

#[test]
fn a_link_is_a_second_way() {
    let p = plan(&format!("{CHAIN}link l between c and j over 1 m of ohm1\n"));
    assert_eq!(dark(&p, "a"), ["a"]);
    assert_eq!(dark(&p, "b"), ["b"]);
    assert_eq!(Breaks::of(&p).only_through(&p, p.item("c").unwrap()), None);
    let link = crate::plan::LinkId(0);
    let without = Breaks::without(&p, &[link]).darkened(p.item("a").unwrap());
    assert_eq!(names(&p, &without), ["a", "b", "c"]);
}

#[test]
fn a_separate_return_is_a_way_too() {
    let p = plan(
        "supply s 12 V\n\
         lamp a of pearl resistor 560 ohm from s\n\
         lamp b of pearl resistor 560 ohm from s return to a\n\
         diode d from s\n\
         lamp c of pearl resistor 560 ohm from d\n",
    );
    assert_eq!(dark(&p, "a"), ["a", "b"]);
    assert_eq!(
        Breaks::of(&p).only_through(&p, p.item("b").unwrap()),
        p.item("a")
    );
    assert_eq!(dark(&p, "d"), ["c"]);
}

#[test]
fn a_short_is_limited_by_all_that_is_on_the_way() {
    let p = plan(CHAIN);
    let at = |item: &str| shorts::short_at(&p, p.item(item).unwrap()).unwrap();
    // Three runs of 2 ohm each to the end of b's: 12 V / 6 ohm = 2 A, but the source gives 1 A.
    let b = at("b");
    close(b.loop_resistance.value, 6.0);
    close(b.current.value, 1.0);
    assert_eq!(b.fuse, p.item("f"));
    // The lamp's own resistor, at the start of its run, is on the way: 564 ohm.
    close(at("d").current.value, 12.0 / 564.0);
    // The fuse sits on the source itself: nothing is ahead of its run but the source's limit.
    let f = at("f");
    close(f.loop_resistance.value, 0.0);
    close(f.current.value, 1.0);
    assert_eq!(f.fuse, None);
    assert_eq!(shorts::short_at(&p, p.item("s").unwrap()), None);
}

#[test]
fn resistance_contacts_and_regulators_limit_a_short() {
    let p = plan(
        "supply s 12 V resistance 2 ohm\n\
         connector c contact 0.5 ohm from s over 1 m of ohm1\n\
         regulator g 5 V 2 A from c\n\
         lamp a of pearl resistor 100 ohm at lamp from g over 1 m of ohm1\n\
         lamp b of pearl resistor 100 ohm from c\n\
         resistor r 15 ohm from c\n\
         joint j from r over 1 m of ohm1\n\
         link l between j and c over 1 m of ohm1\n",
    );
    let at = |item: &str| shorts::short_at(&p, p.item(item).unwrap()).unwrap();
    // Behind the regulator: 5 V over 2 ohm of its run = 2.5 A, its limit 2 A; through all,
    // (12 − 1.5) V over 2 + 2 + 1 + 2 ohm = 1.5 A.
    close(at("a").loop_resistance.value, 5.0);
    close(at("a").current.value, 1.5);
    // 2 + 2 + 1 + 15 + 2 ohm
    close(at("j").current.value, 12.0 / 22.0);
    // The link's far end is 2 ohm from c: 2 + 2 + 1 + 2.
    let link = shorts::short_on_link(&p, crate::plan::LinkId(0)).unwrap();
    close(link.current.value, 12.0 / 7.0);
    // The minus leg goes back to the supply itself, past the regulator: (12 − 1.5) V over 2 + 2 + 1 + 2 ohm all
    // around less the 1 ohm and the contact of minus that it leaves out; behind the regulator 2 ohm, its own.
    let aside = plan(
        "supply s 12 V resistance 2 ohm\n\
         connector c contact 0.5 ohm from s over 1 m of ohm1\n\
         regulator g 5 V 9 A from c\n\
         joint j from g over 1 m of ohm1 return to s over 1 m of ohm1\n",
    );
    let j = shorts::short_at(&aside, aside.item("j").unwrap()).unwrap();
    close(j.loop_resistance.value, 3.5);
    close(j.current.value, 10.5 / 5.5);
    let free = plan("supply s 12 V\njoint j from s\n");
    let j = shorts::short_at(&free, free.item("j").unwrap()).unwrap();
    assert!(j.current.value.is_infinite());
}

/// For each light whether it has a way to plus and to minus of one supply, with something broken:
/// the plain walk, over and over until it finds nothing more.
fn lit(plan: &Plan, broken: Option<Place>) -> Vec<bool> {
    let mut lit = vec![false; plan.items.len()];
    let n = plan.items.len();
    let is_broken = |place: Place| broken == Some(place);
    let apart = |at: usize| is_broken(Place::Joint(ItemId(at)));
    for s in (0..n).filter(|&s| matches!(plan.items[s].part, Part::Supply(_))) {
        // Reached: plus ends, minus ends, minus points; plus points, one for each output.
        let [mut plus, mut minus, mut out_minus] = [vec![false; n], vec![false; n], vec![false; n]];
        let mut outs: Vec<Vec<bool>> = vec![vec![false; 2]; n];
        loop {
            let before = (plus.clone(), minus.clone(), out_minus.clone(), outs.clone());
            for (i, item) in plan.items.iter().enumerate() {
                let id = ItemId(i);
                if is_broken(Place::Item(id)) {
                    continue;
                }
                plus[i] |= i == s;
                minus[i] |= i == s;
                if let Some(feed) = &item.feed {
                    let (from, to) = (feed.from, feed.minus().item.0);
                    let out = &mut outs[from.item.0][from.output.unwrap_or(0)];
                    if !is_broken(Place::PlusLeg(RunOf::Item(id))) && !apart(from.item.0) {
                        (plus[i], *out) = (plus[i] | *out, plus[i] | *out);
                    }
                    if !is_broken(Place::MinusLeg(RunOf::Item(id))) && !apart(to) {
                        let either = minus[i] | out_minus[to];
                        (minus[i], out_minus[to]) = (either, either);
                    }
                }
                let cracked = is_broken(Place::Tape(id));
                if !cracked && !is_broken(Place::MinusContact(id)) {
                    (minus[i], out_minus[i]) = (minus[i] | out_minus[i], minus[i] | out_minus[i]);
                }
                for (o, out) in outs[i].iter_mut().enumerate() {
                    let two_ways = match &item.part {
                        Part::Board { module } => plan.modules[module.0].outputs[o].volts.is_none(),
                        Part::Diode { .. } | Part::Regulator { .. } => false,
                        _ => o == 0,
                    };
                    if !cracked && !is_broken(Place::PlusContact(id)) {
                        *out |= plus[i];
                        plus[i] |= two_ways && *out;
                    }
                }
            }
            for (k, link) in plan.links.iter().enumerate() {
                let of = RunOf::Link(crate::plan::LinkId(k));
                let (a, b) = (link.ends.0, link.ends.1);
                let (i, j) = (a.item.0, b.item.0);
                let (o, p) = (a.output.unwrap_or(0), b.output.unwrap_or(0));
                let loose = apart(i) || apart(j);
                if !is_broken(Place::PlusLeg(of)) && !loose {
                    let either = outs[i][o] | outs[j][p];
                    (outs[i][o], outs[j][p]) = (either, either);
                }
                if !is_broken(Place::MinusLeg(of)) && !loose {
                    let either = out_minus[i] | out_minus[j];
                    (out_minus[i], out_minus[j]) = (either, either);
                }
            }
            if before == (plus.clone(), minus.clone(), out_minus.clone(), outs.clone()) {
                break;
            }
        }
        for i in 0..n {
            lit[i] |= plus[i] && minus[i] && plan.items[i].is_light();
        }
    }
    lit
}

#[test]
fn what_goes_dark_is_what_a_plain_walk_no_longer_reaches() {
    let mut dark: std::collections::BTreeMap<&str, usize> = Default::default();
    for seed in 0..60 {
        let mut text = super::laws::random_plan(seed, 4 + (seed as usize % 30), seed % 2 == 0);
        if seed % 3 == 0 {
            text +=
                "supply t 12 V\nlamp u of pearl from t\nlink v between t and s over 1 m of ohm1\n";
        }
        let p = plan(&text);
        let what_if = WhatIf::of(&p, &Breaks::of(&p));
        let whole = lit(&p, None);
        for Break { place, dark: said } in &what_if.breaks {
            let broken = lit(&p, Some(*place));
            let lost: Vec<ItemId> = (0..p.items.len())
                .filter(|&i| whole[i] && !broken[i])
                .map(ItemId)
                .collect();
            assert_eq!(*said, lost, "seed {seed}, {place:?}\n{text}");
            *dark.entry(place.word()).or_default() += lost.len();
        }
    }
    for (place, most) in [
        ("item", 1000),
        ("joint", 50),
        ("plus leg", 300),
        ("minus leg", 300),
        ("tape", 30),
        ("plus contact", 10),
        ("minus contact", 10),
    ] {
        assert!(
            dark.get(place).is_some_and(|&n| n > most),
            "{place}: {dark:?}"
        );
    }
}

#[test]
fn two_legs_side_by_side_are_a_second_way() {
    let p = plan(
        "supply s 12 V 1 A\nfuse f 400 mA from s\njoint j from f over 1 m of ohm1\n\
         lamp a of pearl resistor 560 ohm from j\nlamp b of pearl resistor 560 ohm from j\n\
         link l between f and j over 1 m of ohm1\nlink m between f and j over 1 m of ohm1\n",
    );
    let what_if = WhatIf::of(&p, &Breaks::of(&p));
    let of = |place| {
        &what_if
            .breaks
            .iter()
            .find(|b| b.place == place)
            .unwrap()
            .dark
    };
    let j = p.item("j").unwrap();
    assert_eq!(of(Place::PlusLeg(RunOf::Item(j))).len(), 0);
    assert_eq!(
        of(Place::MinusLeg(RunOf::Link(crate::plan::LinkId(1)))).len(),
        0
    );
    // The joint that comes apart takes all three ways with it.
    assert_eq!(of(Place::Joint(j)).len(), 2);
    assert_eq!(of(Place::Item(j)).len(), 0);
}

#[test]
fn all_that_can_happen_to_a_plan_in_one_list() {
    let p = plan(&CHAIN.replace("s 12 V 1 A", "s 12 V 5 A"));
    let what_if = WhatIf::of(&p, &Breaks::of(&p));
    let worst = what_if.worst().unwrap();
    assert_eq!((worst.place.word(), worst.dark.len()), ("item", 4));
    assert_eq!(
        p.items[match worst.place.of() {
            RunOf::Item(item) => item.0,
            RunOf::Link(_) => usize::MAX,
        }]
        .name
        .0,
        "f".into()
    );
    // All: f, j thrice (two legs, item) and its joint. a to d: two legs, itself; a's tape cuts off two, b's one.
    let spread: Vec<(usize, usize)> = what_if.spread().into_iter().collect();
    assert_eq!(
        spread,
        [(0, 1), (1, 3 + 3 + 1), (2, 3 + 1), (3, 3), (4, 1 + 4)]
    );
    assert_eq!(places(&p).len(), 20);
    // By hand: b's far end is 6 ohm away, 2 A: five times the 400 mA of the fuse.
    let b = what_if
        .shorts
        .iter()
        .find(|s| s.run.of.name(&p) == "b")
        .unwrap();
    assert_eq!(b.clears, Some(Clears::Within(crate::units::seconds(0.3))));
    let unfused = plan("supply s 12 V\njoint j from s over 1 m of ohm1\n");
    assert_eq!(
        WhatIf::of(&unfused, &Breaks::default()).shorts[0].clears,
        None
    );
}
