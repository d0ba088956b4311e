//! Code actions: listed at once, their edits when one is chosen.

use serde_json::{Value, json};

use super::client::{Client, edit, range};

const A: &str = "file:///a.harness";
const NOTHING: [Value; 0] = [];
const TEXT: &str = "supply saloon 12 V 1,5 A\nfuse F1 315 from saloon\n";

/// What a client says that can do everything with actions.
fn able() -> Value {
    json!({
        "workspace": {"workspaceEdit": {"documentChanges": true, "resourceOperations": ["create", "rename", "delete"]}},
        "textDocument": {"codeAction": {
            "isPreferredSupport": true,
            "disabledSupport": true,
            "dataSupport": true,
            "resolveSupport": {"properties": ["edit"]},
            "codeActionLiteralSupport": {"codeActionKind": {"valueSet": [""]}},
        }},
    })
}

/// The same, but for what it says of actions under `key`.
fn without(key: &str) -> Value {
    let mut able = able();
    let of_actions = able["textDocument"]["codeAction"].as_object_mut();
    of_actions.expect("an object").remove(key);
    able
}

/// What is offered over a stretch of the text.
fn actions(client: &mut Client, at: Value, context: Value) -> Vec<Value> {
    let params = json!({"textDocument": {"uri": A}, "range": at, "context": context});
    let list = client.result("textDocument/codeAction", params);
    list.as_array().cloned().unwrap_or_default()
}

/// The edits of an action as changes of the one text that it is of, the last one first.
fn changes(action: &Value) -> Value {
    let files = action["edit"]["documentChanges"].as_array().expect("files");
    assert_eq!(files.len(), 1, "{action}");
    let edits = files[0]["edits"].as_array().expect("edits").iter();
    let changes = edits.map(|edit| json!({"range": edit["range"], "text": edit["newText"]}));
    let mut changes: Vec<Value> = changes.collect();
    let place = |change: &Value| {
        let start = &change["range"]["start"];
        (start["line"].as_u64(), start["character"].as_u64())
    };
    changes.sort_by_key(|change| std::cmp::Reverse(place(change)));
    changes.into()
}

fn anything() -> Value {
    json!({"diagnostics": []})
}

fn only(kind: &str) -> Value {
    json!({"diagnostics": [], "only": [kind]})
}

#[test]
fn edits_come_when_an_action_is_chosen() {
    let mut client = Client::silent();
    let said = client.shake_hands(json!({"capabilities": able()}));
    let provider = &said["capabilities"]["codeActionProvider"];
    assert_eq!(provider["resolveProvider"], true);
    client.open(A, 3, TEXT);
    let findings = client.findings(A, 3);
    let list = actions(&mut client, range((0, 19), (0, 24)), anything());
    let fix = list.iter().find(|action| action["kind"] == "quickfix");
    let fix = fix.expect("a mend");
    assert_eq!(fix.get("edit"), None);
    assert_eq!(fix["isPreferred"], true);
    assert_eq!(fix["diagnostics"], json!([findings[0]]));
    assert!(fix["data"].to_string().len() < 200, "{fix}");
    let chosen = client.result("codeAction/resolve", fix.clone());
    assert_eq!(chosen["title"], fix["title"]);
    let file = &chosen["edit"]["documentChanges"][0]["textDocument"];
    assert_eq!(*file, json!({"uri": A, "version": 3}));
    client.change(A, 4, changes(&chosen));
    assert_eq!(client.findings(A, 4).len(), findings.len() - 1);
    client.end();
}

/// Its edits are those that a client gets at once which cannot ask for them.
#[test]
fn the_edits_are_the_same_at_once() {
    let mut later = Client::new(able());
    later.open(A, 1, TEXT);
    for missing in ["resolveSupport", "dataSupport"] {
        let mut at_once = Client::silent();
        let said = at_once.shake_hands(json!({"capabilities": without(missing)}));
        let provider = &said["capabilities"]["codeActionProvider"];
        assert_eq!(provider["resolveProvider"], false);
        at_once.open(A, 1, TEXT);
        for kind in ["quickfix", "refactor", "source.fixAll"] {
            let list = actions(&mut later, range((0, 0), (1, 20)), only(kind));
            let whole = actions(&mut at_once, range((0, 0), (1, 20)), only(kind));
            assert_eq!(list.len(), whole.len(), "{kind}");
            for (listed, whole) in list.iter().zip(&whole) {
                assert_eq!(whole.get("data"), None);
                let chosen = later.result("codeAction/resolve", listed.clone());
                assert_eq!(chosen["edit"], whole["edit"], "{kind}");
                let can = whole["edit"].is_object();
                assert_ne!(can, whole["disabled"].is_object(), "{whole}");
            }
        }
        at_once.end();
    }
    later.end();
}

