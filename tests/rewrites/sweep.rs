//! Every rewrite on every item of the example plans, and of the same plans half written.

use std::collections::BTreeSet;

use super::*;
use glimloom::circuit::fused_runs::RunOf as RunOfItem;
use glimloom::plan::PassageId;
use glimloom::rewrites::resize_fuse::{larger_fuse, preferred_fuse, smaller_fuse};
use glimloom::rewrites::route::Leg;
use glimloom::rewrites::shortest_way::{RunOf, take_shortest_way};
use glimloom::rewrites::slow_flash::slow_flash;
use glimloom::rewrites::thicker_wire::wire_that_keeps_drop;
use glimloom::rewrites::widen_passage::widen_passage;
use glimloom::rewrites::{
    Candidate, branch_chain, branch_fuse, branch_string, choose_resistor, close_ring, close_row,
    enlarge_supply, feed_both_ends, hold_down, in_one_copy, insert_connector, insert_fuse,
    insert_rectifier, join_joints, join_strips, larger_battery, make_it_switch, move_battery,
    move_cut, move_outside, own_run, rename_later, second_joint, set_spent, share_out_resistor,
    solder_connector, split_string, split_strip, split_supply, state_cut, swap_wire, thicken_wire,
    write_copy_out,
};
use glimloom::units::{volts, watts};

