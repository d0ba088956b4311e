//! Stanzas with their faults marked: a line of `^^^` under the words at fault with the check and the
//! message, then a line for each mend.

use std::fmt::Write as _;
use std::sync::Arc;

use proptest::prelude::*;

use super::tree::{Fault, File, Stanza, TokenKind, ValueKind};
use super::vocabulary::{ClauseShape, Dimension, STANZAS};
use super::{read_file, read_file_reusing, read_stanza};
use crate::text::Span;

/// The file with each fault marked under its words.
fn marked(text: &str) -> String {
    let file = read_file(text);
    check_invariants(text, &file);
    let mut faults: Vec<(usize, usize, &Fault)> = Vec::new();
    for placed in &file.stanzas {
        for fault in &placed.stanza.faults {
            let span = fault.span.shifted(placed.start);
            faults.push((span.start as usize, span.end as usize, fault));
        }
    }
    let mut out = String::new();
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let words = line.trim_end();
        let _ = writeln!(out, "{words}");
        for (from, to, fault) in &faults {
            if (start..start + line.len().max(1)).contains(from) {
                let blanks = text[start..*from].chars().count();
                let end = (*to).min(start + words.len()).max(*from);
                let marks = text[*from..end].chars().count().max(1);
                let _ = writeln!(
                    out,
                    "{}{} {}: {}",
                    " ".repeat(blanks),
                    "^".repeat(marks),
                    fault.check,
                    fault.message
                );
                for mend in &fault.mends {
                    let _ = writeln!(out, "{}* {}", " ".repeat(blanks), mend.title);
                }
            }
        }
        start += line.len();
    }
    out
}

/// Holds a file with its marks against what is found. Mark lines begin with `^`, mends with `*`.
fn check(expected: &str) {
    let expected = expected.strip_prefix('\n').unwrap_or(expected);
    let is_mark = |line: &&str| !line.trim_start().starts_with(['^', '*']);
    let text: String = expected.split_inclusive('\n').filter(is_mark).collect();
    let found = marked(&text);
    assert!(found == expected, "found:\n{found}\nexpected:\n{expected}");
}

/// What holds for every text: lossless, spans in bounds and on character borders.
fn check_invariants(text: &str, file: &File) {
    let mut joined = String::new();
    for placed in &file.stanzas {
        assert_eq!(placed.start as usize, joined.len());
        joined.push_str(&placed.stanza.text);
        check_stanza(&placed.stanza);
    }
    assert_eq!(joined, text);
}

fn check_stanza(stanza: &Stanza) {
    let text = &*stanza.text;
    let good = |span: Span| {
        assert!(span.start <= span.end);
        assert!(text.get(span.range()).is_some(), "{span:?} in {text:?}");
    };
    let mut at = 0;
    for token in &stanza.tokens {
        good(token.span);
        let blank = &text[at..token.span.start as usize];
        assert!(blank.chars().all(|c| c.is_whitespace() || c == '\u{feff}'));
        at = token.span.end as usize;
    }
    good(stanza.word_span);
    for value in &stanza.head {
        good(value.span);
    }
    fn clauses(list: &[super::tree::Clause], good: &dyn Fn(Span)) {
        for clause in list {
            good(clause.word_span);
            good(clause.span);
            assert_eq!(clause.span.start, clause.word_span.start);
            for value in &clause.values {
                good(value.span);
                if let ValueKind::Quantity(x, _) = value.kind {
                    assert!(x.is_finite());
                }
            }
            clauses(&clause.parts, good);
        }
    }
    clauses(&stanza.clauses, &good);
    for fault in &stanza.faults {
        good(fault.span);
        assert!(!fault.message.is_empty());
        fault.related.iter().for_each(|(span, _)| good(*span));
        for mend in &fault.mends {
            mend.edits.iter().for_each(|(span, _)| good(*span));
        }
    }
}

/// The file after the preferred mend of its first fault that has one.
fn mended(text: &str) -> String {
    let file = read_file(text);
    for placed in &file.stanzas {
        let mend = placed.stanza.faults.iter().find_map(|f| f.mends.first());
        if let Some(mend) = mend {
            let mut text = text.to_owned();
            let mut edits = mend.edits.clone();
            edits.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
            for (span, new) in edits {
                text.replace_range(span.shifted(placed.start).range(), &new);
            }
            return text;
        }
    }
    text.to_owned()
}

fn assert_clean(text: &str) {
    let shown = marked(text);
    assert!(!shown.contains('^'), "{shown}");
}

const TASTE: &str = r#"harness "Skerry Star, night ferry"
  scale 1:150
  ambient 25 degC

wire hook                 # the trunk, stranded
  gauge 24 AWG
  insulation pvc outer 1.3 mm
  colours red, black

wire fine                 # enamelled copper inside the hull
  gauge 32 AWG
  insulation enamel
  colours red, green

tape warm
  group 3 lamps long 25 mm
  works 7 V to 12.6 V
  draws 18 mA at 12 V
  colour warm-white

led pearl
  drops 3.0 V at 20 mA
  limit 25 mA
  colour white