#[test]
fn what_has_changed_since_is_not_edited() {
    let mut client = Client::new(able());
    client.open(A, 1, TEXT);
    let list = actions(&mut client, range((0, 0), (1, 20)), anything());
    let kinds: Vec<&Value> = list.iter().map(|action| &action["kind"]).collect();
    assert!(kinds.contains(&&json!("source.fixAll")), "{kinds:?}");
    client.change(A, 2, json!([edit((0, 0), (0, 0), "# one more\n")]));
    for action in &list {
        assert_eq!(client.error("codeAction/resolve", action.clone()), -32801);
    }
    // The same text under another version is another text to the editor.
    client.change(A, 3, json!([edit((0, 0), (1, 0), "")]));
    for action in &list {
        assert_eq!(client.error("codeAction/resolve", action.clone()), -32801);
    }
    client.close(A);
    for action in &list {
        assert_eq!(client.error("codeAction/resolve", action.clone()), -32801);
    }
    // Opened again under the old version, with other words at the place.
    client.open(A, 1, "supply other 12 V 1 A\nfuse F1 315 from other\n");
    for action in list.iter().filter(|a| a["kind"] == "quickfix") {
        let answer = client.request("codeAction/resolve", action.clone());
        let title = action["title"].as_str().unwrap_or_default();
        let still_there = answer["result"]["edit"].is_object();
        assert!(!still_there || !title.contains("1.5"), "{answer}");
    }
    client.end();
}

#[test]
fn all_mends_are_listed_without_being_worked_out() {
    let mut client = Client::new(able());
    client.open(A, 1, TEXT);
    for context in [anything(), only("source"), only("source.fixAll"), only("")] {
        let list = actions(&mut client, range((0, 0), (0, 0)), context);
        let all: Vec<&Value> = (list.iter())
            .filter(|action| action["kind"] == "source.fixAll")
            .collect();
        assert_eq!(all.len(), 1, "{list:?}");
        assert_eq!(all[0].get("edit"), None);
        let chosen = client.result("codeAction/resolve", all[0].clone());
        let edits = chosen["edit"]["documentChanges"][0]["edits"].as_array();
        assert_eq!(edits.map(Vec::len), Some(2), "{chosen}");
    }
    let list = actions(&mut client, range((0, 0), (0, 0)), only("quickfix"));
    assert!(list.iter().all(|action| action["kind"] == "quickfix"));
    // Where nothing could be mended, or nothing is wrong, it is not listed.
    for (version, text) in [(2, "supply mains 230 V\n"), (3, "# nothing\n")] {
        client.change(A, version, json!([{"text": text}]));
        let list = actions(&mut client, range((0, 0), (0, 0)), only("source.fixAll"));
        assert_eq!(list, [] as [Value; 0]);
    }
    client.end();
}

#[test]
fn an_action_without_a_ticket_comes_back_as_it_was() {
    let mut client = Client::new(able());
    for data in [json!(null), json!({"uri": 1}), json!("x")] {
        let action = json!({"title": "t", "kind": "quickfix", "data": data});
        let answer = client.result("codeAction/resolve", action);
        assert_eq!(answer["title"], "t");
        assert_eq!(answer.get("edit"), None);
    }
    client.end();
}

