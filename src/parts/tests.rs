//! What the parts say is what the whole says.

#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use proptest::prelude::RngExt;
use proptest::test_runner::TestRng;

use super::{Parts, Patience};
use crate::checks::Analysis;
use crate::plan::{FileId, FileKey, Severity};
use crate::text::scripts::{change, edit, floor, made, scripts, seeded};
use crate::text::{Change, Document, Encoding, Fault, Lines, Span};

mod used;

pub(super) type Told = (
    FileId,
    Span,
    &'static str,
    Severity,
    String,
    Vec<(FileId, Span, String)>,
    Option<String>,
    bool,
);

/// Files that a plan may use, by the very path that a `use` writes.
pub(super) type Files = BTreeMap<String, Arc<str>>;

/// What the analysis of the whole text finds.
pub(super) fn by_whole(text: &str, files: &Files) -> Vec<Told> {
    let whole = Analysis::of(FileKey::new("p"), Arc::from(text), files, &|| false);
    let told = whole.findings.iter().map(|f| {
        let related = f.related.iter();
        (
            f.stanza.file,
            whole.plan.in_file(f.stanza, f.span),
            f.check,
            f.severity,
            f.message.clone(),
            related
                .map(|(id, span, text)| (id.file, whole.plan.in_file(*id, *span), text.clone()))
                .collect(),
            f.item.as_ref().map(|name| name.0.to_string()),
            f.unnecessary,
        )
    });
    told.collect()
}

/// What its parts find.
pub(super) fn by_parts(parts: &Parts) -> Vec<Told> {
    let said = parts.findings();
    let told = said.iter().map(|said| {
        let f = said.finding;
        let related = f.related.iter();
        (
            said.file(),
            said.span(),
            f.check,
            f.severity,
            f.message.clone(),
            related
                .map(|(id, span, text)| (id.file, said.in_file(*id, *span), text.clone()))
                .collect(),
            f.item.as_ref().map(|name| name.0.to_string()),
            f.unnecessary,
        )
    });
    told.collect()
}

pub(super) fn parts_of(text: &str, files: &Files) -> Parts {
    let mut parts = Parts::new(FileKey::new("p"));
    assert!(parts.update(&Lines::new(text), None, files, &Patience::ENDLESS));
    parts
}

/// No other files.
pub(super) fn alone() -> Files {
    Files::new()
}

/// All plans that come with the project.
pub(crate) fn plans() -> Vec<(String, String)> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let folders = ["docs/examples", "tests/plans/good", "tests/plans/planted"];
    let mut plans = Vec::new();
    for folder in folders {
        for entry in std::fs::read_dir(root.join(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|e| e == "harness") {
                let name = path.file_name().unwrap().to_string_lossy().into_owned();
                plans.push((name, std::fs::read_to_string(path).unwrap()));
            }
        }
    }
    plans.sort();
    plans
}

/// Holds what the parts say against what the whole says.
fn hold(parts: &Parts, text: &str, files: &Files, what: &str) {
    let lines: Vec<Lines> = std::iter::once(Lines::new(text))
        .chain(parts.used_files().map(|(_, lines)| lines.clone()))
        .collect();
    for said in parts.findings() {
        let stanza = said.finding.stanza;
        let start = said.in_file(stanza, Span::default()).start as usize;
        assert_eq!(
            said.line_of(stanza) as usize,
            lines[stanza.file.0].line_of(start),
            "{what}"
        );
    }
    let (parts, whole) = (by_parts(parts), by_whole(text, files));
    for (k, told) in parts.iter().enumerate() {
        assert_eq!(Some(told), whole.get(k), "{what}: {k}\n{text}\n{files:#?}");
    }
    assert_eq!(whole.get(parts.len()), None, "{what}\n{text}\n{files:#?}");
}

#[test]
fn every_plan_of_the_project() {
    for (name, text) in plans() {
        hold(&parts_of(&text, &alone()), &text, &alone(), &name);
    }
}

/// What findings are known by, with what each says and the words that it points at.
fn known(parts: &Parts, text: &str) -> Vec<(u64, String)> {
    let told = parts.findings().into_iter().map(|said| {
        let words = |span: Span| &text[span.range()];
        let related = said.finding.related.iter();
        let related: Vec<_> = related
            .map(|(stanza, span, text)| (words(said.in_file(*stanza, *span)), text))
            .collect();
        let (check, message) = (said.finding.check, &said.finding.message);
        let said_of = words(said.span());
        (
            said.id(),
            format!("{check} {said_of} {message} {related:?}"),
        )
    });
    told.collect()
}

