//! Refactorings, as an editor gets them: listed at an item that no finding is about, put in, and nothing new is found.

use serde_json::{Value, json};

use super::client::{Client, range};

const A: &str = "file:///a.harness";

/// A row of joints and a strip of four groups; laid out in columns.
const PLAN: &str = "\
harness \"Quay\"
wire hook gauge 26 AWG insulation pvc outer 1.2 mm colours red, black
wire fine gauge 32 AWG insulation enamel           colours red, green
tape warm group 3 lamps long 25 mm works 9 V to 12.6 V draws 18 mA at 12 V track 0.4 ohm per m

supply adapter 12 V 1 A
fuse   F1 315 mA                   from adapter
joint  west                        from F1   over 100 mm of hook
joint  east                        from west over 200 mm of hook
strip  lamp-room of warm 3 lamps   from west over 40 mm of fine
strip  row       of warm 12 lamps  from east over 80 mm of fine  # by the quay
strip  tail      of warm 3 lamps   from row  over 20 mm of fine

scene dusk off row, tail
";

fn able() -> Client {
    let literals = json!({"codeActionKind": {"valueSet": ["", "quickfix", "refactor"]}});
    Client::new(json!({
        "workspace": {"workspaceEdit": {"documentChanges": true}},
        "textDocument": {"codeAction": {"codeActionLiteralSupport": literals}},
    }))
}

/// What is offered at a place of a line.
fn offered(client: &mut Client, line: u64, character: u64, only: &str) -> Vec<Value> {
    let at = range((line, character), (line, character));
    let context = json!({"diagnostics": [], "only": [only]});
    let params = json!({"textDocument": {"uri": A}, "range": at, "context": context});
    let list = client.result("textDocument/codeAction", params);
    list.as_array().cloned().unwrap_or_default()
}

/// The text after the edits of an action; the text is ASCII.
fn applied(text: &str, action: &Value) -> String {
    let files = action["edit"]["documentChanges"].as_array().expect("files");
    assert_eq!(files.len(), 1, "{action}");
    assert_eq!(files[0]["textDocument"], json!({"uri": A, "version": 1}));
    let starts: Vec<usize> = std::iter::once(0)
        .chain(text.match_indices('\n').map(|(at, _)| at + 1))
        .collect();
    let place = |at: &Value| {
        let number = |key: &str| at[key].as_u64().expect("a number") as usize;
        starts[number("line")] + number("character")
    };
    let edits = files[0]["edits"].as_array().expect("edits").iter();
    let mut edits: Vec<(usize, usize, &str)> = edits
        .map(|edit| {
            let new = edit["newText"].as_str().expect("a text");
            (
                place(&edit["range"]["start"]),
                place(&edit["range"]["end"]),
                new,
            )
        })
        .collect();
    edits.sort();
    let mut text = text.to_owned();
    for (start, end, new) in edits.into_iter().rev() {
        text.replace_range(start..end, new);
    }
    text
}

fn titles(list: &[Value]) -> Vec<&str> {
    list.iter().map(|a| a["title"].as_str().unwrap()).collect()
}

#[test]
fn a_row_is_rewired_and_nothing_new_is_found() {
    let mut client = able();
    client.open(A, 1, PLAN);
    let before = client.findings(A, 1).len();
    for only in ["refactor", "refactor.rewrite"] {
        let list = offered(&mut client, 8, 6, only);
        assert!(
            list.iter()
                .all(|a| a["kind"] == "refactor.rewrite" && a.get("diagnostics").is_none())
        );
        let said = titles(&list);
        let begins = |with: &str| said.iter().any(|title| title.starts_with(with));
        assert!(
            begins("close the ring from east back to F1: 600 mm more of hook for both legs; "),
            "{said:?}"
        );
        assert!(begins("one joint west for west and east: "), "{said:?}");
    }
    assert_eq!(offered(&mut client, 8, 6, "quickfix"), [] as [Value; 0]);
    // On words that are no item nothing can be wired.
    assert_eq!(offered(&mut client, 3, 7, "refactor"), [] as [Value; 0]);

    let list = offered(&mut client, 10, 6, "refactor");
    let cut = list
        .iter()
        .find(|a| a["title"].as_str().unwrap().contains("from east too"));
    let cut = cut.unwrap_or_else(|| panic!("{:?}", titles(&list)));
    let after = applied(PLAN, cut);
    assert!(
        after.contains("scene dusk off row, row-2, tail\n"),
        "{after}"
    );
    client.change(A, 2, json!([{"text": after}]));
    assert!(client.findings(A, 2).len() <= before);
    // What was laid out is so still.
    let options = json!({"tabSize": 2, "insertSpaces": true});
    let asked = json!({"textDocument": {"uri": A}, "options": options});
    let edits = client.result("textDocument/formatting", asked);
    assert!(
        edits.as_array().is_none_or(Vec::is_empty),
        "{edits}\n{after}"
    );
    client.end();
}

#[test]
fn what_joins_two_strips_says_what_changes() {
    let mut client = able();
    client.open(A, 1, PLAN);
    let list = offered(&mut client, 11, 6, "refactor");
    let join = list
        .iter()
        .find(|a| a["title"].as_str().unwrap().starts_with("join"));
    let join = join.unwrap_or_else(|| panic!("{:?}", titles(&list)));
    let title = join["title"].as_str().unwrap();
    assert!(
        title.starts_with("join row and tail as row: 15 lamps; 40 mm less wire for both legs; no other light changes"),
        "{title}"
    );
    let after = applied(PLAN, join);
    assert!(
        after.contains("strip  row       of warm 15 lamps  from east over 80 mm of fine")
            && !after.contains("tail"),
        "{after}"
    );
    client.end();
}
