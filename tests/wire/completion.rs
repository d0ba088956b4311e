//! Completion and signature help as an editor sees them.

use serde_json::{Value, json};

use super::client::{Client, range};

const A: &str = "file:///a.harness";
const B: &str = "file:///b.harness";
const TEXT: &str =
    "supply adapter 12 V 1 A\nfuse F1 400 mA from adapter\nled pearl drops 3.0 V at 20 mA\n";

fn able() -> Client {
    Client::new(json!({"textDocument": {
        "completion": {"completionItem": {
            "snippetSupport": true,
            "insertReplaceSupport": true,
            "documentationFormat": ["markdown"],
            "resolveSupport": {"properties": ["documentation"]},
        }},
        "signatureHelp": {"signatureInformation": {
            "documentationFormat": ["markdown"],
            "parameterInformation": {"labelOffsetSupport": true},
        }},
    }}))
}

fn place(line: u64, character: u64) -> Value {
    json!({"textDocument": {"uri": A}, "position": {"line": line, "character": character}})
}

fn items(client: &mut Client, line: u64, character: u64) -> Vec<Value> {
    let list = client.result("textDocument/completion", place(line, character));
    assert_eq!(list["isIncomplete"], false);
    list["items"].as_array().expect("items").clone()
}

fn labelled<'a>(items: &'a [Value], label: &str) -> &'a Value {
    let found = items.iter().find(|item| item["label"] == label);
    found.unwrap_or_else(|| panic!("no {label} in {items:#?}"))
}

#[test]
fn what_is_offered_says_how_it_asks_and_how_it_answers() {
    let mut client = Client::silent();
    let told = client.shake_hands(json!({"processId": null, "rootUri": null, "capabilities": {}}));
    let capabilities = &told["capabilities"];
    assert_eq!(
        capabilities["completionProvider"],
        json!({"resolveProvider": true, "triggerCharacters": [" ", ".", ",", "\"", "/"]})
    );
    assert_eq!(
        capabilities["signatureHelpProvider"],
        json!({"triggerCharacters": [" "], "retriggerCharacters": [","]})
    );
    client.end();
}

#[test]
fn names_with_their_figures_in_the_order_of_use() {
    let mut client = able();
    client.open(A, 1, &format!("{TEXT}lamp mast of pearl from F"));
    let found = items(&mut client, 3, 25);
    let mut sorted: Vec<&str> = found
        .iter()
        .map(|i| i["sortText"].as_str().unwrap())
        .collect();
    let listed = sorted.clone();
    sorted.sort_unstable();
    assert_eq!(sorted, listed);
    let fuse = labelled(&found, "F1");
    assert_eq!(fuse["filterText"], "F1");
    assert!(
        fuse["detail"].as_str().unwrap().starts_with("fuse, 12 V"),
        "{fuse}"
    );
    assert_eq!(
        fuse["textEdit"],
        json!({"newText": "F1", "insert": range((3, 24), (3, 25)), "replace": range((3, 24), (3, 25))})
    );
    assert_eq!(fuse.get("documentation"), None);
    let whole = client.result("completionItem/resolve", fuse.clone());
    assert_eq!(whole["documentation"]["kind"], "markdown");
    let text = whole["documentation"]["value"].as_str().unwrap();
    assert!(text.starts_with("**fuse F1**: "), "{text}");
    client.end();
}

#[test]
fn a_word_is_replaced_whole_and_columns_are_the_clients() {
    let mut client = able();
    // 𝄞 is two units of UTF-16 and four bytes.
    client.open(
        A,
        1,
        &format!("{TEXT}lamp mast of pearl note \"𝄞\" from adapter"),
    );
    let found = items(&mut client, 3, 36);
    let edit = &labelled(&found, "F1")["textEdit"];
    assert_eq!(edit["insert"], range((3, 34), (3, 36)));
    assert_eq!(edit["replace"], range((3, 34), (3, 41)));
    client.end();
}