#[test]
fn what_was_said_before_is_known_by_the_same() {
    let plan = "\
led pearl drops 3.0 V at 20 mA limit 25 mA colour white
supply a 12 V 1 A
lamp one of pearl from a
lamp two of pearl from a
lamp three of pearl resistor 560 ohm from a
";
    let (no_resistor, small) = ("two of pearl from", "two of pearl resistor 100 ohm from");
    let texts = [
        plan.to_owned(),
        plan.replace("560", "561"),
        plan.replace(no_resistor, small),
        plan.replace("one", "uno"),
        plan.replace("supply a", "# a comment\nsupply a"),
        plan.replace("supply a 12 V", "supply a 13 V"),
        plan.replace("from a\nlamp two", "from  a\nlamp two"),
        plan.to_owned(),
    ];
    let mut parts = parts_of(plan, &alone());
    let mut all: BTreeMap<u64, String> = BTreeMap::new();
    let mut again = Vec::new();
    for text in &texts {
        assert!(parts.update(&Lines::new(text), None, &alone(), &Patience::ENDLESS));
        let known = known(&parts, text);
        assert!(!known.is_empty());
        again.push(known.iter().filter(|(id, _)| all.contains_key(id)).count());
        for (id, said) in known {
            let before = all.entry(id).or_insert(said.clone());
            assert_eq!(*before, said, "{text}");
        }
    }
    // The first text is as it was; a value beside them, one of them, …
    assert!(again[1] > 0 && again[2] > 0, "{again:?}");
}

/// Several plans in one file, the names of each made its own.
#[test]
fn several_plans_in_one_file() {
    let plans = plans();
    for (k, (name, text)) in plans.iter().enumerate() {
        let mut all = text.clone();
        let mut names = name.clone();
        for n in 1..3 {
            let (name, other) = &plans[(k * 7 + 13 * n) % plans.len()];
            all += &format!("\n{}", renamed(other, &format!("z{n}")));
            names += &format!(" and {name}");
        }
        hold(&parts_of(&all, &alone()), &all, &alone(), &names);
    }
}

/// All of a plan that is not common to its parts.
fn wiring(text: &str) -> String {
    let file = crate::syntax::read_file(text);
    let own = file.stanzas.iter().filter(|placed| {
        let stanza = &placed.stanza;
        stanza.word.is_some() && super::ties::kind(stanza) != super::ties::Kind::Common
    });
    own.map(|placed| format!("{}\n", placed.stanza.text.trim_end()))
        .collect()
}

/// A copy of a plan's wiring under names of its own; now and then a letter is made large or small, a name is another one
/// of the plan's, or says a side.
fn neighbour(random: &mut TestRng, text: &str, ending: &str) -> String {
    let mut copy = renamed(text, ending);
    let words: Vec<std::ops::Range<usize>> = copy
        .match_indices(&format!("-{ending}"))
        .map(|(at, found)| {
            let before = copy[..at].rfind([' ', ',', '\n']).map_or(0, |k| k + 1);
            before..at + found.len()
        })
        .collect();
    if words.is_empty() || random.random_range(0..3) == 0 {
        return copy;
    }
    let one = words[random.random_range(0..words.len())].clone();
    let other = copy[words[random.random_range(0..words.len())].clone()].to_owned();
    let was = copy[one.clone()].to_owned();
    match random.random_range(0..5) {
        0 => copy.replace_range(one, &was.to_uppercase()),
        1 => copy.replace_range(one, &other),
        2 => copy.replace_range(one, &was.replacen('-', "-port-", 1)),
        3 => copy = copy.replace(&was, &was.to_uppercase()),
        _ => copy = copy.replace(&was, &format!("starboard-{was}")),
    }
    copy
}

/// What reads alike but for its names is not analysed twice; what differs in more is.
#[test]
fn houses_that_are_alike() {
    let mut taken_as_told = 0;
    let small = |(_, text): &(String, String)| text.lines().count() < 60;
    for (k, (name, text)) in plans().into_iter().filter(small).enumerate() {
        let own = wiring(&text);
        let mut random = seeded(1000 + k as u64);
        for round in 0..2 {
            let mut street = format!("{text}\n");
            for n in 0..3 + 2 * round {
                street += &neighbour(&mut random, &own, &format!("n{n}"));
            }
            let parts = parts_of(&street, &alone());
            let told = parts.parts.values().filter_map(|part| part.told.as_ref());
            let summaries: Vec<_> = told.map(|told| Arc::as_ptr(&told.summary)).collect();
            let own: std::collections::HashSet<_> = summaries.iter().collect();
            taken_as_told += summaries.len() - own.len();
            hold(&parts, &street, &alone(), &format!("{name} {round}"));
            typed(&mut random, &street, 2, &format!("{name} {round}"));
        }
    }
    assert!(taken_as_told > 40, "{taken_as_told}");
}

