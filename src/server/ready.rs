//! Answers that come written out. The protocol library makes a tree of each answer before it writes it, which for an
//! outline of a long file is ten times as large as what is written. What passes the library in place of an answer that
//! is ready is a mark and a number; the answer itself is put by meanwhile, and taken up again where it leaves.

use std::collections::HashMap;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{LazyLock, Mutex};

use serde::{Serialize, Serializer};
use serde_json::Value;
use tower_lsp::jsonrpc::Response;

use super::session::lock;

/// Ahead of the number. No answer is one text by itself.
const MARK: &str = "\0ready ";

/// Room for what stands ahead of an answer.
const ROOM: usize = 96;

/// An answer, written out: room for what stands ahead of it, what is answered, and the end of the message.
#[derive(Debug)]
pub struct Ready(Mutex<String>);

/// What was put by. The library writes an answer in the same breath in which it gets it, and hands on all that it has
/// written: nothing stays here.
static PUT_BY: LazyLock<Mutex<HashMap<u64, String>>> = LazyLock::new(Mutex::default);

impl Serialize for Ready {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        static NEXT: AtomicU64 = AtomicU64::new(0);
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        let text = std::mem::take(&mut *lock(&self.0));
        lock(&PUT_BY).insert(number, text);
        to.collect_str(&format_args!("{MARK}{number}"))
    }
}

impl Ready {
    /// What `write` writes, as JSON.
    pub fn by(write: impl FnOnce(&mut String)) -> Ready {
        let mut text = " ".repeat(ROOM);
        write(&mut text);
        text.push('}');
        Ready(Mutex::new(text))
    }

    /// What is to be answered; nothing, where that cannot be written.
    pub fn of(answer: &impl Serialize) -> Ready {
        Ready::by(|text| text.push_str(&serde_json::to_string(answer).unwrap_or("null".to_owned())))
    }
}

/// The protocol's methods whose answers come ready, and what they are called on the way through the library, which has
/// its own idea of what they answer.
pub const METHODS: [(&str, &str); 3] = [
    ("textDocument/diagnostic", "glimloom/diagnostic"),
    ("textDocument/documentSymbol", "glimloom/outline"),
    ("textDocument/semanticTokens/full", "glimloom/tokens"),
];

/// What a method is called on the way.
pub fn on_the_way(method: String) -> String {
    let own = METHODS.iter().find(|(name, _)| *name == method);
    own.map_or(method, |(_, own)| (*own).to_owned())
}

/// The body of a response.
pub fn body_of(response: Response) -> Option<Vec<u8>> {
    let number = response
        .result()
        .and_then(Value::as_str)
        .and_then(|text| text.strip_prefix(MARK)?.parse().ok());
    let Some(number) = number else {
        return serde_json::to_vec(&response).ok();
    };
    let mut body = lock(&PUT_BY).remove(&number)?;
    let id = serde_json::to_string(response.id()).ok()?;
    let head = format!("{{\"jsonrpc\":\"2.0\",\"id\":{id},\"result\":");
    // In the room that was left for it, which it fills: the answer may be long.
    body.replace_range(..ROOM, &format!("{head:<ROOM$}"));
    Some(body.into_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn answered(result: Value) -> Value {
        let body = body_of(Response::from_ok(7.into(), result));
        serde_json::from_slice(&body.unwrap()).unwrap()
    }

    #[test]
    fn what_is_ready_leaves_as_what_it_is() {
        let ready = Ready::of(&json!([{"name": "a \" b"}, null]));
        let result = serde_json::to_value(ready).unwrap();
        assert_eq!(
            answered(result),
            json!({"jsonrpc": "2.0", "id": 7, "result": [{"name": "a \" b"}, null]})
        );
    }

    #[test]
    fn an_answer_to_a_long_id_is_whole() {
        let result = serde_json::to_value(Ready::of(&json!([1]))).unwrap();
        let id = tower_lsp::jsonrpc::Id::String("x".repeat(2 * ROOM));
        let body = body_of(Response::from_ok(id.clone(), result)).unwrap();
        let body: Value = serde_json::from_slice(&body).unwrap();
        assert_eq!(body, json!({"jsonrpc": "2.0", "id": id, "result": [1]}));
    }

    #[test]
    fn what_is_not_ready_leaves_as_ever() {
        for result in [json!(null), json!("ready "), json!({"a": 1})] {
            assert_eq!(answered(result.clone())["result"], result);
        }
    }
}
