//! What can be a name.

use unicode_normalization::{UnicodeNormalization, is_nfc};

use super::reader::short;
use super::reserved::is_reserved;
use super::token::{begins_name, continues_name};
use super::tree::Name;

/// A name, or names joined by dots, in Unicode form NFC; else why this cannot be one.
pub fn read_name(written: &str) -> Result<Name, String> {
    let part_is_name = |part: &str| {
        let mut chars = part.chars();
        chars.next().is_some_and(begins_name) && chars.all(continues_name)
    };
    if !written.split('.').all(part_is_name) {
        return Err(format!(
            "`{}` cannot be a name: a name is a letter, then letters, digits, - or _.",
            short(written)
        ));
    }
    if let Some(word) = written.split('.').find(|part| is_reserved(part)) {
        return Err(format!(
            "`{word}` is a word of the language and cannot be a name."
        ));
    }
    Ok(Name(if written.is_ascii() || is_nfc(written) {
        written.into()
    } else {
        written.nfc().collect::<String>().into()
    }))
}
