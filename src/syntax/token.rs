//! The tokens of a stanza. Together with the blanks between them they are its text.

use super::tree::{Token, TokenKind};
use crate::text::Span;

/// Whether this is the byte-order mark, which is kept and otherwise a blank.
pub(super) fn is_bom(c: char) -> bool {
    c == '\u{feff}'
}

/// Whether a name can begin with this: a letter.
pub(super) fn begins_name(c: char) -> bool {
    c.is_alphabetic() || unicode_ident::is_xid_start(c)
}

/// Whether a name can go on with this: a letter, a combining mark, a digit, `-`, `_`.
pub(super) fn continues_name(c: char) -> bool {
    c.is_alphabetic() || unicode_ident::is_xid_continue(c) || c == '-'
}

/// Signs that only stand in units (`%`, and what people write for `degC` and `mm2`); they make a
/// word, so that the message can be about the unit.
fn unit_sign(c: char) -> bool {
    matches!(c, '%' | '°' | '²')
}

/// What a byte is in a word of plain letters; nothing where a word may end or go on as one of others.
pub(super) mod plain {
    /// It may stand in a name, behind its first letter.
    pub const IN_NAME: u8 = 1;
    /// It may stand in a word of whatever kind.
    pub const IN_WORD: u8 = 2;
    /// It is a capital letter.
    pub const CAPITAL: u8 = 4;

    /// What each byte is.
    pub const IS: [u8; 256] = {
        let mut is = [0; 256];
        let mut b = 0;
        while b < 128u8 {
            is[b as usize] = match b {
                b'A'..=b'Z' => IN_NAME | IN_WORD | CAPITAL,
                b'a'..=b'z' | b'0'..=b'9' | b'-' | b'_' => IN_NAME | IN_WORD,
                b'%' => IN_WORD,
                _ => 0,
            };
            b += 1;
        }
        is
    };
}

/// Every token of a text, in order.
pub fn tokens(text: &str) -> Vec<Token> {
    // A token and the blank behind it have some six bytes.
    let mut out = Vec::with_capacity(text.len() / 6 + 2);
    put_tokens(text, &mut out);
    out
}

/// Puts them behind what is there.
pub(super) fn put_tokens(text: &str, out: &mut Vec<Token>) {
    let bytes = text.as_bytes();
    let mut at = 0;
    loop {
        at += bytes[at..].iter().take_while(|b| **b == b' ').count();
        let Some(rest) = text.get(at..).filter(|rest| !rest.is_empty()) else {
            return;
        };
        let (kind, len) = next(rest);
        if let Some(kind) = kind {
            let span = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
            out.push(Token {
                kind,
                span: Span::new(span(at), span(at + len)),
            });
        }
        at += len;
    }
}

/// Words as a message says them: without comments and on one line, with one blank wherever something stands between two.
pub fn on_one_line(written: &str) -> String {
    let mut line = String::with_capacity(written.len());
    let mut end = 0;
    for token in tokens(written) {
        if matches!(token.kind, TokenKind::Comment | TokenKind::LineEnd) {
            continue;
        }
        let span = token.span.range();
        if !line.is_empty() && span.start > end {
            line.push(' ');
        }
        line.push_str(written.get(span.clone()).unwrap_or(""));
        end = span.end;
    }
    line
}

/// The first token of a text that is not empty (`None` for a blank), and its length in bytes.
fn next(text: &str) -> (Option<TokenKind>, usize) {
    let bytes = text.as_bytes();
    match bytes.first() {
        Some(b) if b.is_ascii_alphabetic() => return (Some(TokenKind::Word), word_length(text)),
        Some(b) if b.is_ascii_digit() => {
            // Most numbers are plain digits between blanks.
            let digits = bytes.iter().take_while(|b| b.is_ascii_digit()).count();
            let is_all = matches!(bytes.get(digits), None | Some(b' ' | b'\n' | b'\r'));
            let length = if is_all { digits } else { number_length(text) };
            return (Some(TokenKind::Number), length);
        }
        _ => {}
    }
    let mut chars = text.chars();
    let first = chars.next().unwrap_or(' ');
    let second = chars.next();
    match first {
        '\n' => (Some(TokenKind::LineEnd), 1),
        '\r' => (
            Some(TokenKind::LineEnd),
            1 + usize::from(second == Some('\n')),
        ),
        '#' => (Some(TokenKind::Comment), line_length(text)),
        ',' => (Some(TokenKind::Comma), 1),
        '"' => quoted(text),
        c if c.is_whitespace() || is_bom(c) => (None, c.len_utf8()),
        _ if begins_number(text) => (Some(TokenKind::Number), number_length(text)),
        c if begins_name(c) || unit_sign(c) => (Some(TokenKind::Word), word_length(text)),
        '“' | '„' | '«' => (Some(TokenKind::Stray), curly_length(text)),
        _ => (Some(TokenKind::Stray), stray_length(text)),
    }
}

fn line_length(text: &str) -> usize {
    text.find(['\n', '\r']).unwrap_or(text.len())
}

