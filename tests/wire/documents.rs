//! Opening, closing, versions, and files that use each other.

use std::fs;

use serde_json::{Value, json};

use super::client::{Client, edit, lines};
use super::folder::Folder;

const A: &str = "file:///a.harness";

#[test]
fn findings_carry_the_version_they_are_for() {
    let mut client = Client::new(json!({}));
    client.open(A, 5, "zone a\n@@\n");
    assert_eq!(lines(&client.findings(A, 5)), [1]);
    client.change(A, 9, json!([edit((0, 0), (0, 0), "@@\n")]));
    assert_eq!(lines(&client.findings(A, 9)), [0, 2]);
    client.change(
        A,
        10,
        json!([edit((0, 0), (1, 0), ""), edit((1, 0), (2, 0), "")]),
    );
    assert_eq!(client.findings(A, 10), [] as [Value; 0]);
    client.end();
}

#[test]
fn a_clean_file_is_said_to_be_clean_once_for_each_version() {
    let mut client = Client::new(json!({}));
    client.open(A, 1, "zone a\n");
    assert_eq!(client.findings(A, 1), [] as [Value; 0]);
    client.change(A, 2, json!([edit((0, 0), (0, 0), "# still clean\n")]));
    assert_eq!(client.findings(A, 2), [] as [Value; 0]);
    client.notify("textDocument/didSave", json!({"textDocument": {"uri": A}}));
    client.open("file:///b.harness", 1, "@@\n");
    client.findings("file:///b.harness", 1);
    let unread = client.unread();
    assert!(unread.iter().all(|m| m["params"]["uri"] != A), "{unread:?}");
    client.end();
}

#[test]
fn closing_clears_the_findings() {
    let mut client = Client::new(json!({}));
    client.open(A, 1, "@@\n");
    assert_eq!(lines(&client.findings(A, 1)), [0]);
    client.close(A);
    assert_eq!(client.findings(A, Value::Null), [] as [Value; 0]);
    client.open(A, 1, "\n@@\n");
    assert_eq!(lines(&client.findings(A, 1)), [1]);
    client.end();
}

#[test]
fn a_file_that_is_not_open() {
    let mut client = Client::new(json!({}));
    client.change(A, 2, json!([edit((0, 0), (0, 0), "@@")]));
    client.close(A);
    let hover = json!({"textDocument": {"uri": A}, "position": {"line": 0, "character": 0}});
    assert_eq!(client.result("textDocument/hover", hover), Value::Null);
    client.open(A, 3, "@@\n");
    assert_eq!(lines(&client.findings(A, 3)), [0]);
    client.end();
}

#[test]
fn several_documents_of_all_kinds() {
    let mut client = Client::new(json!({}));
    let uris = [
        A,
        "untitled:Untitled-1",
        "file:///c%3A/model/b%5E.harness",
        "vscode-vfs://box/m.harness",
    ];
    for (line, uri) in uris.iter().enumerate() {
        client.open(uri, 1, &("\n".repeat(line) + "@@\n"));
    }
    for (line, uri) in uris.iter().enumerate() {
        assert_eq!(lines(&client.findings(uri, 1)), [line as u64]);
    }
    client.change(uris[1], 2, json!([{"text": "\n\n\n@@"}]));
    assert_eq!(lines(&client.findings(uris[1], 2)), [3]);
    client.close(uris[0]);
    assert_eq!(client.findings(uris[0], Value::Null), [] as [Value; 0]);
    client.end();
}

#[test]
fn an_inverted_range_waits_for_the_full_text() {
    let mut client = Client::new(json!({}));
    client.open(A, 1, "@@\n\n");
    client.findings(A, 1);
    client.change(A, 2, json!([edit((1, 0), (0, 0), "x")]));
    assert_eq!(client.findings(A, 2), [] as [Value; 0]);
    client.wait("a word in the log", |m| m["method"] == "window/logMessage");
    client.change(A, 3, json!([edit((0, 0), (0, 0), "@@\n")]));
    client.change(
        A,
        4,
        json!([{"text": "\n@@\n"}, edit((0, 0), (0, 0), "\n")]),
    );
    assert_eq!(lines(&client.findings(A, 4)), [2]);
    client.end();
}

