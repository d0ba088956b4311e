//! Words that are not needed, taken out of the text; comments are kept.

use crate::plan::{Edit, Plan, StanzaId};
use crate::syntax::tree::TokenKind;
use crate::text::Span;

/// Takes a stanza out, its lines with it where nothing else stands on them. `None` where comments stand
/// between its words: whoever wrote them is to decide.
pub(super) fn stanza(plan: &Plan, id: StanzaId) -> Option<Edit> {
    words(plan, id, plan.stanza(id).core_span())
}

/// Takes a clause out, likewise.
pub(super) fn words(plan: &Plan, id: StanzaId, span: Span) -> Option<Edit> {
    let tree = plan.stanza(id);
    let inside = |s: Span| span.start <= s.start && s.end <= span.end;
    let comments = tree.tokens.iter().filter(|t| t.kind == TokenKind::Comment);
    if comments.map(|t| t.span).any(inside) {
        return None;
    }
    let (ahead, behind) = (
        tree.text.get(..span.range().start)?,
        tree.text.get(span.range().end..)?,
    );
    let indent = ahead.len() - ahead.trim_end_matches([' ', '\t']).len();
    let begins_its_line =
        ahead.len() == indent || ahead[..ahead.len() - indent].ends_with(['\n', '\r']);
    let blank = behind.len() - behind.trim_start_matches([' ', '\t']).len();
    let rest = &behind[blank..];
    let line_end = if rest.starts_with("\r\n") {
        2
    } else {
        usize::from(rest.starts_with(['\n', '\r']))
    };
    let ends_its_line = line_end > 0 || rest.is_empty();
    let touches = blank == 0 && !ends_its_line;
    let (back, on, left) = match (begins_its_line, ends_its_line) {
        (true, true) => (indent, blank + line_end, ""), // the whole line
        (true, false) => (0, blank, ""),                // what follows takes its place
        (false, _) if touches => (indent, 0, " "),      // what stood apart is not joined
        (false, _) => (indent, 0, ""),                  // with the blanks ahead of it
    };
    Some(Edit {
        stanza: id,
        span: Span::new(span.start - back as u32, span.end + on as u32),
        text: left.to_owned(),
    })
}