/// A street: some stock and scenes, and circuits of their own.
pub(super) fn street(circuits: usize) -> String {
    let mut text = include_str!("street.head.harness").to_owned();
    for k in 1..=circuits {
        text += &include_str!("street.unit.harness").replace("{k}", &k.to_string());
    }
    text
}

#[test]
fn a_street_is_cut() {
    let text = street(4);
    let parts = parts_of(&text, &alone());
    assert_eq!((parts.parts.len(), parts.is_whole), (4, false));
    hold(&parts, &text, &alone(), "street");
}

/// Many parts are looked at side by side.
#[test]
fn a_long_street() {
    let text = street(40).replace("adapter-17 12 V 1 A", "adapter-17 12 V 60 mA");
    let parts = parts_of(&text, &alone());
    assert_eq!((parts.parts.len(), parts.is_whole), (40, false));
    hold(&parts, &text, &alone(), "long street");
}

/// After any edits the parts say what the whole says, however they came there.
fn typed(random: &mut TestRng, first: &str, edits: usize, what: &str) {
    let mut document = Document::new(first, None);
    let mut parts = parts_of(first, &alone());
    let mut undo: Vec<(usize, usize, String)> = Vec::new();
    for k in 0..edits {
        let encoding = [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32][k % 3];
        let mark = document.mark().unwrap();
        for _ in 0..random.random_range(1..3) {
            let text = document.text().unwrap().clone();
            let (start, end, new) = match undo.pop() {
                Some(back) if random.random_bool(0.4) => back,
                _ => edit(random, &text),
            };
            let (start, end) = (floor(&text, start), floor(&text, end.max(start)));
            undo.push((start, start + new.len(), text[start..end].to_owned()));
            let lines = document.lines().unwrap();
            let range = Some((
                lines.position(start, encoding),
                lines.position(end, encoding),
            ));
            document
                .apply(vec![Change { range, text: new }], None, encoding)
                .unwrap();
        }
        let touched = document.touched_since(mark);
        assert!(parts.update(
            document.lines().unwrap(),
            touched,
            &alone(),
            &Patience::ENDLESS
        ));
        let text = document.text().unwrap();
        hold(&parts, text, &alone(), &format!("{what}, edit {k}"));
        assert_eq!(
            by_parts(&parts),
            by_parts(&parts_of(text, &alone())),
            "{what}, edit {k}\n{text}"
        );
    }
}

#[test]
fn typing_in_a_street() {
    for seed in 0..scripts(12) {
        let mut random = seeded(seed);
        typed(&mut random, &street(3), 8, &format!("street {seed}"));
    }
}

#[test]
fn typing_in_plans_of_the_project() {
    let plans = plans();
    for seed in 0..scripts(12) {
        let mut random = seeded(seed);
        let (name, one) = &plans[random.random_range(0..plans.len())];
        let (other, two) = &plans[random.random_range(0..plans.len())];
        let text = format!("{one}\n{}", renamed(two, "zz"));
        typed(&mut random, &text, 5, &format!("{name} and {other} {seed}"));
    }
}

