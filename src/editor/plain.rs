//! Our Markdown for who shows text as it is: without its marks, a table in columns of blanks.

use std::iter::Peekable;
use std::str::Chars;

/// The same in plain text.
pub fn plain(markdown: &str) -> String {
    let is_shown = |line: &&str| !is_rule(line) && !line.starts_with("```");
    let lines = markdown.split('\n').filter(is_shown);
    let lines: Vec<String> = lines.map(line).collect();
    lines.join("\n")
}

/// Whether it is the line of a table that stands below its heads.
fn is_rule(line: &str) -> bool {
    line.starts_with("| -") && line.chars().all(|c| matches!(c, '|' | ' ' | '-'))
}

fn line(line: &str) -> String {
    let row = line.strip_prefix("| ");
    let mut out = String::with_capacity(line.len());
    let mut letters = row.unwrap_or(line).chars().peekable();
    while let Some(letter) = next(&mut letters, row.is_some()) {
        out.extend(letter);
    }
    out.truncate(out.trim_end().len());
    out
}

/// The next letter that is shown, with nothing for a mark; `None` at the end.
fn next(letters: &mut Peekable<Chars>, in_table: bool) -> Option<Option<char>> {
    let letter = letters.next()?;
    let then = letters.peek().copied();
    Some(match (letter, then) {
        ('\\', Some(escaped)) if escaped.is_ascii_punctuation() => letters.next(),
        ('*', Some('*')) => {
            letters.next();
            None
        }
        ('|', _) if in_table => {
            letters.next_if_eq(&' ');
            Some(' ')
        }
        _ => Some(letter),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_and_tables() {
        for (markdown, text) in [
            ("**lamp mast**: in *bow*", "lamp mast: in *bow*"),
            ("Note: 2 \\* 3 \\\\ \\`a\\` a|b", "Note: 2 * 3 \\ `a` a|b"),
            ("a\\", "a\\"),
            ("`2k2` is 2.2 kohm", "`2k2` is 2.2 kohm"),
            (
                "x\n\n| scene | volts |\n| ----- | ----- |\n| day   | 12 V  |\n|       | a\\|b  |\n\ny",
                "x\n\nscene  volts\nday    12 V\n       a|b\n\ny",
            ),
            ("so:\n\n```harness\nfuse F1\n```", "so:\n\nfuse F1"),
            ("", ""),
        ] {
            assert_eq!(plain(markdown), text);
        }
    }
}
