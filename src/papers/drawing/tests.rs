//! What must hold of every drawing: each item once, nothing on top of anything else, no line across another but to the
//! right of everything, and a text that another library reads.

use std::collections::{BTreeMap, BTreeSet};

use proptest::prelude::*;

use super::pages::{Picture, picture};
use super::picture::{At, Bounds, Shape};
use super::*;
use crate::plan::{Alone, FileKey};

fn analysed(text: &str) -> Analysis {
    Analysis::of(FileKey::new("plan"), text.into(), &Alone, &|| false)
}

fn drawn(text: &str) -> (Analysis, Picture, String) {
    let a = analysed(text);
    let wanted = Wanted {
        name: "plan",
        ..Wanted::default()
    };
    let picture = picture(&a, &wanted).unwrap();
    let svg = draw(&a, &wanted).unwrap().svg;
    (a, picture, svg)
}

/// All that holds of a drawing, whatever the plan.
fn holds(text: &str) {
    let (a, picture, svg) = drawn(text);
    each_item_once(&a, &picture, &svg);
    for (name, shapes) in &picture.parts {
        let shapes = flat(shapes);
        nothing_on_top(name, &shapes);
        lines_keep_apart(name, &shapes);
        for bounds in shapes.iter().filter_map(|shape| shape.bounds()) {
            let [left, top, right, bottom] = bounds;
            let inside = left >= 0.0 && top >= 0.0;
            let inside = inside && right <= picture.width && bottom <= picture.height;
            assert!(
                inside,
                "{name}: {bounds:?} in {} × {}",
                picture.width, picture.height
            );
        }
    }
}

fn flat(shapes: &[Shape]) -> Vec<&Shape> {
    let mut all = Vec::new();
    for shape in shapes {
        match shape {
            Shape::Group(group) => all.extend(flat(&group.shapes)),
            other => all.push(other),
        }
    }
    all
}

fn each_item_once(a: &Analysis, picture: &Picture, svg: &str) {
    let document = roxmltree::Document::parse(svg).unwrap();
    let mut ids: BTreeMap<&str, usize> = BTreeMap::new();
    for node in document.descendants().filter(|node| node.is_element()) {
        assert!(
            [
                "svg", "title", "desc", "style", "rect", "g", "a", "path", "circle", "text"
            ]
            .contains(&node.tag_name().name()),
            "{:?}",
            node.tag_name()
        );
        for attribute in node.attributes() {
            assert!(!attribute.name().starts_with("on"), "{attribute:?}");
            let leads_out = attribute.name() == "href" && !attribute.value().starts_with('#');
            assert!(!leads_out, "{attribute:?}");
        }
        if let Some(id) = node.attribute("id") {
            *ids.entry(id).or_default() += 1;
        }
    }
    let twice: Vec<_> = ids.iter().filter(|(_, n)| **n > 1).collect();
    assert!(twice.is_empty(), "{twice:?}");
    let found = |kind: &str| -> BTreeSet<String> {
        let ids = ids.keys().filter_map(|id| id.strip_prefix(kind));
        ids.map(str::to_owned).collect()
    };
    let items: BTreeSet<String> = a.plan.items.iter().map(|i| i.name.0.to_string()).collect();
    assert_eq!(found("item-"), items);
    let links: BTreeSet<String> = a.plan.links.iter().map(|l| l.name.0.to_string()).collect();
    assert_eq!(found("link-"), links);
    let told: BTreeSet<String> = picture.items.iter().map(|i| i.name.clone()).collect();
    assert_eq!(told, items.union(&links).cloned().collect());
}

fn meet(a: Bounds, b: Bounds) -> bool {
    let apart = 0.5;
    a[0] + apart < b[2] && b[0] + apart < a[2] && a[1] + apart < b[3] && b[1] + apart < a[3]
}

fn is_inside(a: Bounds, b: Bounds) -> bool {
    b[0] <= a[0] && b[1] <= a[1] && a[2] <= b[2] && a[3] <= b[3]
}

/// No words, symbol, sign, block or tag stands on another; but words stand in blocks and tags.
fn nothing_on_top(name: &str, shapes: &[&Shape]) {
    let holds = |shape: &Shape| matches!(shape, Shape::Block(_) | Shape::Tag(..));
    let mut all: Vec<(Bounds, &Shape)> = shapes
        .iter()
        .filter_map(|shape| Some((shape.bounds()?, *shape)))
        .collect();
    all.sort_by(|a, b| a.0[1].total_cmp(&b.0[1]));
    for (nth, (a, one)) in all.iter().enumerate() {
        for (b, other) in all[nth + 1..].iter().take_while(|(b, _)| b[1] < a[3]) {
            let held = (holds(one) && is_inside(*b, *a)) || (holds(other) && is_inside(*a, *b));
            assert!(held || !meet(*a, *b), "{name}: {one:?}\nand {other:?}");
        }
    }
}

