//! A file's text cut into stanzas, by the shape of its lines alone, so that a stanza that cannot be
//! read never changes how its neighbours are read. The pieces, joined, are the text byte for byte.

use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::Arc;

use super::mould::Moulds;
use super::token::{is_bom, tokens};
use super::tree::{File, Placed, Stanza, TokenKind};
use super::vocabulary::StanzaWord;
use crate::text::{Lines, Span, Touched};

/// Reads a whole file. Never fails: what cannot be read is among the faults of its stanza.
pub fn read_file(text: &str) -> File {
    read_file_reusing(text, &File::default())
}

/// Reads a whole file and keeps the stanzas of an earlier version whose text is unchanged, the very
/// same [`Arc`]s. The result equals that of [`read_file`].
pub fn read_file_reusing(text: &str, earlier: &File) -> File {
    let pieces = split(text);
    let old = &earlier.stanzas;
    // An edit mostly touches one stanza: compare from both ends, look up only what is between.
    let ahead = pieces
        .iter()
        .zip(old)
        .take_while(|(piece, placed)| piece.1 == &*placed.stanza.text)
        .count();
    let most = pieces.len().min(old.len()) - ahead;
    let behind = pieces
        .iter()
        .rev()
        .zip(old.iter().rev())
        .take(most)
        .take_while(|(piece, placed)| piece.1 == &*placed.stanza.text)
        .count();
    let between: HashMap<&str, &Arc<Stanza>> = old[ahead..old.len() - behind]
        .iter()
        .map(|placed| (&*placed.stanza.text, &placed.stanza))
        .collect();
    let moulds = Moulds::default();
    let stanzas = pieces
        .iter()
        .enumerate()
        .map(|(i, &(start, piece))| {
            let kept = if i < ahead {
                old.get(i).map(|p| &p.stanza)
            } else if i >= pieces.len() - behind {
                old.get(old.len() - (pieces.len() - i)).map(|p| &p.stanza)
            } else {
                between.get(piece).copied()
            };
            let stanza = kept.map_or_else(|| moulds.read(piece, |_, _| ()), Arc::clone);
            Placed { start, stanza }
        })
        .collect();
    File { stanzas }
}

/// The texts of a file's stanzas, in order; each read by [`super::read_stanza`], they are those of [`read_file`].
pub fn stanza_texts(text: &str) -> impl Iterator<Item = &str> {
    split(text).into_iter().map(|(_, piece)| piece)
}

/// What a line is, for cutting.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Line {
    Blank,
    /// A comment that begins at the margin.
    MarginComment,
    /// A comment behind blanks.
    IndentedComment,
    /// Words behind blanks: they carry the stanza on.
    Indented,
    /// Words at the margin.
    Margin,
}

impl Line {
    fn of(content: &str) -> Line {
        let words = content.trim_start();
        let indented = words.len() < content.len();
        match (words.chars().next(), indented) {
            (None, _) => Line::Blank,
            (Some('#'), false) => Line::MarginComment,
            (Some('#'), true) => Line::IndentedComment,
            (Some(_), true) => Line::Indented,
            (Some(_), false) => Line::Margin,
        }
    }
}

/// The stanzas' texts with the byte where each begins.
fn split(text: &str) -> Vec<(u32, &str)> {
    pieces(text, &borders(text, true, ""))
}

/// The pieces between these borders and the end.
fn pieces<'a>(text: &'a str, starts: &[usize]) -> Vec<(u32, &'a str)> {
    let ends = starts.iter().skip(1).copied().chain([text.len()]);
    starts
        .iter()
        .zip(ends)
        .filter_map(|(&start, end)| {
            let at = u32::try_from(start).unwrap_or(u32::MAX);
            text.get(start..end).map(|piece| (at, piece))
        })
        .collect()
}

/// Where stanzas begin in a text, or in the part of one behind a line with words that a stanza before it ends with.
fn borders(text: &str, is_beginning: bool, last_words: &str) -> Vec<usize> {
    let mut starts: Vec<usize> = Vec::new();
    // Where the margin comments begin that touch the line at hand.
    let mut comments: Option<usize> = None;
    let mut last_words = last_words;
    for (start, line) in lines(text) {
        let content = line.strip_prefix(is_bom).unwrap_or(line);
        match Line::of(content) {
            Line::Blank | Line::IndentedComment => comments = None,
            Line::MarginComment => {
                comments.get_or_insert(start);
            }
            Line::Indented => {
                comments = None;
                last_words = line;
            }
            Line::Margin => {
                let touching = comments.take();
                let is_first = is_beginning && starts.is_empty();
                if is_first || !carries_a_list_on(last_words, content) {
                    starts.push(touching.unwrap_or(start));
                }
                last_words = line;
            }
        }
    }
    if is_beginning && starts.first() != Some(&0) && !text.is_empty() {
        starts.insert(0, 0);
    }
    starts
}

/// The last line with words of a stanza.
fn last_words(stanza: &str) -> &str {
    let mut last = "";
    for (_, line) in lines(stanza) {
        let content = line.strip_prefix(is_bom).unwrap_or(line);
        if matches!(Line::of(content), Line::Indented | Line::Margin) {
            last = line;
        }
    }
    last
}