zone saloon
zone bridge
passage stair between saloon and bridge bore 2.5 mm

supply adapter 12 V 1 A
fuse   F1 400 mA                   from adapter
joint  keel                        from F1       over 600 mm of hook  in saloon
strip  saloon-1 of warm 6 lamps    from keel     over 120 mm of fine  in saloon
strip  saloon-2 of warm 6 lamps    from saloon-1 over 40 mm of fine   in saloon   # chained
lamp   mast of pearl resistor 560 ohm  from keel over 200 mm of fine via stair  in bridge

scene cruising
scene moored  off mast
"#;

const PATTERN: &str = "\
pattern wing needs lens, bay, spar
lamp wing.tip     of wing.lens resistor 560 ohm  from wing over 190 mm of fine via wing.spar in wing.bay
lamp wing.landing of beam      resistor 150 ohm  from wing over 70 mm of fine  via wing.spar in wing.bay
copy port      of wing  from hub over 110 mm of fine  where lens ruby, bay wing-port, spar spar-port
copy starboard of wing  from hub over 130 mm of fine  where lens jade, bay wing-starboard, spar spar-starboard
  but tip resistor 680 ohm
";

#[test]
fn the_pages_own_plans_read_without_faults() {
    assert_clean(TASTE);
    assert_clean(PATTERN);
    let file = read_file(PATTERN);
    let copy = &file.stanzas[4].stanza;
    let but = copy.clause("but").unwrap();
    let resistor = but.part("resistor").unwrap();
    assert_eq!(
        resistor
            .quantities(Dimension::Resistance)
            .collect::<Vec<_>>(),
        [680.0]
    );
}

#[test]
fn every_usual_value_reads_without_faults() {
    fn fits(text: &str) {
        let stanza = read_stanza(text.into());
        check_stanza(&stanza);
        let faults: Vec<&Fault> = stanza
            .faults
            .iter()
            .filter(|f| f.check != "clause-missing")
            .collect();
        assert!(faults.is_empty(), "{text}: {faults:?}");
    }
    fn clauses(ahead: &str, list: &[ClauseShape]) {
        for clause in list {
            let text = format!("{ahead} {}", clause.usual);
            fits(&text);
            clauses(&up_to(&text, clause.parts, ahead.len() + 1), clause.parts);
        }
    }
    /// A text up to the first of these clauses behind `from`.
    fn up_to(text: &str, list: &[ClauseShape], from: usize) -> String {
        let starts = list
            .iter()
            .filter_map(|c| text[from..].find(&format!(" {}", c.word)));
        text[..starts.min().map_or(text.len(), |i| from + i)].to_owned()
    }
    for shape in STANZAS {
        assert_clean(shape.usual);
        let line = shape.usual.lines().next().unwrap();
        clauses(
            &up_to(line, shape.clauses, shape.stanza.word().len()),
            shape.clauses,
        );
    }
}

#[test]
fn values_come_in_si_units() {
    let stanza = read_stanza("supply cell 12 V 750mA resistance 2k2 spent 9V in Dépôt".into());
    let quantity = |x: f64, d: Dimension| ValueKind::Quantity(x, d);
    assert_eq!(stanza.head[1].kind, quantity(12.0, Dimension::Voltage));
    assert_eq!(stanza.head[2].kind, quantity(0.75, Dimension::Current));
    let r = stanza.clause("resistance").unwrap();
    assert_eq!(r.values[0].kind, quantity(2200.0, Dimension::Resistance));
    let harness = read_stanza(
        "harness \"a \\\"b\\\" \\\\\" ambient 212 degF scale 1:43.5 max-drop 5%".into(),
    );
    assert_eq!(harness.head[0].kind, ValueKind::Text("a \"b\" \\".into()));
    let ambient = harness
        .clause("ambient")
        .unwrap()
        .quantities(Dimension::Temperature);
    assert!((ambient.sum::<f64>() - 373.15).abs() < 1e-9); // 212 °F is 100 °C
    assert_eq!(
        harness.clause("scale").unwrap().values[0].kind,
        ValueKind::Scale(43.5)
    );
}

#[test]
fn names_are_kept_in_form_nfc() {
    let one = read_stanza("zone Caf\u{e9}".into());
    let two = read_stanza("zone Cafe\u{301}".into());
    assert_eq!(one.name().unwrap().0, two.name().unwrap().0);
    assert!(one.faults.is_empty() && two.faults.is_empty());
}

#[test]
fn of_very_many_faults_the_first_are_told_of_and_how_many_more_there_are() {
    let faults = |commas: usize| {
        let text = format!("scene a off x{}\n", ",".repeat(commas));
        read_stanza(text.as_str().into()).faults
    };
    let all = faults(1000);
    assert_eq!(all.len(), 1000);
    assert!(
        !all[999].message.starts_with("From here on"),
        "{:?}",
        all[999]
    );
    let cut = faults(5000);
    assert_eq!(cut[..999], all[..999]);
    assert_eq!(cut.len(), 1000);
    assert_eq!(
        cut[999].message,
        "From here on 4001 places of this stanza are at fault. Mend the ones ahead of them first."
    );
    assert!(cut[999].span.start == all[999].span.start && cut[999].is_of_form);
}

