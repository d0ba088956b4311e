//! Folders that an editor has open: one, several, none; what lies in them and what does not.

use std::fs;

use serde_json::{Value, json};

use super::client::{Client, edit, lines, range};
use super::folder::Folder;
use super::pull::{asks, in_folders, pull_all};

const USES: &str = "use \"../shared/stock.harness\"\n";

fn folder_of(root: &str) -> Value {
    json!({"uri": root, "name": "models"})
}

fn change_folders(client: &mut Client, added: &[&str], removed: &[&str]) {
    let all = |roots: &[&str]| roots.iter().map(|root| folder_of(root)).collect::<Vec<_>>();
    let event = json!({"added": all(added), "removed": all(removed)});
    client.notify(
        "workspace/didChangeWorkspaceFolders",
        json!({"event": event}),
    );
}

fn watched(client: &mut Client, uri: &str, kind: u8) {
    let changes = json!([{"uri": uri, "type": kind}]);
    client.notify(
        "workspace/didChangeWatchedFiles",
        json!({"changes": changes}),
    );
}

/// Each plan may use what lies in its own folder, and no more.
#[test]
fn each_plan_is_confined_to_its_own_folder() {
    let (ships, trains) = (Folder::new("roots-ships"), Folder::new("roots-trains"));
    ships.write("shared/stock.harness", "");
    let name = trains.0.file_name().unwrap().to_str().unwrap().to_owned();
    trains.write("stock.harness", "");
    let (inside, outside) = (
        ships.uri("hull/plan.harness"),
        ships.uri("hull/other.harness"),
    );
    let lone = trains.uri("plan.harness");
    fs::create_dir_all(ships.0.join("hull")).unwrap();
    let mut client = in_folders(json!({}), &[&ships, &trains]);
    client.open(&inside, 1, USES);
    assert_eq!(client.findings(&inside, 1), [] as [Value; 0]);
    // The other folder is open too, and yet it is another one.
    client.open(
        &outside,
        1,
        &format!("use \"../../{name}/stock.harness\"\n"),
    );
    assert_eq!(lines(&client.findings(&outside, 1)), [0]);
    client.open(&lone, 1, "use \"stock.harness\"\n");
    assert_eq!(client.findings(&lone, 1), [] as [Value; 0]);
    client.end();
}

#[test]
fn folders_come_and_go() {
    let folder = Folder::new("roots-change");
    folder.write("shared/stock.harness", "");
    fs::create_dir_all(folder.0.join("hull")).unwrap();
    let plan = folder.uri("hull/plan.harness");
    let mut client = Client::new(json!({}));
    client.open(&plan, 1, USES);
    assert_eq!(lines(&client.findings(&plan, 1)), [0], "it is a lone file");
    change_folders(&mut client, &[&folder.root()], &[]);
    assert_eq!(client.findings(&plan, 1), [] as [Value; 0]);
    // The innermost folder counts.
    change_folders(&mut client, &[&folder.uri("hull")], &[]);
    assert_eq!(lines(&client.findings(&plan, 1)), [0]);
    change_folders(&mut client, &[], &[&folder.uri("hull/")]);
    assert_eq!(client.findings(&plan, 1), [] as [Value; 0]);
    change_folders(&mut client, &[], &[&folder.root()]);
    assert_eq!(lines(&client.findings(&plan, 1)), [0]);
    client.end();
}

#[test]
fn the_plans_of_folders_that_come_and_go() {
    let (ships, trains) = (
        Folder::new("roots-all-ships"),
        Folder::new("roots-all-trains"),
    );
    ships.write("ferry.harness", "@@\n");
    let signal = trains.write("signal.harness", "@@\n");
    let names = |all: Vec<(String, Value)>| -> Vec<String> {
        all.into_iter().map(|(name, _)| name).collect()
    };
    let mut client = in_folders(asks(), &[&ships]);
    assert_eq!(names(pull_all(&mut client, &[])), ["ferry.harness"]);
    change_folders(&mut client, &[&trains.root()], &[]);
    let both = pull_all(&mut client, &[]);
    let known = (signal.as_str(), &both[1].1["resultId"]);
    assert_eq!(names(both.clone()), ["ferry.harness", "signal.harness"]);
    // One inside the other is looked at once.
    fs::create_dir_all(ships.0.join("yard")).unwrap();
    ships.write("yard/tug.harness", "@@\n");
    change_folders(&mut client, &[&ships.uri("yard")], &[&trains.root()]);
    let after = pull_all(&mut client, &[known]);
    let counts: Vec<usize> = after
        .iter()
        .map(|(_, r)| r["items"].as_array().unwrap().len())
        .collect();
    assert_eq!(
        names(after),
        ["ferry.harness", "signal.harness", "tug.harness"]
    );
    assert_eq!(
        counts,
        [1, 0, 1],
        "what is in no folder any more has no findings"
    );
    client.end();
}