/// Stanzas that an edit put in the place of others.
#[derive(Debug)]
pub struct Replaced {
    /// The first that went, among those before.
    pub at: usize,
    /// How many went.
    pub gone: usize,
    /// What came in their place.
    pub new: Vec<Arc<Stanza>>,
}

/// What an edit of a file does to its stanzas. `starts` and `stanza` tell where those before it begin and what their texts are, `now` is the text after
/// it; `read` reads a stanza ([`super::read_stanza`]). The stanzas that come of it are those of [`read_file`].
pub fn read_edit<'a>(
    starts: &[u32],
    stanza: &dyn Fn(usize) -> Cow<'a, str>,
    now: &Lines,
    touched: Touched,
    read: &mut dyn FnMut(&str) -> Arc<Stanza>,
) -> Replaced {
    let before = |offset: usize| starts.partition_point(|s| (*s as usize) <= offset);
    // What stands at the margin, what touches it and what a list goes on with shows one stanza further up.
    let at = match before(touched.start).saturating_sub(2) {
        1 => 0, // The first words at the margin always begin a stanza.
        at => at,
    };
    let start = starts.get(at).copied().unwrap_or(0);
    let above = at.checked_sub(1).map(stanza).unwrap_or_default();
    let words = last_words(&above);
    let old = |new: usize| new + touched.old_end - touched.new_end;
    let mut ahead = 2;
    loop {
        let behind = before(touched.old_end) + ahead;
        let end = match starts.get(behind) {
            Some(end) => *end as usize + touched.new_end - touched.old_end,
            None => now.bytes(),
        };
        let text = now.piece(Span::between(start as usize, end));
        let mut borders = borders(&text, at == 0, words);
        // From the first border on that was one before, all is as it was.
        let same = |border: usize| {
            let is = start as usize + border;
            (is >= touched.new_end)
                .then(|| starts.binary_search(&u32::try_from(old(is)).ok()?).ok())
                .flatten()
        };
        let met = (borders.iter().enumerate()).find_map(|(k, b)| Some((k, same(*b)?)));
        let (text, gone) = match met {
            Some((k, old)) => {
                let text = text.get(..borders[k]).unwrap_or(&text);
                borders.truncate(k);
                (text, old.saturating_sub(at))
            }
            None if end >= now.bytes() => (&*text, starts.len() - at),
            None => {
                ahead *= 4;
                continue;
            }
        };
        return trimmed(&pieces(text, &borders), at, gone, stanza, read);
    }
}

/// Leaves out of what is replaced what is the same at both ends.
fn trimmed<'a>(
    pieces: &[(u32, &str)],
    at: usize,
    gone: usize,
    stanza: &dyn Fn(usize) -> Cow<'a, str>,
    read: &mut dyn FnMut(&str) -> Arc<Stanza>,
) -> Replaced {
    let same = |piece: &str, old: usize| stanza(old) == piece;
    let most = pieces.len().min(gone);
    let ahead = (0..most).take_while(|&k| same(pieces[k].1, at + k)).count();
    let behind = (1..=most - ahead)
        .take_while(|&k| same(pieces[pieces.len() - k].1, at + gone - k))
        .count();
    let new = &pieces[ahead..pieces.len() - behind];
    Replaced {
        at: at + ahead,
        gone: gone - ahead - behind,
        new: (new.iter()).map(|(_, piece)| read(piece)).collect(),
    }
}

/// Whether a line at the margin is the next line of a list whose indentation was forgotten: the
/// words before it end in a comma, and it begins with no stanza word. The reader marks such a line.
fn carries_a_list_on(before: &str, line: &str) -> bool {
    let ends_in_comma = before.contains(',')
        && tokens(before)
            .iter()
            .rev()
            .find(|t| !matches!(t.kind, TokenKind::Comment | TokenKind::LineEnd))
            .is_some_and(|t| t.kind == TokenKind::Comma);
    ends_in_comma
        && tokens(line).first().is_some_and(|t| {
            let word = line.get(t.span.range()).unwrap_or("");
            StanzaWord::from_word(word).is_none()
        })
}

