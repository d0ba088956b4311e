//! A copy written out: what it says stays, under plain names, and every figure too.

use super::*;
use crate::tidy::files;
use glimloom::checks::Analysis;
use glimloom::editor::write_out::same_figures;
use glimloom::rewrites::write_copy_out as write_out;
use glimloom::server::files::{Disk, PlanFiles, read_named};
use glimloom::syntax::vocabulary::StanzaWord;

const HEAD: &str = "\
led ruby
  drops 2.0 V at 20 mA
  colour red
led jade
  drops 3.1 V at 20 mA
  colour green
supply adapter 12 V 1 A in hold
joint hub from adapter over 90 mm of hook via well in saloon
";

/// The plan's own part behind [`HEAD`] once this copy is written out, and the title.
fn written(text: &str, copy: &str) -> (String, String) {
    let plan = plan_of(&format!("{HEAD}{text}"));
    let before = solved(&plan);
    let candidate = write_out(&plan, item(&plan, copy), &[]).expect("a copy to write out");
    let after = changed(&plan, &candidate.edits);
    assert!(same_figures(&before, &solved(&plan_of(&after))), "{after}");
    (
        after.strip_prefix(HEAD).unwrap().to_owned(),
        candidate.title,
    )
}

#[test]
fn where_and_but_are_put_in_and_the_pattern_stays_for_the_other_copy() {
    let pattern = "\
# Two wings.
pattern wing needs lens, way
# At the very end.
lamp wing.tip     of wing.lens resistor 560 ohm from wing over 190 mm of fine via wing.way in bridge   # glows
lamp wing.landing of pearl     resistor 470 ohm from wing.tip over 70 mm of fine note \"aims down\"
";
    let (after, title) = written(
        &format!(
            "{pattern}\
copy port      of wing from hub over 110 mm of fine where lens ruby, way stair   # red
copy starboard of wing from hub over 130 mm of fine
  where lens jade,   # green
    way stair
  but tip resistor 680 ohm 1/4 W   # brighter glass
  note \"right\"
  but landing from wing over 300 mm of fine runs at 15 mA in saloon
scene taxi off port.landing, starboard.landing
tried starboard.tip 5 mA at 9 V
"
        ),
        "starboard",
    );
    assert_eq!(
        after,
        format!(
            "{pattern}\
copy port      of wing from hub over 110 mm of fine where lens ruby, way stair   # red
joint starboard from hub over 130 mm of fine
  # green
  note \"right\"
# At the very end.
lamp starboard-tip of jade     resistor 680 ohm 1/4 W from starboard over 190 mm of fine via stair in bridge # glows
  # brighter glass
lamp starboard-landing of pearl resistor 470 ohm from starboard over 300 mm of fine note \"aims down\" runs at 15 mA in saloon
scene taxi off port.landing, starboard-landing
tried starboard-tip 5 mA at 9 V
"
        )
    );
    assert_eq!(title, "write starboard out: 3 stanzas; every figure stays");
}

#[test]
fn with_its_last_copy_the_pattern_goes() {
    let (after, title) = written(
        "\
pattern pod needs glow   # what hangs at the quay
  note \"built twice once\"
# round the corner
lamp pod.a of pod.glow resistor 470 ohm from pod over 30 mm of fine
joint pod.end from pod.a over 20 mm of fine

link pod.ring between pod.end and pod over 40 mm of fine
copy quay of pod from hub over 60 mm of fine where glow ruby
lamp last of pearl resistor 470 ohm from quay.end over 30 mm of fine
",
        "quay",
    );
    assert_eq!(
        after,
        "\
# what hangs at the quay

joint quay from hub over 60 mm of fine note \"built twice once\"
# round the corner
lamp quay-a of ruby resistor 470 ohm from quay over 30 mm of fine
joint quay-end from quay-a over 20 mm of fine
link quay-ring between quay-end and quay over 40 mm of fine
lamp last of pearl resistor 470 ohm from quay-end over 30 mm of fine
"
    );
    assert_eq!(
        title,
        "write quay out: 4 stanzas, and pattern pod goes; every figure stays"
    );
}

