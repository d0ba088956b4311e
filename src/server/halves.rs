//! Halves of letters in JSON: `"\ud83d"` is one of a surrogate pair alone (RFC 8259, section 8.2: what becomes of it is not said).
//! Clients whose strings are UTF-16 write such an escape where a letter was cut in two. It is read as U+FFFD: both are one unit of
//! UTF-16, so that all places stay where they are.

/// The body with U+FFFD for every half of a letter; `None` where it has none.
pub fn made_whole(body: &[u8]) -> Option<Vec<u8>> {
    let mut whole = body.to_vec();
    let mut at = 0;
    let mut is_mended = false;
    while let Some(next) = body
        .get(at..)
        .and_then(|rest| rest.iter().position(|b| *b == b'\\'))
    {
        at += next;
        let first = unit(body, at);
        at += match first {
            Some(0xd800..=0xdbff) if matches!(unit(body, at + 6), Some(0xdc00..=0xdfff)) => 12,
            Some(0xd800..=0xdfff) => {
                whole[at..at + 6].copy_from_slice(b"\\ufffd");
                is_mended = true;
                6
            }
            Some(_) => 6,
            None => 2,
        };
    }
    is_mended.then_some(whole)
}

/// The unit of UTF-16 that an escape stands for.
fn unit(body: &[u8], at: usize) -> Option<u32> {
    let digits = body.get(at..at + 6)?.strip_prefix(b"\\u")?;
    let is_hex = digits.iter().all(u8::is_ascii_hexdigit);
    let digits = std::str::from_utf8(digits).ok().filter(|_| is_hex)?;
    u32::from_str_radix(digits, 16).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halves_alone_are_mended_and_pairs_are_not() {
        let mended =
            |text: &str| made_whole(text.as_bytes()).map(|b| String::from_utf8(b).unwrap());
        for whole in [
            r#""abc""#,
            r#""\ud83d\ude00""#,
            r#""\\ud83d""#,
            r#""\u00e9\n""#,
            r#""\u12""#,
            "\\",
        ] {
            assert_eq!(mended(whole), None, "{whole}");
        }
        for (half, whole) in [
            (r#""\ud83d""#, r#""\ufffd""#),
            (r#""\uDE00x""#, r#""\ufffdx""#),
            (r#""\ud83d\ud83d\ude00""#, r#""\ufffd\ud83d\ude00""#),
            (r#""\\\ud83d\n""#, r#""\\\ufffd\n""#),
            (r#""\ude00\ud83d""#, r#""\ufffd\ufffd""#),
            (r#""\ud83d\u0041""#, r#""\ufffd\u0041""#),
        ] {
            assert_eq!(mended(half).as_deref(), Some(whole), "{half}");
            assert!(serde_json::from_str::<String>(whole).is_ok(), "{whole}");
        }
    }
}
