//! Very many of everything.

use std::collections::HashMap;

use serde_json::{Value, json};

use super::memory::MB;
use super::{PLAN, everything, is_well, memory, requests_of, session};
use crate::wire::client::Client;

#[test]
fn a_storm_of_cancels() {
    let mut client = session();
    let mut asked = Vec::new();
    for round in 0..300 {
        for (method, params) in requests_of(PLAN) {
            asked.push(client.ask(method, params));
        }
        for id in asked.iter().rev().take(3 + round % 5) {
            client.notify("$/cancelRequest", json!({"id": id}));
        }
        // Some that were never asked, or are of no type.
        for id in [json!(1e9), json!("x"), json!(null), json!([1]), json!(-3)] {
            client.notify("$/cancelRequest", json!({"id": id}));
        }
        client.notify("$/cancelRequest", json!(null));
    }
    let mut answers: HashMap<i64, usize> = HashMap::new();
    let last = client.ask("glimloom/no-such-method", json!(null));
    client.answer(last);
    for id in &asked {
        let answer = client.answer(*id);
        let code = &answer["error"]["code"];
        // LSP 3.17, "Error codes": RequestCancelled.
        assert!(code.is_null() || *code == -32800, "{answer}");
        *answers.entry(*id).or_default() += 1;
    }
    let twice = client.unread();
    let twice: Vec<&Value> = twice.iter().filter(|m| m["method"].is_null()).collect();
    assert!(twice.is_empty(), "{twice:?}");
    assert_eq!(answers.len(), asked.len());
    is_well(client);
}

#[test]
fn ten_thousand_open_documents() {
    let mut client = Client::new(everything());
    let uri = |n: usize| format!("file:///nowhere/{n}.harness");
    const MANY: usize = 10_000;
    for n in 0..MANY {
        client.open(
            &uri(n),
            1,
            if n % 1000 == 0 {
                "zone a\n@@\n"
            } else {
                "zone a\n"
            },
        );
    }
    for n in (0..MANY).step_by(1000) {
        assert_eq!(client.findings(&uri(n), 1).len(), 1, "in {n}");
    }
    let last = uri(MANY - 1);
    client.change(&last, 2, json!([{"text": "@@\n"}]));
    assert_eq!(client.findings(&last, 2).len(), 1);
    if let Some((_, most)) = memory::held(&client) {
        assert!(most < 512 * MB, "{most} kB");
    }
    for n in 0..MANY {
        client.close(&uri(n));
    }
    client.findings(&last, Value::Null);
    is_well(client);
}

#[test]
fn ten_thousand_edits_in_one_message() {
    let mut client = session();
    let edits: Vec<Value> = (0..10_000)
        .map(|k| {
            let at = json!({"line": 0, "character": k % 4});
            json!({"range": {"start": at, "end": at}, "text": if k % 50 == 0 { "\n" } else { "x" }})
        })
        .collect();
    client.change(PLAN, 2, json!(edits));
    client.change(PLAN, 3, json!([{"text": "@@\n"}]));
    assert_eq!(client.findings(PLAN, 3).len(), 1);
    is_well(client);
}
