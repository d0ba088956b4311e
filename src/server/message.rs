//! Judging a body: what may pass to the protocol library, which gives up at the first message that it cannot
//! read, and what is mended or answered here.

use serde::{Deserialize, Deserializer};
use serde_json::value::RawValue;
use serde_json::{Map, Value, json};
use tower_lsp::lsp_types::InitializeParams;

use super::halves::made_whole;
use super::pull::Asked;
use super::ready::on_the_way;
use super::texts::{About, Text};

/// What becomes of a body.
#[derive(Debug, PartialEq)]
pub enum Verdict {
    /// Hand this on.
    Pass(Value),
    /// A text was opened or edited.
    Text(Text),
    /// The findings of a file are asked for. Who cannot answer at once looks at the body [closely](judge_closely).
    Asked(Asked),
    /// Answer this; hand nothing on.
    Answer(Value),
    /// Not JSON at all: answer, and look for the next header inside it.
    NotJson(Value),
    /// The client asks to end.
    Exit,
}

/// A message of those that come with every key: an edit, or a question for findings.
#[derive(Deserialize)]
struct Often<'a> {
    jsonrpc: &'a str,
    method: &'a str,
    #[serde(borrow, default, deserialize_with = "whatever_it_is")]
    id: Option<&'a RawValue>,
    params: About,
}

/// A member that is there, be it null.
fn whatever_it_is<'a, D: Deserializer<'a>>(from: D) -> Result<Option<&'a RawValue>, D::Error> {
    Deserialize::deserialize(from).map(Some)
}

/// Reads what comes with every key straight from its bytes; `None` where it is something else, or in so odd a dress that
/// it has to be looked at more closely.
fn read_often(body: &[u8]) -> Option<Verdict> {
    let often: Often = serde_json::from_slice(body).ok()?;
    if often.jsonrpc != "2.0" {
        return None;
    }
    match often.id {
        None => Text::by(often.method, often.params).map(Verdict::Text),
        Some(id) => Asked::by(often.method, id.get(), often.params).map(Verdict::Asked),
    }
}

/// Judges one body.
pub fn judge(body: &[u8]) -> Verdict {
    read_often(body).unwrap_or_else(|| judge_closely(body))
}

/// Judges one body, whatever it is.
pub fn judge_closely(body: &[u8]) -> Verdict {
    match serde_json::from_slice(body) {
        Ok(Value::Object(message)) => judge_object(message),
        Ok(_) => Verdict::Answer(invalid(Value::Null)),
        Err(_) => match made_whole(body) {
            Some(whole) => judge(&whole),
            None => Verdict::NotJson(parse_error()),
        },
    }
}

fn judge_object(mut message: Map<String, Value>) -> Verdict {
    let id = match message.remove("id") {
        id @ (None | Some(Value::String(_))) => id,
        Some(Value::Number(number)) if number.is_i64() => Some(Value::Number(number)),
        Some(_) => return Verdict::Answer(invalid(Value::Null)),
    };
    let is_current = message
        .get("jsonrpc")
        .is_some_and(|version| version == "2.0");
    match (message.remove("method"), id) {
        (Some(Value::String(method)), _) if method == "exit" => Verdict::Exit,
        (Some(Value::String(method)), id) if is_current => call(
            method,
            id,
            message.remove("params").filter(|params| !params.is_null()),
        ),
        (None, Some(id)) if is_current => answer(id, message),
        (_, id) => Verdict::Answer(invalid(id.unwrap_or(Value::Null))),
    }
}

/// A request or a notification.
fn call(method: String, id: Option<Value>, mut params: Option<Value>) -> Verdict {
    match method.as_str() {
        "shutdown" => params = None,
        "initialized" => params = Some(json!({})),
        // LSP 3.17, "$ Notifications and Requests": such a request is answered even by who does not know it. The library passes it over.
        _ if method.starts_with("$/") => {
            if let Some(id) = id {
                return Verdict::Answer(error(id, -32601, "Method not found"));
            }
        }
        "initialize" => {
            mend_initialize(params.get_or_insert_default());
        }
        _ => {}
    }
    if id.is_none()
        && let Some(text) = Text::of(&method, params.as_ref().unwrap_or(&Value::Null))
    {
        return Verdict::Text(text);
    }
    let method = on_the_way(method);
    let mut clean = json!({"jsonrpc": "2.0", "method": method});
    if let Some(id) = id {
        clean["id"] = id;
    }
    if let Some(params) = params {
        clean["params"] = params;
    }
    Verdict::Pass(clean)
}

