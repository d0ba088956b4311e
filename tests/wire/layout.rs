//! The layout of a document, of some of its lines, and of the line after a line end.

use serde_json::{Value, json};

use super::client::{Client, range};

const A: &str = "file:///a.harness";

/// A client that counts columns in UTF-16.
fn client() -> Client {
    Client::new(json!({"general": {"positionEncodings": ["utf-16"]}}))
}

fn ask(client: &mut Client, method: &str, mut params: Value) -> Value {
    params["textDocument"] = json!({"uri": A});
    params["options"] = json!({"tabSize": 8, "insertSpaces": false});
    client.result(method, params)
}

/// Makes the edits in the document itself, from the last to the first, and asks again: nothing is left to do.
fn settle(client: &mut Client, version: i64, edits: &Value) {
    let edits = edits.as_array().expect("edits").iter().rev();
    let changes = edits.map(|e| json!({"range": e["range"], "text": e["newText"]}));
    client.change(A, version, changes.collect());
    assert_eq!(ask(client, "textDocument/formatting", json!({})), json!([]));
}

fn edit(from: (u64, u64), to: (u64, u64), text: &str) -> Value {
    json!({"range": range(from, to), "newText": text})
}

#[test]
fn a_document_and_some_of_its_lines() {
    let mut client = client();
    // The ideograph takes two columns of a terminal; the clef two units of UTF-16.
    let text = "zone 月    # 𝄞 a  \r\nzone bb # x\n\tnote  \"a  b\"";
    client.open(A, 1, text);
    let first = [edit((0, 6), (0, 10), "  "), edit((0, 16), (0, 18), "")];
    let second = [edit((1, 7), (1, 8), "  ")];
    let third = [edit((2, 0), (2, 1), "  "), edit((2, 5), (2, 7), " ")];
    let some = |client: &mut Client, from, to| {
        let place = json!({"range": range(from, to)});
        ask(client, "textDocument/rangeFormatting", place)
    };
    assert_eq!(some(&mut client, (0, 3), (1, 0)), json!(first));
    assert_eq!(some(&mut client, (1, 2), (1, 2)), json!(second));
    assert_eq!(some(&mut client, (2, 9), (7, 0)), json!(third));
    let all = ask(&mut client, "textDocument/formatting", json!({}));
    assert_eq!(all, json!([&first[..], &second, &third].concat()));
    settle(&mut client, 2, &all);
    client.end();
}

#[test]
fn a_line_end_that_was_typed() {
    let mut client = client();
    client.open(A, 1, "wire hook\r\n\r\nzone a\r\n");
    let typed = |client: &mut Client, line: u64| {
        let place = json!({"position": {"line": line, "character": 0}, "ch": "\n"});
        ask(client, "textDocument/onTypeFormatting", place)
    };
    assert_eq!(typed(&mut client, 1), json!([edit((1, 0), (1, 0), "  ")]));
    assert_eq!(typed(&mut client, 3), json!([]));
    client.end();
}

#[test]
fn a_document_that_is_not_known_has_no_layout() {
    let mut client = client();
    let nothing = ask(&mut client, "textDocument/formatting", json!({}));
    assert_eq!(nothing, Value::Null);
    client.end();
}

#[test]
fn it_is_offered() {
    let mut client = Client::silent();
    let offered =
        client.shake_hands(json!({"processId": null, "rootUri": null, "capabilities": {}}));
    let offered = &offered["capabilities"];
    assert_eq!(offered["documentFormattingProvider"], true);
    assert_eq!(offered["documentRangeFormattingProvider"], true);
    let on_type = &offered["documentOnTypeFormattingProvider"];
    assert_eq!(on_type["firstTriggerCharacter"], "\n");
    client.end();
}