#[test]
fn a_broken_stanza_never_changes_its_neighbours() {
    let file = read_file(TASTE);
    for (i, placed) in file.stanzas.iter().enumerate() {
        let stanza = &placed.stanza;
        for damage in ["\"", "}", ",", "from", "of 12", "\\", "1e999", "# "] {
            let at = placed.start as usize + stanza.core_span().end as usize;
            let mut text = TASTE.to_owned();
            text.insert_str(at, &format!(" {damage}"));
            let hurt = read_file(&text);
            check_invariants(&text, &hurt);
            assert_eq!(hurt.stanzas.len(), file.stanzas.len());
            for (j, (was, is)) in file.stanzas.iter().zip(&hurt.stanzas).enumerate() {
                if j != i {
                    assert_eq!(was.stanza.text, is.stanza.text);
                    assert_eq!(was.stanza.head, is.stanza.head);
                    assert_eq!(was.stanza.clauses, is.stanza.clauses);
                    assert_eq!(was.stanza.faults, is.stanza.faults);
                }
            }
        }
    }
}

#[test]
fn units() {
    check(
        r#"
joint a from b over 120 mA of fine
                    ^^^^^^ wrong-unit: `over` wants a length, as 120 mm; 120 mA is a current.
                    * write 120 mm
                    * write 120 cm
                    * write 120 m
joint a from b over 120 of fine
                    ^^^ wrong-unit: 120 needs its unit: `over` wants a length, as 120 mm.
                    * write 120 mm
                    * write 120 cm
                    * write 120 m
joint a from b over 4 in of fine
                    ^^^^ wrong-unit: Inches are written glued to their number: 4in.
                    * write 4in
joint a from b over 4in of fine in saloon
supply s 0,75 V
         ^^^^^^ wrong-unit: A decimal is written with a point: 0.75 V.
         * write 0.75 V
supply s 12v 1,5
         ^^^ wrong-unit: `v` is not a unit: `supply` wants a voltage, as 12 V.
         * write 12 V
             ^^^ wrong-unit: A decimal is written with a point: 1.5 A.
             * write 1.5 A
             * write 1.5 mA
             * write 1.5 uA
supply s 12 volts 500 ma
         ^^^^^^^^ wrong-unit: `volts` is not a unit: `supply` wants a voltage, as 12 V.
         * write 12 V
                  ^^^^^^ wrong-unit: `ma` is not a unit: `supply` wants a current, as 500 mA.
                  * write 500 mA
supply s 1e3 V 1e308 A
         ^^^^^ syntax: Write the number out: 1000 V.
         * write 1000 V
               ^^^^^^^ syntax: 1e308 A is too large to be meant: `supply` wants a current.
supply s 99999999999999999999 V
         ^^^^^^^^^^^^^^^^^^^^^^ syntax: 99999999999999999999 V is too large to be meant: `supply` wants a voltage.
led l drops 3 V at 10 kA
                   ^^^^^ wrong-unit: `kA` is no unit here: write 10000 A.
                   * write 10000 A
resistor r 1 Gohm from s
           ^^^^^^ wrong-unit: `Gohm` is no unit here: write 1000 Mohm.
           * write 1000 Mohm
connector c contact 20 mohm from s
                    ^^^^^^^ wrong-unit: `mohm` is no unit here: write 0.02 ohm.
                    * write 0.02 ohm
supply s 12 V 500 µA
              ^^^^^^ wrong-unit: `µA` is not a unit: `supply` wants a current, as 500 uA.
              * write 500 uA
lamp a of b resistor 560 from k
                     ^^^ wrong-unit: 560 needs its unit: `resistor` wants a resistance, as 560 ohm.
                     * write 560 ohm
                     * write 560 kohm
                     * write 560 Mohm
lamp a of b resistor 560 ohm 1/4 from k
                             ^^^ wrong-unit: 1/4 needs its unit: `resistor` wants a power, as 1/4 W.
                             * write 1/4 W
                             * write 1/4 mW
strip s of t 6 from k
             ^ syntax: `strip` wants a number of lamps, a number of groups or a length: 6 of what?
             * write 6 lamps
strip s of t 6 V from k
             ^^^ wrong-unit: `strip` wants a number of lamps, a number of groups or a length, as 6 mm; 6 V is a voltage.
             * write 6 mm
             * write 6 cm
             * write 6 m
strip s of t 6 lmps from k
               ^^^^ syntax: `lmps` is not known here. Nearest word: lamps.
               * write lamps
wire w gauge 24
             ^^ wrong-unit: 24 needs its unit: `gauge` wants a wire gauge, as 24 AWG.
             * write 24 AWG
harness "x" ambient 25°C headroom 20
                    ^^^^ wrong-unit: `°C` is not a unit: `ambient` wants a temperature, as 25 degC.
                    * write 25 degC
                                  ^^ wrong-unit: 20 needs its unit: `headroom` wants a percentage, as 20 %.
                                  * write 20 %
fuse f 0.4 from s
       ^^^ wrong-unit: 0.4 needs its unit: `fuse` wants a current, as 0.4 A.
       * write 0.4 A
       * write 0.4 mA
       * write 0.4 uA
fuse f 1 from s
       ^ wrong-unit: 1 needs its unit: `fuse` wants a current, as 1 mA.
       * write 1 mA
       * write 1 A
       * write 1 uA
load l takes 500 from k
             ^^^ wrong-unit: 500 needs its unit: `takes` wants a power, as 500 mW.
             * write 500 mW
             * write 500 W
joint a from b over 1,200 mm of fine
                    ^^^^^^^^ wrong-unit: A decimal is written with a point: 1.200 mm.
                    * write 1.200 mm
                    * write 1200 mm
supply s 12 V lasts 4
                    ^ wrong-unit: 4 needs its unit: `lasts` wants a time, as 4 h.
                    * write 4 h
                    * write 4 s
                    * write 4 ms
"#,
    );
}

