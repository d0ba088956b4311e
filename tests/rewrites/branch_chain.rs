//! Branching a chain: each light its own way back to the joint, or the ring closed.

use super::*;
use glimloom::rewrites::{Candidate, branch_chain};

const FEED: &str = "\
supply adapter 12 V 1 A in hold
fuse F1 400 mA from adapter
joint keel from F1 over 600 mm of hook via well in saloon
";

fn candidates(plan: &Plan, light: &str) -> Vec<Candidate> {
    branch_chain(plan, &Solution::default(), item(plan, light))
}

/// What stands behind [`FEED`] after the preferred rewrite.
fn branched(text: &str, light: &str) -> String {
    let plan = plan_of(&format!("{FEED}{text}"));
    let candidate = candidates(&plan, light).remove(0);
    let after = changed(&plan, &candidate.edits);
    after
        .strip_prefix(FEED)
        .expect("the feed stays")
        .to_string()
}

const ROW: &str = "\
strip  saloon-1 of warm 6 lamps    from keel     over 120 mm of fine  in saloon
strip  saloon-2 of warm 6 lamps    from saloon-1 over 40 mm of fine   in saloon   # chained
strip  saloon-3 of warm 3 lamps    from saloon-2 over 40 mm of fine   in saloon

strip  saloon-4 of warm 3 lamps    from saloon-3 over 50 mm of fine   in saloon
";

#[test]
fn each_light_of_a_row_has_its_own_run_to_the_joint() {
    // 40 + 50 tape + 120; 40 + 50 + 40 + 50 + 120; 50 + 25 + 40 + 50 + 40 + 50 + 120
    let after = "\
strip  saloon-1 of warm 6 lamps    from keel     over 120 mm of fine  in saloon
strip  saloon-2 of warm 6 lamps    from keel     over 210 mm of fine  in saloon   # chained
strip  saloon-3 of warm 3 lamps    from keel     over 300 mm of fine  in saloon

strip  saloon-4 of warm 3 lamps    from keel     over 375 mm of fine  in saloon
";
    for light in ["saloon-1", "saloon-2", "saloon-4"] {
        assert_eq!(branched(ROW, light), after, "from {light}");
    }
    let plan = plan_of(&format!("{FEED}{ROW}"));
    assert_eq!(
        candidates(&plan, "saloon-3")[0].title,
        "branch saloon-2 to -4 from keel: one break darkens 1 light, not 4; 1510 mm more wire for both legs"
    );
}

#[test]
fn a_row_may_be_closed_to_a_ring() {
    let plan = plan_of(&format!("{FEED}{ROW}"));
    let all = candidates(&plan, "saloon-1");
    assert_eq!(all.len(), 2);
    assert_eq!(
        all[1].title,
        "close the ring from saloon-4 back to keel: one break darkens 1 light, not 4; 800 mm more wire for both legs"
    );
    assert_eq!(
        changed(&plan, &all[1].edits),
        format!("{FEED}{ROW}link ring between saloon-4 and keel over 400 mm of fine\n")
    );
}

#[test]
fn what_is_on_no_chain_is_left_alone() {
    let plan = plan_of(&format!(
        "{FEED}lamp a of pearl resistor 560 ohm from keel over 90 mm of fine\n\
         lamp b of pearl resistor 560 ohm from keel over 90 mm of fine\n"
    ));
    assert_eq!(candidates(&plan, "a"), []);
    assert_eq!(candidates(&plan, "keel"), []);
}

#[test]
fn lamps_and_strings_and_strips_mixed() {
    assert_eq!(
        branched(
            "\
lamp   mast of pearl resistor 560 ohm from keel over 200 mm of hook
string row of pearl 3 lamps
  resistor 150 ohm
  from mast       # soldered to the mast's wires
    over 3 cm of fine
  note \"a row\"
strip  shelf of warm 6 lamps from row in saloon
lamp   end of pearl resistor 560 ohm from shelf over 1in of fine
",
            "end"
        ),
        // row 3 + 20 cm; shelf has no run of its own: row's wire, 3 + 20 cm; end 1 + (50 + 230) / 25.4
        "\
lamp   mast of pearl resistor 560 ohm from keel over 200 mm of hook
string row of pearl 3 lamps
  resistor 150 ohm
  from keel       # soldered to the mast's wires
    over 23 cm of fine
  note \"a row\"
strip  shelf of warm 6 lamps from keel over 23 cm of fine in saloon
lamp   end of pearl resistor 560 ohm from keel over 12.1in of fine
"
    );
}

