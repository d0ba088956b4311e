//! What an editor offers at every item of every good plan: it applies, reads and solves without anything new that is wrong, keeps
//! the layout, and does what its title says.

use std::collections::BTreeMap;

use glimloom::checks::Analysis;
use glimloom::editor::actions::{Action, ActionKind, Asked, actions};
use glimloom::format;
use glimloom::numbers::show;
use glimloom::plan::{Alone, Part, Severity};
use glimloom::syntax::read_file;
use glimloom::text::{Span, TextEdit, apply};
use glimloom::units::volts;

use super::*;
use crate::plans;
use crate::tidy::files;

/// The analysis of a plan that stands alone.
fn analysis(text: &str) -> Analysis {
    Analysis::of(FileKey::new("plan"), text.into(), &Alone, &|| false)
}

/// What is offered where these words stand.
fn offered(a: &Analysis, words: &str) -> Vec<Action> {
    let at = a.plan.files[0].text.find(words).expect(words) as u32;
    offered_at(a, FileId(0), at)
}

/// What is offered at a place.
fn offered_at(a: &Analysis, file: FileId, at: u32) -> Vec<Action> {
    let asked = Asked {
        file,
        span: Span::new(at, at),
        named: &[],
        wants: &|kind| kind == ActionKind::Refactor,
        may_create: &|_, _| false,
        used_by_others: &|_| false,
        stop: &|| false,
    };
    actions(a, &asked).actions
}

/// A file after an action.
fn after(a: &Analysis, action: &Action, file: FileId) -> String {
    let edits = action.edits.iter().filter(|(f, ..)| *f == file);
    let edits: Vec<TextEdit> = edits
        .map(|(_, span, text)| TextEdit {
            span: *span,
            text: text.clone(),
        })
        .collect();
    apply(&a.plan.files[file.0].text, &edits).expect("edits that fit")
}

/// The only action whose title has these words, and the text that it makes.
fn done(text: &str, at: &str, title: &str) -> (String, String) {
    let a = analysis(text);
    assert!(a.plan.problems.is_empty(), "{:?}", a.plan.problems);
    let offers = offered(&a, at);
    let titles: Vec<&str> = offers.iter().map(|o| &*o.title).collect();
    let mut wanted = offers.iter().filter(|o| o.title.contains(title));
    let action = wanted.next().unwrap_or_else(|| panic!("{titles:?}"));
    assert!(wanted.next().is_none(), "{titles:?}");
    (action.title.clone(), after(&a, action, FileId(0)))
}

/// The titles of all that is offered where these words stand.
fn titles(text: &str, at: &str) -> Vec<String> {
    let offers = offered(&analysis(text), at).into_iter();
    offers.map(|o| o.title).collect()
}

/// The lines of the new text that the old one does not have.
fn new_lines<'a>(old: &str, new: &'a str) -> Vec<&'a str> {
    let known = |line: &&str| !old.lines().any(|l| l == *line);
    new.lines().filter(known).collect()
}

/// Stock, and a feed that ends at a row of two joints.
const FEED: &str = "\
wire hook gauge 26 AWG insulation pvc outer 1.2 mm colours red, black carries 2 A
wire fine gauge 32 AWG insulation enamel colours red, green
led glow drops 2.9 V at 20 mA limit 25 mA colour warm-white
tape warm group 3 lamps long 25 mm works 9 V to 12.6 V draws 18 mA at 12 V track 0.4 ohm per m
supply adapter 12 V 1 A
fuse  F1 315 mA      from adapter
joint west           from F1   over 100 mm of hook   # by the door
joint east           from west over 200 mm of hook
lamp  a of glow resistor 1 kohm 1/4 W  from west over 40 mm of fine
lamp  b of glow resistor 1 kohm 1/4 W  from east over 50 mm of fine
lamp  c of glow resistor 1 kohm 1/4 W  from east over 60 mm of fine
";

