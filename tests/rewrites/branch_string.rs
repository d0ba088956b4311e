//! Branching a string: lamps in series become lamps side by side.

use super::*;
use glimloom::numbers::show;
use glimloom::rewrites::{Candidate, branch_string};
use glimloom::units::amps;

const FEED: &str = "\
supply adapter 12 V 1 A in hold
fuse F1 400 mA from adapter
joint keel from F1 over 100 mm of hook via well in saloon
";

fn candidates(plan: &Plan, string: &str) -> Vec<Candidate> {
    branch_string(plan, &solved(plan), item(plan, string))
}

/// What stands behind [`FEED`] after the rewrite, and its title.
fn branched(text: &str, string: &str) -> (String, String) {
    let plan = plan_of(&format!("{FEED}{text}"));
    let candidate = candidates(&plan, string).remove(0);
    let after = changed(&plan, &candidate.edits);
    let after = after.strip_prefix(FEED).expect("the feed stays");
    (after.to_string(), candidate.title)
}

#[test]
fn each_lamp_has_its_own_resistor_and_keeps_the_rest() {
    let (after, title) = branched(
        "\
string row of pearl 3 lamps resistor 150 ohm from keel over 80 mm of fine via stair in bridge # by the door
lamp mast of pearl resistor 560 ohm from keel over 90 mm of fine
",
        "row",
    );
    // By hand: (12 V − 3 V) / 20 mA = 450 ohm; 430 and 470 are next; 470 gives 19.2 mA, and
    // (19.2 mA)² · 470 ohm is 0.17 W, over 60 % of 1/4 W.
    assert_eq!(
        after,
        "\
lamp row-1 of pearl resistor 470 ohm 1/2 W from keel over 80 mm of fine via stair in bridge # by the door
lamp row-2 of pearl resistor 470 ohm 1/2 W from keel over 80 mm of fine via stair in bridge
lamp row-3 of pearl resistor 470 ohm 1/2 W from keel over 80 mm of fine via stair in bridge
lamp mast of pearl resistor 560 ohm from keel over 90 mm of fine
"
    );
    // The string draws (12 − 9) V / 150 ohm, 20 mA; mast about 16.2 mA.
    assert_eq!(
        title,
        "branch row: 3 lamps at 19.2 mA each through 470 ohm 1/2 W; \
         adapter goes from 36.1 mA to 73.7 mA of 1 A; one break darkens 1 light, not 3"
    );
}

#[test]
fn the_title_says_what_the_changed_plan_has() {
    let text = format!(
        "{FEED}string row of pearl 3 lamps resistor 330 ohm runs at 10 mA from keel over 80 mm of fine\n"
    );
    let plan = plan_of(&text);
    let candidate = candidates(&plan, "row").remove(0);
    let again = plan_of(&changed(&plan, &candidate.edits));
    let lamp = most(&again, "row-1", |f| f.amps.typical.value);
    let adapter = most(&again, "adapter", |f| f.passes.typical.value);
    assert!((lamp / 0.010 - 1.0).abs() < 0.05, "{lamp}");
    assert!(
        candidate
            .title
            .contains(&format!("at {} each", show(amps(lamp)))),
        "{}",
        candidate.title
    );
    assert!(
        candidate
            .title
            .contains(&format!("to {} of 1 A", show(amps(adapter)))),
        "{} {adapter}",
        candidate.title
    );
    assert!(most(&again, "row-1", |f| f.amps.high.value) < 0.025);
}

#[test]
fn notes_stay_with_the_first_and_the_writing_is_kept() {
    // By hand: 12.6 V − 2.9 V over 589 ohm is 16.5 mA in the bright corner, 0.17 W in 620 ohm.
    let (after, _) = branched(
        "\
# the row
string row
  of pearl   # a bag of ten
  3 lamps
  note \"warm\"
  accept series-string because \"three are few\"
  from keel  # left
    over 8 cm of fine
  resistor 150R 1/4 W at lamp
  runs at 15 mA
  # below it

zone far
",
        "row",
    );
    assert_eq!(
        after,
        "\
# the row
lamp row-1
  of pearl   # a bag of ten
  note \"warm\"
  from keel  # left
    over 8 cm of fine
  resistor 620 ohm 1/2 W at lamp
  runs at 15 mA
  # below it
lamp row-2 of pearl from keel over 8 cm of fine resistor 620 ohm 1/2 W at lamp runs at 15 mA
lamp row-3 of pearl from keel over 8 cm of fine resistor 620 ohm 1/2 W at lamp runs at 15 mA

zone far
"
    );
}

