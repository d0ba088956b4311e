//! Examples cut off somewhere, without one of their lines, or with one of them twice: every feature answers, and what it tells of
//! lies in the text, on borders of characters.
//!
//! Here some of the texts of each example, with some of the requests for each, other ones every time; with `GLIMLOOM_EVERY_LINE=1`
//! every line gone and every line twice, with all requests for each, and every prefix that ends at a word, with some. (A plan with something of
//! everything loses each of its lines in `src/editor/half_written.rs`, in every run.)

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::{PLAN, everything, is_well, requests_at, requests_of};
use crate::dice::Dice;
use crate::tidy::{files, root};
use crate::wire::client::{Client, server};

/// Each so many-th line of an example …
const LINES: usize = 11;
/// … and each so many-th word, where not all are asked about.
const WORDS: usize = 97;
/// So many requests for each text.
const REQUESTS: usize = 8;

/// The texts to ask about, and about which of them everything is asked, where every line is.
fn texts(example: &str, every: bool) -> Vec<(String, bool)> {
    let lines: Vec<&str> = example.split_inclusive('\n').collect();
    let some = |of: usize| if every { 1 } else { of };
    let mut texts = Vec::new();
    for at in (example.len() % some(LINES)..lines.len()).step_by(some(LINES)) {
        let (ahead, behind) = (lines[..at].concat(), lines[at + 1..].concat());
        texts.push((format!("{ahead}{behind}"), every));
        texts.push((format!("{ahead}{0}{0}{behind}", lines[at]), every));
    }
    let words = example.match_indices([' ', '\n', '"', '.']);
    texts.extend(
        words
            .step_by(some(WORDS))
            .map(|(at, _)| (example[..at].into(), false)),
    );
    texts
}

/// The columns of each line on which a character begins or the line ends.
fn borders(text: &str) -> Vec<Vec<u64>> {
    let lines = text.split('\n').map(|line| line.trim_end_matches('\r'));
    lines
        .map(|line| {
            let mut at = 0;
            let mut borders = vec![0];
            for c in line.chars() {
                at += c.len_utf16() as u64;
                borders.push(at);
            }
            borders
        })
        .collect()
}

/// Whether a place is one of a text, on the border of a character.
fn is_border(borders: &[Vec<u64>], place: &Value) -> bool {
    let (Some(line), Some(column)) = (place["line"].as_u64(), place["character"].as_u64()) else {
        return false;
    };
    let line = borders.get(line as usize);
    line.is_some_and(|line| line.binary_search(&column).is_ok())
}

/// Holds every range and place in an answer that is one of the text itself.
fn hold(value: &Value, borders: &[Vec<u64>], what: &str) {
    match value {
        Value::Array(all) => all.iter().for_each(|value| hold(value, borders, what)),
        Value::Object(all) => {
            let is_elsewhere = |of: &Value| of["uri"].is_string() && of["uri"] != PLAN;
            if is_elsewhere(value) || is_elsewhere(&value["textDocument"]) {
                return;
            }
            if all.contains_key("start") && all.contains_key("end") {
                let order = |of: &Value| (of["line"].as_u64(), of["character"].as_u64());
                let (start, end) = (&value["start"], &value["end"]);
                let is_in = is_border(borders, start) && is_border(borders, end);
                assert!(
                    is_in && order(start) <= order(end),
                    "{what} tells of {value}"
                );
            }
            if let Some(place) = all.get("position") {
                assert!(is_border(borders, place), "{what} tells of {place}");
            }
            let is_whole = !all.contains_key("deleteCount");
            let tokens = all.get("data").filter(|_| is_whole);
            if let Some(tokens) = tokens.and_then(Value::as_array) {
                hold_tokens(tokens, borders, what);
            }
            let of_other_files = |key: &str| key.contains("://") && key != PLAN;
            let own = all.iter().filter(|(key, _)| !of_other_files(key));
            own.for_each(|(_, value)| hold(value, borders, what));
        }
        _ => {}
    }
}

/// LSP 3.17, "Semantic Tokens": five numbers a token, line and start relative to the one before.
fn hold_tokens(tokens: &[Value], borders: &[Vec<u64>], what: &str) {
    let tokens: Vec<u64> = tokens.iter().filter_map(Value::as_u64).collect();
    let (mut line, mut start) = (0, 0);
    for token in tokens.chunks_exact(5) {
        start = if token[0] == 0 {
            start + token[1]
        } else {
            token[1]
        };
        line += token[0];
        for column in [start, start + token[2]] {
            let place = json!({"line": line, "character": column});
            assert!(
                is_border(borders, &place),
                "{what} tells of {token:?} at {place}"
            );
        }
    }
}

