//! Random edits for tests: as somebody may type them, and as a careless client may send them. The same seed gives the
//! same script. `PROPTEST_CASES` asks for more scripts than usual.

#![allow(clippy::unwrap_used, clippy::expect_used)]

use proptest::prelude::RngExt;
use proptest::test_runner::{RngAlgorithm, TestRng};

use super::{Change, Encoding, Lines, Position};

/// A source of choices.
pub fn seeded(seed: u64) -> TestRng {
    let mut bytes = [7; 32];
    bytes[..8].copy_from_slice(&seed.to_le_bytes());
    TestRng::from_seed(RngAlgorithm::ChaCha, &bytes)
}

/// How many scripts are tried.
pub fn scripts(usual: u64) -> u64 {
    let asked = std::env::var("PROPTEST_CASES").ok();
    asked.and_then(|cases| cases.parse().ok()).unwrap_or(usual)
}

fn some(random: &mut TestRng, n: usize) -> usize {
    random.random_range(0..n.max(1))
}

fn one_of<'a>(random: &mut TestRng, all: &[&'a str]) -> &'a str {
    all[some(random, all.len())]
}

/// The border of characters at or before an offset.
pub fn floor(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// An edit of some words, as somebody may type it: from, to, what stands there afterwards.
pub fn edit(random: &mut TestRng, text: &str) -> (usize, usize, String) {
    let words: Vec<(usize, &str)> = (text.split_inclusive([' ', '\n']))
        .scan(0, |at, piece| {
            let start = *at;
            *at += piece.len();
            Some((start, piece.trim_end()))
        })
        .filter(|(_, word)| !word.is_empty())
        .collect();
    let Some(&(at, word)) = words.get(some(random, words.len())) else {
        return (0, 0, "zone a\n".into());
    };
    let other = words[some(random, words.len())].1;
    let line_of = |at: usize| text[..at].rfind('\n').map_or(0, |end| end + 1);
    let end_of = |at: usize| text[at..].find('\n').map_or(text.len(), |end| at + end + 1);
    let (line, line_end) = (line_of(at), end_of(at));
    let (other_at, _) = words[some(random, words.len())];
    let last = word.char_indices().last().map_or(0, |(last, _)| last);
    let (start, end, new): (usize, usize, String) = match some(random, 17) {
        0 | 1 => (at, at + word.len(), other.to_owned()),
        2 => (at, at + word.len(), String::new()),
        3 => (at + last, at + word.len(), String::new()),
        4 => (at + word.len(), at + word.len(), "1".into()),
        5 => (line, line_end, String::new()),
        6 => (
            line,
            line,
            text[line_of(other_at)..end_of(other_at)].to_owned(),
        ),
        7 => {
            let line_of_its_own = [
                "# c",
                "",
                "  note \"😀\"",
                "x",
                "zone z",
                "scene n off",
                ",",
                "use \"n\"",
            ];
            (
                line,
                line,
                format!("{}\n", one_of(random, &line_of_its_own)),
            )
        }
        8 => (line, line, " ".into()),
        9 => {
            let odd = ["😀", "Ω", "\r\n", "\r", "\u{301}", ",", "\n", "\u{feff}"];
            (at, at, one_of(random, &odd).to_owned())
        }
        10 => (at, other_at.max(at).min(at + 200), String::new()),
        11 => (at, at + word.len(), word.to_uppercase()),
        // Across the border of two lines, and so often of two stanzas.
        12 => (line_end.saturating_sub(1), line_end, String::new()),
        13 => (line_end.saturating_sub(1), line_end, "\r\n".into()),
        14 => (
            at,
            end_of(line_end.min(text.len()))
                .saturating_sub(some(random, 12))
                .max(at),
            other.to_owned(),
        ),
        15 => (
            line_end.saturating_sub(1),
            line_end.saturating_sub(1),
            "\r".into(),
        ),
        _ => (at, at + word.len(), format!("\n{word} ")),
    };
    (floor(text, start), floor(text, end.max(start)), new)
}

/// A change as a client may send it: mostly an edit, now and then one with a place past the end of its line or of the
/// text, inside a character, with its ends the wrong way round, or the whole text.
pub fn change(random: &mut TestRng, text: &str, encoding: Encoding) -> Change {
    let (start, end, new) = edit(random, text);
    let lines = Lines::new(text);
    let mut range = (
        lines.position(start, encoding),
        lines.position(end, encoding),
    );
    let far = |random: &mut TestRng| [1, 2, 7, 4_000, u32::MAX][some(random, 5)];
    match some(random, 24) {
        0 => {
            let whole = [&text[start..], &text[..end], text, ""][some(random, 4)];
            return Change {
                range: None,
                text: format!("{whole}{new}"),
            };
        }
        1 => range.1.line = range.1.line.saturating_add(far(random)),
        2 => range.1.column = range.1.column.saturating_add(far(random)),
        3 => {
            range.0.column = range.0.column.saturating_add(far(random));
            range.1 = range.1.max(range.0);
        }
        4 => {
            range.0.line = range.0.line.saturating_add(far(random));
            range.1 = range.1.max(range.0);
        }
        5 | 6 => {
            // Beside a character that is two or four columns wide, and so inside it.
            if let Some(wide) = text.find('😀') {
                let mut at = lines.position(wide, encoding);
                at.column += random.random_range(0..4);
                range = (at, at);
                if random.random_bool(0.5) {
                    range.1.column += 1;
                }
            }
        }
        7 if random.random_bool(0.3) => {
            range = (
                range.1,
                Position {
                    line: range.0.line,
                    column: range.0.column.saturating_sub(1),
                },
            );
        }
        _ => {}
    }
    Change {
        range: Some(range),
        text: new,
    }
}

/// The definition of a change, on a plain text by the slow walk over its lines. False where the range ends before it
/// starts: then nobody knows what the client has.
pub fn made(text: &mut String, change: &Change, encoding: Encoding) -> bool {
    let Some((start, end)) = change.range else {
        change.text.clone_into(text);
        return true;
    };
    if start > end {
        return false;
    }
    let range = place(text, start, encoding)..place(text, end, encoding);
    text.replace_range(range, &change.text);
    true
}

fn place(text: &str, position: Position, encoding: Encoding) -> usize {
    let (mut line, mut column, mut wanted) = (0, 0, None);
    let mut previous = ' ';
    for (offset, c) in text.char_indices() {
        let width = encoding.width(c) as u32;
        let ends = matches!(c, '\n' | '\r');
        let second_half = previous == '\r' && c == '\n';
        if line == position.line
            && wanted.is_none()
            && !second_half
            && (ends || column + width > position.column)
        {
            wanted = Some(offset);
        }
        previous = c;
        if second_half {
            // Already counted with its CR; a line that starts here starts behind it.
            if line == position.line && column == 0 {
                wanted = None;
            }
            continue;
        }
        if ends {
            (line, column) = (line + 1, 0);
        } else {
            column += width;
        }
    }
    wanted.unwrap_or(text.len())
}
