//! Answers that come written out. The protocol library makes a tree of each answer before it writes it, which for an
//! outline of a long file is ten times as large as what is written. An answer that is ready passes the library as one
//! text with a mark ahead, and is taken as it is where it leaves.

use serde::Serialize;
use serde_json::Value;
use tower_lsp::jsonrpc::Response;

/// Ahead of what is written out. No answer is one text by itself.
const MARK: &str = "\0ready ";

/// An answer, written out: the mark, what is answered, and the end of the message.
#[derive(Debug, Serialize)]
pub struct Ready(String);

impl Ready {
    /// What `write` writes, as JSON.
    pub fn by(write: impl FnOnce(&mut String)) -> Ready {
        let mut text = MARK.to_owned();
        write(&mut text);
        text.push('}');
        Ready(text)
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
    let is_ready = |result: &Value| result.as_str().is_some_and(|text| text.starts_with(MARK));
    if !response.result().is_some_and(is_ready) {
        return serde_json::to_vec(&response).ok();
    }
    let (id, result) = response.into_parts();
    let Ok(Value::String(mut body)) = result else {
        return None;
    };
    let id = serde_json::to_string(&id).ok()?;
    let head = format!("{{\"jsonrpc\":\"2.0\",\"id\":{id},\"result\":");
    // In its place: it may be long.
    body.replace_range(..MARK.len(), &head);
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
    fn what_is_not_ready_leaves_as_ever() {
        for result in [json!(null), json!("ready "), json!({"a": 1})] {
            assert_eq!(answered(result.clone())["result"], result);
        }
    }
}
