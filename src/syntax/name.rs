//! What can be a name.

use unicode_normalization::{UnicodeNormalization, is_nfc};

use super::reader::short;
use super::reserved::is_reserved;
use super::token::{begins_name, continues_name};
use super::tree::Name;

/// A name, or names joined by dots, in Unicode form NFC; else why this cannot be one.
pub fn read_name(written: &str) -> Result<Name, String> {
    // Most names are of plain letters.
    let is_plain = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b'-' | b'_');
    let begins = written
        .bytes()
        .next()
        .is_some_and(|b| b.is_ascii_alphabetic());
    if begins && written.bytes().all(is_plain) && !is_reserved(written) {
        return Ok(Name(written.into()));
    }
    read_any_name(written)
}

fn read_any_name(written: &str) -> Result<Name, String> {
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

#[cfg(test)]
mod tests {
    use super::*;

    proptest::proptest! {
        #[test]
        fn a_plain_name_is_read_as_any(written in "[a-z0-9Zé_.\\-]{0,6}|from|lamp|in|of") {
            proptest::prop_assert_eq!(read_name(&written), read_any_name(&written));
        }
    }
}
