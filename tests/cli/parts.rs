//! `glimloom parts`.

use super::{CLEAN, Folder};

#[test]
fn lists_come_as_tables_for_a_spreadsheet_and_as_json() {
    let folder = Folder::new("parts").with("a.harness", CLEAN);
    let table = folder.call(&["parts", "a.harness"]);
    assert_eq!((table.status, &*table.err), (Some(0), ""));
    assert!(table.out.starts_with("To buy\n") && table.out.contains("common practice"));
    let csv = folder.call(&["parts", "a.harness", "--csv"]);
    assert!(csv.out.starts_with("\"list\",\"name\",\"what\",\"used\","));
    let json = folder.call(&["parts", "a.harness", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(json["plan"], "Tern, pilot boat");
    assert_eq!(json["reel_metres"], 5.0);
    // One line of the CSV a part, one a kind of wire, and one a colour of it; and the heading.
    let lines: usize = ["parts", "resistors", "tapes", "wires"]
        .iter()
        .map(|list| json[list].as_array().unwrap().len())
        .sum();
    let wires = json["wires"].as_array().unwrap().iter();
    let colours: usize = wires.map(|w| w["colours"].as_array().unwrap().len()).sum();
    assert_eq!(csv.out.lines().count(), 1 + lines + colours);
}

#[test]
fn a_reel_is_named_with_its_unit() {
    let folder = Folder::new("parts-reel").with("a.harness", CLEAN);
    let json = folder.call(&["parts", "a.harness", "--json", "--reel", "10 m"]);
    assert!(json.out.contains("\"reel_metres\":10.0"));
    let wrong = folder.call(&["parts", "a.harness", "--reel", "10"]);
    assert_eq!(wrong.status, Some(2));
    assert_eq!(
        wrong.err,
        "glimloom: \"10\" is no length of a reel: write it with its unit, as in \"5 m\"\n"
    );
    let folder_named = folder.call(&["parts", "."]);
    assert_eq!(folder_named.status, Some(2));
}

#[test]
fn what_is_left_out_is_said_beside_the_lists() {
    let text = format!("{CLEAN}lamp ghost of nothing from nowhere\n");
    let folder = Folder::new("parts-left-out").with("a.harness", text);
    let done = folder.call(&["parts", "a.harness", "--json"]);
    assert!(done.err.contains("ghost"), "{}", done.err);
    assert!(done.out.contains("\"left_out\":[\"ghost\"]"));
}