/// What is asked about a text: the features about a place, those about the whole, and our own.
fn questions(place: &Value, other: &Value, version: i64) -> Vec<(&'static str, Value)> {
    let range = json!({"start": place, "end": other});
    let document = json!({"textDocument": {"uri": PLAN}});
    let mut all = requests_at(place, &range);
    all.extend(requests_of(PLAN));
    let mut delta = document.clone();
    delta["previousResultId"] = json!(version.to_string());
    all.push(("textDocument/semanticTokens/full/delta", delta));
    all.push(("workspace/symbol", json!({"query": "a"})));
    all.push(("textDocument/diagnostic", document.clone()));
    all.push(("glimloom/sheet", document.clone()));
    all.push(("glimloom/drawing", document.clone()));
    let mut dark = document;
    dark["dark"] = json!(["masthead", "desk"]);
    all.push(("glimloom/suspects", dark));
    all
}

/// What is asked about an answer.
fn next_questions(method: &str, result: &Value) -> Vec<(&'static str, Value)> {
    let items = if result["items"].is_array() {
        &result["items"]
    } else {
        result
    };
    let Some(item) = items
        .as_array()
        .and_then(|items| items.get(items.len() / 2))
    else {
        return Vec::new();
    };
    match method {
        "textDocument/completion" => vec![("completionItem/resolve", item.clone())],
        "textDocument/inlayHint" => vec![("inlayHint/resolve", item.clone())],
        "textDocument/codeLens" => vec![("codeLens/resolve", item.clone())],
        "textDocument/codeAction" if item["disabled"].is_null() => {
            vec![("codeAction/resolve", item.clone())]
        }
        "textDocument/prepareCallHierarchy" => vec![
            ("callHierarchy/incomingCalls", json!({"item": item})),
            ("callHierarchy/outgoingCalls", json!({"item": item})),
        ],
        _ => Vec::new(),
    }
}

fn ask_about(
    client: &mut Client,
    version: i64,
    text: &str,
    many: usize,
    dice: &mut Dice,
    asked: &mut BTreeMap<String, usize>,
) {
    client.change(PLAN, version, json!([{"text": text}]));
    let borders = borders(text);
    let mut place = || {
        let line = dice.below(borders.len());
        let columns = &borders[line];
        json!({"line": line, "character": columns[dice.below(columns.len())]})
    };
    let (at, other) = (place(), place());
    let all = questions(&at, &other, version);
    let first = dice.below(all.len());
    let questions = all.iter().cycle().skip(first).step_by(3).take(many);
    let mut open: Vec<(&str, Value)> = questions.cloned().collect();
    while let Some((method, params)) = open.pop() {
        let answer = client.request(method, params);
        let what = format!("{method} at {at} in\n{text}\n");
        // LSP 3.17, "Error codes": RequestFailed, in words; InvalidParams, of lights that are in no such text.
        let code = answer["error"]["code"].as_i64();
        assert!(
            matches!(code, None | Some(-32803 | -32602)),
            "{what}: {answer}"
        );
        hold(&answer["result"], &borders, &what);
        *asked.entry(method.to_owned()).or_default() += 1;
        open.extend(next_questions(method, &answer["result"]));
    }
    let document = json!({"textDocument": {"uri": PLAN}});
    let found = client.result("textDocument/diagnostic", document);
    assert!(found["items"].is_array(), "{found}");
    hold(&found, &borders, &format!("a finding in\n{text}\n"));
    if version % 64 == 0 {
        client.unread();
    }
}

#[test]
fn examples_that_are_half_written() {
    let every = std::env::var_os("GLIMLOOM_EVERY_LINE").is_some();
    let mut dice = Dice::seeded(41);
    let mut asked = BTreeMap::new();
    let mut texts_asked_about = 0;
    let stock = std::fs::read_to_string(root().join("docs/examples/lock-stock.harness")).unwrap();
    for path in files("docs/examples", &[".harness"]) {
        let example = std::fs::read_to_string(&path).unwrap();
        let mut client = Client::from(server());
        client.shake_hands(json!({"capabilities": everything()}));
        client.open("file:///nowhere/lock-stock.harness", 1, &stock);
        client.open(PLAN, 0, "# a text that none of these is\n@@\n");
        for (nth, (text, all)) in texts(&example, every).iter().enumerate() {
            let many = if *all { usize::MAX } else { REQUESTS };
            let many = many.min(questions(&json!(0), &json!(0), 0).len());
            ask_about(
                &mut client,
                nth as i64 + 1,
                text,
                many,
                &mut dice,
                &mut asked,
            );
            texts_asked_about += 1;
        }
        is_well(client);
    }
    println!("{texts_asked_about} texts; {asked:?}");
    let all = questions(&json!(0), &json!(0), 0);
    for (method, _) in &all {
        assert!(asked.contains_key(*method), "{method} was not asked");
    }
}