#[test]
fn clauses_with_places_for_who_can_fill_them_in() {
    let text = format!("{TEXT}lamp mast of pearl \n");
    let mut client = able();
    client.open(A, 1, &text);
    let found = items(&mut client, 3, 19);
    assert_eq!(found[0]["label"], "from");
    assert_eq!(found[0]["insertTextFormat"], 2);
    assert_eq!(
        found[0]["textEdit"]["newText"], "from ${1:adapter}",
        "{}",
        found[0]
    );
    client.end();

    let mut client = Client::new(json!({}));
    client.open(A, 1, &text);
    let found = items(&mut client, 3, 19);
    assert_eq!(found[0].get("insertTextFormat"), None);
    assert_eq!(
        found[0]["textEdit"],
        json!({"newText": "from", "range": range((3, 19), (3, 19))})
    );
    // At the margin it gets whole stanzas as plain text.
    let found = items(&mut client, 4, 0);
    let whole = found
        .iter()
        .find(|i| i["kind"] == 15)
        .expect("a whole stanza");
    assert!(!whole["textEdit"]["newText"].as_str().unwrap().contains('$'));
    let said = client.result("completionItem/resolve", whole.clone());
    // It names no formats, so it gets none.
    assert!(said["documentation"].is_string(), "{said}");
    client.end();
}

#[test]
fn a_figure_is_reckoned_with_the_whole_plan_when_it_is_looked_at() {
    let mut client = able();
    client.open(
        A,
        1,
        &format!("{TEXT}lamp mast of pearl resistor  from F1\n"),
    );
    let found = items(&mut client, 3, 28);
    let nearest = labelled(&found, "470 ohm");
    let detail = nearest["detail"].as_str().unwrap();
    assert!(
        detail.starts_with("about 19.1 mA") || detail.starts_with("about 19.2 mA"),
        "{detail}"
    );
    // The builder types on; the entry is still for the same word.
    client.change(
        A,
        2,
        json!([{"range": range((3, 28), (3, 28)), "text": "47"}]),
    );
    let whole = client.result("completionItem/resolve", nearest.clone());
    let text = whole["documentation"]["value"].as_str().unwrap();
    assert!(
        text.starts_with("With **470 ohm**: mast draws 19."),
        "{text}"
    );
    client.end();
}

#[test]
fn nothing_where_nothing_can_be_told() {
    let mut client = able();
    client.open(A, 1, "# supply \nharness \"a \"\n");
    for (line, character) in [(0, 9), (1, 11), (7, 0), (1, 99)] {
        let result = client.result("textDocument/completion", place(line, character));
        let found = result["items"].as_array().map_or(0, Vec::len);
        // Behind the last line there may be another stanza.
        assert!(result.is_null() || line != 0 && found > 0, "{result}");
    }
    let strange = json!({"label": "x", "data": {"of": "another server"}});
    assert_eq!(
        client.result("completionItem/resolve", strange.clone()),
        strange
    );
    client.end();
}

#[test]
fn the_form_that_is_being_written() {
    let mut client = able();
    client.open(A, 1, &format!("{TEXT}joint keel from F1 over 20 mm of "));
    let form = client.result("textDocument/signatureHelp", place(3, 33));
    assert_eq!(form["activeSignature"], 0);
    assert_eq!(form["activeParameter"], 2);
    let shown = &form["signatures"][0];
    assert_eq!(shown["label"], "over LENGTH of WIRE");
    assert_eq!(shown["parameters"][2]["label"], "WIRE");
    assert_eq!(shown["documentation"]["kind"], "markdown");
    let none = client.result("textDocument/signatureHelp", place(3, 2));
    assert_eq!(none, Value::Null);
    // A word that stands there twice has its place.
    client.open(B, 1, "link ring between a and ");
    let params = json!({"textDocument": {"uri": B}, "position": {"line": 0, "character": 24}});
    let form = client.result("textDocument/signatureHelp", params);
    let shown = &form["signatures"][0];
    let label = shown["label"].as_str().expect("a label");
    let last = label.rfind("POINT").expect("a point");
    assert_eq!(
        shown["parameters"][form["activeParameter"].as_u64().expect("one") as usize]["label"],
        json!([last, last + 5]),
        "{label}"
    );
    client.end();

    let mut client = Client::new(json!({}));
    client.open(A, 1, "joint ");
    let form = client.result("textDocument/signatureHelp", place(0, 6));
    assert_eq!(form["signatures"][0]["label"], "joint NAME");
    assert_eq!(form["signatures"][0]["parameters"][0]["label"], "NAME");
    assert!(form["signatures"][0]["documentation"].is_string(), "{form}");
    client.end();
}
