//! The tables of `docs/language.md` come from the vocabulary. To write them anew:
//! `GLIMLOOM_WRITE=1 cargo test language_page`.

use std::fmt::Write as _;

use super::root;
use glimloom::syntax::vocabulary::{Often, StanzaShape, StanzaWord, UNITS};

/// The text of a named table.
fn table(name: &str) -> Option<String> {
    let mut out = String::new();
    match name {
        "stanzas" => {
            out.push_str("| word | what it is |\n| --- | --- |\n");
            for word in StanzaWord::ALL {
                let _ = writeln!(out, "| `{}` | {} |", word.word(), cell(word.shape().says));
            }
        }
        "units" => {
            out.push_str("| what | units |\n| --- | --- |\n");
            let mut seen = Vec::new();
            for unit in UNITS {
                if !seen.contains(&unit.dimension) {
                    seen.push(unit.dimension);
                    let words: Vec<String> = unit
                        .dimension
                        .units()
                        .map(|u| format!("`{}`", u.word))
                        .collect();
                    let _ = writeln!(out, "| {} | {} |", unit.dimension.plain(), words.join(" "));
                }
            }
        }
        "reserved words" => {
            let words: Vec<String> = glimloom::syntax::reserved_words()
                .iter()
                .map(|w| format!("`{w}`"))
                .collect();
            out.push_str(&words.join(" "));
            out.push('\n');
        }
        _ => {
            let word = StanzaWord::from_word(name.strip_prefix("clauses of ")?)?;
            clauses(word.shape(), &mut out);
        }
    }
    Some(out)
}

fn clauses(shape: &StanzaShape, out: &mut String) {
    let rows: Vec<_> = shape
        .clauses
        .iter()
        .filter(|c| !matches!(c.word, "note" | "accept"))
        .collect();
    if rows.is_empty() {
        out.push_str("No clauses of its own.\n");
        return;
    }
    out.push_str("| clause | how often | what it says |\n| --- | --- | --- |\n");
    for clause in rows {
        let often = match (clause.often, clause.instead) {
            (Often::Required, Some(_)) => "one of these".to_owned(),
            (Often::Required, None) => "required".to_owned(),
            (Often::Repeats, _) => "may repeat".to_owned(),
            (Often::Optional, Some(_)) => "at most one of these".to_owned(),
            (Often::Optional, None) => String::new(),
        };
        let _ = writeln!(
            out,
            "| `{}` | {often} | {} |",
            clause.usual,
            cell(clause.says)
        );
        if clause.word != "but" && clause.word != "from" {
            for part in clause.parts {
                let _ = writeln!(
                    out,
                    "| … `{}` | behind `{}` | {} |",
                    part.usual,
                    clause.word,
                    cell(part.says)
                );
            }
        }
    }
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

#[test]
fn the_tables_of_the_language_page_are_fresh() {
    let path = root().join("docs/language.md");
    let page = std::fs::read_to_string(&path).unwrap();
    let mut fresh = String::new();
    let mut rest = page.as_str();
    let mut told = Vec::new();
    while let Some((before, after)) = rest.split_once("<!-- table: ") {
        let (name, after) = after.split_once(" -->").expect("a table's mark is closed");
        let (_, after) = after
            .split_once("<!-- end -->")
            .expect("a table has its end");
        let text = table(name).unwrap_or_else(|| panic!("no table is named `{name}`"));
        let _ = write!(fresh, "{before}<!-- table: {name} -->\n{text}<!-- end -->");
        told.push(name.to_owned());
        rest = after;
    }
    fresh.push_str(rest);
    for word in StanzaWord::ALL {
        let name = format!("clauses of {}", word.word());
        assert!(
            told.contains(&name),
            "docs/language.md has no table `{name}`"
        );
    }
    for name in ["stanzas", "units", "reserved words"] {
        assert!(
            told.iter().any(|t| t == name),
            "docs/language.md has no table `{name}`"
        );
    }
    if std::env::var_os("GLIMLOOM_WRITE").is_some() {
        std::fs::write(&path, fresh).unwrap();
    } else {
        assert!(
            page == fresh,
            "docs/language.md is stale; run GLIMLOOM_WRITE=1 cargo test language_page"
        );
    }
}
