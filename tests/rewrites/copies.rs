//! Mends of what is there more than once: a fault that all copies share is mended on the pattern's piece, one that a
//! single copy has by what that copy says of the piece.

use super::*;
use glimloom::checks::Analysis;
use glimloom::plan::Alone;

const HEAD: &str = "\
wire hook gauge 24 AWG insulation pvc colours red, black
wire fine gauge 32 AWG insulation enamel colours red, green
wire hair gauge 40 AWG insulation enamel colours red, green
tape warm group 3 lamps long 25 mm works 9 V to 12.6 V draws 18 mA at 12 V track 2 ohm per m
led pearl drops 3.0 V at 20 mA colour white
led ruby drops 2.0 V at 20 mA colour red
supply s 12 V 1 A in hold
fuse F1 160 mA from s
joint hub from F1
zone hold
zone east
zone west
zone tomb sealed
zone lid lifts off
passage pe between hold and east bore 9 mm
passage pw between hold and west bore 9 mm
passage pt between hold and tomb bore 9 mm
passage pl between hold and lid bore 9 mm
";

/// What the preferred mend of the first finding of this check puts in the place of what.
fn mended(check: &str, pieces: &str, copies: [&str; 2]) -> Option<String> {
    let needs = if pieces.contains("p.x") {
        " needs x"
    } else {
        ""
    };
    let [one, two] = copies;
    let text = format!(
        "{HEAD}pattern p{needs}\n{pieces}\ncopy one of p from hub{one}\ncopy two of p from hub{two}\n"
    );
    let text = match check {
        "tape-overdriven" => text.replace("s 12 V", "s 14 V"),
        _ => text,
    };
    let a = Analysis::of(FileKey::new("plan"), text.clone().into(), &Alone, &|| false);
    let problems = &a.plan.problems;
    assert!(problems.is_empty(), "{problems:?}");
    let finding = a.findings.iter().position(|f| f.check == check);
    let finding = finding.unwrap_or_else(|| panic!("no {check} in\n{text}"));
    let mend = a.mends(finding).into_iter().next()?;
    let after = a.with_edits(&mend.edits);
    assert!(after.findings.iter().all(|f| f.check != check));
    let new = after.plan.files[0].text.to_string();
    let not_in = |other: &str, line: &&str| !other.lines().any(|l| l == *line);
    let gone = text.lines().filter(|l| not_in(&new, l));
    let come = new.lines().filter(|l| not_in(&text, l));
    let gone = gone.map(|l| format!("- {l}"));
    let lines: Vec<String> = gone.chain(come.map(|l| format!("+ {l}"))).collect();
    Some(lines.join("\n"))
}

fn is_mended_so(check: &str, pieces: &str, copies: [&str; 2], expected: &str) {
    assert_eq!(
        mended(check, pieces, copies).as_deref(),
        Some(expected),
        "{check}"
    );
}

