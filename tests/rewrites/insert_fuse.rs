//! A fuse right after a source.

use super::*;
use glimloom::rewrites::{Candidate, insert_fuse};

/// Wires that say what they may carry.
const WIRES: &str = "\
wire trunk gauge 24 AWG carries 1.3 A
wire twig gauge 32 AWG carries 450 mA
wire thin gauge 40 AWG carries 200 mA
";

fn with_wires(text: &str) -> Plan {
    plan_of(&format!("{WIRES}{text}"))
}

fn candidates(plan: &Plan, supply: &str) -> Vec<Candidate> {
    insert_fuse(plan, &solved(plan), item(plan, supply))
}

/// The plan behind [`WIRES`] with its one candidate.
fn fused(plan: &Plan) -> (String, String) {
    let all = candidates(plan, "adapter");
    assert_eq!(all.len(), 1);
    let text = changed(plan, &all[0].edits);
    (
        text.strip_prefix(WIRES).unwrap().to_owned(),
        all[0].title.clone(),
    )
}

const PLAN: &str = "\
# twelve volts
supply adapter 12 V 1 A in hold # on the shelf
  # with a plug

joint keel from adapter over 600 mm of trunk via well in saloon
lamp mast of pearl resistor 560 ohm from keel over 200 mm of twig
lamp door of pearl resistor 560 ohm from adapter over 200 mm of twig return to adapter over 90 mm of twig
fuse F1 63 mA from keel over 20 mm of twig
lamp hall of pearl resistor 560 ohm from F1 over 200 mm of thin
link ring between adapter and keel over 200 mm of trunk
scene dusk off adapter
";

#[test]
fn the_largest_that_protects_every_run_up_to_the_next_fuse() {
    let plan = with_wires(PLAN);
    let (text, title) = fused(&plan);
    // 400 mA is the largest of the series that twig may carry, and blows at 2.1 × 0.4 = 0.84 A.
    assert_eq!(
        text,
        "\
# twelve volts
supply adapter 12 V 1 A in hold # on the shelf
  # with a plug
fuse F2 400 mA from adapter

joint keel from F2 over 600 mm of trunk via well in saloon
lamp mast of pearl resistor 560 ohm from keel over 200 mm of twig
lamp door of pearl resistor 560 ohm from F2 over 200 mm of twig return to adapter over 90 mm of twig
fuse F1 63 mA from keel over 20 mm of twig
lamp hall of pearl resistor 560 ohm from F1 over 200 mm of thin
link ring between F2 and keel over 200 mm of trunk
scene dusk off adapter
"
    );
    assert_eq!(
        title,
        "a fuse of 400 mA right after adapter: it carries 48.4 mA, and twig may carry 450 mA"
    );
}

#[test]
fn one_that_the_source_can_blow() {
    let title = |limit: &str| {
        let plan = with_wires(&format!(
            "supply adapter 12 V {limit}\n\
             lamp mast of pearl resistor 560 ohm from adapter over 200 mm of twig\n"
        ));
        fused(&plan).1
    };
    // 0.5 A / 2.1 is 238 mA.
    assert!(title("500 mA").starts_with("a fuse of 200 mA"));
    // Nothing of the series blows at 30 mA: the least that carries 16 mA comes nearest.
    assert!(title("30 mA").starts_with("a fuse of 50 mA"));
    assert!(title("").starts_with("a fuse of 400 mA"));
}

#[test]
fn no_fuse_where_none_both_carries_and_protects() {
    // 40 lamps of about 16 mA are 0.64 A: over 0.75 of 400 mA.
    let lamps: String = (0..40)
        .map(|n| format!("lamp l{n} of pearl resistor 560 ohm from keel over 50 mm of twig\n"))
        .collect();
    let plan = with_wires(&format!(
        "supply adapter 12 V 2 A\njoint keel from adapter over 10 mm of twig\n{lamps}"
    ));
    assert_eq!(candidates(&plan, "adapter"), []);
}

#[test]
fn a_fuse_on_the_source_stays_there_and_patterns_follow() {
    let plan = with_wires(
        "supply adapter 12 V\n\
         fuse F1 1 A from adapter\n\
         lamp mast of pearl resistor 560 ohm from F1 over 200 mm of twig\n\
         pattern wing needs tap\n\
         lamp wing.tip of pearl resistor 560 ohm from wing.tap over 90 mm of twig\n\
         lamp wing.root of pearl resistor 560 ohm from adapter over 90 mm of twig\n\
         copy port of wing from adapter over 10 mm of twig where tap adapter\n",
    );
    assert_eq!(
        fused(&plan).0,
        "supply adapter 12 V\n\
         fuse F2 400 mA from adapter\n\
         fuse F1 1 A from adapter\n\
         lamp mast of pearl resistor 560 ohm from F1 over 200 mm of twig\n\
         pattern wing needs tap\n\
         lamp wing.tip of pearl resistor 560 ohm from wing.tap over 90 mm of twig\n\
         lamp wing.root of pearl resistor 560 ohm from F2 over 90 mm of twig\n\
         copy port of wing from F2 over 10 mm of twig where tap F2\n"
    );
    let all_fused = with_wires(
        "supply adapter 12 V 1 A\nfuse F1 1 A from adapter\n\
         lamp mast of pearl resistor 560 ohm from F1 over 200 mm of twig\n",
    );
    assert_eq!(candidates(&all_fused, "adapter"), []);
    assert_eq!(candidates(&all_fused, "mast"), []);
}

#[test]
fn line_ends_and_used_files() {
    let plan = plan_of_files(
        "use \"source\"\nwire twig gauge 32 AWG carries 450 mA\nlamp mast of pearl resistor 560 ohm from adapter over 200 mm of twig\n",
        &[("source", "supply adapter 12 V 1 A\r\n\r\n# end")],
    );
    let files = changed_files(&plan, &candidates(&plan, "adapter")[0].edits);
    assert_eq!(
        files["source"],
        "supply adapter 12 V 1 A\r\nfuse F1 400 mA from adapter\r\n\r\n# end"
    );
    assert_eq!(
        files["plan"],
        "use \"source\"\nwire twig gauge 32 AWG carries 450 mA\nlamp mast of pearl resistor 560 ohm from F1 over 200 mm of twig\n"
    );
}

#[test]
fn a_source_of_some_resistance_still_blows_it() {
    // 9 V over 10 ohm and a little wire: under 0.9 A, which is sure to open 400 mA at the most.
    let plan = with_wires(
        "supply adapter 9 V resistance 10 ohm\nload m draws 50 mA from adapter over 10 mm of trunk\n",
    );
    assert!(fused(&plan).0.contains("fuse F1 400 mA from adapter\n"));
}