/// The pieces of a line.
fn segments(shapes: &[&Shape]) -> Vec<(At, At)> {
    let lines = shapes.iter().filter_map(|shape| match shape {
        Shape::Line(points, _) => Some(points),
        _ => None,
    });
    lines
        .flat_map(|points| points.windows(2).map(|p| (p[0], p[1])))
        .collect()
}

/// No line goes through words or symbols; and lines cross only to the right of all of them.
fn lines_keep_apart(name: &str, shapes: &[&Shape]) {
    if !name.starts_with("sheet-") {
        return;
    }
    let segments = segments(shapes);
    for shape in shapes {
        let Some([left, top, right, bottom]) = shape.bounds() else {
            continue;
        };
        // A line ends at a symbol, and may begin below one; words it never meets.
        let Shape::Text(text) = shape else { continue };
        for &(a, b) in &segments {
            let line = [
                a.0.min(b.0),
                a.1.min(b.1) - 1.0,
                a.0.max(b.0),
                a.1.max(b.1) + 1.0,
            ];
            let line = match a.1 == b.1 {
                true => line,
                false => [line[0] - 1.0, line[1], line[2] + 1.0, line[3]],
            };
            let meets = meet(line, [left, top, right, bottom]);
            assert!(!meets, "{name}: {a:?} to {b:?} through {text:?}");
        }
    }
    let bounds = shapes.iter().filter_map(|shape| shape.bounds());
    let right = bounds.map(|b| b[2]).fold(0.0, f64::max);
    let (across, down): (Vec<_>, Vec<_>) = segments.iter().partition(|(a, b)| a.1 == b.1);
    for (a, b) in across {
        let (from, to) = (a.0.min(b.0), a.0.max(b.0));
        for (c, d) in &down {
            let (top, bottom) = (c.1.min(d.1), c.1.max(d.1));
            let crosses =
                from + 1.0 < c.0 && c.0 < to - 1.0 && top + 1.0 < a.1 && a.1 < bottom - 1.0;
            assert!(
                !crosses || c.0 > right,
                "{name}: {a:?} to {b:?} across {c:?} to {d:?}"
            );
        }
    }
}

/// A plan made up by chance: trees of all that hands power on, boards, zones, returns, links, chains, names of all kinds.
fn made_up(seed: u64, many: usize, names: usize) -> String {
    let mut state = seed | 1;
    let mut chance = move |most: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((state >> 33) as usize) % most.max(1)
    };
    let style = |nth: usize, names: usize| match names {
        0 => format!("n{nth}"),
        1 => format!("superstructure-forward-{nth}-{}", "w".repeat(nth % 40)),
        2 => format!("שלום{nth}"),
        3 => format!("船首燈{nth}"),
        _ => format!("W{}\u{301}{nth}", "M".repeat(nth % 12)),
    };
    let mut text = String::from(
        "led pearl drops 3 V at 20 mA colour white\n\
         tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white\n\
         module fx works 6 V to 13 V draws 3 mA\n  output a 60 mA flash 1 Hz\n  output b 40 mA sinks\n  output c 5 V 40 mA\n\
         wire hook gauge 26 AWG insulation pvc outer 1.2 mm colours white, yellow\n\
         wire fine gauge 32 AWG insulation enamel colours red, green\n",
    );
    for zone in 0..4 {
        text += &format!("zone z{}\n", style(zone, names));
    }
    text += "supply cell 12 V 9 A\nsupply other 12 V 2 A\n";
    let mut points = vec!["cell".to_owned(), "other".to_owned()];
    for nth in 0..many {
        let name = style(nth + 10, names);
        let from = points[chance(points.len())].clone();
        let run = match chance(4) {
            0 => String::new(),
            1 => format!(" over {} mm of hook", 20 + chance(900)),
            _ => format!(" over {} mm of fine", 20 + chance(900)),
        };
        let place = match chance(3) {
            0 => format!(" in z{}", style(chance(4), names)),
            _ => String::new(),
        };
        let back = match chance(7) {
            0 => format!(" return to {}", points[chance(points.len())]),
            _ => String::new(),
        };
        let feed = format!("from {from}{run}{back}{place}");
        let is_point = match chance(13) {
            0 | 1 => {
                text += &format!("joint {name} {feed}\n");
                true
            }
            2 => {
                text += &format!("strip {name} of warm {} lamps {feed}\n", 3 + 3 * chance(12));
                true
            }
            3 => {
                text += &format!("board {name} of fx {feed}\n");
                points.push(format!("{name}.a"));
                points.push(format!("{name}.c"));
                false
            }
            4 => {
                text += &format!("fuse {name} 1 A {feed}\n");
                true
            }
            5 => {
                text += &format!("connector {name} {feed}\n");
                true
            }
            6 => {
                text += &format!("string {name} of pearl 2 lamps resistor 330 ohm {feed}\n");
                false
            }
            7 => {
                text += &format!("load {name} draws 5 mA {feed}\n");
                false
            }
            8 => {
                text += &format!("regulator {name} 5 V 1 A {feed}\n");
                true
            }
            _ => {
                let at = if chance(2) == 0 { " at lamp" } else { "" };
                text += &format!("lamp {name} of pearl resistor 560 ohm{at} {feed}\n");
                false
            }
        };
        if is_point {
            points.push(name);
        }
        if chance(9) == 0 {
            let (one, two) = (chance(points.len()), chance(points.len()));
            let (one, two) = (points[one].clone(), points[two].clone());
            if one != two {
                text += &format!("link r{nth} between {one} and {two} over 90 mm of hook\n");
            }
        }
    }
    text
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn drawings_of_plans_made_up_by_chance(seed in any::<u64>(), many in 0usize..70, names in 0usize..5) {
        holds(&made_up(seed, many, names));
    }
}

