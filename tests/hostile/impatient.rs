//! A client whose pipes do not wait: what is read and written is set so for the server's ends, too. That is no end of input, and
//! where there is no room for an answer it is waited for.
#![cfg(unix)]

use std::io::Write;
use std::os::fd::OwnedFd;
use std::os::unix::net::UnixStream;
use std::process::Stdio;
use std::time::Duration;

use serde_json::json;

use super::is_well;
use crate::wire::client::{Client, server};

#[test]
fn pipes_that_do_not_wait() {
    let (mut to, input) = UnixStream::pair().unwrap();
    let (output, from) = UnixStream::pair().unwrap();
    for end in [&input, &output] {
        end.set_nonblocking(true).unwrap();
    }
    let mut command = server();
    command
        .stdin(Stdio::from(OwnedFd::from(input)))
        .stdout(Stdio::from(OwnedFd::from(output)));
    let mut client = Client::over(command, to.try_clone().unwrap(), from);
    // It has nothing to read for a while, and half a head for a while.
    std::thread::sleep(Duration::from_millis(300));
    to.write_all(b"Content-").unwrap();
    std::thread::sleep(Duration::from_millis(100));
    let body = json!({"jsonrpc": "2.0", "id": "first", "method": "initialize", "params": {"capabilities": {}}});
    let body = body.to_string();
    client.raw(format!("Length: {}\r\n\r\n{body}", body.len()));
    client.wait("an answer", |message| message["id"] == "first");
    client.notify("initialized", json!({}));
    // Many times what a socket takes.
    let uri = "file:///nowhere/long.harness";
    let text: String = (0..4_000).map(|k| format!("zone a{k}\n@@\n")).collect();
    client.open(uri, 1, &text);
    let asked: Vec<i64> = (0..20)
        .map(|_| {
            let document = json!({"textDocument": {"uri": uri}});
            client.ask("textDocument/documentSymbol", document)
        })
        .collect();
    std::thread::sleep(Duration::from_millis(300));
    for id in asked {
        assert!(client.answer(id)["result"].as_array().unwrap().len() >= 4_000);
    }
    is_well(client);
}
