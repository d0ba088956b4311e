//! The paths that a file's `use` stanzas write, read without reading the rest of the file.

use std::sync::Arc;

use crate::syntax::tree::ValueKind;
use crate::syntax::vocabulary::StanzaWord;
use crate::syntax::{read_stanza, stanza_texts};
use crate::text::Span;

/// One of them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UsedPath {
    /// Where it stands in the file, its quotes included.
    pub span: Span,
    /// The path.
    pub path: Arc<str>,
}

/// All of them, in order.
pub fn used_paths(text: &str) -> Vec<UsedPath> {
    let mut start = 0;
    let mut found = Vec::new();
    for piece in stanza_texts(text) {
        // Comments may stand ahead of the word.
        if piece.contains(StanzaWord::Use.word()) {
            found.extend(used_path(piece).map(|used| UsedPath {
                span: used.span.shifted(start),
                ..used
            }));
        }
        start += u32::try_from(piece.len()).unwrap_or(u32::MAX);
    }
    found
}

fn used_path(stanza: &str) -> Option<UsedPath> {
    let stanza = read_stanza(stanza.into());
    let value = stanza.head.first()?;
    match &value.kind {
        ValueKind::Text(path) if stanza.word == Some(StanzaWord::Use) => Some(UsedPath {
            span: value.span,
            path: path.clone(),
        }),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn where_they_stand() {
        let text = "\u{feff}# what we use \"no.harness\"\nuse \"a.harness\"  # one\nzone use-less\n\nuse\n  \"b \\\"c\\\".harness\"\nuse \"open\nuse 3 V\nuse \"ä/d.harness\"";
        let found = used_paths(text);
        let shown: Vec<_> = found
            .iter()
            .map(|u| (&text[u.span.range()], &*u.path))
            .collect();
        assert_eq!(
            shown,
            [
                ("\"a.harness\"", "a.harness"),
                ("\"b \\\"c\\\".harness\"", "b \"c\".harness"),
                ("\"open", "open"),
                ("\"ä/d.harness\"", "ä/d.harness"),
            ]
        );
    }

    #[test]
    fn it_reads_what_the_plan_reads() {
        let text = "use \"a.harness\"\nuse \"a.harness\"\nuse \"\"\nuse \"b.harness\" junk\n";
        let plan = crate::plan::Plan::of(
            crate::plan::FileKey::new("plan"),
            text.into(),
            &crate::plan::Alone,
        );
        let mut read: Vec<_> = plan.uses.into_keys().map(|(_, path)| path).collect();
        read.sort();
        let mut found: Vec<_> = used_paths(text).into_iter().map(|used| used.path).collect();
        found.sort();
        found.dedup();
        assert_eq!(found, read);
    }
}
