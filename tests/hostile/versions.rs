//! Versions that jump, repeat and go back; documents that are opened twice, edited while closed, and closed while not open.

use serde_json::{Value, json};

use super::{PLAN, is_well, session};

#[test]
fn versions_that_jump_and_repeat_and_go_back() {
    let mut client = session();
    let versions = [9, 9, 3, -4, 2147483647, -2147483648, 0, 10];
    for (line, version) in versions.into_iter().enumerate() {
        let text = "\n".repeat(line) + "@@\n";
        client.change(PLAN, version, json!([{"text": text}]));
        let found = client.findings(PLAN, version);
        assert_eq!(found.len(), 1, "at version {version}: {found:?}");
        assert_eq!(found[0]["range"]["start"]["line"], line);
    }
    is_well(client);
}

#[test]
fn versions_of_no_type_leave_the_session_alive() {
    let mut client = session();
    for version in [
        json!(1.5),
        json!("2"),
        json!(null),
        json!([]),
        json!(1e300),
        json!(4294967296i64),
    ] {
        client.notify(
            "textDocument/didChange",
            json!({"textDocument": {"uri": PLAN, "version": version}, "contentChanges": [{"text": "zone a\n"}]}),
        );
        client.notify(
            "textDocument/didOpen",
            json!({"textDocument": {"uri": "file:///nowhere/odd.harness", "languageId": 3, "version": version, "text": "@@"}}),
        );
    }
    client.change(PLAN, 77, json!([{"text": "@@\n"}]));
    assert_eq!(client.findings(PLAN, 77).len(), 1);
    is_well(client);
}

#[test]
fn what_is_not_open() {
    let mut client = session();
    let other = "file:///nowhere/other.harness";
    client.change(other, 2, json!([{"text": "@@\n"}]));
    client.close(other);
    client.notify(
        "textDocument/didSave",
        json!({"textDocument": {"uri": other}}),
    );
    client.notify(
        "textDocument/didSave",
        json!({"textDocument": {"uri": other}, "text": "@@"}),
    );
    client.notify(
        "textDocument/willSave",
        json!({"textDocument": {"uri": other}, "reason": 1}),
    );
    client.close(PLAN);
    client.close(PLAN);
    client.change(PLAN, 5, json!([{"text": "@@\n"}]));
    for (method, params) in super::requests_of(PLAN) {
        let answer = client.request(method, params);
        assert!(answer["error"].is_null(), "{method}: {answer}");
        let is_empty =
            answer["result"].is_null() || answer["result"].as_array().is_some_and(Vec::is_empty);
        assert!(is_empty, "{method}: {answer}");
    }
    is_well(client);
}

#[test]
fn opened_twice() {
    let mut client = session();
    client.open(PLAN, 1, "@@\n@@\n");
    client.open(PLAN, 40, "@@\n");
    assert_eq!(client.findings(PLAN, 40).len(), 1);
    client.close(PLAN);
    assert_eq!(client.findings(PLAN, Value::Null), [] as [Value; 0]);
    is_well(client);
}
