//! Hovers on a small plan: `$0` in the text is the cursor.

use super::hover;
use crate::checks::Analysis;
use crate::plan::{Alone, FileId, FileKey};

/// What is shown at `$0`, blanks that only pad a table left out, and the words that it is about.
pub(crate) fn at(text: &str) -> Option<(String, String)> {
    let offset = text.find("$0").expect("a cursor");
    let text = text.replace("$0", "");
    let a = Analysis::of(FileKey::new("plan"), text.as_str().into(), &Alone, &|| {
        false
    });
    let hover = hover(&a, FileId(0), offset)?;
    let words = |line: &str| line.split_whitespace().collect::<Vec<_>>().join(" ");
    let shown: Vec<String> = hover.markdown.split('\n').map(words).collect();
    Some((shown.join("\n"), text[hover.span.range()].to_string()))
}

/// The plan below and one more line.
fn plan(line: &str) -> String {
    format!("{PLAN_HEAD}{line}\n")
}

const PLAN_HEAD: &str = "\
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
  colour white
module flasher
  works 6 V to 13 V
  draws 3 mA
  output a 60 mA flash 1 Hz
zone saloon
zone bridge
passage stair between saloon and bridge bore 2.5 mm
supply adapter 12 V 1 A
fuse F1 400 mA from adapter
joint keel from F1 over 600 mm of hook in saloon
board blink of flasher from keel
";

fn shown(line: &str) -> String {
    at(&plan(line)).expect("a hover").0
}

#[test]
fn words_of_the_language() {
    let text = shown("joi$0nt bow from keel");
    assert!(text.starts_with("**joint**: A soldered splice"), "{text}");
    let text = shown("joint bow from keel ov$0er 20 mm of fine");
    assert!(text.starts_with("**over**: The run:"), "{text}");
    let text = shown("joint bow from keel over 20 mm o$0f fine");
    assert!(text.starts_with("**over**: The run:"), "{text}");
}

#[test]
fn a_quantity_in_other_units() {
    let (text, words) = at(&plan("joint bow from keel over 120$0 mm of fine")).unwrap();
    assert_eq!(words, "120 mm");
    assert!(
        text.starts_with("`120 mm` is 12 cm, 0.12 m, 0.394 ft, 4.72 inch\n\n**over**"),
        "{text}"
    );
}

#[test]
fn comments_and_blanks_say_nothing() {
    assert_eq!(at(&plan("joint bow from keel # ke$0el")), None);
    assert_eq!(at(&plan("joint bow from keel\n\n$0\n")), None);
    assert_eq!(at("$0"), None);
    assert_eq!(at("# only $0"), None);
}

#[test]
fn stock() {
    let text = shown("joint bow from keel over 120 mm of fi$0ne");
    assert!(
        text.starts_with("**wire fine**: copper 0.202 mm across, 0.032 mm², 32 AWG"),
        "{text}"
    );
    let text = shown("strip s of wa$0rm 6 lamps from keel");
    assert!(
        text.starts_with("**tape warm**: groups of 3 lamps, 25 mm long, 7 V to 12.6 V"),
        "{text}"
    );
    assert!(text.contains("| current | 18 mA | 720 mA |"), "{text}");
    let text = shown("lamp m of pea$0rl from keel resistor 560 ohm");
    assert!(text.contains("| 20 mA | 3 V | 450 ohm |"), "{text}");
    let text = shown("board b of flas$0her from keel");
    assert!(
        text.contains("- a: hands on what the board is fed, up to 60 mA, flashes at 1 Hz"),
        "{text}"
    );
}

#[test]
fn cut_of_tape() {
    let text = shown("strip s of warm 6$0 lamps from keel");
    assert!(
        text.starts_with("6 lamps of warm: 2 groups, 50 mm, 36 mA at 12 V."),
        "{text}"
    );
    let text = shown("strip s of warm 5$0 lamps from keel");
    assert!(
        text.starts_with("5 lamps of warm are 1.67 groups"),
        "{text}"
    );
    let text = shown("strip s of warm 2$0 groups from keel");
    assert!(text.starts_with("6 lamps of warm: 2 groups"), "{text}");
}

#[test]
fn places() {
    let text = shown(
        "lamp m of pearl resistor 560 ohm from keel over 90 mm of fine via sta$0ir in bridge",
    );
    assert!(text.contains("2 wires through it: 2 of fine"), "{text}");
    assert!(text.contains("They belong to m."), "{text}");
    let text = shown("lamp m of pearl resistor 560 ohm from keel in brid$0ge");
    assert!(text.contains("1 light: m"), "{text}");
}

#[test]
fn what_is_in_error_says_why() {
    let text = shown("lamp m$0 of perl resistor 560 ohm from keel");
    assert!(text.starts_with("**lamp m**: A single lamp"), "{text}");
    assert!(text.contains("Left out of the figures: "), "{text}");
    let text = shown("joint bow from F9\nlamp m$0 of pearl resistor 560 ohm from bow");
    assert!(
        text.contains("it hangs on bow, which is in error."),
        "{text}"
    );
}

