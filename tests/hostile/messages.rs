//! Every message, changed at random: members gone, doubled, of other types, out of range. Each request that can be known as
//! one is answered once, and the session goes on.
//!
//! `GLIMLOOM_MESSAGES=1000000` sends more; `GLIMLOOM_SERVER` names another program, as in a long sitting.

use std::collections::HashMap;

use serde_json::{Map, Value, json};

use super::soak::program;
use super::{PLAN, TEXT, everything, is_well, requests_at, requests_of};
use crate::dice::Dice;
use crate::wire::client::Client;

/// So many without being asked for more.
const MESSAGES: usize = 4_000;
/// So many are sent before their answers are waited for.
const AT_ONCE: usize = 64;

/// Notifications, and requests that are about no place.
fn others() -> Vec<(&'static str, Value)> {
    let document = json!({"uri": PLAN});
    vec![
        (
            "textDocument/didOpen",
            json!({"textDocument": {"uri": PLAN, "languageId": "harness", "version": 1, "text": TEXT}}),
        ),
        (
            "textDocument/didChange",
            json!({"textDocument": {"uri": PLAN, "version": 2}, "contentChanges": [
                {"range": {"start": {"line": 1, "character": 3}, "end": {"line": 2, "character": 0}}, "rangeLength": 4, "text": "zone x\n"},
                {"text": TEXT},
            ]}),
        ),
        (
            "textDocument/didSave",
            json!({"textDocument": document, "text": TEXT}),
        ),
        (
            "textDocument/willSave",
            json!({"textDocument": document, "reason": 1}),
        ),
        ("textDocument/didClose", json!({"textDocument": document})),
        (
            "textDocument/diagnostic",
            json!({"textDocument": document, "identifier": "x", "previousResultId": "1"}),
        ),
        (
            "textDocument/semanticTokens/full/delta",
            json!({"textDocument": document, "previousResultId": "1"}),
        ),
        (
            "workspace/diagnostic",
            json!({"previousResultIds": [{"uri": PLAN, "value": "1"}], "partialResultToken": 7}),
        ),
        (
            "workspace/symbol",
            json!({"query": "a", "workDoneToken": "t"}),
        ),
        (
            "workspace/executeCommand",
            json!({"command": "glimloom.show", "arguments": [{"uri": PLAN, "name": "bow"}]}),
        ),
        (
            "workspace/willRenameFiles",
            json!({"files": [{"oldUri": PLAN, "newUri": "file:///nowhere/other.harness"}]}),
        ),
        (
            "workspace/didChangeConfiguration",
            json!({"settings": {"glimloom": {"hints": {"cut": false}}}}),
        ),
        (
            "workspace/didChangeWatchedFiles",
            json!({"changes": [{"uri": PLAN, "type": 2}]}),
        ),
        (
            "workspace/didChangeWorkspaceFolders",
            json!({"event": {"added": [{"uri": "file:///nowhere", "name": "n"}], "removed": []}}),
        ),
        (
            "codeAction/resolve",
            json!({"title": "x", "kind": "quickfix", "data": {"uri": PLAN, "version": 1}}),
        ),
        (
            "completionItem/resolve",
            json!({"label": "lamp", "data": {"uri": PLAN, "offset": 3}}),
        ),
        (
            "codeLens/resolve",
            json!({"range": {"start": {"line": 0, "character": 0}, "end": {"line": 0, "character": 3}}, "data": {"uri": PLAN}}),
        ),
        (
            "inlayHint/resolve",
            json!({"position": {"line": 0, "character": 0}, "label": "x", "data": {"uri": PLAN}}),
        ),
        (
            "callHierarchy/incomingCalls",
            json!({"item": {"name": "bow", "kind": 13, "uri": PLAN, "range": {"start": {"line": 3, "character": 0}, "end": {"line": 3, "character": 3}}, "selectionRange": {"start": {"line": 3, "character": 0}, "end": {"line": 3, "character": 3}}}}),
        ),
        ("window/workDoneProgress/cancel", json!({"token": 3})),
        ("$/setTrace", json!({"value": "verbose"})),
        ("$/progress", json!({"token": 1, "value": {}})),
    ]
}

