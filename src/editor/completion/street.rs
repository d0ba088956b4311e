//! Completion on a street of shops with a board of which two outputs take turns: what is offered first invites no
//! mistake. `$0` in the text is the cursor.

use super::{Offer, OfferKind, about, completion};
use crate::checks::Analysis;
use crate::plan::{Alone, FileId, FileKey};

const STREET: &str = "\
wire thin gauge 28 AWG insulation enamel colours red, green
led lantern drops 3.0 V at 20 mA limit 25 mA colour warm-white
led sign drops 2.0 V at 20 mA limit 25 mA colour red
tape warm group 3 lamps long 50 mm works 9 V to 12.6 V draws 18 mA at 12 V colour warm-white
module winker works 4.2 V to 14 V draws 5 mA output a 60 mA output b 60 mA turns a, b
supply adapter 12 V 1 A
fuse F1 400 mA from adapter
joint west from F1
joint mid from west
joint east from mid
strip baker of warm 12 lamps from west over 60 mm of thin
strip grocer of warm 3 lamps from baker over 20 mm of thin
pattern shop needs light
lamp shop.window of shop.light resistor 1 kohm 1/4 W from shop over 40 mm of thin
copy shoe of shop from mid over 30 mm of thin where light sign
board wink of winker from east over 40 mm of thin
lamp cross-l of sign resistor 620 ohm 1/2 W from wink.a over 60 mm of thin
lamp cross-2 of sign resistor 620 ohm 1/2 W from wink.a over 60 mm of thin
lamp cross-r of sign resistor 620 ohm 1/2 W from wink.b over 60 mm of thin
";

fn analysed(text: &str) -> (Analysis, usize) {
    let offset = text.find("$0").expect("a cursor");
    let text = text.replace("$0", "");
    let key = FileKey::new("plan");
    let a = Analysis::of(key, text.as_str().into(), &Alone, &|| false);
    (a, offset)
}

fn offered_in(text: &str) -> Vec<Offer> {
    let (a, offset) = analysed(text);
    completion(&a, FileId(0), offset).map_or_else(Vec::new, |offers| offers.list)
}

/// What is offered in a line behind the street.
fn offered(line: &str) -> Vec<Offer> {
    offered_in(&format!("{STREET}{line}\n"))
}

fn labels(line: &str) -> Vec<String> {
    offered(line).into_iter().map(|o| o.label).collect()
}

fn whole(offers: &[Offer], word: &str) -> String {
    let mut offers = offers.iter().filter(|o| o.kind == OfferKind::Whole);
    let found = offers.find(|o| o.filter.as_deref() == Some(word));
    found.unwrap().text.clone().unwrap()
}

#[test]
fn whole_stanzas_hang_on_the_joint_that_was_fed_from_last() {
    let offers = offered("$0");
    for word in [
        "fuse",
        "joint",
        "strip",
        "lamp",
        "string",
        "board",
        "load",
        "regulator",
    ] {
        let text = whole(&offers, word);
        assert!(text.contains(" from east"), "{text}");
    }
    let link = whole(&offers, "link");
    assert!(link.contains("between east and mid"), "{link}");
    assert!(whole(&offers, "tried").starts_with("tried cross-r "));
    // Where there is nothing else, an output will do.
    let offers = offered_in("board wink of winker\nlamp a of sign from wink.b\n$0");
    assert!(whole(&offers, "lamp").contains(" from wink.b"));
}

#[test]
fn a_whole_copy_has_the_words_that_its_pattern_needs() {
    let copy = whole(&offered("$0"), "copy");
    assert!(copy.contains(" of shop from east "), "{copy}");
    assert!(copy.ends_with(" where light sign"), "{copy}");
    let needless = STREET
        .replace("shop needs light", "shop")
        .replace(" where light sign", "");
    let copy = whole(&offered_in(&format!("{needless}$0")), "copy");
    assert!(
        copy.contains(" of shop ") && !copy.contains("where"),
        "{copy}"
    );
    // Each word has a name of its kind, in whatever order those above have theirs.
    let two = "zone attic\npattern hut needs glow, bay
lamp hut.a of hut.glow resistor 1 kohm from hut in hut.bay
copy h1 of hut from east where bay attic, glow lantern\n";
    let offers = offered(&format!("{two}copy h2 of hut from east $0"));
    let form = offers.iter().find(|o| o.label == "where").unwrap();
    assert!(
        form.detail.contains("glow sign, bay attic"),
        "{}",
        form.detail
    );
}