#[test]
fn a_string_without_a_resistor_and_with_a_name_taken() {
    let plan = plan_of(
        "supply adapter 9 V 1 A\r\n\
         lamp row-2 of pearl resistor 330 ohm from adapter over 1 m of hook\r\n\
         string row of pearl 2 lamps from adapter over 1 m of hook\r\n",
    );
    // 9 V − 3 V over 20 mA is 300 ohm; 300 is of the series, bright: 9.45 V − 2.9 V over 285 ohm.
    assert_eq!(
        changed(&plan, &candidates(&plan, "row")[0].edits),
        "supply adapter 9 V 1 A\r\n\
         lamp row-2 of pearl resistor 330 ohm from adapter over 1 m of hook\r\n\
         lamp row-1 of pearl resistor 300 ohm 1/2 W from adapter over 1 m of hook\r\n\
         lamp row-3 of pearl resistor 300 ohm 1/2 W from adapter over 1 m of hook\r\n"
    );
}

#[test]
fn whatever_names_the_string_names_the_lamps() {
    let (after, _) = branched(
        "\
string row of pearl 2 lamps resistor 330 ohm from keel over 80 mm of fine via stair in bridge
lamp end of pearl resistor 560 ohm from row over 30 mm of fine
lamp back of pearl resistor 560 ohm from keel over 30 mm of fine return to row
link ring between row and F1 over 200 mm of fine
scene dusk off row, end
scene night only end, row
stage hull fits row seals bridge
tried row 15 mA at 9 V
  on 2026-03-14   # with the bench supply
  # it was cold
",
        "row",
    );
    assert_eq!(
        after,
        "\
lamp row-1 of pearl resistor 470 ohm 1/2 W from keel over 80 mm of fine via stair in bridge
lamp row-2 of pearl resistor 470 ohm 1/2 W from keel over 80 mm of fine via stair in bridge
lamp end of pearl resistor 560 ohm from keel over 110 mm of fine via stair in bridge
lamp back of pearl resistor 560 ohm from keel over 30 mm of fine return to keel over 110 mm of fine via stair
link ring between row-1 and F1 over 200 mm of fine
scene dusk off row-1, row-2, end
scene night only end, row-1, row-2
stage hull fits row-1, row-2 seals bridge
# tried as a string: row 15 mA at 9 V
#   on 2026-03-14   # with the bench supply
  # it was cold
"
    );
}

#[test]
fn a_string_that_is_a_piece_is_branched_in_the_pattern() {
    let plan = plan_of(&format!(
        "{FEED}\
pattern wing needs lens
string wing.row of wing.lens 2 lamps resistor 330 ohm from wing over 80 mm of fine
lamp wing.end of wing.lens resistor 560 ohm from wing.row over 20 mm of fine
copy port of wing from keel over 90 mm of fine where lens pearl
copy starboard of wing from keel over 120 mm of fine where lens pearl
scene dusk off port.row
"
    ));
    let after = changed(&plan, &candidates(&plan, "port.row")[0].edits);
    assert!(after.contains(
        "\
lamp wing.row-1 of wing.lens resistor 470 ohm 1/2 W from wing over 80 mm of fine
lamp wing.row-2 of wing.lens resistor 470 ohm 1/2 W from wing over 80 mm of fine
lamp wing.end of wing.lens resistor 560 ohm from wing over 100 mm of fine
"
    ));
    assert!(after.ends_with("scene dusk off port.row-1, port.row-2, port.end\n"));
}

#[test]
fn what_cannot_be_branched_is_left_to_the_builder() {
    let plan = plan_of(&format!(
        "{FEED}\
led jade
  drops 2.0 V at 20 mA
pattern wing needs lens
string wing.row of wing.lens 2 lamps resistor 330 ohm from wing over 80 mm of fine
copy port of wing from keel over 90 mm of fine where lens pearl
copy starboard of wing from keel over 120 mm of fine where lens jade
pattern tail
string tail.row of pearl 2 lamps resistor 330 ohm from tail over 80 mm of fine
copy stern of tail from keel over 90 mm of fine
  but row resistor 470 ohm
supply cell 3.1 V
string dim of jade 2 lamps from cell
lamp single of pearl resistor 560 ohm from keel
"
    ));
    for (name, why) in [
        ("port.row", "the copies have other lamps"),
        ("stern.row", "a copy has another resistor"),
        ("single", "no string"),
        ("keel", "no light"),
    ] {
        assert_eq!(candidates(&plan, name), [], "{why}");
    }
    // One lamp of 2 V on 3.1 V: 55 ohm; 56 is of the series.
    assert!(
        candidates(&plan, "dim")[0]
            .title
            .contains("through 56 ohm 1/8 W")
    );
}
