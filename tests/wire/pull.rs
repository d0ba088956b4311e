//! Findings for clients that ask for them.

use std::fs;

use serde_json::{Value, json};

use super::client::{Client, edit, lines};
use super::folder::Folder;

const A: &str = "file:///a.harness";

/// What a client that asks can do.
pub fn asks() -> Value {
    json!({
        "textDocument": {"diagnostic": {"relatedDocumentSupport": true}},
        "workspace": {"diagnostics": {"refreshSupport": true}},
    })
}

/// A client that has folders open.
pub fn in_folders(capabilities: Value, folders: &[&Folder]) -> Client {
    let mut client = Client::silent();
    let folders = folders
        .iter()
        .map(|folder| json!({"uri": folder.root(), "name": "models"}));
    let folders: Vec<Value> = folders.collect();
    client.shake_hands(json!({"capabilities": capabilities, "workspaceFolders": folders}));
    client
}

fn pull(client: &mut Client, uri: &str, previous: Option<&Value>) -> Value {
    let mut params = json!({"textDocument": {"uri": uri}});
    if let Some(previous) = previous {
        params["previousResultId"] = previous.clone();
    }
    client.result("textDocument/diagnostic", params)
}

/// The reports on all files, by the last part of their names.
pub fn pull_all(client: &mut Client, previous: &[(&str, &Value)]) -> Vec<(String, Value)> {
    let previous = previous
        .iter()
        .map(|(uri, id)| json!({"uri": uri, "value": id}));
    let previous: Vec<Value> = previous.collect();
    let all = client.result(
        "workspace/diagnostic",
        json!({"previousResultIds": previous}),
    );
    named(&all["items"])
}

fn named(items: &Value) -> Vec<(String, Value)> {
    let items = items.as_array().expect("items").iter();
    let mut named: Vec<_> = items
        .map(|item| {
            let uri = item["uri"].as_str().expect("an address");
            let name = uri.rsplit('/').next().unwrap().to_owned();
            (name, item.clone())
        })
        .collect();
    named.sort_by(|a, b| a.0.cmp(&b.0));
    named
}

fn items(report: &Value) -> &[Value] {
    report["items"]
        .as_array()
        .map(Vec::as_slice)
        .unwrap_or_default()
}

fn names(reports: &[(String, Value)]) -> Vec<&str> {
    reports.iter().map(|(name, _)| name.as_str()).collect()
}

/// The client's answer to the one request to ask again that must have come.
fn refreshed(client: &mut Client) {
    let asked = client.wait("a refresh", |m| {
        m["method"] == "workspace/diagnostic/refresh"
    });
    client.body(&json!({"jsonrpc": "2.0", "id": asked["id"], "result": null}).to_string());
}

#[test]
fn what_is_asked_for_is_what_is_told() {
    let text = include_str!("../../docs/examples/lock-harbour.harness");
    let text = text.replace("resistor", "resistr") + "zone alone\n@@\nfuse F9 from nowhere\n";
    let mut told = Client::new(json!({}));
    told.open(A, 1, &text);
    let said = told.findings(A, 1);
    told.end();
    assert!(said.len() > 3, "{said:?}");
    let mut client = Client::new(asks());
    client.open(A, 1, &text);
    let report = pull(&mut client, A, None);
    assert_eq!(
        (&report["kind"], items(&report)),
        (&json!("full"), &said[..])
    );
    // And it is not told as well.
    let unread = client.unread();
    assert!(
        unread
            .iter()
            .all(|m| m["method"] != "textDocument/publishDiagnostics"),
        "{unread:?}"
    );
    client.end();
}

#[test]
fn who_cannot_ask_is_told() {
    let mut client = Client::silent();
    let offered = client.shake_hands(json!({"capabilities": {}}));
    assert_eq!(offered["capabilities"].get("diagnosticProvider"), None);
    client.open(A, 1, "@@\n");
    assert_eq!(lines(&client.findings(A, 1)), [0]);
    client.end();
    let mut client = Client::silent();
    let offered = client.shake_hands(json!({"capabilities": asks()}));
    let offered = &offered["capabilities"]["diagnosticProvider"];
    assert_eq!(offered["interFileDependencies"], true);
    assert_eq!(offered["workspaceDiagnostics"], true);
    client.end();
}

