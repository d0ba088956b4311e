//! What can be folded away: stanzas of several lines, and blocks of comment lines.

use crate::syntax::tree::{Stanza, Token, TokenKind};
use crate::syntax::{read_stanza, stanza_texts};
use crate::text::Span;

/// Something that can be folded; it begins and ends in different lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fold {
    /// From its first to its last word.
    pub span: Span,
    /// Comment lines; else a stanza.
    pub is_comment: bool,
}

/// All folds of a text, in its order. Its own words say them; nothing of the plan has to be known.
pub fn folds(text: &str) -> Vec<Fold> {
    let mut folds = Vec::new();
    let mut start = 0;
    for piece in stanza_texts(text) {
        let here = start;
        start += piece.len() as u32;
        // Most stanzas of a long plan have one line.
        if !piece.trim_end().contains(['\n', '\r']) {
            continue;
        }
        let stanza = read_stanza(piece.into());
        let comments = comment_blocks(&stanza).into_iter();
        let core = stanza.word.map(|_| (stanza.core_span(), false));
        let all = comments.map(|span| (span, true)).chain(core);
        let several = all.filter(|(span, _)| stanza.words(*span).contains(['\n', '\r']));
        folds.extend(several.map(|(span, is_comment)| Fold {
            span: span.shifted(here),
            is_comment,
        }));
    }
    folds.sort_by_key(|fold| fold.span);
    folds
}

/// Comment lines that follow each other, as blocks; a single one is a block too.
pub(super) fn comment_blocks(stanza: &Stanza) -> Vec<Span> {
    let mut blocks: Vec<Span> = Vec::new();
    let mut before: [Option<Token>; 2] = [None, None];
    for token in &stanza.tokens {
        let begins_line = before[1].is_none_or(|t| t.kind == TokenKind::LineEnd);
        if token.kind == TokenKind::Comment && begins_line {
            let above = before[0].filter(|t| t.kind == TokenKind::Comment);
            match blocks.last_mut() {
                Some(block) if above.is_some_and(|t| t.span.end == block.end) => {
                    *block = block.to(token.span);
                }
                _ => blocks.push(token.span),
            }
        }
        before = [before[1], Some(*token)];
    }
    blocks
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The folds as `first line … last line`, comments with a `#` ahead.
    fn folded(text: &str) -> Vec<String> {
        let line = |at: u32| text[..at as usize].matches('\n').count();
        let shown = |fold: &Fold| {
            let (first, last) = (line(fold.span.start), line(fold.span.end));
            let mark = if fold.is_comment { "#" } else { "" };
            format!("{mark}{first}-{last}")
        };
        folds(text).iter().map(shown).collect()
    }

    #[test]
    fn stanzas_and_comments_of_several_lines() {
        let text = "\
# The ferry,
# as built.

# one line
zone deck
zone hold
  sealed     # for good
  # why
  # and when

  inside 4 cm2

wire fine    # thin
  gauge 32 AWG
# of the joint
# below
joint keel
";
        assert_eq!(folded(text), ["#0-1", "5-10", "#7-8", "12-13", "#14-15"]);
    }

    #[test]
    fn windows_lines_and_what_is_no_stanza() {
        assert_eq!(folded("zone a\r\n  sealed\r\n# x\r\n# y"), ["0-1", "#2-3"]);
        assert_eq!(folded("wibble\n  wobble\n# x\n\n# y\n"), [""; 0]);
        assert_eq!(folded(""), [""; 0]);
    }
}
