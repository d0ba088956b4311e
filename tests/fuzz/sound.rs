//! Whatever the tree of a stanza points at lies in its text, on borders of characters, in order.

use glimloom::syntax::tree::{Clause, Stanza, TokenKind, Value};
use glimloom::text::Span;

fn lies_in(stanza: &Stanza, span: Span) {
    assert!(
        stanza.text.get(span.range()).is_some(),
        "{span:?} in {:?}",
        stanza.text
    );
}

fn values_lie_in(stanza: &Stanza, values: &[Value]) {
    values.iter().for_each(|value| lies_in(stanza, value.span));
}

fn clauses_lie_in(stanza: &Stanza, clauses: &[Clause]) {
    for clause in clauses {
        lies_in(stanza, clause.span);
        lies_in(stanza, clause.word_span);
        values_lie_in(stanza, &clause.values);
        clauses_lie_in(stanza, &clause.parts);
    }
}

/// Holds that of a stanza.
pub fn is_sound(stanza: &Stanza) {
    let mut at = 0;
    for token in &stanza.tokens {
        lies_in(stanza, token.span);
        let (start, end) = (token.span.start as usize, token.span.end as usize);
        assert!(at <= start && start < end, "{token:?} in {:?}", stanza.text);
        let between = &stanza.text[at..start];
        assert!(
            between
                .chars()
                .all(|c| c.is_whitespace() || c == '\u{feff}'),
            "{between:?} in {:?}",
            stanza.text
        );
        assert!(
            token.kind == TokenKind::LineEnd || !stanza.text[start..end].contains(['\n', '\r'])
        );
        at = end;
    }
    assert!(
        stanza.text[at..]
            .chars()
            .all(|c| c.is_whitespace() || c == '\u{feff}'),
        "{:?}",
        stanza.text
    );
    lies_in(stanza, stanza.word_span);
    values_lie_in(stanza, &stanza.head);
    clauses_lie_in(stanza, &stanza.clauses);
    for fault in &stanza.faults {
        lies_in(stanza, fault.span);
        assert!(!fault.message.is_empty());
        fault
            .related
            .iter()
            .for_each(|(span, _)| lies_in(stanza, *span));
        for mend in &fault.mends {
            assert!(!mend.title.is_empty() && !mend.edits.is_empty());
            mend.edits
                .iter()
                .for_each(|(span, _)| lies_in(stanza, *span));
        }
    }
}