#[test]
fn stanzas_in_the_order_of_the_power() {
    let mixed = "# a shelf\nfuse F1 1 A from s\nsupply s 12 V 1 A\n";
    let mut client = Client::new(able());
    client.open(A, 1, mixed);
    for context in [anything(), only("source"), only("source.sort")] {
        let list = actions(&mut client, range((0, 0), (0, 0)), context);
        let sort = list.iter().find(|action| action["kind"] == "source.sort");
        let sort = sort.expect("an action");
        let chosen = client.result("codeAction/resolve", sort.clone());
        let edit = &chosen["edit"]["documentChanges"][0]["edits"][0];
        assert_eq!(
            edit["newText"],
            "supply s 12 V 1 A\n\n# a shelf\nfuse F1 1 A from s\n"
        );
        assert_eq!(edit["range"], range((0, 0), (3, 0)));
    }
    client.change(
        A,
        2,
        json!([{"text": "supply s 12 V 1 A\nfuse F1 1 A from s\n"}]),
    );
    let list = actions(&mut client, range((0, 0), (0, 0)), only("source.sort"));
    assert_eq!(list, [] as [Value; 0]);
    client.end();
    let mut at_once = Client::new(without("resolveSupport"));
    at_once.open(A, 1, mixed);
    let list = actions(&mut at_once, range((0, 0), (0, 0)), only("source.sort"));
    assert!(list[0]["edit"].is_object(), "{list:?}");
    at_once.end();
}

/// A folder of its own with a plan and a file that it may use.
struct Folder(tempfile::TempDir);

impl Folder {
    fn new(files: &[(&str, &str)]) -> Folder {
        let folder = Folder(tempfile::tempdir().expect("a folder"));
        for (name, text) in files {
            std::fs::write(folder.0.path().join(name), text).expect("a file");
        }
        folder
    }

    fn uri(&self, name: &str) -> String {
        let folder = self.0.path().canonicalize().expect("the folder");
        format!("file://{}/{name}", folder.display())
    }
}

const STOCK: &str = "led ruby drops 2 V at 20 mA colour red\n";
const WIRING: &str = "supply s 5 V 1 A\nlamp a of ruby resistor 180 ohm from s\n";

fn asked_at(client: &mut Client, uri: &str, line: u64, context: Value) -> Vec<Value> {
    let params = json!({"textDocument": {"uri": uri}, "range": range((line, 1), (line, 1)), "context": context});
    let list = client.result("textDocument/codeAction", params);
    list.as_array().cloned().unwrap_or_default()
}

#[test]
fn stock_goes_into_a_new_file() {
    let folder = Folder::new(&[]);
    let plan = folder.uri("shelf.harness");
    let mut client = Client::new(able());
    client.open(&plan, 5, &format!("{STOCK}{WIRING}"));
    let list = asked_at(&mut client, &plan, 0, only("refactor.extract"));
    let title = "move ruby into the new file shelf-stock.harness; every figure stays";
    assert_eq!(list[0]["title"], title);
    assert_eq!(list.len(), 1);
    let chosen = client.result("codeAction/resolve", list[0].clone());
    let new = folder.uri("shelf-stock.harness");
    let text = |uri: &str, version: Value, at: Value, text: &str| json!({"textDocument": {"uri": uri, "version": version}, "edits": [{"range": at, "newText": text}]});
    assert_eq!(
        chosen["edit"],
        json!({"documentChanges": [
            {"kind": "create", "uri": new, "options": {"overwrite": false, "ignoreIfExists": false}},
            text(&new, Value::Null, range((0, 0), (0, 0)), STOCK),
            text(&plan, json!(5), range((0, 0), (1, 0)), "use \"shelf-stock.harness\"\n\n"),
        ]})
    );
    // Of that name there is one now.
    std::fs::write(folder.0.path().join("shelf-stock.harness"), "").expect("a file");
    assert_eq!(client.error("codeAction/resolve", list[0].clone()), -32801);
    let list = asked_at(&mut client, &plan, 0, only("refactor.extract"));
    let title = list[0]["title"].as_str().expect("a title");
    assert!(title.contains("shelf-stock-2.harness"), "{title}");
    client.end();
    // A client that makes no files, and a plan that is no file.
    let mut can = able();
    can["workspace"]["workspaceEdit"]["resourceOperations"] = json!(["rename"]);
    let mut client = Client::new(can);
    client.open(&plan, 1, &format!("{STOCK}{WIRING}"));
    let list = asked_at(&mut client, &plan, 0, only("refactor.extract"));
    let reason = "The editor cannot make a new file here.";
    assert_eq!(list[0]["disabled"]["reason"], reason);
    client.end();
    let mut client = Client::new(able());
    client.open("untitled:One", 1, &format!("{STOCK}{WIRING}"));
    let list = asked_at(&mut client, "untitled:One", 0, only("refactor.extract"));
    assert_eq!(list[0]["disabled"]["reason"], reason);
    client.end();
}

