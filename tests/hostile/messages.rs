//! Every message, changed at random: members gone, doubled, of other types, out of range. Each request that can be known as
//! one is answered once, and the session goes on.
//!
//! `GLIMLOOM_MESSAGES=1000000` sends more; `GLIMLOOM_SERVER` names another program, as in a long sitting.

use std::collections::HashMap;

use serde_json::{Map, Value, json};

use super::every_message::{all, change, is_told};
use super::{PLAN, TEXT, everything, is_well};
use crate::dice::Dice;
use crate::wire::client::{Client, server};

/// So many without being asked for more.
const MESSAGES: usize = 4_000;
/// So many are sent before their answers are waited for.
const AT_ONCE: usize = 64;

#[test]
fn every_message_changed() {
    let many: usize = match std::env::var("GLIMLOOM_MESSAGES") {
        Ok(many) => many.parse().expect("GLIMLOOM_MESSAGES is a number"),
        Err(_) => MESSAGES,
    };
    let messages = all();
    let mut dice = Dice::seeded(7);
    let mut client = Client::from(server());
    client.shake_hands(json!({"capabilities": everything()}));
    client.open(PLAN, 1, TEXT);
    let mut waiting: HashMap<i64, String> = HashMap::new();
    for nth in 0..many {
        let (method, params) = &messages[dice.below(messages.len())];
        let is_told = is_told(method);
        let mut params = params.clone();
        for _ in 0..=dice.below(3) {
            change(&mut params, &mut |limit| dice.below(limit));
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
