//! Any bytes: the stanzas put together are the text, and every span of the tree lies in it, on character borders.
#![no_main]

use glimloom::syntax::{read_file, stanza_texts};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let file = read_file(&text);
    let whole: String = stanza_texts(&text).collect();
    assert_eq!(whole, text);
    for placed in &file.stanzas {
        let stanza = &placed.stanza;
        for token in &stanza.tokens {
            assert!(stanza.text.get(token.span.range()).is_some());
        }
        for fault in &stanza.faults {
            assert!(stanza.text.get(fault.span.range()).is_some());
            assert!(!fault.message.is_empty());
        }
    }
});
