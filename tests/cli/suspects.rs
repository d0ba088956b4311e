//! `glimloom suspects`: what may be wrong, in every form, and calls that cannot be answered.

use serde_json::Value;

use super::Folder;

const PLAN: &str = "\
wire fine gauge 32 AWG insulation enamel colours red, green
led pearl drops 3.0 V at 20 mA limit 25 mA colour white
supply adapter 12 V 1 A
fuse F1 200 mA from adapter
joint keel from F1 over 100 mm of fine
lamp mast of pearl resistor 560 ohm from keel over 200 mm of fine
lamp bow of pearl resistor 560 ohm from keel over 200 mm of fine
scene moored off bow
";

#[test]
fn suspects_are_told_with_what_to_measure() {
    let folder = Folder::new("suspects").with("boat.harness", PLAN);
    let call = ["suspects", "boat.harness", "--dark", "mast"];
    let done = folder.call(&call);
    assert_eq!((done.status, &*done.err), (Some(0), ""));
    let lines: Vec<&str> = done.out.lines().collect();
    assert_eq!(
        lines[0],
        "`mast` dark, the others as they should be, in `moored`"
    );
    // In this scene mast is the only light: all that feeds it is suspect, the joint first.
    assert!(
        lines[4].contains("the plus joint `keel` has come apart"),
        "{}",
        done.out
    );
    assert!(
        lines[5].contains(
            "measure between plus at `mast` and minus at `adapter`: 0 V if it is this, 12 V if whole"
        ),
        "{}",
        done.out
    );
    assert!(done.out.contains("\nMeasure next "), "{}", done.out);
    assert!(!done.out.contains('\u{1b}'));

    // With everything on, bow is lit.
    let all_on = [&call[..], &["--scene", "all-on"]].concat();
    let done = folder.call(&all_on);
    assert!(!done.out.contains("keel` has come apart"), "{}", done.out);
    assert!(
        done.out.contains("6 faults look exactly like that"),
        "{}",
        done.out
    );
    let markdown = folder.call(&[&all_on[..], &["--markdown"]].concat()).out;
    assert!(markdown.starts_with("# `mast` dark, "), "{markdown}");
    assert!(
        markdown.contains(
            "\n| 1 | the plus wire (red, 200 mm of fine) from `keel` to `mast` is broken"
        ),
        "{markdown}"
    );
    assert!(markdown.contains("\n## Measure next\n"), "{markdown}");
}

#[test]
fn suspects_for_programs() {
    let folder = Folder::new("suspects-json").with("boat.harness", PLAN);
    let call = |more: &[&str]| -> Value {
        let all = [&["suspects", "boat.harness", "--json"], more].concat();
        serde_json::from_str(&folder.call(&all).out).unwrap()
    };
    let found = call(&["--dark", "mast", "--scene", "all-on"]);
    assert_eq!(found["plan"], "boat.harness");
    assert_eq!(found["scene"], "all-on");
    assert_eq!(found["faults_in_each"], 1);
    assert_eq!(found["suspects"].as_array().unwrap().len(), 6);
    let first = &found["suspects"][0];
    assert_eq!(
        first["faults"],
        serde_json::json!([{"what": "plus leg", "of": "mast", "open": true}])
    );
    assert_eq!(first["measure"]["plus_at"], "mast");
    assert_eq!(first["measure"]["with_fault"], 0.0);
    let whole = first["measure"]["whole"].as_f64().unwrap();
    // 12 V less what 32 mA lose in 100 mm of keel's plus wire, 16 mA in 200 mm of mast's (0.53 ohm per m): some 3 mV.
    assert!((11.99..12.0).contains(&whole), "{whole}");
    let outcomes = found["next_test"]["outcomes"].as_array().unwrap();
    let left: usize = (outcomes.iter())
        .map(|o| o["suspects"].as_array().unwrap().len())
        .sum();
    assert_eq!(left, 6);
    // Two together.
    let text = PLAN.replace(
        "scene moored off bow\n",
        "lamp stern of pearl resistor 560 ohm from keel over 90 mm of fine\n",
    );
    let folder = Folder::new("suspects-two").with("boat.harness", text);
    let all = ["suspects", "boat.harness", "--json", "--dark", "mast,bow"];
    let found: Value = serde_json::from_str(&folder.call(&all).out).unwrap();
    assert_eq!(found["faults_in_each"], 2);
    let both = found["suspects"][0]["faults"].as_array().unwrap().iter();
    let both: Vec<&Value> = both.map(|fault| &fault["of"]).collect();
    assert_eq!(both, ["mast", "bow"]);
}

#[test]
fn what_nothing_explains_ends_with_one() {
    let folder = Folder::new("suspects-none").with("boat.harness", PLAN);
    // Off in this scene.
    let done = folder.call(&["suspects", "boat.harness", "--dark", "bow"]);
    assert_eq!(done.status, Some(0));
    assert!(
        done.out.contains("`bow` is dark in the whole model too"),
        "{}",
        done.out
    );
    let lamps: String = (0..5)
        .map(|k| format!("lamp x{k} of pearl resistor 560 ohm from keel over 90 mm of fine\n"))
        .collect();
    let folder = Folder::new("suspects-three").with("boat.harness", format!("{PLAN}{lamps}"));
    let done = folder.call(&["suspects", "boat.harness", "--dark", "x0,x1,x2"]);
    assert_eq!(done.status, Some(1));
    assert!(
        done.out
            .contains("No single fault and no two together look like that."),
        "{}",
        done.out
    );
}

#[test]
fn names_that_are_wrong_end_the_call() {
    let folder = Folder::new("suspects-wrong").with("boat.harness", PLAN);
    let done = folder.call(&[
        "suspects",
        "boat.harness",
        "--dark",
        "mst,keel",
        "--lit",
        "bows",
        "--scene",
        "more",
    ]);
    assert_eq!((done.status, &*done.out), (Some(2), ""));
    assert_eq!(
        done.err,
        "glimloom: boat.harness: No light is named `mst`. Nearest name: mast. `keel` is a joint, no light. \
         No light is named `bows`. Nearest name: bow. No scene is named `more`. Nearest name: moored.\n"
    );
    let done = folder.call(&["suspects", "boat.harness"]);
    assert_eq!(done.status, Some(2));
    assert!(
        done.err.contains("Name a light that is dark or dim."),
        "{}",
        done.err
    );
}
