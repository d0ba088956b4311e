//! Any bytes: the stanzas put together are the text, and whatever the tree points at lies in it, on character borders, in order.
#![no_main]

#[path = "../sound.rs"]
mod sound;

use glimloom::syntax::read_file;
use libfuzzer_sys::fuzz_target;
use sound::is_sound;

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let mut at = 0;
    for placed in &read_file(&text).stanzas {
        assert_eq!(placed.start as usize, at);
        let end = at + placed.stanza.text.len();
        assert_eq!(text.get(at..end), Some(&*placed.stanza.text));
        at = end;
        is_sound(&placed.stanza);
    }
    assert_eq!(at, text.len());
});
