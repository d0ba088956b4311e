//! What a column counts.

/// The unit in which columns are counted; agreed with the client once, when it connects.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Encoding {
    /// Bytes.
    Utf8,
    /// UTF-16 code units, in which a character outside the basic plane counts two. What the protocol
    /// falls back on when nothing is said.
    #[default]
    Utf16,
    /// Characters (Unicode scalar values).
    Utf32,
}

impl Encoding {
    /// How much of a line `c` takes up.
    pub fn width(self, c: char) -> usize {
        match self {
            Encoding::Utf8 => c.len_utf8(),
            Encoding::Utf16 => c.len_utf16(),
            Encoding::Utf32 => 1,
        }
    }

    /// The best of what a client offers: bytes, since our offsets are bytes; else characters; else UTF-16,
    /// which every client must understand.
    pub fn negotiate<'a>(offered: impl IntoIterator<Item = &'a str>) -> Encoding {
        let mut best = Encoding::Utf16;
        for name in offered {
            match name {
                "utf-8" => return Encoding::Utf8,
                "utf-32" => best = Encoding::Utf32,
                _ => {}
            }
        }
        best
    }

    /// Its name in the protocol.
    pub fn name(self) -> &'static str {
        match self {
            Encoding::Utf8 => "utf-8",
            Encoding::Utf16 => "utf-16",
            Encoding::Utf32 => "utf-32",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn negotiation_prefers_bytes_then_characters() {
        assert_eq!(
            Encoding::negotiate(["utf-32", "utf-8", "utf-16"]),
            Encoding::Utf8
        );
        assert_eq!(Encoding::negotiate(["utf-16", "utf-32"]), Encoding::Utf32);
        assert_eq!(Encoding::negotiate(["utf-16"]), Encoding::Utf16);
        assert_eq!(Encoding::negotiate(["utf-7"]), Encoding::Utf16);
        assert_eq!(Encoding::negotiate([]), Encoding::Utf16);
    }

    /// RFC 3629 §3 (UTF-8 lengths), RFC 2781 §2.1 (surrogate pairs from U+10000 on).
    #[test]
    fn widths() {
        for (c, utf8, utf16) in [
            ('a', 1, 1),
            ('é', 2, 1),
            ('Ω', 2, 1),
            ('€', 3, 1),
            ('😀', 4, 2),
        ] {
            assert_eq!(Encoding::Utf8.width(c), utf8);
            assert_eq!(Encoding::Utf16.width(c), utf16);
            assert_eq!(Encoding::Utf32.width(c), 1);
        }
    }
}