#[test]
fn what_all_copies_share_is_mended_on_the_piece() {
    let same = ["", ""];
    let lamp = |words: &str| format!("lamp p.a of pearl {words}from p");
    is_mended_so(
        "resistor-not-preferred",
        &lamp("resistor 555 ohm "),
        same,
        "- lamp p.a of pearl resistor 555 ohm from p\n+ lamp p.a of pearl resistor 560 ohm from p",
    );
    is_mended_so(
        "resistor-too-hot",
        "resistor p.r 300 ohm 1/4 W from p\nload p.l draws 25 mA from p.r",
        ["", " but l draws 27 mA"],
        "- resistor p.r 300 ohm 1/4 W from p\n+ resistor p.r 300 ohm 1/2 W from p",
    );
    is_mended_so(
        "lamp-without-resistor",
        &lamp(""),
        same,
        "- lamp p.a of pearl from p\n+ lamp p.a of pearl resistor 470 ohm 1/2 W from p",
    );
    is_mended_so(
        "lamp-off-target",
        &format!("{} runs at 18 mA", lamp("resistor 1 kohm ")),
        same,
        "- lamp p.a of pearl resistor 1 kohm from p runs at 18 mA\n+ lamp p.a of pearl resistor 510 ohm 1/2 W from p runs at 18 mA",
    );
    is_mended_so(
        "cut-inside-group",
        "strip p.a of warm 7 lamps from p",
        same,
        "- strip p.a of warm 7 lamps from p\n+ strip p.a of warm 6 lamps from p",
    );
    is_mended_so(
        "drop-too-large",
        "strip p.a of warm 9 lamps from p over 2 m of hair",
        same,
        "- strip p.a of warm 9 lamps from p over 2 m of hair\n+ strip p.a of warm 9 lamps from p over 2 m of fine",
    );
    is_mended_so(
        "wire-overloaded",
        "load p.a draws 400 mA from p over 40 mm of hair",
        same,
        "- load p.a draws 400 mA from p over 40 mm of hair\n+ load p.a draws 400 mA from p over 40 mm of fine",
    );
    is_mended_so(
        "fuse-too-small",
        "fuse p.f 50 mA from p\nload p.a draws 45 mA from p.f over 40 mm of hook",
        same,
        "- fuse p.f 50 mA from p\n+ fuse p.f 63 mA from p",
    );
    is_mended_so(
        "fuse-not-preferred",
        "fuse p.f 90 mA from p\nload p.a draws 20 mA from p.f",
        same,
        "- fuse p.f 90 mA from p\n+ fuse p.f 100 mA from p",
    );
    is_mended_so(
        "regulator-too-hot",
        "regulator p.r 5 V 500 mA from p\nload p.l draws 200 mA from p.r",
        same,
        "- regulator p.r 5 V 500 mA from p\n+ regulator p.r 5 V 500 mA efficiency 85 % from p",
    );
    is_mended_so(
        "tape-overdriven",
        "strip p.a of warm 3 lamps from p",
        same,
        "- strip p.a of warm 3 lamps from p\n+ resistor p.a-drop 100 ohm 1/8 W from p\n+ strip p.a of warm 3 lamps from p.a-drop",
    );
    is_mended_so(
        "lamps-share-resistor",
        "resistor p.r 330 ohm 1 W from p\nlamp p.a of pearl from p.r\nlamp p.b of pearl from p.r",
        same,
        "- resistor p.r 330 ohm 1 W from p\n- lamp p.a of pearl from p.r\n- lamp p.b of pearl from p.r\n+ joint p.r from p\n+ lamp p.a of pearl resistor 470 ohm 1/2 W from p.r\n+ lamp p.b of pearl resistor 470 ohm 1/2 W from p.r",
    );
    is_mended_so(
        "too-many-in-series",
        "string p.a of pearl 4 lamps resistor 10 ohm from p",
        ["", "\nscene dark off one.a"],
        "- string p.a of pearl 4 lamps resistor 10 ohm from p\n- scene dark off one.a\n+ string p.a of pearl 2 lamps resistor 300 ohm 1/2 W from p\n+ string p.a-2 of pearl 2 lamps resistor 300 ohm 1/2 W from p\n+ scene dark off one.a, one.a-2",
    );
    is_mended_so(
        "sealed-out-of-reach",
        "switch p.sw from p over 40 mm of fine via pt in tomb\nlamp p.a of pearl resistor 680 ohm from p.sw",
        ["", "\nlamp more of pearl resistor 680 ohm from two.sw"],
        "- switch p.sw from p over 40 mm of fine via pt in tomb\n- lamp p.a of pearl resistor 680 ohm from p.sw\n- lamp more of pearl resistor 680 ohm from two.sw\n+ switch p.sw from p\n+ joint p.sw-end from p.sw over 40 mm of fine via pt in tomb\n+ lamp p.a of pearl resistor 680 ohm from p.sw-end\n+ lamp more of pearl resistor 680 ohm from two.sw-end",
    );
    is_mended_so(
        "way-broken",
        "lamp p.a of pearl resistor 680 ohm from p over 40 mm of fine via pe in west",
        same,
        "- lamp p.a of pearl resistor 680 ohm from p over 40 mm of fine via pe in west\n+ lamp p.a of pearl resistor 680 ohm from p over 40 mm of fine via pw in west",
    );
    is_mended_so(
        "link-idle",
        "lamp p.a of pearl resistor 680 ohm from p over 40 mm of fine\njoint p.j from p over 20 mm of fine\nlink p.k between p.j and p over 20 mm of fine",
        same,
        "- link p.k between p.j and p over 20 mm of fine",
    );
}

#[test]
fn where_one_change_does_not_serve_all_each_copy_gets_its_own() {
    is_mended_so(
        "resistor-not-preferred",
        "lamp p.a of pearl resistor 555 ohm from p",
        ["", " but a resistor 666 ohm"],
        "- lamp p.a of pearl resistor 555 ohm from p\n- copy two of p from hub but a resistor 666 ohm\n+ lamp p.a of pearl resistor 560 ohm from p\n+ copy two of p from hub but a resistor 680 ohm",
    );
    is_mended_so(
        "way-missing",
        "lamp p.a of pearl resistor 680 ohm from p over 40 mm of fine in p.x",
        [" where x east", " where x west   # far"],
        "+   but a from p over 40 mm of fine via pe\n+   but a from p over 40 mm of fine via pw",
    );
}