/// The street takes 4 × 18 mA and 18 mA of tape and some lamps: about 130 mA.
#[test]
fn a_fuse_without_a_rating_has_its_figures() {
    let first = |line: &str| {
        let text = STREET.replace("fuse F1 400 mA from adapter", line);
        let offers = offered_in(&text);
        (offers[0].label.clone(), offers[0].detail.clone())
    };
    let written = first("fuse F1 $0400 mA from adapter");
    assert_eq!(written.0, "200 mA", "{}", written.1);
    assert_eq!(first("fuse F1 $0 from adapter"), written);
    assert_eq!(first("fuse F1 $0from adapter"), written);
    assert_eq!(first("fuse F1 $0"), written);
    assert_eq!(first("fuse F1 2$0 from adapter").0, "2 mA");
    // Nothing hangs on it yet: no figures.
    let offers = offered("fuse F2 $0 from adapter");
    let figures = offers.iter().find(|o| o.detail.contains(" used by "));
    assert_eq!(figures, None);
}

#[test]
fn lights_that_feed_a_light_come_late_all_the_same() {
    let all = labels("strip draper of warm 6 lamps from $0");
    let at = |name: &str| all.iter().position(|l| l == name).unwrap();
    assert_eq!(all[0], "wink.b", "{all:?}");
    assert!(
        at("baker") > at("adapter") && at("baker") > at("west"),
        "{all:?}"
    );
    // As a form, too.
    let line = "joint j from grocer\nstrip draper of warm 6 lamps $0";
    let offers = offered(line);
    let from = offers.iter().find(|o| o.label == "from").unwrap();
    assert!(!from.detail.contains("grocer"), "{}", from.detail);
}

#[test]
fn places_are_offered_where_the_plan_has_some() {
    let line = "strip draper of warm 6 lamps from mid over 20 mm of thin $0";
    let all = labels(line);
    let has = |all: &[String], word: &str| all.iter().any(|l| l == word);
    assert!(
        !has(&all, "via") && !has(&all, "in") && has(&all, "return"),
        "{all:?}"
    );
    let all = labels(&format!("zone attic\npassage hole bore 2 mm\n{line}"));
    assert!(has(&all, "via") && has(&all, "in"), "{all:?}");
    // One that is called and not yet there.
    let all = labels(&format!("joint a from mid in attic\n{line}"));
    assert!(!has(&all, "via") && has(&all, "in"), "{all:?}");
    // A pattern may need it.
    let all = labels("lamp shop.a of shop.light from shop $0");
    assert!(has(&all, "in"), "{all:?}");
}

#[test]
fn what_is_tried_draws_current() {
    let mut all = labels("tried $0");
    all.sort();
    let pieces = [
        "baker",
        "cross-2",
        "cross-l",
        "cross-r",
        "grocer",
        "shoe",
        "shoe.window",
        "wink",
    ];
    assert_eq!(all, pieces);
}

/// At output b a lamp of 2.0 V and 620 ohm takes about (12 − 2) V / 620 ohm = 16 mA; with everything on, it is the
/// other's turn, whose two lamps draw more.
#[test]
fn a_light_has_its_figures_in_its_own_turn() {
    let line = "lamp cross-4 of sign resistor $0 from wink.b over 60 mm of thin";
    let offers = offered(line);
    let first = &offers[0];
    // (12 − 2) V / 20 mA = 500 ohm.
    assert_eq!(first.label, "510 ohm", "{}", first.detail);
    assert!(first.detail.starts_with("about 19."), "{}", first.detail);
    let points = offered("lamp a of sign from $0");
    let output = points.iter().find(|o| o.label == "wink.b").unwrap();
    assert!(output.detail.contains("gives 16."), "{}", output.detail);

    let text = STREET.replace(
        "cross-r of sign resistor 620 ohm 1/2 W",
        "cross-r of sign resistor $0 1/2 W",
    );
    let (a, offset) = analysed(&text);
    let offers = completion(&a, FileId(0), offset).unwrap().list;
    let offer = offers.iter().find(|o| o.label == "620 ohm").unwrap();
    let text = about(&a, FileId(0), &offer.about).unwrap();
    assert!(text.contains("cross-r draws 16."), "{text}");
    assert!(text.contains("(all-on, turn 2)"), "{text}");
    assert!(
        text.contains(" in lamp and resistor") && !text.contains("in it"),
        "{text}"
    );
}
