//! A text and edits of it, from bytes.

use glimloom::text::{Change, Encoding, Position};

use crate::pieces::pieced;

/// What lines, columns and stanzas hang on.
const PIECES: [&str; 24] = [
    "\n",
    "\r\n",
    "\r",
    "é",
    "€",
    "😀",
    "e\u{301}",
    "\u{2028}",
    "\u{feff}",
    "\u{0}",
    " ",
    "\t",
    "  sealed\n",
    "zone a\n",
    "zone deck",
    "scene n off a,",
    "scene n off a,\n",
    "mast, keel\n",
    "# c",
    "\n# d\n",
    "  # e\n",
    ", ",
    "x\n",
    "lamp é😀 of pearl from a, # f\r\n",
];

/// Bytes that are used up.
pub struct Left<'a>(pub &'a [u8]);

impl<'a> Left<'a> {
    /// The next one; zero when there is none.
    pub fn byte(&mut self) -> u8 {
        match self.0.split_first() {
            Some((byte, rest)) => {
                self.0 = rest;
                *byte
            }
            None => 0,
        }
    }

    fn some(&mut self, most: usize) -> &'a [u8] {
        let (some, rest) = self.0.split_at(most.min(self.0.len()));
        self.0 = rest;
        some
    }

    /// What columns count.
    pub fn encoding(&mut self) -> Encoding {
        [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32][usize::from(self.byte()) % 3]
    }

    /// A text.
    pub fn text(&mut self, most: u8) -> String {
        let many = usize::from(self.byte() % most);
        pieced(self.some(many), &PIECES)
    }

    /// A place, mostly in a text of so many lines.
    fn place(&mut self, lines: usize) -> Position {
        let (line, column) = (self.byte(), self.byte());
        Position {
            line: match line {
                0xff => u32::MAX,
                _ => (usize::from(line) % (lines + 1)) as u32,
            },
            column: match column {
                0xff => u32::MAX,
                _ => u32::from(column % 48),
            },
        }
    }

    /// A change of a text of so many lines, mostly one that can be made.
    pub fn change(&mut self, lines: usize) -> Change {
        let kind = self.byte();
        let start = self.place(lines);
        let end = match kind % 8 {
            0..4 => start,
            4 | 5 => Position {
                column: start.column.saturating_add(u32::from(kind >> 4)),
                ..start
            },
            6 => start.max(self.place(lines)),
            _ => self.place(lines),
        };
        Change {
            range: (kind != 0xfe).then_some((start, end)),
            text: self.text(8),
        }
    }
}
