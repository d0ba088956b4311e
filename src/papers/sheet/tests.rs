//! The sheet of a small plan, read as Markdown.
#![allow(clippy::unwrap_used)]

use super::*;
use crate::papers::page::{self, Block, Piece, Text, html, markdown};
use crate::plan::{Alone, FileKey, Part, Point, Run};
use crate::syntax::tree::Name;

const PLAN: &str = "\
harness \"Skerry light\" scale 1:87 slack 10 mm bench 9 V
wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black
wire fine gauge 32 AWG insulation enamel colours red, green
wire bare-colour gauge 30 AWG
tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white
led pearl drops 3.0 V at 20 mA limit 25 mA colour white
zone hull inside 200 cm2 sealed
zone deck
passage well between hull and deck bore 2 mm
supply adapter 12 V 1 A
fuse F1 400 mA from adapter
switch main rated 1 A from F1 over 100 mm of hook
joint keel from main over 300 mm of hook in hull
strip bow of warm 2 groups from keel over 80 mm of fine in hull
lamp mast of pearl resistor 560 ohm from keel over 120 mm of fine via well in deck
  note \"Glue it last.\"
lamp flag of pearl resistor 680 ohm at lamp from mast return to keel over 90 mm of bare-colour in deck
  accept weak-point because \"It is a spare.\"
lamp naked of pearl from keel over 60 mm of fine in deck
scene moored off mast
stage below fits keel, bow seals hull
stage above fits mast
tried bow 14.5 mA at 9 V on 2026-03-14
tried mast 30 mA at 9 V
";

fn page(text: &str) -> (Analysis, Page) {
    let a = Analysis::of(FileKey::new("p"), text.into(), &Alone, &|| false);
    let page = sheet(
        &a,
        &Making {
            spelt: &|_| "skerry.harness".to_owned(),
            reel: None,
            drawn: false,
        },
    );
    (a, page)
}

/// A section of the sheet as Markdown.
fn section(page: &Page, id: &str) -> String {
    let sections = page.sections.iter().filter(|s| s.id == id).cloned();
    markdown::written(&Page {
        sections: sections.collect(),
        ..Page::default()
    })
}

/// Whether each of these stands in a text, one after the other.
#[track_caller]
fn holds(text: &str, all: &[&str]) {
    let mut rest = text;
    for part in all {
        let Some((_, after)) = rest.split_once(part) else {
            panic!("{part:?} is not in its place in:\n{text}");
        };
        rest = after;
    }
}

#[test]
fn it_is_in_the_order_of_the_work() {
    let (_, page) = page(PLAN);
    let ids: Vec<_> = page.sections.iter().map(|s| s.id).collect();
    assert_eq!(
        ids,
        [
            "buy", "cut", "prepare", "try", "fit", "solder", "test", "budget", "items", "fuses",
            "breaks", "zones", "findings", "cautions"
        ]
    );
}

#[test]
fn every_piece_of_wire_is_cut_with_slack_at_both_ends() {
    let (a, page) = page(PLAN);
    let cut = section(&page, "cut");
    holds(
        &cut,
        &[
            "**warm**",
            "| ☐ | bow | 2 groups | 50 mm | 2 groups | reel 1 |",
        ],
    );
    holds(
        &cut,
        &[
            "**hook, red**",
            "| ☐ | main | plus | 100 mm | **120 mm** | F1 – main |",
            "**fine, green**",
            "| ☐ | mast | minus | 120 mm | **140 mm** | keel – mast |",
            // Its colour is not stated.
            "**bare-colour, \\_",
            "| ☐ | flag | minus | 90 mm | **110 mm** | keel – flag |",
        ],
    );
    let pieces = lists::wire_pieces(&a.plan).len();
    assert_eq!(
        cut.matches("| plus |").count() + cut.matches("| minus |").count(),
        pieces
    );
}

