//! A text that an editor has open, one revision after the other.

use std::collections::VecDeque;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, OnceLock};

use super::{Encoding, Lines, Position, Touched};

/// The largest text that is taken on, in bytes. A plan of a hundred lights has some ten thousand.
pub const MAX_BYTES: usize = 8 * 1024 * 1024;

/// One change, as a client sends it: a new text for the place between two positions, or for everything.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// From here up to there; `None` replaces the whole text.
    pub range: Option<(Position, Position)>,
    /// What stands there afterwards.
    pub text: String,
}

/// Why the text of a document is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// A change could not be made or not be read. Guessing would show findings for a text that nobody
    /// wrote, so that the document waits for its next full text.
    OutOfSync,
    /// More than [`MAX_BYTES`].
    TooLarge,
}

/// How many times of change are remembered, each of one message. Who looks less often than that looks at the whole text
/// again. Few, for they are copied with the document.
const REMEMBERED: usize = 8;

/// A text that a document has had; no other text has the same mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Mark(u64);

impl Default for Mark {
    /// That of a text which no document has.
    fn default() -> Mark {
        Mark::new()
    }
}

impl Mark {
    fn new() -> Mark {
        static LAST: AtomicU64 = AtomicU64::new(0);
        Mark(LAST.fetch_add(1, Ordering::Relaxed))
    }
}

/// A document at one revision. The rope is the authority; as one string the text is made when it is first asked for.
/// Cloning is cheap and gives a snapshot that no later edit changes.
#[derive(Clone, Debug)]
pub struct Document {
    version: Option<i32>,
    known: Result<Known, Fault>,
}

#[derive(Clone, Debug)]
struct Known {
    lines: Lines,
    text: Arc<OnceLock<Arc<str>>>,
    mark: Mark,
    /// The last changes: the text before each, and where it was changed. What one message changes is one.
    trail: VecDeque<(Mark, Touched)>,
}

impl Known {
    fn of(lines: Lines) -> Known {
        Known {
            lines,
            text: Arc::default(),
            mark: Mark::new(),
            trail: VecDeque::new(),
        }
    }

    /// The text is another one now.
    fn has_changed(&mut self, touched: Touched) {
        if self.trail.len() == REMEMBERED {
            self.trail.pop_front();
        }
        self.trail.push_back((self.mark, touched));
        self.mark = Mark::new();
        self.text = Arc::default();
    }
}

impl Document {
    /// A document with its full text. `version` is the client's count of its revisions.
    pub fn new(text: &str, version: Option<i32>) -> Document {
        let known = full(text).map(Known::of);
        Document { version, known }
    }

    /// The client's count of revisions.
    pub fn version(&self) -> Option<i32> {
        self.version
    }

    /// Its text; `Err` while that is not known.
    pub fn text(&self) -> Result<&Arc<str>, Fault> {
        self.known
            .as_ref()
            .map(|known| {
                let text = || Arc::from(known.lines.rope.to_string());
                known.text.get_or_init(text)
            })
            .map_err(|fault| *fault)
    }

    /// Its lines; `Err` while its text is not known.
    pub fn lines(&self) -> Result<&Lines, Fault> {
        self.known
            .as_ref()
            .map(|known| &known.lines)
            .map_err(|fault| *fault)
    }

    /// What its text is known by; `Err` while it is not known.
    pub fn mark(&self) -> Result<Mark, Fault> {
        self.known
            .as_ref()
            .map(|known| known.mark)
            .map_err(|fault| *fault)
    }

    /// Where its text was changed since it was the one with this mark; `None` where that is not known any more.
    pub fn touched_since(&self, mark: Mark) -> Option<Touched> {
        let known = self.known.as_ref().ok()?;
        if known.mark == mark {
            return Some(Touched {
                start: 0,
                old_end: 0,
                new_end: 0,
            });
        }
        let first = known.trail.iter().position(|(before, _)| *before == mark)?;
        let changes = known.trail.iter().skip(first).map(|(_, touched)| *touched);
        changes.reduce(Touched::then)
    }

    /// Makes `changes` strictly in order, each on what the one before left, and counts them as `version`.
    pub fn apply(
        &mut self,
        changes: Vec<Change>,
        version: Option<i32>,
        encoding: Encoding,
    ) -> Result<(), Fault> {
        self.version = version;
        let mut all: Option<Touched> = None;
        for change in changes {
            let known = std::mem::replace(&mut self.known, Err(Fault::OutOfSync));
            self.known = match (change.range, known) {
                (None, _) => {
                    all = None;
                    full(&change.text).map(Known::of)
                }
                (Some(_), Err(fault)) => Err(fault),
                (Some(range), Ok(mut known)) => {
                    let touched = edit(&mut known.lines, range, &change.text, encoding);
                    touched.map(|touched| {
                        all = Some(all.map_or(touched, |before| before.then(touched)));
                        known
                    })
                }
            };
        }
        let known = self.known.as_mut().map_err(|fault| *fault)?;
        if let Some(touched) = all {
            known.has_changed(touched);
        }
        Ok(())
    }

    /// A change came that could not be read: what the text is now, nobody knows.
    pub fn lose(&mut self) {
        self.known = Err(Fault::OutOfSync);
    }
}

fn full(text: &str) -> Result<Lines, Fault> {
    if text.len() > MAX_BYTES {
        return Err(Fault::TooLarge);
    }
    Ok(Lines::new(text))
}