#[test]
fn passages_are_carried_over_and_steps_back_cancelled() {
    assert_eq!(
        branched(
            "\
lamp a of pearl resistor 560 ohm from keel over 100 mm of fine via stair in bridge
lamp b of pearl resistor 560 ohm from a over 30 mm of fine
lamp c of pearl resistor 560 ohm from b over 80 mm of fine via stair in saloon
lamp d of pearl resistor 560 ohm from c over 90 mm of fine via well in hold
lamp e of pearl resistor 560 ohm from d over 90 mm of fine via well, stair in bridge
",
            "c"
        ),
        "\
lamp a of pearl resistor 560 ohm from keel over 100 mm of fine via stair in bridge
lamp b of pearl resistor 560 ohm from keel over 130 mm of fine via stair in bridge
lamp c of pearl resistor 560 ohm from keel over 210 mm of fine in saloon
lamp d of pearl resistor 560 ohm from keel over 300 mm of fine via well in hold
lamp e of pearl resistor 560 ohm from keel over 390 mm of fine via stair in bridge
"
    );
}

#[test]
fn without_a_joint_ahead_a_new_one_is_made() {
    let before = "\
# Fore and aft.

# the bow, by the door
strip bow of warm 3 lamps from F1 over 100 mm of fine # a
strip stern of warm 3 lamps from bow over 20 mm of fine # b
";
    assert_eq!(
        branched(before, "stern"),
        "\
# Fore and aft.

joint split from F1
# the bow, by the door
strip bow of warm 3 lamps from split over 100 mm of fine # a
strip stern of warm 3 lamps from split over 145 mm of fine # b
"
    );
    let plan = plan_of(&format!("{FEED}{before}"));
    let all = candidates(&plan, "bow");
    assert_eq!(
        all[0].title,
        "branch bow and stern from split, a new joint behind F1: \
         one break darkens 1 light, not 2; 250 mm more wire for both legs"
    );
    assert!(
        changed(&plan, &all[1].edits)
            .ends_with("# b\nlink ring between stern and F1 over 170 mm of fine\n")
    );
}

#[test]
fn a_chain_straight_from_a_supply_or_an_output() {
    let plan = plan_of(
        "\
supply adapter 12 V 1 A
module flasher
  works 5 V to 15 V
  draws 5 mA
  output a 40 mA
  output b 40 mA sinks
lamp p of pearl resistor 560 ohm from adapter over 10 mm of fine
lamp q of pearl resistor 560 ohm from p over 10 mm of fine
board blink of flasher from adapter over 60 mm of fine
lamp r of pearl resistor 560 ohm from blink.a over 10 mm of fine
lamp s of pearl resistor 560 ohm from r over 10 mm of fine
lamp t of pearl resistor 560 ohm from adapter over 20 mm of fine return to blink.b
lamp u of pearl resistor 560 ohm from t over 10 mm of fine
",
    );
    let of = |light: &str| changed(&plan, &candidates(&plan, light)[0].edits);
    assert!(of("q").contains(
        "\
joint split from adapter
lamp p of pearl resistor 560 ohm from split over 10 mm of fine
lamp q of pearl resistor 560 ohm from split over 20 mm of fine
board"
    ));
    assert!(of("s").contains(
        "\
joint split from blink.a
lamp r of pearl resistor 560 ohm from split over 10 mm of fine
lamp s of pearl resistor 560 ohm from split over 20 mm of fine
lamp t"
    ));
    assert!(of("u").ends_with(
        "\
joint split from adapter return to blink.b
lamp t of pearl resistor 560 ohm from split over 20 mm of fine return to split
lamp u of pearl resistor 560 ohm from split over 30 mm of fine
"
    ));
}