#[test]
fn the_same_findings_have_the_same_id() {
    let mut client = Client::new(asks());
    client.open(A, 1, "@@\n");
    let first = pull(&mut client, A, None);
    let id = &first["resultId"];
    assert!(id.is_string(), "{first}");
    let again = pull(&mut client, A, Some(id));
    assert_eq!(again, json!({"kind": "unchanged", "resultId": id}));
    client.change(A, 2, json!([edit((0, 0), (0, 0), "# further down\n")]));
    let moved = pull(&mut client, A, Some(id));
    assert_eq!(
        (&moved["kind"], lines(items(&moved))),
        (&json!("full"), vec![1])
    );
    client.change(A, 3, json!([edit((0, 0), (1, 0), "")]));
    assert_eq!(pull(&mut client, A, Some(id))["kind"], "unchanged");
    client.end();
    let mut other = Client::new(asks());
    other.open(A, 7, "@@\n");
    assert_eq!(pull(&mut other, A, None)["resultId"], *id);
    other.end();
}

#[test]
fn a_file_that_is_not_open_or_not_known_has_no_findings() {
    let mut client = Client::new(asks());
    assert_eq!(items(&pull(&mut client, A, None)), [] as [Value; 0]);
    client.open(A, 1, "@@\n\n");
    client.change(A, 2, json!([edit((1, 0), (0, 0), "x")]));
    let report = pull(&mut client, A, None);
    assert_eq!((&report["kind"], items(&report).len()), (&json!("full"), 0));
    client.end();
}

#[test]
fn used_files_come_along() {
    let folder = Folder::new("pull-related");
    let stock = folder.write("stock.harness", "\n@@\n");
    let clean = folder.write("clean.harness", "zone a\n");
    let plan = folder.uri("plan.harness");
    let text = "use \"stock.harness\"\nuse \"clean.harness\"\n";
    let mut client = Client::new(asks());
    client.open(&plan, 1, text);
    let report = pull(&mut client, &plan, None);
    let related = report["relatedDocuments"]
        .as_object()
        .expect("related documents");
    assert_eq!(related.len(), 2);
    assert_eq!(lines(items(&related[&stock])), [1]);
    assert_eq!(related[&stock]["kind"], "full");
    // What was found there before may be gone by now.
    assert_eq!(items(&related[&clean]), [] as [Value; 0]);
    let again = pull(&mut client, &plan, Some(&report["resultId"]));
    assert_eq!(again["kind"], "unchanged");
    assert_eq!(again["relatedDocuments"], report["relatedDocuments"]);
    client.end();
    let mut client = Client::new(json!({"textDocument": {"diagnostic": {}}}));
    client.open(&plan, 1, text);
    assert_eq!(pull(&mut client, &plan, None).get("relatedDocuments"), None);
    client.end();
}

#[test]
fn the_client_asks_again_when_another_file_changed_the_findings() {
    let folder = Folder::new("pull-refresh");
    let stock = folder.write("stock.harness", "zone hold\n");
    let plan = folder.uri("plan.harness");
    let mut client = Client::new(asks());
    client.open(&stock, 1, "zone hold\n");
    client.open(
        &plan,
        1,
        "use \"stock.harness\"\nsupply cell 3 V\nload bell draws 9 mA from cell in hold\n",
    );
    let fine = items(&pull(&mut client, &plan, None)).len();
    client.change(&stock, 2, json!([edit((0, 5), (0, 9), "deck")]));
    refreshed(&mut client);
    let wrong = pull(&mut client, &plan, None);
    assert!(lines(items(&wrong)).contains(&2), "{wrong}");
    // On the disk it still has its name.
    client.close(&stock);
    refreshed(&mut client);
    assert_eq!(items(&pull(&mut client, &plan, None)).len(), fine);
    folder.write("stock.harness", "zone deck\n");
    client.notify(
        "workspace/didChangeWatchedFiles",
        json!({"changes": [{"uri": stock, "type": 2}]}),
    );
    refreshed(&mut client);
    assert_eq!(items(&pull(&mut client, &plan, None)), items(&wrong));
    client.end();
}

/// What is said of plans that are not open may be another as well, whatever was given for the one that is.
#[test]
fn a_save_is_the_time_to_ask_again_for_who_watches_no_files() {
    let saved = |capabilities: Value| {
        let mut client = Client::new(capabilities);
        client.open(A, 1, "zone a\n");
        client.notify("textDocument/didSave", json!({"textDocument": {"uri": A}}));
        client
    };
    let mut client = saved(asks());
    refreshed(&mut client);
    client.end();
    let mut watches = asks();
    watches["workspace"]["didChangeWatchedFiles"] = json!({"dynamicRegistration": true});
    let mut client = saved(watches);
    pull(&mut client, A, None);
    let unread = client.unread();
    let is_refresh = |m: &Value| m["method"] == "workspace/diagnostic/refresh";
    assert!(!unread.iter().any(is_refresh), "{unread:?}");
    client.end();
}