#[test]
fn a_used_file_in_the_place_of_its_line() {
    let folder = Folder::new(&[("stock.harness", STOCK)]);
    let (plan, stock) = (folder.uri("shelf.harness"), folder.uri("stock.harness"));
    let mut client = Client::new(able());
    client.open(&plan, 2, &format!("use \"stock.harness\"\n{WIRING}"));
    let list = asked_at(&mut client, &plan, 0, only("refactor.inline"));
    let chosen = client.result("codeAction/resolve", list[0].clone());
    assert_eq!(
        chosen["edit"]["documentChanges"],
        json!([{
            "textDocument": {"uri": plan, "version": 2},
            "edits": [{"range": range((0, 0), (1, 0)), "newText": STOCK}],
        }])
    );
    // Into the used file goes what else is bought, with the version of an open document and none of one on the disk.
    let more = "led jade drops 3.1 V at 20 mA colour green\n";
    client.change(&plan, 3, json!([edit((3, 0), (3, 0), more)]));
    for version in [Value::Null, json!(7)] {
        let list = asked_at(&mut client, &plan, 3, only("refactor.extract"));
        let chosen = client.result("codeAction/resolve", list[0].clone());
        let files = chosen["edit"]["documentChanges"].as_array().expect("files");
        let version_of = |uri: &str| {
            let file = files.iter().find(|f| f["textDocument"]["uri"] == uri);
            file.map(|f| f["textDocument"]["version"].clone())
        };
        assert_eq!(version_of(&stock), Some(version));
        assert_eq!(version_of(&plan), Some(json!(3)));
        client.open(&stock, 7, STOCK);
    }
    // What another plan uses stays a file of its own.
    client.open(&folder.uri("other.harness"), 1, "use \"stock.harness\"\n");
    let list = asked_at(&mut client, &plan, 0, only("refactor.inline"));
    let reasons: Vec<&Value> = list.iter().map(|a| &a["disabled"]["reason"]).collect();
    assert!(
        reasons.contains(&&json!("Another plan that is open uses this file, too.")),
        "{list:?}"
    );
    client.end();
}

#[test]
fn a_refactoring_that_is_asked_for_says_why_not() {
    let text = "supply s 5 V 1 A\nled ruby drops 2 V at 20 mA colour red\n";
    let mut client = Client::new(able());
    client.open(A, 1, text);
    let reasons = |list: &[Value]| -> Vec<(String, String)> {
        let not = list.iter().filter(|action| action["disabled"].is_object());
        let words = |value: &Value| value.as_str().unwrap_or_default().to_owned();
        not.map(|action| {
            assert!(action.get("edit").is_none() && action.get("data").is_none());
            (words(&action["kind"]), words(&action["disabled"]["reason"]))
        })
        .collect()
    };
    let here = range((0, 1), (0, 1));
    let kinds = |found: &[(String, String)]| -> Vec<String> {
        found.iter().map(|(kind, _)| kind.clone()).collect()
    };
    let list = actions(&mut client, here.clone(), only("refactor"));
    let found = reasons(&list);
    assert_eq!(
        kinds(&found),
        [
            "refactor.rewrite",
            "refactor.inline",
            "refactor.inline",
            "refactor.extract"
        ]
    );
    assert_eq!(
        found[0].1,
        "There is no other way to wire it with the stock of this plan."
    );
    let list = actions(&mut client, here.clone(), only("refactor.rewrite"));
    assert_eq!(kinds(&reasons(&list)), ["refactor.rewrite"]);
    // Who asks for anything, or for something else, hears nothing of it.
    for context in [anything(), only(""), only("quickfix"), only("source")] {
        let list = actions(&mut client, here.clone(), context);
        assert_eq!(reasons(&list), []);
    }
    client.end();
    let mut client = Client::new(without("disabledSupport"));
    client.open(A, 1, text);
    assert_eq!(
        actions(&mut client, here, only("refactor")),
        [] as [Value; 0]
    );
    client.end();
}