#[test]
fn what_one_copy_has_alone_is_mended_in_that_copy() {
    is_mended_so(
        "lamp-without-resistor",
        "lamp p.a of pearl from p",
        [" but a resistor 680 ohm", ""],
        "+   but a resistor 470 ohm 1/2 W",
    );
    is_mended_so(
        "lamp-over-limit",
        "lamp p.a of p.x resistor 390 ohm from p",
        [
            " where x pearl but a resistor 680 ohm",
            " where x ruby but a in hold",
        ],
        "- copy two of p from hub where x ruby but a in hold\n+ copy two of p from hub where x ruby but a in hold resistor 470 ohm 1/2 W",
    );
    is_mended_so(
        "lamp-off-target",
        "lamp p.a of pearl resistor 680 ohm from p runs at 13 mA",
        ["", " but a resistor 2 kohm"],
        "- copy two of p from hub but a resistor 2 kohm\n+ copy two of p from hub but a resistor 680 ohm 1/2 W",
    );
    is_mended_so(
        "drop-too-large",
        "strip p.a of warm 9 lamps from p over 2 m of hair",
        [" but a from p over 20 mm of fine", ""],
        "+   but a from p over 2 m of fine",
    );
    is_mended_so(
        "drop-too-large",
        "strip p.a of warm 9 lamps from p over 20 mm of fine",
        ["", " but a from p over 2 m of hair"],
        "- copy two of p from hub but a from p over 2 m of hair\n+ copy two of p from hub but a from p over 2 m of fine",
    );
    is_mended_so(
        "wire-overloaded",
        "load p.a draws 400 mA from p over 40 mm of hair",
        [" but a draws 10 mA", ""],
        "+   but a from p over 40 mm of fine",
    );
    is_mended_so(
        "fuse-too-large",
        "fuse p.f 800 mA from p\nload p.a draws 20 mA from p.f over 40 mm of hair",
        [" but a from p.f over 20 mm of hook", ""],
        "+   but a from p.f over 40 mm of hook",
    );
    is_mended_so(
        "regulator-too-hot",
        "regulator p.r 5 V 500 mA from p\nload p.l draws 200 mA from p.r",
        [" but l draws 10 mA", ""],
        "+   but r efficiency 85 %",
    );
    is_mended_so(
        "single-path",
        "lamp p.a of pearl resistor 680 ohm from p over 20 mm of fine\nlamp p.b of pearl resistor 680 ohm from p.a over 20 mm of fine\nlamp p.c of pearl resistor 680 ohm from p.b over 20 mm of fine",
        [
            " but b from p over 30 mm of fine but c from p over 30 mm of fine",
            "",
        ],
        "+   but b from p over 40 mm of fine\n+   but c from p over 60 mm of fine",
    );
    is_mended_so(
        "way-broken",
        "lamp p.a of pearl resistor 680 ohm from p over 40 mm of fine via pe in p.x",
        [" where x east", " where x west"],
        "+   but a from p over 40 mm of fine via pw",
    );
    is_mended_so(
        "way-missing",
        "lamp p.a of pearl resistor 680 ohm from p over 40 mm of fine in p.x",
        [" where x hold", " where x west"],
        "+   but a from p over 40 mm of fine via pw",
    );
}

/// A `but` changes clauses alone: what a piece is, how many, how much, and what stands beside it is the pattern's. To
/// change that for one copy, the copy is written out.
#[test]
fn what_no_but_can_say_is_not_offered() {
    let cases = [
        (
            "fuse-too-small",
            "fuse p.f 50 mA from p\nload p.a draws 45 mA from p.f over 40 mm of hook",
            [" but a draws 20 mA", ""],
        ),
        (
            "resistor-too-hot",
            "resistor p.r 300 ohm 1/4 W from p\nload p.l draws 20 mA from p.r",
            ["", " but l draws 30 mA"],
        ),
        (
            "too-many-in-series",
            "string p.a of p.x 4 lamps resistor 10 ohm from p",
            [" where x ruby but a resistor 270 ohm", " where x pearl"],
        ),
        (
            "sealed-out-of-reach",
            "connector p.sw from p over 40 mm of fine via p.x in tomb\nlamp p.a of pearl resistor 680 ohm from p.sw",
            [
                " where x pt",
                " where x pt but sw from p over 40 mm of fine in hold",
            ],
        ),
    ];
    for (check, pieces, copies) in cases {
        assert_eq!(mended(check, pieces, copies), None, "{check}");
    }
}

#[test]
fn a_title_says_what_is_edited() {
    let text = format!(
        "{HEAD}pattern p\nlamp p.a of pearl resistor 560 ohm from p over 50 mm of fine\ncopy one of p from hub\ncopy two of p from hub\n  but a resistor 220 ohm 1 W\n"
    );
    let a = Analysis::of(FileKey::new("plan"), text.clone().into(), &Alone, &|| false);
    let at = a.findings.iter().position(|f| f.check == "lamp-over-limit");
    let mend = a.mends(at.unwrap()).remove(0);
    // Its own `but` is changed, and the rating that is enough stays.
    let after = a.with_edits(&mend.edits).plan.files[0].text.to_string();
    let words = mend.title.split(" for two.a instead of 220 ohm: ").next();
    let changed = text.replace(
        "resistor 220 ohm 1 W",
        &format!("resistor {}", words.unwrap()),
    );
    assert_eq!(after, changed);
    assert!(mend.title.contains(" ohm 1 W for two.a "), "{}", mend.title);
}