#[test]
fn slips_of_words() {
    check(
        r#"
lmap a of b
^^^^ syntax: `lmap` starts no stanza. Nearest word: lamp.
* write lamp
Zone a
^^^^ syntax: `Zone` starts no stanza. Nearest word: zone.
* write zone
gauge 24 AWG
^^^^^ syntax: `gauge` starts no stanza. Indent this line, so that it carries on the stanza above.
* indent this line
???
^^^ syntax: `???` starts no stanza. A line that carries a stanza on starts with a space.
strip s off warm 6 lamps frm k ovr 12 mm of fine in saloon
        ^^^ syntax: `of` belongs here, not `off`, as in `strip saloon-1 of warm 6 lamps from keel over 120 mm of fine`.
        * write of
                         ^^^ syntax: `frm` is not known here. Nearest word: from.
                         * write from
                               ^^^ syntax: `ovr` is not known here. Nearest word: over.
                               * write over
lamp a of b resitor 560 ohm from k
            ^^^^^^^ syntax: `resitor` is not known here. Nearest word: resistor.
            * write resistor
zone z finish whit
              ^^^^ syntax: `whit` is not known here. Nearest word: white.
              * write white
zone z finish purple sealed
              ^^^^^^ syntax: `finish` wants one of white, silver, bare or black, not `purple`.
tape t group 3 lamps lng 25 mm works 7 V 12 V draws 18 mA @ 12 V
                     ^^^ syntax: `long` belongs here, not `lng`, as in `group 3 lamps long 50 mm`.
                     * write long
                               ^^^^^^^^^ syntax: `works` wants `to` behind `7 V`, as in `works 7 V to 12.6 V`.
                               * add to
                                                          ^ syntax: `draws` wants `at` here, not `@`, as in `draws 18 mA at 12 V`.
                                                          * write at
joint from from keel
      ^^^^ syntax: `from` is a word of the language and cannot be a name.
      * write from-1
joint a from over 12 mm of fine
        ^^^^ syntax: `from` wants the name of an item or output behind it, as in `from keel`.
joint tape from keel
      ^^^^ syntax: `tape` is a word of the language and cannot be a name.
      * write tape-1
link between a and b
^^^^ syntax: `link` wants a name behind it, as in `link ring between roof and keel over 200 mm of fine`.
joint a from b resistor 5 ohm
               ^^^^^^^^^^^^^^ syntax: `resistor` has no place here in a joint.
joint a over 12 mm of fine from b
        ^^^^^^^^^^^^^^^^^^ syntax: `over` belongs right behind `from`.
scene s off a b, c
              ^ syntax: A comma is missing before `b`.
              * add the comma
scene s off a,
             ^ syntax: Behind this comma the name of an item is wanted.
             * remove the comma
joint a, from b
       ^ syntax: A comma stands only between the things of a list.
       * remove the comma
harness Title scale 150
        ^^^^^ syntax: `harness` wants a text in double quotes, not `Title`, as in `harness "Title"`.
                    ^^^ syntax: 150 does not fit here: `scale` wants a scale, as 1:150, as in `scale 1:150`.
note "x"
^^^^ syntax: `note` starts no stanza. Indent this line, so that it carries on the stanza above.
* indent this line
zone a note "open # text
            ^^^^^^^^^^^^ syntax: The closing quote is missing: a text ends on its own line.
            * close the text
zone a note “x”
            ^^^ syntax: A text stands in straight double quotes.
            * write straight quotes
zone a note "c:\new"
               ^^ syntax: In a text, a backslash stands only before a quote or another backslash.
               * double the backslash
zone a.b
     ^^^ syntax: Only the pieces of a pattern have a dot in their names.
zone 1st
     ^^^ syntax: `1st` cannot be a name: a name starts with a letter.
stage s fits a done 2026-02-30
                    ^^^^^^^^^^ syntax: 2026-02-30 is no day of the calendar. A date is written 2026-03-14.
strip s of t 6lamps from k over fine 120 mm
                           ^^^^^^^^^^^^^^^^ syntax: `over` wants `of` behind `120 mm`, as in `over 100 mm of fine`.
                           * add of
                                ^^^^ syntax: `fine` is not known here.
supply s 12 V, 1 A
             ^ syntax: A comma stands only between the things of a list.
             * remove the comma
supply "adapter" 12 V
       ^^^^^^^^^ syntax: `supply` wants a name, not `"adapter"`, as in `supply adapter 12 V 1 A`.
passage p between a b slot 2 mm x 3 mm
          ^^^^^^^^^ syntax: `between` wants `and` behind `a`, as in `between saloon and bridge`.
          * add and
                                ^ syntax: `slot` wants `by` here, not `x`, as in `slot 4 mm by 1.5 mm`.
                                * write by
copy p of w from k where lens ruby bay x but tip resistor 680 but
                                   ^^^^^ syntax: A comma is missing before `bay`.
                                   * add the comma
                                                          ^^^ wrong-unit: 680 needs its unit: `resistor` wants a resistance, as 680 ohm.
                                                          * write 680 ohm
                                                          * write 680 kohm
                                                          * write 680 Mohm
                                                              ^^^ syntax: `but` wants the name of a piece behind it, as in `but tip resistor 680 ohm`.
lamp a of b from k over 120 mm fine via s
                   ^^^^^^^^^^^ syntax: `over` wants `of` behind `120 mm`, as in `over 100 mm of fine`.
                   * add of
led l drops 3.0 V, 2.8 V at 5 mA colour warm
      ^^^^^^^^^^^ syntax: `drops` wants `at` behind `3.0 V`, as in `drops 3.0 V at 20 mA`.
      * add at
                                        ^^^^ syntax: `colour` wants one of red, amber, yellow, green, blue, white, warm-white, uv or infrared, not `warm`.
lamp a of b from k // comment
                   ^^^^^^^^^^ syntax: A comment starts with `#`.
                   * write #
"#,
    );
}