/// A plan in parts.
fn street() -> String {
    let mut text = include_str!("../../src/parts/street.head.harness").to_owned();
    for k in 1..=6 {
        let house = include_str!("../../src/parts/street.unit.harness");
        text += &house.replace("{k}", &k.to_string());
    }
    text
}

/// What is of all parts takes the whole plan: for that the editor must ask because somebody did.
#[test]
fn the_whole_of_a_large_plan_is_worked_out_for_who_asks() {
    let text = street();
    let line = text.lines().position(|line| line.starts_with("led pearl"));
    let at = (line.expect("the line") as u64, 1);
    let mut client = Client::new(able());
    client.open(A, 1, &text);
    for (trigger, kinds) in [
        (json!(1), vec!["refactor.extract", "refactor.extract"]),
        (json!(2), vec![]),
    ] {
        let context = json!({"diagnostics": [], "triggerKind": trigger});
        let list = actions(&mut client, range(at, at), context);
        let found = list.iter().filter_map(|a| a["kind"].as_str());
        let found: Vec<&str> = found.filter(|kind| kind.starts_with("refactor")).collect();
        assert_eq!(found, kinds);
    }
    client.end();
}

/// In a large plan an action is worked out from its own part; what it mends is the finding that was sent.
#[test]
fn an_action_of_one_part_of_a_large_plan() {
    let text = street().replace("bow-5 of warm 3 lamps", "bow-5 of warm 4 lamps");
    let line = text.lines().position(|line| line.contains("bow-5 of"));
    let line = line.expect("the line") as u64;
    let mut client = Client::new(able());
    client.open(A, 1, &text);
    let findings = client.findings(A, 1);
    let of_line = findings
        .iter()
        .find(|f| f["range"]["start"]["line"] == line && f["code"] == "cut-inside-group");
    let finding = of_line.expect("a finding").clone();
    let list = actions(&mut client, finding["range"].clone(), only("quickfix"));
    let fix = list
        .iter()
        .find(|fix| fix["diagnostics"] == json!([finding]));
    let fix = fix.expect("a mend of it").clone();
    let chosen = client.result("codeAction/resolve", fix);
    let edits = changes(&chosen);
    assert_eq!(edits[0]["range"]["start"]["line"], line);
    client.change(A, 2, edits);
    let findings = client.findings(A, 2);
    let is_there = |f: &Value| f["code"] == "cut-inside-group";
    assert!(!findings.iter().any(is_there), "{findings:?}");
    client.end();
}

/// Neovim asks at the cursor and names the findings of its line: their mends are offered, wherever in the line the cursor is.
#[test]
fn a_finding_of_the_line_is_mended_from_anywhere_in_it() {
    let mut client = Client::new(able());
    client.open(A, 1, TEXT);
    let findings = client.findings(A, 1);
    let cursor = range((0, 0), (0, 0));
    let quick = |findings: &[Value]| json!({"diagnostics": findings, "only": ["quickfix"]});
    assert_eq!(actions(&mut client, cursor.clone(), quick(&[])), NOTHING);
    let elsewhere = findings
        .iter()
        .filter(|finding| finding["range"]["start"]["line"] == 1);
    let elsewhere: Vec<Value> = elsewhere.cloned().collect();
    assert_ne!(elsewhere, NOTHING);
    let none = actions(&mut client, cursor.clone(), quick(&elsewhere));
    assert_eq!(none, NOTHING, "it is in another line");
    let list = actions(&mut client, cursor, quick(&findings));
    let fix = list.first().expect("a mend");
    assert_eq!(fix["diagnostics"], json!([findings[0]]));
    let chosen = client.result("codeAction/resolve", fix.clone());
    client.change(A, 2, changes(&chosen));
    assert_eq!(client.findings(A, 2).len(), findings.len() - 1);
    client.end();
}
