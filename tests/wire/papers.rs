//! Papers: the bench sheet of a text that nobody has saved, and the commands that open one.

use serde_json::{Value, json};

use super::client::{Client, edit, range};
use super::looks::answer;

const A: &str = "file:///model/a.harness";
const TEXT: &str = "\
led pearl drops 3.0 V at 20 mA limit 25 mA colour white
supply adapter 12 V 1 A
fuse F1 160 mA from adapter
lamp mast of pearl resistor 560 ohm from F1
";

fn command(name: &str) -> Value {
    json!({"command": name, "arguments": [{"uri": A}]})
}

#[test]
fn the_sheet_is_of_the_text_as_it_is() {
    let mut client = Client::new(json!({}));
    client.open(A, 1, TEXT);
    client.change(A, 2, json!([edit((3, 5), (3, 9), "flag")]));
    let sheet = client.result("glimloom/sheet", json!({"textDocument": {"uri": A}}));
    let html = sheet["html"].as_str().unwrap();
    assert!(html.starts_with("<!DOCTYPE html>") && html.contains("id=\"figures-flag\""));
    assert!(!html.contains("mast") && html.contains("a.harness"));
    let items = sheet["items"].as_array().unwrap();
    assert_eq!(
        items[2],
        json!({"id": "figures-flag", "name": "flag", "uri": A, "range": range((3, 5), (3, 9))})
    );
    assert_eq!(items.len(), 3);
    let nothing = client.result(
        "glimloom/sheet",
        json!({"textDocument": {"uri": "file:///no.harness"}}),
    );
    assert_eq!(nothing, Value::Null);
    client.end();
}

#[test]
fn a_command_opens_a_paper_in_a_browser_or_in_the_editor() {
    let mut client = Client::new(json!({"window": {"showDocument": {"support": true}}}));
    client.open(A, 1, TEXT);
    for (name, file, external) in [
        ("glimloom.sheet", "a-sheet.html", true),
        ("glimloom.parts", "a-parts.md", false),
        ("glimloom.drawing", "a-drawing.svg", true),
    ] {
        let made = client.result("workspace/executeCommand", command(name));
        let shown = answer(&mut client, "window/showDocument", json!({"success": true}));
        assert_eq!(shown["params"]["uri"], made["uri"]);
        assert_eq!(shown["params"]["external"], external);
        let uri = tower_lsp::lsp_types::Url::parse(made["uri"].as_str().unwrap()).unwrap();
        let path = uri.to_file_path().unwrap();
        assert!(path.ends_with(file), "{path:?}");
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(text.contains("made by glimloom") && text.contains("560 ohm"));
        std::fs::remove_file(&path).unwrap();
        let _ = std::fs::remove_dir(path.parent().unwrap());
    }
    let about_nothing = json!({"command": "glimloom.sheet", "arguments": []});
    assert_eq!(
        client.error("workspace/executeCommand", about_nothing),
        -32602
    );
    client.end();
}

#[test]
fn a_client_that_shows_nothing_is_told_where_the_paper_is() {
    let mut client = Client::new(json!({}));
    client.open(A, 1, TEXT);
    client.result("workspace/executeCommand", command("glimloom.parts"));
    let told = client.wait("a message", |m| m["method"] == "window/showMessage");
    let told = told["params"]["message"].as_str().unwrap();
    let path = told
        .strip_prefix("The parts list is in ")
        .unwrap()
        .strip_suffix('.')
        .unwrap();
    std::fs::remove_file(path).unwrap();
    let _ = std::fs::remove_dir(std::path::Path::new(path).parent().unwrap());
    client.end();
}