/// A candidate with the file of `src/rewrites/` that it comes from.
type Offer = (&'static str, Candidate);

/// What all rewrites offer for an item.
fn offers(plan: &Plan, solution: &Solution, item: ItemId) -> Vec<Offer> {
    let mut all: Vec<Offer> = Vec::new();
    let mut add = |file, new: Vec<Candidate>| all.extend(new.into_iter().map(|c| (file, c)));
    let hangs_on_it = |i: &ItemId| {
        let feed = plan.items[i.0].feed.as_ref();
        feed.is_some_and(|f| f.from.item == item)
    };
    let lights: Vec<ItemId> = plan.lights().filter(hangs_on_it).collect();
    let list = |one: Option<Candidate>| one.into_iter().collect::<Vec<_>>();
    add("branch_chain", branch_chain(plan, solution, item));
    add("branch_fuse", branch_fuse(plan, solution, item));
    add("branch_string", branch_string(plan, solution, item));
    add(
        "choose_resistor",
        choose_resistor(plan, solution, item, None),
    );
    add("close_ring", close_ring(plan, item));
    add("close_ring", list(close_row(plan, item)));
    add("enlarge_supply", enlarge_supply(plan, solution, item));
    add("feed_both_ends", feed_both_ends(plan, solution, item));
    add("hold_down", hold_down(plan, solution, item));
    add("insert_connector", list(insert_connector(plan, item)));
    add("insert_fuse", insert_fuse(plan, solution, item));
    add("insert_rectifier", insert_rectifier(plan, solution, item));
    add("move_battery", list(move_battery(plan, item)));
    add("move_cut", move_cut(plan, item));
    add("move_outside", list(move_outside(plan, item)));
    add("own_run", own_run(plan, solution, item, volts(0.5)));
    // One renaming is like another.
    let renamed = item
        .0
        .is_multiple_of(8)
        .then(|| rename_later(plan, plan.items[item.0].stanza));
    add("rename_later", list(renamed.flatten()));
    add("resize_fuse", smaller_fuse(plan, solution, item));
    add("resize_fuse", larger_fuse(plan, solution, item));
    add("resize_fuse", preferred_fuse(plan, solution, item));
    add("second_joint", list(second_joint(plan, item)));
    let day = glimloom::units::seconds(86_400.0);
    add("join_joints", list(join_joints(plan, item)));
    add("join_strips", list(join_strips(plan, solution, item)));
    add("larger_battery", list(larger_battery(plan, item, day)));
    let spent = set_spent(plan, item, volts(3.1), "enough");
    add("set_spent", list(spent));
    add(
        "share_out_resistor",
        share_out_resistor(plan, solution, item, &lights),
    );
    add("solder_connector", list(solder_connector(plan, item)));
    add("split_string", split_string(plan, solution, item, 0.9));
    add("split_strip", split_strip(plan, item));
    add("split_supply", split_supply(plan, solution, item));
    add("state_cut", state_cut(plan, item));
    let legs = [Leg::Plus, Leg::Minus];
    let run = RunOfItem::Item(item);
    add("swap_wire", swap_wire(plan, solution, run, &legs));
    add(
        "switching",
        make_it_switch(plan, solution, item, watts(1.5)),
    );
    add("thicker_wire", thicken_wire(plan, solution, item));
    let limit = volts(0.01);
    add(
        "thicker_wire",
        wire_that_keeps_drop(plan, solution, item, limit),
    );
    add("write_copy_out", list(write_copy_out(plan, item, &[])));
    if let Some(copy) = plan.items[item.0].copy {
        let alone = all
            .iter()
            .filter_map(|(_, c)| in_one_copy(plan, copy, c.clone()));
        let alone: Vec<Offer> = alone.map(|c| ("in_one_copy", c)).collect();
        all.extend(alone);
    }
    all
}

/// What the rewrites of passages, modules and ways offer.
fn other_offers(plan: &Plan) -> Vec<Offer> {
    let mut all: Vec<Offer> = Vec::new();
    for k in 0..plan.passages.len() {
        let wider = widen_passage(plan, PassageId(k)).into_iter();
        all.extend(wider.map(|c| ("widen_passage", c)));
    }
    for module in &plan.modules {
        let clauses = plan.stanza(module.stanza).clauses.iter();
        for part in clauses.flat_map(|c| &c.parts) {
            let slow = slow_flash(plan, module.stanza, part.span).into_iter();
            all.extend(slow.map(|c| ("slow_flash", c)));
        }
    }
    for item in plan.items.iter().filter(|i| i.copy.is_none()) {
        let feed = item.feed.as_ref();
        let ends = feed.map(|f| (plan.items[f.from.item.0].zone, item.zone));
        if let Some((Some(from), Some(to))) = ends {
            let way = take_shortest_way(plan, item.stanza, RunOf::Plus, from, to).into_iter();
            all.extend(way.map(|c| ("shortest_way", c)));
        }
    }
    all
}

/// The example plans, and one with something for every rewrite to do.
fn plans() -> Vec<(String, String)> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/examples");
    let mut plans: Vec<(String, String)> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "harness"))
        .map(|path| {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            (name, std::fs::read_to_string(path).unwrap())
        })
        .collect();
    plans.sort();
    assert!(plans.len() > 3);
    let all = format!(
        "{STOCK}\
supply adapter 12 V 0.1 A in hold
joint keel from adapter over 90 mm of hook via well in saloon
strip a of warm 7 lamps from keel over 70 mm of fine   # cut askew
strip b of warm 6 lamps from a over 10 mm of fine
string row of pearl 3 lamps resistor 150 ohm from b over 30 mm of fine
  via stair in bridge
pattern wing needs lens
string wing.row of wing.lens 2 lamps from wing over 80 mm of fine
lamp wing.end of wing.lens resistor 560 ohm from wing.row over 20 mm of fine
copy port of wing from keel over 90 mm of fine where lens pearl
scene dusk off a, port.row
stage one fits row
tried row 15 mA at 9 V
# What further rewrites are for.
wire hair gauge 40 AWG insulation enamel
strip long of warm 12 lamps from keel over 40 mm of fine   # cut in the middle
strip on of warm 3 lamps from long over 10 mm of fine   # or none
module beacon works 7 V to 13 V draws 5 mA
  output flare 20 mA flash 4 Hz   # too fast
zone tomb sealed
zone lid lifts off
passage crack between hold and tomb bore 1 mm   # too tight
passage lip between hold and lid bore 3 mm
board blink of beacon from keel over 50 mm of fine
connector plug rated 1 A from keel over 60 mm of fine via well, crack in tomb   # out of reach
lamp deep of pearl resistor 560 ohm from plug over 30 mm of fine
lamp top of pearl resistor 560 ohm from adapter over 30 mm of fine via lip in lid
joint mid from keel over 300 mm of hair
joint far from mid over 300 mm of hair   # the long way
strip dim of warm 6 lamps from far over 50 mm of hair
regulator steps 5 V 500 mA from keel over 20 mm of fine
load motor draws 90 mA from steps
resistor shared 150 ohm 1 W from keel
string s1 of pearl 3 lamps from shared
supply cells 15 V either-way in tomb
  capacity 2000 mAh
fuse F9 2 A from cells   # of the cells
joint out from F9 over 80 mm of hook via crack in hold
strip bright of warm 3 lamps from out over 40 mm of fine
lamp side of pearl resistor 1 kohm from out over 500 mm of hair
string many of pearl 5 lamps resistor 22 ohm from out over 20 mm of fine
"
    );
    plans.push(("all".to_string(), all));
    plans
}

