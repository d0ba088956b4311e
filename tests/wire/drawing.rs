//! The drawing of a text that is being edited.

use serde_json::{Value, json};

use super::client::{Client, edit, range};

const A: &str = "file:///a.harness";

const PLAN: &str = "\
harness \"Coal wharf\"
led p drops 3 V at 20 mA
zone shed
supply adapter 12 V 1 A
joint beam from adapter in shed
lamp door of p resistor 560 ohm from beam
scene night off door
";

fn asked(with: &Value) -> Value {
    let mut params = json!({"textDocument": {"uri": A}});
    for (name, value) in with.as_object().expect("an object") {
        params[name] = value.clone();
    }
    params
}

fn item(drawing: &Value, name: &str) -> Value {
    let items = drawing["items"].as_array().expect("items").iter();
    let mut found = items.filter(|item| item["name"] == name);
    found.next().cloned().unwrap_or(Value::Null)
}

#[test]
fn the_drawing_follows_the_text() {
    let mut client = Client::new(json!({}));
    client.open(A, 1, PLAN);
    let drawing = client.result("glimloom/drawing", asked(&json!({})));
    let svg = drawing["svg"].as_str().expect("a text");
    let document = roxmltree::Document::parse(svg).expect("SVG");
    let has = |id: &str| {
        document
            .descendants()
            .any(|n| n.attribute("id") == Some(id))
    };
    assert!(has("item-door") && has("item-beam") && svg.contains("Coal wharf"));
    let door = item(&drawing, "door");
    assert_eq!(
        (&door["id"], &door["uri"], &door["range"]),
        (&json!("item-door"), &json!(A), &range((5, 5), (5, 9)))
    );
    assert_eq!(door["stanza"]["start"], json!({"line": 5, "character": 0}));
    assert_eq!(drawing["scenes"], json!(["night", "all-on"]));
    assert_eq!(drawing["zones"], json!(["shed"]));
    assert_eq!(drawing["supplies"], json!(["adapter"]));
    assert_eq!(drawing["sheets"], 1);
    // A part of it, in one scene; what is not there is refused.
    let night = client.result(
        "glimloom/drawing",
        asked(&json!({"scene": "night", "theme": "dark"})),
    );
    let svg = night["svg"].as_str().expect("a text");
    assert!(svg.contains("Scene night") && svg.contains("glimloom-drawing dark"));
    let shed = client.result("glimloom/drawing", asked(&json!({"zone": "shed"})));
    assert_eq!(item(&shed, "adapter"), Value::Null);
    assert_eq!(item(&shed, "beam")["id"], "item-beam");
    let attic = asked(&json!({"zone": "attic"}));
    assert_eq!(client.error("glimloom/drawing", attic), -32602);
    // What is typed is drawn, and what is found stands at its item.
    client.change(A, 2, json!([edit((5, 24), (5, 27), "5")]));
    let drawing = client.result("glimloom/drawing", asked(&json!({})));
    let door = item(&drawing, "door");
    let found = door["findings"].as_array().expect("findings");
    assert!(
        found
            .iter()
            .any(|f| f["check"] == "lamp-over-limit" && f["severity"] == "error"),
        "{door}"
    );
    // No plan, no drawing.
    let other = json!({"textDocument": {"uri": "file:///b.harness"}});
    assert_eq!(client.result("glimloom/drawing", other), Value::Null);
    client.end();
}