#[test]
fn resistors_are_told_by_their_bands() {
    let (_, page) = page(PLAN);
    holds(
        &section(&page, "prepare"),
        &[
            "**560 ohm, 1/2 W or more: green blue brown gold**",
            "| ☐ | mast | at the start of its plus wire |",
            "**680 ohm, ",
            "blue grey brown gold",
            "| ☐ | flag | at the light, in its plus |",
            "No resistor of their own: naked.",
        ],
    );
}

#[test]
fn what_a_piece_should_draw_stands_beside_what_it_drew() {
    let (_, page) = page(PLAN);
    let tried = section(&page, "try");
    holds(
        &tried,
        &[
            "The bench supply is set to 9 V.",
            "| ☐ | strip bow, 2 groups of warm |",
            " at 9 V |",
            " at 12 V |",
            "14.5 mA at 9 V on 2026-03-14: ",
            // By hand: (9 − 2.9) V over 560 ohm is some 10.9 mA, not 30.
            "| ☐ | lamp mast of pearl | **10.",
            // docs/physics.md, without its wire: 16.2 mA.
            "| **16.2 mA",
            "30 mA at 9 V on \\_",
            "**does not fit**",
            "| ☐ | lamp naked of pearl | **not on 9 V**: ",
            "and its limit is 25 mA",
        ],
    );
}

#[test]
fn stages_say_what_goes_where_and_what_is_closed() {
    let (_, page) = page(PLAN);
    holds(
        &section(&page, "fit"),
        &[
            "### Stage below",
            "| ☐ | joint keel | hull |  | main |",
            "> Closes hull.",
            "### Stage above",
            "| ☐ | lamp mast of pearl | deck | well | keel | Glue it last. |",
            "### In no stage",
            "| ☐ | supply adapter, 12 V, 1 A | \\_",
        ],
    );
}

/// What a plan says beside its wiring: what is in series, what hangs at the far end of a strip, what sits in the plus alone, ways of
/// two legs, scenes, notes of everything.
const MORE: &str = "\
harness \"Quay\" note \"noted of the harness\"
wire thin gauge 32 AWG colours red, green note \"noted of the wire\"
led ruby drops 2 V at 20 mA
tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V
module fx draws 5 mA
  output stop 60 mA sinks
  output go 5 V 40 mA duty 50 % flash 1.5 Hz
  turns stop, go
zone hull sealed note \"noted of the zone\"
zone deck
passage well between hull and deck bore 2 mm note \"noted of the passage\"
passage duct between hull and deck bore 3 mm
supply adapter 12 V in hull
switch main from adapter
diode guard drops 0.3 V from main
rectifier bridge from guard
regulator low 5 V 100 mA from bridge
strip near of warm 1 group from main over 40 mm of thin
strip far of warm 1 group from near over 30 mm of thin
string row of ruby 3 lamps resistor 470 ohm from main over 50 mm of thin
board b of fx from main over 20 mm of thin
lamp stop of ruby resistor 1 kohm in deck from main over 90 mm of thin via well
  return to b.stop over 80 mm of thin via duct
lamp astray of ruby resistor 1 kohm in deck from main over 90 mm of thin
pattern post note \"noted of the pattern\"
lamp post.top of ruby resistor 1 kohm from post
scene day note \"noted of the scene\"
scene night off main
scene watch only row, astray
stage first fits main note \"noted of the stage\"
tried far 18 mA at 12 V note \"noted of the trial\"
";

#[test]
fn how_pieces_hang_together_is_said() {
    let (_, page) = page(MORE);
    holds(
        &section(&page, "solder"),
        &[
            "**switch main in hull**",
            "**strip near in hull**",
            "| ☐ | to far | red | green | thin | 60 mm | at the far end |",
            "| ☐ | string row, 3 of ruby | red | green | thin | 80 mm | lamps in series: the minus of each to the plus of the next |",
            "sit in the plus alone",
        ],
    );
    holds(
        &section(&page, "test"),
        &[
            "Diode guard: its band (the cathode) away from main.",
            "Rectifier bridge: guard on the two ends marked \\~",
            "Regulator low: bridge at its input",
        ],
    );
    let (_, without) = self::page(
        "led a drops 2 V at 20 mA\nsupply s 12 V 1 A\nlamp l of a resistor 1 kohm from s\n",
    );
    assert!(!section(&without, "solder").contains("sit in the plus alone"));
}

