//! Branches taken off to a second supply.

use super::*;
use glimloom::rewrites::split_supply;

fn split(text: &str) -> Vec<(String, String)> {
    let plan = plan_of(text);
    split_supply(&plan, &solved(&plan), item(&plan, "adapter"))
        .into_iter()
        .map(|c| (c.title, changed(&plan, &c.edits)))
        .collect()
}

/// 10 groups draw 180 mA at 12 V, 6 groups 108 mA.
const ROW: &str = "\
supply adapter 12 V 0.3 A in hold   # the wall
fuse F1 315 mA from adapter
joint keel from F1 over 200 mm of hook in saloon
strip big of warm 30 lamps from keel over 120 mm of fine   # the long one
strip small of warm 18 lamps from keel over 60 mm of fine
lamp mast of pearl resistor 560 ohm from keel over 90 mm of fine via stair in bridge
scene moored off keel
scene dim off small
";

#[test]
fn as_few_branches_as_need_be_move() {
    let all = split(ROW);
    assert_eq!(all.len(), 1);
    let (title, text) = &all[0];
    assert_eq!(
        title,
        "split off big to adapter-2, 12 V 0.3 A behind a fuse of 250 mA: adapter goes from 302 mA to 124 mA of 300 mA"
    );
    assert_eq!(
        text,
        "\
supply adapter 12 V 0.3 A in hold   # the wall
supply adapter-2 12 V 0.3 A in hold
fuse F2 250 mA from adapter-2
fuse F1 315 mA from adapter
joint keel from F1 over 200 mm of hook in saloon
strip big of warm 30 lamps from F2 over 320 mm of fine in saloon # the long one
strip small of warm 18 lamps from keel over 60 mm of fine
lamp mast of pearl resistor 560 ohm from keel over 90 mm of fine via stair in bridge
scene moored off keel, big
scene dim off small
"
    );
    // What the title says is what solving the changed plan shows.
    let plan = plan_of(text);
    let figures = solved(&plan);
    let all_on = figures.scenes.last().unwrap().outcome.as_ref().unwrap();
    let passes = |name| all_on.items[item(&plan, name).0].passes.typical.value;
    assert!(
        (passes("adapter") - 0.123).abs() < 2e-3,
        "{}",
        passes("adapter")
    );
    assert!(
        (passes("adapter-2") - 0.177).abs() < 2e-3,
        "{}",
        passes("adapter-2")
    );
}

#[test]
fn what_is_tied_together_stays() {
    let tied = format!("{ROW}link ring between big and small over 50 mm of fine\n");
    let titles: Vec<String> = split(&tied).into_iter().map(|(title, _)| title).collect();
    assert_eq!(titles, [""; 0]);
    assert_eq!(split(&ROW.replace(" 0.3 A in", " in")), []);
    assert_eq!(
        split(&ROW.replace("in hold", "in hold capacity 500 mAh")),
        []
    );
    assert_eq!(
        split("supply adapter 12 V 0.1 A\nstrip s of warm 30 lamps from adapter\n"),
        []
    );
}

#[test]
fn a_fuse_on_the_supply_goes_over_as_it_is() {
    let text = "supply adapter 12 V 2 A\nfuse F1 2 A from adapter\nfuse F2 1.6 A from adapter\nload heat draws 1.2 A from F1\nload fan draws 1 A from F2\n";
    let all = split(text);
    assert_eq!(
        all,
        [(
            "split off F1 to adapter-2, 12 V 1.5 A: adapter goes from 2.2 A to 1 A of 2 A"
                .to_owned(),
            text.replace("fuse F1", "supply adapter-2 12 V 1.5 A\nfuse F1")
                .replace("2 A from adapter\nfuse F2", "2 A from adapter-2\nfuse F2")
        )]
    );
}
