//! Any body of a message: what is handed on can be read by the protocol library, and keeps its id; what is answered is an answer;
//! what is read straight from its bytes says what it says when it is looked at closely.
#![no_main]

#[path = "../pieces.rs"]
mod pieces;

use glimloom::server::message::{Verdict, judge, judge_closely};
use libfuzzer_sys::fuzz_target;
use tower_lsp::jsonrpc::{Request, Response};

const PIECES: [&str; 48] = [
    "{\"jsonrpc\":\"2.0\",",
    "\"jsonrpc\":\"2.0\"",
    "\"id\":",
    "\"id\":1",
    "\"method\":",
    "\"method\":\"initialize\"",
    "\"method\":\"shutdown\"",
    "\"method\":\"exit\"",
    "\"method\":\"textDocument/hover\"",
    "\"method\":\"textDocument/diagnostic\"",
    "\"method\":\"textDocument/didOpen\"",
    "\"method\":\"textDocument/didChange\"",
    "\"params\":",
    "\"params\":{",
    "\"textDocument\":{\"uri\":\"file:///a\",\"version\":1}",
    "\"textDocument\":{\"uri\":\"file:///a\",\"version\":1,\"languageId\":\"\",\"text\":\"\\ud83d\"}",
    "\"contentChanges\":[",
    "{\"text\":\"a\"}",
    "\"range\":{\"start\":{\"line\":0,\"character\":0},\"end\":{\"line\":0,\"character\":0}}",
    "\"result\":",
    "\"error\":",
    "{\"code\":-32603,\"message\":\"\"}",
    "\"capabilities\":{",
    "\"workspace\":{",
    "\"diagnostics\":{",
    "\"textDocument\":{",
    "\"completion\":{",
    "\"codeAction\":",
    "\"processId\":",
    "\"rootUri\":",
    "\"workspaceFolders\":[",
    "\"initializationOptions\":",
    "\"general\":{\"positionEncodings\":[\"utf-8\"]}",
    "null",
    "true",
    "-1",
    "1e400",
    "18446744073709551616",
    "\"\"",
    "\"\\ud800\"",
    "[",
    "]",
    "}",
    "{",
    ",",
    ":",
    "}}}}",
    "\u{feff}",
];

fuzz_target!(|bytes: &[u8]| {
    let body = pieces::pieced(bytes, &PIECES);
    match judge(body.as_bytes()) {
        Verdict::Pass(message) => {
            let (id, method) = (message.get("id").cloned(), message.get("method").cloned());
            if method.is_some() {
                let request: Result<Request, _> = serde_json::from_value(message.clone());
                let request = request.unwrap_or_else(|why| panic!("{why}: {message}"));
                let told = serde_json::to_value(request.id()).ok();
                assert_eq!(told.filter(|id| !id.is_null()), id, "{message}");
            } else {
                let response: Result<Response, _> = serde_json::from_value(message.clone());
                assert!(response.is_ok() && id.is_some(), "{message}");
            }
        }
        Verdict::Answer(answer) | Verdict::NotJson(answer) => {
            assert!(answer["error"]["code"].is_i64() && answer.get("id").is_some());
        }
        text @ Verdict::Text(_) => assert_eq!(text, judge_closely(body.as_bytes())),
        Verdict::Asked(_) => {
            let closely = judge_closely(body.as_bytes());
            assert!(matches!(closely, Verdict::Pass(_)), "{body}");
        }
        Verdict::Exit => {}
    }
});
