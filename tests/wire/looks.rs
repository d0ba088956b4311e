//! What an editor shows beside and between the words, and the settings that say how much of it.

use serde_json::{Value, json};

use super::client::{Client, edit, range};

const A: &str = "file:///a.harness";
const ELSEWHERE: &str = "https://example.org/checks";

/// Where the page of the first finding is.
fn page(client: &mut Client, version: i64) -> Value {
    let findings = client.findings(A, version);
    findings[0]["codeDescription"]["href"].clone()
}

/// A question of the server's, answered.
pub fn answer(client: &mut Client, method: &str, result: Value) -> Value {
    let question = client.wait(method, |m| m["method"] == method);
    client.body(&json!({"jsonrpc": "2.0", "id": question["id"], "result": result}).to_string());
    question
}

#[test]
fn settings_are_asked_for_and_hold_at_once() {
    let mut client = Client::new(json!({"workspace": {
        "configuration": true,
        "didChangeConfiguration": {"dynamicRegistration": true},
    }}));
    let asked = answer(&mut client, "client/registerCapability", Value::Null);
    let registered = &asked["params"]["registrations"][0];
    assert_eq!(registered["method"], "workspace/didChangeConfiguration");
    assert_eq!(
        registered["registerOptions"],
        json!({"section": "glimloom"})
    );
    client.open(A, 1, "@@\n");
    let usual = page(&mut client, 1);
    let asked = answer(
        &mut client,
        "workspace/configuration",
        json!([{"pages": ELSEWHERE}]),
    );
    assert_eq!(asked["params"]["items"], json!([{"section": "glimloom"}]));
    // The findings are told again, of the same text.
    assert_eq!(page(&mut client, 1), format!("{ELSEWHERE}/syntax.md"));
    // What the notification says does not count where one can ask.
    client.notify(
        "workspace/didChangeConfiguration",
        json!({"settings": {"glimloom": {"pages": "https://example.org/no"}}}),
    );
    answer(&mut client, "workspace/configuration", json!([null]));
    assert_eq!(page(&mut client, 1), usual);
    client.end();
}

#[test]
fn settings_are_taken_from_who_cannot_be_asked() {
    let mut client = Client::silent();
    client.shake_hands(json!({
        "processId": null, "rootUri": null, "capabilities": {},
        "initializationOptions": {"pages": ELSEWHERE, "colour": true},
    }));
    let log = client.wait("a complaint", |m| m["method"] == "window/logMessage");
    assert_eq!(log["params"]["message"], "No setting is named `colour`.");
    client.open(A, 1, "@@\n");
    assert_eq!(page(&mut client, 1), format!("{ELSEWHERE}/syntax.md"));
    let other = json!({"glimloom": {"pages": "https://example.org/others"}, "other": {}});
    client.notify(
        "workspace/didChangeConfiguration",
        json!({"settings": other}),
    );
    assert_eq!(page(&mut client, 1), "https://example.org/others/syntax.md");
    let bad = json!({"glimloom": {"pages": 7}});
    client.notify("workspace/didChangeConfiguration", json!({"settings": bad}));
    let log = client.wait("a complaint", |m| m["method"] == "window/logMessage");
    let says = log["params"]["message"].as_str().expect("a message");
    assert!(
        says.starts_with("The setting `pages` is 7, but takes"),
        "{says}"
    );
    // It is as at the start.
    assert_eq!(page(&mut client, 1), format!("{ELSEWHERE}/syntax.md"));
    client.end();
}

#[test]
fn tokens_whole_in_part_and_as_a_difference() {
    let mut client = Client::silent();
    let offered =
        client.shake_hands(json!({"processId": null, "rootUri": null, "capabilities": {}}));
    let provider = &offered["capabilities"]["semanticTokensProvider"];
    assert_eq!(provider["full"], json!({"delta": true}));
    assert_eq!(provider["range"], true);
    let types = provider["legend"]["tokenTypes"].as_array().expect("types");
    let number_of = |name: &str| types.iter().position(|t| t == name).expect("a type") as u64;
    client.open(A, 1, "zone deck\nlamp é of pearl\n");
    let document = json!({"uri": A});
    let full = client.result(
        "textDocument/semanticTokens/full",
        json!({"textDocument": document}),
    );
    let (word, place) = (number_of("keyword"), number_of("namespace"));
    let (item, stock, of) = (
        number_of("variable"),
        number_of("class"),
        number_of("property"),
    );
    let first = json!([0, 0, 4, word, 0, 0, 5, 4, place, 1]);
    let second = json!([
        1, 0, 4, word, 0, 0, 5, 1, item, 1, 0, 2, 2, of, 0, 0, 3, 5, stock, 0
    ]);
    let both = [
        first.as_array().expect("a list").clone(),
        second.as_array().expect("a list").clone(),
    ];
    assert_eq!(full["data"], json!(both.concat()));
    let part = client.result(
        "textDocument/semanticTokens/range",
        json!({"textDocument": document, "range": range((1, 3), (1, 4))}),
    );
    assert_eq!(part["data"], second);
    client.change(A, 2, json!([edit((0, 9), (0, 9), " sealed")]));
    let params = |id: &Value| json!({"textDocument": document, "previousResultId": id});
    let method = "textDocument/semanticTokens/full/delta";
    let delta = client.result(method, params(&full["resultId"]));
    let come = json!([{"start": 10, "deleteCount": 0, "data": [0, 5, 6, of, 0]}]);
    assert_eq!(delta["edits"], come);
    let same = client.result(method, params(&delta["resultId"]));
    assert_eq!(same["edits"], json!([]));
    // An answer that is not the last one is no ground to stand on.
    let anew = client.result(method, params(&full["resultId"]));
    assert_eq!(anew["data"].as_array().expect("all").len(), 35);
    client.end();
}

