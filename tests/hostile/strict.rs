//! A strict client: whatever edit the server offers it makes to the letter, on a text of its own: no place past the end of a line or inside a
//! character, no two edits over each other. It then tells the server of it, edit by edit, and the server must say of the document
//! what it says of one that is opened with that very text. Layout changes blanks alone.
//!
//! Some plans in each run, with line ends of all kinds and letters of all widths, in all three ways to count columns; other ones for each
//! `GLIMLOOM_SEED`. `GLIMLOOM_STRICT=100` takes more.

use serde_json::{Value, json};

use super::{everything, is_well};
use crate::dice::Dice;
use crate::tidy::files;
use crate::wire::client::{Client, server};

const URI: &str = "file:///nowhere/strict.harness";
const FRESH: &str = "file:///nowhere/fresh.harness";

/// So many texts without being asked for more.
const TEXTS: usize = 12;
/// So many places of each where actions, a rename and a completion are asked for.
const PLACES: usize = 6;

/// A text, and how its columns are counted.
struct Copy {
    text: String,
    width: fn(char) -> u64,
}

impl Copy {
    /// Where each line begins and ends, its end of line left out.
    fn lines(&self) -> Vec<(usize, usize)> {
        let bytes = self.text.as_bytes();
        let (mut lines, mut start) = (Vec::new(), 0);
        for (at, byte) in bytes.iter().enumerate() {
            let is_second = *byte == b'\n' && at > 0 && bytes[at - 1] == b'\r';
            match byte {
                b'\n' if is_second => start = at + 1,
                b'\n' | b'\r' => {
                    lines.push((start, at));
                    start = at + 1;
                }
                _ => {}
            }
        }
        lines.push((start, bytes.len()));
        lines
    }

    /// The byte of a place, which must be there.
    fn byte(&self, place: &Value, what: &str) -> usize {
        let (line, column) = (place["line"].as_u64(), place["character"].as_u64());
        let lines = self.lines();
        let line = lines.get(line.expect("a line") as usize);
        let (start, end) = *line.unwrap_or_else(|| panic!("{what}: no line of {place}"));
        let mut left = column.expect("a column");
        for (at, c) in self.text[start..end].char_indices() {
            if left == 0 {
                return start + at;
            }
            let less = left.checked_sub((self.width)(c));
            left = less.unwrap_or_else(|| panic!("{what}: {place} is inside of {c:?}"));
        }
        assert_eq!(left, 0, "{what}: {place} is past the end of its line");
        end
    }

    /// The place of a byte of a line.
    fn place(&self, line: usize, byte: usize) -> Value {
        let (start, _) = self.lines()[line];
        let column: u64 = self.text[start..byte].chars().map(self.width).sum();
        json!({"line": line, "character": column})
    }

    /// The text with all edits made, and the edits as changes one after the other: from the last place to the first.
    fn edited(&self, edits: &[Value], what: &str) -> (String, Vec<Value>) {
        let mut all: Vec<(usize, usize, &Value)> = (edits.iter())
            .map(|edit| {
                let range = &edit["range"];
                let (start, end) = (
                    self.byte(&range["start"], what),
                    self.byte(&range["end"], what),
                );
                assert!(start <= end, "{what}: {range} ends before it starts");
                (start, end, edit)
            })
            .collect();
        all.sort_by_key(|(start, end, _)| (*start, *end));
        let (mut text, mut last, mut changes) = (String::new(), 0, Vec::new());
        for (start, end, edit) in all {
            assert!(last <= start, "{what}: two edits of one place: {edits:?}");
            let new = edit["newText"].as_str().expect("a new text");
            text += &self.text[last..start];
            text += new;
            last = end;
            changes.push(json!({"range": edit["range"], "text": new}));
        }
        changes.reverse();
        (text + &self.text[last..], changes)
    }
}

