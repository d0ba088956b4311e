//! Completion on a small plan: `$0` in the text is the cursor.

use super::{Offer, OfferKind, Offers, about, completion};
use crate::checks::Analysis;
use crate::plan::{Alone, FileId, FileKey};

const HEAD: &str = "\
harness \"Skerry Star\"
  scale 1:150
wire hook
  gauge 24 AWG
  insulation pvc outer 1.3 mm
wire fine
  gauge 32 AWG
tape warm
  group 3 lamps long 25 mm
  works 7 V to 12.6 V
  draws 18 mA at 12 V
  colour warm-white
led pearl
  drops 3.0 V at 20 mA
  limit 25 mA
  colour white
module flasher
  works 6 V to 13 V
  draws 3 mA
  output a 60 mA flash 1 Hz
  output b 40 mA
zone saloon
zone bridge
zone mast
passage stair between saloon and bridge bore 2.5 mm
passage tube between bridge and mast bore 1 mm
supply adapter 12 V 1 A
fuse F1 400 mA from adapter
joint keel from F1 over 600 mm of hook in saloon
joint wheelhouse from keel over 60 mm of fine via stair in bridge
board blink of flasher from keel
lamp compass of pearl resistor 1 kohm from keel over 90 mm of fine
pattern wing needs lens, bay
lamp wing.tip of wing.lens resistor 560 ohm from wing over 50 mm of fine in wing.bay
copy port of wing from keel where lens pearl, bay mast
stage hull fits keel seals saloon done 2026-03-14
tried compass 9 mA at 12 V
";

fn analysed(text: &str) -> Analysis {
    Analysis::of(FileKey::new("plan"), text.into(), &Alone, &|| false)
}

/// What is offered at `$0`, and the words that it is put in place of.
fn at(text: &str) -> Option<(Offers, String)> {
    let offset = text.find("$0").expect("a cursor");
    let text = text.replace("$0", "");
    let offers = completion(&analysed(&text), FileId(0), offset)?;
    let word = text[offers.word.range()].to_owned();
    Some((offers, word))
}

/// What is offered in a line that follows the plan above.
fn offered(line: &str) -> Vec<Offer> {
    at(&format!("{HEAD}{line}\n")).map_or_else(Vec::new, |(offers, _)| offers.list)
}

fn labels(line: &str) -> Vec<String> {
    offered(line).into_iter().map(|o| o.label).collect()
}

/// The labels ahead of the first of these.
fn first(line: &str, n: usize) -> String {
    let labels = labels(line);
    labels[..n.min(labels.len())].join(" | ")
}

fn detail(line: &str, label: &str) -> String {
    let offers = offered(line);
    let offer = offers.iter().find(|o| o.label == label);
    offer
        .unwrap_or_else(|| panic!("{label} in {line}"))
        .detail
        .clone()
}

#[test]
fn at_the_margin_the_stanza_words() {
    let offers = offered("$0");
    let words: Vec<&str> = offers
        .iter()
        .filter(|o| o.kind == OfferKind::Stanza)
        .map(|o| &*o.label)
        .collect();
    assert_eq!(words[..4], ["use", "wire", "tape", "led"]);
    // There is one already.
    assert!(!words.contains(&"harness"));
    let (_, word) = at("supply a 12 V\nfu$0se F1").unwrap();
    assert_eq!(word, "fuse");
}

#[test]
fn a_whole_stanza_has_names_of_the_plan_in_it() {
    let offers = offered("la$0");
    let whole = |word: &str| {
        let found = offers
            .iter()
            .find(|o| o.kind == OfferKind::Whole && o.filter.as_deref() == Some(word));
        found.unwrap_or_else(|| panic!("{word}"))
    };
    // 12 V less 3 V over 20 mA is 450 ohm.
    assert_eq!(
        whole("lamp").label,
        "lamp mast-2 of pearl resistor 470 ohm from keel over 200 mm of fine"
    );
    assert_eq!(
        whole("lamp").snippet.as_deref(),
        Some(
            "lamp ${1:mast-2} of ${2:pearl} resistor ${3:470 ohm} from ${4:keel} over ${5:200} mm of ${6:fine}"
        )
    );
    // The next of the row F1.
    assert!(whole("fuse").label.starts_with("fuse F2 400 mA from "));
    assert!(
        whole("tape")
            .text
            .as_ref()
            .is_some_and(|t| t.contains("\n  works 7 V"))
    );
    // Where the rest of a stanza stands already, only the word.
    let (offers, _) = at(&format!("{HEAD}la$0mp a of pearl from keel\n")).unwrap();
    assert!(offers.list.iter().all(|o| o.kind == OfferKind::Stanza));
}

