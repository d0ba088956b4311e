//! The extension for VS Code says what the program says: its version, its words. What it shows before the server answers is made from
//! the vocabulary. To write that anew: `GLIMLOOM_WRITE=1 cargo test words_of_vs_code`.

use std::collections::BTreeSet;

use super::root;
use glimloom::syntax::vocabulary::{ClauseShape, STANZAS, Slot, UNITS};
use serde_json::{Value, json};

/// The words that stand somewhere as themselves.
#[derive(Default)]
struct Words {
    clauses: BTreeSet<&'static str>,
    choices: BTreeSet<&'static str>,
}

impl Words {
    fn all() -> Words {
        let mut words = Words::default();
        for stanza in STANZAS {
            words.slots(stanza.head);
            stanza.clauses.iter().for_each(|shape| words.clause(shape));
        }
        // A word of both kinds is told by its place, which a list of words does not know.
        let both: Vec<_> = words
            .choices
            .intersection(&words.clauses)
            .copied()
            .collect();
        both.into_iter()
            .for_each(|word| _ = words.choices.remove(word));
        words
    }

    fn clause(&mut self, shape: &'static ClauseShape) {
        self.clauses.insert(shape.word);
        self.slots(shape.slots);
        shape.parts.iter().for_each(|part| self.clause(part));
    }

    fn slots(&mut self, slots: &'static [Slot]) {
        for slot in slots {
            match slot {
                Slot::Word(word) => _ = self.clauses.insert(word),
                Slot::Count(words) => self.clauses.extend(words.iter()),
                Slot::Choice(words) => self.choices.extend(words.iter()),
                Slot::Optional(inner) | Slot::List(inner) => self.slots(inner),
                Slot::Either(ways) => ways.iter().for_each(|way| self.slots(way)),
                _ => {}
            }
        }
    }
}

/// One of these, the longest first.
fn one_of<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    let mut words: Vec<&str> = words.into_iter().collect();
    words.sort_by_key(|word| (std::cmp::Reverse(word.len()), *word));
    words.join("|")
}

/// The grammar, in the regular expressions of Oniguruma.
fn grammar() -> Value {
    // What a name can go on with.
    const IN: &str = r"[\p{L}\p{M}\p{N}_\-]";
    let name = format!(r"[\p{{L}}_]{IN}*(?:\.{IN}+)*");
    let words = Words::all();
    let (named, other): (Vec<_>, Vec<_>) = STANZAS
        .iter()
        .partition(|shape| shape.stanza.defines_a_name());
    let stock = named.iter().filter(|shape| shape.stanza.is_stock());
    let item = named.iter().filter(|shape| !shape.stanza.is_stock());
    let stanza = |words: String, scope: &str| {
        json!({
            "match": format!(r"^\x{{FEFF}}?({words})(?!{IN}|\.)(?:[ \t]+({name}))?"),
            "captures": {
                "1": { "name": "keyword.control.harness" },
                "2": { "name": scope },
            },
        })
    };
    let word = |words: String, scope: &str| json!({ "match": format!(r"(?<!{IN}|\.)(?:{words})(?!{IN}|\.)"), "name": scope });
    let units = one_of(
        UNITS
            .iter()
            .map(|unit| unit.word)
            .filter(|unit| *unit != "%"),
    );
    let comment = json!({ "match": "#.*$", "name": "comment.line.number-sign.harness" });
    let text = json!({
        "match": r#""(?:\\.|[^"\\])*(?:"|$)"#,
        "name": "string.quoted.double.harness",
    });
    let figure = json!({
        "match": format!(r"(?<!{IN}|\.)[+\-−]?\.?\d(?:{IN}|[%°²]|[.,/:](?=\p{{N}}))*(?:[ \t]*(?:%|(?:{units})(?!{IN})))?"),
        "name": "constant.numeric.harness",
    });
    let plain = json!({
        "match": format!(r"^\x{{FEFF}}?({})(?!{IN}|\.)", one_of(other.iter().map(|s| s.stanza.word()))),
        "name": "keyword.control.harness",
    });
    json!({
        "name": "Harness",
        "scopeName": "source.harness",
        "fileTypes": ["harness"],
        "patterns": [
            comment,
            text,
            stanza(one_of(stock.map(|s| s.stanza.word())), "entity.name.type.harness"),
            stanza(one_of(item.map(|s| s.stanza.word())), "variable.other.harness"),
            plain,
            figure,
            word(one_of(words.clauses), "keyword.other.harness"),
            word(one_of(words.choices), "support.constant.harness"),
            { "match": name, "name": "variable.other.harness" },
        ],
    })
}

#[test]
fn words_of_vs_code_are_fresh() {
    let path = root().join("editors/vscode/syntaxes/harness.tmLanguage.json");
    let fresh = format!("{}\n", serde_json::to_string_pretty(&grammar()).unwrap());
    if std::env::var_os("GLIMLOOM_WRITE").is_some() {
        std::fs::write(&path, &fresh).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        kept == fresh,
        "{} is stale; run GLIMLOOM_WRITE=1 cargo test words_of_vs_code",
        path.display()
    );
}

/// The extension refuses a program that is older than itself.
#[test]
fn the_extension_has_the_version_of_the_program() {
    let text = std::fs::read_to_string(root().join("editors/vscode/package.json")).unwrap();
    let manifest: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(manifest["version"], env!("CARGO_PKG_VERSION"));
}
