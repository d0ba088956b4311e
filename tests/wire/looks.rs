//! What an editor shows beside and between the words, and the settings that say how much of it.

use serde_json::{Value, json};

use super::client::Client;

const A: &str = "file:///a.harness";
const ELSEWHERE: &str = "https://example.org/checks";

/// Where the page of the first finding is.
fn page(client: &mut Client, version: i64) -> Value {
    let findings = client.findings(A, version);
    findings[0]["codeDescription"]["href"].clone()
}

/// A question of the server's, answered.
fn answer(client: &mut Client, method: &str, result: Value) -> Value {
    let question = client.wait(method, |m| m["method"] == method);
    client.body(&json!({"jsonrpc": "2.0", "id": question["id"], "result": result}).to_string());
    question
}

#[test]
fn settings_are_asked_for_and_hold_at_once() {
    let mut client = Client::new(json!({"workspace": {
        "configuration": true,
        "didChangeConfiguration": {"dynamicRegistration": true},
    }}));
    let asked = answer(&mut client, "client/registerCapability", Value::Null);
    let registered = &asked["params"]["registrations"][0];
    assert_eq!(registered["method"], "workspace/didChangeConfiguration");
    assert_eq!(
        registered["registerOptions"],
        json!({"section": "glimloom"})
    );
    client.open(A, 1, "@@\n");
    let usual = page(&mut client, 1);
    let asked = answer(
        &mut client,
        "workspace/configuration",
        json!([{"pages": ELSEWHERE}]),
    );
    assert_eq!(asked["params"]["items"], json!([{"section": "glimloom"}]));
    // The findings are told again, of the same text.
    assert_eq!(page(&mut client, 1), format!("{ELSEWHERE}/syntax.md"));
    // What the notification says does not count where one can ask.
    client.notify(
        "workspace/didChangeConfiguration",
        json!({"settings": {"glimloom": {"pages": "https://example.org/no"}}}),
    );
    answer(&mut client, "workspace/configuration", json!([null]));
    assert_eq!(page(&mut client, 1), usual);
    client.end();
}

#[test]
fn settings_are_taken_from_who_cannot_be_asked() {
    let mut client = Client::silent();
    client.shake_hands(json!({
        "processId": null, "rootUri": null, "capabilities": {},
        "initializationOptions": {"pages": ELSEWHERE, "colour": true},
    }));
    let log = client.wait("a complaint", |m| m["method"] == "window/logMessage");
    assert_eq!(log["params"]["message"], "No setting is named `colour`.");
    client.open(A, 1, "@@\n");
    assert_eq!(page(&mut client, 1), format!("{ELSEWHERE}/syntax.md"));
    let other = json!({"glimloom": {"pages": "https://example.org/others"}, "other": {}});
    client.notify(
        "workspace/didChangeConfiguration",
        json!({"settings": other}),
    );
    assert_eq!(page(&mut client, 1), "https://example.org/others/syntax.md");
    let bad = json!({"glimloom": {"pages": 7}});
    client.notify("workspace/didChangeConfiguration", json!({"settings": bad}));
    let log = client.wait("a complaint", |m| m["method"] == "window/logMessage");
    let says = log["params"]["message"].as_str().expect("a message");
    assert!(
        says.starts_with("The setting `pages` is 7, but takes"),
        "{says}"
    );
    // It is as at the start.
    assert_eq!(page(&mut client, 1), format!("{ELSEWHERE}/syntax.md"));
    client.end();
}
