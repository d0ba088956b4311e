//! What an editor shows beside and between the words, and the settings that say how much of it.

use serde_json::{Value, json};

use super::client::{Client, edit, range};

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

#[test]
fn tokens_whole_in_part_and_as_a_difference() {
    let mut client = Client::silent();
    let offered =
        client.shake_hands(json!({"processId": null, "rootUri": null, "capabilities": {}}));
    let provider = &offered["capabilities"]["semanticTokensProvider"];
    assert_eq!(provider["full"], json!({"delta": true}));
    assert_eq!(provider["range"], true);
    let types = provider["legend"]["tokenTypes"].as_array().expect("types");
    let number_of = |name: &str| types.iter().position(|t| t == name).expect("a type") as u64;
    client.open(A, 1, "zone deck\nlamp é of pearl\n");
    let document = json!({"uri": A});
    let full = client.result(
        "textDocument/semanticTokens/full",
        json!({"textDocument": document}),
    );
    let (word, place) = (number_of("keyword"), number_of("namespace"));
    let (item, stock, of) = (
        number_of("variable"),
        number_of("class"),
        number_of("property"),
    );
    let first = json!([0, 0, 4, word, 0, 0, 5, 4, place, 1]);
    let second = json!([
        1, 0, 4, word, 0, 0, 5, 1, item, 1, 0, 2, 2, of, 0, 0, 3, 5, stock, 0
    ]);
    let both = [
        first.as_array().expect("a list").clone(),
        second.as_array().expect("a list").clone(),
    ];
    assert_eq!(full["data"], json!(both.concat()));
    let part = client.result(
        "textDocument/semanticTokens/range",
        json!({"textDocument": document, "range": range((1, 3), (1, 4))}),
    );
    assert_eq!(part["data"], second);
    client.change(A, 2, json!([edit((0, 9), (0, 9), " sealed")]));
    let params = |id: &Value| json!({"textDocument": document, "previousResultId": id});
    let method = "textDocument/semanticTokens/full/delta";
    let delta = client.result(method, params(&full["resultId"]));
    let come = json!([{"start": 10, "deleteCount": 0, "data": [0, 5, 6, of, 0]}]);
    assert_eq!(delta["edits"], come);
    let same = client.result(method, params(&delta["resultId"]));
    assert_eq!(same["edits"], json!([]));
    // An answer that is not the last one is no ground to stand on.
    let anew = client.result(method, params(&full["resultId"]));
    assert_eq!(anew["data"].as_array().expect("all").len(), 35);
    client.end();
}