/// The lines with their ends (LF, CRLF or a lone CR), and the byte where each begins.
fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut at = 0;
    std::iter::from_fn(move || {
        let rest = text.get(at..).filter(|rest| !rest.is_empty())?;
        let bytes = rest.as_bytes();
        let end = bytes.iter().position(|b| matches!(b, b'\n' | b'\r'));
        let len = end.map_or(rest.len(), |end| {
            let crlf = bytes.get(end) == Some(&b'\r') && bytes.get(end + 1) == Some(&b'\n');
            end + 1 + usize::from(crlf)
        });
        let line = (at, rest.get(..len)?);
        at += len;
        Some(line)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pieces(text: &str) -> Vec<&str> {
        let pieces: Vec<&str> = split(text).into_iter().map(|(_, piece)| piece).collect();
        assert_eq!(pieces.concat(), text);
        pieces
    }

    #[test]
    fn a_word_at_the_margin_starts_a_stanza() {
        assert_eq!(
            pieces("zone a\n  sealed\n\n\tlifts off\nzone b"),
            ["zone a\n  sealed\n\n\tlifts off\n", "zone b"]
        );
        assert_eq!(pieces(""), [""; 0]);
    }

    #[test]
    fn comments_that_touch_the_next_stanza_belong_to_it() {
        assert_eq!(
            pieces("zone a\n# of a\n\n# of b\n# too\nzone b\n  # of b\n# c\nzone c\n"),
            [
                "zone a\n# of a\n\n",
                "# of b\n# too\nzone b\n  # of b\n",
                "# c\nzone c\n"
            ]
        );
        assert_eq!(
            pieces("# the file\n\n# of a\nzone a\n# inside\n  sealed\n"),
            ["# the file\n\n", "# of a\nzone a\n# inside\n  sealed\n"]
        );
    }

    #[test]
    fn line_ends_and_the_byte_order_mark_are_kept() {
        assert_eq!(
            pieces("\u{feff}zone a\r\n  sealed\r\rzone b\nzone c"),
            ["\u{feff}zone a\r\n  sealed\r\r", "zone b\n", "zone c"]
        );
    }

    #[test]
    fn a_list_goes_on_at_the_margin_but_a_stanza_word_starts_a_stanza() {
        assert_eq!(
            pieces("scene a off mast, # one\nsaloon\nzone b\nscene c off mast,\nzone d\n"),
            [
                "scene a off mast, # one\nsaloon\n",
                "zone b\n",
                "scene c off mast,\n",
                "zone d\n"
            ]
        );
    }

    #[test]
    fn unchanged_stanzas_are_the_same_ones() {
        let one = read_file("zone a\nzone b\nzone c\nzone d\n");
        let two = read_file_reusing("zone a\nzone x\nzone y\nzone c\nzone d\n", &one);
        let kept = |i: usize, j: usize| Arc::ptr_eq(&one.stanzas[i].stanza, &two.stanzas[j].stanza);
        assert!(kept(0, 0) && kept(2, 3) && kept(3, 4));
        // Moved stanzas are found too.
        let three = read_file_reusing("zone c\nzone x\nzone a\n", &two);
        assert!(Arc::ptr_eq(
            &two.stanzas[0].stanza,
            &three.stanzas[2].stanza
        ));
        assert_eq!(three.stanzas[2].start, 14);
    }

    use crate::text::{Change, Document, Encoding, Position};
    use proptest::prelude::*;

    /// Lines that are rich in what cuts stanzas.
    fn line() -> impl Strategy<Value = String> {
        let content = prop::sample::select(vec![
            "zone a",
            "scene n off a,",
            "mast, keel",
            "  sealed",
            "\tb,",
            "# c",
            "  # d",
            "",
            " ",
            "x",
            "\u{feff}zone b",
            "lamp é😀 of pearl from a, # e",
        ]);
        let end = prop::sample::select(vec!["\n", "\n", "\r\n", "\r", ""]);
        (content, end).prop_map(|(content, end)| format!("{content}{end}"))
    }

    fn text(lines: std::ops::Range<usize>) -> impl Strategy<Value = String> {
        prop::collection::vec(line(), lines).prop_map(|lines| lines.concat())
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(512))]
        /// After any edits the stanzas are those of the whole text.
        #[test]
        fn an_edit_gives_what_the_whole_text_gives(
            first in text(0..14),
            edits in prop::collection::vec((0u32..16, 0u32..8, 0u32..3, 0u32..8, text(0..3)), 1..6),
            step in 1usize..3,
        ) {
            let mut document = Document::new(&first, None);
            let mut file = read_file(&first);
            for edits in edits.chunks(step) {
                let mark = document.mark().unwrap();
                for (line, column, more, end, text) in edits {
                    let start = Position { line: *line, column: *column };
                    let end = Position { line: line + more, column: *end };
                    let range = Some((start, end.max(start)));
                    let change = Change { range, text: text.clone() };
                    document.apply(vec![change], None, Encoding::Utf8).unwrap();
                }
                let touched = document.touched_since(mark).unwrap();
                let starts: Vec<u32> = file.stanzas.iter().map(|s| s.start).collect();
                let old = file.stanzas.clone();
                let stanza = |k: usize| Cow::from(&*old[k].stanza.text);
                let replaced = read_edit(&starts, &stanza, document.lines().unwrap(), touched, &mut |text| {
                    Arc::new(crate::syntax::read_stanza(text.into()))
                });
                let new = replaced.new.into_iter().map(|stanza| Placed { start: 0, stanza });
                file.stanzas.splice(replaced.at..replaced.at + replaced.gone, new);
                let mut start = 0;
                for placed in &mut file.stanzas {
                    placed.start = start;
                    start += placed.stanza.text.len() as u32;
                }
                let whole = read_file(document.text().unwrap());
                let texts = |file: &File| -> Vec<(u32, String)> {
                    file.stanzas.iter().map(|s| (s.start, s.stanza.text.to_string())).collect()
                };
                prop_assert_eq!(texts(&file), texts(&whole));
            }
        }
    }
}
