//! Reading, laying out, reading again: nothing but blanks changes, the same is meant, and a second time nothing changes at all.
#![no_main]

use glimloom::format::{after_line_end, document, lines};
use glimloom::syntax::read_file;
use glimloom::syntax::tree::{Clause, File, TokenKind};
use glimloom::text::{Span, apply};
use libfuzzer_sys::fuzz_target;

fn laid_out(text: &str, file: &File) -> String {
    apply(text, &document(file)).expect("edits that fit")
}

fn without_blanks(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

fn said(clauses: &[Clause], into: &mut String) {
    for clause in clauses {
        *into += clause.word;
        for value in &clause.values {
            *into += &format!(" {:?}", value.kind);
        }
        *into += "(";
        said(&clause.parts, into);
        *into += ")";
    }
}

/// All that is read, without where it stands; of a stanza of blanks alone, nothing.
fn meant(file: &File) -> String {
    let mut all = String::new();
    for placed in &file.stanzas {
        let stanza = &placed.stanza;
        if stanza.tokens.iter().all(|t| t.kind == TokenKind::LineEnd) {
            continue;
        }
        all += &format!("\n{:?}", stanza.word);
        for value in &stanza.head {
            all += &format!(" {:?}", value.kind);
        }
        said(&stanza.clauses, &mut all);
        for fault in &stanza.faults {
            all += &format!(" {} {}", fault.check, fault.message);
        }
        for token in stanza
            .tokens
            .iter()
            .filter(|token| token.kind != TokenKind::LineEnd)
        {
            all += &format!(" {:?} {}", token.kind, stanza.words(token.span).trim_end());
        }
    }
    all
}

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let file = read_file(&text);
    let once = laid_out(&text, &file);
    let file_of_once = read_file(&once);
    if once != text {
        assert_eq!(without_blanks(&once), without_blanks(&text));
        assert_eq!(
            meant(&file_of_once),
            meant(&file),
            "{text:?} became {once:?}"
        );
    }
    assert_eq!(laid_out(&once, &file_of_once), once, "{text:?}");
    // Some lines alone, and a line that has just been ended.
    let from = text.floor_char_boundary(text.len() / 3);
    let some = lines(
        &text,
        Span::between(from, text.floor_char_boundary(text.len() / 2)),
    );
    let some = apply(&text, &some).expect("edits that fit");
    assert_eq!(without_blanks(&some), without_blanks(&text));
    let ended = apply(&text, &after_line_end(&text, from)).expect("edits that fit");
    assert_eq!(without_blanks(&ended), without_blanks(&text));
});