/// A text in double quotes, or a stray one that runs to the end of its line.
fn quoted(text: &str) -> (Option<TokenKind>, usize) {
    let mut escaped = false;
    for (i, c) in text.char_indices().skip(1) {
        match c {
            '\n' | '\r' => break,
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return (Some(TokenKind::Text), i + 1),
            _ => {}
        }
    }
    let line = text.get(..line_length(text)).unwrap_or(text);
    (Some(TokenKind::Stray), line.trim_end().len())
}

/// A text in typographic quotes, up to the closing one or the end of the line.
fn curly_length(text: &str) -> usize {
    let line = text.get(..line_length(text)).unwrap_or(text);
    match line
        .char_indices()
        .skip(1)
        .find(|(_, c)| matches!(c, '”' | '“' | '»'))
    {
        Some((i, c)) => i + c.len_utf8(),
        None => line.trim_end().len(),
    }
}

fn begins_number(text: &str) -> bool {
    let unsigned = text.strip_prefix(['+', '-', '−']).unwrap_or(text);
    let digits = unsigned.strip_prefix('.').unwrap_or(unsigned);
    digits.starts_with(|c: char| c.is_ascii_digit())
}

/// All that is glued to a number, so that one message can be about all of it.
fn number_length(text: &str) -> usize {
    let mut chars = text.char_indices().peekable();
    let mut before = ' ';
    while let Some((i, c)) = chars.next() {
        let after = chars.peek().map_or(' ', |(_, c)| *c);
        let goes_on = i == 0
            || continues_name(c)
            || unit_sign(c)
            || match c {
                '.' => continues_name(after),
                '/' | ':' => after.is_ascii_digit(),
                ',' => before.is_ascii_digit() && after.is_ascii_digit(),
                '+' => matches!(before, 'e' | 'E') && after.is_ascii_digit(),
                _ => false,
            };
        if !goes_on {
            return i;
        }
        before = c;
    }
    text.len()
}

fn word_length(text: &str) -> usize {
    // Most words are of plain letters, and end at a blank.
    let ends = |b: &u8| plain::IS[usize::from(*b)] & plain::IN_WORD == 0;
    let plain = text.as_bytes().iter().position(ends).unwrap_or(text.len());
    match text.as_bytes().get(plain) {
        Some(b) if !b.is_ascii() || *b == b'.' => any_word_length(text),
        _ => plain,
    }
}

fn any_word_length(text: &str) -> usize {
    let mut chars = text.char_indices().peekable();
    while let Some((i, c)) = chars.next() {
        let after = chars.peek().map_or(' ', |(_, c)| *c);
        let joins = c == '.' && continues_name(after);
        if !(continues_name(c) || unit_sign(c) || joins) {
            return i;
        }
    }
    text.len()
}

/// Signs that the language does not use, up to the next thing that it does.
fn stray_length(text: &str) -> usize {
    let ends = |(i, c): (usize, char)| {
        let known = c.is_whitespace()
            || begins_name(c)
            || c.is_ascii_digit()
            || matches!(c, '"' | '#' | ',' | '“' | '„' | '«');
        (i > 0 && known).then_some(i)
    };
    text.char_indices().find_map(ends).unwrap_or(text.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> String {
        let show = |t: &Token| format!("{:?}({})", t.kind, text[t.span.range()].escape_debug());
        tokens(text).iter().map(show).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn words_numbers_texts_commas_comments() {
        assert_eq!(
            shown("lamp wing.tip of Öl-2 \"a # \\\" b\" # c\r\n"),
            "Word(lamp) Word(wing.tip) Word(of) Word(Öl-2) Text(\\\"a # \\\\\\\" b\\\") Comment(# c) LineEnd(\\r\\n)"
        );
        assert_eq!(
            shown("red,black 0,75 A 12 V,13V -5 degC 1/16in 2026-03-14 1:43.5 4R7 20% 20 %"),
            "Word(red) Comma(,) Word(black) Number(0,75) Word(A) Number(12) Word(V) Comma(,) Number(13V) \
             Number(-5) Word(degC) Number(1/16in) Number(2026-03-14) Number(1:43.5) Number(4R7) Number(20%) \
             Number(20) Word(%)"
        );
    }

    proptest::proptest! {
        #[test]
        fn a_number_is_as_long_as_it_is(text in "[0-9][a-z0-9é°²%_., =/:+\\-\n]{0,12}") {
            proptest::prop_assert_eq!(next(&text), (Some(TokenKind::Number), number_length(&text)));
        }

        #[test]
        fn a_word_is_as_long_as_it_is(text in "[a-zA-Z][a-z0-9é°²%_., =\\-]{0,12}") {
            proptest::prop_assert_eq!(word_length(&text), any_word_length(&text));
        }
    }

    #[test]
    fn what_the_language_does_not_use_is_stray() {
        assert_eq!(
            shown("a {b} \"open # text  \n“curly” x ="),
            "Word(a) Stray({) Word(b) Stray(}) Stray(\\\"open # text) LineEnd(\\n) Stray(“curly”) Word(x) Stray(=)"
        );
    }
}