/// A client that watches no files hears of a change on the disk when it saves.
#[test]
fn after_a_save_the_client_asks_again_for_what_the_disk_changed() {
    let folder = Folder::new("pull-save");
    folder.write("stock.harness", "zone hold\n");
    let plan = folder.write("plan.harness", "");
    let text = "use \"stock.harness\"\nsupply cell 3 V\nload bell draws 9 mA from cell in hold\n";
    let mut client = Client::new(asks());
    client.open(&plan, 1, text);
    let fine = pull(&mut client, &plan, None);
    folder.write("stock.harness", "zone deck\n");
    client.notify(
        "textDocument/didSave",
        json!({"textDocument": {"uri": plan}}),
    );
    refreshed(&mut client);
    let wrong = pull(&mut client, &plan, Some(&fine["resultId"]));
    assert!(lines(items(&wrong)).contains(&2), "{wrong}");
    // And when it changed while the client edits.
    client.change(&plan, 2, json!([edit((0, 0), (0, 0), "# a\n")]));
    pull(&mut client, &plan, None);
    folder.write("stock.harness", "zone hold\n");
    client.notify(
        "textDocument/didSave",
        json!({"textDocument": {"uri": plan}}),
    );
    refreshed(&mut client);
    assert_eq!(
        items(&pull(&mut client, &plan, None)).len(),
        items(&fine).len()
    );
    client.end();
}

/// A client asks for the findings of what it edits by itself.
#[test]
fn an_edit_of_ones_own_is_no_reason_to_ask_again() {
    let mut client = Client::new(asks());
    client.open(A, 1, "zone a\n");
    client.open("file:///b.harness", 1, "@@\n");
    for version in 2..20 {
        client.change(A, version, json!([edit((0, 0), (0, 0), "@@\n")]));
        pull(&mut client, A, None);
    }
    let unread = client.unread();
    assert!(
        unread
            .iter()
            .all(|m| m["method"] != "workspace/diagnostic/refresh"),
        "{unread:?}"
    );
    client.end();
}

#[test]
fn all_plans_of_the_folders() {
    let folder = Folder::new("pull-all");
    let bad = folder.write("hull/bad.harness", "@@\n");
    folder.write("hull/good.harness", "# a clean plan\n");
    folder.write("stock.harness", "\n@@\n");
    folder.write("one.harness", "use \"stock.harness\"\n");
    folder.write("two.harness", "use \"stock.harness\"\n@@\n");
    folder.write(".hidden/no.harness", "@@\n");
    folder.write("notes.txt", "@@\n");
    folder.write("latin.harness", "");
    fs::write(folder.0.join("latin.harness"), [0xe4]).unwrap();
    let open = folder.uri("open.harness");
    let mut client = in_folders(asks(), &[&folder]);
    client.open(&open, 3, "@@\n");
    let all = pull_all(&mut client, &[]);
    assert_eq!(
        names(&all),
        [
            "bad.harness",
            "open.harness",
            "stock.harness",
            "two.harness"
        ]
    );
    for (report, (line, version)) in all.iter().zip([
        (0, json!(null)),
        (0, json!(3)),
        (1, json!(null)),
        (1, json!(null)),
    ]) {
        assert_eq!(lines(items(&report.1)), [line], "{report:?}");
        assert_eq!(report.1["version"], version, "{report:?}");
        assert_eq!(
            items(&report.1).len(),
            1,
            "what two plans find alike is said once"
        );
    }
    // The one that is open is as it is when it is asked for alone.
    let alone = pull(&mut client, &open, None);
    assert_eq!(
        (&alone["items"], &alone["resultId"]),
        (&all[1].1["items"], &all[1].1["resultId"])
    );

    // So is one that is not.
    let alone = pull(&mut client, &bad, None);
    assert_eq!(alone["resultId"], all[0].1["resultId"]);
    assert_eq!(alone["items"], all[0].1["items"]);

    let known: Vec<(String, Value)> = all
        .iter()
        .map(|(_, r)| (r["uri"].as_str().unwrap().to_owned(), r["resultId"].clone()))
        .collect();
    let known: Vec<(&str, &Value)> = known.iter().map(|(uri, id)| (uri.as_str(), id)).collect();
    let again = pull_all(&mut client, &known);
    assert_eq!(names(&again), names(&all));
    assert!(
        again
            .iter()
            .all(|(_, report)| report["kind"] == "unchanged"),
        "{again:?}"
    );

    // One is mended, one is deleted, one comes.
    folder.write("two.harness", "use \"stock.harness\"\n");
    fs::remove_file(folder.0.join("hull/bad.harness")).unwrap();
    let new = folder.write("new.harness", "\n\n@@\n");
    let changes = json!([{"uri": folder.uri("two.harness"), "type": 2}, {"uri": bad, "type": 3}, {"uri": new, "type": 1}]);
    client.notify(
        "workspace/didChangeWatchedFiles",
        json!({"changes": changes}),
    );
    refreshed(&mut client);
    let after = pull_all(&mut client, &known);
    assert_eq!(
        names(&after),
        [
            "bad.harness",
            "new.harness",
            "open.harness",
            "stock.harness",
            "two.harness"
        ]
    );
    let kinds: Vec<_> = after
        .iter()
        .map(|(_, r)| r["kind"].as_str().unwrap())
        .collect();
    assert_eq!(kinds, ["full", "full", "unchanged", "unchanged", "full"]);
    assert_eq!(items(&after[0].1), [] as [Value; 0]);
    assert_eq!(lines(items(&after[1].1)), [2]);
    assert_eq!(items(&after[4].1), [] as [Value; 0]);
    client.end();
}