#[test]
fn a_row_of_joints_is_closed_to_a_ring() {
    for joint in ["west", "east"] {
        let (title, text) = done(FEED, &format!("{joint} "), "close the ring");
        assert_eq!(
            title,
            "close the ring from east back to F1: 600 mm more of hook for both legs; \
             a broken run in it darkens no light, not 3"
        );
        let link = "link ring between F1 and east over 300 mm of hook";
        assert!(squeezed(&text).contains(link), "{text}");
        assert!(titles(&text, "west ").iter().all(|t| !t.contains("ring")));
    }
    // A lamp at the end of its own run is no part of the row; nor is a ring made of one joint.
    assert!(titles(FEED, "a of").iter().all(|t| !t.contains("ring")));
    let alone = FEED.replace("from west over 200 mm", "from F1 over 200 mm");
    assert!(titles(&alone, "west ").iter().all(|t| !t.contains("ring")));
}

/// Each row of blanks as one.
fn squeezed(text: &str) -> String {
    let lines = text.lines().map(|line| {
        let words: Vec<&str> = line.split_whitespace().collect();
        words.join(" ")
    });
    lines.collect::<Vec<_>>().join("\n")
}

#[test]
fn joints_become_one_and_two_again() {
    let (title, text) = done(FEED, "east ", "one joint");
    assert!(
        title.starts_with(
            "one joint west for west and east: 4 wires a side, not 3; 400 mm more wire for both legs; lights change by "
        ),
        "{title}"
    );
    assert_eq!(
        new_lines(FEED, &text),
        [
            "lamp  b of glow resistor 1 kohm 1/4 W  from west over 250 mm of fine",
            "lamp  c of glow resistor 1 kohm 1/4 W  from west over 260 mm of fine"
        ]
    );
    assert!(!text.contains("joint east"), "{text}");
    let more =
        format!("{text}lamp  d of glow resistor 1 kohm 1/4 W  from west over 70 mm of fine\n");
    let (title, text) = done(&more, "west ", "a second joint");
    assert!(
        title.starts_with(
            "a second joint west-2 for c and d: 4 and 3 wires a side, not 5; lights change by "
        ),
        "{title}"
    );
    assert!(
        squeezed(&text).contains("joint west-2 from west over 30 mm of hook"),
        "{text}"
    );
}

#[test]
fn a_joint_that_a_scene_or_a_link_names_stays() {
    for more in [
        "scene night off east\n",
        "link ring between east and F1 over 300 mm of hook\n",
        "tried east 15 mA at 12 V\n",
    ] {
        let text = format!("{FEED}{more}");
        assert!(
            titles(&text, "east ")
                .iter()
                .all(|t| !t.contains("one joint")),
            "{more}"
        );
    }
    let (_, text) = done(
        &format!("{FEED}stage one fits a, east, b\n"),
        "east ",
        "one joint",
    );
    assert!(text.contains("stage one fits a, b\n"), "{text}");
}

/// A strip of four groups, chained on to another, in a scene and a stage.
const STRIPS: &str = "\
strip row  of warm 12 lamps  from east over 80 mm of fine   # by the quay
strip tail of warm 3 lamps   from row  over 20 mm of fine
scene dusk off row, tail, a
stage one fits row
";

#[test]
fn a_strip_becomes_two_and_one_again() {
    let before = format!("{FEED}\n{STRIPS}");
    let (title, text) = done(&before, "row ", "from east too");
    assert!(
        title.starts_with("cut row in two: 6 lamps, and 6 lamps from east too; 260 mm more wire for both legs; weakest group "),
        "{title}"
    );
    // The second begins 50 mm of tape further on. What hung on the end still does.
    assert_eq!(
        new_lines(&before, &text),
        [
            "strip row   of warm 6 lamps  from east  over 80 mm of fine  # by the quay",
            "strip row-2 of warm 6 lamps  from east  over 130 mm of fine",
            "strip tail  of warm 3 lamps  from row-2 over 20 mm of fine",
            "scene dusk off row, row-2, tail, a",
            "stage one fits row, row-2",
        ]
    );
    let alone = before.replace(
        "strip tail of warm 3 lamps   from row  over 20 mm of fine\n",
        "",
    );
    let alone = alone.replace("row, tail, a", "row, a");
    let (title, text) = done(&alone, "row ", "6 lamps from row;");
    assert!(
        title.starts_with("cut row in two: 6 lamps, and 6 lamps from row; weakest group "),
        "{title}"
    );
    assert!(
        squeezed(&text).contains("strip row-2 of warm 6 lamps from row\n"),
        "{text}"
    );
    // And back: from either of the two.
    for at in ["row ", "row-2 "] {
        let (title, again) = done(&text, at, "join");
        assert!(
            title.starts_with("join row and row-2 as row: 12 lamps; no other light changes"),
            "{title}"
        );
        assert_eq!(squeezed(&again), squeezed(&alone));
    }
    let (title, text) = done(&before, "tail ", "join");
    assert!(
        title.starts_with("join row and tail as row: 15 lamps; 40 mm less wire for both legs; "),
        "{title}"
    );
    assert_eq!(
        new_lines(&before, &text),
        [
            "strip row  of warm 15 lamps  from east over 80 mm of fine   # by the quay",
            "scene dusk off row, a"
        ]
    );
}

