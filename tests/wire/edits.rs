//! Edits: their order, their columns in each encoding, and places outside the text.

use serde_json::{Value, json};

use super::client::{Client, edit, lines};
use crate::dice::Dice;

const A: &str = "file:///a.harness";
const ENCODINGS: [&str; 3] = ["utf-8", "utf-16", "utf-32"];

fn client(encoding: &str) -> Client {
    let mut client = Client::silent();
    let general = json!({"positionEncodings": [encoding]});
    let result = client.shake_hands(json!({"capabilities": {"general": general}}));
    assert_eq!(result["capabilities"]["positionEncoding"], encoding);
    client
}

/// How many columns `text` takes up.
fn width(text: &str, encoding: &str) -> u64 {
    let width = match encoding {
        "utf-8" => text.len(),
        "utf-16" => text.encode_utf16().count(),
        _ => text.chars().count(),
    };
    width as u64
}

#[test]
fn columns_are_counted_as_agreed() {
    for encoding in ENCODINGS {
        let mut client = client(encoding);
        let before = "zone a note \"😀é€\" ";
        client.open(A, 1, &format!("# 😀\r\n{before}@@\r\n"));
        let findings = client.findings(A, 1);
        let column = width(before, encoding);
        let range = &findings[0]["range"];
        assert_eq!(
            range["start"],
            json!({"line": 1, "character": column}),
            "{encoding}"
        );
        assert_eq!(
            range["end"],
            json!({"line": 1, "character": column + 2}),
            "{encoding}"
        );
        // Take the two signs away, and nothing else.
        client.change(A, 2, json!([edit((1, column), (1, column + 2), "")]));
        assert_eq!(client.findings(A, 2), [] as [Value; 0], "{encoding}");
        client.end();
    }
}

#[test]
fn a_client_that_offers_nothing_counts_in_utf_16() {
    let mut client = Client::new(json!({}));
    client.open(A, 1, "# 😀\n");
    client.change(A, 2, json!([edit((0, 4), (0, 4), "\n@@")]));
    assert_eq!(lines(&client.findings(A, 2)), [1]);
    client.end();
}

#[test]
fn places_outside_the_text_are_clamped() {
    for encoding in ENCODINGS {
        let mut client = client(encoding);
        client.open(A, 1, "# a\r\n# b");
        client.change(
            A,
            2,
            json!([edit((0, 4_000_000_000), (0, 4_294_967_295), "\n@@")]),
        );
        assert_eq!(lines(&client.findings(A, 2)), [1]);
        client.change(
            A,
            3,
            json!([edit((4_294_967_295, 0), (4_294_967_295, 9), "\n@@")]),
        );
        assert_eq!(lines(&client.findings(A, 3)), [1, 3]);
        for (line, column) in [(0u64, 99u64), (99, 0), (4_294_967_295, 4_294_967_295)] {
            let at = json!({"line": line, "character": column});
            let place = json!({"textDocument": {"uri": A}, "position": at});
            client.result("textDocument/hover", place.clone());
            client.result("textDocument/definition", place);
            let range = json!({"start": at, "end": {"line": 0, "character": 0}});
            let action =
                json!({"textDocument": {"uri": A}, "range": range, "context": {"diagnostics": []}});
            client.result("textDocument/codeAction", action);
        }
        client.end();
    }
}

#[test]
fn a_column_inside_a_character() {
    let mut client = client("utf-16");
    client.open(A, 1, "#😀\n");
    // Between the halves of the pair: the character stays whole.
    client.change(A, 2, json!([edit((0, 2), (0, 2), "\n@@\n#")]));
    assert_eq!(lines(&client.findings(A, 2)), [1]);
    client.end();
}

#[test]
fn many_edits_keep_their_order() {
    let mut client = client("utf-16");
    client.open(A, 1, "");
    // Digits are written behind each other; any two that change places give another text.
    for n in 0..3000 {
        let version = n + 2;
        let text = if n % 100 == 99 { "\n@@\n#" } else { "# " };
        let line = (n as u64 / 100) * 2;
        let column = 4_000;
        client.change(
            A,
            version,
            json!([edit((line, column), (line, column), text)]),
        );
    }
    let wanted: Vec<u64> = (0..30).map(|n| n * 2 + 1).collect();
    assert_eq!(lines(&client.findings(A, 3001)), wanted);
    client.end();
}

/// Comment lines and marked lines, with their line ends, as a plain list: the model that the server is held against.
struct Model {
    lines: Vec<(String, &'static str)>,
}

impl Model {
    fn marked(&self) -> Vec<u64> {
        let marked = self
            .lines
            .iter()
            .enumerate()
            .filter(|(_, (line, _))| line == "@@");
        marked.map(|(n, _)| n as u64).collect()
    }

    /// One random edit, on the model and as the protocol has it.
    fn edit(&mut self, dice: &mut Dice, encoding: &str) -> Value {
        let row = dice.below(self.lines.len() + 1);
        let line = row as u64;
        if row == self.lines.len() || dice.below(4) == 0 {
            let text = if dice.below(3) == 0 {
                "@@".to_owned()
            } else {
                "# 😀é€ x".to_owned()
            };
            let end = ["\n", "\r\n"][dice.below(2)];
            self.lines.insert(row, (text.clone(), end));
            return edit((line, 0), (line, 0), &(text + end));
        }
        let old = &mut self.lines[row];
        match dice.below(3) {
            0 => {
                self.lines.remove(row);
                edit((line, 0), (line + 1, 0), "")
            }
            1 if old.0 != "@@" => {
                let borders: Vec<usize> = old.0.char_indices().map(|(i, _)| i).skip(1).collect();
                let (a, b) = (
                    borders[dice.below(borders.len())],
                    borders[dice.below(borders.len())],
                );
                let (a, b) = (a.min(b), a.max(b));
                let columns = (width(&old.0[..a], encoding), width(&old.0[..b], encoding));
                let new = ["😀", "é", "ab", ""][dice.below(4)];
                old.0.replace_range(a..b, new);
                edit((line, columns.0), (line, columns.1), new)
            }
            _ => {
                let text = if old.0 == "@@" { "# é" } else { "@@" };
                let end = width(&old.0, encoding);
                old.0 = text.to_owned();
                edit((line, 0), (line, end), text)
            }
        }
    }
}

#[test]
fn random_edits_agree_with_a_model() {
    for (seed, encoding) in ENCODINGS.into_iter().enumerate() {
        let mut dice = Dice::seeded(seed as u64 + 7);
        let mut model = Model { lines: vec![] };
        let mut client = client(encoding);
        client.open(A, 0, "");
        client.findings(A, 0);
        for version in 1..=150 {
            let count = dice.below(4) + 1;
            let changes: Vec<Value> = (0..count)
                .map(|_| model.edit(&mut dice, encoding))
                .collect();
            client.change(A, version, json!(changes));
            let marked = model.marked();
            let found = lines(&client.findings(A, version));
            assert_eq!(found, marked, "{encoding}, seed {seed}, version {version}");
        }
        client.end();
    }
}