#[test]
fn drawings_that_were_wrong_once() {
    holds(&made_up(4_682_364_695_091_412_676, 30, 0));
}

#[test]
fn drawings_of_the_projects_own_plans() {
    for (name, text) in crate::parts::tests::plans() {
        println!("{name}");
        holds(&text);
    }
}

#[test]
fn large_plans_are_cut_into_sheets() {
    let (_, one, _) = drawn(&made_up(7, 12, 0));
    assert_eq!(one.sheets, 1);
    let mut flat =
        String::from("led p drops 3 V at 20 mA\nsupply cell 12 V 9 A\njoint keel from cell\n");
    let mut chain = String::from(
        "tape w group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V\nsupply cell 12 V 9 A\nstrip s0 of w 3 lamps from cell\n",
    );
    for nth in 0..150 {
        flat += &format!("lamp l{nth} of p resistor 560 ohm from keel\n");
        chain += &format!("strip s{} of w 3 lamps from s{nth}\n", nth + 1);
    }
    for text in [flat, chain] {
        holds(&text);
        let (a, picture, _) = drawn(&text);
        assert!(
            picture.sheets > 1 || picture.width < 2600.0,
            "{}",
            picture.width
        );
        // Each sheet alone, and all of them together the whole.
        let mut all = 0;
        for nth in 1..=picture.sheets {
            let wanted = Wanted {
                sheet: Some(nth),
                ..Wanted::default()
            };
            let sheet = draw(&a, &wanted).unwrap();
            roxmltree::Document::parse(&sheet.svg).unwrap();
            all += sheet.items.len();
        }
        assert_eq!(all, a.plan.items.len());
    }
}

const TWO_ZONES: &str = "\
led p drops 3 V at 20 mA
zone hold
zone deck
supply cell 12 V 1 A in hold
joint keel from cell
lamp low of p resistor 560 ohm from keel
lamp high of p resistor 560 ohm from keel in deck
supply spare 12 V 1 A in deck
lamp own of p resistor 560 ohm from spare
scene night off high
";

#[test]
fn a_zone_a_supply_or_a_scene_alone() {
    let a = analysed(TWO_ZONES);
    let names = |wanted: &Wanted| -> Vec<String> {
        let drawing = draw(&a, wanted).unwrap();
        drawing.items.into_iter().map(|item| item.name).collect()
    };
    let zone = |zone| Wanted {
        zone: Some(zone),
        ..Wanted::default()
    };
    assert_eq!(names(&zone("hold")), ["cell", "keel", "low"]);
    assert_eq!(names(&zone("deck")), ["high", "spare", "own"]);
    let supply = Wanted {
        supply: Some("spare"),
        ..Wanted::default()
    };
    assert_eq!(names(&supply), ["spare", "own"]);
    let scene = |scene| Wanted {
        scene,
        ..Wanted::default()
    };
    let [night, all] = [Some("night"), None].map(|s| draw(&a, &scene(s)).unwrap().svg);
    assert!(night.contains("Scene night") && night.contains(">dark<"));
    assert!(all.contains("Everything on") && !all.contains(">dark<"));
    let missing = draw(&a, &scene(Some("day"))).unwrap_err();
    assert_eq!(
        missing.message(),
        "there is no scene `day`; there is night and all-on"
    );
    assert_eq!(
        draw(&a, &zone("attic")).unwrap_err().known,
        ["hold", "deck"]
    );
}

