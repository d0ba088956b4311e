//! Reading, laying out, reading again: nothing but blanks changes, and a second time nothing at all.
#![no_main]

use glimloom::format::document;
use glimloom::syntax::read_file;
use glimloom::text::apply;
use libfuzzer_sys::fuzz_target;

fn laid_out(text: &str) -> String {
    apply(text, &document(&read_file(text))).expect("edits that fit")
}

fn without_blanks(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let once = laid_out(&text);
    assert_eq!(without_blanks(&once), without_blanks(&text));
    assert_eq!(laid_out(&once), once);
});
