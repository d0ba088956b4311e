//! A client that means no good, or is merely broken: the session goes on, every request has its one answer, and the memory
//! stays within bounds. The real process, over its pipes.
#![allow(clippy::unwrap_used, clippy::expect_used)] // A test that cannot go on says so by failing.

mod addresses;
mod bodies;
mod deaf;
mod files;
mod half_written;
mod ids;
mod initialize;
mod memory;
mod messages;
mod places;
mod soak;
mod storms;
mod versions;

use serde_json::{Value, json};

use crate::wire::client::Client;

/// A file that is nowhere.
const PLAN: &str = "file:///nowhere/plan.harness";

/// A plan with one fault, in its last line.
const TEXT: &str = "led pearl drops 3 V at 20 mA\nsupply adapter 12 V 1 A\nfuse F1 200 mA from adapter\nlamp bow of pearl resistor 560 ohm from F1 # 𝄞\r\nlamp stern of perl resistor 560 ohm from F1\n";

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

/// Every request about a place, with what it takes besides the document.
fn requests_at(place: &Value, range: &Value) -> Vec<(&'static str, Value)> {
    let at = |more: Value| {
        let mut params = json!({"textDocument": {"uri": PLAN}, "position": place});
        for (key, value) in more.as_object().into_iter().flatten() {
            params[key] = value.clone();
        }
        params
    };
    let over = |more: Value| {
        let mut params = json!({"textDocument": {"uri": PLAN}, "range": range});
        for (key, value) in more.as_object().into_iter().flatten() {
            params[key] = value.clone();
        }
        params
    };
    let options = json!({"tabSize": 2, "insertSpaces": true});
    vec![
        ("textDocument/hover", at(json!({}))),
        ("textDocument/completion", at(json!({}))),
        ("textDocument/signatureHelp", at(json!({}))),
        ("textDocument/definition", at(json!({}))),
        ("textDocument/declaration", at(json!({}))),
        ("textDocument/typeDefinition", at(json!({}))),
        (
            "textDocument/references",
            at(json!({"context": {"includeDeclaration": true}})),
        ),
        ("textDocument/documentHighlight", at(json!({}))),
        ("textDocument/prepareRename", at(json!({}))),
        ("textDocument/rename", at(json!({"newName": "other"}))),
        ("textDocument/linkedEditingRange", at(json!({}))),
        ("textDocument/prepareCallHierarchy", at(json!({}))),
        (
            "textDocument/onTypeFormatting",
            at(json!({"ch": "\n", "options": options})),
        ),
        (
            "textDocument/selectionRange",
            json!({"textDocument": {"uri": PLAN}, "positions": [place]}),
        ),
        (
            "textDocument/codeAction",
            over(json!({"context": {"diagnostics": []}})),
        ),
        ("textDocument/inlayHint", over(json!({}))),
        ("textDocument/semanticTokens/range", over(json!({}))),
        (
            "textDocument/rangeFormatting",
            over(json!({"options": options})),
        ),
        (
            "textDocument/colorPresentation",
            over(json!({"color": {"red": 1, "green": 0.5, "blue": 0, "alpha": 1}})),
        ),
    ]
}

/// Every request about a whole document.
fn requests_of(uri: &str) -> Vec<(&'static str, Value)> {
    let document = json!({"textDocument": {"uri": uri}});
    let mut formatting = document.clone();
    formatting["options"] = json!({"tabSize": 2, "insertSpaces": true});
    vec![
        ("textDocument/documentSymbol", document.clone()),
        ("textDocument/semanticTokens/full", document.clone()),
        ("textDocument/foldingRange", document.clone()),
        ("textDocument/documentLink", document.clone()),
        ("textDocument/documentColor", document.clone()),
        ("textDocument/codeLens", document),
        ("textDocument/formatting", formatting),
    ]
}