/// The edits of this document in a workspace edit; there may be others.
fn own(edit: &Value) -> Vec<Value> {
    let by_version = edit["documentChanges"].as_array().into_iter().flatten();
    let by_version = by_version.filter(|file| file["textDocument"]["uri"] == URI);
    let by_version = by_version.flat_map(|file| file["edits"].as_array().into_iter().flatten());
    let plain = edit["changes"][URI].as_array().into_iter().flatten();
    by_version.chain(plain).cloned().collect()
}

struct Session {
    client: Client,
    copy: Copy,
    version: i64,
    edits: usize,
}

impl Session {
    fn tell(&mut self, changes: Value) {
        self.version += 1;
        self.client.change(URI, self.version, changes);
    }

    fn whole(&mut self, text: &str) {
        self.copy.text = text.to_owned();
        self.tell(json!([{"text": text}]));
    }

    fn asked(&mut self, uri: &str) -> Vec<Value> {
        let document = json!({"textDocument": {"uri": uri}});
        let mut layout = document.clone();
        layout["options"] = json!({"tabSize": 2, "insertSpaces": true});
        let questions = [
            ("textDocument/diagnostic", "items", &document),
            ("textDocument/documentSymbol", "", &document),
            ("textDocument/semanticTokens/full", "data", &document),
            ("textDocument/foldingRange", "", &document),
            ("textDocument/formatting", "", &layout),
        ];
        let answers = questions.map(|(method, member, params)| {
            let answer = self.client.result(method, params.clone());
            let answer = if member.is_empty() {
                &answer
            } else {
                &answer[member]
            };
            answer.to_string().replace(uri, "URI")
        });
        answers.map(Value::from).into()
    }

    /// What is said of the document is what is said of its text.
    fn is_as_fresh(&mut self, what: &str) {
        let said = self.asked(URI);
        self.client.open(FRESH, 1, &self.copy.text);
        let fresh = self.asked(FRESH);
        self.client.close(FRESH);
        for (said, fresh) in said.iter().zip(&fresh) {
            assert_eq!(said, fresh, "{what} in\n{:?}", self.copy.text);
        }
    }

    /// Makes some edits, holds what comes of it, and goes back to the text before.
    fn make(&mut self, edits: &[Value], what: &str) -> String {
        let before = self.copy.text.clone();
        let (text, changes) = self.copy.edited(edits, what);
        self.copy.text = text.clone();
        self.edits += edits.len();
        self.tell(Value::from(changes));
        self.is_as_fresh(what);
        self.whole(&before);
        text
    }

    fn lay_out(&mut self, method: &str, more: Value) -> String {
        let mut params =
            json!({"textDocument": {"uri": URI}, "options": {"tabSize": 2, "insertSpaces": true}});
        for (key, value) in more.as_object().into_iter().flatten() {
            params[key] = value.clone();
        }
        let edits = self.client.result(method, params);
        let edits = edits.as_array().cloned().unwrap_or_default();
        let bare = |text: &str| text.replace(char::is_whitespace, "");
        let text = self.make(&edits, method);
        assert_eq!(bare(&text), bare(&self.copy.text), "{method}");
        text
    }

    fn work_at(&mut self, line: usize, dice: &mut Dice) {
        let (start, end) = self.copy.lines()[line];
        let mut at = start + dice.below(end - start + 1);
        while !self.copy.text.is_char_boundary(at) {
            at -= 1;
        }
        let place = self.copy.place(line, at);
        let document = json!({"uri": URI});
        let range = json!({"start": self.copy.place(line, start), "end": place});
        let params =
            json!({"textDocument": document, "range": range, "context": {"diagnostics": []}});
        let actions = self.client.result("textDocument/codeAction", params);
        let actions: Vec<Value> = (actions.as_array().into_iter().flatten())
            .filter(|action| action["disabled"].is_null())
            .map(
                |action| match action["edit"].is_null() && !action["data"].is_null() {
                    true => self.client.result("codeAction/resolve", action.clone()),
                    false => action.clone(),
                },
            )
            .collect();
        for action in &actions {
            self.make(&own(&action["edit"]), &action["title"].to_string());
        }
        let params = json!({"textDocument": document, "position": place, "newName": "É-𝐱"});
        let renamed = self.client.request("textDocument/rename", params);
        self.make(&own(&renamed["result"]), "a rename");
        let params = json!({"textDocument": document, "position": place});
        let offered = self.client.result("textDocument/completion", params);
        let items = offered["items"].as_array().or(offered.as_array());
        if let Some(items) = items.filter(|items| !items.is_empty()) {
            let item = dice.one_of(items).clone();
            let item = self.client.result("completionItem/resolve", item);
            let more = item["additionalTextEdits"].as_array().into_iter().flatten();
            let edits: Vec<Value> = std::iter::once(&item["textEdit"])
                .chain(more)
                .cloned()
                .collect();
            self.make(&edits, "a completion");
        }
    }
}