#[test]
fn the_stanza_as_a_whole() {
    check(
        r#"
wire w
     ^ clause-missing: This wire wants exactly one of `gauge`, `diameter` or `area`.
     * add gauge 28 AWG
     * add diameter 0.2 mm
     * add area 0.14 mm2
wire w gauge 24 AWG diameter 0.5 mm
                    ^^^^^^^^^^^^^^^ clause-repeated: `gauge` and `diameter` exclude each other: keep one.
                    * remove diameter
wire w gauge 24 AWG gauge 26 AWG
                    ^^^^^^^^^^^^ clause-repeated: `gauge` stands twice: keep one.
                    * remove the second gauge
wire w gauge 61 AWG
             ^^^^^^ syntax: A wire gauge is a whole number from 0 to 60 AWG.
wire w gauge 24.5 AWG
             ^^^^^^^^ syntax: A wire gauge is a whole number from 0 to 60 AWG.
lamp a of b
          ^ clause-missing: This lamp wants `from`, as in `from keel`.
load l
     ^ clause-missing: This load wants `from`, as in `from keel`.
     ^ clause-missing: This load wants exactly one of `draws`, `takes` or `resistance`.
     * add draws 20 mA
     * add takes 0.5 W
     * add resistance 0.5 ohm
fuse f 400 mA quick slow from s
                    ^^^^ clause-repeated: `quick` and `slow` exclude each other: keep one.
                    * remove slow
joint a from b over -5 mm of fine
                    ^^^^^ syntax: A length cannot be negative.
joint a from b over 0 mm of fine over 2 mm of fine
                                 ^^^^^^^^^^^^^^^^^ clause-repeated: `over` stands twice: keep one.
                                 * remove the second over
string s of b 0 lamps from k
              ^^^^^^^ syntax: A number of lamps cannot be under 1.
string s of b 2.5 lamps from k
              ^^^^^^^^^ syntax: A number of lamps is a whole number.
supply s 0 V
         ^^^ syntax: A voltage of zero makes no sense here.
tape t group 0 lamps long 0 mm works 12 V to 7 V draws 0 mA at 12 V
             ^^^^^^^ syntax: A number of lamps cannot be under 1.
                          ^^^^ syntax: A length of zero makes no sense here.
                                     ^^^^^^^^^^^ syntax: `works` goes from the least to the greatest: swap the two.
                                     * swap the two
                                                       ^^^^ syntax: A current of zero makes no sense here.
regulator r 5 V 1 A efficiency 0 % from k
                               ^^^ syntax: An efficiency is above 0 % and at most 100 %.
harness "x" headroom 120 % edition 2
                     ^^^^^ syntax: A percentage here is from 0 % to 100 %.
                                   ^ syntax: The edition of the language that is read here is 1.
                                   * write 1
tape t
  group 3 lamps long 25 mm # c
                        ^^ clause-missing: This tape wants `works`, as in `works 7 V to 12.6 V`.
                        * add works 7 V to 12.6 V
                        ^^ clause-missing: This tape wants `draws`, as in `draws 18 mA at 12 V`.
                        * add draws 18 mA at 12 V
"#,
    );
}

