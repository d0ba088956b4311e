//! Edits of a plan as an editor makes them: where the lines around a change stood in columns, they do so afterwards.

use similar::{DiffTag, TextDiff};

use crate::format;
use crate::plan::{Edit, FileId, Plan};
use crate::rewrites::changed_texts;
use crate::syntax::read_file;
use crate::text::{Span, TextEdit, apply};

/// The edits in byte ranges of the files. Lines that touch each other, with no blank line between, and were laid out as the
/// formatter would, are laid out again where one of them changes; others keep what the edits say. `None` where the edits do not
/// fit.
pub fn in_rows(plan: &Plan, edits: &[Edit]) -> Option<Vec<(FileId, Span, String)>> {
    let mut all = Vec::new();
    for (file, new) in changed_texts(plan, edits)? {
        let old = &plan.files[file.0];
        let unformatted = format::document(&old.tree);
        let laid_out = laid_out(&old.text, &unformatted, &new);
        if laid_out == new {
            let here = edits.iter().filter(|e| e.stanza.file == file);
            all.extend(here.map(|e| (file, plan.in_file(e.stanza, e.span), e.text.clone())));
        } else {
            let edits = line_edits(&old.text, &laid_out).into_iter();
            all.extend(edits.map(|(span, text)| (file, span, text)));
        }
    }
    Some(all)
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
    let (new_lines, new_starts) = lines(new);
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
    let mut wanted = vec![false; new_lines.len() + 1];
    let mut start = 0;
    for end in 0..=new_lines.len() {
        let ends_here = new_lines.get(end).is_none_or(|line| line.trim().is_empty());
        if ends_here {
            let touched = is_new[start..end].contains(&true);
            let off = was_off[start..end].contains(&true);
            wanted[start..end].fill(touched && !off);
            start = end + 1;
        }
    }
    if !wanted.contains(&true) {
        return new.to_owned();
    }
    let mut edits = format::document(&read_file(new));
    edits.retain(|e| wanted[line_of(&new_starts, e.span.start)]);
    apply(new, &edits).unwrap_or_else(|_| new.to_owned())
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
