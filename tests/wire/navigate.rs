//! Where names lead to and where they are used, across open files; the way of the power; what grows and folds.

use serde_json::{Value, json};

use super::client::{Client, range};

const STOCK: &str = "file:///boats/stock.harness";
const FERRY: &str = "file:///boats/ferry.harness";
const TUG: &str = "file:///boats/tug.harness";

const STOCK_TEXT: &str = "led pearl\n  drops 3.0 V at 20 mA\n";
const FERRY_TEXT: &str = "\
use \"stock.harness\"
supply cell 12 V
joint keel from cell
lamp mast  of pearl  resistor 560 ohm from keel
lamp stern of pearl  resistor 560 ohm from keel
scene dusk off stern
";
const TUG_TEXT: &str = "\
use \"stock.harness\"
supply cell 9 V
lamp ruby of pearl resistor 560 ohm from cell
";

/// A client with two plans that use one file, all of them open.
fn fleet() -> Client {
    let mut client = Client::new(json!({
        "workspace": {"workspaceEdit": {"documentChanges": true}},
        "textDocument": {"rename": {"prepareSupport": true}},
    }));
    client.open(STOCK, 3, STOCK_TEXT);
    client.open(FERRY, 4, FERRY_TEXT);
    client.open(TUG, 5, TUG_TEXT);
    client
}

fn at(uri: &str, line: u64, character: u64) -> Value {
    json!({"textDocument": {"uri": uri}, "position": {"line": line, "character": character}})
}

fn place(uri: &str, line: u64, from: u64, to: u64) -> Value {
    json!({"uri": uri, "range": range((line, from), (line, to))})
}

fn named(mut params: Value, new: &str) -> Value {
    params["newName"] = json!(new);
    params
}

#[test]
fn a_name_leads_to_its_stanza_and_to_its_stock() {
    let mut client = fleet();
    let stern = at(FERRY, 5, 17);
    for method in ["textDocument/definition", "textDocument/declaration"] {
        let found = client.result(method, stern.clone());
        assert_eq!(found, json!([place(FERRY, 4, 5, 10)]), "{method}");
    }
    let stock = client.result("textDocument/typeDefinition", stern);
    assert_eq!(stock, json!([place(STOCK, 0, 4, 9)]));
    let nowhere = client.result("textDocument/typeDefinition", at(FERRY, 1, 2));
    assert_eq!(nowhere, json!([]));
    client.end();
}

#[test]
fn uses_in_all_open_plans() {
    let mut client = fleet();
    let uses = [
        place(FERRY, 3, 14, 19),
        place(FERRY, 4, 14, 19),
        place(TUG, 2, 13, 18),
    ];
    for from in [at(STOCK, 0, 6), at(FERRY, 3, 14), at(TUG, 2, 18)] {
        let mut params = from;
        params["context"] = json!({"includeDeclaration": false});
        let found = client.result("textDocument/references", params.clone());
        assert_eq!(found, json!(uses), "{params}");
        params["context"]["includeDeclaration"] = json!(true);
        let found = client.result("textDocument/references", params);
        assert_eq!(found.as_array().unwrap().len(), 4);
        assert!(found.as_array().unwrap().contains(&place(STOCK, 0, 4, 9)));
    }
    client.end();
}

#[test]
fn the_same_thing_in_the_file_is_marked() {
    let mut client = fleet();
    let found = client.result("textDocument/documentHighlight", at(FERRY, 2, 7));
    let expected = json!([
        {"range": range((2, 6), (2, 10)), "kind": 3},
        {"range": range((3, 43), (3, 47)), "kind": 2},
        {"range": range((4, 43), (4, 47)), "kind": 2},
    ]);
    // The columns are those of the text.
    assert_eq!(&FERRY_TEXT.lines().nth(3).unwrap()[43..47], "keel");
    assert_eq!(found, expected);
    let linked = client.result("textDocument/linkedEditingRange", at(FERRY, 2, 7));
    assert_eq!(linked["ranges"].as_array().unwrap().len(), 3);
    assert!(linked["wordPattern"].is_string());
    // Another file would have to change too.
    let elsewhere = client.result("textDocument/linkedEditingRange", at(FERRY, 3, 15));
    assert_eq!(elsewhere, Value::Null);
    client.end();
}

#[test]
fn a_rename_reaches_every_open_plan() {
    let mut client = fleet();
    let prepared = client.result("textDocument/prepareRename", at(TUG, 2, 14));
    assert_eq!(prepared, range((2, 13), (2, 18)));
    let edit = client.result("textDocument/rename", named(at(TUG, 2, 14), "milk"));
    let changes = edit["documentChanges"].as_array().unwrap();
    let versions: Vec<_> = changes
        .iter()
        .map(|c| &c["textDocument"]["version"])
        .collect();
    assert_eq!(versions, [&json!(4), &json!(3), &json!(5)], "{edit}");
    for (index, uri) in [FERRY, STOCK, TUG].iter().enumerate() {
        assert_eq!(changes[index]["textDocument"]["uri"], *uri);
        let edits = changes[index]["edits"].as_array().unwrap().iter();
        let edits = edits.map(|e| json!({"range": e["range"], "text": e["newText"]}));
        client.change(uri, 9, edits.rev().collect());
    }
    let definition = client.result("textDocument/definition", at(TUG, 2, 14));
    assert_eq!(definition, json!([place(STOCK, 0, 4, 8)]));
    let mut params = at(FERRY, 3, 14);
    params["context"] = json!({"includeDeclaration": true});
    let uses = client.result("textDocument/references", params);
    assert_eq!(uses.as_array().unwrap().len(), 4, "{uses}");
    client.end();
}