#[test]
fn notes_are_shown_as_written() {
    let text = shown("joint bo$0w from keel\n  note \"under *the* deck\"");
    assert!(text.ends_with("Note: under \\*the\\* deck"), "{text}");
}

/// The way and the figures of a chained light, its losses worked out by hand: 24 AWG is 84.2 mohm per metre of
/// a leg and 32 AWG 538 mohm (ASTM B258 with IEC 60028 at 20 °C), both legs count, tracks here have none. To keel
/// flow 48 mA (board 3, strip 35.9, lamp 9.14): 0.048 A · 2 · 0.6 m · 84.2 mohm/m = 4.85 mV, and so on.
#[test]
fn an_item() {
    let text = shown(
        "strip s of warm 6 lamps from keel over 120 mm of fine in saloon\nlamp m$0 of pearl resistor 1 kohm from s over 200 mm of fine\nscene quiet off m",
    );
    let (first, rest) = text.split_once("\n\n").unwrap();
    assert_eq!(first, "**lamp m**: pearl with 1 kohm, in saloon");
    assert!(rest.contains("| quiet | off |"), "{rest}");
    let figures = "\n| all-on | 11.99 V | 9.14 mA | 110 mW |\n| | (11.39–12.58 V) | (";
    assert!(rest.contains(figures), "{rest}");
    assert!(
        rest.contains("Way: adapter → F1 → keel → s → m\n\n"),
        "{rest}"
    );
    assert!(rest.contains("to keel 4.85 mV (600 mm of hook), to s 5.82 mV (120 mm of fine), to m 1.97 mV (200 mm of fine); in all 12.6 mV, 0.1 % of 12 V from adapter (all-on)"), "{rest}");
    assert!(rest.contains("Alone on 12 V it draws 9.15 mA"), "{rest}");
}

#[test]
fn an_output_of_a_board() {
    let text = shown("lamp m of pearl resistor 1 kohm from blink.$0a");
    assert!(
        text.starts_with("**blink.a**: output of flasher, hands on what the board is fed"),
        "{text}"
    );
    assert!(text.contains("On it: m."), "{text}");
    let text = shown("lamp m of pearl resistor 1 kohm from bl$0ink.a");
    assert!(text.starts_with("**blink.a**"), "{text}");
}

#[test]
fn a_scene() {
    let text = shown(
        "lamp m of pearl resistor 1 kohm from keel\nlamp n of pearl resistor 1 kohm from keel\nscene qui$0et off m",
    );
    assert!(
        text.starts_with("**scene quiet**\n\n1 light on: n\n\nOff: m"),
        "{text}"
    );
    assert!(text.contains("| adapter | 12."), "{text}");
}

#[test]
fn a_piece_and_its_copies() {
    let text = shown(
        "pattern wing needs lens\nlamp wing.ti$0p of wing.lens resistor 560 ohm from wing\ncopy port of wing from keel where lens pearl\ncopy starboard of wing from keel where lens pearl\n  but tip resistor 680 ohm",
    );
    assert!(text.contains("in 2 copies"), "{text}");
    assert!(
        text.contains("| port.tip | ") && text.contains("| starboard.tip | "),
        "{text}"
    );
    let text = shown(
        "pattern wing needs lens\nlamp wing.tip of wing.lens resistor 560 ohm from wing\ncopy port of win$0g from keel where lens pearl",
    );
    assert!(text.contains("Pieces: wing.tip\n\nCopies: port"), "{text}");
}

/// A ring of three lamps on a battery, by way of a passage into a room with windows.
const RING: &str = "\
harness \"Ring\"
wire fine gauge 32 AWG insulation enamel
wire hook gauge 24 AWG
led pearl drops 3.0 V at 20 mA colour white gives 6 lm
zone hull inside 200 cm2 windows 10 cm2 finish white
zone deck
passage stair between hull and deck bore 2 mm
supply cells 9 V resistance 1.5 ohm capacity 500 mAh
fuse F1 400 mA from cells
joint keel from F1 over 600 mm of hook in deck
lamp a of pearl resistor 470 ohm from keel over 100 mm of fine via stair in hull
lamp b of pearl resistor 470 ohm from a over 100 mm of fine
lamp c of pearl resistor 470 ohm from b over 100 mm of fine
link ring between c and keel over 200 mm of fine via stair
scene night off c
";

/// What is shown right behind some words of the ring.
fn on_ring(words: &str) -> String {
    let place = RING.find(words).expect("the words") + words.len();
    at(&format!("{}$0{}", &RING[..place], &RING[place..]))
        .expect("a hover")
        .0
}

