//! What an editor shows: the protocol's shapes, for clients that can do much and for those that can do little.

use serde_json::{Value, json};

use super::client::{Client, range};

const A: &str = "file:///a.harness";
const TEXT: &str = "supply saloon 12 V 1,5 A\n";

fn able() -> Client {
    Client::new(json!({
        "workspace": {"workspaceEdit": {"documentChanges": true}},
        "textDocument": {
            "hover": {"contentFormat": ["markdown", "plaintext"]},
            "documentSymbol": {"hierarchicalDocumentSymbolSupport": true},
            "codeAction": {"isPreferredSupport": true, "codeActionLiteralSupport": {"codeActionKind": {"valueSet": ["", "quickfix", "refactor"]}}},
            "publishDiagnostics": {"relatedInformation": true, "codeDescriptionSupport": true, "tagSupport": {"valueSet": [1]}},
        },
    }))
}

fn actions(client: &mut Client, only: Value) -> Vec<Value> {
    let mut context = json!({"diagnostics": []});
    if !only.is_null() {
        context["only"] = only;
    }
    let params =
        json!({"textDocument": {"uri": A}, "range": range((0, 19), (0, 24)), "context": context});
    let result = client.result("textDocument/codeAction", params);
    result.as_array().cloned().unwrap_or_default()
}

#[test]
fn a_finding_has_its_check_and_its_source() {
    let mut client = able();
    client.open(A, 1, TEXT);
    let findings = client.findings(A, 1);
    let finding = &findings[0];
    assert_eq!(finding["code"], "wrong-unit");
    assert_eq!(finding["source"], "glimloom");
    assert_eq!(finding["severity"], 1);
    assert_eq!(finding["range"], range((0, 19), (0, 24)));
    let page = finding["codeDescription"]["href"].as_str().expect("a page");
    let page = page
        .strip_prefix("file://")
        .expect("a file beside the program");
    let page = std::fs::read_to_string(page).expect("the page is there");
    assert!(page.starts_with("# `wrong-unit`"), "{page}");
    client.end();
}

#[test]
fn all_mends_in_one_action() {
    let mut client = able();
    let text =
        "supply saloon 12 V 1,5 A\nfuse F1 315 from saloon\nload bell draws 200 mA from F2\n";
    client.open(A, 1, text);
    for only in ["source", "source.fixAll"] {
        let all = actions(&mut client, json!([only]));
        assert_eq!(all.len(), 1, "{all:?}");
        assert_eq!(all[0]["kind"], "source.fixAll");
        let edits = &all[0]["edit"]["documentChanges"][0];
        assert_eq!(edits["textDocument"]["version"], 1);
        let mut lines: Vec<String> = text.split_inclusive('\n').map(String::from).collect();
        for edit in edits["edits"].as_array().expect("edits") {
            let (start, end) = (&edit["range"]["start"], &edit["range"]["end"]);
            assert_eq!(start["line"], end["line"]);
            let place = |of: &Value| of.as_u64().expect("a number") as usize;
            let columns = place(&start["character"])..place(&end["character"]);
            let new = edit["newText"].as_str().expect("a text");
            lines[place(&start["line"])].replace_range(columns, new);
        }
        assert_eq!(
            lines.concat(),
            "supply saloon 12 V 1.5 A\nfuse F1 315 mA from saloon\nload bell draws 200 mA from F1\n"
        );
        let title = all[0]["title"].as_str().expect("a title");
        assert!(title.contains("3 mends"), "{title}");
    }
    // Who asks for nothing of the kind is not kept waiting for it.
    for only in [
        Value::Null,
        json!(["quickfix"]),
        json!(["source.organizeImports"]),
    ] {
        let others = actions(&mut client, only);
        assert!(
            others.iter().all(|a| a["kind"] != "source.fixAll"),
            "{others:?}"
        );
    }
    client.end();
}

#[test]
fn a_client_that_can_do_little_gets_no_more() {
    let mut client = Client::new(json!({}));
    client.open(A, 1, TEXT);
    let findings = client.findings(A, 1);
    for member in ["relatedInformation", "tags"] {
        assert_eq!(findings[0].get(member), None);
    }
    assert_eq!(actions(&mut client, Value::Null), [] as [Value; 0]);
    let outline = client.result(
        "textDocument/documentSymbol",
        json!({"textDocument": {"uri": A}}),
    );
    assert_eq!(outline[0]["name"], "saloon");
    assert_eq!(outline[0]["location"]["uri"], A);
    client.end();
}

