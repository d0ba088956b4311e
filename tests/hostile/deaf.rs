//! A client that asks and does not listen: the memory stays within bounds, and once it listens it is told everything.

use std::io::{Read, Write};
use std::process::Stdio;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, mpsc};
use std::time::Duration;

use serde_json::{Value, json};

use super::memory::MB;
use super::{PLAN, memory};
use crate::wire::client::{patience, server};

fn framed(message: &Value) -> Vec<u8> {
    let body = message.to_string();
    format!("Content-Length: {}\r\n\r\n{body}", body.len()).into_bytes()
}

#[test]
fn a_client_that_does_not_listen() {
    const ASKED: usize = 3_000;
    let mut server = server()
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let (mut input, mut output) = (server.stdin.take().unwrap(), server.stdout.take().unwrap());
    let sent = Arc::new(AtomicUsize::new(0));
    let count = sent.clone();
    let writer = std::thread::spawn(move || {
        let ask = |id: usize, method: &str, params: Value| {
            framed(&json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params}))
        };
        let tell = |method: &str, params: Value| {
            framed(&json!({"jsonrpc": "2.0", "method": method, "params": params}))
        };
        input
            .write_all(&ask(0, "initialize", json!({"capabilities": {}})))
            .unwrap();
        input.write_all(&tell("initialized", json!({}))).unwrap();
        let text: String = (0..400).map(|k| format!("zone place-{k}\n")).collect();
        let document = json!({"uri": PLAN, "languageId": "harness", "version": 1, "text": text});
        input
            .write_all(&tell(
                "textDocument/didOpen",
                json!({"textDocument": document}),
            ))
            .unwrap();
        for id in 1..=ASKED {
            let params = json!({"textDocument": {"uri": PLAN}});
            if input
                .write_all(&ask(id, "textDocument/documentSymbol", params))
                .is_err()
            {
                return input;
            }
            count.store(id, Ordering::Release);
        }
        input
    });
    // Nothing is read until the server takes no more, or has taken all.
    let mut before = usize::MAX;
    loop {
        std::thread::sleep(Duration::from_millis(1500));
        let now = sent.load(Ordering::Acquire);
        if now == before || now == ASKED {
            break;
        }
        before = now;
    }
    let held = memory::of(server.id());
    if let Some((now, most)) = held {
        assert!(
            most < 512 * MB,
            "{now} kB, at most {most} kB, for {} requests",
            sent.load(Ordering::Acquire)
        );
    }
    // Now it listens.
    let (tell, told) = mpsc::channel();
    std::thread::spawn(move || {
        let mut bytes = Vec::new();
        let mut piece = vec![0; 1 << 16];
        while let Ok(count @ 1..) = output.read(&mut piece) {
            bytes.extend_from_slice(&piece[..count]);
            while let Some((id, length)) = first_message(&bytes) {
                bytes.drain(..length);
                if id.is_some_and(|id| tell.send(id).is_err()) {
                    return;
                }
            }
        }
    });
    let mut answered = vec![0usize; ASKED + 1];
    while answered.contains(&0) {
        let id = patience().find_map(|step| told.recv_timeout(step).ok());
        let id = id.expect("another answer");
        answered[id] += 1;
    }
    assert!(answered.iter().all(|times| *times == 1));
    drop(writer.join().unwrap());
    let _ = server.kill();
    let _ = server.wait();
}

/// The id of the first whole message, if it has one, and its length.
fn first_message(bytes: &[u8]) -> Option<(Option<usize>, usize)> {
    let end = bytes.windows(4).position(|w| w == b"\r\n\r\n")? + 4;
    let head = std::str::from_utf8(&bytes[..end]).unwrap();
    let length: usize = head
        .trim()
        .strip_prefix("Content-Length: ")?
        .parse()
        .unwrap();
    let body = bytes.get(end..end + length)?;
    let message: Value = serde_json::from_slice(body).unwrap();
    let id = message["id"]
        .as_u64()
        .filter(|_| message["method"].is_null());
    Some((id.map(|id| id as usize), end + length))
}