#[test]
fn separate_returns_go_back_to_the_chains_own() {
    assert_eq!(
        branched(
            "\
joint rail from F1 over 50 mm of hook
lamp a of pearl resistor 560 ohm from keel over 100 mm of fine return to rail over 70 mm of fine via stair
lamp b of pearl resistor 560 ohm from a over 30 mm of fine
lamp c of pearl resistor 560 ohm from b over 20 mm of fine return to b
lamp d of pearl resistor 560 ohm from c over 20 mm of fine return to a over 1 cm of hook
lamp e of pearl resistor 560 ohm from keel over 20 mm of fine return to d
",
            "a"
        ),
        "\
joint rail from F1 over 50 mm of hook
lamp a of pearl resistor 560 ohm from keel over 100 mm of fine return to rail over 70 mm of fine via stair
lamp b of pearl resistor 560 ohm from keel over 130 mm of fine return to rail over 100 mm of fine via stair
lamp c of pearl resistor 560 ohm from keel over 150 mm of fine return to rail over 120 mm of fine via stair
lamp d of pearl resistor 560 ohm from keel over 170 mm of fine return to rail over 8 cm of hook via stair
lamp e of pearl resistor 560 ohm from keel over 20 mm of fine return to rail over 100 mm of fine via stair
"
    );
}

#[test]
fn a_joint_behind_a_light_takes_its_branches_along() {
    assert_eq!(
        branched(
            "\
strip a of warm 3 lamps from keel over 100 mm of fine
joint far from a over 10 mm of hook
lamp b of pearl resistor 560 ohm from far over 30 mm of fine
lamp c of pearl resistor 560 ohm from b over 5 mm of fine
",
            "c"
        ),
        "\
strip a of warm 3 lamps from keel over 100 mm of fine
joint far from keel over 135 mm of hook
lamp b of pearl resistor 560 ohm from far over 30 mm of fine
lamp c of pearl resistor 560 ohm from far over 35 mm of fine
"
    );
}

/// A plug that is branched with its two lamps is one break for both: the title speaks of the first of the chain alone.
#[test]
fn what_takes_lights_along_may_still_darken_them() {
    let plug = "\
strip a of warm 3 lamps from keel over 100 mm of fine
connector plug from a over 10 mm of hook
lamp b of pearl resistor 560 ohm from plug over 30 mm of fine
lamp c of pearl resistor 560 ohm from plug over 5 mm of fine
";
    let plan = plan_of(&format!("{FEED}{plug}"));
    let title = &candidates(&plan, "c")[0].title;
    assert!(
        title.starts_with("branch plug from keel: a break at a darkens 1 light, not 3; "),
        "{title}"
    );
}

#[test]
fn lights_that_sit_on_each_other_stay_on_the_point() {
    assert_eq!(
        branched(
            "lamp a of pearl resistor 560 ohm from keel\n\
             lamp b of pearl resistor 560 ohm from a\n\
             strip c of warm 3 lamps from b\n\
             strip d of warm 3 lamps from c\n",
            "a"
        ),
        // The tape of c is what d's run has to span; the wire is that of the joint's feed.
        "lamp a of pearl resistor 560 ohm from keel\n\
         lamp b of pearl resistor 560 ohm from keel\n\
         strip c of warm 3 lamps from keel\n\
         strip d of warm 3 lamps from keel over 25 mm of hook\n"
    );
}

#[test]
fn line_ends_comments_and_taken_names_are_respected() {
    let plan = plan_of(
        "supply adapter 12 V 1 A\r\n\
         lamp split of pearl resistor 560 ohm from adapter over 10 mm of fine\r\n\
         \r\n\
         # the first\r\n\
         lamp a of pearl resistor 560 ohm from adapter # why not\r\n  over 10 mm of fine\r\n\
         \t# behind a\r\n\
         lamp Split-2 of pearl resistor 560 ohm\r\n\tfrom a over 10mm of fine\r\n\
         \t# behind it\r\n\
         \r\n\
         # the end",
    );
    assert_eq!(
        changed(&plan, &candidates(&plan, "a")[0].edits),
        "supply adapter 12 V 1 A\r\n\
         lamp split of pearl resistor 560 ohm from adapter over 10 mm of fine\r\n\
         \r\n\
         joint split-3 from adapter\r\n\
         # the first\r\n\
         lamp a of pearl resistor 560 ohm from split-3 # why not\r\n  over 10 mm of fine\r\n\
         \t# behind a\r\n\
         lamp Split-2 of pearl resistor 560 ohm\r\n\tfrom split-3 over 20mm of fine\r\n\
         \t# behind it\r\n\
         \r\n\
         # the end"
    );
    assert!(changed(&plan, &candidates(&plan, "a")[1].edits).ends_with(
        "\t# behind it\r\n\
             link ring between Split-2 and adapter over 20mm of fine\r\n\
             \r\n\
             # the end"
    ));
}

