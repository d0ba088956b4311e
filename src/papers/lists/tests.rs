//! The lists of a small plan, counted by hand.
#![allow(clippy::unwrap_used)]

use super::*;
use crate::plan::{Alone, FileKey};

/// One of nearly everything; a pattern with two copies.
const PLAN: &str = "\
harness \"Skerry light\" slack 10 mm
wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black have 1 m
wire fine gauge 32 AWG insulation enamel colours red, green
wire grey gauge 30 AWG colour grey
tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white have 60 mm
led pearl drops 3.0 V at 20 mA limit 25 mA colour white have 2
supply adapter 12 V 1 A
fuse F1 400 mA from adapter
switch main rated 1 A from F1 over 100 mm of hook
joint keel from main over 300 mm of hook return to adapter over 450 mm of grey
link ring between keel and main over 200 mm of fine
strip bow of warm 2 groups from keel over 80 mm of fine
strip stern of warm 3 lamps from bow over 40 mm of fine
lamp mast of pearl resistor 560 ohm from keel over 120 mm of fine
resistor damper 100 ohm 1/2 W from keel
string deck of pearl 3 lamps resistor 120 ohm 1/8 W from damper over 0 mm of fine
pattern wing
lamp wing.tip of pearl resistor 560 ohm from wing over 50 mm of fine
copy port of wing from keel over 60 mm of fine
copy starboard of wing from keel over 70 mm of fine
";

fn lists() -> (Analysis, Lists) {
    let a = Analysis::of(FileKey::new("p"), PLAN.into(), &Alone, &|| false);
    assert!(a.plan.left_out.is_empty());
    let lists = Lists::of(&a, allowances::usual_reel());
    (a, lists)
}

#[test]
fn wire_is_counted_by_legs_colours_and_copies() {
    let (a, lists) = lists();
    let said: Vec<_> = (lists.wires.iter())
        .map(|w| {
            let colours = w.colours.iter().map(|c| {
                let name = c.colour.as_ref().map_or("-", |n| &n.0);
                format!("{name} {} {:.0}", c.pieces, c.cut.value * 1e3)
            });
            let colours: Vec<_> = colours.collect();
            format!(
                "{} {} {:.0}: {}",
                a.plan.wires[w.wire.0].name.0,
                w.pieces,
                w.cut.value * 1e3,
                colours.join(", ")
            )
        })
        .collect();
    assert_eq!(
        said,
        [
            // main 100+20 twice, keel's plus 300+20.
            "hook 3 560: red 2 440, black 1 120",
            // ring 220, bow 100, stern 60, mast 140, tips 70 + 70, port 80, starboard 90, each twice.
            "fine 16 1660: red 8 830, green 8 830",
            "grey 1 470: grey 1 470",
        ]
    );
    // 560 mm and a tenth are 616 mm; 1 m is at hand. 1660 mm and a tenth are 1826 mm.
    let buy: Vec<_> = lists
        .wires
        .iter()
        .map(|w| (w.buy.unwrap().value * 1e3).round())
        .collect();
    assert_eq!(buy, [0.0, 1826.0, 517.0]);
}

#[test]
fn tape_is_cut_from_what_is_at_hand_and_from_reels() {
    let (_, lists) = lists();
    let [warm] = &lists.tapes[..] else {
        panic!("{:?}", lists.tapes)
    };
    assert_eq!((warm.groups, warm.cuts.len()), (3, 2));
    // 60 mm at hand are two groups: the longer strip is cut from them, the other from a reel.
    let from = warm.from.as_ref().unwrap();
    assert_eq!(
        (&from.from[..], from.buy, from.at_least),
        (&[None, Some(0)][..], 1, 1)
    );
}

#[test]
fn a_strip_longer_than_a_reel_is_joined() {
    let text = PLAN
        .replace("2 groups", "450 groups")
        .replace(" have 60 mm", "");
    let a = Analysis::of(FileKey::new("p"), text.into(), &Alone, &|| false);
    let warm = &Lists::of(&a, allowances::usual_reel()).tapes[0];
    // 200 groups of 25 mm a reel: 2 whole, 50 and the other's one group from a third.
    let from = warm.from.as_ref().unwrap();
    assert_eq!(
        (&from.whole[..], &from.from[..], from.buy),
        (&[2, 0][..], &[Some(0), Some(0)][..], 3)
    );
    let warm = &Lists::of(&a, metres(0.02)).tapes[0];
    assert!(warm.from.is_none());
}

#[test]
fn parts_are_counted_with_spares_less_what_is_at_hand() {
    let (_, lists) = lists();
    let said: Vec<_> = (lists.counted.iter())
        .map(|c| {
            format!(
                "{} {}: {}+{}, buy {}",
                c.kind.word(),
                c.what,
                c.used,
                c.spare,
                c.buy()
            )
        })
        .collect();
    assert_eq!(
        said,
        [
            "supply 12 V, 1 A: 1+0, buy 1",
            "fuse 400 mA quick: 1+2, buy 3",
            "switch rated 1 A: 1+0, buy 1",
            // mast, three on deck, two tips, one spare; two are at hand.
            "led white, 3 V at 20 mA: 6+1, buy 5",
        ]
    );
    let said: Vec<_> = (lists.resistors.iter())
        .map(|r| {
            format!(
                "{} {:?} {} {}+{}",
                r.ohms.value,
                r.rating.map(|p| p.value),
                r.stated,
                r.used,
                r.spare
            )
        })
        .collect();
    assert_eq!(
        said,
        [
            "100 Some(0.5) true 1+1",
            "120 Some(0.125) true 1+1",
            // At 12.6 V some 17 mA: 0.16 W, which is more than six tenths of 1/4 W.
            "560 Some(0.5) false 3+1",
        ]
    );
}

#[test]
fn a_reel_is_read_as_a_length_of_a_plan_is() {
    let mm = |text: &str| reel_of(text).map(|l| (l.value * 1e3).round());
    assert_eq!(
        [mm("5 m"), mm("16ft"), mm("120cm")],
        [Some(5000.0), Some(4877.0), Some(1200.0)]
    );
    for wrong in [
        "",
        "5",
        "0 m",
        "-1 m",
        "5 V",
        "5 m 6 m",
        "5 m\nwire",
        "5 m headroom 5 %",
        "5 m note \"x\"",
    ] {
        assert!(reel_of(wrong).is_none(), "{wrong:?}");
    }
}

#[test]
fn names_and_texts_stay_text_in_a_spreadsheet() {
    let (a, lists) = lists();
    let csv = csv::csv(&a.plan, &lists);
    let lines: Vec<_> = csv.lines().collect();
    assert_eq!(
        lines[0],
        r#""list","name","what","used","extra","at hand","to buy","unit","for""#
    );
    assert!(lines.contains(&r#""led","pearl","white, 3 V at 20 mA",6,1,2,5,"piece","mast, deck, port.tip, starboard.tip""#), "{csv}");
    assert!(
        lines.contains(&r#""wire","fine","32 AWG (0.202 mm), enamel",1.66,0.166,"",1.826,"m","""#),
        "{csv}"
    );
}