#[test]
fn what_a_head_lacks_and_a_reason_that_is_none() {
    check(
        r#"
fuse F2 from F1
             ^^ clause-missing: `fuse` wants a current behind `F2`, as in `fuse F1 400 mA from adapter`.
             * add 400 mA
fuse F3
     ^^ clause-missing: `fuse` wants a current behind `F3`, as in `fuse F1 400 mA from adapter`.
     * add 400 mA
     ^^ clause-missing: This fuse wants `from`, as in `from keel`.
resistor r from F1
                ^^ clause-missing: `resistor` wants a resistance behind `r`, as in `resistor R1 100 ohm 1/4 W from keel`.
                * add 100 ohm
regulator g from F1
                 ^^ clause-missing: `regulator` wants a voltage behind `g`, as in `regulator low 5 V 500 mA efficiency 88 % from keel`.
                 * add 5 V 500 mA
string s of pearl resistor 47 ohm from F1
                                       ^^ clause-missing: `string` wants a number of lamps behind `pearl`, as in `string row of ruby 3 lamps resistor 330 ohm from keel over 80 mm of fine`.
                                       * add 3 lamps
strip t of warm
  from F1   # cut to fit
       ^^ clause-missing: `strip` wants a number of lamps, a number of groups or a length behind `warm`, as in `strip saloon-1 of warm 6 lamps from keel over 120 mm of fine`.
       * add 6 lamps
supply s 1 A
         ^^^ wrong-unit: `supply` wants a voltage, as 1 V; 1 A is a current.
         * write 1 V
         * write 1 mV
harness scale 1:100
              ^^^^^ clause-missing: `harness` wants a text in double quotes behind it, as in `harness "Title"`.
              * add "Title"
use
^^^ clause-missing: `use` wants a text in double quotes behind it, as in `use "stock.harness"`.
tried a on 2026-03-14
           ^^^^^^^^^^ clause-missing: `tried` wants a current behind `a`, as in `tried mast 17.8 mA at 9 V on 2026-03-14`.
lamp a of b from k accept zone-dark
                   ^^^^^^^^^^^^^^^^ clause-missing: `accept` wants `because` behind `zone-dark`, as in `accept single-path because "…"`.
                   * add because "…"
lamp a of b from k accept zone-dark because
                   ^^^^^^^^^^^^^^^^^^^^^^^^ clause-missing: `accept` wants a text in double quotes behind `because`, as in `accept single-path because "…"`.
                   * add "…"
lamp a of b from k accept zone-dark "why"
                   ^^^^^^^^^^^^^^^^ syntax: `accept` wants `because` behind `zone-dark`, as in `accept single-path because "…"`.
                   * add because
lamp a of b from k accept zone-dark because "  "
                                            ^^^^ clause-missing: The reason of an `accept` is printed on the bench sheet: say why.
                                            * write "…"
lamp a of b from k accept zone-dark because "why"
"#,
    );
}

#[test]
fn what_no_model_can_have() {
    check(
        r#"
zone a inside 10 cm2 windows 50 cm2
                             ^^^^^^ syntax: Windows of 50 cm2 are more than the inner surface of 10 cm2 that they are a part of. Check both.
zone a inside 10 cm2 windows 10 cm2
zone a as bright as a finish white
                    ^ syntax: `a` is as bright as itself. Name another zone.
                    * remove it
passage p between a and a bore 3 mm
                        ^ syntax: A passage leads from one zone to another, not from `a` to itself. Name the other zone.
"#,
    );
}

#[test]
fn numbers_that_are_none() {
    check(
        r#"
supply s inf V 1 A
         ^^^^^^^^^ syntax: `supply` wants a voltage, not `inf V 1 A`, as in `supply adapter 12 V 1 A`.
supply s nan V 1 A
         ^^^^^^^^^ syntax: `supply` wants a voltage, not `nan V 1 A`, as in `supply adapter 12 V 1 A`.
fuse f Infinity A from s
       ^^^^^^^^^^ syntax: `fuse` wants a current, not `Infinity A`, as in `fuse F1 400 mA from adapter`.
lamp a of b resistor NaN ohm from k over inf mm of w
                     ^^^^^^^ syntax: `resistor` wants a resistance, not `NaN ohm`, as in `resistor 560 ohm`.
                                         ^^^^^^^^^^^ syntax: `over` wants a length, not `inf mm of w`, as in `over 100 mm of fine`.
lamp nan of inf from infinity
strip s of t 999999999999999999999999999999 lamps from k
             ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ syntax: More than 10000 lamps is more than this tool is for.
strip s of t 1e30 groups from k
             ^^^^^^^^^^^ syntax: More than 10000 groups is more than this tool is for.
strip s of t 2,5 lamps from k
             ^^^^^^^^^ syntax: A number of lamps is a whole number.
string s of b 999999999999999999999999999999 lamps from k
              ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ syntax: More than 10000 lamps is more than this tool is for.
"#,
    );
}

