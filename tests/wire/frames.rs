//! What is no proper message is answered or passed over, and the session goes on.

use serde_json::{Value, json};

use super::client::{Client, lines};

/// After `disturb`, the server answers an error of `code` with no id, and still works.
fn goes_on(disturb: &str, code: i64) {
    let mut client = Client::new(json!({}));
    client.raw(disturb);
    client.open("file:///a.harness", 1, "zone a\n@@\n");
    assert_eq!(
        lines(&client.findings("file:///a.harness", 1)),
        [1],
        "after {disturb:?}"
    );
    let error = client.wait(&format!("an error after {disturb:?}"), |m| {
        m["error"]["code"] == code
    });
    assert_eq!(error.get("id"), Some(&Value::Null));
    client.end();
}

fn framed(body: &str) -> String {
    format!("Content-Length: {}\r\n\r\n{body}", body.len())
}

#[test]
fn malformed_frames() {
    for bad in [
        "hello\r\n\r\n",
        "Content-Length: many\r\n\r\n{}",
        "Content-Length: 99999999999999\r\n\r\n{}",
        "Content-Length: 10\r\n{\"a\": 1}",
    ] {
        goes_on(bad, -32700);
    }
}

#[test]
fn a_header_without_end() {
    goes_on(&format!("Content-Length: {}", "1".repeat(100_000)), -32700);
}

#[test]
fn bodies_that_are_no_json() {
    for body in ["", "{", "{\"jsonrpc\":\"2.0\",", "\u{1F4A1}"] {
        goes_on(&framed(body), -32700);
    }
}

#[test]
fn wrong_lengths() {
    goes_on("Content-Length: 9\r\n\r\n{\"jsonrpc\": \"2.0\"}", -32700);
    goes_on("Content-Length: 40\r\n\r\n{\"jsonrpc\": \"2.0\"}", -32700);
}

#[test]
fn json_that_is_no_message() {
    for body in [
        "{}",
        "[]",
        "[{}]",
        "null",
        "7",
        r#"{"jsonrpc":"2.0","id":[1],"method":"shutdown"}"#,
    ] {
        goes_on(&framed(body), -32600);
    }
}

#[test]
fn a_bad_request_is_answered_by_its_id() {
    let mut client = Client::new(json!({}));
    client.body(r#"{"id": "x", "method": "shutdown"}"#);
    let answer = client.wait("an error", |m| m["id"] == "x");
    assert_eq!(answer["error"]["code"], -32600);
    client.end();
}

#[test]
fn a_body_that_comes_byte_by_byte() {
    let mut client = Client::new(json!({}));
    let request =
        framed(r#"{"jsonrpc":"2.0","id":"slow","method":"shutdown","params":null,"extra":{}}"#);
    for byte in request.bytes() {
        client.raw([byte]);
    }
    let answer = client.wait("an answer", |m| m["id"] == "slow");
    assert_eq!(answer.get("result"), Some(&Value::Null));
}

#[test]
fn answers_that_nobody_asked_for() {
    let mut client = Client::new(json!({}));
    for body in [
        r#"{"jsonrpc":"2.0","id":99,"result":null}"#,
        r#"{"jsonrpc":"2.0","id":99,"error":"odd"}"#,
        r#"{"jsonrpc":"2.0","id":null,"error":{"code":-32700,"message":"?"}}"#,
        r#"{"jsonrpc":"2.0","method":"$/setTrace","params":{"value":"loud"}}"#,
        r#"{"jsonrpc":"2.0","method":"$/cancelRequest","params":{"id":12345}}"#,
        r#"{"jsonrpc":"2.0","method":"$/cancelRequest","params":null}"#,
    ] {
        client.body(body);
    }
    client.end();
}

#[test]
fn unknown_requests_and_params_of_another_shape() {
    let mut client = Client::new(json!({}));
    assert_eq!(client.error("textDocument/frobnicate", json!({})), -32601);
    assert_eq!(
        client.error("textDocument/hover", json!({"textDocument": 7})),
        -32602
    );
    assert_eq!(client.error("textDocument/hover", json!(null)), -32602);
    client.end();
}