#[test]
fn what_a_stanza_lacks_comes_first() {
    assert_eq!(
        first("strip a of warm 6 lamps $0", 4),
        "from | dimmed | in | note"
    );
    assert_eq!(
        first("strip a of warm 6 lamps from keel $0", 4),
        "over | via | return | dimmed"
    );
    assert_eq!(
        first("strip a of warm 6 lamps from keel over 20 mm of fine $0", 3),
        "via | return | dimmed"
    );
    // What stands behind the cursor counts too.
    assert_eq!(
        first("strip a of warm 6 lamps $0 from keel in saloon", 2),
        "dimmed | note"
    );
    // Clauses that exclude each other.
    assert_eq!(
        first("fuse F2 400 mA from adapter slow $0", 5) + " | ",
        "resistance | in | note | accept | "
    );
    assert_eq!(
        detail("strip a of warm 6 lamps $0", "from"),
        "required: from keel"
    );
}

#[test]
fn a_clause_brings_its_usual_form() {
    let offers = offered("strip a of warm 6 lamps from keel $0");
    let over = offers.iter().find(|o| o.label == "over").unwrap();
    assert_eq!(
        over.snippet.as_deref(),
        Some("over ${1:100} mm of ${2:fine}")
    );
    assert_eq!(over.text, None);
    // The resistor that the lamp wants there: (11.9 − 3.0) V / 20 mA.
    let offers = offered("lamp a of pearl from keel $0");
    let resistor = offers.iter().find(|o| o.label == "resistor").unwrap();
    assert_eq!(resistor.detail, "resistor 430 ohm");
}

#[test]
fn names_of_the_right_kind_in_the_order_of_their_use() {
    assert_eq!(labels("strip a of $0"), ["warm"]);
    assert_eq!(labels("lamp a of p$0"), ["pearl"]);
    assert_eq!(labels("copy a of $0"), ["wing"]);
    assert_eq!(labels("board a of $0"), ["flasher"]);
    // `fine` was used last.
    assert_eq!(
        labels("strip a of warm 6 lamps from keel over 20 mm of $0"),
        ["fine", "hook"]
    );
    assert_eq!(
        first("lamp a of pearl from $0", 4),
        "keel | F1 | adapter | port"
    );
    let all = labels("lamp a of pearl from $0");
    assert!(all.contains(&"blink.a".into()) && !all.contains(&"blink".into()));
    assert!(
        !all.iter()
            .any(|l| l == "wing" || l == "wing.tip" || l == "a"),
        "{all:?}"
    );
    assert!(all.contains(&"port.tip".into()), "{all:?}");
}

#[test]
fn what_hangs_on_an_item_does_not_feed_it() {
    let text = format!("{HEAD}lamp a of pearl from keel\n")
        .replace("joint keel from F1", "joint keel from F$01");
    let (offers, _) = at(&text).unwrap();
    let labels: Vec<&str> = offers.list.iter().map(|o| &*o.label).collect();
    assert_eq!(labels, ["adapter", "F1"]);
}

#[test]
fn points_tell_their_figures() {
    let keel = detail("lamp a of pearl from $0", "keel");
    assert!(keel.starts_with("joint, 12 V, passes "), "{keel}");
    let output = detail("lamp a of pearl from blink.$0", "blink.a");
    assert!(output.ends_with("gives 0 A of 60 mA"), "{output}");
    let adapter = detail("lamp a of pearl from $0", "adapter");
    assert!(adapter.ends_with(" of 1 A"), "{adapter}");
}