#[test]
fn strips_that_are_not_one_are_not_joined() {
    let with = |from: &str, to: &str| titles(&format!("{FEED}{STRIPS}").replace(from, to), "tail ");
    let joins = |titles: Vec<String>| titles.iter().any(|t| t.starts_with("join"));
    assert!(joins(with("", "")));
    for (from, to) in [
        ("row, tail, a", "tail"), // on and off by themselves
        (
            "stage one",
            "lamp d of glow resistor 1 kohm 1/4 W from row over 20 mm of fine\nstage one",
        ),
        ("20 mm of fine", "20 mm of fine in shed\nzone shed"),
        ("20 mm of fine", "20 mm of fine dimmed"),
        ("20 mm of fine", "20 mm of fine note \"the old end\""),
        ("stage one", "tried tail 18 mA at 12 V\nstage one"),
        ("tail of warm 3 lamps", "tail of warm 4 lamps"),
    ] {
        assert!(!joins(with(from, to)), "{to}");
    }
    // What was tried is no two strips.
    let tried = format!("{FEED}{STRIPS}tried row 70 mA at 12 V\n");
    assert!(titles(&tried, "row ").iter().all(|t| !t.starts_with("cut")));
}

#[test]
fn a_cut_is_said_in_every_form() {
    let forms = |cut: &str| {
        let text = format!("{FEED}strip row of warm {cut} from east # here\n");
        let a = analysis(&text);
        let says = offered(&a, "row of")
            .into_iter()
            .filter(|o| o.title.starts_with("say "));
        let texts = says.map(|o| after(&a, &o, FileId(0)));
        let cuts = texts.map(|t| {
            let (_, cut) = t.split_once("row of warm ").unwrap();
            cut.split(" from").next().unwrap().to_owned()
        });
        cuts.collect::<Vec<_>>()
    };
    assert_eq!(forms("6 lamps"), ["2 groups", "50 mm"]);
    assert_eq!(forms("1 group"), ["3 lamps", "25 mm"]);
    assert_eq!(forms("5cm"), ["2 groups", "6 lamps"]);
    assert_eq!(forms("7 lamps"), [""; 0]); // inside a group
    assert_eq!(forms("51 mm"), [""; 0]);
    let title = titles(
        &format!("{FEED}strip row of warm 6 lamps from east\n"),
        "row of",
    );
    assert!(
        title.contains(
            &"say 2 groups instead of 6 lamps: 2 groups, 6 lamps, 50 mm of warm; every figure stays"
                .to_owned()
        ),
        "{title:?}"
    );
    // A group of a third of an inch has no length in decimals.
    let thirds = FEED
        .replace("long 25 mm", "long 1/3 inch")
        .replace("track 0.4 ohm per m", "");
    let text = format!("{thirds}strip row of warm 6 lamps from east\n");
    let says = titles(&text, "row of");
    assert!(
        says.iter().any(|t| t.starts_with("say 2 groups"))
            && says.iter().all(|t| !t.contains("inch")),
        "{says:?}"
    );
}

