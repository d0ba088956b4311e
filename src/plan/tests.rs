//! A plan in, what is understood of it out.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::*;
use crate::units::volts;

const STOCK: &str = "\
wire fine
  gauge 32 AWG
tape warm
  group 3 lamps long 25 mm
  works 7 V to 12.6 V
  draws 18 mA at 12 V
led pearl
  drops 3.0 V at 20 mA
module flasher
  draws 3 mA
  output a 60 mA
  output b 60 mA sinks
supply adapter 12 V 1 A
fuse F1 400 mA from adapter
";

fn plan(text: &str) -> Plan {
    Plan::of(
        FileKey::new("plan"),
        format!("{STOCK}{text}").into(),
        &Alone,
    )
}

/// Each problem as `check: words at fault`.
fn problems(plan: &Plan) -> Vec<String> {
    plan.problems
        .iter()
        .map(|p| format!("{}: {}", p.check, plan.stanza(p.stanza).words(p.span)))
        .collect()
}

fn names(plan: &Plan) -> Vec<&str> {
    plan.items.iter().map(|i| &*i.name.0).collect()
}

#[test]
fn points_may_stand_behind_their_users() {
    let plan = plan("lamp mast of pearl from keel\njoint keel from F1 over 60 cm of fine\n");
    assert_eq!(problems(&plan), [""; 0]);
    let mast = &plan.items[plan.item("mast").unwrap().0];
    assert_eq!(plan.point_name(mast.feed.as_ref().unwrap().from), "keel");
    let keel = &plan.items[plan.item("keel").unwrap().0];
    assert!(
        (keel
            .feed
            .as_ref()
            .unwrap()
            .run
            .as_ref()
            .unwrap()
            .length
            .value
            - 0.6)
            .abs()
            < 1e-12
    );
}

/// The titles of the mends of the first problem.
fn titles(plan: &Plan) -> Vec<&str> {
    plan.problems[0].mends.iter().map(|m| &*m.title).collect()
}

#[test]
fn a_point_that_is_not_there_is_offered() {
    let joint = plan("lamp mast of pearl from keel\n");
    assert_eq!(
        titles(&joint),
        ["add a joint keel from F1, to be put right"]
    );
    // One that is nearly so, though in error, is likelier meant.
    let near = plan("joint keel-1 from\nlamp mast of pearl from keel-2\n");
    assert!(
        near.problems
            .iter()
            .all(|p| p.mends.iter().all(|m| !m.title.contains("joint")))
    );
    let load = plan("load pump draws 9 mA from adapter\nlamp mast of pearl from pump\n");
    assert_eq!(titles(&load), ["write adapter, which feeds pump"]);
    let feed = plan("lamp mast of pearl from F1\nlamp bow of pearl\n");
    assert_eq!(titles(&feed), ["add from F1, as mast"]);
    let module = plan("board b of blinker from F1\n");
    assert_eq!(
        titles(&module),
        ["add a module blinker with usual values, to be put right"]
    );
}

#[test]
fn wire_is_thicker_over_its_insulation() {
    // 24 AWG is 0.511 mm (ASTM B258).
    let of = |outer: &str| {
        problems(&plan(&format!(
            "wire w gauge 24 AWG insulation pvc outer {outer}\n"
        )))
    };
    assert_eq!(of("0.5 mm"), [""; 0]);
    assert_eq!(of("0.4 mm"), ["syntax: 0.4 mm"]);
}

#[test]
fn a_strip_has_no_more_lamps_by_its_length_than_by_its_count() {
    let of = |cut: &str| problems(&plan(&format!("strip s of warm {cut} from F1\n")));
    assert_eq!(of("9999 lamps"), [""; 0]);
    assert_eq!(of("83.325 m"), [""; 0]);
    assert_eq!(of("84 m"), ["syntax: 84 m"]);
    assert_eq!(of("3334 groups"), ["syntax: 3334 groups"]);
    // In copies it is said once.
    let copies = plan(
        "pattern p\nstrip p.s of warm 84 m from p\ncopy a of p from F1\ncopy b of p from F1\n",
    );
    assert_eq!(problems(&copies), ["syntax: 84 m"]);
}

#[test]
fn an_unknown_name_leaves_out_what_hangs_on_it_and_says_so_once() {
    let plan =
        plan("joint keel from F2\nlamp mast of pearl from keel\nlamp bow of pearl from F1\n");
    assert_eq!(problems(&plan), ["unknown-name: F2"]);
    assert!(
        plan.problems[0].message.ends_with("Nearest name: F1."),
        "{}",
        plan.problems[0].message
    );
    assert_eq!(names(&plan), ["adapter", "F1", "bow"]);
}

