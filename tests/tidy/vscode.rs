//! The extension for VS Code says what the program says: its version, its words. What it shows before the server answers is made from
//! the vocabulary. To write that anew: `GLIMLOOM_WRITE=1 cargo test words_of_vs_code`.

use super::editor_words::Words;
use super::root;
use glimloom::syntax::vocabulary::{STANZAS, UNITS};
use serde_json::{Value, json};

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
    let words = Words::of_the_language();
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