#[test]
fn a_lone_file_may_use_what_lies_below_its_own_folder() {
    let folder = Folder::new("roots-lone");
    let stock = folder.write("stock/led.harness", "\n@@\n");
    folder.write("beside.harness", "@@\n");
    let plan = folder.uri("plan.harness");
    let mut client = Client::new(asks());
    client.open(
        &plan,
        1,
        "use \"stock/led.harness\"\nuse \"../outside.harness\"\n",
    );
    let all = pull_all(&mut client, &[]);
    let names: Vec<&str> = all.iter().map(|(name, _)| name.as_str()).collect();
    // A file that lies beside it and that it does not use is none of its business.
    assert_eq!(names, ["led.harness", "plan.harness"]);
    assert_eq!(all[0].1["uri"], stock);
    let items = all[1].1["items"].as_array().unwrap();
    assert_eq!(lines(items), [1]);
    client.end();
}

#[test]
fn a_buffer_that_is_no_file_uses_nothing() {
    let folder = Folder::new("roots-untitled");
    folder.write("stock.harness", "");
    let mut client = in_folders(json!({}), &[&folder]);
    let untitled = "untitled:Untitled-1";
    client.open(untitled, 1, "use \"stock.harness\"\nzone a\n");
    assert_eq!(lines(&client.findings(untitled, 1)), [0]);
    // Saved under a name, it is another document.
    client.close(untitled);
    assert_eq!(client.findings(untitled, Value::Null), [] as [Value; 0]);
    let saved = folder.uri("plan.harness");
    client.open(&saved, 1, "use \"stock.harness\"\nzone a\n");
    assert_eq!(client.findings(&saved, 1), [] as [Value; 0]);
    client.end();
}

#[test]
fn a_file_outside_of_all_folders_is_a_lone_one() {
    let (inside, outside) = (Folder::new("roots-in"), Folder::new("roots-out"));
    outside.write("shared/stock.harness", "");
    outside.write("hull/led.harness", "");
    let plan = outside.uri("hull/plan.harness");
    let mut client = in_folders(json!({}), &[&inside]);
    client.open(&plan, 1, &format!("use \"led.harness\"\n{USES}"));
    assert_eq!(lines(&client.findings(&plan, 1)), [1]);
    client.end();
}

/// However a used file changes, the plans that are open are looked at again.
#[test]
fn whatever_happens_to_a_used_file() {
    let folder = Folder::new("roots-used");
    let stock = folder.write("stock.harness", "zone hold\n");
    let plan = folder.uri("plan.harness");
    let mut client = in_folders(json!({}), &[&folder]);
    client.open(
        &plan,
        1,
        "use \"stock.harness\"\nsupply cell 3 V\nload bell draws 9 mA from cell in hold\n",
    );
    let sound = client.findings(&plan, 1);
    assert!(!lines(&sound).contains(&0), "{sound:?}");
    // Changed on the disk.
    folder.write("stock.harness", "zone deck\n");
    watched(&mut client, &stock, 2);
    assert!(lines(&client.findings(&plan, 1)).contains(&2));
    // Opened with a text that is not saved.
    client.open(&stock, 1, "zone hold\n");
    assert_eq!(client.findings(&plan, 1), sound);
    // Edited.
    client.change(&stock, 2, json!([edit((0, 5), (0, 9), "deck")]));
    assert!(lines(&client.findings(&plan, 1)).contains(&2));
    client.change(&stock, 3, json!([edit((0, 5), (0, 9), "hold")]));
    assert_eq!(client.findings(&plan, 1), sound);
    // Saved and closed.
    folder.write("stock.harness", "zone hold # saved\n");
    client.notify(
        "textDocument/didSave",
        json!({"textDocument": {"uri": stock}}),
    );
    client.close(&stock);
    // Renamed.
    fs::rename(folder.0.join("stock.harness"), folder.0.join("led.harness")).unwrap();
    watched(&mut client, &stock, 3);
    let missing = client.findings(&plan, 1);
    assert!(lines(&missing).contains(&0), "{missing:?}");
    client.change(&plan, 2, json!([edit((0, 5), (0, 10), "led")]));
    assert_eq!(client.findings(&plan, 2), sound);
    // Deleted, and there again.
    fs::remove_file(folder.0.join("led.harness")).unwrap();
    watched(&mut client, &folder.uri("led.harness"), 3);
    assert!(lines(&client.findings(&plan, 2)).contains(&0));
    folder.write("led.harness", "zone hold\n");
    watched(&mut client, &folder.uri("led.harness"), 1);
    assert_eq!(client.findings(&plan, 2), sound);
    client.end();
}

