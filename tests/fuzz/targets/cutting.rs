//! A text that is edited is cut into the stanzas that the whole text is cut into.
#![no_main]

#[path = "../edits.rs"]
mod edits;
#[path = "../pieces.rs"]
mod pieces;

use std::sync::Arc;

use edits::Left;
use glimloom::syntax::tree::Stanza;
use glimloom::syntax::{read_edit, stanza_texts};
use glimloom::text::{Document, Span};
use libfuzzer_sys::fuzz_target;

/// A stanza of which nothing is read.
fn unread(text: &str) -> Arc<Stanza> {
    Arc::new(Stanza {
        text: text.into(),
        tokens: Vec::new(),
        word: None,
        word_span: Span::default(),
        head: Vec::new(),
        clauses: Vec::new(),
        faults: Vec::new(),
    })
}

fuzz_target!(|bytes: &[u8]| {
    let mut left = Left(bytes);
    let encoding = left.encoding();
    let text = left.text(96);
    let mut stanzas: Vec<String> = stanza_texts(&text).map(str::to_owned).collect();
    assert_eq!(stanzas.concat(), text);
    let mut document = Document::new(&text, None);
    while !left.0.is_empty() {
        let (Ok(mark), Ok(lines)) = (document.mark(), document.lines()) else {
            return;
        };
        let change = left.change(lines.count());
        if document.apply(vec![change], None, encoding).is_err() {
            return;
        }
        let (Ok(text), Ok(lines)) = (document.text(), document.lines()) else {
            return;
        };
        let whole: Vec<String> = stanza_texts(text).map(str::to_owned).collect();
        assert_eq!(whole.concat(), **text);
        if let Some(touched) = document.touched_since(mark) {
            let starts: Vec<u32> = (stanzas.iter())
                .scan(0, |at, text| {
                    let start = *at;
                    *at += text.len() as u32;
                    Some(start)
                })
                .collect();
            let stanza = |k: usize| stanzas[k].as_str().into();
            let replaced = read_edit(&starts, &stanza, lines, touched, &mut unread);
            let new = replaced.new.iter().map(|stanza| stanza.text.to_string());
            let gone = replaced.at..replaced.at + replaced.gone;
            let mut edited = stanzas.clone();
            edited.splice(gone, new);
            assert_eq!(edited, whole, "{stanzas:?}");
        }
        stanzas = whole;
    }
});