#[test]
fn passages_that_lead_on_come_first() {
    assert_eq!(
        labels("lamp a of pearl from keel via $0"),
        ["stair", "tube"]
    );
    assert_eq!(labels("lamp a of pearl from wheelhouse via $0")[0], "stair");
    assert_eq!(labels("lamp a of pearl from keel via stair, $0"), ["tube"]);
    assert_eq!(
        labels("lamp a of pearl from keel via stair, tube in $0")[0],
        "mast"
    );
    assert_eq!(
        detail("lamp a of pearl from keel via $0", "tube"),
        "passage, between bridge and mast, bore 1 mm"
    );
}

#[test]
fn lists_of_states_and_stages() {
    let off = labels("scene dusk off compass, $0");
    assert!(off.contains(&"blink.b".into()) && !off.contains(&"compass".into()));
    assert_eq!(first("scene dusk only $0", 3), "port.tip | compass | port");
    // The stage above fits the keel already.
    let fits = labels("stage lights fits $0");
    assert_eq!(fits.last().map(String::as_str), Some("keel"));
    assert_eq!(
        labels("stage lights fits compass seals $0").last().unwrap(),
        "saloon"
    );
    assert_eq!(labels("stage lights fits compass done $0"), ["2026-03-14"]);
    assert_eq!(labels("tried $0").last().unwrap(), "compass");
}

#[test]
fn patterns_and_copies() {
    assert_eq!(labels("copy a of wing from keel where $0"), ["lens", "bay"]);
    assert_eq!(labels("copy a of wing from keel where lens $0"), ["pearl"]);
    assert_eq!(
        labels("copy a of wing from keel where lens pearl, $0"),
        ["bay"]
    );
    assert_eq!(
        labels("copy a of wing from keel where bay $0"),
        ["mast", "bridge", "saloon"]
    );
    assert_eq!(labels("copy a of wing from keel but $0"), ["tip"]);
    assert!(!labels("copy a of wing from keel but tip $0").contains(&"dimmed".into()));
    assert!(labels("copy a of wing from keel but tip $0").contains(&"resistor".into()));
    assert_eq!(labels("lamp wing.end of $0"), ["wing.lens", "pearl"]);
    assert_eq!(first("lamp wing.end of pearl from $0", 2), "wing | keel");
    assert!(labels("lamp wing.end of pearl from $0").contains(&"wing.tip".into()));
}

#[test]
fn forms_that_depend_on_the_pattern_and_on_each_other() {
    let form = |line: &str, label: &str| {
        let offers = offered(line);
        let found = offers.into_iter().find(|o| o.label == label).unwrap();
        found.snippet.unwrap()
    };
    let copy = "copy a of wing from keel $0";
    assert_eq!(
        form(copy, "where"),
        "where ${1:lens} ${2:pearl}, ${3:bay} ${4:mast}"
    );
    assert_eq!(form(copy, "but"), "but ${1:tip}");
    assert_eq!(
        form("link l $0", "between"),
        "between ${1:keel} and ${2:F1}"
    );
    assert_eq!(
        form("lamp a of pearl resistor 50 ohm from adapter $0", "accept"),
        "accept ${1:lamp-over-limit} because \"${2:…}\""
    );
}

#[test]
fn lights_feed_last() {
    let all = labels("strip a of warm 3 lamps from keel\nstrip b of warm 3 lamps from $0");
    let at = |name: &str| all.iter().position(|l| l == name).unwrap();
    assert!(at("port") < at("a") && at("blink.a") < at("a"), "{all:?}");
}

#[test]
fn words_of_choice_and_checks() {
    assert_eq!(
        labels("wire w insulation $0"),
        ["enamel", "pvc", "silicone", "ptfe", "none"]
    );
    assert_eq!(labels("zone z finish $0")[..2], ["white", "silver"]);
    assert_eq!(labels("wire w colours red, $0")[0], "black");
    assert!(!labels("wire w colours red, $0").contains(&"red".into()));
    assert_eq!(
        labels("lamp a of pearl resistor 1 kohm at $0"),
        ["start", "lamp"]
    );
    let line = "lamp a of pearl from keel accept $0";
    assert_eq!(labels(line).len(), crate::checks::CHECKS.len());
    assert_eq!(
        detail(line, "single-path"),
        crate::checks::named("single-path").unwrap().about()
    );
    assert_eq!(
        labels("lamp a of pearl from keel accept single-path $0"),
        ["because"]
    );
}