#[test]
fn a_run_goes_over_another_wire() {
    let text = format!(
        "{FEED}wire hair gauge 44 AWG insulation enamel colours red, green carries 10 mA\n"
    );
    // The lamp draws 9 mA; with the other joint that takes as much, 27 mA are too much for the hair.
    let (title, new) = done(&text, "a of", "hook instead of");
    assert!(
        title.starts_with("hook instead of fine to a: carries ") && title.contains(" of 2 A; "),
        "{title}"
    );
    assert!(title.contains(" lost, "), "{title}");
    assert_eq!(
        new_lines(&text, &new),
        ["lamp  a of glow resistor 1 kohm 1/4 W  from west over 40 mm of hook"]
    );
    let joint = titles(&text, "west ");
    assert!(joint.iter().all(|t| !t.starts_with("hair")), "{joint:?}");
    // The leg under the cursor, where they differ.
    let back = text.replace(
        "from west over 40 mm of fine",
        "from west over 40 mm of fine return to west over 45 mm of fine",
    );
    let (_, new) = done(&back, "return to west", "hook instead of");
    assert!(
        new.contains("over 40 mm of fine return to west over 45 mm of hook"),
        "{new}"
    );
    let (_, new) = done(&back, "a of", "hook instead of");
    assert!(
        new.contains("over 40 mm of hook return to west over 45 mm of fine"),
        "{new}"
    );
    // Links too.
    let ring = format!("{text}link ring between F1 and east over 300 mm of fine\n");
    let (_, new) = done(&ring, "ring between", "hook instead of");
    assert!(
        new.ends_with("link ring between F1 and east over 300 mm of hook\n"),
        "{new}"
    );
}

/// A pattern with a strip, in two copies.
const COPIES: &str = "\
pattern shed needs lead
strip shed.row of warm 6 lamps  from shed over 40 mm of fine
lamp  shed.sign of glow resistor 1 kohm 1/4 W  from shed over 40 mm of shed.lead
copy  big of shed  from east over 30 mm of fine  where lead fine
copy  small of shed  from east over 30 mm of fine  where lead fine
  but row from small over 20 mm of fine
scene dusk off big.row
";

#[test]
fn a_piece_changes_in_each_copy_or_not_at_all() {
    let text = format!("{FEED}{COPIES}");
    // One copy says otherwise how the row is fed: it is cut nowhere.
    let here = titles(&text, "shed.row");
    assert!(
        here.iter().all(|t| t.starts_with("say ")) && here.len() == 2,
        "{here:?}"
    );
    assert!(
        here[0].starts_with("say 2 groups instead of 6 lamps in each copy: "),
        "{here:?}"
    );
    // The wire of the sign is another in each copy.
    assert_eq!(titles(&text, "shed.sign"), [""; 0]);
    // What the copy says of its piece is its own.
    let (title, new) = done(&text, "row from small", "hook instead of");
    assert!(
        title.starts_with("hook instead of fine to small.row: "),
        "{title}"
    );
    assert_eq!(
        new_lines(&text, &new),
        ["  but row from small over 20 mm of hook"]
    );

    let alike = text.replace("  but row from small over 20 mm of fine\n", "");
    let (title, new) = done(&alike, "shed.row", "from shed too");
    assert!(title.contains("in two in each copy: 3 lamps, and 3 lamps from shed too; 130 mm more wire for both legs; weakest group "), "{title}");
    let new = squeezed(&new);
    assert!(new.contains("strip shed.row of warm 3 lamps from shed over 40 mm of fine\nstrip shed.row-2 of warm 3 lamps from shed over 65 mm of fine\n"), "{new}");
    assert!(new.ends_with("scene dusk off big.row, big.row-2"), "{new}");
    let (title, _) = done(&alike, "shed.row", "hook instead of");
    assert!(
        title.starts_with("hook instead of fine to shed.row in each copy: "),
        "{title}"
    );
}