/// Positions outside the text are clamped, as the protocol wants; a range that ends before it starts means
/// that client and server do not have the same text.
fn edit(
    lines: &mut Lines,
    (start, end): (Position, Position),
    text: &str,
    encoding: Encoding,
) -> Result<Touched, Fault> {
    if start > end {
        return Err(Fault::OutOfSync);
    }
    let is_place = start == end;
    let start = lines.offset(start, encoding);
    let end = if is_place {
        start
    } else {
        lines.offset(end, encoding)
    };
    if lines.rope.len_bytes() - (end - start) + text.len() > MAX_BYTES {
        return Err(Fault::TooLarge);
    }
    let first = lines.rope.byte_to_char(start);
    if end > start {
        let last = lines.rope.byte_to_char(end);
        lines.rope.remove(first..last);
    }
    lines.rope.insert(first, text);
    Ok(Touched {
        start,
        old_end: end,
        new_end: start + text.len(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::position::tricky;
    use super::super::scripts;
    use super::*;
    use proptest::prelude::*;

    fn at(line: u32, column: u32) -> Position {
        Position { line, column }
    }

    fn change(from: (u32, u32), to: (u32, u32), text: &str) -> Change {
        Change {
            range: Some((at(from.0, from.1), at(to.0, to.1))),
            text: text.into(),
        }
    }

    fn whole(text: &str) -> Change {
        Change {
            range: None,
            text: text.into(),
        }
    }

    fn after(text: &str, changes: Vec<Change>) -> Result<String, Fault> {
        let mut document = Document::new(text, Some(1));
        document.apply(changes, Some(2), Encoding::Utf16)?;
        assert_eq!(document.version(), Some(2));
        Ok(document.text()?.to_string())
    }

    #[test]
    fn changes_are_made_in_order_each_on_the_last() {
        let changes = vec![
            change((0, 0), (0, 0), "x\n"),
            change((1, 0), (1, 1), "b"),
            change((0, 0), (0, 1), "lamp"),
        ];
        assert_eq!(after("a", changes).unwrap(), "lamp\nb");
    }

    #[test]
    fn an_edit_behind_an_astral_character() {
        assert_eq!(
            after("😀a", vec![change((0, 2), (0, 3), "b")]).unwrap(),
            "😀b"
        );
    }

    #[test]
    fn positions_past_the_end_are_clamped() {
        assert_eq!(
            after("ab\r\ncd", vec![change((0, 9), (0, 9), "!")]).unwrap(),
            "ab!\r\ncd"
        );
        assert_eq!(
            after("ab", vec![change((7, 0), (9, 9), "!")]).unwrap(),
            "ab!"
        );
    }

    #[test]
    fn an_inverted_range_waits_for_the_next_full_text() {
        let mut document = Document::new("ab\ncd", Some(1));
        let inverted = change((1, 0), (0, 1), "x");
        assert_eq!(
            document.apply(vec![inverted], Some(2), Encoding::Utf16),
            Err(Fault::OutOfSync)
        );
        let later = change((0, 0), (0, 0), "y");
        assert_eq!(
            document.apply(vec![later], Some(3), Encoding::Utf16),
            Err(Fault::OutOfSync)
        );
        assert!(document.lines().is_err());
        let full = vec![whole("new"), change((0, 3), (0, 3), "er")];
        assert_eq!(document.apply(full, Some(4), Encoding::Utf16), Ok(()));
        assert_eq!(&**document.text().unwrap(), "newer");
    }

    #[test]
    fn a_lost_document_waits_for_the_next_full_text() {
        let mut document = Document::new("ab", Some(1));
        document.lose();
        assert_eq!(document.text(), Err(Fault::OutOfSync));
        assert_eq!(
            document.apply(vec![whole("cd")], Some(2), Encoding::Utf8),
            Ok(())
        );
        assert_eq!(&**document.text().unwrap(), "cd");
    }

    #[test]
    fn size_is_bounded() {
        let large = "x".repeat(MAX_BYTES);
        assert!(Document::new(&large, None).text().is_ok());
        assert_eq!(
            after(&large, vec![change((0, 0), (0, 0), "y")]),
            Err(Fault::TooLarge)
        );
        assert!(after(&large, vec![change((0, 0), (0, 1), "y")]).is_ok());
        assert_eq!(
            Document::new(&(large + "y"), None).text(),
            Err(Fault::TooLarge)
        );
    }

    #[test]
    fn a_snapshot_does_not_change() {
        let mut document = Document::new("ab", Some(1));
        let snapshot = document.clone();
        document
            .apply(vec![whole("cd")], Some(2), Encoding::Utf8)
            .unwrap();
        assert_eq!(&**snapshot.text().unwrap(), "ab");
        assert_eq!(snapshot.version(), Some(1));
    }

    fn changes() -> impl Strategy<Value = Vec<Change>> {
        let one = (
            prop::option::weighted(0.9, (0u32..12, 0u32..12, 0u32..12, 0u32..12)),
            tricky(),
        );
        let one = one.prop_map(|(range, text)| Change {
            range: range.map(|(a, b, c, d)| {
                let (p, q) = (at(a, b), at(c, d));
                (p.min(q), p.max(q))
            }),
            text: text.chars().take(8).collect(),
        });
        prop::collection::vec(one, 0..12)
    }

    proptest! {
        #[test]
        fn agrees_with_a_plain_string(text in tricky(), changes in changes(), which in 0usize..3) {
            let encoding = [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32][which];
            let mut document = Document::new(&text, Some(0));
            let mut plain = text;
            for (version, change) in changes.into_iter().enumerate() {
                prop_assert!(scripts::made(&mut plain, &change, encoding));
                document.apply(vec![change], Some(version as i32), encoding).unwrap();
                prop_assert_eq!(&**document.text().unwrap(), plain.as_str());
                let fresh = Lines::new(&plain);
                prop_assert_eq!(document.lines().unwrap().count(), fresh.count());
            }
        }
    }
}
