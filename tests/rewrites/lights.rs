//! What mends lamps and tape: a resistor, fewer in series, a rectifier, thicker wire, the far end fed, the voltage held down.

use super::*;
use glimloom::rewrites::{
    Candidate, choose_resistor, feed_both_ends, hold_down, insert_rectifier, share_out_resistor,
    split_string, thicken_wire,
};
use glimloom::units::amps;

/// The changed plans of candidates, with their titles.
fn all(plan: &Plan, candidates: Vec<Candidate>) -> Vec<(String, String)> {
    let one = |c: Candidate| (changed(plan, &c.edits), c.title);
    candidates.into_iter().map(one).collect()
}

#[test]
fn a_resistor_for_the_wanted_current() {
    let of = |text: &str, wanted: Option<f64>| {
        let plan = plan_of(text);
        let lamp = plan.items.iter().position(|i| i.is_light()).unwrap();
        let candidates = choose_resistor(&plan, &solved(&plan), ItemId(lamp), wanted.map(amps));
        all(&plan, candidates)
    };
    // By hand: 12 V − 3 V at 20 mA asks for 450 ohm; 470 gives 19.2 mA, and 0.22 W at most: 1/2 W. With
    // none, 12 V − 3 V − 0.2 V over the lamp's own 10 ohm.
    let plain = "supply a 12 V 1 A\nlamp mast of pearl   # aloft\n  from a\n";
    assert_eq!(
        of(plain, None),
        [(
            "supply a 12 V 1 A\nlamp mast of pearl resistor 470 ohm 1/2 W # aloft\n  from a\n"
                .to_string(),
            "a resistor of 470 ohm 1/2 W for mast: 19.2 mA, not 900 mA".to_string()
        )]
    );
    // What is there already is no change; a rating that is enough stays.
    assert_eq!(
        of(
            "supply a 12 V 1 A\nlamp m of pearl resistor 470R from a\n",
            None
        ),
        []
    );
    let text = "supply a 12 V 1 A\nlamp m of pearl resistor 100R 1 W at lamp from a\n";
    assert_eq!(of(text, None)[0].0, text.replace("100R", "470 ohm"));
    // By hand: 5 mA drops 2.78 V: 9.22 V over 5 mA is 1.84 kohm.
    assert_eq!(of(text, Some(0.005))[0].0, text.replace("100R", "1.8 kohm"));
    assert_eq!(of("supply a 2.5 V 1 A\nlamp m of pearl from a\n", None), []);
}

#[test]
fn a_resistor_ahead_gets_another_value() {
    // By hand: (12 − 3.0 − 0.07 + 0.2) V over 100 ohm and the lamp’s own 10 is 83 mA; 470 ohm gives 19.2 mA.
    let text = "supply a 12 V 1 A\nresistor R1 100 ohm from a over 90 mm of fine\nlamp l of pearl from R1\n";
    let plan = plan_of(text);
    let candidates = choose_resistor(&plan, &solved(&plan), item(&plan, "l"), None);
    assert_eq!(
        all(&plan, candidates),
        [(
            text.replace("100 ohm", "470 ohm 1/2 W"),
            "470 ohm 1/2 W for R1 instead of 100 ohm: 19.2 mA, not 82.9 mA".to_string()
        )]
    );
}

#[test]
fn a_copy_that_says_otherwise_keeps_saying_it() {
    let text = "supply a 12 V 1 A\npattern p\nlamp p.l of pearl resistor 560 ohm from p\ncopy x of p from a\ncopy y of p from a but l resistor 47 ohm 1/8 W\n";
    let plan = plan_of(text);
    let candidates = choose_resistor(&plan, &solved(&plan), item(&plan, "y.l"), None);
    assert_eq!(
        all(&plan, candidates)[0].0,
        text.replace("47 ohm 1/8 W", "470 ohm 1/2 W")
    );
}

#[test]
fn fewer_in_series() {
    let text = "supply a 12 V 1 A in hold\nstring row of pearl 5 lamps resistor 10 ohm 1/4 W from a over 50 mm of fine\nscene night off row\n";
    let plan = plan_of(text);
    let candidates = split_string(&plan, &solved(&plan), item(&plan, "row"), 0.9);
    // 0.9 × 12 V take three of 3 V: two strings, of 3 and 2. By hand: 3 V over 20 mA is 150 ohm, but 12.6 V − 8.7 V
    // over 142.5 ohm and the lamps' own rise passes 25 mA; 6 V over 20 mA is 300 ohm.
    let [(after, title)] = &all(&plan, candidates)[..] else {
        panic!("not one");
    };
    let lines: Vec<&str> = after.lines().collect();
    assert!(
        lines[1].starts_with("string row of pearl 3 lamps resistor "),
        "{after}"
    );
    assert_eq!(
        lines[2],
        "string row-2 of pearl 2 lamps resistor 300 ohm 1/2 W from a over 50 mm of fine"
    );
    assert_eq!(lines[3], "scene night off row, row-2");
    assert_eq!(
        title,
        "2 strings side by side instead of 5 lamps in series: 3 lamps through 160 ohm 1/4 W with 19 mA, 2 lamps through 300 ohm 1/2 W with 20 mA"
    );
    let after = plan_of(after);
    for name in ["row", "row-2"] {
        let typical = most(&after, name, |f| f.amps.typical.value);
        let high = most(&after, name, |f| f.amps.high.value);
        assert!(typical > 0.012 && high <= 0.025, "{name}: {typical} {high}");
    }
}