#[test]
fn units_behind_a_number() {
    assert_eq!(labels("supply a 12 $0"), ["V", "mV"]);
    assert_eq!(labels("supply a 12 V 1 $0"), ["mA", "A", "uA"]);
    assert_eq!(
        first("strip a of warm 6 $0", 4),
        "lamps | lamp | groups | group"
    );
    assert_eq!(
        detail("strip a of warm 6 $0", "lamps"),
        "2 groups, 50 mm, 36 mA at 12 V"
    );
    assert_eq!(
        detail("strip a of warm 7 $0", "lamps"),
        "cuts into a group: 3 lamps to a group"
    );
    let typed = labels("supply a 12$0");
    assert_eq!(typed[..2], ["12 V", "12 mV"]);
}

#[test]
fn cuts_of_tape_are_whole_groups() {
    assert_eq!(
        first("strip a of warm $0", 3),
        "3 lamps | 6 lamps | 9 lamps"
    );
    assert_eq!(
        detail("strip a of warm $0", "9 lamps"),
        "3 groups, 75 mm, 54 mA at 12 V"
    );
    assert_eq!(
        detail("string a of pearl $0 from keel", "3 lamps"),
        "9 V in all, of 12 V"
    );
    assert!(
        detail("string a of pearl $0 from keel", "4 lamps")
            .contains("12 V in all: too much for 12 V")
    );
}

#[test]
fn resistors_with_the_current_that_each_gives() {
    // (12 − 3.0) V / 20 mA is 450 ohm: 470 gives 19.2 mA, 430 gives 20.9 mA.
    let line = "lamp a of pearl resistor $0 from adapter";
    assert_eq!(first(line, 2), "470 ohm | 430 ohm");
    assert!(
        detail(line, "470 ohm").starts_with("about 19.2 mA, "),
        "{}",
        detail(line, "470 ohm")
    );
    assert!(detail(line, "330 ohm").ends_with(", over its limit of 25 mA"));
    assert_eq!(labels(line)[7], "330 ohm");
    // The wanted current counts; without a feed, the bench.
    let line = "lamp a of pearl runs at 5 mA resistor $0";
    assert_eq!(first(line, 1), "1.8 kohm");
    assert!(detail(line, "1.8 kohm").contains(" on 12 V, "));
    // With a value in full, all others are still shown.
    let offers = offered("lamp a of pearl resistor 560 o$0hm from adapter");
    assert!(offers.iter().all(|o| o.kind == OfferKind::Unit));
    let offers = offered("lamp a of pearl resistor 560$0 ohm from adapter");
    assert_eq!(offers[0].label, "470 ohm");
    // Its rating, by the power.
    assert_eq!(
        first("lamp a of pearl resistor 470 ohm $0 from adapter", 1),
        "1/2 W"
    );
}

#[test]
fn fuses_with_what_they_carry() {
    let text = HEAD.replace("fuse F1 400 mA from", "fuse F1 $0400 mA from");
    let text = text.replace("fuse F1 $0400 mA", "fuse F1 400$0 mA");
    let (offers, word) = at(&text).unwrap();
    assert_eq!(word, "400 mA");
    let first = &offers.list[0];
    assert!(first.detail.contains(" used by "), "{}", first.detail);
    assert!(
        first.detail.contains("the wire behind may carry "),
        "{}",
        first.detail
    );
    assert!(
        offers
            .list
            .iter()
            .any(|o| o.detail.contains("too small") || o.detail.contains("carry only"))
    );
}

#[test]
fn gauges_with_their_copper() {
    let line = "wire w gauge $0";
    assert!(
        detail(line, "32 AWG").starts_with("0.202 mm of copper, "),
        "{}",
        detail(line, "32 AWG")
    );
}

#[test]
fn what_stanzas_above_say() {
    let over = labels("lamp a of pearl from keel over $0");
    assert_eq!(over[..3], ["50 mm", "90 mm", "60 mm"], "{over:?}");
}