#[test]
fn each_leg_has_its_own_way() {
    let (_, page) = page(MORE);
    let fit = section(&page, "fit");
    holds(
        &fit,
        &["| ☐ | lamp stop of ruby | deck | plus: well; minus: duct | main |"],
    );
    // From one zone into another, and the plan does not say how.
    holds(
        &fit,
        &["| ☐ | lamp astray of ruby | deck | \\_\\_\\_\\_\\_\\_ | main |"],
    );
    holds(&fit, &["| ☐ | string row, 3 of ruby | hull |  | main |"]);
}

#[test]
fn scenes_say_what_is_set() {
    let (_, page) = page(MORE);
    holds(
        &section(&page, "test"),
        &[
            "**Scenes**",
            "| day | everything on | ",
            "| noted of the scene |",
            "| night | off main | all dark |",
            "| watch | only row, astray | lit: row, astray |",
            "| everything on | everything on | all lit |",
        ],
    );
}

#[test]
fn what_must_be_known_to_buy_and_is_not_said_is_a_blank() {
    const BLANK: &str = "\\_\\_\\_\\_\\_\\_";
    let (_, page) = page(MORE);
    let buy = section(&page, "buy");
    for line in [
        &format!("| supply | 12 V, {BLANK} A |"),
        &format!("| switch | {BLANK} |"),
        &format!(
            "| module fx | stop 60 mA sinks; go 5 V 40 mA duty 50 % flash 1.5 Hz; stop, go by turns, works {BLANK} V |"
        ),
        &format!("| led ruby | 2 V at 20 mA, colour {BLANK} |"),
        &format!("| warm | groups of 3 × 25 mm, 7 V–12.6 V, colour {BLANK} |"),
        &format!("| thin | 32 AWG (0.202 mm), insulation {BLANK} |"),
    ] {
        holds(&buy, &[line]);
    }
    holds(
        &section(&page, "zones"),
        &[&format!("| hull | {BLANK}, sealed |")],
    );
    // Without zones the model itself gets warm.
    let (_, bare) = self::page(
        "led a drops 2 V at 20 mA\nsupply s 12 V 1 A\nlamp l of a resistor 1 kohm from s\n",
    );
    holds(
        &section(&bare, "test"),
        // By hand: a little more than (12 − 2) V over 1 kohm, at 12 V.
        &[
            "### Warmth",
            "| ☐ | the model | 12",
            " mW | everything on |",
        ],
    );
}

#[test]
fn every_note_is_on_the_sheet_once() {
    let (_, page) = page(MORE);
    let text = markdown::written(&page);
    for of in [
        "harness", "wire", "zone", "passage", "pattern", "scene", "stage", "trial",
    ] {
        assert_eq!(
            text.matches(&format!("noted of the {of}")).count(),
            1,
            "{of} in:\n{text}"
        );
    }
    holds(
        &section(&page, "notes"),
        &[
            "| wire thin | noted of the wire |",
            "| zone hull | noted of the zone |",
            "| tried far | noted of the trial |",
        ],
    );
}

#[test]
fn every_end_of_wire_is_soldered_once() {
    let (a, page) = page(PLAN);
    let solder = section(&page, "solder");
    holds(
        &solder,
        &[
            "**supply adapter**",
            "| ☐ | to F1 |  |  | right on it | \\_",
            "**joint keel in hull**",
            "| ☐ | from main | red | black | hook | 320 mm |",
            "| ☐ | to bow | red | green | fine | 100 mm |",
            "| ☐ | to mast | red | green | fine | 140 mm | 560 ohm in the plus |",
            "| ☐ | to flag | – | \\_",
            "**lamp mast in deck**",
            "At the lights",
            "| ☐ | lamp flag of pearl | ",
            "680 ohm in the plus",
        ],
    );
    // Each run of a pair has two ends, each with two wires; a separate return has its own rows.
    let ends = solder.matches("| ☐ |").count();
    let feeds = a.plan.items.iter().filter_map(|i| i.feed.as_ref());
    let expected: usize = feeds.map(|f| if f.minus() == f.from { 2 } else { 4 }).sum();
    assert_eq!(ends, expected);
}

