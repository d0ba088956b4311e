//! Lines and columns, and the way between them and byte offsets. Nothing here panics: what lies outside a
//! text is clamped into it, and no answer ever splits a character.

use std::borrow::Cow;

use ropey::{Rope, RopeSlice};

use super::{Encoding, Span};

/// A place in a text as editors name it: both count from 0, the column in units of an [`Encoding`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Position {
    /// The line.
    pub line: u32,
    /// The column in that line.
    pub column: u32,
}

/// A text, ready to be asked for lines and columns. A line ends with LF, CRLF or CR, as the protocol has it.
/// Cloning it costs next to nothing.
#[derive(Clone, Debug, Default)]
pub struct Lines {
    pub(super) rope: Rope,
}

impl Lines {
    /// The lines of `text`.
    pub fn new(text: &str) -> Lines {
        Lines {
            rope: Rope::from_str(text),
        }
    }

    /// How many bytes there are.
    pub fn bytes(&self) -> usize {
        self.rope.len_bytes()
    }

    /// A stretch of the text, both ends on character borders; nothing where it leaves the text.
    pub fn slice(&self, span: Span) -> String {
        let mut text = String::with_capacity((span.end.saturating_sub(span.start)) as usize);
        self.push_to(&mut text, span);
        text
    }

    /// The same, copied only where it does not stand in one piece.
    pub fn piece(&self, span: Span) -> Cow<'_, str> {
        let start = span.start as usize;
        let chunk = self.rope.get_chunk_at_byte(start);
        let piece = chunk.and_then(|(chunk, first, ..)| {
            let from = start.checked_sub(first)?;
            chunk.get(from..from + span.range().len())
        });
        piece.map_or_else(|| Cow::Owned(self.slice(span)), Cow::Borrowed)
    }

    /// Puts such a stretch behind a text.
    pub fn push_to(&self, text: &mut String, span: Span) {
        let from = text.len();
        let mut left = span.range().len();
        for chunk in self.behind(span.start as usize) {
            let some = left.min(chunk.len());
            let Some(some) = chunk.get(..some) else {
                break;
            };
            text.push_str(some);
            left -= some.len();
            if left == 0 {
                return;
            }
        }
        if left > 0 {
            text.truncate(from);
        }
    }

    /// The text from a byte on, in the pieces that the rope has; nothing where that is no place between characters.
    fn behind(&self, offset: usize) -> impl Iterator<Item = &str> {
        let first = self.rope.get_chunk_at_byte(offset);
        let first = first.and_then(|(chunk, start, ..)| {
            let piece = chunk.get(offset.checked_sub(start)?..)?;
            Some((piece, start + chunk.len()))
        });
        let (first, next) = first.unzip();
        // Mostly the first is enough.
        let others = move || {
            self.rope
                .get_chunks_at_byte(next?)
                .map(|(chunks, ..)| chunks)
        };
        let others = std::iter::once_with(others).flatten().flatten();
        first.into_iter().chain(others)
    }

    /// The line of the byte `offset`.
    pub fn line_of(&self, offset: usize) -> usize {
        self.rope.byte_to_line(offset.min(self.bytes()))
    }

    /// How many lines there are; a line end at the very end opens one more, empty, line.
    pub fn count(&self) -> usize {
        self.rope.len_lines()
    }

    /// The byte offset of `position`. A column past the end of its line is that line's end (before its
    /// line end); a line past the last is the end of the text; a column inside a character is its start.
    pub fn offset(&self, position: Position, encoding: Encoding) -> usize {
        let line = position.line as usize;
        if line >= self.rope.len_lines() {
            return self.rope.len_bytes();
        }
        let mut left = position.column as usize;
        let mut offset = self.rope.line_to_byte(line);
        for piece in self.behind(offset) {
            // Mostly what stands ahead is plain.
            let ahead = piece.as_bytes().get(..left);
            let is_plain = |b: &u8| b.is_ascii() && !matches!(b, b'\n' | b'\r');
            if ahead.is_some_and(|ahead| ahead.iter().all(is_plain)) {
                return offset + left;
            }
            for c in piece.chars() {
                let width = encoding.width(c);
                if matches!(c, '\n' | '\r') || width > left {
                    return offset;
                }
                left -= width;
                offset += c.len_utf8();
            }
        }
        offset
    }

    /// The position of the byte `offset`. Past the end is the end; inside a character is its start; between
    /// CR and LF is the end of the line before them.
    pub fn position(&self, offset: usize, encoding: Encoding) -> Position {
        let offset = offset.min(self.rope.len_bytes());
        let line = self.rope.byte_to_line(offset);
        let start = self.rope.line_to_byte(line);
        let column = match self.rope.get_byte_slice(start..offset) {
            Some(ahead) => ahead.chunks().map(|chunk| width(chunk, encoding)).sum(),
            None => self.column_inside(line, offset - start, encoding),
        };
        Position {
            line: u32::try_from(line).unwrap_or(u32::MAX),
            column: u32::try_from(column).unwrap_or(u32::MAX),
        }
    }

    /// The column of the character that holds a byte of a line.
    fn column_inside(&self, line: usize, offset: usize, encoding: Encoding) -> usize {
        let (mut at, mut column) = (0, 0);
        for c in content(self.rope.line(line)) {
            at += c.len_utf8();
            if at > offset {
                break;
            }
            column += encoding.width(c);
        }
        column
    }

    /// Where `span` starts and ends.
    pub fn positions(&self, span: Span, encoding: Encoding) -> (Position, Position) {
        let (from, to) = (span.start as usize, span.end as usize);
        let start = self.position(from, encoding);
        // Most lie in one line: the end is so much further on.
        let piece = self.rope.get_byte_slice(from..to);
        let is_in_line =
            |piece: &RopeSlice| !piece.chunks().any(|text| text.contains(['\n', '\r']));
        let end = match piece.filter(is_in_line) {
            Some(piece) => {
                let columns: usize = piece.chunks().map(|text| width(text, encoding)).sum();
                let columns = u32::try_from(columns).unwrap_or(u32::MAX);
                Position {
                    line: start.line,
                    column: start.column.saturating_add(columns),
                }
            }
            None => self.position(to, encoding),
        };
        (start, end)
    }

    /// The span between two positions; an inverted pair is empty at `start`.
    pub fn span(&self, start: Position, end: Position, encoding: Encoding) -> Span {
        Span::between(self.offset(start, encoding), self.offset(end, encoding))
    }
}

