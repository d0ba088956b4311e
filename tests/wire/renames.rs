//! Files that are about to be renamed: the paths that lead to them, and the paths in them.

use std::fs;

use serde_json::{Value, json};

use super::client::{Client, range};
use super::folder::Folder;
use super::pull::in_folders;

fn able() -> Value {
    json!({
        "general": {"positionEncodings": ["utf-8"]},
        "workspace": {"workspaceEdit": {"documentChanges": true}, "fileOperations": {"willRename": true}},
    })
}

fn will_rename(client: &mut Client, renames: &[(String, String)]) -> Value {
    let files = renames
        .iter()
        .map(|(old, new)| json!({"oldUri": old, "newUri": new}));
    let files: Vec<Value> = files.collect();
    client.result("workspace/willRenameFiles", json!({"files": files}))
}

/// Each edit: the file's address, its version, where, and the new words.
fn edits(answer: &Value) -> Vec<(String, Value, Value, String)> {
    let changes = answer["documentChanges"]
        .as_array()
        .expect("changes")
        .iter();
    let mut all = Vec::new();
    for change in changes {
        let file = &change["textDocument"];
        for edit in change["edits"].as_array().expect("edits") {
            let (uri, new) = (
                file["uri"].as_str().unwrap(),
                edit["newText"].as_str().unwrap(),
            );
            all.push((
                uri.into(),
                file["version"].clone(),
                edit["range"].clone(),
                new.into(),
            ));
        }
    }
    all.sort_by(|a, b| (&a.0, &a.3).cmp(&(&b.0, &b.3)));
    all
}

#[test]
fn it_is_offered_to_who_asks_before() {
    let mut client = Client::silent();
    let offered = client.shake_hands(json!({"capabilities": able()}));
    let filters = &offered["capabilities"]["workspace"]["fileOperations"]["willRename"]["filters"];
    assert_eq!(
        filters[0]["pattern"],
        json!({"glob": "**/*.harness", "matches": "file"})
    );
    assert_eq!(filters[1]["pattern"]["matches"], "folder");
    client.end();
    let mut client = Client::silent();
    let offered = client.shake_hands(json!({"capabilities": {}}));
    assert_eq!(
        offered["capabilities"]["workspace"].get("fileOperations"),
        None
    );
    client.end();
}

#[test]
fn a_used_file_is_renamed() {
    let folder = Folder::new("renames-used");
    folder.write("stock/led.harness", "");
    let closed = folder.write("hull/closed.harness", "use \"../stock/led.harness\"\n");
    folder.write("hull/other.harness", "use \"closed.harness\"\n");
    let open = folder.write("open.harness", "");
    let mut client = in_folders(able(), &[&folder]);
    client.open(&open, 4, "\nuse \"./stock/led.harness\"  # ours\n");
    let answer = will_rename(
        &mut client,
        &[(
            folder.uri("stock/led.harness"),
            folder.uri("stock/leds.harness"),
        )],
    );
    assert_eq!(
        edits(&answer),
        [
            (
                closed,
                json!(null),
                range((0, 4), (0, 26)),
                "\"../stock/leds.harness\"".into()
            ),
            (
                open.clone(),
                json!(4),
                range((1, 4), (1, 25)),
                "\"./stock/leds.harness\"".into()
            ),
        ]
    );
    client.end();
}

/// A file that moves has to find again what it uses; what is edited is the file as it is before.
#[test]
fn a_file_moves_into_a_folder_that_is_not_there_yet() {
    let folder = Folder::new("renames-moved");
    folder.write("led.harness", "");
    let plan = folder.write("plan.harness", "use \"led.harness\"\n");
    let fleet = folder.write("fleet.harness", "use \"plan.harness\"\n");
    let mut client = in_folders(able(), &[&folder]);
    let answer = will_rename(
        &mut client,
        &[(plan.clone(), folder.uri("new/deep/plan.harness"))],
    );
    assert_eq!(
        edits(&answer),
        [
            (
                fleet,
                json!(null),
                range((0, 4), (0, 18)),
                "\"new/deep/plan.harness\"".into()
            ),
            (
                plan,
                json!(null),
                range((0, 4), (0, 17)),
                "\"../../led.harness\"".into()
            ),
        ]
    );
    client.end();
}