#[test]
fn what_is_tested_before_sealing_has_its_figures() {
    let (_, page) = page(PLAN);
    holds(
        &section(&page, "test"),
        &[
            "- [ ] Fuse F1: 400 mA quick is in its holder.",
            "| ☐ | adapter | no beep",
            "1. Look the whole harness over",
            "**moored**",
            "**everything on**",
            "Open every switch: main.",
            "| ☐ | adapter | **0 A** |",
            "| ☐ | hull |",
            "Go or no-go: before hull is closed",
            "1 of 1 recorded",
        ],
    );
}

#[test]
fn the_reference_pages_have_every_item_fuse_and_break() {
    let (a, page) = page(PLAN);
    let items = section(&page, "items");
    for item in &a.plan.items {
        assert!(items.contains(&format!("| {} {} |", item.kind(), item.name.0)));
    }
    let rows = page.sections.iter().flat_map(|s| &s.blocks);
    let rows = rows.filter_map(|b| {
        if let Block::Table(t) = b {
            Some(t)
        } else {
            None
        }
    });
    let named = rows
        .flat_map(|t| &t.groups)
        .flat_map(|g| &g.rows)
        .filter_map(|r| r.item.as_ref());
    let named: Vec<_> = named.map(|name| name.0.to_string()).collect();
    let all: Vec<_> = a.plan.items.iter().map(|i| i.name.0.to_string()).collect();
    assert_eq!(named, all);
    holds(
        &section(&page, "fuses"),
        &["| F1 | 400 mA quick |", "| everything on |"],
    );
    holds(
        &section(&page, "breaks"),
        &["fuse", "| F1 | 4 | every light |"],
    );
    holds(
        &section(&page, "zones"),
        &[
            "| hull |",
            "200 cm²",
            "| well | hull and deck | bore 2 mm | 2 wires |",
        ],
    );
    holds(
        &section(&page, "findings"),
        &["**Accepted**", "| flag | weak-point | It is a spare. |"],
    );
}

#[test]
fn what_is_in_error_is_said_on_top() {
    let (_, page) = page(&format!("{PLAN}lamp ghost of nothing from keel\n"));
    let text = markdown::written(&Page {
        sections: Vec::new(),
        ..page
    });
    holds(&text, &["**Not on this sheet**", "ghost", "open."]);
}

#[test]
fn what_a_builder_wrote_stays_text() {
    let text = PLAN
        .replace(
            "Skerry light",
            "<script>alert(1)</script> \\\" & \u{202e}turned",
        )
        .replace(
            "Glue it last.",
            "</td><img src=x onerror=alert(2)> | **x** `y`",
        )
        .replace("It is a spare.", "{{7*7}} ]]> --> <!-- \u{0}");
    let (_, page) = page(&text);
    let html = html::written(&page);
    assert!(!html.contains("<script") && !html.contains("<img") && !html.contains('\u{0}'));
    assert_eq!(html.matches("<!--").count(), 1);
    assert!(html.contains("&lt;script&gt;alert(1)&lt;/script&gt; &quot; &amp;"));
    let markdown = markdown::written(&page);
    assert!(
        markdown.contains("\\<script\\>")
            && markdown.contains("\\<img src=x onerror=alert(2)\\> \\| \\*\\*x")
    );
    assert!(!markdown.contains('\u{202e}'));
}

#[test]
fn a_name_may_be_as_long_as_it_likes_and_a_plan_empty() {
    let long = "m".repeat(10_000);
    let (_, page_of_long) = page(&PLAN.replace("mast", &long));
    assert!(html::written(&page_of_long).contains(&long));
    let (_, empty) = page("");
    let html = html::written(&empty);
    assert!(html.contains("Nothing: nothing is wired.") && html.contains("skerry.harness"));
}

