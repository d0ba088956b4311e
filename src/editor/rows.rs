//! Edits of a plan as an editor makes them: where the lines around a change stood in columns, they do so afterwards.

use std::collections::HashSet;
use std::ops::Range;

use similar::{DiffTag, TextDiff};

use crate::format;
use crate::syntax::read_file;
use crate::text::{Encoding, Lines, Position, Span, TextEdit, apply};

/// Edits of a text, to be made together. Lines that touch each other, with no blank line between, and were laid out as the
/// formatter would, are laid out again where one of them changes; others keep what the edits say.
pub fn in_rows(lines: &Lines, edits: &[(Span, String)]) -> Vec<(Span, String)> {
    let mut all = Vec::new();
    for window in windows(lines, edits) {
        let old = lines.slice(window);
        let here = edits
            .iter()
            .filter(|(span, _)| window.start <= span.start && span.end <= window.end);
        let here: Vec<TextEdit> = here
            .map(|(span, text)| TextEdit {
                span: Span::new(span.start - window.start, span.end - window.start),
                text: text.clone(),
            })
            .collect();
        let laid = apply(&old, &here).ok().and_then(|new| {
            let laid_out = laid_out(&old, &format::document(&read_file(&old)), &new);
            (laid_out != new).then(|| line_edits(&old, &laid_out))
        });
        let here = here.into_iter().map(|edit| (edit.span, edit.text));
        let laid = laid.unwrap_or_else(|| here.collect());
        all.extend(
            laid.into_iter()
                .map(|(span, text)| (span.shifted(window.start), text)),
        );
    }
    all
}

/// The stretches of a text around edits, each from a stanza that stands below a blank line to the next blank line.
fn windows(lines: &Lines, edits: &[(Span, String)]) -> Vec<Span> {
    let end = u32::try_from(lines.bytes()).unwrap_or(u32::MAX);
    let start = |line: usize| match line < lines.count() {
        true => {
            let line = u32::try_from(line).unwrap_or(u32::MAX);
            let start = lines.offset(Position { line, column: 0 }, Encoding::Utf8);
            u32::try_from(start).unwrap_or(end)
        }
        false => end,
    };
    let line = |line: usize| lines.slice(Span::new(start(line), start(line + 1)));
    let is_blank = |at: usize| line(at).trim().is_empty();
    let is_inside = |at: usize| line(at).starts_with([' ', '\t']) || is_blank(at);
    let mut spans: Vec<Span> = edits.iter().map(|(span, _)| *span).collect();
    spans.sort_unstable();
    let mut windows: Vec<(usize, usize)> = Vec::new();
    for span in spans {
        let (mut first, mut last) = (
            lines.line_of(span.start as usize),
            lines.line_of(span.end as usize),
        );
        // What is put in at the beginning of a line stands below the one ahead of it.
        first = first.saturating_sub(1);
        while first > 0 && (is_inside(first) || !is_blank(first - 1)) {
            first -= 1;
        }
        while last + 1 < lines.count() && !is_blank(last) {
            last += 1;
        }
        match windows.last_mut() {
            Some((_, before)) if first <= *before => *before = last.max(*before),
            _ => windows.push((first, last)),
        }
    }
    windows
        .into_iter()
        .map(|(first, last)| Span::between(start(first) as usize, start(last + 1) as usize))
        .collect()
}

/// The lines of a text, and where each begins.
fn lines(text: &str) -> (Vec<&str>, Vec<usize>) {
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let mut starts = Vec::with_capacity(lines.len() + 1);
    let mut at = 0;
    for line in &lines {
        starts.push(at);
        at += line.len();
    }
    starts.push(at);
    (lines, starts)
}

/// The line that a byte is in.
fn line_of(starts: &[usize], at: u32) -> usize {
    starts
        .partition_point(|&start| start <= at as usize)
        .saturating_sub(1)
}

/// The new text with those lines laid out that stand together with changed ones, where the old lines there were.
fn laid_out(old: &str, unformatted: &[TextEdit], new: &str) -> String {
    let (old_lines, old_starts) = lines(old);
    let (new_lines, _) = lines(new);
    let mut is_off = vec![false; old_lines.len() + 1];
    for edit in unformatted {
        is_off[line_of(&old_starts, edit.span.start)] = true;
    }
    // For each new line, whether it is another one than before, and whether the old lines there were off.
    let mut is_new = vec![false; new_lines.len() + 1];
    let mut was_off = vec![false; new_lines.len() + 1];
    for op in TextDiff::from_slices(&old_lines, &new_lines).ops() {
        let (before, after) = (op.old_range(), op.new_range());
        if op.tag() == DiffTag::Equal {
            for (k, n) in before.zip(after) {
                was_off[n] |= is_off[k];
            }
            continue;
        }
        // What goes counts for the lines on both sides of it.
        let around = after.start.saturating_sub(1)..(after.end + 1).min(new_lines.len());
        let off = before.into_iter().any(|k| is_off[k]);
        for n in around {
            was_off[n] |= off;
            is_new[n] = true;
        }
    }
    laid_out_where(new, |lines| {
        is_new[lines.clone()].contains(&true) && !was_off[lines].contains(&true)
    })
}