/// How wide a stretch of one line is, its line end not counted.
fn width(text: &str, encoding: Encoding) -> usize {
    let text = text.trim_end_matches(['\n', '\r']);
    match text.is_ascii() {
        true => text.len(),
        false => text.chars().map(|c| encoding.width(c)).sum(),
    }
}

/// The characters of a line without its line end.
fn content(line: RopeSlice<'_>) -> impl Iterator<Item = char> {
    line.chars().take_while(|c| !matches!(c, '\n' | '\r'))
}

#[cfg(test)]
pub(super) use tests::tricky;

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const ALL: [Encoding; 3] = [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32];

    fn at(line: u32, column: u32) -> Position {
        Position { line, column }
    }

    #[test]
    fn line_ends_are_those_of_the_protocol() {
        assert_eq!(Lines::new("a\nb\r\nc\rd").count(), 4);
        assert_eq!(Lines::new("a\n").count(), 2);
        assert_eq!(Lines::new("").count(), 1);
        // Unicode knows more line ends (UAX 14: VT, FF, NEL, LS, PS); the protocol does not.
        assert_eq!(
            Lines::new("a\u{2028}b\u{85}c\u{b}d\u{c}e\u{2029}f").count(),
            1
        );
    }

    #[test]
    fn columns_count_what_was_agreed() {
        let lines = Lines::new("aé😀x\n");
        for (encoding, column) in [
            (Encoding::Utf8, 7),
            (Encoding::Utf16, 4),
            (Encoding::Utf32, 3),
        ] {
            assert_eq!(lines.position(7, encoding), at(0, column));
            assert_eq!(lines.offset(at(0, column), encoding), 7);
        }
    }

    #[test]
    fn a_column_inside_a_character_is_its_start() {
        let lines = Lines::new("a😀x");
        assert_eq!(lines.offset(at(0, 2), Encoding::Utf16), 1);
        assert_eq!(lines.offset(at(0, 3), Encoding::Utf16), 5);
        assert_eq!(lines.offset(at(0, 4), Encoding::Utf8), 1);
        for inside in 2..5 {
            assert_eq!(lines.position(inside, Encoding::Utf16), at(0, 1));
        }
    }

    #[test]
    fn what_lies_outside_is_clamped() {
        let lines = Lines::new("ab\r\ncd");
        for encoding in ALL {
            assert_eq!(lines.offset(at(0, 99), encoding), 2);
            assert_eq!(lines.offset(at(0, u32::MAX), encoding), 2);
            assert_eq!(lines.offset(at(1, 99), encoding), 6);
            assert_eq!(lines.offset(at(2, 0), encoding), 6);
            assert_eq!(lines.offset(at(u32::MAX, u32::MAX), encoding), 6);
            assert_eq!(lines.position(usize::MAX, encoding), at(1, 2));
        }
    }

    #[test]
    fn between_cr_and_lf_is_the_end_of_the_line() {
        let lines = Lines::new("ab\r\ncd");
        assert_eq!(lines.position(2, Encoding::Utf8), at(0, 2));
        assert_eq!(lines.position(3, Encoding::Utf8), at(0, 2));
        assert_eq!(lines.position(4, Encoding::Utf8), at(1, 0));
    }

    /// Texts that are rich in what is easily got wrong.
    pub(in crate::text) fn tricky() -> impl Strategy<Value = String> {
        let piece = prop::sample::select(vec![
            "a",
            "é",
            "€",
            "😀",
            "e\u{301}",
            "\n",
            "\r\n",
            "\r",
            "\u{2028}",
            "\u{feff}",
            " ",
            "lamp mast of pearl",
        ]);
        prop::collection::vec(piece, 0..60).prop_map(|pieces| pieces.concat())
    }

    /// The definition, slow and plain: walk the text from its start.
    fn walk(text: &str, offset: usize, encoding: Encoding) -> Position {
        let (mut line, mut column) = (0, 0);
        let mut rest = text[..offset].chars().peekable();
        let ends_inside_crlf = text[..offset].ends_with('\r') && text[offset..].starts_with('\n');
        while let Some(c) = rest.next() {
            match c {
                '\r' if rest.peek() == Some(&'\n') => {}
                '\r' if rest.peek().is_none() && ends_inside_crlf => {}
                '\r' | '\n' => (line, column) = (line + 1, 0),
                c => column += encoding.width(c) as u32,
            }
        }
        at(line, column)
    }

    proptest! {
        #[test]
        fn positions_agree_with_a_walk_and_come_back(text in tricky()) {
            let lines = Lines::new(&text);
            for encoding in ALL {
                for offset in (0..=text.len()).filter(|&o| text.is_char_boundary(o)) {
                    let position = lines.position(offset, encoding);
                    prop_assert_eq!(position, walk(&text, offset, encoding));
                    let inside_crlf = text[..offset].ends_with('\r') && text[offset..].starts_with('\n');
                    let back = lines.offset(position, encoding);
                    prop_assert_eq!(back, if inside_crlf { offset - 1 } else { offset });
                }
            }
        }

        #[test]
        fn a_span_has_the_positions_of_its_ends(text in tricky(), start in 0usize..90, length in 0usize..40) {
            let lines = Lines::new(&text);
            for encoding in ALL {
                let ends = (lines.position(start, encoding), lines.position(start + length, encoding));
                prop_assert_eq!(lines.positions(Span::between(start, start + length), encoding), ends);
            }
        }

        /// A rope has a long text in pieces of about a thousand bytes.
        #[test]
        fn over_the_borders_of_pieces_all_is_the_same(
            text in tricky(), copies in 1usize..200, start in 0usize..4000, length in 0usize..1500,
        ) {
            let long = text.repeat(copies);
            let lines = Lines::new(&long);
            let span = Span::between(start, start + length);
            prop_assert_eq!(lines.slice(span), long.get(start..start + length).unwrap_or(""));
            let start = (0..=start.min(long.len())).rev().find(|o| long.is_char_boundary(*o)).unwrap();
            for encoding in ALL {
                let back = lines.offset(lines.position(start, encoding), encoding);
                let inside_crlf = long[..start].ends_with('\r') && long[start..].starts_with('\n');
                prop_assert_eq!(back, if inside_crlf { start - 1 } else { start });
            }
        }

        #[test]
        fn any_position_is_a_place_in_the_text(text in tricky(), line in 0u32..40, column in 0u32..90) {
            let lines = Lines::new(&text);
            for encoding in ALL {
                let offset = lines.offset(at(line, column), encoding);
                prop_assert!(text.is_char_boundary(offset));
                prop_assert!(lines.position(offset, encoding) <= at(line, column));
            }
        }
    }
}