#[test]
fn nothing_is_offered_that_makes_matters_worse() {
    // Two wires of 1.2 mm do not go through 1.5 mm; two of 0.2 mm do.
    let with = |bore: &str| {
        let places =
            format!("zone base\nzone attic\npassage hole between base and attic bore {bore}\n");
        let text = FEED.replace("from adapter", "from adapter in base");
        let text = text.replace("over 40 mm of fine", "over 40 mm of fine via hole in attic");
        let text = format!("{text}{places}");
        assert!(
            analysis(&text)
                .findings
                .iter()
                .all(|f| f.severity == Severity::Hint)
        );
        titles(&text, "a of").iter().any(|t| t.starts_with("hook"))
    };
    assert!(with("4 mm") && !with("1.5 mm"));
}

/// How many errors and warnings there are of which check on what.
fn tally(a: &Analysis) -> BTreeMap<(&'static str, String, Severity), usize> {
    let mut tally = BTreeMap::new();
    for f in a.findings.iter().filter(|f| f.severity > Severity::Hint) {
        let name = f.item.as_ref().map_or(String::new(), |n| n.0.to_string());
        *tally.entry((f.check, name, f.severity)).or_default() += 1;
    }
    tally
}

/// The plan after an action, read from its texts alone.
fn analysis_after(a: &Analysis, action: &Action) -> Analysis {
    let index = |key: &FileKey| a.plan.files.iter().position(|f| f.key == *key).unwrap();
    let uses = a.plan.uses.iter();
    let sources: BTreeMap<String, Arc<str>> = uses
        .filter_map(|((_, path), key)| Some((path, key.as_ref().ok()?)))
        .map(|(path, key)| {
            (
                path.to_string(),
                after(a, action, FileId(index(key))).into(),
            )
        })
        .collect();
    let own = after(a, action, FileId(0));
    Analysis::of(FileKey::new("plan"), own.into(), &sources, &|| false)
}

/// The most that the volts of a light change that both plans have.
fn most_changed(before: &Analysis, after: &Analysis) -> f64 {
    let mut most: f64 = 0.0;
    for light in before.plan.lights() {
        let Some(now) = after.plan.item(&before.plan.items[light.0].name.0) else {
            continue;
        };
        for (a, b) in before.solution.states().zip(after.solution.states()) {
            let (a, b) = (a.outcome.as_ref().unwrap(), b.outcome.as_ref().unwrap());
            let (a, b) = (&a.items[light.0], &b.items[now.0]);
            assert_eq!(a.reached, b.reached);
            most = most.max((a.volts.typical - b.volts.typical).value.abs());
        }
    }
    most
}

/// Whether what a title says is so. `item` is what it was offered on.
fn does_what_it_says(title: &str, item: ItemId, before: &Analysis, after: &Analysis) -> bool {
    let count = |a: &Analysis, is: &dyn Fn(&glimloom::plan::Item) -> bool| {
        a.plan.items.iter().filter(|i| is(i)).count() as i64
    };
    let grown = |is: &dyn Fn(&glimloom::plan::Item) -> bool| count(after, is) - count(before, is);
    let stanza = before.plan.items[item.0].stanza;
    let copies = count(before, &|i| i.stanza == stanza);
    let is_joint = |i: &glimloom::plan::Item| matches!(i.part, Part::Joint);
    let groups = |a: &Analysis| -> u32 {
        let items = a.plan.items.iter();
        items
            .map(|i| match i.part {
                Part::Strip { groups, .. } => groups,
                _ => 0,
            })
            .sum()
    };
    let lights = grown(&|i| i.is_light());
    let joints = grown(&is_joint);
    let same_groups = groups(before) == groups(after);
    let dark = |name: &str| {
        after
            .breaks()
            .darkened(after.plan.item(name).unwrap())
            .len()
    };
    match title.split(' ').next().unwrap() {
        "say" => {
            title.ends_with("; every figure stays")
                && most_changed(before, after) < 1e-9
                && same_groups
        }
        "cut" => lights == copies && same_groups,
        "join" => lights == -copies && same_groups,
        "one" => joints == -copies && lights == 0,
        "a" => {
            let most = show(volts(most_changed(before, after)));
            joints == 1
                && lights == 0
                && (title.ends_with(&format!("lights change by {most} at most"))
                    || title.ends_with("no light changes"))
        }
        "close" => {
            let own = before.plan.items[item.0].name.0.as_ref();
            let light = usize::from(before.plan.items[item.0].is_light());
            after.plan.links.len() > before.plan.links.len() && dark(own) <= light
        }
        "branch" if lights == 0 => dark(&before.plan.items[item.0].name.0) <= 1,
        "branch" => lights > 0 && count(after, &|i| i.stanza == stanza) > 0,
        wire => {
            let run = |a: &Analysis, item: ItemId| {
                let feed = a.plan.items[item.0].feed.clone().unwrap();
                a.plan.wires[feed.run.unwrap().wire.0].name.0.to_string()
            };
            let now = after.plan.item(&before.plan.items[item.0].name.0).unwrap();
            let lost = title.split_once("; ").is_none_or(|(_, lost)| {
                let (then, rest) = lost.split_once(" lost").unwrap();
                let light = match rest.strip_prefix(" up to ") {
                    Some(rest) => after.plan.item(rest.split(", ").next().unwrap()).unwrap(),
                    None => now,
                };
                let drops = after.solution.states().filter_map(|s| {
                    let figures = &s.outcome.as_ref().unwrap().items[light.0];
                    figures.reached.then_some(figures.drop.typical)
                });
                let most = drops.fold(volts(0.0), |a, b| if b > a { b } else { a });
                then == show(most)
            });
            title.contains(" instead of ")
                && run(after, now) == wire
                && run(before, item) != wire
                && lost
        }
    }
}