/// Edits as a client may send them, several at a time, and looks that are broken off: what the parts say is still what
/// the whole says, and the text is the client's.
fn sent(random: &mut TestRng, first: &str, rounds: usize, what: &str) {
    let encoding =
        [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32][random.random_range(0..3usize)];
    let mut document = Document::new(first, None);
    let mut plain = first.to_owned();
    let mut parts = parts_of(first, &alone());
    let mut mark = document.mark().unwrap();
    for round in 0..rounds {
        let what = format!("{what}, round {round}");
        let before = plain.clone();
        let changes: Vec<Change> = (0..random.random_range(1..5))
            .map(|_| {
                let change = change(random, &plain, encoding);
                made(&mut plain, &change, encoding);
                change
            })
            .collect();
        let said = format!("{what}: {changes:?}");
        // After a full text all is known again, whatever came before.
        let is_known = changes
            .iter()
            .fold(true, |known, change| match change.range {
                None => true,
                Some((start, end)) => known && start <= end,
            });
        if is_known {
            document.apply(changes, None, encoding).unwrap();
        } else {
            assert_eq!(
                document.apply(changes, None, encoding),
                Err(Fault::OutOfSync),
                "{said}"
            );
            plain = before;
            let whole = Change {
                range: None,
                text: plain.clone(),
            };
            document.apply(vec![whole], None, encoding).unwrap();
        }
        assert_eq!(&**document.text().unwrap(), plain, "{said}");
        for _ in 0..random.random_range(0..3) {
            let left = AtomicI64::new(random.random_range(0..40));
            let may_begin = random.random_bool(0.5);
            let patience = Patience {
                stop: &|| left.fetch_sub(1, Ordering::Relaxed) <= 0,
                may_begin: &|_| may_begin,
            };
            let touched = document.touched_since(mark);
            mark = document.mark().unwrap();
            parts.update(document.lines().unwrap(), touched, &alone(), &patience);
        }
        if random.random_bool(0.3) {
            // Nobody has looked yet.
            continue;
        }
        let touched = document.touched_since(mark);
        mark = document.mark().unwrap();
        assert!(parts.update(
            document.lines().unwrap(),
            touched,
            &alone(),
            &Patience::ENDLESS
        ));
        hold(&parts, &plain, &alone(), &said);
        let fresh = parts_of(&plain, &alone());
        assert_eq!(by_parts(&parts), by_parts(&fresh), "{said}");
        let at = random.random_range(0..=plain.len() as u32);
        parts.view(FileId(0), at);
        if random.random_bool(0.5) {
            parts.look_ahead();
            assert_eq!(by_parts(&parts), by_parts(&fresh), "{said}, ahead");
        }
    }
}

#[test]
fn sent_to_a_street() {
    for seed in 0..scripts(10) {
        let mut random = seeded(1_000 + seed);
        sent(&mut random, &street(3), 10, &format!("street {seed}"));
    }
}

#[test]
fn sent_to_plans_of_the_project() {
    let plans = plans();
    for seed in 0..scripts(10) {
        let mut random = seeded(2_000 + seed);
        let (name, one) = &plans[random.random_range(0..plans.len())];
        let (other, two) = &plans[random.random_range(0..plans.len())];
        let mut text = format!("{one}\n{}", renamed(two, "zz"));
        if random.random_bool(0.3) {
            text = text.replace('\n', "\r\n");
        }
        sent(&mut random, &text, 6, &format!("{name} and {other} {seed}"));
    }
}

/// That scenes list something of a copy does not say that it has it.
#[test]
fn what_scenes_list_of_a_copy() {
    let text = "led ruby drops 2.0 V at 20 mA
supply lone 12 V 1 A
supply s 12 V 1 A
pattern gate needs glow
lamp gate.r of gate.glow resistor 680 ohm from gate.box.b
copy gn of gate from s where glow ruby
copy gs of gate from s where glow ruby
";
    for scenes in [
        "",
        "scene quiet off gn.r",
        "scene quiet off gs.box, gn.porch",
        "scene quiet off gs",
    ] {
        let text = format!("{text}{scenes}\n");
        hold(&parts_of(&text, &alone()), &text, &alone(), scenes);
        let text = text.replace("gate.box.b", "gate");
        hold(&parts_of(&text, &alone()), &text, &alone(), scenes);
    }
}

/// Scenes, and outputs that take turns, come and go around the number that is too many.
#[test]
fn around_the_most_states() {
    let many = |count: usize, line: fn(usize) -> String| (0..count).map(line).collect::<String>();
    let circuit = |k: usize| {
        format!(
            "supply s{k} 12 V 1 A\nlamp mast-{k} of pearl resistor 560 ohm from s{k}\nlamp sign-{k} of pearl from s{k}\n"
        )
    };
    let circuits = format!(
        "led pearl drops 3.0 V at 20 mA\n{}{}",
        circuit(1),
        circuit(2)
    );
    let turns = format!(
        "{circuits}module m works 6 V to 15 V draws 8 mA\n{}  turns {}o23\nboard b of m from s1\n",
        many(25, |k| format!("  output o{k} 20 mA\n")),
        many(23, |k| format!("o{k}, ")),
    );
    let more_turns = [
        ("", ""),
        ("  turns o0", "  turns o24, o0"),
        ("mast-2 of", "mast-2 note \"tall\" of"),
        ("  turns o24, o0", "  turns o0"),
    ];
    around(&turns, &more_turns, |text| text.contains("turns o24"));
    let more_scenes = [
        ("", ""),
        ("scene more-9", "scene more only sign-2\nscene more-9"),
        ("mast-1 of", "mast-1 note \"tall\" of"),
        ("scene more-5", "scene day\nscene more-5"),
        ("scene more only sign-2\n", ""),
        ("scene day\n", ""),
    ];
    for most in [24, 100] {
        let text = circuits.clone() + &many(most, |k| format!("scene more-{k} off mast-1\n"));
        around(&text, &more_scenes, |text| {
            text.matches("\nscene ").count() > 100
        });
    }
}

