//! A long sitting: very many edits with requests between them. Every request has its one answer, the findings at the end
//! are those of a fresh start on the same text, and the memory does not grow.
//!
//! `GLIMLOOM_SOAK=200000` sits longer; `GLIMLOOM_SERVER=target/release/glimloom` with another program.

use serde_json::{Value, json};

use super::{everything, memory, requests_of};
use crate::dice::Dice;
use crate::tidy::root;
use crate::wire::client::{Client, server};

const URI: &str = "untitled:sitting";

/// So many edits without being asked for more.
const EDITS: usize = 3_000;
/// From so many on a sitting is long, and the server warm after a tenth of it.
const LONG: usize = 50_000;
/// After so many edits, at most, the text is as it was at the beginning.
const ROUND: usize = 150;

/// The place of a byte, in UTF-16 units.
fn place(text: &str, at: usize) -> Value {
    let ahead = &text[..at];
    let line = ahead.matches('\n').count();
    let start = ahead.rfind('\n').map_or(0, |end| end + 1);
    let character: usize = ahead[start..].chars().map(char::len_utf16).sum();
    json!({"line": line, "character": character})
}

/// What people type, paste and delete.
fn typed(dice: &mut Dice, text: &str) -> String {
    let pieces = [
        "1",
        "0",
        "x",
        " ",
        "\n",
        ".",
        "#",
        "mm",
        "\"",
        "𝄞",
        "é",
        ",",
        "lamp ",
        " from keel",
        "\nzone other\n",
        "\r\n",
        " over 60 mm of fine",
    ];
    match dice.below(12) {
        0 => {
            let lines: Vec<&str> = text.lines().collect();
            let line = lines.get(dice.below(lines.len())).unwrap_or(&"");
            format!("{line}\n")
        }
        _ => (*dice.one_of(&pieces)).to_owned(),
    }
}

/// A border between two characters, never inside a CR LF.
fn border(dice: &mut Dice, text: &str) -> usize {
    let mut at = dice.below(text.len() + 1);
    while !text.is_char_boundary(at) || text[..at].ends_with('\r') {
        at -= 1;
    }
    at
}

/// The findings of a text, by a server that has just been started.
fn fresh(text: &str) -> Vec<Value> {
    let mut client = Client::from(server());
    client.shake_hands(json!({"capabilities": everything()}));
    client.open(URI, 1, &format!("{text}\n@@\n"));
    let found = client.findings(URI, 1);
    client.end();
    found
}

#[test]
fn a_long_sitting() {
    let edits: usize = match std::env::var("GLIMLOOM_SOAK") {
        Ok(edits) => edits.parse().expect("GLIMLOOM_SOAK is a number of edits"),
        Err(_) => EDITS,
    };
    let first = std::fs::read_to_string(root().join("docs/examples/night-ferry.harness")).unwrap();
    let mut dice = Dice::seeded(2026);
    let mut client = Client::from(server());
    client.shake_hands(json!({"capabilities": everything()}));
    client.open(URI, 0, &first);
    let mut text = first.clone();
    let mut asked: Vec<i64> = Vec::new();
    let mut answered = 0;
    let mut held: Vec<u64> = Vec::new();
    // All of its threads have worked once, however busy the machine is: each holds on to some memory.
    for _ in 0..20 {
        let of = requests_of(URI);
        let ids: Vec<i64> = (0..2)
            .flat_map(|_| &of)
            .map(|(method, params)| client.ask(method, params.clone()))
            .collect();
        for id in ids {
            client.answer(id);
            answered += 1;
        }
        client.unread();
    }
    for version in 1..=edits {
        if version % ROUND == 0 {
            client.change(URI, version as i64, json!([{"text": first}]));
            text = first.clone();
        } else {
            let start = border(&mut dice, &text);
            let end = match dice.below(3) {
                0 => {
                    let mut end = (start + 1 + dice.below(6)).min(text.len());
                    while !text.is_char_boundary(end) || text[..end].ends_with('\r') {
                        end -= 1;
                    }
                    end.max(start)
                }
                _ => start,
            };
            let new = typed(&mut dice, &text);
            let range = json!({"start": place(&text, start), "end": place(&text, end)});
            client.change(URI, version as i64, json!([{"range": range, "text": new}]));
            text.replace_range(start..end, &new);
        }
        if dice.below(4) == 0 {
            let at = border(&mut dice, &text);
            let at = json!({"textDocument": {"uri": URI}, "position": place(&text, at)});
            let of = requests_of(URI);
            let (method, params) = match dice.below(3) {
                0 => ("textDocument/hover", at),
                1 => ("textDocument/completion", at),
                _ => of[dice.below(of.len())].clone(),
            };
            asked.push(client.ask(method, params));
        }
        // As an editor, it does not run ahead for ever.
        if asked.len() >= 8 || version % ROUND == 0 {
            for id in asked.drain(..) {
                let answer = client.answer(id);
                let code = answer["error"]["code"].as_i64();
                // LSP 3.17, "Error codes": ContentModified, where the text has changed since.
                assert!(matches!(code, None | Some(-32801)), "{answer}");
                answered += 1;
            }
            client.unread();
        }
        if version % (edits / 100).max(1) == 0 {
            held.extend(memory::held(&client).map(|(now, _)| now));
        }
    }
    assert!(answered > 0);
    // The text has a finding of its own at its end, so that there is something to be told in every case.
    let end = place(&text, text.len());
    let version = edits as i64 + 1;
    client.change(
        URI,
        version,
        json!([{"range": {"start": end, "end": end}, "text": "\n@@\n"}]),
    );
    assert_eq!(client.findings(URI, version), fresh(&text));
    client.end();
    // Once warm, it holds no more than it did: from the second tenth of a long sitting to the last one, less than a twentieth
    // more. Half of a short sitting is over before it is warm.
    let tenth = held.len() / 10;
    let warm = if edits < LONG { 5 * tenth } else { tenth };
    let (then, now) = (
        middle(held.get(warm..warm + tenth)),
        middle(held.get(held.len() - tenth..)),
    );
    if let (Some(then), Some(now)) = (then, now) {
        println!("{edits} edits, {answered} answers; once warm {then} kB, at the end {now} kB");
        assert!(now * 100 <= then * 105, "memory grows: {held:?}");
    }
}

/// The one in the middle: what is held goes up and down from moment to moment.
fn middle(held: Option<&[u64]>) -> Option<u64> {
    let mut held = held?.to_vec();
    held.sort_unstable();
    held.get(held.len() / 2).copied()
}