#[test]
fn the_next_free_name_is_taken_and_other_copies_names_are_put_right() {
    let (after, _) = written(
        "\
pattern pod needs ahead
lamp pod.a of pearl resistor 470 ohm from pod.ahead over 30 mm of fine
copy one of pod from hub where ahead hub
copy two of pod from hub where ahead one.a
lamp one-a of pearl resistor 470 ohm from hub
",
        "one",
    );
    assert_eq!(
        after,
        "\
pattern pod needs ahead
lamp pod.a of pearl resistor 470 ohm from pod.ahead over 30 mm of fine
joint one from hub
lamp one-a-2 of pearl resistor 470 ohm from hub over 30 mm of fine
copy two of pod from hub where ahead one-a-2
lamp one-a of pearl resistor 470 ohm from hub
"
    );
}

#[test]
fn a_clause_that_excludes_anothers_takes_its_place() {
    let (after, _) = written(
        "\
pattern pod
load pod.fan takes 60 mW from pod over 30 mm of fine
copy one of pod from hub but fan draws 7 mA
copy two of pod from hub
",
        "one",
    );
    assert!(
        after.contains("load one-fan draws 7 mA from one over 30 mm of fine\n"),
        "{after}"
    );
}

#[test]
fn a_pattern_of_another_file_stays() {
    let other =
        "pattern pod\r\nlamp pod.a of pearl resistor 470 ohm from pod over 30 mm of fine  # a\r\n";
    let text = "use \"pods\"\nsupply s 12 V 1 A\ncopy one of pod from s\nscene dark off one.a\n";
    let plan = plan_of_files(text, &[("pods", other)]);
    let candidate = write_out(&plan, item(&plan, "one"), &[]).unwrap();
    let files = changed_files(&plan, &candidate.edits);
    assert_eq!(files.len(), 1);
    assert_eq!(
        files["plan"],
        "use \"pods\"\nsupply s 12 V 1 A\njoint one from s\nlamp one-a of pearl resistor 470 ohm from one over 30 mm of fine  # a\nscene dark off one-a\n"
    );
}

#[test]
fn only_a_copy_is_written_out() {
    let plan = plan_of("supply s 12 V 1 A\njoint j from s\n");
    assert_eq!(write_out(&plan, item(&plan, "j"), &[]), None);
}

/// All plans of the repository: each copy written out alone, and then one after the other until none is left.
#[test]
fn every_figure_stays_in_every_plan() {
    let folders = ["docs/examples", "tests/plans", "tests/outside/plans"];
    let paths = folders.iter().flat_map(|f| files(f, &[".harness"]));
    let mut written = 0;
    for path in paths {
        let (key, text) = read_named(&path).unwrap();
        let disk = Disk::default();
        let none = |_: &_| None;
        let sources = PlanFiles::new(&key, &[], &disk, &none);
        let whole = Analysis::of(key.clone(), text, &sources, &|| false);
        let mut left = whole.clone();
        while let Some((next, after)) = copies(&left)
            .into_iter()
            .find_map(|copy| Some((copy, without_copy(&left, copy)?)))
        {
            assert!(
                same_figures(&whole.solution, &after.solution),
                "{}: {}",
                path.display(),
                left.plan.items[next.0].name.0
            );
            assert!(copies(&after).len() < copies(&left).len());
            left = after;
            written += 1;
        }
        assert_eq!(copies(&left), [], "{}", path.display());
        for copy in copies(&whole).into_iter().skip(1) {
            let after = without_copy(&whole, copy).unwrap();
            assert!(same_figures(&whole.solution, &after.solution));
            written += 1;
        }
    }
    assert!(written > 40, "{written}");
}

fn copies(a: &Analysis) -> Vec<ItemId> {
    let items = (0..a.plan.items.len()).map(ItemId);
    items
        .filter(|i| a.plan.items[i.0].word == StanzaWord::Copy)
        .collect()
}

fn without_copy(a: &Analysis, copy: ItemId) -> Option<Analysis> {
    let candidate = write_out(&a.plan, copy, &[])?;
    let after = a.with_edits(&candidate.edits);
    let comments = |a: &Analysis| -> usize {
        a.plan
            .files
            .iter()
            .map(|f| f.text.matches('#').count())
            .sum()
    };
    assert!(
        comments(&after) >= comments(a),
        "{}",
        after.plan.files[0].text
    );
    let faults = |a: &Analysis| a.plan.problems.len();
    assert_eq!(faults(a), faults(&after), "{}", after.plan.files[0].text);
    Some(after)
}