/// A client's answer to a request of ours.
fn answer(id: Value, mut message: Map<String, Value>) -> Verdict {
    let clean = match (message.remove("result"), message.remove("error")) {
        (Some(result), None | Some(Value::Null)) => {
            json!({"jsonrpc": "2.0", "id": id, "result": result})
        }
        (_, Some(error)) => {
            let code = error["code"].as_i64().unwrap_or(-32603);
            let text = error["message"].as_str().unwrap_or_default();
            json!({"jsonrpc": "2.0", "id": id, "error": {"code": code, "message": text}})
        }
        (None, None) => return Verdict::Answer(invalid(id)),
    };
    Verdict::Pass(clean)
}

/// Takes out of the client's first message what cannot be read, and keeps the rest: an unknown word in one
/// capability must not leave a builder without a server.
fn mend_initialize(params: &mut Value) {
    if !params.is_object() {
        *params = json!({});
    }
    if !params["capabilities"].is_object() {
        params["capabilities"] = json!({});
    }
    // The library knows this one by a name that no client uses.
    if let Some(Value::Object(workspace)) = params.pointer_mut("/capabilities/workspace")
        && let Some(findings) = workspace.remove("diagnostics")
    {
        workspace.insert("diagnostic".to_owned(), findings);
    }
    let mut tries = 2000;
    let mut reads = |value: &Value| {
        tries -= 1;
        tries > 0 && InitializeParams::deserialize(value).is_ok()
    };
    if !mend(params, &mut reads) {
        *params = json!({"capabilities": {}, "processId": params["processId"].as_u64().filter(|id| *id <= u64::from(u32::MAX))});
    }
}

/// Removes from `value` the least that makes it readable; false if nothing helps.
fn mend(value: &mut Value, reads: &mut dyn FnMut(&Value) -> bool) -> bool {
    if reads(value) {
        return true;
    }
    match value {
        Value::Object(members) => {
            mend_single_culprit(members, reads) || mend_each_member(members, reads)
        }
        Value::Array(items) => {
            items.retain_mut(|item| {
                mend(item, &mut |item| reads(&Value::Array(vec![item.clone()])))
            });
            reads(value)
        }
        _ => false,
    }
}

fn mend_single_culprit(
    members: &mut Map<String, Value>,
    reads: &mut dyn FnMut(&Value) -> bool,
) -> bool {
    for name in members.keys().cloned().collect::<Vec<_>>() {
        let mut rest = members.clone();
        let Some(mut culprit) = rest.remove(&name) else {
            continue;
        };
        if reads(&Value::Object(rest.clone())) {
            if mend(&mut culprit, &mut |value| reads(&with(&rest, &name, value))) {
                rest.insert(name, culprit);
            }
            *members = rest;
            return true;
        }
    }
    false
}

/// Several members are at fault: start from none that can be missed, and take in one after the other.
fn mend_each_member(
    members: &mut Map<String, Value>,
    reads: &mut dyn FnMut(&Value) -> bool,
) -> bool {
    let mut kept = Map::new();
    if members.contains_key("capabilities") {
        kept.insert("capabilities".into(), json!({}));
    }
    for (name, mut value) in std::mem::take(members) {
        if mend(&mut value, &mut |value| reads(&with(&kept, &name, value))) {
            kept.insert(name, value);
        }
    }
    *members = kept;
    reads(&Value::Object(members.clone()))
}

fn with(members: &Map<String, Value>, name: &str, value: &Value) -> Value {
    let mut members = members.clone();
    members.insert(name.to_owned(), value.clone());
    Value::Object(members)
}

/// The answer to bytes that are no JSON.
pub fn parse_error() -> Value {
    error(Value::Null, -32700, "Not a message: the body is not JSON.")
}

