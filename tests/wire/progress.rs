//! Work on many plans: how far it is, and stopping it.

use serde_json::{Value, json};

use super::client::Client;
use super::folder::Folder;
use super::pull::{asks, in_folders};

const HARBOUR: &str = include_str!("../../docs/examples/lock-harbour.harness");

pub fn is_progress(message: &Value, token: &Value, kind: &str) -> bool {
    message["method"] == "$/progress"
        && message["params"]["token"] == *token
        && message["params"]["value"]["kind"] == kind
}

/// A folder of plans that take their time.
pub fn harbours(name: &str) -> Folder {
    so_many_harbours(200, name)
}

pub fn so_many_harbours(count: usize, name: &str) -> Folder {
    let folder = Folder::new(name);
    for n in 0..count {
        folder.write(&format!("harbour-{n}.harness"), HARBOUR);
    }
    folder
}

pub fn ask_for_all(client: &mut Client, token: Value) -> i64 {
    let params = json!({"previousResultIds": [], "workDoneToken": token});
    client.ask("workspace/diagnostic", params)
}

#[test]
fn it_is_told_from_the_beginning_to_the_end() {
    let folder = Folder::new("progress");
    for n in 0..30 {
        folder.write(&format!("plan-{n}.harness"), "zone a\n");
    }
    let mut client = in_folders(asks(), &[&folder]);
    let token = json!("shown");
    let id = ask_for_all(&mut client, token.clone());
    client.answer(id);
    let told = client.unread();
    let told: Vec<&Value> = told
        .iter()
        .filter(|m| m["params"]["token"] == token)
        .map(|m| &m["params"]["value"])
        .collect();
    let (begin, end) = (told[0], told[told.len() - 1]);
    assert_eq!(
        (&begin["kind"], &begin["cancellable"]),
        (&json!("begin"), &json!(true))
    );
    assert!(
        begin["title"].is_string() && begin["percentage"] == 0,
        "{begin}"
    );
    assert_eq!(*end, json!({"kind": "end"}));
    let percent = told[..told.len() - 1]
        .iter()
        .map(|value| value["percentage"].as_u64().expect("a percentage"));
    let percent: Vec<u64> = percent.collect();
    assert!(
        percent.is_sorted() && percent.len() > 10 && percent[percent.len() - 1] < 100,
        "{percent:?}"
    );
    client.end();
}

#[test]
fn nobody_is_told_who_does_not_want_to_be() {
    let folder = Folder::new("progress-none");
    folder.write("plan.harness", "@@\n");
    let mut client = in_folders(asks(), &[&folder]);
    client.result("workspace/diagnostic", json!({"previousResultIds": []}));
    client.result("workspace/symbol", json!({"query": ""}));
    let unread = client.unread();
    assert!(
        unread.iter().all(|m| m["method"] != "$/progress"),
        "{unread:?}"
    );
    client.end();
}

#[test]
fn a_request_that_is_cancelled() {
    let folder = harbours("progress-cancel");
    let mut client = in_folders(asks(), &[&folder]);
    let id = ask_for_all(&mut client, json!(1));
    client.wait("the beginning", |m| is_progress(m, &json!(1), "begin"));
    client.notify("$/cancelRequest", json!({"id": id}));
    assert_eq!(client.answer(id)["error"]["code"], -32800);
    // The work itself ends too.
    client.wait("the end", |m| is_progress(m, &json!(1), "end"));
    client.end();
}

#[test]
fn work_that_the_user_stops() {
    let folder = harbours("progress-stop");
    let mut client = in_folders(asks(), &[&folder]);
    let id = ask_for_all(&mut client, json!("mine"));
    client.wait("the beginning", |m| is_progress(m, &json!("mine"), "begin"));
    client.notify(
        "window/workDoneProgress/cancel",
        json!({"token": "another"}),
    );
    client.notify("window/workDoneProgress/cancel", json!({"token": "mine"}));
    assert_eq!(client.answer(id)["error"]["code"], -32800);
    client.wait("the end", |m| is_progress(m, &json!("mine"), "end"));
    client.end();
}

/// Where the client shows progress, work on many plans is shown though it handed out no token.
#[test]
fn a_token_of_our_own() {
    let folder = Folder::new("progress-own");
    for n in 0..200 {
        folder.write(&format!("harbour-{n}.harness"), HARBOUR);
    }
    let mut client = in_folders(json!({"window": {"workDoneProgress": true}}), &[&folder]);
    let id = client.ask("workspace/symbol", json!({"query": "keel"}));
    let create = client.wait("a place for the progress", |m| {
        m["method"] == "window/workDoneProgress/create"
    });
    let token = create["params"]["token"].clone();
    client.body(&json!({"jsonrpc": "2.0", "id": create["id"], "result": null}).to_string());
    client.wait("the beginning", |m| is_progress(m, &token, "begin"));
    client.wait("the end", |m| is_progress(m, &token, "end"));
    assert!(client.answer(id)["result"].is_array());
    client.end();
}

/// One plan may take long, too: it is left in the middle.
#[test]
fn a_large_plan_is_left_in_the_middle() {
    let folder = Folder::new("progress-large");
    let mut text = include_str!("../../src/parts/street.head.harness").to_owned();
    for k in 1..=600 {
        text += &include_str!("../../src/parts/street.unit.harness").replace("{k}", &k.to_string());
    }
    folder.write("street.harness", &text);
    let mut client = in_folders(asks(), &[&folder]);
    let id = ask_for_all(&mut client, json!("street"));
    client.wait("the beginning", |m| {
        is_progress(m, &json!("street"), "begin")
    });
    client.notify("$/cancelRequest", json!({"id": id}));
    assert_eq!(client.answer(id)["error"]["code"], -32800);
    client.wait("the end", |m| is_progress(m, &json!("street"), "end"));
    // What was left half done does not show.
    let used = folder.write("used.harness", "use \"street.harness\"\n");
    client.notify(
        "workspace/didChangeWatchedFiles",
        json!({"changes": [{"uri": used, "type": 1}]}),
    );
    let id = ask_for_all(&mut client, json!("with files"));
    client.wait("the beginning", |m| {
        is_progress(m, &json!("with files"), "begin")
    });
    client.notify(
        "window/workDoneProgress/cancel",
        json!({"token": "with files"}),
    );
    assert_eq!(client.answer(id)["error"]["code"], -32800);
    client.end();
}