/// Edits, each the first of these words in the place of those, and whether the text then has too much.
fn around(text: &str, edits: &[(&str, &str)], is_too_much: fn(&str) -> bool) {
    let mut document = Document::new(text, None);
    let mut parts = parts_of(text, &alone());
    for (from, to) in edits {
        let mark = document.mark().unwrap();
        let text = document.text().unwrap().clone();
        let start = text.find(from).unwrap();
        let span = Span::new(start as u32, (start + from.len()) as u32);
        let change = Change {
            range: Some(Lines::new(&text).positions(span, Encoding::Utf8)),
            text: (*to).to_owned(),
        };
        document.apply(vec![change], None, Encoding::Utf8).unwrap();
        let touched = document.touched_since(mark);
        let lines = document.lines().unwrap();
        assert!(parts.update(lines, touched, &alone(), &Patience::ENDLESS));
        let text = document.text().unwrap();
        let said = by_parts(&parts);
        let beyond = said
            .iter()
            .filter(|told| told.4.contains("than this tool is for"));
        assert_eq!(beyond.count(), usize::from(is_too_much(text)), "{from}");
        let scenes = text.matches("\nscene ").count();
        assert_eq!(parts.is_whole, scenes > 24, "{from}");
        hold(&parts, text, &alone(), from);
        assert_eq!(said, by_parts(&parts_of(text, &alone())), "{from}");
    }
}

/// Blanks alone change, and then it is as before: what is said of the words is known, where they stand is not.
#[test]
fn laid_out_and_taken_back() {
    for (name, text) in plans() {
        let mut document = Document::new(&text, None);
        let mut parts = Parts::new(FileKey::new("p"));
        let mut mark = Default::default();
        let mut layout = crate::format::document(&crate::syntax::read_file(&text));
        layout.sort_by_key(|edit| std::cmp::Reverse(edit.span.start));
        let laid_out = layout.iter().map(|edit| Change {
            range: Some(Lines::new(&text).positions(edit.span, Encoding::Utf8)),
            text: edit.text.clone(),
        });
        let back = Change {
            range: None,
            text: text.clone(),
        };
        for changes in [Vec::new(), laid_out.collect(), vec![back]] {
            document.apply(changes, None, Encoding::Utf8).unwrap();
            let touched = document.touched_since(mark);
            mark = document.mark().unwrap();
            let lines = document.lines().unwrap();
            assert!(parts.update(lines, touched, &alone(), &Patience::ENDLESS));
            hold(&parts, document.text().unwrap(), &alone(), &name);
        }
    }
}

/// A plan with another ending to each name that it defines.
pub(crate) fn renamed(text: &str, ending: &str) -> String {
    let file = crate::syntax::read_file(text);
    let own: std::collections::BTreeSet<&str> = file
        .stanzas
        .iter()
        .filter_map(|s| s.stanza.name())
        .map(|(name, _)| name.0.split('.').next().unwrap())
        .collect();
    let mut out = String::new();
    for placed in &file.stanzas {
        let stanza = &placed.stanza;
        let mut at = 0;
        for token in &stanza.tokens {
            let words = stanza.words(token.span);
            let first = words.split('.').next().unwrap();
            if own.contains(first) && token.kind == crate::syntax::tree::TokenKind::Word {
                out.push_str(&stanza.text[at..token.span.start as usize]);
                out.push_str(&format!("{first}-{ending}{}", &words[first.len()..]));
                at = token.span.end as usize;
            }
        }
        out.push_str(&stanza.text[at..]);
    }
    out
}

/// A scene that lists what is not there says so, however near to a name that is.
#[test]
fn a_scene_lists_what_is_not_there() {
    let deck = "pattern wing\nlamp wing.tip of ruby resistor 560 ohm from wing\n\
                copy deck of wing from keel-2 over 90 mm of fine\n";
    for listed in [
        "F1, F2",
        "f1",
        "f1.a",
        "F2, f2",
        "MAST-1",
        "mast-9",
        "mast-1.tip",
        "blink-1.c",
        "blink-1.A",
        "keel-1.x",
        "Blink-1.a",
        "deck.nose",
        "Deck.tip",
        "deck.TIP",
        "wing.tip",
    ] {
        let text = format!("{}{deck}scene late off {listed}\n", street(3));
        hold(&parts_of(&text, &alone()), &text, &alone(), listed);
    }
}