fn invalid(id: Value) -> Value {
    error(
        id,
        -32600,
        "Not a request: a JSON-RPC 2.0 message was wanted.",
    )
}

fn error(id: Value, code: i64, message: &str) -> Value {
    json!({"jsonrpc": "2.0", "id": id, "error": {"code": code, "message": message}})
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pass(body: Value) -> Value {
        match judge(body.to_string().as_bytes()) {
            Verdict::Pass(value) => value,
            other => panic!("{body} gives {other:?}"),
        }
    }

    fn code(body: &str) -> (i64, Value) {
        match judge(body.as_bytes()) {
            Verdict::Answer(value) | Verdict::NotJson(value) => (
                value["error"]["code"].as_i64().unwrap(),
                value["id"].clone(),
            ),
            other => panic!("{body} gives {other:?}"),
        }
    }

    fn edit() -> Value {
        json!({"jsonrpc": "2.0", "method": "textDocument/didChange", "params": {
            "textDocument": {"uri": "file:///a.harness", "version": 2}, "contentChanges": [{"text": "zone a"}]}})
    }

    fn findings() -> Value {
        json!({"jsonrpc": "2.0", "id": 7, "method": "textDocument/diagnostic", "params": {
            "textDocument": {"uri": "file:///a.harness"}, "identifier": "harness", "previousResultId": "1"}})
    }

    #[test]
    fn what_comes_with_every_key_is_read_straight_from_its_bytes() {
        let often = |message: Value| read_often(message.to_string().as_bytes());
        assert!(matches!(often(edit()), Some(Verdict::Text(_))));
        for id in [json!(7), json!(-7), json!("seven")] {
            let mut message = findings();
            message["id"] = id;
            assert!(matches!(often(message), Some(Verdict::Asked(_))));
        }
    }

    #[test]
    fn what_is_in_an_odd_dress_is_looked_at_closely() {
        let with = |mut message: Value, name: &str, value: Value| {
            message[name] = value;
            message
        };
        for message in [
            with(edit(), "id", json!(1)),
            with(edit(), "id", Value::Null),
            with(edit(), "jsonrpc", json!("1.0")),
            with(edit(), "method", json!("textDocument/hover")),
            with(edit(), "params", json!([])),
            with(findings(), "id", Value::Null),
            with(findings(), "id", json!(1.5)),
            with(findings(), "id", json!("a\nb")),
            with(findings(), "jsonrpc", json!("1.0")),
            with(findings(), "method", json!("textDocument/hover")),
            with(findings(), "params", json!([])),
            json!([edit()]),
            json!({"jsonrpc": "2.0", "method": "textDocument/diagnostic", "params": findings()["params"]}),
        ] {
            let body = message.to_string();
            assert_eq!(read_often(body.as_bytes()), None, "{message}");
            assert_eq!(judge(body.as_bytes()), judge_closely(body.as_bytes()));
        }
    }

    /// JSON-RPC 2.0 §5.1: -32700 and -32600, with a null id where the request's cannot be told.
    #[test]
    fn what_is_no_message_is_answered() {
        for body in ["", "{", "{\"a\":}", "\u{feff}{}x"] {
            assert_eq!(code(body), (-32700, Value::Null), "{body}");
        }
        for body in [
            "{}",
            "[]",
            "[{}]",
            "1",
            "null",
            "\"x\"",
            r#"{"jsonrpc":"2.0","method":1}"#,
            r#"{"jsonrpc":"2.0","id":null,"method":"x"}"#,
            r#"{"jsonrpc":"2.0","id":1.5,"method":"x"}"#,
        ] {
            assert_eq!(code(body), (-32600, Value::Null), "{body}");
        }
        for body in [
            r#"{"id":7,"method":"x"}"#,
            r#"{"jsonrpc":"1.0","id":7,"method":"x"}"#,
            r#"{"jsonrpc":"2.0","id":7}"#,
            r#"{"jsonrpc":"2.0","id":7,"method":[]}"#,
        ] {
            assert_eq!(code(body), (-32600, json!(7)), "{body}");
        }
    }

    #[test]
    fn what_begins_with_a_dollar_sign_is_answered_where_it_is_asked() {
        let asked = r#"{"jsonrpc":"2.0","id":"a","method":"$/nothing"}"#;
        assert_eq!(code(asked), (-32601, json!("a")));
        let told = json!({"jsonrpc": "2.0", "method": "$/nothing"});
        assert_eq!(pass(told.clone()), told);
    }

    #[test]
    fn null_params_and_foreign_members_are_taken_out() {
        let shutdown =
            json!({"jsonrpc": "2.0", "id": 1, "method": "shutdown", "params": null, "x": 1});
        assert_eq!(
            pass(shutdown),
            json!({"jsonrpc": "2.0", "id": 1, "method": "shutdown"})
        );
        let initialized = json!({"jsonrpc": "2.0", "method": "initialized", "params": null});
        assert_eq!(pass(initialized)["params"], json!({}));
    }

    #[test]
    fn answers_are_cleaned() {
        let answer = json!({"jsonrpc": "2.0", "id": 1, "result": null, "error": null});
        assert_eq!(
            pass(answer),
            json!({"jsonrpc": "2.0", "id": 1, "result": null})
        );
        let answer = json!({"jsonrpc": "2.0", "id": 1, "error": "no"});
        assert_eq!(pass(answer)["error"]["code"], -32603);
    }

    #[test]
    fn an_exit_is_an_exit_in_any_dress() {
        for body in [
            r#"{"method":"exit"}"#,
            r#"{"jsonrpc":"2.0","method":"exit","params":null}"#,
        ] {
            assert_eq!(judge(body.as_bytes()), Verdict::Exit);
        }
    }

    fn initialize(params: Value) -> Value {
        let params =
            pass(json!({"jsonrpc": "2.0", "id": 1, "method": "initialize", "params": params}));
        assert!(
            InitializeParams::deserialize(&params["params"]).is_ok(),
            "{params}"
        );
        params["params"].clone()
    }

    #[test]
    fn initialize_keeps_all_that_can_be_read() {
        let params = initialize(json!({
            "processId": 12, "trace": "compact", "rootUri": "", "locale": "en", "future": [1],
            "capabilities": {
                "general": {"positionEncodings": ["utf-8", "utf-64", "utf-16"]},
                "textDocument": {
                    "hover": {"dynamicRegistration": true, "contentFormat": ["markdown", "scroll", "plaintext"]},
                    "codeAction": {"isPreferredSupport": "yes", "dataSupport": true},
                    "future": {"x": 1},
                },
                "workspace": {"workspaceEdit": {"documentChanges": true, "resourceOperations": ["shred", "create"]}},
            },
        }));
        let text = &params["capabilities"]["textDocument"];
        assert_eq!(params["processId"], 12);
        assert_eq!(params["locale"], "en");
        assert_eq!(params["trace"], Value::Null);
        assert_eq!(params["rootUri"], Value::Null);
        assert_eq!(
            text["hover"]["contentFormat"],
            json!(["markdown", "plaintext"])
        );
        assert_eq!(text["hover"]["dynamicRegistration"], true);
        assert_eq!(text["codeAction"], json!({"dataSupport": true}));
        let edit = &params["capabilities"]["workspace"]["workspaceEdit"];
        assert_eq!(
            edit,
            &json!({"documentChanges": true, "resourceOperations": ["create"]})
        );
    }

    #[test]
    fn initialize_is_readable_whatever_comes() {
        for params in [
            json!([]),
            json!("x"),
            json!({"capabilities": 3}),
            json!({"processId": "me"}),
            json!({"processId": -1, "rootUri": 5, "capabilities": []}),
            json!({"processId": 99999999999u64, "workspaceFolders": [1, {"uri": "file:///a", "name": "a"}]}),
        ] {
            initialize(params);
        }
        let nest = (0..100).fold(
            json!({"trace": 1}),
            |inner, _| json!({"textDocument": inner, "hover": 1}),
        );
        initialize(json!({"capabilities": nest}));
        let wide: Map<String, Value> = (0..5000).map(|n| (format!("m{n}"), json!(n))).collect();
        initialize(json!({"trace": 1, "rootUri": 1, "capabilities": wide}));
    }
}
