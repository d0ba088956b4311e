//! `glimloom draw`.

use roxmltree::Document;

use super::{CLEAN, Folder};

/// The names of all items in a drawing.
fn names(svg: &str) -> Vec<String> {
    let document = Document::parse(svg).unwrap();
    let named = document
        .descendants()
        .filter_map(|node| node.attribute("data-name"));
    named.map(str::to_owned).collect()
}

#[test]
fn a_drawing_is_printed_or_written() {
    let folder = Folder::new("draw").with("tern.harness", CLEAN);
    let printed = folder.call(&["draw", "tern.harness"]);
    assert_eq!((printed.status, &*printed.err), (Some(0), ""));
    let all = names(&printed.out);
    assert!(all.len() > 3, "{all:?}");
    let written = folder.call(&["draw", "tern.harness", "-o", "tern.svg"]);
    assert_eq!((written.status, &*written.err), (Some(0), ""));
    let svg = std::fs::read_to_string(folder.path("tern.svg")).unwrap();
    assert_eq!(svg.trim_end(), printed.out.trim_end());
    // Again over its own, never over another's, nor over the plan.
    let dark = folder.call(&["draw", "tern.harness", "--dark", "-o", "tern.svg"]);
    assert_eq!(dark.status, Some(0), "{}", dark.err);
    let svg = std::fs::read_to_string(folder.path("tern.svg")).unwrap();
    assert!(svg.contains("glimloom-drawing dark") && !svg.contains("prefers-color-scheme"));
    let folder = folder.with("mine.svg", "<svg/>");
    for file in ["mine.svg", "tern.harness"] {
        let done = folder.call(&["draw", "tern.harness", "-o", file]);
        assert_eq!(done.status, Some(2), "{file}");
    }
    assert_eq!(
        std::fs::read_to_string(folder.path("mine.svg")).unwrap(),
        "<svg/>"
    );
    assert_eq!(
        std::fs::read_to_string(folder.path("tern.harness")).unwrap(),
        CLEAN
    );
}

#[test]
fn what_is_not_in_the_plan_cannot_be_drawn() {
    let folder = Folder::new("draw-not").with("tern.harness", CLEAN);
    for (option, what) in [
        ("--scene", "scene"),
        ("--zone", "zone"),
        ("--supply", "supply"),
    ] {
        let done = folder.call(&["draw", "tern.harness", option, "attic"]);
        assert_eq!((done.status, &*done.out), (Some(2), ""));
        let says = format!("tern.harness: there is no {what} `attic`; ");
        assert!(done.err.contains(&says), "{}", done.err);
    }
    let done = folder.call(&["draw", "tern.harness", "--sheet", "7"]);
    assert!(
        done.err.contains("there is no sheet `7`; there is 1"),
        "{}",
        done.err
    );
    let done = folder.call(&["draw", "tern.harness", "--light", "--dark"]);
    assert_eq!(done.status, Some(2));
    let done = folder.call(&["draw", "gone.harness"]);
    assert_eq!(done.status, Some(2));
    // Each change is drawn to a file, not to a terminal.
    let done = folder.call(&["draw", "tern.harness", "--watch"]);
    assert!(done.err.contains("--output"), "{}", done.err);
}
