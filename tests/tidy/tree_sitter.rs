//! What the tree-sitter grammar knows of the language comes from the vocabulary. To write it anew:
//! `GLIMLOOM_WRITE=1 cargo test tree_sitter_table`, then `tests/editors/tree-sitter/run.sh --write`.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::Path;

use super::root;
use glimloom::syntax::reserved_words;
use glimloom::syntax::vocabulary::{ClauseShape, STANZAS, Slot, UNITS};
use serde_json::{Map, Value, json};

/// A name of the code, `OutputDefined`, as tree-sitter writes its own: `output_defined`.
fn snake(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars() {
        if c.is_uppercase() && !out.is_empty() {
            out.push('_');
        }
        out.extend(c.to_lowercase());
    }
    out
}

fn slots(slots: &[Slot]) -> Value {
    slots.iter().map(slot).collect()
}

fn slot(slot: &Slot) -> Value {
    match slot {
        Slot::Word(word) => json!({ "word": word }),
        Slot::Quantity(dimension) => json!({ "quantity": snake(&format!("{dimension:?}")) }),
        Slot::Count(words) => json!({ "count": words }),
        Slot::Name(role) => json!({ "name": snake(&format!("{role:?}")) }),
        Slot::Text => json!("text"),
        Slot::Scale => json!("scale"),
        Slot::Date => json!("date"),
        Slot::Number => json!("number"),
        Slot::Choice(words) => json!({ "choice": words }),
        Slot::Optional(inner) => json!({ "optional": slots(inner) }),
        Slot::List(inner) => json!({ "list": slots(inner) }),
        Slot::Either(ways) => {
            json!({ "either": ways.iter().map(|way| slots(way)).collect::<Value>() })
        }
    }
}

fn clauses(shapes: &[ClauseShape]) -> Value {
    let clause = |shape: &ClauseShape| json!({ "word": shape.word, "slots": slots(shape.slots), "parts": clauses(shape.parts) });
    shapes.iter().map(clause).collect()
}

/// What `grammar.js` is built from.
fn language() -> String {
    let mut units = Map::new();
    for unit in UNITS {
        let words = units.entry(snake(&format!("{:?}", unit.dimension)));
        if let Some(words) = words.or_insert_with(|| json!([])).as_array_mut() {
            words.push(json!(unit.word));
        }
    }
    let stanzas = STANZAS.iter().map(|shape| {
        json!({
            "word": shape.stanza.word(),
            "head": slots(shape.head),
            "clauses": clauses(shape.clauses),
        })
    });
    let language = json!({ "units": units, "stanzas": stanzas.collect::<Value>() });
    format!("{}\n", serde_json::to_string_pretty(&language).unwrap())
}

/// What `scanner.c` must know: the words that cannot be names.
fn reserved() -> String {
    let mut out = String::from(
        "/* Words that cannot be names, sorted. Written by `GLIMLOOM_WRITE=1 cargo test tree_sitter_table`. */\n\
         static const char *const RESERVED[] = {\n",
    );
    for word in reserved_words() {
        let _ = writeln!(out, "    \"{word}\",");
    }
    out.push_str("};\n");
    out
}

/// The words of the language that stand in the grammar as themselves: those that begin a stanza, and the others. Words that a place
/// offers a choice of have a kind of their own there.
fn words() -> [BTreeSet<&'static str>; 2] {
    fn add(slots: &'static [Slot], words: &mut BTreeSet<&str>) {
        for slot in slots {
            match slot {
                Slot::Word(word) => {
                    words.insert(word);
                }
                Slot::Count(counted) => words.extend(counted.iter()),
                Slot::Optional(inner) | Slot::List(inner) => add(inner, words),
                Slot::Either(ways) => ways.iter().for_each(|way| add(way, words)),
                _ => {}
            }
        }
    }
    fn clause(shape: &'static ClauseShape, words: &mut BTreeSet<&str>) {
        words.insert(shape.word);
        add(shape.slots, words);
        shape.parts.iter().for_each(|part| clause(part, words));
    }
    let mut others = BTreeSet::new();
    for stanza in STANZAS {
        add(stanza.head, &mut others);
        stanza.clauses.iter().for_each(|c| clause(c, &mut others));
    }
    let stanzas: BTreeSet<&str> = STANZAS.iter().map(|s| s.stanza.word()).collect();
    others.retain(|word| !stanzas.contains(word));
    [stanzas, others]
}

/// A query file with its lists of words anew. `; words: WHICH` and one line are ahead of a list, a line that begins with `]` or `)` is
/// behind it.
fn query(text: &str) -> String {
    let [stanzas, others] = words();
    let reserved = reserved_words().iter().copied().collect();
    let mut out = String::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        let _ = writeln!(out, "{line}");
        let words: &BTreeSet<&str> = match line.strip_prefix("; words: ") {
            None => continue,
            Some("stanzas") => &stanzas,
            Some("clauses") => &others,
            Some("reserved") => &reserved,
            Some(other) => panic!("no words are called `{other}`"),
        };
        let _ = writeln!(out, "{}", lines.next().expect("a list is opened"));
        for word in words {
            let _ = writeln!(out, "  \"{word}\"");
        }
        let end = lines.find(|line| line.starts_with([']', ')']));
        let _ = writeln!(out, "{}", end.expect("a list is closed"));
    }
    out
}

fn hold(path: &Path, fresh: &str) {
    if std::env::var_os("GLIMLOOM_WRITE").is_some() {
        std::fs::write(path, fresh).unwrap();
    } else {
        let kept = std::fs::read_to_string(path).unwrap_or_default();
        assert!(
            kept == fresh,
            "{} is stale; run GLIMLOOM_WRITE=1 cargo test tree_sitter_table, then tests/editors/tree-sitter/run.sh --write",
            path.display()
        );
    }
}

#[test]
fn the_tree_sitter_table_is_fresh() {
    let editors = root().join("editors");
    let folder = editors.join("tree-sitter-harness");
    hold(&folder.join("language.json"), &language());
    hold(&folder.join("src/reserved.h"), &reserved());
    for path in [
        folder.join("queries/harness/highlights.scm"),
        editors.join("helix/queries/harness/highlights.scm"),
    ] {
        let kept = std::fs::read_to_string(&path).unwrap();
        for list in ["stanzas", "clauses", "reserved"] {
            let mark = format!("\n; words: {list}\n");
            assert!(kept.contains(&mark), "{} has no {list}", path.display());
        }
        hold(&path, &query(&kept));
    }
}
