//! From the first word to the end of the process.

use std::process::{Command, Stdio};

use serde_json::json;

use super::client::{Client, lines, server};

#[test]
fn initialize_tells_name_version_and_what_is_offered() {
    let mut client = Client::silent();
    let result =
        client.shake_hands(json!({"processId": null, "rootUri": null, "capabilities": {}}));
    assert_eq!(result["serverInfo"]["name"], "glimloom");
    assert_eq!(result["serverInfo"]["version"], env!("CARGO_PKG_VERSION"));
    assert_eq!(result["capabilities"]["textDocumentSync"]["change"], 2);
    client.end();
}

#[test]
fn what_cannot_be_read_in_initialize_is_passed_over() {
    let mut client = Client::silent();
    let result = client.shake_hands(json!({
        "processId": null, "rootUri": "", "trace": "compact", "future": {"a": 1},
        "capabilities": {
            "general": {"positionEncodings": ["utf-8"]},
            "textDocument": {"hover": {"contentFormat": ["scroll", "markdown"]}},
        },
    }));
    assert_eq!(result["capabilities"]["positionEncoding"], "utf-8");
    client.end();
}

#[test]
fn an_initialize_that_says_nothing() {
    let mut client = Client::silent();
    client.shake_hands(json!({}));
    client.end();
}

#[test]
fn requests_before_initialize_and_after_shutdown() {
    let mut client = Client::silent();
    client.open("file:///early.harness", 1, "@@\n");
    let place = json!({"textDocument": {"uri": "file:///a.harness"}, "position": {"line": 0, "character": 0}});
    // LSP 3.17, "Error codes": ServerNotInitialized.
    assert_eq!(client.error("textDocument/hover", place.clone()), -32002);
    assert_eq!(client.error("shutdown", json!(null)), -32002);
    client.shake_hands(json!({"capabilities": {}}));
    assert_eq!(
        client.error("initialize", json!({"capabilities": {}})),
        -32600
    );
    client.result("shutdown", json!(null));
    // LSP 3.17, "Shutdown Request": requests after it error with InvalidRequest.
    assert_eq!(client.error("textDocument/hover", place), -32600);
    client.notify("exit", json!(null));
    assert_eq!(client.status().code(), Some(0));
}

/// LSP 3.17, "Exit Notification": 0 after a shutdown, else 1. The input stays open here.
#[test]
fn exit_codes() {
    let mut client = Client::new(json!({}));
    client.result("shutdown", json!({}));
    client.body(r#"{"jsonrpc":"2.0","method":"exit"}"#);
    assert_eq!(client.status().code(), Some(0));

    let mut client = Client::new(json!({}));
    client.notify("exit", json!(null));
    assert_eq!(client.status().code(), Some(1));

    let mut client = Client::silent();
    client.notify("exit", json!(null));
    assert_eq!(client.status().code(), Some(1));
}

#[test]
fn shutdown_and_exit_in_one_breath() {
    let mut client = Client::new(json!({}));
    let id = client.ask("shutdown", json!(null));
    client.notify("exit", json!(null));
    assert_eq!(client.answer(id).get("result"), Some(&json!(null)));
    assert_eq!(client.status().code(), Some(0));
}

#[test]
fn the_end_of_input_is_the_end() {
    let mut client = Client::new(json!({}));
    client.open("file:///a.harness", 1, "@@\n");
    client.hang_up();
    assert_eq!(client.status().code(), Some(1));

    let mut client = Client::new(json!({}));
    client.result("shutdown", json!(null));
    client.hang_up();
    assert_eq!(client.status().code(), Some(0));
}

#[test]
fn the_end_of_the_process_that_the_client_named() {
    if !std::path::Path::new("/proc/self/stat").exists() {
        return; // Only there can a process be watched.
    }
    let mut editor = Command::new("sleep").arg("600").spawn().unwrap();
    let mut client = Client::silent();
    client.shake_hands(json!({"processId": editor.id(), "capabilities": {}}));
    client.open("file:///a.harness", 1, "@@\n");
    assert_eq!(lines(&client.findings("file:///a.harness", 1)), [0]);
    editor.kill().unwrap();
    editor.wait().unwrap();
    assert_eq!(client.status().code(), Some(1));
}

/// A shell stands for an editor that starts the server and crashes, while somebody else holds the input open.
#[cfg(unix)]
#[test]
fn the_end_of_the_parent() {
    let mut command = Command::new("sh");
    let server = server();
    command
        .arg("-c")
        .arg("exec 3<&0; \"$0\" serve <&3 & wait")
        .arg(server.get_program());
    let mut client = Client::from(command);
    client.shake_hands(json!({"capabilities": {}}));
    client.kill();
    client.output_ends();
}

/// A client that dies takes both pipes with it.
#[test]
fn a_client_that_dies() {
    let mut process = server()
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    drop(process.stdout.take());
    drop(process.stdin.take());
    assert_eq!(process.wait().unwrap().code(), Some(1));
}

#[test]
fn every_request_is_answered_once_cancelled_or_not() {
    let mut client = Client::new(json!({}));
    client.open("file:///a.harness", 1, "zone a\n");
    let place = json!({"textDocument": {"uri": "file:///a.harness"}, "position": {"line": 0, "character": 6}});
    let mut asked = Vec::new();
    for round in 0..200 {
        let id = client.ask("textDocument/hover", place.clone());
        if round % 2 == 0 {
            client.notify("$/cancelRequest", json!({"id": id}));
        }
        asked.push(id);
    }
    for id in &asked {
        let answer = client.answer(*id);
        // LSP 3.17, "Error codes": RequestCancelled.
        let code = &answer["error"]["code"];
        assert!(
            code.is_null() || (id % 2 == 0) == (asked[0] % 2 == 0) && *code == -32800,
            "{answer}"
        );
    }
    let extra: Vec<_> = client
        .unread()
        .into_iter()
        .filter(|m| m["method"].is_null())
        .collect();
    assert!(extra.is_empty(), "answered twice: {extra:?}");
    client.end();
}