#[test]
fn a_slip_in_the_definition_is_one_finding_there() {
    let plan =
        plan("joint kele from F1\nlamp mast of pearl from keel\nlamp bow of pearl from keel\n");
    assert_eq!(problems(&plan), ["unknown-name: kele"]);
    assert_eq!(plan.problems[0].related.len(), 2);
    assert_eq!(plan.problems[0].mends[0].title, "call it keel");
}

#[test]
fn wrong_kinds_are_explained() {
    let plan = plan(
        "board blink of flasher from F1\nlamp a of pearl from blink\nlamp b of pearl from blink.c\nlamp c of fine from F1\n",
    );
    let messages: Vec<&str> = plan.problems.iter().map(|p| p.message.as_str()).collect();
    assert_eq!(
        messages,
        [
            "`fine` is a wire, and a led of the stock is wanted here.",
            "`blink` is a board and feeds by its outputs: name one, as blink.a.",
            "The board `blink` has no output `c`. It has a, b.",
        ]
    );
}

#[test]
fn names_are_taken_once() {
    let plan = plan("joint keel from F1\njoint keel from F1\njoint Keel from F1\n");
    assert_eq!(problems(&plan), ["name-taken: keel", "name-taken: Keel"]);
    assert_eq!(plan.problems[1].severity, Severity::Hint);
    assert_eq!(plan.problems[0].mends[0].title, "call this one keel-2");
}

#[test]
fn circles_are_found_in_both_legs() {
    let plan = plan("joint a from b\njoint b from c\njoint c from a\nlamp d of pearl from c\n");
    assert_eq!(problems(&plan), ["fed-in-a-circle: from b"]);
    assert_eq!(names(&plan), ["adapter", "F1"]);
    let plan = self::plan("joint a from F1 return to b\njoint b from a\n");
    assert_eq!(problems(&plan), ["fed-in-a-circle: from F1 return to b"]);
}

#[test]
fn a_sinking_output_has_no_plus() {
    let plan = plan(
        "board blink of flasher from F1\nlamp a of pearl from blink.b\nlamp b of pearl from F1 return to blink.b\n",
    );
    assert_eq!(problems(&plan), ["not-fed: from blink.b"]);
    assert!(plan.item("b").is_some());
}

#[test]
fn tape_counts_whole_groups() {
    let plan = plan(
        "strip a of warm 7 lamps from F1\nstrip b of warm 2 groups from F1\nstrip c of warm 75.4 mm from F1\nstrip d of warm 70 mm from F1\n",
    );
    let groups = |name| match plan.items[plan.item(name).unwrap().0].part {
        Part::Strip {
            tape, groups, cut, ..
        } => (groups, cut_is_whole(&plan.tapes[tape.0], cut)),
        _ => unreachable!(),
    };
    assert_eq!(
        [groups("a"), groups("b"), groups("c"), groups("d")],
        [(2, false), (2, true), (3, true), (2, false)]
    );
}

#[test]
fn copies_bring_their_pieces() {
    let plan = plan(
        "led ruby\n  drops 2 V at 20 mA\nled jade\n  drops 3.1 V at 20 mA\nzone left\nzone right\npassage hole between left and right bore 3 mm\n\
         pattern wing needs lens, bay, spar\n\
         lamp wing.tip of wing.lens resistor 560 ohm from wing over 190 mm of fine via wing.spar in wing.bay\n\
         lamp wing.landing of pearl resistor 150 ohm from wing.tip over 70 mm of fine\n\
         copy port of wing from F1 where lens ruby, bay left, spar hole\n\
         copy starboard of wing from F1 over 130 mm of fine where lens jade, bay right, spar hole\n  but tip resistor 680 ohm\n\
         lamp extra of pearl from port.tip\nscene dark off port, starboard.tip\n",
    );
    assert_eq!(problems(&plan), [""; 0]);
    assert_eq!(
        names(&plan),
        [
            "adapter",
            "F1",
            "port",
            "port.tip",
            "port.landing",
            "starboard",
            "starboard.tip",
            "starboard.landing",
            "extra"
        ]
    );
    let resistor = |name: &str| match plan.items[plan.item(name).unwrap().0].part {
        Part::Lamps { led, resistor, .. } => {
            (&*plan.leds[led.0].name.0, resistor.unwrap().ohms.value)
        }
        _ => unreachable!(),
    };
    assert_eq!(resistor("port.tip"), ("ruby", 560.0));
    assert_eq!(resistor("starboard.tip"), ("jade", 680.0));
    assert_eq!(
        plan.zones[plan.items[3].zone.unwrap().0].name.0.as_ref(),
        "left"
    );
    assert_eq!(
        plan.items[4].zone, plan.items[3].zone,
        "a piece without a zone sits where what feeds it sits"
    );
}

