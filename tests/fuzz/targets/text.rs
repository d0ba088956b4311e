//! Edits of a text, made on the rope, are those of a plain string; lines, places and what was touched are told of it rightly, in all
//! three ways to count columns.
#![no_main]

#[path = "../edits.rs"]
mod edits;
#[path = "../pieces.rs"]
mod pieces;

use edits::Left;
use glimloom::text::{Change, Document, Encoding, Lines, Position};
use libfuzzer_sys::fuzz_target;

/// LSP 3.17, "Text Documents": a line ends with LF, CR LF or CR. Where each begins, and where its end of line does.
fn lines(text: &str) -> Vec<(usize, usize)> {
    let bytes = text.as_bytes();
    let (mut all, mut start, mut at) = (Vec::new(), 0, 0);
    while at < bytes.len() {
        let ends = match (bytes[at], bytes.get(at + 1)) {
            (b'\r', Some(b'\n')) => 2,
            (b'\r' | b'\n', _) => 1,
            _ => 0,
        };
        if ends > 0 {
            all.push((start, at));
            start = at + ends;
        }
        at += ends.max(1);
    }
    all.push((start, bytes.len()));
    all
}

/// A plain text with its lines.
struct Plain {
    text: String,
    lines: Vec<(usize, usize)>,
}

impl Plain {
    fn new(text: String) -> Plain {
        let lines = lines(&text);
        Plain { text, lines }
    }

    /// The same, "Position": past the end of a line is its end; a place inside a character is taken for its start.
    fn offset(&self, place: Position, encoding: Encoding) -> usize {
        let Some(&(start, end)) = self.lines.get(place.line as usize) else {
            return self.text.len();
        };
        let mut left = place.column as usize;
        for (at, c) in self.text[start..end].char_indices() {
            match left.checked_sub(encoding.width(c)) {
                Some(less) => left = less,
                None => return start + at,
            }
        }
        end
    }

    fn position(&self, offset: usize, encoding: Encoding) -> Position {
        let line = self.lines.partition_point(|(start, _)| *start <= offset) - 1;
        let (start, end) = self.lines[line];
        let ahead = self.text[start..offset.min(end)].chars();
        Position {
            line: line as u32,
            column: ahead.map(|c| encoding.width(c) as u32).sum(),
        }
    }

    /// The text after a change; `None` where nobody knows what the client has.
    fn changed(&self, change: &Change, encoding: Encoding) -> Option<Plain> {
        let Some((start, end)) = change.range else {
            return Some(Plain::new(change.text.clone()));
        };
        (start <= end).then(|| {
            let (start, end) = (self.offset(start, encoding), self.offset(end, encoding));
            let (ahead, behind) = (&self.text[..start], &self.text[end..]);
            Plain::new(format!("{ahead}{}{behind}", change.text))
        })
    }

    /// Holds what is told of the text.
    fn hold(&self, told: &Lines, encoding: Encoding, some: usize) {
        let text = &self.text;
        assert_eq!(told.bytes(), text.len());
        assert_eq!(told.count(), self.lines.len(), "{text:?}");
        for at in [0, some % (text.len() + 1), text.len()] {
            let at = text.floor_char_boundary(at);
            let place = told.position(at, encoding);
            assert_eq!(place, self.position(at, encoding), "{at} in {text:?}");
            let inside = text[..at].ends_with('\r') && text[at..].starts_with('\n');
            let back = told.offset(place, encoding);
            assert_eq!(back, at - usize::from(inside), "{at} in {text:?}");
            assert_eq!(told.line_of(at), place.line as usize, "{at} in {text:?}");
        }
    }
}

fuzz_target!(|bytes: &[u8]| {
    let mut left = Left(bytes);
    let encoding = left.encoding();
    let mut plain = Plain::new(left.text(64));
    let mut document = Document::new(&plain.text, Some(0));
    let first = (plain.text.clone(), document.mark());
    let mut version = 0;
    while !left.0.is_empty() {
        version += 1;
        let change = left.change(plain.lines.len());
        let replaces_all = change.range.is_none();
        let mark = document.mark();
        let known = document.apply(vec![change.clone()], Some(version), encoding);
        assert_eq!(document.version(), Some(version));
        let Some(now) = plain.changed(&change, encoding) else {
            assert!(known.is_err() && document.text().is_err());
            return;
        };
        let (Ok(told), Ok(lines)) = (document.text(), document.lines()) else {
            panic!("{change:?} of {:?} is not made", plain.text);
        };
        assert_eq!(**told, *now.text, "{change:?} of {:?}", plain.text);
        now.hold(lines, encoding, usize::from(left.byte()));
        // Outside of what was touched all is as it was: since the last change, and since the first text.
        for (before, mark) in [(&plain.text, mark), (&first.0, first.1)] {
            let touched = mark.ok().and_then(|mark| document.touched_since(mark));
            assert!(touched.is_some() || replaces_all || version > 1);
            if let Some(touched) = touched {
                let (ahead, behind) = (before.get(..touched.start), before.get(touched.old_end..));
                assert!(ahead.is_some() && behind.is_some());
                assert_eq!(ahead, now.text.get(..touched.start));
                assert_eq!(behind, now.text.get(touched.new_end..));
            }
        }
        plain = now;
    }
});
