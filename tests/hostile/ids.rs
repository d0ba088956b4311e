//! Ids of every type, and the same one twice.

use serde_json::{Value, json};

use super::{PLAN, is_well, session};

/// JSON-RPC 2.0, section 4: an id is a string, a number or null.
#[test]
fn ids_of_every_type() {
    let mut client = session();
    let good = [
        "0",
        "-1",
        "7",
        "9007199254740993",
        "9223372036854775807",
        "\"a\"",
        "\"\"",
        "\"\\u0000\\ud834\\udd1e\"",
    ];
    for id in good {
        let body = format!(
            "{{\"jsonrpc\":\"2.0\",\"id\":{id},\"method\":\"textDocument/foldingRange\",\"params\":{{\"textDocument\":{{\"uri\":\"{PLAN}\"}}}}}}"
        );
        client.body(&body);
        let id: Value = serde_json::from_str(id).unwrap();
        let answer = client.wait(&format!("an answer to {id}"), |m| {
            m["id"] == id && m["method"].is_null()
        });
        assert!(answer["error"].is_null(), "{answer}");
    }
    let odd = [
        "1.5",
        "18446744073709551615",
        "1e400",
        "-9223372036854775809",
        "true",
        "[1]",
        "{\"a\":1}",
        "null",
    ];
    for id in odd {
        client.body(&format!(
            "{{\"jsonrpc\":\"2.0\",\"id\":{id},\"method\":\"textDocument/foldingRange\",\"params\":{{\"textDocument\":{{\"uri\":\"{PLAN}\"}}}}}}"
        ));
        let answers = client.unread();
        let answers: Vec<&Value> = answers.iter().filter(|m| m["method"].is_null()).collect();
        assert!(answers.len() <= 1, "id {id}: {answers:?}");
        // Refused without an id, or answered by the one that was given.
        for answer in answers {
            let given: Option<Value> = serde_json::from_str(id).ok();
            let refused = answer["id"].is_null() && answer["error"]["code"].is_i64();
            assert!(
                refused || Some(&answer["id"]) == given.as_ref(),
                "id {id}: {answer}"
            );
        }
    }
    is_well(client);
}

#[test]
fn an_id_that_is_at_work_already() {
    let mut client = session();
    let ask = |uri: &str| {
        json!({"jsonrpc": "2.0", "id": "twice", "method": "textDocument/documentSymbol", "params": {"textDocument": {"uri": uri}}}).to_string()
    };
    for _ in 0..50 {
        client.body(&ask(PLAN));
    }
    client.notify("$/cancelRequest", json!({"id": "twice"}));
    let answers = client.unread();
    let answers = answers.iter().filter(|m| m["id"] == "twice").count();
    let mut more = 0;
    while answers + more < 50 {
        client.wait("another answer", |m| m["id"] == "twice");
        more += 1;
    }
    is_well(client);
}