/// On so many items of a plan it is tried.
const MOST_ITEMS: usize = 10;

#[test]
fn what_is_offered_on_any_item_of_a_good_plan_holds() {
    let mut tried: BTreeMap<String, usize> = BTreeMap::new();
    let all = files("tests/plans/good", &[".harness"]).into_iter();
    for path in all.chain(files("docs/examples", &[".harness"])) {
        let before = plans::analysis(&path);
        let plan = &before.plan;
        let is_first = |i: &usize| {
            plan.items[..*i]
                .iter()
                .all(|o| o.stanza != plan.items[*i].stanza)
        };
        let items: Vec<usize> = (0..plan.items.len()).filter(is_first).collect();
        let was_laid_out = format::document(&plan.files[0].tree).is_empty();
        for item in items
            .iter()
            .step_by(items.len().div_ceil(MOST_ITEMS).max(1))
        {
            let id = plan.items[*item].stanza;
            let at = plan.in_file(id, plan.stanza(id).word_span).start;
            for action in offered_at(&before, id.file, at) {
                let what = format!("{}: {}", path.display(), action.title);
                assert!(
                    !action.title.contains(['`', '\n']) && action.kind == ActionKind::Refactor,
                    "{what}"
                );
                let after_it = analysis_after(&before, &action);
                let text = &after_it.plan.files[0].text;
                let comments = |text: &str| text.matches('#').count();
                assert_eq!(comments(text), comments(&plan.files[0].text), "{what}");
                assert_eq!(
                    after_it.plan.problems.len(),
                    plan.problems.len(),
                    "{what}\n{text}"
                );
                let then = tally(&before);
                for (key, n) in tally(&after_it) {
                    assert!(n <= then.get(&key).copied().unwrap_or(0), "{what}: {key:?}");
                }
                if was_laid_out {
                    assert_eq!(format::document(&read_file(text)), [], "{what}\n{text}");
                }
                assert!(
                    does_what_it_says(&action.title, ItemId(*item), &before, &after_it),
                    "{what}\n{text}"
                );
                let kind = action.title.split(' ').next().unwrap();
                let is_wire = plan.wires.iter().any(|w| *w.name.0 == *kind);
                let kind = if is_wire { "wire" } else { kind };
                *tried.entry(kind.to_owned()).or_default() += 1;
            }
        }
    }
    let kinds: Vec<&str> = tried.keys().map(|k| &**k).collect();
    for kind in ["a", "branch", "close", "cut", "one", "say", "wire"] {
        assert!(kinds.contains(&kind), "{tried:?}");
    }
    assert!(tried.values().sum::<usize>() > 200, "{tried:?}");
}
