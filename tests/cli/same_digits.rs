//! The same text gives the same digits in the same order: in every process, each of which hashes names in another way, and
//! on however many processors.

use std::fmt::Write;
use std::path::Path;

use serde_json::{Value, json};

use super::{Folder, program};
use crate::tidy::root;
use crate::wire::client::{Client, server};

/// As if there were so many.
const PROCESSORS: [&str; 4] = ["1", "2", "3", "8"];

/// A street of many houses, not all of them well: more items than are solved and checked by one processor alone, in parts
/// of their own.
fn street(houses: usize) -> String {
    let mut text = include_str!("../../src/parts/street.head.harness").to_owned();
    for k in 1..=houses {
        let house = include_str!("../../src/parts/street.unit.harness");
        let house = house.replace("{k}", &k.to_string());
        let _ = text.write_str(&match k % 5 {
            1 => house.replace("12 V 1 A", "12 V 60 mA"),
            2 => house.replace("resistor 560 ohm", "resistor 120 ohm"),
            3 => house.replace("6 lamps", "5 lamps"),
            4 => house.replace("mast-", "Mast-"),
            _ => house,
        });
    }
    text
}

/// What each call prints, on each number of processors, is what it prints on one.
fn print_the_same(folder: &Path, calls: &[&[&str]]) {
    for call in calls {
        let printed = |processors: &str| {
            let mut program = program(folder);
            program.args(*call).env("GLIMLOOM_PROCESSORS", processors);
            let done = program.output().unwrap();
            assert!(done.stdout.len() > 100, "{call:?}: {done:?}");
            (done.status.code(), String::from_utf8(done.stdout).unwrap())
        };
        let first = printed(PROCESSORS[0]);
        for processors in &PROCESSORS[1..] {
            let same = printed(processors) == first;
            assert!(same, "{call:?} differs on {processors} processors");
        }
    }
}

#[test]
fn every_paper_of_the_examples() {
    print_the_same(
        &root().join("docs/examples"),
        &[
            &["check", "--sarif", "."],
            &["figures", "--full", "--json", "lock-harbour.harness"],
            &["sheet", "night-ferry.harness"],
            &["draw", "station-street.harness"],
            &["parts", "lock-harbour.harness"],
            &["suspects", "night-ferry.harness", "--dark", "masthead"],
        ],
    );
}

#[test]
fn a_street_that_many_work_on() {
    let folder = Folder::new("same-digits").with("street.harness", street(64));
    print_the_same(
        &folder.0,
        &[
            &["figures", "--json", "street.harness"],
            &["parts", "street.harness"],
            &["draw", "street.harness"],
        ],
    );
}

/// The findings that a server tells of, as it writes them.
fn told(text: &str, processors: &str) -> Vec<Value> {
    let mut command = server();
    command.env("GLIMLOOM_PROCESSORS", processors);
    let mut client = Client::from(command);
    client.shake_hands(json!({"capabilities": {"textDocument": {"publishDiagnostics": {"relatedInformation": true}}}}));
    let uri = "untitled:street";
    client.open(uri, 1, text);
    let mut told = client.findings(uri, 1);
    // And after an edit of one house, and of what is common to all.
    let edit = |line: usize, text: &str| {
        let place = json!({"line": line, "character": 0});
        json!([{"range": {"start": place, "end": place}, "text": text}])
    };
    let line = text.lines().count() / 2;
    client.change(uri, 2, edit(line, "lamp extra of pearl from keel-12\n"));
    told.extend(client.findings(uri, 2));
    client.change(uri, 3, edit(3, "scene fog off mast-2, sign-7\n"));
    told.extend(client.findings(uri, 3));
    client.end();
    told
}

#[test]
fn the_findings_of_a_server() {
    let text = street(24);
    let first = told(&text, PROCESSORS[0]);
    assert!(first.len() > 30, "{}", first.len());
    for processors in &PROCESSORS[1..] {
        assert!(
            told(&text, processors) == first,
            "they differ on {processors} processors"
        );
    }
}