#[test]
fn where_minus_legs_come_back_to_is_told_wherever_they_come_from() {
    let text = "zone dock\nzone mast\nmodule m works 6 V to 14 V draws 5 mA\n  output stop 60 mA sinks\n  output go 60 mA sinks\n\
        led p drops 2 V at 20 mA colour red\nsupply s 12 V 1 A in dock\nboard fx of m from s\n\
        lamp red of p resistor 1 kohm in mast from s return to fx.stop\nlamp spare of p resistor 1 kohm in mast from s return to fx.stop\n\
        lamp green of p resistor 1 kohm in mast from s return to fx.go\n";
    let a = analysed(text);
    let names: Vec<_> = a.findings.iter().map(|f| &f.message).collect();
    assert!(a.plan.left_out.is_empty(), "{names:?}");
    let dock = Wanted {
        zone: Some("dock"),
        ..Wanted::default()
    };
    let svg = draw(&a, &dock).unwrap().svg;
    for told in ["minus of red, and of 1 more", "minus of green<"] {
        assert!(svg.contains(told), "{told} in {svg}");
    }
    assert!(!drawn(text).2.contains("minus of"), "all on one sheet");
}

#[test]
fn words_of_a_plan_stay_words() {
    let hostile = "<script>alert('x')</script> & \"</text>]]>\u{202e}\u{0}\u{1b}\u{ffff}\\\"";
    let long = format!("l{}", "n".repeat(10_000));
    let text = format!(
        "harness \"{}\"\nled p drops 3 V at 20 mA\nsupply cell 12 V 1 A\nlamp {long} of p resistor 560 ohm from cell\n\
         lamp a\u{301}b of p from cell note \"{0}\"\nlamp נר of p resistor 1 kohm from cell\n",
        hostile.replace('"', "'")
    );
    holds(&text);
    let (_, picture, svg) = drawn(&text);
    assert!(!svg.contains("<script") && !svg.contains('\u{0}') && !svg.contains('\u{202e}'));
    assert!(picture.width < 2000.0, "{}", picture.width);
    let document = roxmltree::Document::parse(&svg).unwrap();
    let names: Vec<_> = document
        .descendants()
        .filter_map(|n| n.attribute("data-name"))
        .collect();
    assert!(
        names.contains(&&*long) && names.contains(&"נר"),
        "{}",
        names.len()
    );
    let title = document
        .descendants()
        .find(|n| n.has_tag_name("title"))
        .unwrap();
    assert!(
        title
            .text()
            .unwrap()
            .starts_with("<script>alert('x')</script> & '")
    );
}

#[test]
fn what_is_found_stands_at_its_item() {
    let text = "led p drops 3 V at 20 mA\nsupply cell 12 V 10 mA\nlamp mast of p resistor 100 ohm from cell\nzone hold inside 1 cm2\n";
    let (a, picture, svg) = drawn(text);
    let document = roxmltree::Document::parse(&svg).unwrap();
    let group = document
        .descendants()
        .find(|n| n.attribute("id") == Some("item-mast"))
        .unwrap();
    let about_mast = a
        .findings
        .iter()
        .find(|f| f.check == "lamp-over-limit")
        .unwrap();
    let title = group.children().find(|n| n.has_tag_name("title")).unwrap();
    assert!(
        title.text().unwrap().contains(&about_mast.message),
        "{:?}",
        title.text()
    );
    assert!(
        group
            .descendants()
            .any(|n| n.attribute("class") == Some("error"))
    );
    let lines = picture.lines.join(" ");
    assert!(
        lines.contains("3 items, ") || lines.contains("2 items, "),
        "{lines}"
    );
}

#[test]
fn the_same_plan_gives_the_same_drawing() {
    let text = made_up(99, 60, 0);
    assert_eq!(drawn(&text).2, drawn(&text).2);
    let light = Wanted {
        theme: Some(Theme::Light),
        ..Wanted::default()
    };
    let svg = draw(&analysed(&text), &light).unwrap().svg;
    assert!(!svg.contains("prefers-color-scheme"));
    assert!(drawn(&text).2.contains("prefers-color-scheme"));
}

#[test]
fn a_plan_of_nothing_can_be_drawn() {
    for text in ["", "harness \"Nothing yet\"\n", "wire w gauge 32 AWG\n"] {
        holds(text);
        assert!(drawn(text).2.contains("Nothing is wired here."));
    }
}

#[test]
fn each_drawn_item_says_where_it_is_written() {
    let (_, picture, _) = drawn(TWO_ZONES);
    for item in &picture.items {
        assert_eq!(item.name_span.of(TWO_ZONES), Some(&*item.name));
        let stanza = item.span.of(TWO_ZONES).unwrap();
        assert!(stanza.contains(&item.name) && item.id == format!("item-{}", item.name));
    }
}