/// What is put in the place of something.
pub fn odd(dice: &mut Dice) -> Value {
    let values = [
        json!(null),
        json!(true),
        json!(-1),
        json!(0),
        json!(4_294_967_296u64),
        json!(9_007_199_254_740_993u64),
        json!(-1e308),
        json!(0.5),
        json!(""),
        json!("\u{0}𝄞\u{202e}"),
        json!("x".repeat(3000)),
        json!([]),
        json!({}),
        json!([[[[{}]]]]),
        json!({"uri": PLAN}),
        json!("file:///nowhere/../../../etc/passwd"),
    ];
    dice.one_of(&values).clone()
}

/// Changes one thing somewhere in a value.
pub fn change(value: &mut Value, dice: &mut Dice) {
    let into = dice.below(3) > 0;
    match value {
        Value::Object(members) if into && !members.is_empty() => {
            let keys: Vec<String> = members.keys().cloned().collect();
            let key = dice.one_of(&keys).clone();
            match dice.below(5) {
                0 => _ = members.remove(&key),
                1 => _ = members.insert(format!("{key}{key}"), odd(dice)),
                2 => _ = members.insert(key, odd(dice)),
                _ => change(members.get_mut(&key).unwrap(), dice),
            }
        }
        Value::Array(items) if into && !items.is_empty() => {
            let at = dice.below(items.len());
            match dice.below(5) {
                0 => _ = items.remove(at),
                1 => items.insert(at, odd(dice)),
                2 => items.extend(vec![items[at].clone(); 20]),
                _ => change(&mut items[at], dice),
            }
        }
        Value::Number(number) if into => {
            let by = [-1i64, 1, 1000, i64::from(i32::MAX)][dice.below(4)];
            *value = json!(number.as_i64().unwrap_or(0).wrapping_add(by));
        }
        other => *other = odd(dice),
    }
}

#[test]
fn every_message_changed() {
    let many: usize = match std::env::var("GLIMLOOM_MESSAGES") {
        Ok(many) => many.parse().expect("GLIMLOOM_MESSAGES is a number"),
        Err(_) => MESSAGES,
    };
    let place = json!({"line": 3, "character": 6});
    let range = json!({"start": place, "end": {"line": 4, "character": 2}});
    let mut messages = requests_at(&place, &range);
    messages.extend(requests_of(PLAN));
    messages.extend(others());
    let mut dice = Dice(7);
    let mut client = Client::from(program());
    client.shake_hands(json!({"capabilities": everything()}));
    client.open(PLAN, 1, TEXT);
    let mut waiting: HashMap<i64, String> = HashMap::new();
    for nth in 0..many {
        let (method, params) = &messages[dice.below(messages.len())];
        let is_told = method.starts_with("textDocument/did")
            || method.starts_with("workspace/did")
            || method.starts_with("window/")
            || method.starts_with("$/")
            || *method == "textDocument/willSave";
        let mut params = params.clone();
        for _ in 0..=dice.below(3) {
            change(&mut params, &mut dice);
        }
        let id = 1_000_000 + nth as i64;
        let mut message = Map::new();
        message.insert("jsonrpc".into(), "2.0".into());
        message.insert("method".into(), (*method).into());
        message.insert("params".into(), params);
        if !is_told {
            message.insert("id".into(), id.into());
        }
        let body = Value::Object(message).to_string();
        if !is_told {
            waiting.insert(id, body.clone());
        }
        client.body(&body);
        if nth % AT_ONCE == AT_ONCE - 1 {
            for (id, body) in waiting.drain() {
                let answer = client.answer(id);
                // LSP 3.17, "Error codes": InternalError is a fault of ours.
                assert_ne!(answer["error"]["code"], -32603, "{body}\n{answer}");
            }
            let extra = client.unread();
            let extra: Vec<&Value> = extra
                .iter()
                .filter(|m| m["method"].is_null() && m["id"].is_i64())
                .collect();
            assert!(extra.is_empty(), "answered twice: {extra:?}");
            // It goes on from a known state.
            client.close(PLAN);
            client.open(PLAN, 1, TEXT);
        }
    }
    is_well(client);
}