#[test]
fn a_file_may_end_without_a_line_end() {
    let plan = plan_of(&format!(
        "{FEED}lamp a of pearl resistor 560 ohm from keel over 1 m of fine\n\
         lamp b of pearl resistor 560 ohm from a over 0.5 m of fine"
    ));
    assert!(
        changed(&plan, &candidates(&plan, "b")[1].edits).ends_with(
            "from a over 0.5 m of fine\nlink ring between b and keel over 1.5 m of fine"
        )
    );
}

#[test]
fn a_chain_of_pieces_is_branched_in_the_pattern() {
    let pattern = "\
pattern wing needs lens, spar, bay
lamp wing.tip  of wing.lens resistor 560 ohm from wing over 190 mm of fine via wing.spar in wing.bay
lamp wing.root of wing.lens resistor 560 ohm from wing.tip over 70 mm of fine
copy port of wing from keel over 110 mm of fine where lens pearl, bay bridge, spar stair
copy starboard of wing from keel over 130 mm of fine where lens pearl, bay hold, spar well
";
    let plan = plan_of(&format!("{FEED}{pattern}"));
    let all = candidates(&plan, "port.root");
    assert_eq!(
        changed(&plan, &all[0].edits),
        format!("{FEED}{pattern}").replace(
            "from wing.tip over 70 mm of fine",
            "from wing over 260 mm of fine via wing.spar in wing.bay"
        )
    );
    assert_eq!(
        all[0].title,
        "branch wing.root from wing: one break darkens 1 light, not 2; 380 mm more wire for both legs in each copy"
    );
    assert!(changed(&plan, &all[1].edits).contains(
        "from wing.tip over 70 mm of fine\n\
         link wing.ring between wing.root and wing over 260 mm of fine via wing.spar\n"
    ));
}

#[test]
fn a_new_joint_in_a_pattern_is_a_piece_of_it() {
    let plan = plan_of(&format!(
        "{FEED}\
pattern wing
switch wing.key from wing
lamp wing.tip  of pearl resistor 560 ohm from wing.key over 190 mm of fine
lamp wing.root of pearl resistor 560 ohm from wing.tip over 70 mm of fine
copy port of wing from keel over 110 mm of fine
copy starboard of wing from keel over 130 mm of fine
"
    ));
    assert!(
        changed(&plan, &candidates(&plan, "starboard.tip")[0].edits).contains(
            "\
switch wing.key from wing
joint wing.split from wing.key
lamp wing.tip  of pearl resistor 560 ohm from wing.split over 190 mm of fine
lamp wing.root of pearl resistor 560 ohm from wing.split over 260 mm of fine
"
        )
    );
}

#[test]
fn a_chain_in_and_out_of_a_pattern_is_left_to_the_builder() {
    let plan = plan_of(&format!(
        "{FEED}\
pattern wing
lamp wing.tip of pearl resistor 560 ohm from wing over 190 mm of fine
lamp wing.root of pearl resistor 560 ohm from wing.tip over 70 mm of fine
copy port of wing from keel over 110 mm of fine
copy starboard of wing from keel over 130 mm of fine
  but root from starboard over 10 mm of fine
lamp extra of pearl resistor 560 ohm from port.tip over 20 mm of fine
"
    ));
    assert_eq!(candidates(&plan, "port.root"), []);
    assert_eq!(candidates(&plan, "extra"), []);
    assert_eq!(candidates(&plan, "starboard.root"), []);
}