#[test]
fn a_rename_that_would_break_a_plan_is_refused_in_plain_words() {
    let mut client = fleet();
    let refusals = [
        (
            at(FERRY, 2, 7),
            "mast",
            "`mast` is taken: it is a lamp already. Choose another name.",
        ),
        (
            at(FERRY, 2, 7),
            "from",
            "`from` is a word of the language and cannot be a name.",
        ),
        (
            at(STOCK, 0, 5),
            "ruby",
            "In the plan tug.harness: `ruby` is taken: it is a lamp of tug.harness already. Choose another name.",
        ),
    ];
    for (params, new, message) in refusals {
        let answer = client.request("textDocument/rename", named(params, new));
        assert_eq!(answer["error"]["message"], message);
        // RequestFailed, LSP 3.17.
        assert_eq!(answer["error"]["code"], -32803);
    }
    let nothing = client.result("textDocument/prepareRename", at(FERRY, 1, 2));
    assert_eq!(nothing, Value::Null);
    client.end();
}

#[test]
fn symbols_of_all_open_plans() {
    let mut client = fleet();
    let mut search = |query: &str| {
        let found = client.result("workspace/symbol", json!({"query": query}));
        let found = found.as_array().unwrap().iter();
        let shown = found.map(|s| {
            let file = s["location"]["uri"].as_str().unwrap();
            let file = file.rsplit('/').next().unwrap();
            format!(
                "{} ({}) {file}",
                s["name"].as_str().unwrap(),
                s["containerName"].as_str().unwrap()
            )
        });
        shown.collect::<Vec<_>>()
    };
    // The stock is part of both plans and stands once.
    assert_eq!(search("pearl"), ["pearl (led) stock.harness"]);
    assert_eq!(
        search("ce"),
        ["cell (supply) ferry.harness", "cell (supply) tug.harness"]
    );
    assert_eq!(search("nothing-of-the-kind"), [""; 0]);
    client.end();
}

#[test]
fn the_way_of_the_power_step_by_step() {
    let mut client = fleet();
    let items = client.result("textDocument/prepareCallHierarchy", at(FERRY, 3, 44));
    let keel = items[0].clone();
    assert_eq!(keel["name"], "keel");
    assert_eq!(keel["selectionRange"], range((2, 6), (2, 10)));
    let fed = client.result("callHierarchy/outgoingCalls", json!({"item": keel}));
    let names: Vec<_> = fed
        .as_array()
        .unwrap()
        .iter()
        .map(|f| &f["to"]["name"])
        .collect();
    assert_eq!(names, ["mast", "stern"]);
    assert_eq!(fed[0]["fromRanges"], json!([range((3, 43), (3, 47))]));
    let feeders = client.result("callHierarchy/incomingCalls", json!({"item": fed[0]["to"]}));
    assert_eq!(feeders[0]["from"]["name"], "keel");
    let feeders = client.result(
        "callHierarchy/incomingCalls",
        json!({"item": feeders[0]["from"]}),
    );
    assert_eq!(feeders[0]["from"]["name"], "cell");
    assert!(
        feeders[0]["from"]["detail"]
            .as_str()
            .unwrap()
            .starts_with("supply 12 V")
    );
    // An item that is no more.
    let mut gone = keel;
    gone["data"]["item"] = json!("gone");
    let fed = client.result("callHierarchy/outgoingCalls", json!({"item": gone}));
    assert_eq!(fed, json!([]));
    gone["data"] = Value::Null;
    let fed = client.result("callHierarchy/outgoingCalls", json!({"item": gone}));
    assert_eq!(fed, Value::Null);
    client.end();
}

#[test]
fn links_folds_and_growing_selections() {
    let mut client = fleet();
    let document = json!({"textDocument": {"uri": FERRY}});
    let links = client.result("textDocument/documentLink", document);
    assert_eq!(
        links,
        json!([{"range": range((0, 5), (0, 18)), "target": STOCK}])
    );

    let folds = client.result(
        "textDocument/foldingRange",
        json!({"textDocument": {"uri": STOCK}}),
    );
    assert_eq!(folds, json!([{"startLine": 0, "endLine": 1}]));

    let places = json!([{"line": 1, "character": 9}, {"line": 0, "character": 0}]);
    let params = json!({"textDocument": {"uri": STOCK}, "positions": places});
    let grown = client.result("textDocument/selectionRange", params);
    let expected = json!({
        "range": range((1, 8), (1, 11)),
        "parent": {
            "range": range((1, 8), (1, 13)),
            "parent": {
                "range": range((1, 2), (1, 22)),
                "parent": {
                    "range": range((0, 0), (1, 22)),
                    "parent": {"range": range((0, 0), (2, 0))},
                },
            },
        },
    });
    assert_eq!(grown[0], expected);
    assert_eq!(grown.as_array().unwrap().len(), 2);
    client.end();
}

#[test]
fn a_file_that_is_not_open_has_no_answers() {
    let mut client = Client::new(json!({}));
    let there = at("file:///nowhere.harness", 0, 0);
    for method in [
        "textDocument/typeDefinition",
        "textDocument/documentHighlight",
        "textDocument/prepareRename",
        "textDocument/linkedEditingRange",
        "textDocument/prepareCallHierarchy",
        "textDocument/documentLink",
        "textDocument/foldingRange",
    ] {
        assert_eq!(
            client.result(method, there.clone()),
            Value::Null,
            "{method}"
        );
    }
    let edit = client.result("textDocument/rename", named(there, "x"));
    assert_eq!(edit, Value::Null);
    assert_eq!(
        client.result("workspace/symbol", json!({"query": ""})),
        json!([])
    );
    client.end();
}
