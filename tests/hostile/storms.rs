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

/// A request that an edit overtakes is about a moment that is past; what is known of the present stays.
#[test]
fn requests_that_edits_overtake() {
    let circuit = |k: usize| {
        let lamp =
            |n| format!("lamp l{k}-{n} of d resistor 1 kohm 1/4 W from j{k} over 60 mm of w\n");
        format!(
            "supply s{k} 12 V 1 A\nfuse f{k} 200 mA from s{k}\njoint j{k} from f{k} over 100 mm of w\n{}",
            (0..6).map(lamp).collect::<String>()
        )
    };
    let text = format!(
        "wire w gauge 24 AWG colours red, black\nled d drops 2 V at 10 mA limit 20 mA\n{}",
        (0..60).map(circuit).collect::<String>()
    );
    let line = 290;
    let at = json!({"line": line, "character": 6});
    let place = json!({"textDocument": {"uri": PLAN}, "position": at});
    let near = json!({
        "start": {"line": line - 9, "character": 0}, "end": {"line": line + 9, "character": 0},
    });
    let shown = json!({"textDocument": {"uri": PLAN}, "range": near});
    let mut client = Client::new(everything());
    client.open(PLAN, 0, &text);
    client.findings(PLAN, 0);
    let hints = client.result("textDocument/inlayHint", shown.clone());
    assert!(hints[0].is_object(), "{hints}");
    let end = text.lines().nth(line).unwrap().len();
    let end = json!({"line": line, "character": end});
    for round in 0..40 {
        let mut asked = Vec::new();
        for pair in 1..=3 {
            let method = [
                "textDocument/documentHighlight",
                "textDocument/documentSymbol",
            ][pair % 2];
            asked.push(client.ask(method, place.clone()));
            let blank = json!([{"range": {"start": end, "end": end}, "text": " "}]);
            client.change(PLAN, 3 * round + pair as i64, blank);
        }
        client.findings(PLAN, 3 * round + 3);
        for id in asked {
            client.answer(id);
        }
        let now = client.result("textDocument/inlayHint", shown.clone());
        assert_eq!(now, hints, "round {round}");
    }
    client.end();
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