/// Names are found in plans that nobody has open, and changed there.
#[test]
fn names_in_plans_that_are_not_open() {
    let folder = Folder::new("roots-names");
    let stock = folder.write("stock.harness", "led pearl\n  drops 3.0 V at 20 mA\n");
    let ferry = folder.write(
        "ferry.harness",
        "use \"stock.harness\"\nsupply cell 12 V\nlamp mast of pearl resistor 560 ohm from cell\n",
    );
    let tug = folder.write("tug.harness", "use \"stock.harness\"\nzone ruby\n");
    folder.write("other.harness", "led pearl\n  drops 2.0 V at 20 mA\n");
    let can = json!({"workspace": {"workspaceEdit": {"documentChanges": true}}});
    let mut client = in_folders(can, &[&folder]);
    client.open(&stock, 1, "led pearl\n  drops 3.0 V at 20 mA\n");
    let at = json!({"textDocument": {"uri": stock}, "position": {"line": 0, "character": 5}});
    let mut asked = at.clone();
    asked["context"] = json!({"includeDeclaration": true});
    let used = json!({"uri": ferry, "range": range((2, 13), (2, 18))});
    let defined = json!({"uri": stock, "range": range((0, 4), (0, 9))});
    assert_eq!(
        client.result("textDocument/references", asked),
        json!([used, defined])
    );

    let mut asked = at.clone();
    asked["newName"] = json!("opal");
    let changes = client.result("textDocument/rename", asked.clone())["documentChanges"].clone();
    let files: Vec<_> = changes
        .as_array()
        .unwrap()
        .iter()
        .map(|c| (&c["textDocument"]["uri"], &c["textDocument"]["version"]))
        .collect();
    assert_eq!(
        files,
        [(&json!(ferry), &json!(null)), (&json!(stock), &json!(1))]
    );
    assert_eq!(changes[0]["edits"][0]["range"], range((2, 13), (2, 18)));
    // A name that a plan which is not open has already.
    asked["newName"] = json!("ruby");
    let refused = client.request("textDocument/rename", asked);
    let why = refused["error"]["message"].as_str().expect("a reason");
    assert!(why.contains("tug.harness") && why.contains("ruby"), "{why}");

    let found = client.result("workspace/symbol", json!({"query": "ru"}));
    assert_eq!(
        (&found[0]["name"], &found[0]["location"]["uri"]),
        (&json!("ruby"), &json!(tug))
    );
    let found = client.result("workspace/symbol", json!({"query": "pearl"}));
    assert_eq!(
        found.as_array().unwrap().len(),
        2,
        "one of each file: {found}"
    );
    client.end();
}

/// What is kept of a plan that nobody has open follows its file.
#[test]
fn what_is_kept_of_closed_plans_follows_the_disk() {
    let folder = Folder::new("roots-kept");
    let plan = folder.write("plan.harness", "zone ruby\n");
    let mut client = in_folders(json!({}), &[&folder]);
    for (text, name) in [
        ("zone ruby\n", "ruby"),
        ("zone opal\n", "opal"),
        ("zone opal\nzone jade\n", "jade"),
    ] {
        folder.write("plan.harness", text);
        watched(&mut client, &plan, 2);
        let found = client.result("workspace/symbol", json!({"query": name}));
        assert_eq!(found[0]["name"], name);
    }
    fs::remove_file(folder.0.join("plan.harness")).unwrap();
    watched(&mut client, &plan, 3);
    assert_eq!(
        client.result("workspace/symbol", json!({"query": "jade"})),
        json!([])
    );
    client.end();
}

/// The plans and folders near, behind `use`.
#[test]
fn paths_are_completed() {
    let folder = Folder::new("roots-paths");
    folder.write("shared/stock.harness", "");
    folder.write("shared/led.harness", "");
    folder.write("hull/deck.harness", "");
    let plan = folder.uri("hull/plan.harness");
    let offered = |client: &mut Client, line: u64, column: u64| -> Vec<(String, Value)> {
        let at =
            json!({"textDocument": {"uri": plan}, "position": {"line": line, "character": column}});
        let list = client.result("textDocument/completion", at);
        let items = list["items"].as_array().cloned().unwrap_or_default();
        let items = items.into_iter().map(|item| {
            (
                item["label"].as_str().unwrap().to_owned(),
                item["textEdit"].clone(),
            )
        });
        items.collect()
    };
    let mut client = in_folders(json!({}), &[&folder]);
    client.open(&plan, 1, "use \"../shared/led.harness\"\nuse \"\"\n");
    let near = offered(&mut client, 1, 5);
    let labels: Vec<&str> = near.iter().map(|(label, _)| label.as_str()).collect();
    assert_eq!(labels, ["deck.harness", "../"]);
    assert_eq!(
        near[0].1,
        json!({"range": range((1, 5), (1, 5)), "newText": "deck.harness"})
    );
    client.change(&plan, 2, json!([edit((1, 5), (1, 5), "../shared/s")]));
    assert_eq!(
        offered(&mut client, 1, 16),
        [(
            "stock.harness".into(),
            json!({"range": range((1, 15), (1, 16)), "newText": "stock.harness"})
        )]
    );
    // Without the quotes, in a plan that uses nothing yet.
    client.change(&plan, 3, json!([{"text": "use "}]));
    assert_eq!(
        offered(&mut client, 0, 4)[0].1["newText"],
        "\"deck.harness\""
    );
    client.change(&plan, 4, json!([{"text": "zone a\nuse"}]));
    assert!(
        offered(&mut client, 1, 3)
            .iter()
            .all(|(label, _)| !label.ends_with(".harness"))
    );
    client.end();
}