#[test]
fn an_indented_line_needs_a_stanza_and_a_lists_next_line_its_indent() {
    check(
        r#"
  zone a
  ^^^^ syntax: An indented line carries a stanza on, and there is none above it. A stanza starts at the margin.
  * move it to the margin
zone b
scene s off mast,
saloon-1, saloon-2
^^^^^^^^^^^^^^^^^^ syntax: Indent this line: it carries on the list above.
* indent this line
zone c
"#,
    );
    assert_eq!(
        mended("scene s off mast,\nsaloon-1\nzone c\n"),
        "scene s off mast,\n  saloon-1\nzone c\n"
    );
    assert_eq!(mended("  zone a\n"), "zone a\n");
    assert_eq!(mended("zone a\nsealed\n"), "zone a\n  sealed\n");
}

#[test]
fn mends_put_right_what_they_are_on() {
    for (text, expected) in [
        ("fuse F 0,75 A from s", "fuse F 0.75 A from s"),
        ("fuse F 12v from s", "fuse F 12 mA from s"),
        ("supply s 12v", "supply s 12 V"),
        ("supply s 12volts", "supply s 12 V"),
        (
            "fuse F 1 A resistance 20 mohm from s",
            "fuse F 1 A resistance 0.02 ohm from s",
        ),
        ("supply s 1e3 V", "supply s 1000 V"),
        (
            "joint a from b over 4 in of c",
            "joint a from b over 4in of c",
        ),
        (
            "joint a from b over 4 of c",
            "joint a from b over 4 mm of c",
        ),
        ("joint a frm b", "joint a from b"),
        ("wire w # c", "wire w gauge 28 AWG # c"),
        (
            "tape t\r\n\tgroup 3 lamps long 9 mm\r\n\tdraws 9 mA at 9 V # c\r\n\r\n",
            "tape t\r\n\tgroup 3 lamps long 9 mm\r\n\tdraws 9 mA at 9 V # c\r\n\tworks 7 V to 12.6 V\r\n\r\n",
        ),
        ("wire w gauge 2 AWG gauge 3 AWG", "wire w gauge 2 AWG"),
        (
            "wire w # c\r\n  gauge 2 AWG\r\n  gauge 3 AWG\r\n  colour red",
            "wire w # c\r\n  gauge 2 AWG\r\n  colour red",
        ),
        (
            "module m works 12 V to 7 V draws 0 mA",
            "module m works 7 V to 12 V draws 0 mA",
        ),
        ("scene s off a b", "scene s off a, b"),
        ("scene s off a,", "scene s off a"),
        ("zone a note \"x", "zone a note \"x\""),
        ("zone a note “x”", "zone a note \"x\""),
        ("strip s of t 6 from k", "strip s of t 6 lamps from k"),
    ] {
        assert_eq!(mended(text), expected);
    }
}

#[test]
fn a_list_may_break_after_a_comma() {
    assert_clean("scene s off a, # one\n\n  # two\n    b,\n  c\n");
    let stanza = read_stanza("scene s off a,\n  b".into());
    assert_eq!(stanza.clause("off").unwrap().names().count(), 2);
}

#[test]
fn rereading_equals_reading() {
    let one = read_file(TASTE);
    let text = TASTE.replace("zone bridge\n", "zone bridge sealed\n");
    let two = read_file_reusing(&text, &one);
    let kept = |a: &File, b: &File| {
        let pairs = a.stanzas.iter().zip(&b.stanzas);
        pairs
            .filter(|(a, b)| Arc::ptr_eq(&a.stanza, &b.stanza))
            .count()
    };
    assert_eq!(two.stanzas.len(), one.stanzas.len());
    assert_eq!(kept(&one, &two), one.stanzas.len() - 1);
}

fn words() -> impl Strategy<Value = String> {
    let mut pool: Vec<String> = super::reserved::every_word().map(str::to_owned).collect();
    for extra in [
        "a",
        "wing.tip",
        "é",
        "e\u{301}",
        "12",
        "12 V",
        "0,75",
        "1e3",
        "4in",
        "2k2",
        "1:150",
        "-5 mm",
        "2026-03-14",
        ",",
        ",",
        "\"t\"",
        "\"",
        "“x”",
        "#",
        "# c\n",
        "\n",
        "\n",
        "\n  ",
        "\r\n",
        "\r",
        "\t",
        "\\",
        "}",
        "frm",
        "ovr",
        "fro",
        "5 lamps",
        "20 mA",
        "100 ohm",
        "%",
        "\u{feff}",
        "𝛀",
        "\u{a0}",
    ] {
        pool.push(extra.to_owned());
    }
    let word = proptest::sample::select(pool);
    let glue = proptest::sample::select(vec![" ", " ", " ", "", "\n", "\n  "]);
    proptest::collection::vec((word, glue), 0..60)
        .prop_map(|list| list.into_iter().map(|(w, g)| w + g).collect())
}

