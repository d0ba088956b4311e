//! Every rewrite on every item of the example plans, and of the same plans half written.

use super::*;
use glimloom::rewrites::resize_fuse::{larger_fuse, preferred_fuse, smaller_fuse};
use glimloom::rewrites::thicker_wire::wire_that_keeps_drop;
use glimloom::rewrites::{
    Candidate, branch_chain, branch_fuse, branch_string, choose_resistor, enlarge_supply,
    feed_both_ends, hold_down, insert_fuse, insert_rectifier, make_it_switch, move_cut,
    second_joint, set_spent, share_out_resistor, split_string, thicken_wire,
};
use glimloom::units::volts;

/// What all rewrites offer for an item.
fn offers(plan: &Plan, solution: &Solution, item: ItemId) -> Vec<Candidate> {
    let mut all = branch_chain(plan, solution, item);
    all.extend(branch_string(plan, solution, item));
    all.extend(insert_fuse(plan, solution, item));
    all.extend(enlarge_supply(plan, solution, item));
    all.extend(move_cut(plan, item));
    all.extend(choose_resistor(plan, solution, item, None));
    all.extend(feed_both_ends(plan, solution, item));
    all.extend(hold_down(plan, solution, item));
    all.extend(insert_rectifier(plan, solution, item));
    let lamps: Vec<ItemId> = plan.lights().collect();
    all.extend(share_out_resistor(plan, solution, item, &lamps));
    all.extend(split_string(plan, solution, item, 0.9));
    all.extend(thicken_wire(plan, solution, item));
    all.extend(wire_that_keeps_drop(plan, solution, item, volts(0.01)));
    all.extend(branch_fuse(plan, solution, item));
    all.extend(smaller_fuse(plan, solution, item));
    all.extend(larger_fuse(plan, solution, item));
    all.extend(preferred_fuse(plan, solution, item));
    all.extend(make_it_switch(plan, solution, item));
    all.extend(second_joint(plan, item));
    all.extend(set_spent(plan, item, volts(3.1), "enough"));
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
    let mut offered = 0;
    for (name, text) in &plans {
        let plan = read(&plans, name, text);
        let solution = solve(&plan, &|| false);
        for k in 0..plan.items.len() {
            for candidate in offers(&plan, &solution, ItemId(k)) {
                offered += 1;
                let texts = changed_texts(&plan, &candidate.edits).expect("edits that fit");
                let mut sources = plans.clone();
                for (file, new) in &texts {
                    assert_ne!(&**new, &*plan.files[file.0].text, "{}", candidate.title);
                    let key = plan.files[file.0].key.0.to_string();
                    sources.iter_mut().find(|(n, _)| *n == key).unwrap().1 = new.clone();
                }
                let own = &sources.iter().find(|(n, _)| n == name).unwrap().1;
                let again = read(&sources, name, own);
                let problems = |plan: &Plan| -> Vec<String> {
                    plan.problems.iter().map(|p| p.message.clone()).collect()
                };
                assert_eq!(
                    problems(&again),
                    problems(&plan),
                    "{}\n{own}",
                    candidate.title
                );
                let comments = |text: &str| text.matches('#').count();
                assert!(comments(own) >= comments(text), "{}", candidate.title);
            }
        }
    }
    assert!(offered > 10, "{offered}");
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
    for end in (0..text.len()).filter(|&i| text.is_char_boundary(i)) {
        let plan = read(&plans, name, &text[..end]);
        for k in 0..plan.items.len() {
            for candidate in offers(&plan, &Solution::default(), ItemId(k)) {
                assert!(changed_texts(&plan, &candidate.edits).is_some(), "{end}");
            }
        }
    }
}