const PLAN: &str = "\
harness \"Boathouse\"
tape warm group 3 lamps long 50 mm works 7 V to 12.6 V draws 18 mA at 12 V
supply adapter 12 V 1 A resistance 0 ohm
joint loft from adapter
strip eaves of warm 6 lamps from loft
strip doors of warm 3 lamps from loft
scene dusk off doors
";

/// A client that can do all that is asked of one here; `settings` are its start options.
fn able(settings: &Value) -> Client {
    let mut client = Client::silent();
    client.shake_hands(json!({
        "processId": null, "rootUri": null, "initializationOptions": settings,
        "capabilities": {
            "workspace": {"inlayHint": {"refreshSupport": true}, "codeLens": {"refreshSupport": true}},
            "window": {"showDocument": {"support": true}},
            "textDocument": {
                "hover": {"contentFormat": ["markdown"]},
                "inlayHint": {"resolveSupport": {"properties": ["tooltip"]}},
            },
        },
    }));
    client
}

fn hints(client: &mut Client, last: u64) -> Vec<Value> {
    let params = json!({"textDocument": {"uri": A}, "range": range((0, 0), (last, 0))});
    let hints = client.result("textDocument/inlayHint", params);
    hints.as_array().expect("hints").clone()
}

/// `line:column label`
fn shown(hints: &[Value]) -> Vec<String> {
    let each = hints.iter().map(|hint| {
        let (at, label) = (&hint["position"], hint["label"].as_str().expect("a label"));
        format!("{}:{} {label}", at["line"], at["character"])
    });
    each.collect()
}

#[test]
fn hints_their_tooltips_and_their_switches() {
    let mut client = able(&json!({"hints": {"cut": true}}));
    client.open(A, 1, PLAN);
    let all = hints(&mut client, 9);
    let both = [
        "4:27 100 mm",
        "4:37 12 V 36 mA",
        "5:27 50 mm",
        "5:37 12 V 18 mA",
    ];
    assert_eq!(shown(&all), both);
    assert_eq!(all[0]["paddingLeft"], true);
    assert_eq!(all[0].get("tooltip"), None);
    let more = client.result("inlayHint/resolve", all[0].clone());
    let says = "6 lamps of warm: 2 groups, 100 mm, 36 mA at 12 V.";
    assert_eq!(more["tooltip"], json!({"kind": "markdown", "value": says}));
    assert_eq!(more["label"], all[0]["label"]);
    let in_part = hints(&mut client, 5);
    assert_eq!(shown(&in_part), both[..2]);
    // Of another text there is something else to say.
    client.change(A, 2, json!([edit((4, 20), (4, 21), "9")]));
    let more = client.result("inlayHint/resolve", all[0].clone());
    assert_eq!(more.get("tooltip"), None);
    let settings = json!({"hints": {"lights": false, "dark": true}});
    client.notify(
        "workspace/didChangeConfiguration",
        json!({"settings": {"glimloom": settings}}),
    );
    answer(&mut client, "workspace/inlayHint/refresh", Value::Null);
    let all = hints(&mut client, 9);
    assert_eq!(
        shown(&all),
        ["3:23 break: 2 dark", "4:27 150 mm", "5:27 50 mm"]
    );
    // Nothing that concerns lenses has changed.
    let unread = client.unread();
    assert!(
        unread
            .iter()
            .all(|m| m["method"] != "workspace/codeLens/refresh"),
        "{unread:?}"
    );
    client.end();
}

