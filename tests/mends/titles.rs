//! The figures in a title are those that hover has when the mend is put in, where something ahead takes its share of the drop too.

#![allow(clippy::unwrap_used)] // A test that cannot go on says so by failing.

use std::sync::Arc;

use glimloom::checks::Analysis;
use glimloom::editor::hover::hover;
use glimloom::numbers::show;
use glimloom::plan::{Alone, FileId, FileKey};

const STOCK: &str = "\
led dot drops 2.9 V at 20 mA limit 20 mA colour warm-white
wire thin gauge 34 AWG insulation enamel colours red, green
tape hem group 3 lamps long 25 mm works 9 V to 12.6 V draws 18 mA at 12 V colour warm-white
supply box 12 V 1 A
fuse F1 100 mA from box
";

fn analysis(text: &str) -> Analysis {
    Analysis::of(FileKey::new("p"), Arc::from(text), &Alone, &|| false)
}

/// The titles of the mends of a check on a plan, each held against the current of what is called so, as hover has it.
fn titles(wiring: &str, check: &str, light: &str) -> Vec<String> {
    let before = analysis(&format!("{STOCK}{wiring}\n"));
    let problems = &before.plan.problems;
    assert!(problems.is_empty(), "{problems:#?}");
    let finding = before.findings.iter().position(|f| f.check == check);
    let finding = finding.unwrap_or_else(|| panic!("no {check}: {:#?}", before.findings));
    let mends = before.mends(finding);
    assert!(!mends.is_empty(), "no mend of {check}: {wiring}");
    let held = mends.into_iter().map(|mend| {
        let after = before.with_edits(&mend.edits);
        let is_light = |name: &&str| after.plan.item(name).is_some();
        let of_many = format!("{light}-1");
        let names = [of_many.as_str(), light];
        let name = names.into_iter().find(is_light).unwrap();
        let item = after.plan.item(name).unwrap();
        let amps = show(after.solution.with_all_on(item).unwrap().amps.typical);
        let at = after.plan.files[0]
            .text
            .find(&format!(" {name} of "))
            .unwrap()
            + 1;
        let hover = hover(&after, FileId(0), at).unwrap().markdown;
        assert!(hover.contains(&amps), "{amps}: {hover}");
        assert!(mend.title.contains(&amps), "{amps}: {}", mend.title);
        mend.title
    });
    held.collect()
}

fn lamp(damper: &str, resistor: &str) -> Vec<String> {
    let wiring = format!(
        "resistor damper {damper} 1 W from F1\nlamp glim of dot resistor {resistor} from damper over 20 mm of thin"
    );
    titles(&wiring, "lamp-over-limit", "glim")
}

/// By hand, the wire left out: in the bright corner 12.6 V − 2.8 V over 20 mA is 490 ohm, of which the damper has 0.95 of its
/// 150: (490 − 142.5) / 0.95 is 366 ohm, so 390; typical (12 − 2.87) V over 540 ohm.
#[test]
fn behind_a_resistor_the_value_is_for_what_the_lamp_has_then() {
    assert_eq!(
        lamp("150 ohm", "100 ohm"),
        ["390 ohm 1/4 W for glim instead of 100 ohm: 16.9 mA, not 35.7 mA"]
    );
    // (490 − 209) / 0.95 is 296 ohm; (490 − 95) / 0.95 is 416 ohm.
    assert!(lamp("220 ohm", "150 ohm")[0].starts_with("300 ohm"));
    assert!(lamp("100 ohm", "200 ohm")[0].starts_with("430 ohm"));
    // (490 − 44.65) / 0.95 is 469 ohm.
    for (damper, now) in [("47 ohm", "390 ohm"), ("47 ohm", "220 ohm")] {
        assert!(lamp(damper, now)[0].starts_with("470 ohm 1/2 W for glim"));
    }
    lamp("110 ohm", "330 ohm");
    lamp("120 ohm", "200 ohm");
}

#[test]
fn behind_a_battery_of_high_resistance_too() {
    let wiring = "supply pile 6 V capacity 500 mAh resistance 40 ohm\nfuse F2 100 mA from pile\nlamp glim of dot resistor 82 ohm from F2 over 20 mm of thin";
    let titles = titles(wiring, "lamp-over-limit", "glim");
    assert!(titles[0].starts_with("150 ohm"), "{titles:?}");
}

#[test]
fn off_target_behind_a_resistor_both_ways() {
    let off = |resistor: &str, wanted: &str| {
        let wiring = format!(
            "resistor damper 390 ohm 1 W from F1\nlamp glim of dot resistor {resistor} runs at {wanted} from damper over 20 mm of thin"
        );
        titles(&wiring, "lamp-off-target", "glim").remove(0)
    };
    // By hand, the lamp at 2.85 V at 15 mA and at 2.73 V at 8 mA: 9.15 V over 15 mA is 610 ohm, 220 of them the lamp's; 9.27 V
    // over 8 mA is 1159 ohm, 769 of them.
    assert!(off("1 kohm", "15 mA").starts_with("220 ohm"));
    assert!(off("10 ohm", "8 mA").starts_with("750 ohm"));
}

#[test]
fn where_others_hang_on_the_same_resistor() {
    let wiring = "resistor damper 47 ohm 1 W from F1\nlamp x of dot resistor 470 ohm 1/2 W from damper\nlamp y of dot resistor 470 ohm 1/2 W from damper\nlamp a of dot resistor 47 ohm from damper";
    titles(wiring, "lamp-over-limit", "a");
    let bare = "supply cell 12 V 1 A resistance 20 ohm\nfuse F2 100 mA from cell\nlamp a of dot from F2 over 1 m of thin";
    titles(bare, "lamp-over-limit", "a");
}

#[test]
fn strings_and_shared_resistors_behind_a_resistor() {
    let string = |damper: &str, lamps: u32| {
        format!(
            "fuse F2 250 mA from box\nresistor damper {damper} 1 W from F2\nstring row of dot {lamps} lamps resistor 10 ohm from damper over 20 mm of thin"
        )
    };
    titles(&string("47 ohm", 3), "lamp-over-limit", "row");
    // Split in two, and branched.
    assert_eq!(
        titles(&string("10 ohm", 4), "too-many-in-series", "row").len(),
        2
    );
    assert_eq!(
        titles(&string("22 ohm", 5), "too-many-in-series", "row").len(),
        2
    );
    let shared = "fuse F2 250 mA from box\nresistor damper 10 ohm 1 W from F2\nresistor r 220 ohm 1 W from damper\nlamp a of dot from r\nlamp b of dot from r\nlamp c of dot from r";
    let titles = titles(shared, "lamps-share-resistor", "a");
    assert!(titles[0].contains(" a lamp, and one failure"), "{titles:?}");
}

#[test]
fn tape_held_down_behind_a_resistor() {
    let wiring = "supply high 15 V 1 A\nfuse F2 100 mA from high\nresistor damper 10 ohm 1 W from F2\nstrip s of hem 12 lamps from damper";
    titles(wiring, "tape-overdriven", "s");
}
