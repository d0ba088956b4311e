//! A file's text cut into stanzas, by the shape of its lines alone, so that a stanza that cannot be
//! read never changes how its neighbours are read. The pieces, joined, are the text byte for byte.

use std::collections::HashMap;
use std::sync::Arc;

use super::reader::read_stanza;
use super::token::{is_bom, tokens};
use super::tree::{File, Placed, Stanza, TokenKind};
use super::vocabulary::StanzaWord;

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
            let stanza = kept.map_or_else(|| Arc::new(read_stanza(piece.into())), Arc::clone);
            Placed { start, stanza }
        })
        .collect();
    File { stanzas }
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
    let mut starts: Vec<usize> = Vec::new();
    // Where the margin comments begin that touch the line at hand.
    let mut comments: Option<usize> = None;
    let mut last_words = "";
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
                if starts.is_empty() || !carries_a_list_on(last_words, content) {
                    starts.push(touching.unwrap_or(start));
                }
                last_words = line;
            }
        }
    }
    if starts.first() != Some(&0) && !text.is_empty() {
        starts.insert(0, 0);
    }
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
}