#[test]
fn a_quick_fix_names_its_finding_and_the_version() {
    let mut client = able();
    client.open(A, 7, TEXT);
    let findings = client.findings(A, 7);
    let found = actions(&mut client, Value::Null);
    let fix = found
        .iter()
        .find(|action| action["kind"] == "quickfix")
        .expect("a quick fix");
    assert_eq!(fix["diagnostics"], json!([findings[0]]));
    assert_eq!(fix["edit"].get("changes"), None);
    let change = &fix["edit"]["documentChanges"][0];
    assert_eq!(change["textDocument"], json!({"uri": A, "version": 7}));
    let edits = change["edits"].as_array().unwrap().iter();
    let changes = edits.map(|edit| json!({"range": edit["range"], "text": edit["newText"]}));
    client.change(A, 8, changes.rev().collect());
    assert_eq!(client.findings(A, 8), [] as [Value; 0]);
    client.end();
}

#[test]
fn only_the_kinds_that_are_asked_for() {
    let mut client = able();
    client.open(A, 1, TEXT);
    let all = actions(&mut client, Value::Null);
    assert!(!all.is_empty());
    // The kind without a name covers all, the mends at once too.
    let mut of_any_kind = actions(&mut client, json!([""]));
    assert_eq!(of_any_kind.pop().unwrap()["kind"], "source.fixAll");
    assert_eq!(of_any_kind, all);
    assert!(!actions(&mut client, json!(["quickfix"])).is_empty());
    for other in ["source.organizeImports", "quick", "quickfix.spelling"] {
        assert_eq!(
            actions(&mut client, json!([other])),
            [] as [Value; 0],
            "{other}"
        );
    }
    client.end();
}

#[test]
fn edits_without_versions_for_a_client_that_knows_none() {
    let literal = json!({"codeActionLiteralSupport": {"codeActionKind": {"valueSet": []}}});
    let mut client = Client::new(json!({"textDocument": {"codeAction": literal}}));
    client.open(A, 1, TEXT);
    let found = actions(&mut client, json!(["quickfix"]));
    assert!(found[0]["edit"]["changes"][A].is_array(), "{found:?}");
    assert_eq!(found[0].get("isPreferred"), None);
    client.end();
}

#[test]
fn hover_definition_and_outline() {
    let mut client = able();
    client.open(A, 1, "supply saloon 12 V\nsupply bridge 5 V\n");
    let place = json!({"textDocument": {"uri": A}, "position": {"line": 1, "character": 9}});
    let hover = client.result("textDocument/hover", place.clone());
    assert_eq!(hover["contents"]["kind"], "markdown");
    assert!(
        hover["contents"]["value"]
            .as_str()
            .unwrap()
            .contains("bridge"),
        "{hover}"
    );
    let definition = client.result("textDocument/definition", place);
    assert_eq!(
        definition,
        json!([{"uri": A, "range": range((1, 7), (1, 13))}])
    );
    let outline = client.result(
        "textDocument/documentSymbol",
        json!({"textDocument": {"uri": A}}),
    );
    let names: Vec<&str> = outline
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|s| s["name"].as_str())
        .collect();
    assert_eq!(names, ["saloon", "bridge"]);
    assert_eq!(outline[1]["selectionRange"], range((1, 7), (1, 13)));
    client.end();
}

/// A client that shows text as it is gets no marks of Markdown.
#[test]
fn hover_in_plain_text() {
    let mut client =
        Client::new(json!({"textDocument": {"hover": {"contentFormat": ["plaintext"]}}}));
    client.open(A, 1, "supply bridge 5 V\n");
    let place = json!({"textDocument": {"uri": A}, "position": {"line": 0, "character": 9}});
    let hover = client.result("textDocument/hover", place);
    assert_eq!(hover["contents"]["kind"], "plaintext");
    let text = hover["contents"]["value"].as_str().expect("a text");
    assert!(text.starts_with("supply bridge: "), "{text}");
    assert!(!text.contains(['*', '|', '\\']), "{text}");
    client.end();
}

/// A request sees the text as it was when the request came: the edits before it, and none after.
#[test]
fn a_request_sees_the_edits_before_it() {
    let mut client = able();
    client.open(A, 1, "");
    let mut asked = Vec::new();
    for version in 2..60 {
        client.change(
            A,
            version,
            json!([{"text": format!("supply z{version} 12 V\n")}]),
        );
        let outline = client.ask(
            "textDocument/documentSymbol",
            json!({"textDocument": {"uri": A}}),
        );
        asked.push((outline, format!("z{version}")));
    }
    for (id, name) in asked {
        assert_eq!(client.answer(id)["result"][0]["name"], *name);
    }
    client.end();
}

#[test]
fn used_files_are_watched_where_the_client_can() {
    let can = json!({"workspace": {"didChangeWatchedFiles": {"dynamicRegistration": true}}});
    let mut client = Client::new(can);
    let asked = client.wait("a registration", |m| {
        m["method"] == "client/registerCapability"
    });
    let registration = &asked["params"]["registrations"][0];
    assert_eq!(registration["method"], "workspace/didChangeWatchedFiles");
    client.body(&json!({"jsonrpc": "2.0", "id": asked["id"], "result": null}).to_string());
    client.end();
}
