//! Headers and bodies out of all measure.

use serde_json::{Value, json};

use super::memory::MB;
use super::{is_well, memory, session};
use crate::wire::client::Client;

/// The refusals that came so far.
fn refusals(client: &mut Client) -> Vec<Value> {
    let all = client.unread();
    all.into_iter()
        .filter(|message| message.get("id") == Some(&Value::Null))
        .collect()
}

#[test]
fn a_body_of_a_hundred_megabytes() {
    let mut client = session();
    client.raw("Content-Length: 104857600\r\n\r\n");
    let mut piece = vec![b' '; 1 << 20];
    piece[7] = b'"';
    for _ in 0..100 {
        client.raw(&piece);
    }
    let refused = refusals(&mut client);
    assert_eq!(refused.len(), 1, "{refused:?}");
    // LSP 3.17, "Error codes": ParseError.
    assert_eq!(refused[0]["error"]["code"], -32700);
    if let Some((now, most)) = memory::held(&client) {
        assert!(
            now < 100 * MB && most < 256 * MB,
            "{now} kB, at most {most} kB"
        );
    }
    is_well(client);
}

#[test]
fn a_body_nearly_as_large_as_may_be() {
    let mut client = session();
    let params = json!({"textDocument": {"uri": "x:y"}, "more": "z".repeat(60 << 20)});
    client.request("textDocument/hover", params);
    if let Some((now, _)) = memory::held(&client) {
        assert!(now < 256 * MB, "{now} kB are still held");
    }
    is_well(client);
}

#[test]
fn a_header_of_a_megabyte() {
    let mut client = session();
    client.raw(format!("X-{}: 1\r\n", "a".repeat(1 << 20)));
    client.raw("Content-Length: 2\r\n\r\n[]");
    let refused = refusals(&mut client);
    assert!(!refused.is_empty());
    is_well(client);
}

#[test]
fn ten_thousand_header_lines() {
    let mut client = session();
    client.raw("Content-Type: x\r\n".repeat(10_000));
    client.raw("\r\n");
    assert!(refusals(&mut client).len() <= 1);
    is_well(client);
}

#[test]
fn lengths_that_are_none() {
    for length in [
        "99999999999999999999999999",
        "18446744073709551615",
        "9223372036854775807",
        "-1",
        "1.5",
        "0x10",
        "",
        " ",
        "１２",
        "1 2",
        "NaN",
    ] {
        let mut client = session();
        client.raw(format!("Content-Length: {length}\r\n\r\n"));
        assert_eq!(refusals(&mut client).len(), 1, "length {length:?}");
        is_well(client);
    }
}

#[test]
fn json_as_deep_as_a_well() {
    let mut client = session();
    client.body(&("[".repeat(200_000) + &"]".repeat(200_000)));
    client.body(&format!(
        "{{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"textDocument/hover\",\"params\":{}{}}}",
        "{\"a\":".repeat(100_000),
        "}".repeat(100_000),
    ));
    client.body(&format!(
        "{{\"jsonrpc\":\"2.0\",\"id\":2,\"method\":\"textDocument/hover\",\"params\":{}1{}}}",
        "{\"a\":".repeat(100_000),
        "}".repeat(100_000),
    ));
    client.unread();
    is_well(client);
}

#[test]
fn bytes_that_are_no_letters() {
    let mut client = session();
    client.raw(b"Content-Length: 8\r\n\r\n\xff\xfe\x00\x01\x80\xc0\xed\xa0");
    client.raw(
        b"Content-Length: 40\r\n\r\n{\"jsonrpc\":\"2.0\",\"method\":\"\xff\xff\",\"id\":1}    ",
    );
    assert!(!refusals(&mut client).is_empty());
    is_well(client);
}