/// The same text in another dress.
fn dressed(text: &str, dice: &mut Dice) -> String {
    let ends = ["\n", "\r\n", "\r"];
    let wide = ["#😀", "# é", "#\u{2028}", "#e\u{301}𝄞", "#"];
    match dice.below(6) {
        0 => text.replace('\n', "\r\n"),
        1 => text.replace('\n', "\r"),
        2 => (text.split('\n'))
            .map(|line| format!("{line}{}", dice.one_of(&ends)))
            .collect(),
        3 => (text.split('#'))
            .map(|part| format!("{part}{}", dice.one_of(&wide)))
            .collect(),
        4 => format!("\u{feff}{}", text.trim_end()),
        _ => text.to_owned(),
    }
}

#[test]
fn every_edit_to_the_letter() {
    let many: usize = match std::env::var("GLIMLOOM_STRICT") {
        Ok(many) => many.parse().expect("GLIMLOOM_STRICT is a number of texts"),
        Err(_) => TEXTS,
    };
    let mut dice = Dice::seeded(5);
    let mut plans = files("docs/examples", &[".harness"]);
    plans.extend(files("tests/plans", &[".harness"]));
    type Width = fn(char) -> u64;
    let encodings: [(&str, Width); 3] = [
        ("utf-8", |c| c.len_utf8() as u64),
        ("utf-16", |c| c.len_utf16() as u64),
        ("utf-32", |_| 1),
    ];
    let mut edits = 0;
    for (encoding, width) in encodings {
        let mut client = Client::from(server());
        let mut capabilities = everything();
        capabilities["general"] = json!({"positionEncodings": [encoding]});
        client.shake_hands(json!({"capabilities": capabilities}));
        client.open(URI, 0, "");
        let copy = Copy {
            text: String::new(),
            width,
        };
        let mut session = Session {
            client,
            copy,
            version: 0,
            edits: 0,
        };
        for _ in 0..many.div_ceil(3) {
            let path = dice.one_of(&plans).clone();
            let text = dressed(&std::fs::read_to_string(path).unwrap(), &mut dice);
            session.whole(&text);
            let laid_out = session.lay_out("textDocument/formatting", json!({}));
            session.whole(&laid_out);
            assert_eq!(
                session.lay_out("textDocument/formatting", json!({})),
                laid_out
            );
            session.whole(&text);
            let lines = session.copy.lines();
            let (from, to) = (dice.below(lines.len()), dice.below(lines.len()));
            let (from, to) = (from.min(to), from.max(to));
            let end = session.copy.place(to, lines[to].1);
            let range = json!({"start": {"line": from, "character": 0}, "end": end});
            session.lay_out("textDocument/rangeFormatting", json!({"range": range}));
            let typed = json!({"position": {"line": to, "character": 0}, "ch": "\n"});
            session.lay_out("textDocument/onTypeFormatting", typed);
            for _ in 0..PLACES {
                let line = dice.below(lines.len());
                session.work_at(line, &mut dice);
            }
            session.client.unread();
        }
        edits += session.edits;
        is_well(session.client);
    }
    println!("{edits} edits");
    assert!(edits > 100);
}