#[test]
fn who_asks_for_no_tooltips_gets_hints_without_a_question() {
    let mut client = Client::new(json!({}));
    client.open(A, 1, PLAN);
    let all = hints(&mut client, 9);
    assert_eq!(all.len(), 2);
    assert_eq!(all[0].get("data"), None);
    client.end();
}

#[test]
fn lenses_say_what_they_say_when_they_are_looked_at_and_tell_more_when_clicked() {
    let mut client = able(&json!({"lenses": {"feeds": true}}));
    client.open(A, 1, PLAN);
    let document = json!({"textDocument": {"uri": A}});
    let lenses = client.result("textDocument/codeLens", document.clone());
    let lenses = lenses.as_array().expect("lenses").clone();
    assert!(lenses.iter().all(|lens| lens.get("command").is_none()));
    let looked_at: Vec<Value> = lenses
        .iter()
        .map(|lens| client.result("codeLens/resolve", lens.clone()))
        .collect();
    let titles: Vec<String> = looked_at
        .iter()
        .map(|lens| {
            format!(
                "{} {}",
                lens["range"]["start"]["line"], lens["command"]["title"]
            )
        })
        .collect();
    assert_eq!(
        titles,
        [
            "0 \"worst break: loft, 2 of 2 lights dark\"",
            "2 \"all-on 54 mA of 1 A · dusk 36 mA\"",
            "3 \"feeds 2: eaves, doors\"",
        ]
    );
    let mut click = |lens: &Value| {
        let command = &lens["command"];
        let params = json!({"command": command["command"], "arguments": command["arguments"]});
        assert_eq!(
            client.result("workspace/executeCommand", params),
            Value::Null
        );
        let message = client.wait("a message", |m| m["method"] == "window/showMessage");
        assert_eq!(message["params"]["type"], 3);
        message["params"]["message"]
            .as_str()
            .expect("words")
            .to_owned()
    };
    assert_eq!(
        click(&looked_at[0]),
        "Worst break: loft. It darkens 2 of 2 lights: eaves, doors."
    );
    let budget = click(&looked_at[1]);
    assert!(
        budget.starts_with("adapter gives\nall-on: 54 mA ("),
        "{budget}"
    );
    assert_eq!(
        click(&looked_at[2]),
        "loft feeds\nstrip eaves: 12 V 36 mA\nstrip doors: 12 V 18 mA"
    );
    // A key may be bound to a command, too.
    let by_hand =
        |name: &str, about: Value| json!({"command": {"command": name, "arguments": [about]}});
    let feeds = click(&by_hand(
        "glimloom.feeds",
        json!({"uri": A, "name": "loft"}),
    ));
    assert!(feeds.starts_with("loft feeds\nstrip eaves"), "{feeds}");
    let nobody = click(&by_hand(
        "glimloom.budget",
        json!({"uri": A, "name": "attic"}),
    ));
    assert_eq!(
        nobody,
        "There are no figures of `attic`: it is not in the plan, or an error keeps it out."
    );
    let shown = answer(&mut client, "window/showDocument", json!({"success": true}));
    assert_eq!(shown["params"]["uri"], A);
    assert_eq!(shown["params"]["selection"], range((3, 6), (3, 10)));
    // What cannot be read has no figures; and there are no other commands.
    client.change(A, 2, json!([edit((2, 15), (2, 19), "")]));
    let lens = client.result("codeLens/resolve", lenses[1].clone());
    assert_eq!(
        lens["command"]["title"],
        "no figures: an error here, or in what feeds it"
    );
    let other = json!({"command": "glimloom.other", "arguments": [lenses[1]["data"]]});
    assert_eq!(client.error("workspace/executeCommand", other), -32602);
    let nothing = json!({"command": "glimloom.budget", "arguments": [{"uri": A}]});
    assert_eq!(client.error("workspace/executeCommand", nothing), -32602);
    client.notify(
        "workspace/didChangeConfiguration",
        json!({"settings": {"glimloom": {"lenses": {"budget": false, "worst": false, "feeds": false}}}}),
    );
    answer(&mut client, "workspace/codeLens/refresh", Value::Null);
    assert_eq!(client.result("textDocument/codeLens", document), json!([]));
    client.end();
}

