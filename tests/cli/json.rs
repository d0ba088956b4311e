//! What other programs read: the keys are exactly those of the language page.

use serde_json::Value;

use super::{CLEAN, Folder, badly_cut};

fn parsed(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

/// The keys of an object as they stand in the text.
fn keys(object: &Value) -> Vec<&str> {
    object
        .as_object()
        .unwrap()
        .keys()
        .map(String::as_str)
        .collect()
}

#[test]
fn figures_of_every_item_in_every_scene() {
    let folder = Folder::new("figures").with("tern.harness", CLEAN);
    let done = folder.call(&["figures", "tern.harness", "--json"]);
    assert_eq!((done.status, &*done.err), (Some(0), ""));
    let all = parsed(&done.out);
    assert_eq!(keys(&all), ["plan", "scenes"]);
    assert_eq!(all["plan"], "Tern, pilot boat");
    let names: Vec<_> = all["scenes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|s| &s["name"])
        .collect();
    assert_eq!(names, ["moored", "all-on"]);
    for scene in all["scenes"].as_array().unwrap() {
        assert_eq!(keys(scene), ["items", "name"]);
        let items = scene["items"].as_array().unwrap();
        let listed: Vec<_> = items
            .iter()
            .map(|i| (i["name"].as_str().unwrap(), i["kind"].as_str().unwrap()))
            .collect();
        let wanted = [
            ("adapter", "supply"),
            ("F1", "fuse"),
            ("keel", "joint"),
            ("cabin", "strip"),
        ];
        assert_eq!(listed, wanted);
        for item in items {
            let wanted = [
                "amps",
                "amps_high",
                "amps_low",
                "drop",
                "kind",
                "name",
                "passes",
                "volts",
                "volts_high",
                "volts_low",
                "watts",
            ];
            assert_eq!(keys(item), wanted);
            let low = item["volts_low"].as_f64().unwrap();
            let high = item["volts_high"].as_f64().unwrap();
            let volts = item["volts"].as_f64().unwrap();
            assert!(low <= volts && volts <= high, "{item}");
        }
        // Two groups of 18 mA at 12 V, a little less behind their wire.
        let amps = items[3]["amps"].as_f64().unwrap();
        assert!((0.035..0.036).contains(&amps), "{amps}");
    }
}

#[test]
fn a_scene_without_a_solution_names_the_item_and_the_corner() {
    let plan = "wire fine\n  gauge 40 AWG\nsupply cell 3 V\nload motor takes 5 W from cell over 2 m of fine\n";
    let folder = Folder::new("no-solution").with("p.harness", plan);
    let done = folder.call(&["figures", "p.harness", "--json"]);
    let all = parsed(&done.out);
    // A plan without a title goes by its file.
    assert_eq!(all["plan"], "p.harness");
    let scene = &all["scenes"][0];
    assert_eq!(keys(scene), ["corner", "items", "name", "no_solution"]);
    assert_eq!(scene["no_solution"], "motor");
    assert_eq!(scene["corner"], "typical");
    assert_eq!(scene["items"].as_array().unwrap().len(), 0);
}

#[test]
fn findings_with_their_place() {
    let folder = Folder::new("findings").with("tern.harness", badly_cut());
    let done = folder.call(&["check", "tern.harness", "--json"]);
    assert_eq!((done.status, &*done.err), (Some(1), ""));
    let all = parsed(&done.out);
    assert_eq!(keys(&all), ["findings"]);
    let findings = all["findings"].as_array().unwrap();
    let cut = findings
        .iter()
        .find(|f| f["check"] == "cut-inside-group")
        .unwrap();
    let wanted = [
        "check",
        "column",
        "end_column",
        "end_line",
        "file",
        "fixes",
        "item",
        "line",
        "message",
        "severity",
    ];
    assert_eq!(keys(cut), wanted);
    assert_eq!(cut["severity"], "error");
    assert_eq!(cut["file"], "tern.harness");
    assert_eq!(cut["item"], "cabin");
    assert_eq!((&cut["line"], &cut["end_line"]), (&13.into(), &13.into()));
    let line = badly_cut().lines().nth(12).unwrap().to_string();
    let column = |key: &str| cut[key].as_u64().unwrap() as usize - 1;
    let words: String = line
        .chars()
        .take(column("end_column"))
        .skip(column("column"))
        .collect();
    assert!(words.starts_with('5'), "{words}");
    assert!(!cut["fixes"].as_array().unwrap().is_empty());
}

#[test]
fn a_clean_plan_has_no_findings() {
    let folder = Folder::new("clean").with("tern.harness", CLEAN);
    let done = folder.call(&["check", "tern.harness", "--json"]);
    assert_eq!(done.out.trim(), r#"{"findings":[]}"#);
    assert_eq!((done.status, &*done.err), (Some(0), ""));
}

#[test]
fn columns_count_characters_and_used_files_have_their_own_name() {
    let stock = "# é𝄞\nled wrong limit 5 lm drops 3.0 V at 20 mA\n";
    let plan = "use \"stock/led.harness\"\r\nharness \"é𝄞\" headroom 5 V\r\n";
    let folder = Folder::new("columns")
        .with("p.harness", plan)
        .with("stock/led.harness", stock);
    let done = folder.call(&["check", "p.harness", "p.harness", "--json"]);
    let all = parsed(&done.out);
    let mut units: Vec<_> = all["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|f| f["check"] == "wrong-unit")
        .map(|f| {
            (
                f["file"].as_str().unwrap(),
                f["line"].as_u64().unwrap(),
                f["column"].as_u64().unwrap(),
            )
        })
        .collect();
    units.sort();
    // Named twice on the command line, told once.
    assert_eq!(units, [("p.harness", 2, 23), ("stock/led.harness", 2, 17)]);
}