#[test]
fn names_for_something_new() {
    assert_eq!(labels("fuse $0"), ["F2"]);
    // What is called elsewhere and not there.
    let names = labels("lamp a of pearl from foredeck\njoint $0");
    assert_eq!(names, ["foredeck"]);
    assert_eq!(labels("module m output $0"), ["a"]);
    assert_eq!(labels("module m output a 5 mA output $0"), ["b"]);
}

#[test]
fn nothing_in_comments_and_texts() {
    for line in [
        "lamp a # of $0",
        "lamp a of pearl note \"fr$0om\"",
        "lamp a of pearl note \"from $0",
        "zone $0",
    ] {
        assert_eq!(labels(line), [""; 0], "{line}");
    }
}

#[test]
fn half_a_plan_and_no_plan() {
    assert!(at("$0").unwrap().0.list.len() > 20);
    assert_eq!(at("  $0"), None);
    assert_eq!(at("lamp a of $0"), None);
    assert!(at("lamp a of x from $0").is_none());
}

#[test]
fn of_very_many_names_those_that_fit_what_is_written() {
    let mut text = HEAD.to_owned();
    for n in 0..1500 {
        text.push_str(&format!("joint j{n} from keel\n"));
    }
    // Names do not depend on figures.
    let read = |line: &str| {
        let text = format!("{text}{line}");
        let mut a = Analysis::default();
        a.plan = crate::plan::Plan::of(FileKey::new("plan"), text.as_str().into(), &Alone);
        completion(&a, FileId(0), text.len()).unwrap()
    };
    let all = read("lamp a of pearl from ");
    assert!(!all.complete && all.list.len() <= 1001);
    assert_eq!(all.list[0].label, "keel");
    assert!(all.list.iter().any(|o| o.label == "j1499"));
    let some = read("lamp a of pearl from whe");
    let labels: Vec<&str> = some.list.iter().map(|o| &*o.label).collect();
    assert_eq!(labels, ["wheelhouse"]);
    assert!(!some.complete);
}

#[test]
fn what_there_is_to_say_of_an_entry() {
    let text = format!("{HEAD}lamp a of pearl resistor $0 from adapter\n");
    let offset = text.find("$0").unwrap();
    let a = analysed(&text.replace("$0", ""));
    let offers = completion(&a, FileId(0), offset).unwrap().list;
    let said = |label: &str| {
        let offer = offers.iter().find(|o| o.label == label).unwrap();
        about(&a, FileId(0), &offer.about).unwrap()
    };
    let text = said("470 ohm");
    assert!(
        text.starts_with("With **470 ohm**: a draws 19.2 mA ("),
        "{text}"
    );
    // 19.2 mA through 470 ohm: 173 mW, but no rating is stated.
    assert!(
        text.contains("feed-unfused") || text.contains("Nothing is found"),
        "{text}"
    );
    let text = said("330 ohm");
    assert!(text.contains("- error, lamp-over-limit: "), "{text}");

    let all = |line: &str, label: &str| {
        let text = format!("{HEAD}{line}\n");
        let offset = text.find("$0").unwrap();
        let a = analysed(&text.replace("$0", ""));
        let list = completion(&a, FileId(0), offset).unwrap().list;
        let offer = list.iter().find(|o| o.label == label).expect(label);
        about(&a, FileId(0), &offer.about)
    };
    assert!(
        all("lamp a of pearl from $0", "keel")
            .unwrap()
            .starts_with("**joint keel**")
    );
    assert!(
        all("lamp a of pearl from $0", "blink.a")
            .unwrap()
            .starts_with("**blink.a**: output of")
    );
    assert!(
        all("lamp a of pearl from keel $0", "over")
            .unwrap()
            .starts_with("**over**: The run")
    );
    assert!(all("$0", "fuse").unwrap().starts_with("**fuse**: A fuse"));
    assert!(
        all("lamp a of pearl accept $0", "single-path")
            .unwrap()
            .starts_with("**single-path**: ")
    );
    assert_eq!(all("supply a 12 $0", "V"), None);
}

/// A tram with a board that switches the minus of its lamps, and two supplies.
const TRAMS: &str = "\
module winker
  works 6 V to 13 V
  draws 3 mA
  output left 40 mA sinks
  output glow 60 mA