/// A text whose lines stood in another order before: lines that touch each other are laid out where each of them was.
pub fn moved_in_rows(old: &str, new: &str) -> String {
    let bare = |line: &&str| line.trim_end_matches(['\n', '\r']).to_owned();
    let (old_lines, old_starts) = lines(old);
    let unformatted = format::document(&read_file(old));
    let off = unformatted
        .iter()
        .map(|edit| bare(&old_lines[line_of(&old_starts, edit.span.start)]));
    let off: HashSet<String> = off.collect();
    let new_lines: Vec<&str> = new.split_inclusive('\n').collect();
    laid_out_where(new, |lines| {
        let mut lines = new_lines[lines].iter();
        !lines.any(|line| off.contains(&bare(line)))
    })
}

/// A text with those lines laid out that are wanted; they are asked for in stretches between blank lines.
fn laid_out_where(text: &str, is_wanted: impl Fn(Range<usize>) -> bool) -> String {
    let (lines, starts) = lines(text);
    let mut wanted = vec![false; lines.len() + 1];
    let mut start = 0;
    for end in 0..=lines.len() {
        let ends_here = lines.get(end).is_none_or(|line| line.trim().is_empty());
        if ends_here {
            let is_wanted = is_wanted(start..end);
            wanted[start..end].fill(is_wanted);
            start = end + 1;
        }
    }
    if !wanted.contains(&true) {
        return text.to_owned();
    }
    let mut edits = format::document(&read_file(text));
    edits.retain(|e| wanted[line_of(&starts, e.span.start)]);
    apply(text, &edits).unwrap_or_else(|_| text.to_owned())
}

/// What makes one text of the other, in one piece: where it begins and ends to differ.
pub fn one_edit(old: &str, new: &str) -> (Span, String) {
    let (ahead, behind) = alike(old, new);
    let span = Span::between(ahead, old.len() - behind);
    (span, new[ahead..new.len() - behind].to_owned())
}

/// What makes one text of the other, as [`in_rows`] lays it out.
pub fn whole_in_rows(old: &str, new: &str) -> Vec<(Span, String)> {
    let laid_out = laid_out(old, &format::document(&read_file(old)), new);
    line_edits(old, &laid_out)
}

/// What makes one text of the other, line by line: of each line that changes, the part that does.
pub fn line_edits(old: &str, new: &str) -> Vec<(Span, String)> {
    let (old_lines, old_starts) = lines(old);
    let (new_lines, _) = lines(new);
    let mut edits = Vec::new();
    for op in TextDiff::from_slices(&old_lines, &new_lines).ops() {
        let (before, after) = (op.old_range(), op.new_range());
        if op.tag() == DiffTag::Equal {
            continue;
        }
        let mut put = |start: usize, old: &str, new: &str| {
            let (ahead, behind) = alike(old, new);
            let span = Span::between(start + ahead, start + old.len() - behind);
            edits.push((span, new[ahead..new.len() - behind].to_owned()));
        };
        if before.len() == after.len() {
            for (k, n) in before.zip(after) {
                put(old_starts[k], old_lines[k], new_lines[n]);
            }
        } else {
            let (old, new) = (
                old_lines[before.clone()].concat(),
                new_lines[after].concat(),
            );
            put(old_starts[before.start], &old, &new);
        }
    }
    edits
}

/// How many bytes two texts have alike at their start and at their end, whole characters.
fn alike(a: &str, b: &str) -> (usize, usize) {
    let ahead: usize = (a.chars().zip(b.chars()))
        .take_while(|(a, b)| a == b)
        .map(|(c, _)| c.len_utf8())
        .sum();
    let (a, b) = (&a[ahead..], &b[ahead..]);
    let behind = (a.chars().rev().zip(b.chars().rev()))
        .take_while(|(a, b)| a == b)
        .map(|(c, _)| c.len_utf8())
        .sum();
    (ahead, behind)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn applied(old: &str, edits: &[(Span, String)]) -> String {
        let edits: Vec<TextEdit> = edits
            .iter()
            .map(|(span, text)| TextEdit {
                span: *span,
                text: text.clone(),
            })
            .collect();
        apply(old, &edits).unwrap()
    }

    proptest! {
        #[test]
        fn line_edits_make_one_text_of_the_other(
            old in "([aä ]{0,3}\r?\n){0,6}[aä]{0,3}",
            new in "([aä ]{0,3}\r?\n){0,6}[aä]{0,3}",
        ) {
            prop_assert_eq!(applied(&old, &line_edits(&old, &new)), new);
        }
    }

    #[test]
    fn a_row_in_columns_stays_in_columns() {
        let old = "lamp a   of x  from k   # one\nlamp bcd of x  from k   # two\n\nlamp e of x    from k\n";
        let formatted = |text: &str| format::document(&read_file(text));
        assert_eq!(formatted(&old[..old.find("\n\n").unwrap()]), []);
        // A longer name in the first row moves its columns; the second row is left as it is.
        let new = old
            .replace("bcd", "bcdefgh")
            .replace("lamp e of", "lamp ee of");
        let laid = laid_out(old, &formatted(old), &new);
        let (first, second) = laid.split_once("\n\n").unwrap();
        assert_eq!(
            first,
            "lamp a       of x  from k  # one\nlamp bcdefgh of x  from k  # two"
        );
        assert_eq!(formatted(first), []);
        assert!(second.starts_with("lamp ee of x"), "{second}");
        // What was in no columns is left alone.
        let askew = old.replace("lamp a   of", "lamp a    of");
        let new = askew.replace("bcd", "bcdefgh");
        assert_eq!(laid_out(&askew, &formatted(&askew), &new), new);
    }
}
