//! Every message of the protocol that the server knows, as it should be; and what may be changed in it. The fuzzer sends
//! them too (`tests/fuzz/targets/messages.rs`): so this names nothing but JSON.

use serde_json::{Value, json};

/// A file that is nowhere.
pub const PLAN: &str = "file:///nowhere/plan.harness";

/// A plan with one fault, in its last line.
pub const TEXT: &str = "led pearl drops 3 V at 20 mA\nsupply adapter 12 V 1 A\nfuse F1 200 mA from adapter\nlamp bow of pearl resistor 560 ohm from F1 # 𝄞\r\nlamp stern of perl resistor 560 ohm from F1\n";

/// Every request about a place, with what it takes besides the document.
pub fn requests_at(place: &Value, range: &Value) -> Vec<(&'static str, Value)> {
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
pub fn requests_of(uri: &str) -> Vec<(&'static str, Value)> {
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

/// All of them.
pub fn all() -> Vec<(&'static str, Value)> {
    let place = json!({"line": 3, "character": 6});
    let range = json!({"start": place, "end": {"line": 4, "character": 2}});
    let mut messages = requests_at(&place, &range);
    messages.extend(requests_of(PLAN));
    messages.extend(others());
    messages
}

/// Notifications, and requests that are about no place.
pub fn others() -> Vec<(&'static str, Value)> {
    let document = json!({"uri": PLAN});
    vec![
        (
            "textDocument/didOpen",
            json!({"textDocument": {"uri": PLAN, "languageId": "harness", "version": 1, "text": TEXT}}),
        ),
        (
            "textDocument/didChange",
            json!({"textDocument": {"uri": PLAN, "version": 2}, "contentChanges": [
                {"range": {"start": {"line": 1, "character": 3}, "end": {"line": 2, "character": 0}}, "rangeLength": 4, "text": "zone x\n"},
                {"text": TEXT},
            ]}),
        ),
        (
            "textDocument/didSave",
            json!({"textDocument": document, "text": TEXT}),
        ),
        (
            "textDocument/willSave",
            json!({"textDocument": document, "reason": 1}),
        ),
        ("textDocument/didClose", json!({"textDocument": document})),
        (
            "textDocument/diagnostic",
            json!({"textDocument": document, "identifier": "x", "previousResultId": "1"}),
        ),
        (
            "textDocument/semanticTokens/full/delta",
            json!({"textDocument": document, "previousResultId": "1"}),
        ),
        (
            "workspace/diagnostic",
            json!({"previousResultIds": [{"uri": PLAN, "value": "1"}], "partialResultToken": 7}),
        ),
        (
            "workspace/symbol",
            json!({"query": "a", "workDoneToken": "t"}),
        ),
        (
            "workspace/executeCommand",
            json!({"command": "glimloom.show", "arguments": [{"uri": PLAN, "name": "bow"}]}),
        ),
        (
            "workspace/willRenameFiles",
            json!({"files": [{"oldUri": PLAN, "newUri": "file:///nowhere/other.harness"}]}),
        ),
        (
            "workspace/didChangeConfiguration",
            json!({"settings": {"glimloom": {"hints": {"cut": false}}}}),
        ),
        (
            "workspace/didChangeWatchedFiles",
            json!({"changes": [{"uri": PLAN, "type": 2}]}),
        ),
        (
            "workspace/didChangeWorkspaceFolders",
            json!({"event": {"added": [{"uri": "file:///nowhere", "name": "n"}], "removed": []}}),
        ),
        (
            "codeAction/resolve",
            json!({"title": "x", "kind": "quickfix", "data": {"uri": PLAN, "version": 1}}),
        ),
        (
            "completionItem/resolve",
            json!({"label": "lamp", "data": {"uri": PLAN, "offset": 3}}),
        ),
        (
            "codeLens/resolve",
            json!({"range": {"start": {"line": 0, "character": 0}, "end": {"line": 0, "character": 3}}, "data": {"uri": PLAN}}),
        ),
        (
            "inlayHint/resolve",
            json!({"position": {"line": 0, "character": 0}, "label": "x", "data": {"uri": PLAN}}),
        ),
        (
            "callHierarchy/incomingCalls",
            json!({"item": {"name": "bow", "kind": 13, "uri": PLAN, "range": {"start": {"line": 3, "character": 0}, "end": {"line": 3, "character": 3}}, "selectionRange": {"start": {"line": 3, "character": 0}, "end": {"line": 3, "character": 3}}}}),
        ),
        ("window/workDoneProgress/cancel", json!({"token": 3})),
        ("$/setTrace", json!({"value": "verbose"})),
        ("$/progress", json!({"token": 1, "value": {}})),
    ]
}

/// Whether a method is one of notifications.
pub fn is_told(method: &str) -> bool {
    method.starts_with("textDocument/did")
        || method.starts_with("workspace/did")
        || method.starts_with("window/")
        || method.starts_with("$/")
        || method == "textDocument/willSave"
}

/// What is put in the place of something; `below` gives numbers below a limit.
pub fn odd(below: &mut dyn FnMut(usize) -> usize) -> Value {
    let values = [
        json!(null),
        json!(true),
        json!(-1),
        json!(0),
        json!(4_294_967_296u64),
        json!(9_007_199_254_740_993u64),
        json!(-1e308),
        json!(0.5),
        json!(""),
        json!("\u{0}𝄞\u{202e}"),
        json!("x".repeat(3000)),
        json!([]),
        json!({}),
        json!([[[[{}]]]]),
        json!({"uri": PLAN}),
        json!("file:///nowhere/../../../etc/passwd"),
    ];
    values[below(values.len())].clone()
}

/// Changes one thing somewhere in a value.
pub fn change(value: &mut Value, below: &mut dyn FnMut(usize) -> usize) {
    let into = below(3) > 0;
    match value {
        Value::Object(members) if into && !members.is_empty() => {
            let keys: Vec<String> = members.keys().cloned().collect();
            let key = keys[below(keys.len())].clone();
            match below(5) {
                0 => _ = members.remove(&key),
                1 => _ = members.insert(format!("{key}{key}"), odd(below)),
                2 => _ = members.insert(key, odd(below)),
                _ => change(members.get_mut(&key).unwrap(), below),
            }
        }
        Value::Array(items) if into && !items.is_empty() => {
            let at = below(items.len());
            match below(5) {
                0 => _ = items.remove(at),
                1 => items.insert(at, odd(below)),
                2 => items.extend(vec![items[at].clone(); 20]),
                _ => change(&mut items[at], below),
            }
        }
        Value::Number(number) if into => {
            let by = [-1i64, 1, 1000, i64::from(i32::MAX)][below(4)];
            *value = json!(number.as_i64().unwrap_or(0).wrapping_add(by));
        }
        other => *other = odd(below),
    }
}