pattern tram needs tail
lamp tram.rear of tram.tail from tram over 90 mm of fine
board tram.fl of winker from tram
lamp tram.lantern of pearl from tram.fl.glow
supply spare 9 V 1 A
fuse F9 100 mA from spare
joint yard from F9
";

fn labels_by(line: &str) -> Vec<String> {
    labels(&format!("{TRAMS}{line}"))
}

fn detail_by(line: &str, label: &str) -> String {
    detail(&format!("{TRAMS}{line}"), label)
}

#[test]
fn a_copy_is_not_fed_from_a_piece_of_its_pattern() {
    assert_eq!(detail_by("copy t1 of tram $0", "from"), "required: from F9");
}

#[test]
fn a_piece_is_fed_from_where_a_copy_is_fed() {
    assert_eq!(
        detail_by("lamp tram.new of pearl $0", "from"),
        "required: from tram"
    );
    // Not from itself, nor from what hangs on it.
    let labels = labels_by(
        "board tram.fl2 of winker from tram\nlamp tram.l2 of pearl from tram.fl2.glow\nboard tram.fl2 of winker from $0",
    );
    assert_eq!(labels[0], "tram");
    for circle in ["tram.fl2.glow", "tram.l2"] {
        assert!(!labels.iter().any(|l| l == circle), "{labels:?}");
    }
}

#[test]
fn a_piece_is_not_fed_from_a_copy_of_its_own_pattern() {
    let labels =
        labels_by("copy t1 of tram from keel where tail pearl\nlamp tram.new of pearl from $0");
    let of_copy: Vec<_> = labels.iter().filter(|l| l.starts_with("t1")).collect();
    assert_eq!(of_copy, [] as [&str; 0]);
    assert!(labels.iter().any(|l| l == "keel"), "{labels:?}");
}

#[test]
fn what_switches_the_minus_is_returned_to_and_feeds_nothing() {
    let labels = labels_by("lamp tram.new of pearl from tram return to $0");
    assert_eq!(labels[0], "tram.fl.left");
    assert_eq!(
        detail_by("lamp tram.new of pearl from tram $0", "return"),
        "return to tram.fl.left"
    );
    let labels = labels_by("lamp tram.new of pearl from $0");
    assert!(!labels.iter().any(|l| l == "tram.fl.left"), "{labels:?}");
    assert!(labels.iter().any(|l| l == "tram.fl.glow"), "{labels:?}");

    let board = "board win of winker from keel\n";
    let labels = labels_by(&format!("{board}lamp new of pearl from keel return to $0"));
    assert_eq!(labels[0], "win.left");
    assert_eq!(
        detail_by(&format!("{board}lamp new of pearl from keel $0"), "return"),
        "return to win.left"
    );
}

#[test]
fn the_minus_goes_back_to_the_source_of_the_plus() {
    assert_eq!(
        detail_by("joint hall from F1 $0", "return"),
        "return to keel"
    );
    let labels = labels_by("joint hall from yard return to $0");
    let place = |name: &str| labels.iter().position(|l| l == name).unwrap();
    assert!(place("F9") < place("keel"), "{labels:?}");
    assert!(place("spare") < place("adapter"), "{labels:?}");
}

#[test]
fn a_needed_word_is_offered_for_what_it_stands_for() {
    let there = |line: &str| labels_by(line).iter().any(|l| l == "tram.tail");
    assert!(there("lamp tram.new of $0"));
    assert!(!there("lamp tram.new of pearl from $0"));
    assert!(!there("lamp tram.new of pearl from tram over 40 mm of $0"));
    // The piece at hand is the only one that says what it is.
    let alone = "pattern pier needs glass\nlamp pier.one of pier.glass from";
    let there = |line: &str| labels_by(line).iter().any(|l| l == "pier.glass");
    assert!(!there(&format!("{alone} $0")));
    // No piece says it: what a copy puts in does.
    let copied =
        "pattern pier needs glass\ncopy p1 of pier from keel where glass pearl\nlamp pier.one";
    assert!(there(&format!("{copied} of $0")));
    assert!(!there(&format!("{copied} of pearl from $0")));
}

