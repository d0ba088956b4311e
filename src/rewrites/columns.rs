//! Keeps what stands in columns in its columns when words ahead of it on the line change.

use crate::plan::{Edit, Plan, StanzaId};
use crate::syntax::tree::{Token, TokenKind};
use crate::text::Span;

/// Lines further off say nothing of a column.
const NEAR: usize = 100;

/// Nobody puts one below the other what stands further to the right, in bytes, unless several blanks say so.
const FAR: u32 = 1000;

/// The edits of one stanza, with edits of blanks added that take up what the words grow or shrink
/// by. Blanks give way where they are two or more, or where the line above or below has the same
/// word in the same column; at least one always stays.
pub fn hold_columns(plan: &Plan, id: StanzaId, edits: Vec<Edit>) -> Vec<Edit> {
    let stanza = plan.stanza(id);
    let mut blanks = Vec::new();
    let (mut line_start, mut taken_up) = (0u32, 0i64);
    let mut before: Option<Token> = None;
    for &token in &stanza.tokens {
        if token.kind == TokenKind::LineEnd {
            (line_start, taken_up, before) = (token.span.end, 0, None);
            continue;
        }
        let Some(last) = before.replace(token) else {
            continue;
        };
        let gap = Span::new(last.span.end, token.span.start);
        let width = i64::from(gap.end) - i64::from(gap.start);
        let touched = edits
            .iter()
            .any(|e| e.span.start < gap.end && e.span.end > gap.start);
        if width == 0 || touched || !stanza.words(gap).bytes().all(|b| b == b' ') {
            continue;
        }
        let grown: Option<i64> = edits
            .iter()
            .filter(|e| e.span.start >= line_start && e.span.end <= gap.start)
            .map(|e| growth(stanza.words(e.span), &e.text))
            .sum();
        let Some(shift) = grown.map(|g| g + taken_up) else {
            continue;
        };
        let is_near = token.span.start - line_start < FAR;
        if shift != 0 && (width > 1 || is_near && is_aligned(plan, id, token)) {
            let new = (width - shift).max(1);
            if new != width {
                taken_up += new - width;
                blanks.push(Edit {
                    stanza: id,
                    span: gap,
                    text: " ".repeat(usize::try_from(new).unwrap_or(1)),
                });
            }
        }
    }
    let mut all = edits;
    all.append(&mut blanks);
    all
}

/// How many more characters the new words have; `None` where a line end is among either.
fn growth(old: &str, new: &str) -> Option<i64> {
    let chars = |text: &str| {
        let count = text.chars().count();
        (!text.contains(['\n', '\r'])).then_some(count as i64)
    };
    Some(chars(new)? - chars(old)?)
}

/// Whether the token stands in a column on purpose: the lines above or below have the same word (or
/// a comment too) in that column, and one of them has two blanks or more ahead of it.
fn is_aligned(plan: &Plan, id: StanzaId, token: Token) -> bool {
    let file = &*plan.files[id.file.0].text;
    let span = plan.in_file(id, token.span);
    let (Some(ahead), Some(behind)) = (
        file.get(..span.start as usize),
        file.get(span.end as usize..),
    ) else {
        return false;
    };
    let word = match token.kind {
        TokenKind::Comment => "#",
        _ => &file[span.range()],
    };
    let line_start = ahead.rfind('\n').map_or(0, |i| i + 1);
    let column = ahead[line_start..].chars().count();
    let on_purpose = |lines: &mut dyn Iterator<Item = &str>| {
        lines
            .take(NEAR)
            .filter(|line| !line.trim().is_empty())
            .map_while(|line| blanks_ahead(line, column, word))
            .any(|blanks| blanks > 1)
    };
    on_purpose(&mut ahead[..line_start].lines().rev()) || on_purpose(&mut behind.lines().skip(1))
}

/// How many blanks stand ahead of this word in this column; `None` where it does not stand there.
fn blanks_ahead(line: &str, column: usize, word: &str) -> Option<usize> {
    let (at, _) = line.char_indices().nth(column)?;
    let rest = line[at..].strip_prefix(word)?;
    let whole = word == "#" || rest.is_empty() || rest.starts_with([' ', '\t', '\r']);
    let blanks = at - line[..at].trim_end_matches(' ').len();
    (whole && blanks > 0).then_some(blanks)
}