/// What open plans say of a file stands whether all plans are asked for or one.
#[test]
fn what_an_open_plan_uses_is_told_by_that() {
    let folder = Folder::new("pull-shared");
    folder.write("stock.harness", "zone hold\n@@\n");
    folder.write("closed.harness", "use \"stock.harness\"\nzone hold\n");
    let plan = folder.uri("plan.harness");
    let mut client = in_folders(asks(), &[&folder]);
    client.open(&plan, 1, "use \"stock.harness\"\n");
    let related =
        pull(&mut client, &plan, None)["relatedDocuments"][folder.uri("stock.harness")].clone();
    let all = pull_all(&mut client, &[]);
    assert_eq!(names(&all), ["closed.harness", "stock.harness"]);
    assert_eq!(all[1].1["resultId"], related["resultId"]);
    client.end();
}

#[test]
fn files_that_use_each_other_are_one_plan() {
    let folder = Folder::new("pull-circle");
    folder.write("a.harness", "use \"b.harness\"\n");
    folder.write("b.harness", "use \"c.harness\"\n");
    folder.write("c.harness", "use \"b.harness\"\n");
    folder.write("self.harness", "use \"self.harness\"\n");
    let mut client = in_folders(asks(), &[&folder]);
    let all = pull_all(&mut client, &[]);
    assert_eq!(names(&all), ["c.harness", "self.harness"]);
    client.end();
}

#[test]
fn an_answer_in_pieces() {
    let folder = Folder::new("pull-pieces");
    for n in 0..40 {
        folder.write(&format!("plan-{n:02}.harness"), "@@\n");
    }
    let mut client = in_folders(asks(), &[&folder]);
    let id = client.ask(
        "workspace/diagnostic",
        json!({"previousResultIds": [], "partialResultToken": "here"}),
    );
    let mut found = Vec::new();
    while found.len() < 40 {
        let piece = client.wait("a piece", |m| {
            m["method"] == "$/progress" && m["params"]["token"] == "here"
        });
        found.extend(named(&piece["params"]["value"]["items"]));
    }
    assert_eq!(client.answer(id)["result"], json!({"items": []}));
    found.sort_by(|a, b| a.0.cmp(&b.0));
    assert_eq!(found, pull_all(&mut client, &[]));
    client.end();
}

/// Related places in other files, and what is not used, over the wire.
#[test]
fn what_is_unused_is_tagged_and_places_in_other_files_are_named() {
    let folder = Folder::new("pull-tags");
    let stock = folder.write(
        "stock.harness",
        "zone hold\nled pearl drops 3.0 V at 20 mA\n",
    );
    let plan = folder.uri("plan.harness");
    let can = json!({"textDocument": {"diagnostic": {}, "publishDiagnostics": {"relatedInformation": true, "tagSupport": {"valueSet": [1]}}}});
    let mut client = Client::new(can);
    client.open(&plan, 1, "use \"stock.harness\"\nzone hold\n");
    let report = pull(&mut client, &plan, None);
    let twice = &items(&report)[0];
    assert_eq!(
        twice["relatedInformation"][0]["location"]["uri"], stock,
        "{twice}"
    );
    let idle = "supply cell 3 V\nload bell draws 9 mA from cell\nled idle drops 3.0 V at 20 mA\n";
    client.open(A, 1, idle);
    let report = pull(&mut client, A, None);
    let unused = items(&report)
        .iter()
        .find(|item| item["range"]["start"]["line"] == 2)
        .expect("a finding");
    assert_eq!(unused["tags"], json!([1]), "{unused}");
    client.end();
}