#[test]
fn a_second_way_round_begins_at_joints() {
    let labels = labels_by("link new between $0");
    let place = |name: &str| labels.iter().position(|l| l == name).unwrap();
    assert!(place("keel") < place("blink.a"), "{labels:?}");
    assert!(place("blink.a") < place("compass"), "{labels:?}");
}

#[test]
fn of_two_figures_the_place_says_which_is_meant() {
    assert_eq!(labels("tape t2 group 3 lamps long 50 mm works $0"), ["7 V"]);
    let to = labels("tape t2 group 3 lamps long 50 mm works 7 V to $0");
    assert_eq!(to, ["12.6 V"]);
    let bore = "passage p2 between saloon and mast slot 6 mm by 2 mm\npassage p3 between saloon and mast slot 5 mm by $0";
    assert_eq!(labels(bore), ["2 mm", "1.5 mm"]);
}

#[test]
fn what_a_diode_drops_is_nothing_to_a_led() {
    let labels = labels("diode guard drops 0.3 V from keel\nled new drops $0");
    assert!(!labels.iter().any(|l| l == "0.3 V"), "{labels:?}");
    assert_eq!(labels[0], "3.0 V");
}

#[test]
fn the_beam_of_a_led_has_usual_angles() {
    assert_eq!(labels("led new gives 1800 mcd over $0")[0], "60 deg");
}

#[test]
fn a_trial_is_expected_to_show_what_the_piece_draws_alone() {
    // By the data of the led in the plan: 12 V less some 2.85 V over 1 kohm.
    assert_eq!(first("tried compass $0", 1), "9.15 mA");
    assert_eq!(detail("tried compass $0", "9.15 mA"), "expected at 12 V");
    assert_eq!(first("tried compass 9 mA at $0", 1), "12 V");
}

#[test]
fn an_output_that_the_plan_calls_comes_first() {
    let plan = "module new works 6 V to 13 V output $0\nboard b2 of new from keel\nlamp l2 of pearl from b2.dome";
    assert_eq!(first(plan, 2), "dome | a");
}

/// The form of a whole stanza of this kind.
fn form(plan: &str, word: &str) -> String {
    let offers = offered(&format!("{plan}$0"));
    let whole = offers
        .iter()
        .find(|o| o.kind == OfferKind::Whole && o.filter.as_deref() == Some(word));
    whole.unwrap().text.clone().unwrap()
}

#[test]
fn a_whole_lamp_has_the_resistor_for_its_point() {
    // 4.5 V less 3 V over 20 mA is 75 ohm, and the run has its share.
    let cells = "supply cells 4.5 V\njoint shelf from cells\n";
    assert_eq!(
        form(cells, "lamp"),
        "lamp mast-2 of pearl resistor 75 ohm from cells over 200 mm of fine"
    );
    // 12 V less 9 V over 20 mA is 150 ohm.
    assert!(
        form("", "string").contains("of pearl 3 lamps resistor 150 ohm from keel"),
        "{}",
        form("", "string")
    );
}

#[test]
fn a_whole_trial_is_what_is_expected() {
    let tried = form("", "tried");
    assert!(tried.contains(" at 12 V on "), "{tried}");
    assert!(!tried.contains("17.8 mA"), "{tried}");
}

#[test]
fn a_whole_scene_or_stage_has_a_name_that_is_free() {
    assert!(form("", "stage").starts_with("stage hull-2 "));
    assert!(form("scene Moored off keel\n", "scene").starts_with("scene moored-2 "));
}

#[test]
fn a_new_name_differs_from_others_by_more_than_case() {
    assert!(form("lamp d1 of pearl from keel\n", "diode").starts_with("diode D1-2 "));
}

#[test]
fn a_whole_link_joins_what_one_source_feeds() {
    let two = "joint quay from keel\nsupply spare 9 V 1 A\njoint yard from spare\n";
    assert_eq!(
        form(two, "link"),
        "link ring between spare and yard over 200 mm of fine"
    );
    let low = "regulator low 5 V 100 mA from keel\njoint five from low\n";
    let link = form(low, "link");
    assert!(link.contains("between low and five "), "{link}");
}
