//! A check's page is the `//!` comment at the top of the check's own file, lifted out when the
//! program is compiled: one text is the code's documentation, `docs/checks/NAME.md`, and what
//! `glimloom explain NAME` prints.

/// Copies the text of the leading `//!` lines of `source` to `out`, as far as it has room, and
/// returns how long that text is. A carriage return of a Windows checkout is left out.
pub const fn lift(source: &str, out: &mut [u8]) -> usize {
    let bytes = source.as_bytes();
    let (mut at, mut length) = (0, 0);
    while at + 2 < bytes.len()
        && bytes[at] == b'/'
        && bytes[at + 1] == b'/'
        && bytes[at + 2] == b'!'
    {
        at += 3;
        if at < bytes.len() && bytes[at] == b' ' {
            at += 1;
        }
        while at < bytes.len() {
            let byte = bytes[at];
            at += 1;
            if byte != b'\r' {
                if length < out.len() {
                    out[length] = byte;
                }
                length += 1;
            }
            if byte == b'\n' {
                break;
            }
        }
    }
    length
}

/// The page at the top of this file.
macro_rules! page {
    ($file:literal) => {{
        const SOURCE: &str = include_str!($file);
        const LENGTH: usize = $crate::checks::page::lift(SOURCE, &mut []);
        const BYTES: [u8; LENGTH] = {
            let mut bytes = [0; LENGTH];
            $crate::checks::page::lift(SOURCE, &mut bytes);
            bytes
        };
        match std::str::from_utf8(&BYTES) {
            Ok(text) => text,
            Err(_) => "", // not reached: whole lines of a UTF-8 text
        }
    }};
}

pub(crate) use page;

#[cfg(test)]
mod tests {
    use super::lift;

    #[test]
    fn only_the_leading_comment_is_the_page() {
        let source = "//! # a\r\n//!\n//!  two µ\nuse b;\n//! not this\n";
        let mut bytes = vec![0; lift(source, &mut [])];
        lift(source, &mut bytes);
        assert_eq!(String::from_utf8(bytes).unwrap(), "# a\n\n two µ\n");
    }
}
