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

/// A chain of two lamps in a room with a window, behind a hole, on a battery.
const WHOLE: &str = "\
wire fine gauge 32 AWG insulation enamel
led pearl drops 3.0 V at 20 mA colour white gives 6 lm
zone hull inside 200 cm2 windows 10 cm2 finish white
zone deck
passage stair between hull and deck bore 2 mm
supply cells 9 V 1 A capacity 500 mAh
fuse F1 400 mA from cells in deck
lamp a of pearl resistor 470 ohm at lamp from F1 over 100 mm of fine via stair in hull
lamp b of pearl resistor 470 ohm at lamp from a over 100 mm of fine
";

#[test]
fn all_that_is_worked_out_beside_the_figures() {
    let folder = Folder::new("full").with("cabin.harness", WHOLE);
    let done = folder.call(&["figures", "cabin.harness", "--json", "--full"]);
    assert_eq!((done.status, &*done.err), (Some(0), ""));
    let all = parsed(&done.out);
    let parts = [
        "batteries",
        "breaks",
        "passages",
        "plan",
        "runs",
        "scenes",
        "spread",
        "worst",
    ];
    assert_eq!(keys(&all), parts);
    // F1; the legs of a and itself; those of b and itself.
    let breaks = all["breaks"].as_array().unwrap();
    let what: Vec<_> = breaks
        .iter()
        .map(|b| {
            (
                b["what"].as_str().unwrap(),
                b["of"].as_str().unwrap(),
                b["dark"].as_array().unwrap().len(),
            )
        })
        .collect();
    let both = ["plus leg", "minus leg", "item"];
    let mut expected = vec![("item", "F1", 2)];
    expected.extend(both.map(|what| (what, "a", 2)));
    expected.extend(both.map(|what| (what, "b", 1)));
    assert_eq!(what, expected);
    assert_eq!(all["worst"], breaks[0]);
    let run = &all["runs"][0];
    // 9 V over 0.2 m of 32 AWG (0.538 ohm a metre) is more than the 1 A that the cells give: 2.5 times the fuse.
    assert_eq!(
        (&run["short_amps"], &run["times_rating"]),
        (&1.0.into(), &2.5.into())
    );
    assert_eq!(
        (&run["clears"], &run["within_seconds"]),
        (&"surely".into(), &1800.0.into())
    );
    assert_eq!(
        keys(&all["passages"][0]),
        ["name", "smallest_mm", "wires_mm"]
    );
    assert!(all["batteries"][0]["hours"].as_f64().unwrap() > 15.0);
    let zone = &all["scenes"][0]["zones"][0];
    assert_eq!(
        keys(zone),
        [
            "heat_watts",
            "lumens",
            "name",
            "rise_kelvins",
            "windows_lux"
        ]
    );
    assert!(zone["windows_lux"].as_f64().unwrap() > 1000.0, "{zone}");
    let without = folder.call(&["figures", "cabin.harness", "--full"]);
    assert_eq!(without.status, Some(2));
}