#[test]
fn a_chain_may_run_through_used_files() {
    let aft = "\
# Aft
lamp aft-1 of pearl resistor 560 ohm from fore over 30 mm of fine
lamp aft-2 of pearl resistor 560 ohm from aft-1 over 30 mm of fine
";
    let plan = plan_of_files(
        "use \"aft\"\nsupply adapter 12 V 1 A\nlamp fore of pearl resistor 560 ohm from adapter over 90 mm of fine\n",
        &[("aft", aft)],
    );
    let files = changed_files(&plan, &candidates(&plan, "aft-2")[0].edits);
    assert_eq!(
        files["plan"],
        "use \"aft\"\nsupply adapter 12 V 1 A\njoint split from adapter\n\
         lamp fore of pearl resistor 560 ohm from split over 90 mm of fine\n"
    );
    assert_eq!(
        files["aft"],
        "\
# Aft
lamp aft-1 of pearl resistor 560 ohm from split over 120 mm of fine
lamp aft-2 of pearl resistor 560 ohm from split over 150 mm of fine
"
    );
}

#[test]
fn scenes_keep_dark_what_they_had_dark() {
    let plan = plan_of(&format!(
        "{FEED}\
strip a of warm 3 lamps from keel over 100 mm of fine
strip b of warm 3 lamps from a over 10 mm of fine
joint far from b over 10 mm of hook
lamp c of pearl resistor 560 ohm from far over 30 mm of fine
lamp d of pearl resistor 560 ohm from keel over 30 mm of fine
scene dusk off d, a # early
scene dawn off b, far
scene noon off keel
scene night only b
"
    ));
    let all = branch_chain(&plan, &solved(&plan), item(&plan, "b"));
    let after = changed(&plan, &all[0].edits);
    assert!(
        after.ends_with(
            "scene dusk off d, a, b, far # early\nscene dawn off b, far\nscene noon off keel\nscene night only b\n"
        ),
        "{after}"
    );
    let again = plan_of(&after);
    let lit = |plan: &Plan, scene: usize, name: &str| {
        let figures = solved(plan).scenes[scene].outcome.clone().unwrap();
        figures.items[item(plan, name).0].reached
    };
    for scene in 0..3 {
        for name in ["a", "b", "c", "d"] {
            assert_eq!(
                lit(&plan, scene, name),
                lit(&again, scene, name),
                "{scene} {name}"
            );
        }
    }
}

#[test]
fn a_scene_keeps_lit_what_a_link_feeds() {
    let plan = plan_of(&format!(
        "{FEED}\
strip a of warm 3 lamps from keel over 100 mm of fine
strip b of warm 3 lamps from a over 10 mm of fine
link ring between b and keel over 100 mm of fine
scene dusk off a
"
    ));
    let all = branch_chain(&plan, &solved(&plan), item(&plan, "b"));
    assert!(changed(&plan, &all[0].edits).ends_with("scene dusk off a\n"));
}

/// Branching changes no light by more than the drop in its own run: in the plan of four mistakes,
/// all lights of the row hang on joints afterwards.
#[test]
fn the_row_of_shops_is_branched() {
    let text = include_str!("../../docs/examples/mistakes.harness");
    let plan = Plan::of(
        FileKey::new("plan"),
        Arc::from(text),
        &glimloom::plan::Alone,
    );
    let all = branch_chain(&plan, &Solution::default(), item(&plan, "draper"));
    let after = changed(&plan, &all[0].edits);
    assert!(
        all[0]
            .title
            .starts_with("branch draper and grocer from cellar: one break darkens 1 light, not 3;")
    );
    let again = Plan::of(
        FileKey::new("plan"),
        Arc::from(after),
        &glimloom::plan::Alone,
    );
    for light in again.lights() {
        let feed = again.items[light.0].feed.as_ref().unwrap();
        assert!(!again.items[feed.from.item.0].is_light());
    }
}

/// The title's promise, solved: with one light out, so many others go dark; afterwards none.
#[test]
fn one_light_out_darkens_one_light() {
    let dark_without = |text: &str, out: &str| {
        let plan = plan_of(&format!("{text}scene broken off {out}\n"));
        let figures = solved(&plan).scenes[0].outcome.clone().unwrap();
        plan.lights()
            .filter(|l| !figures.items[l.0].reached)
            .count()
    };
    let before = format!("{FEED}{ROW}");
    let plan = plan_of(&before);
    let all = candidates(&plan, "saloon-2");
    assert_eq!(dark_without(&before, "saloon-1"), 4);
    for candidate in all {
        let after = changed(&plan, &candidate.edits);
        for out in ["saloon-1", "saloon-2", "saloon-3", "saloon-4"] {
            assert_eq!(dark_without(&after, out), 1, "{out} in\n{after}");
        }
    }
}