/// A hundred pieces, a hundred times, is as much as there can be of one pattern.
#[test]
fn a_few_lines_make_no_plan_without_end() {
    let mut text = String::from("pattern row\n");
    for k in 0..100 {
        text += &format!("lamp row.l{k} of pearl resistor 560 ohm from row\n");
    }
    for k in 0..102 {
        text += &format!("copy c{k} of row from F1\n");
    }
    text += "joint behind from c101.l3\n";
    let plan = plan(&text);
    assert_eq!(problems(&plan), ["syntax: row", "syntax: row"]);
    assert_eq!(
        plan.problems[0].message,
        "Up to this one the copies of `row` have 10100 pieces. More than 10000 is more than this tool is for."
    );
    assert_eq!(plan.items.len(), 2 + 100 * 101);
}

/// A hundred scenes in a small plan, two dozen in the largest; the others are left out, and that is said once.
#[test]
fn no_scenes_without_end() {
    let rows = |copies: usize| {
        let piece = |k| format!("joint row.j{k} from row\n");
        let copy = |k| format!("copy c{k} of row from F1\n");
        let pieces = (0..99).map(piece).chain((0..copies).map(copy));
        "pattern row\n".to_owned() + &pieces.collect::<String>()
    };
    // F1 and its supply, and a hundred items a row: 400,000 in all scenes together, once there are more than 24.
    for (copies, most) in [(0, 100), (40, 99), (80, 49), (100, 39)] {
        let scenes = |count: usize| {
            let scene = |k| format!("scene n{k} off F1\n");
            rows(copies) + &(0..count).map(scene).collect::<String>()
        };
        let enough = plan(&scenes(most));
        assert_eq!(problems(&enough), [""; 0]);
        assert_eq!(enough.scenes.len(), most);
        for count in [most + 1, 200] {
            let text = scenes(count) + "scene wrong off F2\n";
            let plan = plan(&text);
            let first = format!("syntax: n{most}");
            assert_eq!(problems(&plan), [&*first, "unknown-name: F2"], "{count}");
            assert_eq!(
                plan.problems[0].message,
                format!(
                    "There are {count} scenes, and this is number {}. More than {most} in a plan of {} items is more than this tool is for: leave some out. From here on they are not worked out.",
                    most + 1,
                    2 + 100 * copies,
                )
            );
            assert_eq!(plan.scenes.len(), most);
        }
    }
    let more = "pattern two\njoint two.j from two\n".to_owned()
        + &(0..4000)
            .map(|k| format!("copy d{k} of two from F1\n"))
            .collect::<String>();
    let scene = |k| format!("scene n{k} off F1\n");
    let scenes = (0..25).map(scene).collect::<String>();
    assert_eq!(
        problems(&plan(&(rows(99) + &more + &scenes))),
        ["syntax: n24"]
    );
}

#[test]
fn no_turns_without_end() {
    let module = |count: usize| {
        let outputs = (0..count).map(|k| format!("o{k}"));
        let each = outputs
            .clone()
            .map(|name| format!("  output {name} 20 mA\n"));
        format!(
            "module m works 6 V to 15 V draws 8 mA\n{}  turns {}\nboard b of m from F1\nload l takes 20 mW from b.o0\n",
            each.collect::<String>(),
            outputs.collect::<Vec<_>>().join(", ")
        )
    };
    let most = plan(&module(24));
    assert_eq!(problems(&most), [""; 0]);
    assert_eq!(most.modules.last().unwrap().turns.len(), 24);
    let more = plan(&module(26));
    assert_eq!(problems(&more), ["syntax: o24"]);
    assert_eq!(
        more.problems[0].message,
        "26 outputs take turns, and this is number 25. More than 24 is more than this tool is for: leave out those that you do not need."
    );
    assert_eq!(more.modules.len() + 1, most.modules.len());
    // One that is named again does not count.
    let again = plan(&module(24).replace("turns o0", "turns o0, o0"));
    assert_eq!(problems(&again), [""; 0]);
}

#[test]
fn a_copy_says_what_it_lacks() {
    let plan = plan(
        "pattern wing needs lens, bay\nlamp wing.tip of wing.lens from wing in wing.bay\n\
         copy port of wing from F1 where lens pearl\ncopy star of wing from F1 where lens fine, bay F1\n  but tap resistor 1k\n",
    );
    assert_eq!(
        problems(&plan),
        [
            "clause-missing: pearl",
            "unknown-name: tap",
            "unknown-name: fine",
            "unknown-name: F1"
        ]
    );
}