#[test]
fn the_drawing_stands_on_the_page_sheet_by_sheet() {
    let a = Analysis::of(FileKey::new("p"), PLAN.into(), &Alone, &|| false);
    let with = Making {
        spelt: &|_| "skerry.harness".to_owned(),
        reel: None,
        drawn: true,
    };
    let html = html::written(&sheet(&a, &with));
    assert!(html.matches("<svg").count() >= 1);
    assert_eq!(
        html.matches("<svg").count(),
        html.matches("<figcaption>").count()
    );
    // What stands for an item on the drawing and in the table are told apart.
    for item in ["item-mast", "figures-mast"] {
        assert_eq!(html.matches(&format!("id=\"{item}\"")).count(), 1, "{item}");
    }
}

#[test]
fn a_piece_is_not_tried_on_what_harms_it() {
    let text = "led p drops 2 V at 20 mA limit 60 mA colour red\ntape t group 1 lamp long 10 mm works 3 V to 5.5 V draws 8 mA at 5 V colour red\nmodule m works 3 V to 5.5 V draws 5 mA\n  output a 20 mA\nmodule n works 14 V to 24 V draws 5 mA\n  output a 20 mA\nsupply s 12 V 1 A\nregulator r 5 V 500 mA from s\nlamp l of p resistor 220 ohm 1/8 W from r\nstrip u of t 2 groups from r\nboard b of m from r\nboard c of n from r\n";
    let (_, page) = page(text);
    holds(
        &section(&page, "try"),
        &[
            // By hand: (12 − 2.1) V over 220 ohm is some 45 mA, 440 mW.
            "| ☐ | lamp l of p | **not on 12 V**: 4",
            "mW in its resistor of 1/8 W |",
            " at 5 V |",
            "| ☐ | strip u, 2 groups of t | **not on 12 V**: made for up to 5.5 V |",
            "| ☐ | board b of m | **not on 12 V**: made for up to 5.5 V | **5 mA** at 5 V |",
            "| ☐ | board c of n | does not run on 12 V: it needs 14 V |",
        ],
    );
}

/// The words of a text.
fn flat(text: &Text) -> String {
    let words = text.0.iter().map(|piece| match piece {
        Piece::Words(words) | Piece::Strong(words) | Piece::Theirs(words) => words.clone(),
        Piece::Colour(colour) => colour.clone(),
        Piece::Tick(_) => String::new(),
        Piece::Blank(..) => "____".to_owned(),
    });
    words.collect()
}

/// The rows of a section's tables with such a column, each behind the heading of its group.
fn rows(page: &Page, id: &str, column: &str) -> Vec<Vec<String>> {
    let sections = page.sections.iter().filter(|s| s.id == id);
    let tables = sections
        .flat_map(|s| &s.blocks)
        .filter_map(|block| match block {
            Block::Table(table) => Some(table),
            _ => None,
        });
    let tables = tables.filter(|table| table.columns.iter().any(|c| c.title == column));
    let row = |group: &page::Group, row: &page::Row| {
        let heading = group.title.as_ref().map_or_else(String::new, flat);
        let cells = row.cells.iter().map(flat);
        std::iter::once(heading).chain(cells).collect()
    };
    tables
        .flat_map(|table| &table.groups)
        .flat_map(|group| group.rows.iter().map(move |each| row(group, each)))
        .collect()
}

