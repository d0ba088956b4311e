//! A client that means no good, or is merely broken: the session goes on, every request has its one answer, and the memory
//! stays within bounds. The real process, over its pipes.
#![allow(clippy::unwrap_used, clippy::expect_used)] // A test that cannot go on says so by failing.

mod addresses;
mod bodies;
mod coming_and_going;
mod deaf;
mod every_message;
mod extremes;
mod files;
mod half_written;
mod ids;
mod impatient;
mod initialize;
pub mod memory;
mod messages;
mod places;
mod soak;
mod storms;
mod strict;
mod versions;

use serde_json::{Value, json};

use self::every_message::{PLAN, TEXT, requests_at, requests_of};
use crate::wire::client::Client;

/// A session with that plan open.
fn session() -> Client {
    let mut client = Client::new(everything());
    client.open(PLAN, 1, TEXT);
    client.findings(PLAN, 1);
    client
}

/// A client that can do much, but is told of findings.
fn everything() -> Value {
    json!({
        "textDocument": {
            "completion": {"completionItem": {"snippetSupport": true}},
            "codeAction": {"codeActionLiteralSupport": {"codeActionKind": {"valueSet": []}}},
            "documentSymbol": {"hierarchicalDocumentSymbolSupport": true},
        },
        "workspace": {"workspaceEdit": {"documentChanges": true}},
    })
}

/// Shows that the session is as well as ever, and ends it.
fn is_well(mut client: Client) {
    let uri = "file:///nowhere/well.harness";
    client.open(uri, 7, "\n@@\n");
    let found = client.findings(uri, 7);
    assert_eq!(found[0]["range"]["start"]["line"], 1, "{found:?}");
    client.end();
}