/// A piece that names what is its pattern's without the pattern ahead of it is told how it is called.
#[test]
fn what_is_a_patterns_own_has_its_name_ahead_of_it() {
    let plan = plan(
        "module winker output a 60 mA\npattern wing needs lens\nlamp wing.tip of lens from wing\n\
         board wing.fl of winker from wing\nlamp wing.end of pearl from fl.a\nstrip wing.aft of warm 3 lamps from tip\n\
         lamp tip2 of lens from F1\ncopy port of wing from F1 where lens pearl\n",
    );
    let said: Vec<_> = (plan.problems.iter())
        .map(|p| {
            (
                &*p.message,
                p.mends.iter().map(|m| &*m.title).collect::<Vec<_>>(),
            )
        })
        .collect();
    let pieces = |name: &str| {
        format!(
            "Nothing is named `{name}`: a piece calls it `wing.{name}`, with the name of its pattern."
        )
    };
    let [open, tip, end, aft] = &said[..] else {
        panic!("{said:?}");
    };
    assert_eq!(*tip, (&*pieces("lens"), vec!["write wing.lens"]));
    assert_eq!(*end, (&*pieces("fl.a"), vec!["write wing.fl.a"]));
    assert_eq!(*aft, (&*pieces("tip"), vec!["write wing.tip"]));
    assert!(!open.0.contains("pattern"), "{open:?}");
}

#[test]
fn files_are_used_once_and_circles_are_named() {
    let files: BTreeMap<String, Arc<str>> = [
        ("stock", "use \"colours\"\nled ruby\n  drops 2 V at 20 mA\n"),
        ("colours", "wire hook\n  gauge 24 AWG\n"),
        ("round", "use \"back\"\n"),
        ("back", "use \"round\"\n"),
    ]
    .map(|(name, text)| (name.to_owned(), Arc::from(text)))
    .into();
    let of = |text: &str| Plan::of(FileKey::new("plan"), text.into(), &files);
    let plan = of(
        "use \"stock\"\nuse \"colours\"\nsupply s 9 V\nlamp a of ruby from s over 1 m of hook\n",
    );
    assert_eq!(problems(&plan), [""; 0]);
    assert_eq!(plan.files.len(), 3);
    assert_eq!(plan.items.len(), 2);
    let plan = of("use \"round\"\nuse \"none\"\n");
    assert_eq!(
        problems(&plan),
        ["use-failed: \"round\"", "use-failed: \"none\""]
    );
    assert!(
        plan.problems[0].message.contains("round → back → round"),
        "{}",
        plan.problems[0].message
    );
}

#[test]
fn scenes_have_names_of_their_own() {
    let plan = plan("joint keel from F1\nscene keel off keel\nscene keel\nscene all-on\n");
    assert_eq!(problems(&plan), ["name-taken: keel", "name-taken: all-on"]);
    assert_eq!(plan.scenes.len(), 1);
}

#[test]
fn stock_that_is_missing_can_be_added() {
    let plan = plan("lamp bow of amethyst from F1 over 1 m of silk\r\n");
    let mends: Vec<&ProblemMend> = plan.problems.iter().flat_map(|p| &p.mends).collect();
    assert_eq!(mends.len(), 2);
    assert_eq!(
        mends[0].title,
        "add a led amethyst with usual values, to be put right"
    );
    for mend in mends {
        let text = format!("{}\n", mend.edits[0].text);
        let added = Plan::of(FileKey::new("added"), text.clone().into(), &Alone);
        assert_eq!(problems(&added), [""; 0], "{text}");
        assert!(text.contains("\r\n  "));
    }
}

#[test]
fn while_a_used_file_is_missing_no_name_is_made_up() {
    let text = "lamp bow of amethyst from F1 over 1 m of finn\nlamp stern of pearl from keel\n";
    let of = |uses: &str| {
        let plan = plan(&format!("{uses}{text}"));
        let unknown = plan.problems.iter().filter(|p| p.check == "unknown-name");
        let mends: Vec<usize> = unknown.map(|p| p.mends.len()).collect();
        (plan.problems.len(), mends)
    };
    let (whole, mends) = of("");
    assert_eq!((whole, mends.len()), (3, 3));
    assert!(mends.iter().all(|n| *n > 0), "{mends:?}");
    assert_eq!(of("use \"stock.harness\"\n"), (4, vec![0, 0, 0]));
}