/// Whoever has the sheet alone knows of each wire from where to where it goes, of what kind and colour and how long it is, and through
/// which holes; of each resistor its value and in which end it is; of each strip where it is cut.
#[test]
fn the_wiring_can_be_read_back_from_the_sheet() {
    let example = |name: &str| {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/examples");
        std::fs::read_to_string(format!("{folder}/{name}.harness")).unwrap()
    };
    let harbour = example("lock-harbour").replace("use \"lock-stock.harness\"\n", "");
    let plans = [
        MORE.to_owned(),
        example("night-ferry"),
        example("tanker-yard"),
        example("station-street"),
        harbour + &example("lock-stock"),
    ];
    for text in plans {
        let (a, page) = page(&text);
        let plan = &a.plan;
        let cut = rows(&page, "cut", "between");
        let fit = rows(&page, "fit", "piece");
        let prepare = rows(&page, "prepare", "where");
        let strips = rows(&page, "cut", "cut behind");
        let solder = rows(&page, "solder", "each cut");
        let mut wires = 0;
        let mut wire = |of: &Name, leg: &str, run: &Option<Run>, from: Point, to: String| {
            let Some(run) = run.as_ref().filter(|run| run.length.value > 0.0) else {
                return;
            };
            wires += 1;
            let stock = &plan.wires[run.wire.0];
            let colour = match leg {
                "plus" => stock.colours.first(),
                _ => stock.colours.last(),
            };
            let colour = colour.map_or("____", |colour| &colour.0);
            let long = crate::numbers::length(run.length + plan.settings.slack * 2.0);
            let found = [
                format!("{}, {colour}", stock.name.0),
                String::new(),
                of.0.to_string(),
                leg.to_owned(),
                crate::numbers::length(run.length),
                long.clone(),
                format!("{} – {to}", plan.point_name(from)),
            ];
            assert!(
                cut.iter().any(|row| row[..] == found),
                "{found:?} in {cut:#?}"
            );
            // Both its ends are soldered, in that colour.
            let place = if leg == "plus" { 3 } else { 4 };
            let has = |row: &&Vec<String>| {
                row[place] == colour && row[5].contains(&*stock.name.0) && row[6].contains(&long)
            };
            assert!(solder.iter().filter(has).count() >= 2, "{found:?}");
        };
        for item in &plan.items {
            let Some(feed) = &item.feed else { continue };
            let to = item.name.0.to_string();
            wire(&item.name, "plus", &feed.run, feed.from, to.clone());
            wire(&item.name, "minus", &feed.back_run, feed.minus(), to);
            let row = fit.iter().filter(|row| {
                let piece = row[2].split([',', ' ']).nth(1);
                piece == Some(&*item.name.0)
            });
            let [row] = &row.collect::<Vec<_>>()[..] else {
                panic!("{} is not fitted once", item.name.0);
            };
            let zone = item.zone.map(|zone| plan.zones[zone.0].name.0.to_string());
            assert_eq!(row[3], zone.unwrap_or("____".into()));
            assert_eq!(row[5], plan.point_name(feed.from));
            let way = |run: &Option<Run>| {
                let via = run.iter().flat_map(|run| &run.via);
                let names = via.map(|passage| plan.passages[passage.0].name.0.to_string());
                names.collect::<Vec<_>>().join(", ")
            };
            let (plus, minus) = (way(&feed.run), way(&feed.back_run));
            match plus == minus {
                true => assert_eq!(row[4].replace("____", ""), plus),
                false => assert!(
                    row[4].contains(&plus) && row[4].ends_with(&format!("minus: {minus}")),
                    "{row:?}"
                ),
            }
            match &item.part {
                Part::Lamps {
                    resistor: Some(own),
                    ..
                } => {
                    let value = format!("{}, ", crate::rewrites::e24::written(own.ohms));
                    let place = if own.at_lamp {
                        "at the light"
                    } else {
                        "at the start"
                    };
                    let is_it = |row: &Vec<String>| {
                        row[0].starts_with(&value)
                            && row[2] == *item.name.0
                            && row[3].starts_with(place)
                    };
                    assert!(prepare.iter().any(is_it), "{}", item.name.0);
                }
                Part::Strip { groups, tape, .. } => {
                    let groups = crate::numbers::count(*groups as usize, "group");
                    let of = &plan.tapes[tape.0].name.0;
                    let is_it = |row: &Vec<String>| {
                        row[0] == **of && row[2] == *item.name.0 && row[3] == groups
                    };
                    assert!(strips.iter().any(is_it), "{}", item.name.0);
                }
                _ => {}
            }
        }
        for link in &plan.links {
            let to = plan.point_name(link.ends.1);
            for leg in ["plus", "minus"] {
                wire(&link.name, leg, &link.run, link.ends.0, to.clone());
            }
        }
        assert_eq!(
            wires,
            cut.len(),
            "no wire is cut that the plan does not have"
        );
    }
}
