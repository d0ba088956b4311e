//! Words of the language, and checks.

use crate::checks::explain;
use crate::syntax::vocabulary::{ClauseShape, StanzaWord};

/// A stanza word: what it is and how it is written.
pub fn stanza(word: StanzaWord) -> String {
    let shape = word.shape();
    format!(
        "**{}**: {}\n\n```harness\n{}\n```",
        word.word(),
        shape.says,
        shape.usual
    )
}

/// A clause word: what it says and how it is written.
pub fn clause(shape: &'static ClauseShape) -> String {
    format!(
        "**{}**: {}\n\n```harness\n{}\n```",
        shape.word, shape.says, shape.usual
    )
}

/// A check: the first paragraph of its page.
pub fn check(name: &str) -> String {
    match explain(name) {
        Some(page) => format!("**{name}**: {}", first_paragraph(page)),
        None => format!("**{name}** is not a check of this program."),
    }
}

/// The first paragraph of a page, its title and its key facts left out.
fn first_paragraph(page: &str) -> &str {
    page.split("\n\n")
        .map(str::trim)
        .find(|p| !p.is_empty() && !p.starts_with('#') && !p.starts_with("---"))
        .unwrap_or("")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_title_is_no_paragraph() {
        let page = "# `single-path`\n\nA light is chained.\nBreak it.\n\nMore.";
        assert_eq!(first_paragraph(page), "A light is chained.\nBreak it.");
    }

    #[test]
    fn a_stanza_word_is_shown_as_it_is_written() {
        let text = stanza(StanzaWord::Fuse);
        assert!(text.starts_with("**fuse**: A fuse and its rating"));
        assert!(text.contains("fuse F1 400 mA from adapter"));
    }
}
