//! Selections that grow: from the word to what it belongs to, step by step up to the file.

use super::folding::comment_blocks;
use crate::plan::{FileId, Plan};
use crate::syntax::tree::{Clause, Stanza, Token, TokenKind};
use crate::text::{Encoding, Lines, Position, Span};

/// The spans around a byte of a file, the smallest first; each holds the one before. `lines` are those of the file.
pub fn selection(plan: &Plan, lines: &Lines, file: FileId, offset: usize) -> Vec<Span> {
    let Some(text) = plan.files.get(file.0).map(|f| &*f.text) else {
        return Vec::new();
    };
    let whole = Span::between(0, text.len());
    let at = Span::between(offset.min(text.len()), offset.min(text.len())).start;
    let mut wider = Vec::new();
    if let Some(stanza) = plan.stanza_at(file, at) {
        let inside = at - plan.in_file(stanza, Span::default()).start;
        let own = in_stanza(plan.stanza(stanza), inside);
        wider.extend(own.into_iter().map(|span| plan.in_file(stanza, span)));
    }
    wider.extend(paragraph(text, lines, at));
    wider.push(whole);
    let mut spans = vec![Span::new(at, at)];
    for span in wider {
        let inner = spans[spans.len() - 1];
        if span != inner && span.start <= inner.start && inner.end <= span.end {
            spans.push(span);
        }
    }
    // The empty one at the cursor was only to begin with, unless nothing is there.
    if spans.len() > 1 {
        spans.remove(0);
    }
    spans
}

/// The spans of a stanza around one of its bytes.
fn in_stanza(stanza: &Stanza, at: u32) -> Vec<Span> {
    let mut spans = Vec::new();
    let touching = stanza
        .tokens
        .iter()
        .filter(|t| t.span.touches(at) && t.kind != TokenKind::LineEnd);
    let on = touching.clone().find(|t| at < t.span.end);
    if let Some(token) = on.or(touching.clone().next()) {
        spans.extend(inside_token(stanza, token, at));
        spans.push(token.span);
        match token.kind {
            TokenKind::Comment => {
                let blocks = comment_blocks(stanza).into_iter();
                spans.extend(blocks.filter(|block| holds(*block, token.span)));
            }
            _ => spans.extend(around(stanza, token.span)),
        }
    }
    if stanza.word.is_some() {
        let core = stanza.core_span();
        spans.push(core);
        let words = stanza.tokens.iter();
        let mut words = words
            .filter(|t| t.kind != TokenKind::LineEnd)
            .map(|t| t.span);
        if let Some(first) = words.next() {
            spans.push(words.fold(first, Span::to));
        }
    }
    spans
}

/// The word of a name with dots; a text without its quotes.
fn inside_token(stanza: &Stanza, token: &Token, at: u32) -> Option<Span> {
    let Span { start, end } = token.span;
    match token.kind {
        TokenKind::Text => Some(Span::new(start + 1, end - 1)).filter(|inner| inner.touches(at)),
        TokenKind::Word => {
            let written = stanza.words(token.span);
            let cursor = (at - start) as usize;
            let from = written.get(..cursor)?.rfind('.').map_or(0, |dot| dot + 1);
            let until = written.get(cursor..)?.find('.');
            let until = until.map_or(written.len(), |dot| cursor + dot);
            Some(Span::between(start as usize + from, start as usize + until))
        }
        _ => None,
    }
}

/// The value that a token belongs to, then the clauses, the innermost first; or the head.
fn around(stanza: &Stanza, token: Span) -> Vec<Span> {
    let mut spans = Vec::new();
    if let (first, Some(last)) = (stanza.word_span, stanza.head.last()) {
        let head = first.to(last.span);
        if holds(head, token) {
            let value = stanza.head.iter().find(|v| holds(v.span, token));
            spans.extend(value.map(|v| v.span));
            spans.push(head);
            return spans;
        }
    }
    let mut clauses: &[Clause] = &stanza.clauses;
    while let Some(clause) = clauses.iter().find(|c| holds(c.span, token)) {
        let value = clause.values.iter().find(|v| holds(v.span, token));
        spans.insert(0, clause.span);
        if let Some(value) = value {
            spans.insert(0, value.span);
        }
        clauses = &clause.parts;
    }
    spans
}

fn holds(outer: Span, inner: Span) -> bool {
    outer.start <= inner.start && inner.end <= outer.end
}

/// The lines around a byte up to the next blank ones; `None` on a blank line.
fn paragraph(text: &str, lines: &Lines, at: u32) -> Option<Span> {
    let start_of = |line: u32| {
        let position = Position { line, column: 0 };
        lines.offset(position, Encoding::default())
    };
    let count = u32::try_from(lines.count()).unwrap_or(u32::MAX);
    let content = |line: u32| {
        let end = if line + 1 < count {
            start_of(line + 1)
        } else {
            text.len()
        };
        let start = start_of(line);
        let content = text.get(start..end).unwrap_or("").trim_end();
        (!content.trim().is_empty()).then_some(Span::between(start, start + content.len()))
    };
    let here = lines.position(at as usize, Encoding::default()).line;
    let own = content(here)?;
    let above = (0..here).rev().map_while(content);
    let below = (here + 1..count).map_while(content);
    Some(above.chain(below).fold(own, Span::to))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};

    /// The words of each selection from the cursor `$0` on, line ends as `/`.
    fn grown(text: &str) -> Vec<String> {
        let offset = text.find("$0").unwrap();
        let text = text.replace("$0", "");
        let plan = Plan::of(FileKey::new("plan"), text.as_str().into(), &Alone);
        let spans = selection(&plan, &Lines::new(&text), FileId(0), offset);
        let words = |span: &Span| text[span.range()].replace("\r\n", "/").replace('\n', "/");
        spans.iter().map(words).collect()
    }

    #[test]
    fn from_a_word_to_the_file() {
        let text = "zone a\n\n# the mast\nlamp mast of pearl\n  from keel over 60$00 mm of fine via stair in a\nzone b\n\nzone c\n";
        assert_eq!(
            grown(text),
            [
                "600",
                "600 mm",
                "over 600 mm of fine",
                "from keel over 600 mm of fine via stair",
                "lamp mast of pearl/  from keel over 600 mm of fine via stair in a",
                "# the mast/lamp mast of pearl/  from keel over 600 mm of fine via stair in a",
                "# the mast/lamp mast of pearl/  from keel over 600 mm of fine via stair in a/zone b",
                "zone a//# the mast/lamp mast of pearl/  from keel over 600 mm of fine via stair in a/zone b//zone c/",
            ]
        );
    }

    #[test]
    fn heads_dotted_names_texts_and_comments() {
        assert_eq!(
            grown("lamp wing.ti$0p of pearl from x"),
            [
                "tip",
                "wing.tip",
                "lamp wing.tip of pearl",
                "lamp wing.tip of pearl from x"
            ]
        );
        assert_eq!(
            grown("zone a note \"by $0hand\""),
            [
                "by hand",
                "\"by hand\"",
                "note \"by hand\"",
                "zone a note \"by hand\""
            ]
        );
        assert_eq!(
            grown("# a\r\n# b$0\r\nzone a\r\n"),
            ["# b", "# a/# b", "# a/# b/zone a", "# a/# b/zone a/"]
        );
    }

    #[test]
    fn where_nothing_is() {
        assert_eq!(grown("$0"), [""]);
        assert_eq!(grown("zone a\n\n$0\nzone b\n"), ["zone a///zone b/"]);
        assert_eq!(
            grown("zone a\n$0\n  sealed\n"),
            ["zone a//  sealed", "zone a//  sealed/"]
        );
    }
}