#[test]
fn what_breaks_and_shorts_do() {
    let keel = on_ring("joint ke");
    assert!(
        keel.contains("If it breaks, 3 lights go dark: a, b, c. A short"),
        "{keel}"
    );
    // 9 V over 1.5 ohm and 1.2 m of 24 AWG (0.0842 ohm a metre): 5.62 A.
    assert!(
        keel.ends_with(
            "A short at its end gives 5.62 A, 14.1 times the 400 mA of F1: it opens within 20 ms."
        ),
        "{keel}"
    );
    let b = on_ring("lamp b");
    assert!(
        b.contains("If it breaks, no other light goes dark. If one of its wires breaks, no light goes dark."),
        "{b}"
    );
    // Behind its own 470 ohm.
    assert!(
        b.contains("A short at its end gives 19.1 mA, which its wire may carry."),
        "{b}"
    );
    let ring = on_ring("link ri");
    assert!(ring.contains("| keel → c |"), "{ring}");
    assert!(
        ring.contains("If one of its wires breaks, no light goes dark."),
        "{ring}"
    );
    // Places: F1; keel thrice and its joint; each lamp thrice; the link twice. Those of F1 and keel darken all.
    let plan = on_ring("harness \"Ri");
    assert!(
        plan.starts_with("Worst break: F1, 3 of 3 lights dark. Of 16 places that can break: 8 darken none, 3 darken 1, 5 darken 3."),
        "{plan}"
    );
}

#[test]
fn what_zones_passages_and_batteries_are_like() {
    let hull = on_ring("zone hu");
    // 11.5 lm in 200 cm², of white (0.85) less its windows: 11.5/0.02 / (1 − 0.85 · 0.95) = 2999 lx.
    assert!(
        hull.contains("| all-on | 11.5 lm | 2999 lx | 344 mW | 2.15 K |"),
        "{hull}"
    );
    let dim = at(&RING
        .replace(" gives 6 lm", "")
        .replace("zone hull", "zone hu$0ll"))
    .unwrap()
    .0;
    assert!(
        dim.ends_with("With `gives` at pearl the light on its windows would be worked out."),
        "{dim}"
    );
    let stair = on_ring("passage st");
    // Four wires of 1.12 · 0.2019 mm: 2.4142 of them across, less than 1.2 · √4.
    assert!(
        stair.contains("4 wires through it: 4 of fine. The smallest hole for them: 0.546 mm."),
        "{stair}"
    );
    assert!(stair.ends_with("They belong to a, ring."), "{stair}");
    let cells = on_ring("supply ce");
    assert!(cells.contains("It lasts about 28.8 h in night."), "{cells}");
}

/// Two outputs that take turns: the light on the one that draws less is on in no scene.
#[test]
fn what_takes_turns_is_shown_in_its_turn() {
    let text = "\
led sign drops 2.0 V at 20 mA limit 25 mA colour red
module winker
  works 4.2 V to 14 V
  draws 5 mA
  output a 60 mA
  output b 60 mA
  turns a, b
supply adapter 12 V 0.5 A
board wink of winker from adapter
lamp l-1 of sign resistor 620 ohm from wink.a
lamp l-2 of sign resistor 620 ohm from wink.a
lamp l-3 of sign resistor 620 ohm from wink.a
lamp r-1 of sign resistor 330 ohm from wink.b
";
    let shown = |name: &str, at_cursor: &str| at(&text.replace(name, at_cursor)).unwrap().0;
    let light = shown("lamp r-1", "lamp r$0-1");
    let row = light.lines().find(|line| line.contains("(turn 2)"));
    let row = row.unwrap_or_default();
    assert!(row.contains("with everything on (turn 2)"), "{light}");
    assert!(row.contains("| 12 V") && row.contains("30.1 mA"), "{light}");
    let output = shown("wink.b", "wink.$0b");
    let row = output.lines().find(|line| line.contains("(turn 2)"));
    assert!(row.unwrap_or_default().contains("30.1 mA"), "{output}");
    // What is on in a scene has no row for a turn.
    let other = shown("lamp l-1", "lamp l$0-1");
    assert!(other.contains("| all-on |"), "{other}");
    assert!(!other.contains("turn 2"), "{other}");
}

/// Who shows the text as it is breaks lines that are too long wherever they happen to end.
#[test]
fn no_table_is_wider_than_a_small_window() {
    for words in [
        "strip s of warm 6 lamps from keel over 120 mm of fine\nstrip t$0 of warm 6 lamps from s over 40 mm of fine\nlamp m of pearl resistor 1 kohm from t\nscene quiet off m",
        "lamp m$0 of pearl resistor 1 kohm from keel",
        "joint far$0 from keel over 2 m of fine\nlamp m of pearl resistor 1 kohm from far",
    ] {
        let text = plan(words).replace("$0", "");
        let offset = plan(words).find("$0").unwrap();
        let a = Analysis::of(FileKey::new("plan"), text.as_str().into(), &Alone, &|| {
            false
        });
        let text = hover(&a, FileId(0), offset).unwrap().markdown;
        let wide = text.lines().filter(|line| line.starts_with('|'));
        let widest = wide.map(|line| line.chars().count()).max();
        assert!(widest.is_some_and(|width| width <= 96), "{text}");
    }
}