#[test]
fn colours_and_the_words_for_one_that_is_picked() {
    let mut client = Client::new(json!({}));
    client.open(
        A,
        1,
        "wire é gauge 32 AWG colours red, mauve\nled p drops 3 V at 15 mA colour uv\n",
    );
    let document = json!({"uri": A});
    let found = client.result(
        "textDocument/documentColor",
        json!({"textDocument": document}),
    );
    let red = json!({"red": 1.0, "green": 0.0, "blue": 0.0, "alpha": 1.0});
    assert_eq!(
        found[0],
        json!({"range": range((0, 28), (0, 31)), "color": red})
    );
    assert_eq!(found[1]["range"], range((1, 32), (1, 34)));
    assert_eq!(found.as_array().expect("colours").len(), 2);
    let mut pick = |colour: Value, range: Value| {
        let params = json!({"textDocument": document, "color": colour, "range": range});
        client.result("textDocument/colorPresentation", params)
    };
    let brown = json!({"red": 0.6, "green": 0.2, "blue": 0.1, "alpha": 1.0});
    let words = pick(brown.clone(), found[0]["range"].clone());
    assert_eq!(words[0]["label"], "brown");
    assert_eq!(words[0]["textEdit"], edit_of(&found[0]["range"], "brown"));
    assert_eq!(words.as_array().expect("words").len(), 4);
    let words = pick(red, found[1]["range"].clone());
    assert_eq!(words[0]["textEdit"], edit_of(&found[1]["range"], "red"));
    assert_eq!(pick(brown, range((0, 0), (0, 4))), json!([]));
    client.end();
}

fn edit_of(range: &Value, text: &str) -> Value {
    json!({"range": range, "newText": text})
}

#[test]
fn what_another_file_shows_is_asked_for_anew_when_this_one_is_saved() {
    const B: &str = "file:///b.harness";
    let mut client = able(&json!({"hints": {"cut": true}}));
    let (stock, rest) = PLAN.split_at(PLAN.find("supply").expect("a supply"));
    client.open(B, 1, stock);
    client.open(A, 1, &format!("use \"b.harness\"\n{rest}"));
    assert_eq!(shown(&hints(&mut client, 9))[0], "3:27 100 mm");
    let at = stock
        .lines()
        .nth(1)
        .expect("a tape")
        .find("50 mm")
        .expect("a length") as u64;
    client.change(B, 2, json!([edit((1, at), (1, at + 2), "40")]));
    client.notify("textDocument/didSave", json!({"textDocument": {"uri": B}}));
    answer(&mut client, "workspace/inlayHint/refresh", Value::Null);
    answer(&mut client, "workspace/codeLens/refresh", Value::Null);
    assert_eq!(shown(&hints(&mut client, 9))[0], "3:27 80 mm");
    // What changes on the disk while it is open here changes nothing.
    let saved = |uri: &str| json!({"changes": [{"uri": uri, "type": 2}]});
    client.notify("workspace/didChangeWatchedFiles", saved(B));
    let unread = client.unread();
    assert!(
        unread
            .iter()
            .all(|m| m["method"] != "workspace/inlayHint/refresh"),
        "{unread:?}"
    );
    client.notify(
        "workspace/didChangeWatchedFiles",
        saved("file:///c.harness"),
    );
    answer(&mut client, "workspace/inlayHint/refresh", Value::Null);
    client.end();
}

/// A question of our own: what the supplies give, of how much.
#[test]
fn the_load_of_the_supplies_is_told() {
    let mut client = Client::new(json!({}));
    let plan = "supply big 12 V 1 A\nsupply small 12 V 50 mA\nload fan draws 40 mA from big\nload pump draws 45 mA from small\nscene rest off pump\n";
    client.open(A, 1, plan);
    let document = json!({"textDocument": {"uri": A}});
    let told = client.result("glimloom/load", document.clone());
    let supplies = told["supplies"].as_array().unwrap();
    let expected = [
        ("small", 0.045, 0.05, "tight", "small 45 mA of 50 mA, 90 %"),
        ("big", 0.04, 1.0, "fits", "big 40 mA of 1 A, 4 %"),
    ];
    assert_eq!(supplies.len(), expected.len(), "{told}");
    for (supply, (name, given, limit, fit, says)) in supplies.iter().zip(expected) {
        let words =
            json!({"name": name, "scene": "all-on", "limit": limit, "fit": fit, "says": says});
        let mut supply = supply.clone();
        let solved = supply["given"].take().as_f64().unwrap();
        // The accuracy of the figures (docs/physics.md, law 7).
        assert!((solved - given).abs() < 1e-6, "{name} gives {solved} A");
        supply.as_object_mut().unwrap().remove("given");
        assert_eq!(supply, words);
    }
    // It is that of the text as it stands.
    client.change(A, 2, json!([edit((3, 16), (3, 21), "60 mA")]));
    let told = client.result("glimloom/load", document);
    assert_eq!(told["supplies"][0]["says"], "small 60 mA of 50 mA, 120 %");
    assert_eq!(told["supplies"][0]["fit"], "over");
    let nobody = json!({"textDocument": {"uri": "file:///nobody.harness"}});
    assert_eq!(client.result("glimloom/load", nobody), Value::Null);
    client.end();
}