#[test]
fn a_folder_is_renamed_and_a_file_in_it_with_it() {
    let folder = Folder::new("renames-folder");
    folder.write("stock/led.harness", "");
    folder.write(
        "stock/all.harness",
        "use \"led.harness\"\nuse \"tape.harness\"\n",
    );
    folder.write("stock/tape.harness", "");
    let plan = folder.write(
        "plan.harness",
        "use \"stock/all.harness\"\nuse \"stock/tape.harness\"\n",
    );
    let mut client = in_folders(able(), &[&folder]);
    let answer = will_rename(&mut client, &[(folder.uri("stock"), folder.uri("parts"))]);
    let new: Vec<_> = edits(&answer)
        .into_iter()
        .map(|(uri, _, _, new)| (uri, new))
        .collect();
    assert_eq!(
        new,
        [
            (plan.clone(), "\"parts/all.harness\"".to_owned()),
            (plan.clone(), "\"parts/tape.harness\"".to_owned())
        ]
    );
    // The inner one counts where both are renamed at once.
    let both = [
        (folder.uri("stock"), folder.uri("parts")),
        (folder.uri("stock/tape.harness"), folder.uri("tape.harness")),
    ];
    let answer = will_rename(&mut client, &both);
    let new: Vec<_> = edits(&answer)
        .into_iter()
        .map(|(_, _, _, new)| new)
        .collect();
    assert_eq!(
        new,
        [
            "\"parts/all.harness\"",
            "\"tape.harness\"",
            "\"../tape.harness\""
        ]
    );
    client.end();
}

#[test]
fn where_nothing_changes_there_is_no_edit() {
    let folder = Folder::new("renames-none");
    let plan = folder.write("plan.harness", "use \"stock.harness\"\n");
    folder.write("stock.harness", "");
    folder.write("lone.harness", "");
    let mut client = in_folders(able(), &[&folder]);
    let same = [(plan.clone(), plan.clone())];
    let name = [(plan.clone(), folder.uri("ferry.harness"))];
    let lone = [(folder.uri("lone.harness"), folder.uri("alone.harness"))];
    let above = [(folder.root(), format!("{}-new", folder.root()))];
    let odd = [
        ("untitled:Untitled-1".to_owned(), plan.clone()),
        ("no address".to_owned(), plan),
    ];
    for renames in [&same[..], &name, &lone, &above, &odd, &[]] {
        assert_eq!(
            will_rename(&mut client, renames),
            Value::Null,
            "{renames:?}"
        );
    }
    client.end();
}

#[test]
fn a_client_that_knows_no_versions_gets_plain_edits() {
    let folder = Folder::new("renames-plain");
    folder.write("stock.harness", "");
    let plan = folder.write("plan.harness", "use \"stock.harness\"\n");
    let mut client = in_folders(json!({}), &[&folder]);
    let answer = will_rename(
        &mut client,
        &[(folder.uri("stock.harness"), folder.uri("ä.harness"))],
    );
    assert_eq!(answer["changes"][&plan][0]["newText"], "\"ä.harness\"");
    assert_eq!(answer.get("documentChanges"), None);
    client.end();
}

#[cfg(unix)]
#[test]
fn a_folder_that_the_editor_reaches_by_a_link() {
    let (folder, links) = (Folder::new("renames-real"), Folder::new("renames-links"));
    folder.write("stock.harness", "");
    folder.write("plan.harness", "use \"stock.harness\"\n");
    std::os::unix::fs::symlink(&folder.0, links.0.join("models")).unwrap();
    let uri = |name: &str| links.uri(&format!("models/{name}"));
    let mut client = Client::silent();
    client.shake_hands(json!({"capabilities": able(), "workspaceFolders": [{"uri": links.uri("models"), "name": "models"}]}));
    let answer = will_rename(&mut client, &[(uri("stock.harness"), uri("led.harness"))]);
    assert_eq!(
        edits(&answer),
        [(
            uri("plan.harness"),
            json!(null),
            range((0, 4), (0, 19)),
            "\"led.harness\"".into()
        )]
    );
    client.end();
}

/// The whole way: the edits are made, the file is renamed, and the plan is as it was.
#[test]
fn the_plan_is_as_sound_as_before() {
    let folder = Folder::new("renames-whole");
    let stock = folder.write("stock.harness", "zone hold\n");
    let plan = folder.write("plan.harness", "");
    let text = "use \"stock.harness\"\nsupply cell 3 V\nload bell draws 9 mA from cell in hold\n";
    let mut client = in_folders(able(), &[&folder]);
    client.open(&plan, 1, text);
    let sound = client.findings(&plan, 1);
    let new = folder.uri("parts/stock.harness");
    let answer = will_rename(&mut client, &[(stock.clone(), new.clone())]);
    let edits = edits(&answer).into_iter();
    let edits = edits.map(|(_, _, range, text)| json!({"range": range, "text": text}));
    client.change(&plan, 2, edits.collect());
    assert!(!client.findings(&plan, 2).is_empty(), "it is not there yet");
    fs::create_dir(folder.0.join("parts")).unwrap();
    fs::rename(
        folder.0.join("stock.harness"),
        folder.0.join("parts/stock.harness"),
    )
    .unwrap();
    client.notify(
        "workspace/didChangeWatchedFiles",
        json!({"changes": [{"uri": stock, "type": 3}, {"uri": new, "type": 1}]}),
    );
    assert_eq!(client.findings(&plan, 2), sound);
    client.end();
}
