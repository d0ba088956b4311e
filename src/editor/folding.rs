//! What can be folded away: stanzas of several lines, and blocks of comment lines.

use crate::plan::{FileId, Plan, StanzaId};
use crate::syntax::tree::{Stanza, Token, TokenKind};
use crate::text::Span;

/// Something that can be folded; it begins and ends in different lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fold {
    /// From its first to its last word.
    pub span: Span,
    /// Comment lines; else a stanza.
    pub is_comment: bool,
}

/// All folds of a file, in its order.
pub fn folds(plan: &Plan, file: FileId) -> Vec<Fold> {
    let count = plan.files.get(file.0).map_or(0, |f| f.tree.stanzas.len());
    let mut folds = Vec::new();
    for index in 0..count {
        let id = StanzaId { file, index };
        let stanza = plan.stanza(id);
        let comments = comment_blocks(stanza).into_iter().map(|span| (span, true));
        let core = stanza.word.map(|_| (stanza.core_span(), false));
        let here = comments.chain(core);
        let several = here.filter(|(span, _)| stanza.words(*span).contains(['\n', '\r']));
        folds.extend(several.map(|(span, is_comment)| Fold {
            span: plan.in_file(id, span),
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
    use crate::plan::{Alone, FileKey};

    /// The folds as `first line … last line`, comments with a `#` ahead.
    fn folded(text: &str) -> Vec<String> {
        let plan = Plan::of(FileKey::new("plan"), text.into(), &Alone);
        let line = |at: u32| text[..at as usize].matches('\n').count();
        let shown = |fold: &Fold| {
            let (first, last) = (line(fold.span.start), line(fold.span.end));
            let mark = if fold.is_comment { "#" } else { "" };
            format!("{mark}{first}-{last}")
        };
        folds(&plan, FileId(0)).iter().map(shown).collect()
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
