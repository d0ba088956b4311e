//! Suspects in an editor: offered on a light, opened in any client, asked for by a panel; and a trial written down.

use serde_json::{Value, json};

use super::client::{Client, range};

const A: &str = "file:///boat.harness";
const PLAN: &str = "\
led pearl drops 3.0 V at 20 mA limit 25 mA colour white
wire fine gauge 32 AWG insulation enamel colours red, green
supply adapter 12 V 1 A
fuse F1 200 mA from adapter
joint keel from F1 over 100 mm of fine
lamp mast of pearl resistor 560 ohm from keel over 200 mm of fine
lamp bow of pearl resistor 560 ohm from keel over 200 mm of fine
";

fn able() -> Value {
    json!({
        "window": {"showDocument": {"support": true}},
        "workspace": {"workspaceEdit": {"documentChanges": true}},
        "textDocument": {"codeAction": {
            "dataSupport": true,
            "resolveSupport": {"properties": ["edit"]},
            "codeActionLiteralSupport": {"codeActionKind": {"valueSet": [""]}},
        }},
    })
}

fn offered(client: &mut Client, at: Value, only: &str) -> Vec<Value> {
    let context = json!({"diagnostics": [], "only": [only]});
    let params = json!({"textDocument": {"uri": A}, "range": at, "context": context});
    let list = client.result("textDocument/codeAction", params);
    list.as_array().cloned().unwrap_or_default()
}

fn run(client: &mut Client, action: &Value) -> Value {
    let command = &action["command"];
    let params = json!({"command": command["command"], "arguments": command["arguments"]});
    client.result("workspace/executeCommand", params)
}

/// The text of the file that a command made.
fn made(answer: &Value) -> String {
    let path = answer["uri"].as_str().expect("an address");
    let path = path.strip_prefix("file://").expect("a file");
    std::fs::read_to_string(path).expect("the file is there")
}

#[test]
fn a_light_that_is_dark_has_its_suspects_in_a_document() {
    let mut client = Client::new(able());
    client.open(A, 1, PLAN);
    let list = offered(&mut client, range((5, 6), (5, 6)), "suspects");
    let titles: Vec<&Value> = list.iter().map(|action| &action["title"]).collect();
    assert_eq!(
        titles,
        [
            "List what may be wrong if mast is dark",
            "List what may be wrong if mast is dim"
        ]
    );
    let answer = run(&mut client, &list[0]);
    let text = made(&answer);
    assert!(text.starts_with("# `mast` dark, the others"), "{text}");
    let shown = super::looks::answer(&mut client, "window/showDocument", json!({"success": true}));
    assert_eq!(shown["params"]["uri"], answer["uri"]);
    assert_eq!(shown["params"]["external"], false);
    // Several that are selected, of the text as it is now.
    let both = offered(&mut client, range((5, 0), (6, 9)), "suspects");
    assert_eq!(
        both[0]["title"],
        "List what may be wrong if mast and bow are dark"
    );
    let text = made(&run(&mut client, &both[0]));
    assert!(
        text.contains("the plus joint `keel` has come apart"),
        "{text}"
    );
    assert_eq!(
        offered(&mut client, range((4, 6), (4, 6)), "suspects").len(),
        0
    );
    // A client that shows nothing is told where it is.
    super::looks::answer(
        &mut client,
        "window/showDocument",
        json!({"success": false}),
    );
    let told = client.wait("words", |m| m["method"] == "window/showMessage");
    let told = told["params"]["message"].as_str().expect("words");
    assert!(told.starts_with("The list of suspects is in "), "{told}");
    client.end();
}

#[test]
fn a_panel_asks_for_suspects_and_their_places() {
    let mut client = Client::new(able());
    client.open(A, 1, PLAN);
    let ask = |seen: Value| {
        let mut params = json!({"textDocument": {"uri": A}});
        for (key, value) in seen.as_object().expect("an object") {
            params[key] = value.clone();
        }
        params
    };
    let told = client.result("glimloom/suspects", ask(json!({"dark": ["mast"]})));
    assert!(
        told["markdown"]
            .as_str()
            .is_some_and(|m| m.contains("6 faults"))
    );
    let suspects = told["suspects"].as_array().expect("suspects");
    assert_eq!(suspects.len(), 6);
    let at = json!([{"name": "mast", "uri": A, "range": range((5, 5), (5, 9))}]);
    assert_eq!(suspects[0]["at"], at);
    assert!(
        suspects[0]["measure"]
            .as_str()
            .is_some_and(|m| m.contains("0 V"))
    );
    let weights = suspects.iter().map(|s| s["weight"].as_f64());
    assert!(weights.is_sorted_by(|a, b| a >= b));
    let only =
        ask(json!({"dim": ["bow"], "lit": ["mast"], "othersUnseen": true, "scene": "all-on"}));
    let told = client.result("glimloom/suspects", only);
    assert!(
        told["markdown"]
            .as_str()
            .is_some_and(|m| m.contains("`bow` dim"))
    );
    let wrong = ask(json!({"dark": ["mats"], "scene": "dusk"}));
    assert_eq!(client.error("glimloom/suspects", wrong), -32602);
    let nothing = json!({"command": "glimloom.suspects", "arguments": [{"uri": A}]});
    assert_eq!(client.error("workspace/executeCommand", nothing), -32602);
    client.end();
}

#[test]
fn a_trial_is_written_down_with_the_day() {
    let mut client = Client::new(able());
    client.open(A, 1, PLAN);
    let list = offered(&mut client, range((5, 6), (5, 6)), "refactor.rewrite");
    let title = "Write down what mast drew when tried; 16.2 mA is expected at 12 V";
    let trial = list.iter().find(|action| action["title"] == title);
    let trial = trial.unwrap_or_else(|| panic!("{list:?}"));
    let edit = &trial["edit"]["documentChanges"][0]["edits"][0];
    let text = edit["newText"].as_str().expect("words");
    assert!(
        text.trim().starts_with("tried mast 16.2 mA at 12 V on 20"),
        "{text}"
    );
    // A lamp is a piece that is tried; a joint is none.
    let none = offered(&mut client, range((4, 6), (4, 6)), "refactor.rewrite");
    assert!(
        none.iter()
            .all(|a| !a["title"].to_string().contains("tried"))
    );
    client.end();
}
