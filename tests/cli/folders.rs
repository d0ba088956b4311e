//! `glimloom check` over folders: which plans are looked at, and as part of what.

use serde_json::Value;

use super::{CLEAN, Folder, badly_cut};

/// The plan in two files: neither the stock nor the deck is a plan of its own.
fn split(folder: Folder) -> Folder {
    let (stock, wiring) = CLEAN.split_at(CLEAN.find("supply").unwrap());
    let (feed, deck) = wiring.split_at(wiring.find("strip").unwrap());
    let stock = stock.split_once('\n').unwrap().1;
    folder
        .with("ship/a-stock.harness", stock)
        .with(
            "ship/plan.harness",
            format!("use \"a-stock.harness\"\nuse \"z/deck.harness\"\n{feed}"),
        )
        .with("ship/z/deck.harness", deck)
}

#[test]
fn what_another_uses_is_checked_as_part_of_it() {
    let folder = split(Folder::new("folder"));
    let done = folder.call(&["check", "ship"]);
    assert_eq!(
        (done.status, &*done.out),
        (Some(0), "3 files: nothing found\n")
    );
    // Named alone, the deck has nothing to hang on.
    let done = folder.call(&["check", "ship/z/deck.harness"]);
    assert_eq!(done.status, Some(1));
    assert!(done.out.contains("keel"), "{}", done.out);
    let done = folder.call(&["check", "ship", "ship/z/deck.harness", "--json"]);
    assert_eq!(done.status, Some(0), "{}", done.out);
}

#[test]
fn plans_are_found_in_the_order_of_their_names() {
    let folder = Folder::new("folder-order")
        .with("b/two.harness", badly_cut())
        .with("a.harness", badly_cut())
        .with("c.harness.bak", "nonsense")
        .with(".hidden/x.harness", "nonsense")
        .with("b/.x.harness", "nonsense");
    let done = folder.call(&["check", ".", "--json"]);
    assert_eq!(done.status, Some(1));
    let all: Value = serde_json::from_str(&done.out).unwrap();
    let findings = all["findings"].as_array().unwrap();
    let files: Vec<_> = findings
        .iter()
        .map(|f| f["file"].as_str().unwrap())
        .collect();
    assert_eq!(files, ["a.harness", "b/two.harness"]);
    // From elsewhere, the folder that was named is what its plans may use from.
    let outside = Folder::new("folder-outside");
    let split = split(Folder::new("folder-split")).with(
        "ship/z/other.harness",
        "use \"../a-stock.harness\"\nsupply s 12 V 1 A\nfuse f 1 A from s\nstrip x of warm 3 lamps from f over 90 mm of fine\n",
    );
    let done = outside.call(&["check", split.path("ship").to_str().unwrap(), "--json"]);
    assert!(!done.out.contains("use-failed"), "{}", done.out);
}

#[test]
fn plans_that_use_each_other_are_told_of_once() {
    let folder = Folder::new("folder-circle")
        .with("a.harness", "use \"b.harness\"\nzone a\n")
        .with("b.harness", "use \"a.harness\"\nzone b\n");
    let done = folder.call(&["check", "."]);
    assert_eq!(done.status, Some(1));
    assert!(
        done.out.contains("a.harness") && done.out.contains("circle"),
        "{}",
        done.out
    );
    assert!(done.out.ends_with("2 files: 1 error\n"), "{}", done.out);
}

/// A folder that nobody can read, not even root: the system takes no path so long (POSIX, `PATH_MAX`).
#[cfg(unix)]
fn with_an_unreadable_folder(folder: &Folder) -> String {
    let long = |letter: &str| vec![letter.repeat(200); 14].join("/");
    let (upper, lower) = (long("u"), long("l"));
    std::fs::create_dir_all(folder.path(&format!("ship/{upper}"))).unwrap();
    std::fs::create_dir_all(folder.path(&lower)).unwrap();
    let below = format!("ship/{upper}/below");
    let first = folder.path(lower.split('/').next().unwrap());
    std::fs::rename(first, folder.path(&below)).unwrap();
    below
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_read_does_not_hide_the_others() {
    let folder = Folder::new("folder-unreadable")
        .with("ship/a.harness", badly_cut())
        .with("ship/z.harness", CLEAN);
    let below = with_an_unreadable_folder(&folder);
    let is_told = |err: &str| {
        let told = err.strip_prefix(&format!("glimloom: {below}"));
        let told = told.unwrap_or_else(|| panic!("{err}"));
        let told = told.split_once(": ").unwrap().1;
        assert_eq!(told, "this folder cannot be read\n");
    };
    let done = folder.call(&["check", "ship"]);
    assert_eq!(done.status, Some(2), "{}", done.err);
    assert!(done.out.ends_with("2 files: 1 error\n"), "{}", done.out);
    is_told(&done.err);
    let done = folder.call(&["check", "--json", "ship"]);
    assert_eq!(done.status, Some(2));
    let all: Value = serde_json::from_str(&done.out).unwrap();
    assert_eq!(all["findings"].as_array().unwrap().len(), 1, "{all}");
    is_told(&done.err);
    let done = folder.call(&["format", "--check", "ship"]);
    let would =
        "ship/a.harness: would change\nship/z.harness: would change\n2 files: 2 would change\n";
    assert_eq!((done.status, &*done.out), (Some(2), would));
    is_told(&done.err);
    let done = folder.call(&["format", "ship"]);
    assert_eq!(done.status, Some(2));
    is_told(&done.err);
    let done = folder.call(&["format", "--check", "ship/a.harness", "ship/z.harness"]);
    assert_eq!(done.status, Some(0), "{}", done.out);
    // Where nothing else is in it, that is all there is to say.
    for name in ["ship/a.harness", "ship/z.harness"] {
        std::fs::remove_file(folder.path(name)).unwrap();
    }
    for call in [&["check", "ship"][..], &["format", "ship"]] {
        let done = folder.call(call);
        assert_eq!((done.status, &*done.out), (Some(2), ""));
        is_told(&done.err);
    }
}

/// In a folder, a file that cannot be read is named, and the others are laid out; one that was named itself is a wrong call.
#[test]
fn a_file_that_cannot_be_read_does_not_hide_the_others() {
    let ragged = CLEAN.replace("  gauge", "     gauge");
    let folder = Folder::new("folder-latin")
        .with("ship/a.harness", b"# \xe9\n")
        .with("ship/z.harness", &ragged);
    let done = folder.call(&["format", "ship"]);
    assert_eq!(
        (done.status, &*done.out, &*done.err),
        (
            Some(2),
            "ship/z.harness: laid out\n1 file: 1 laid out\n",
            "glimloom: ship/a.harness: is not UTF-8 text from byte 3 of line 1 on\n"
        )
    );
}