/// An edit that cannot be read is not passed over in silence: what the text is now is not known.
#[test]
fn an_edit_without_a_version() {
    let mut client = Client::new(json!({}));
    client.open(A, 1, "@@\n");
    client.findings(A, 1);
    client.change(A, 2, json!([]));
    client.notify(
        "textDocument/didChange",
        json!({"textDocument": {"uri": A, "version": null}, "contentChanges": [{"text": "@@"}]}),
    );
    let log = client.wait("a word in the log", |m| m["method"] == "window/logMessage");
    assert!(
        log["params"]["message"].as_str().unwrap().contains(A),
        "{log}"
    );
    client.change(A, 4, json!([{"text": "\n\n@@\n"}]));
    assert_eq!(lines(&client.findings(A, 4)), [2]);
    client.end();
}

#[test]
fn an_address_that_is_none() {
    let mut client = Client::new(json!({}));
    client.open("a.harness", 1, "@@\n");
    client.wait("a word in the log", |m| m["method"] == "window/logMessage");
    client.end();
}

#[test]
fn a_text_that_is_too_large_is_left_alone() {
    let mut client = Client::new(json!({}));
    client.open(A, 1, &("@@\n".to_owned() + &"#\n".repeat(5 << 20)));
    assert_eq!(client.findings(A, 1), [] as [Value; 0]);
    client.wait("a word in the log", |m| m["method"] == "window/logMessage");
    client.change(A, 2, json!([{"text": "@@\n"}]));
    assert_eq!(lines(&client.findings(A, 2)), [0]);
    client.end();
}

#[test]
fn a_used_file_on_the_disk_has_its_findings_under_its_own_name() {
    let folder = Folder::new("used");
    let stock = folder.write("stock.harness", "\n@@\n");
    let plan = folder.write("plan.harness", "use \"stock.harness\"\n");
    let mut client = Client::new(json!({}));
    client.open(&plan, 1, "use \"stock.harness\"\n");
    assert_eq!(lines(&client.findings(&stock, Value::Null)), [1]);
    assert_eq!(client.findings(&plan, 1), [] as [Value; 0]);
    folder.write("stock.harness", "@@\n");
    client.notify(
        "workspace/didChangeWatchedFiles",
        json!({"changes": [{"uri": stock, "type": 2}]}),
    );
    assert_eq!(lines(&client.findings(&stock, Value::Null)), [0]);
    client.close(&plan);
    assert_eq!(client.findings(&stock, Value::Null), [] as [Value; 0]);
    client.end();
}

#[test]
fn an_open_text_wins_and_its_edits_reach_the_plan() {
    let folder = Folder::new("open");
    let stock = folder.write("stock.harness", "");
    let plan = folder.write("plan.harness", "");
    let mut client = Client::new(json!({}));
    client.open(&plan, 1, "use \"stock.harness\"\nuse \"new.harness\"\n");
    assert_eq!(
        lines(&client.findings(&plan, 1)),
        [1],
        "new.harness is not there"
    );
    client.open(&stock, 1, "@@\n");
    assert_eq!(lines(&client.findings(&stock, 1)), [0]);
    client.change(&stock, 2, json!([edit((0, 0), (0, 0), "\n")]));
    assert_eq!(lines(&client.findings(&stock, 2)), [1]);
    // Not yet on the disk, but open.
    let new = format!("file://{}", folder.0.join("new.harness").display());
    client.open(&new, 1, "\n\n@@\n");
    assert_eq!(lines(&client.findings(&new, 1)), [2]);
    assert_eq!(client.findings(&plan, 1), [] as [Value; 0]);
    client.close(&new);
    assert_eq!(lines(&client.findings(&plan, 1)), [1]);
    client.end();
}

#[test]
fn a_use_stays_inside_the_folder() {
    let folder = Folder::new("inside");
    fs::create_dir_all(folder.0.join("ship")).unwrap();
    folder.write("secret.harness", "@@\n");
    let plan = folder.write("ship/plan.harness", "");
    let text = "use \"../secret.harness\"\n";
    let mut client = Client::new(json!({}));
    client.open(&plan, 1, text);
    assert_eq!(lines(&client.findings(&plan, 1)), [0]);
    client.end();
    let mut client = Client::silent();
    let root = format!("file://{}", folder.0.display());
    client.shake_hands(
        json!({"capabilities": {}, "workspaceFolders": [{"uri": root, "name": "models"}]}),
    );
    client.open(&plan, 1, text);
    assert_eq!(client.findings(&plan, 1), [] as [Value; 0]);
    client.end();
}