#[test]
fn a_resistor_each() {
    let text = "supply a 12 V 1 A\nresistor R1 150 ohm 2 W from a over 90 mm of fine # warm\nlamp l of pearl from R1\nlamp m of pearl runs at 5 mA from R1\n";
    let plan = plan_of(text);
    let lamps = [item(&plan, "l"), item(&plan, "m")];
    let candidates = share_out_resistor(&plan, &solved(&plan), item(&plan, "R1"), &lamps);
    assert_eq!(
        all(&plan, candidates)[0].0,
        "supply a 12 V 1 A\njoint R1 from a over 90 mm of fine # warm\nlamp l of pearl resistor 470 ohm 1/2 W from R1\nlamp m of pearl resistor 1.8 kohm 1/8 W runs at 5 mA from R1\n"
    );
    // A strip that needs the resistor keeps it there.
    let plan = plan_of(&format!("{text}strip s of warm 3 lamps from R1\n"));
    let candidates = share_out_resistor(&plan, &solved(&plan), item(&plan, "R1"), &lamps);
    assert_eq!(candidates, []);
}

#[test]
fn a_rectifier_behind_the_fuse_or_the_supply() {
    let of = |text: &str| {
        let plan = plan_of(text);
        let candidates = insert_rectifier(&plan, &solved(&plan), item(&plan, "rails"));
        all(&plan, candidates)[0].0.clone()
    };
    assert_eq!(
        of(
            "supply rails 14 V 1 A either-way\nfuse F 250 mA from rails\nlamp l of pearl resistor 680 ohm from F over 50 mm of fine\nlink k between l and F over 60 mm of fine\nscene dark off F\n"
        ),
        "supply rails 14 V 1 A either-way\nfuse F 250 mA from rails\nrectifier bridge-2 from F\nlamp l of pearl resistor 680 ohm from bridge-2 over 50 mm of fine\nlink k between l and bridge-2 over 60 mm of fine\nscene dark off F\n"
    );
    assert_eq!(
        of(
            "supply rails 14 V 1 A either-way\nlamp lone of pearl resistor 680 ohm from rails\nlamp l of pearl resistor 680 ohm from rails\n"
        ),
        "supply rails 14 V 1 A either-way\nrectifier bridge-2 from rails\nlamp lone of pearl resistor 680 ohm from bridge-2\nlamp l of pearl resistor 680 ohm from bridge-2\n"
    );
}

#[test]
fn thicker_wire_where_most_is_lost() {
    let text = "supply a 12 V 1 A\njoint k from a over 2 m of fine\nstrip s of warm 6 lamps from k over 50 mm of fine\nwire bar\n  gauge 14 AWG\n";
    let plan = plan_of(text);
    let candidates = thicken_wire(&plan, &solved(&plan), item(&plan, "s"));
    let all = all(&plan, candidates);
    let lines: Vec<&str> = all.iter().map(|c| c.0.lines().nth(1).unwrap()).collect();
    assert_eq!(
        lines,
        [
            "joint k from a over 2 m of hook",
            "joint k from a over 2 m of bar"
        ]
    );
    // By hand: 32 AWG has 0.538 ohm a metre (ASTM B258); 4 m at 35 mA lose 76 mV; eight gauges thicker, 6.36 times less.
    assert_eq!(
        all[0].1,
        "hook instead of fine to k: 11.9 mV lost there, not 75.9 mV"
    );
}

#[test]
fn the_far_end_is_fed_too() {
    let text = "supply a 12 V 1 A in hold\nstrip s of warm 60 lamps from a over 80 mm of fine via well in saloon\n";
    let plan = plan_of(text);
    let candidates = feed_both_ends(&plan, &solved(&plan), item(&plan, "s"));
    // 20 groups of 25 mm and the run.
    assert_eq!(
        all(&plan, candidates),
        [(
            format!("{text}link far-feed between s and a over 580 mm of fine via well\n"),
            "feed s from both ends: a link back to a, 1160 mm more wire for both legs".to_string()
        )]
    );
    let plan = plan_of(&format!(
        "{text}link l between s and a over 600 mm of fine\n"
    ));
    assert_eq!(feed_both_ends(&plan, &solved(&plan), item(&plan, "s")), []);
}

#[test]
fn the_voltage_is_held_down() {
    let plan = plan_of("supply a 15 V 1 A\nstrip s of warm 6 lamps from a over 80 mm of fine\n");
    let all = all(&plan, hold_down(&plan, &solved(&plan), item(&plan, "s")));
    let [resistor, regulator] = &all[..] else {
        panic!("{all:?}");
    };
    let text = |ahead: &str, name: &str| {
        format!(
            "supply a 15 V 1 A\n{ahead} from a\nstrip s of warm 6 lamps from {name} over 80 mm of fine\n"
        )
    };
    assert_eq!(regulator.0, text("regulator s-feed 12 V 100 mA", "s-feed"));
    assert_eq!(
        regulator.1,
        "a regulator of 12 V 100 mA ahead of s: it has 12 V, not 14.99 V, and draws 36 mA"
    );
    assert!(resistor.0.contains("\nresistor s-drop ") && resistor.0.contains("from s-drop over"));
    let after = plan_of(&resistor.0);
    let highest = most(&after, "s", |f| f.volts.high.value);
    assert!((11.9..=12.6).contains(&highest), "{highest}");
    let heat = most(&after, "s-drop", |f| f.watts.high.value);
    assert!(heat <= 0.6 * 0.5, "{heat}: {}", resistor.1);
}