#[test]
fn what_is_no_piece_of_a_copy() {
    let plan = plan(
        "pattern p\nlamp p.tip of pearl from p\nlamp p.root of pearl from p\ncopy c of p from F1\nscene s off c.b\n",
    );
    assert_eq!(problems(&plan), ["unknown-name: c.b"]);
    assert_eq!(
        plan.problems[0].message,
        "`c` has no piece `b`. It has tip, root."
    );
}

#[test]
fn a_harness_clause_in_error_leaves_its_default() {
    let text = "harness \"h\" scale 1:87 ambient -400 degC headroom 150 % max-drop -5 %\n  tolerance 300 % slack 5 mA bench 9 V treat single-path as off\n";
    let read = plan(text).settings;
    let unset = Settings::default();
    assert_eq!(plan(text).problems.len(), 5);
    assert_eq!(
        (read.ambient, read.headroom, read.max_drop),
        (unset.ambient, unset.headroom, unset.max_drop)
    );
    assert_eq!((read.tolerance, read.slack), (unset.tolerance, unset.slack));
    // The clauses beside them hold.
    assert_eq!(read.scale, Some(87.0));
    assert_eq!(read.bench, Some(volts(9.0)));
    assert_eq!(read.treat.len(), 1);
}

#[test]
fn the_file_that_lies_there_is_offered() {
    let files: BTreeMap<String, Arc<str>> = [
        ("stock.harness", "use \"leds.harness\"\n"),
        ("leds.harness", "led ruby\n  drops 2 V at 20 mA\n"),
        ("far.harness", "zone far\n"),
    ]
    .map(|(name, text)| (name.to_owned(), Arc::from(text)))
    .into();
    let of = |text: &str| Plan::of(FileKey::new("plan"), text.into(), &files);
    let titles = |text: &str| -> Vec<String> {
        let problems = of(text).problems.into_iter();
        let failed = problems.filter(|p| p.check == "use-failed");
        let mends = failed.flat_map(|p| p.mends);
        mends.map(|mend| mend.title).collect()
    };
    for near in ["stok.harness", "Stock.harness", "stock", "tsock.harness"] {
        let found = titles(&format!("use \"{near}\"\n"));
        assert_eq!(found, ["write stock.harness"], "{near}");
    }
    assert_eq!(titles("use \"paint.harness\"\n"), [""; 0]);
    // One that is used already is not what was meant.
    let used = "use \"stok.harness\"\nuse \"stock.harness\"\n";
    assert_eq!(titles(used), [""; 0]);
    let plan = of("use \"stok.harness\"\n");
    assert_eq!(plan.files.len(), 1);
    assert_eq!(plan.meant.texts.len(), 2);
    assert!(
        plan.problems[0]
            .message
            .ends_with("Nearest name: stock.harness.")
    );
}

#[test]
fn nothing_is_to_be_fed_from_itself() {
    let unknown = |text: &str| -> Vec<(String, Vec<String>)> {
        let problems = plan(text).problems.into_iter();
        let unknown = problems.filter(|p| p.check == "unknown-name");
        let told = unknown.map(|p| {
            let titles = p.mends.into_iter().map(|m| m.title);
            (p.message, titles.collect())
        });
        told.collect()
    };
    let new = |name: &str| vec![format!("add a joint {name} from F1, to be put right")];
    let wanted = |name: &str| {
        format!("Nothing is named `{name}`: something that hands power on is wanted here.")
    };
    assert_eq!(
        unknown("lamp deck of pearl from decc\n"),
        [(wanted("decc"), new("decc"))]
    );
    // Nor from what hangs on it.
    assert_eq!(
        unknown("joint deck from bow\nlamp bow of pearl from decc\nlamp x of pearl from deck\n"),
        [(wanted("decc"), new("decc"))]
    );
    // For others it is near.
    let others = unknown("joint deck from F1\nlamp bow of pearl from decc\n");
    assert_eq!(others[0].1, ["call it decc", "write deck where it is used"]);
    // Of one letter, no two are near.
    assert_eq!(
        unknown("joint s from F1\nlamp a of pearl from c\nlamp b of pearl from s\n"),
        [(wanted("c"), new("c"))]
    );
}

#[test]
fn beside_an_unsaved_plan_nothing_lies() {
    struct Unsaved;
    impl Sources for Unsaved {
        fn read(&self, _: &FileKey, _: &str) -> Result<(FileKey, Arc<str>), UseFailure> {
            Err(UseFailure::Unsaved)
        }
    }
    let text = "use \"stock.harness\"\n";
    let plan = Plan::of(FileKey::new("untitled:1"), text.into(), &Unsaved);
    assert_eq!(
        plan.problems[0].message,
        "Save this file first: \"stock.harness\" is looked for beside it."
    );
}
