//! Rewrites of the plan: a plan in, the changed plan out.
#![allow(clippy::unwrap_used, clippy::expect_used)] // In helpers of tests too, a failure is to stop the test.

mod branch_chain;
mod branch_string;
mod copies;
mod insert_fuse;
mod lights;
mod refactorings;
mod sizes;
mod split_supply;
mod sweep;
mod write_copy_out;

use std::collections::BTreeMap;
use std::sync::Arc;

use glimloom::circuit::{ItemFigures, Solution, solve};
use glimloom::plan::{Edit, FileId, FileKey, ItemId, Plan};
use glimloom::rewrites::changed_texts;

/// Wire, tape, lamps and places that the plans of these tests use.
pub const STOCK: &str = "\
wire hook
  gauge 24 AWG
wire fine
  gauge 32 AWG
  insulation enamel
tape warm
  group 3 lamps long 25 mm
  works 7 V to 12.6 V
  draws 18 mA at 12 V
led pearl
  drops 3.0 V at 20 mA
zone hold
zone saloon
zone bridge
passage stair between saloon and bridge bore 2.5 mm
passage well between hold and saloon bore 2.5 mm
";

/// A plan of a file named `plan` with the stock in a file of its own, which is free of errors.
pub fn plan_of(text: &str) -> Plan {
    plan_of_files(text, &[])
}

/// As [`plan_of`], with further files.
pub fn plan_of_files(text: &str, files: &[(&str, &str)]) -> Plan {
    let mut sources = BTreeMap::from([("stock".to_string(), Arc::from(STOCK))]);
    for (name, text) in files {
        sources.insert(name.to_string(), Arc::from(*text));
    }
    let plan = Plan::of(
        FileKey::new("plan"),
        Arc::from(format!("use \"stock\"\n{text}")),
        &sources,
    );
    let faults: Vec<&str> = plan.problems.iter().map(|p| &*p.message).collect();
    assert!(faults.is_empty(), "{faults:?}\n{text}");
    plan
}

/// The item of this name.
pub fn item(plan: &Plan, name: &str) -> ItemId {
    plan.item(name).unwrap_or_else(|| panic!("no item {name}"))
}

/// The plan's own file after the edits; it is again free of errors.
pub fn changed(plan: &Plan, edits: &[Edit]) -> String {
    let texts = changed_files(plan, edits);
    texts.get("plan").cloned().unwrap_or_else(|| own_text(plan))
}

/// The plan's own file as it was.
pub fn own_text(plan: &Plan) -> String {
    let text = plan.files[0].text.to_string();
    text.strip_prefix("use \"stock\"\n").unwrap().to_string()
}

/// All changed files after the edits, by name; together with the others they are free of errors.
pub fn changed_files(plan: &Plan, edits: &[Edit]) -> BTreeMap<String, String> {
    let texts = changed_texts(plan, edits).expect("edits that fit");
    let mut sources = BTreeMap::new();
    for (k, file) in plan.files.iter().enumerate() {
        let text = texts
            .get(&FileId(k))
            .map_or_else(|| file.text.clone(), |t| Arc::from(&**t));
        sources.insert(file.key.0.to_string(), text);
    }
    let again = Plan::of(FileKey::new("plan"), sources["plan"].clone(), &sources);
    let faults: Vec<&str> = again.problems.iter().map(|p| &*p.message).collect();
    assert!(faults.is_empty(), "{faults:?}\n{}", sources["plan"]);
    let mut zones: Vec<_> = plan
        .items
        .iter()
        .map(|i| (i.name.clone(), i.zone))
        .collect();
    zones.retain(|(name, _)| again.item(&name.0).is_some());
    for (name, zone) in zones {
        let now = again.item(&name.0).map(|i| again.items[i.0].zone);
        assert_eq!(now, Some(zone), "{} keeps its zone", name.0);
    }
    texts
        .into_iter()
        .map(|(file, text)| {
            let name = plan.files[file.0].key.0.to_string();
            let text = text
                .strip_prefix("use \"stock\"\n")
                .unwrap_or(&text)
                .to_string();
            (name, text)
        })
        .collect()
}

/// The figures of a plan, which has a solution in every scene.
pub fn solved(plan: &Plan) -> Solution {
    let solution = solve(plan, &|| false);
    for scene in &solution.scenes {
        assert!(scene.outcome.is_ok(), "{:?}", scene.outcome);
    }
    solution
}

/// The greatest typical figure of an item over all scenes.
pub fn most(plan: &Plan, name: &str, of: fn(&ItemFigures) -> f64) -> f64 {
    let item = item(plan, name);
    solved(plan)
        .scenes
        .iter()
        .map(|s| of(&s.outcome.as_ref().unwrap().items[item.0]))
        .fold(0.0, f64::max)
}