proptest! {
    #[test]
    fn any_text_reads_without_loss_or_panic(text in any::<String>()) {
        check_invariants(&text, &read_file(&text));
    }

    #[test]
    fn any_bytes_read_without_loss_or_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let text = String::from_utf8_lossy(&bytes);
        check_invariants(&text, &read_file(&text));
    }

    #[test]
    fn any_words_read_without_loss_or_panic(text in words()) {
        let file = read_file(&text);
        check_invariants(&text, &file);
        let words = |s: &Stanza| s.tokens.iter().filter(|t| t.kind == TokenKind::Word).count();
        for placed in &file.stanzas {
            // A stanza of known words that has none of its values must say why.
            let stanza = &placed.stanza;
            prop_assert!(stanza.word.is_some() || !stanza.faults.is_empty() || words(stanza) == 0);
        }
    }

    #[test]
    fn any_edit_rereads_as_a_fresh_start(one in words(), two in words(), at in 0usize..2000) {
        let mut at = at.min(one.len());
        while !one.is_char_boundary(at) { at -= 1; }
        let edited = format!("{}{}{}", &one[..at], two, &one[at..]);
        let reread = read_file_reusing(&edited, &read_file(&one));
        let fresh = read_file(&edited);
        prop_assert_eq!(format!("{reread:?}"), format!("{fresh:?}"));
    }
}

/// Prints roughly what reading costs; run with `--nocapture`.
#[test]
fn what_reading_costs() {
    let text = TASTE.repeat(100);
    let start = std::time::Instant::now();
    let file = read_file(&text);
    let took = start.elapsed();
    let count = file.stanzas.len();
    println!(
        "{count} stanzas in {took:?}, {:?} each",
        took / u32::try_from(count).unwrap()
    );
    assert_eq!(count, 100 * read_file(TASTE).stanzas.len());
}

#[test]
fn what_is_half_typed_is_one_fault() {
    let faults = |text: &str| -> Vec<(&str, String)> {
        let stanza = read_stanza(text.into());
        let faults = stanza.faults.iter();
        let told = faults.map(|f| (f.check, stanza.words(f.span).to_owned()));
        told.collect()
    };
    let one = |check, words: &str| vec![(check, words.to_owned())];
    assert_eq!(faults("led pearl\n  drops 2.9\n"), one("wrong-unit", "2.9"));
    assert_eq!(
        faults("joint keel from F1 over 200\n"),
        one("wrong-unit", "200")
    );
    for word in ["lamp", "fuse", "tape", "supply"] {
        assert_eq!(faults(&format!("{word} \n")), one("syntax", word));
    }
    // What is right so far lacks what comes behind it; what goes on behind a fault lacks it too.
    assert_eq!(
        faults("led pearl\n  drops 2.9 V\n"),
        one("syntax", "drops 2.9 V")
    );
    let said = faults("joint keel from F1 over 200 fine\n");
    assert!(said.iter().any(|(check, _)| *check == "syntax"), "{said:?}");
}

/// Comments and line ends among words are not part of what a message quotes.
#[test]
fn a_message_quotes_words_without_what_stands_between() {
    let said = |text: &str| -> Vec<String> {
        let file = read_file(text);
        let faults = file.stanzas.iter().flat_map(|p| &p.stanza.faults);
        faults
            .map(|f| {
                let mends = f.mends.iter().map(|m| format!(" / {}", m.title));
                f.message.clone() + &mends.collect::<String>()
            })
            .collect()
    };
    let wants = "`capacity` wants a battery's capacity, as 550 mAh; 550 mA is a current. / write 550 mAh / write 550 Ah";
    for between in [" ", "   ", "#of both\n  ", " # of both \n\n  ", "\r\n\t"] {
        assert_eq!(
            said(&format!("supply a 9 V capacity 550{between}mA\n")),
            [wants],
            "{between:?}"
        );
    }
    assert_eq!(
        said("zone a inside 10 # cm\n cm2 windows 20   cm2"),
        [
            "Windows of 20 cm2 are more than the inner surface of 10 cm2 that they are a part of. Check both."
        ]
    );
    assert_eq!(
        said("joint a from b over 5 mm of c { # why\n  } x"),
        ["`{ } x` has no place here."]
    );
}

#[test]
fn a_comment_may_stand_between_a_word_and_its_name() {
    let file = read_file("led # the white ones\n  pearl drops 3 V at 20 mA\n");
    let name = file.stanzas[0].stanza.name();
    assert_eq!(name.map(|(name, _)| &*name.0), Some("pearl"));
    assert_eq!(file.stanzas[0].stanza.faults, []);
    // What stands behind another word is no name.
    let file = read_file("lamp of # white\n pearl\n");
    assert_eq!(file.stanzas[0].stanza.name(), None);
}

/// What is taken out does not join its neighbours.
#[test]
fn what_touches_a_word_that_goes_stays_apart() {
    for (text, then) in [
        (
            "wire w gauge 24 AWG diameter 1 mm; colour red",
            "wire w gauge 24 AWG ; colour red",
        ),
        ("zone a as bright as a\"x\" sealed", "zone a \"x\" sealed"),
        ("joint a,from b", "joint a from b"),
        ("joint a , from b", "joint a  from b"),
    ] {
        assert_eq!(mended(text), then, "{text}");
    }
}