fn read(plans: &[(String, String)], name: &str, text: &str) -> Plan {
    let sources: BTreeMap<String, Arc<str>> = plans
        .iter()
        .map(|(name, text)| (name.clone(), Arc::from(&**text)))
        .collect();
    Plan::of(FileKey::new(name), Arc::from(text), &sources)
}

#[test]
fn whatever_is_offered_changes_something_and_can_be_read() {
    let plans = plans();
    let mut offered: BTreeSet<&str> = BTreeSet::new();
    for (name, text) in &plans {
        let plan = read(&plans, name, text);
        let solution = solve(&plan, &|| false);
        let items = (0..plan.items.len()).map(ItemId);
        let of_items = items.flat_map(|item| offers(&plan, &solution, item));
        let mut known: Vec<Vec<Edit>> = Vec::new(); // the pieces of all copies offer the same
        for (file, candidate) in of_items.chain(other_offers(&plan)) {
            offered.insert(file);
            if known.contains(&candidate.edits) {
                continue;
            }
            known.push(candidate.edits.clone());
            let texts = changed_texts(&plan, &candidate.edits).expect("edits that fit");
            let mut sources = plans.clone();
            let mut changes = file == "shortest_way"; // the way may be the shortest already
            for (file, new) in &texts {
                changes |= **new != *plan.files[file.0].text;
                let key = plan.files[file.0].key.0.to_string();
                sources.iter_mut().find(|(n, _)| *n == key).unwrap().1 = new.clone();
            }
            assert!(changes, "{file}: {}", candidate.title);
            let own = &sources.iter().find(|(n, _)| n == name).unwrap().1;
            let again = read(&sources, name, own);
            let problems = |plan: &Plan| -> Vec<String> {
                plan.problems.iter().map(|p| p.message.clone()).collect()
            };
            assert_eq!(
                problems(&again),
                problems(&plan),
                "{file}: {}\n{own}",
                candidate.title
            );
            let comments = |text: &str| text.matches('#').count();
            assert!(
                comments(own) >= comments(text),
                "{file}: {}",
                candidate.title
            );
        }
    }
    assert_eq!(
        offered,
        rewrites(),
        "each rewrite offers something in one of the plans"
    );
}

/// The files of the rewrites: those with a public function that gives candidates.
fn rewrites() -> BTreeSet<&'static str> {
    let paths = crate::tidy::files("src/rewrites", &[".rs"]).into_iter();
    let gives = |path: &std::path::PathBuf| {
        let text = std::fs::read_to_string(path).unwrap();
        let mut functions = text.split("\npub fn ").skip(1);
        functions.any(|f| f.split('{').next().unwrap().contains("Candidate>"))
    };
    let names = paths.filter(gives).map(|path| {
        let stem = path.file_stem().unwrap().to_string_lossy().into_owned();
        &*Box::leak(stem.into_boxed_str())
    });
    names.collect()
}

#[test]
fn a_branched_chain_is_none() {
    let plans = plans();
    let (name, text) = plans.last().unwrap();
    let plan = read(&plans, name, text);
    let all = branch_chain(&plan, &Solution::default(), item(&plan, "row"));
    let texts = changed_texts(&plan, &all[0].edits).unwrap();
    let again = read(&plans, name, &texts[&FileId(0)]);
    for light in ["a", "b", "row"] {
        assert_eq!(
            branch_chain(&again, &Solution::default(), item(&again, light)),
            []
        );
    }
}

#[test]
fn half_a_plan_is_no_trouble() {
    let plans = plans();
    let (name, text) = plans.last().unwrap();
    // Every third place: among them the middles and the ends of words of every kind.
    for end in (0..text.len())
        .step_by(3)
        .filter(|&i| text.is_char_boundary(i))
    {
        let plan = read(&plans, name, &text[..end]);
        for k in 0..plan.items.len() {
            for (_, candidate) in offers(&plan, &Solution::default(), ItemId(k)) {
                assert!(changed_texts(&plan, &candidate.edits).is_some(), "{end}");
            }
        }
        for (_, candidate) in other_offers(&plan) {
            assert!(changed_texts(&plan, &candidate.edits).is_some(), "{end}");
        }
    }
}
