//! A paper as Markdown (CommonMark, with the tables of GitHub's). What the builder wrote cannot become markup.

use std::fmt::Write;

use super::clean::for_lines;
use super::{Block, Page, Piece, Table, Text};
use crate::papers::mark::MARK;

/// What can begin markup anywhere in a line.
const MARKUP: &str = "\\`*_[]<>#|&~!$@";

/// A paper as Markdown.
pub fn written(page: &Page) -> String {
    let mut out = format!(
        "<!-- {MARK} -->\n\n# {}: {}\n",
        page.kind,
        escaped(&page.title)
    );
    for block in &page.about {
        write_block(block, &mut out);
    }
    for section in &page.sections {
        let _ = writeln!(out, "\n## {}", section.title);
        for block in &section.blocks {
            write_block(block, &mut out);
        }
    }
    out
}

fn write_block(block: &Block, out: &mut String) {
    let mut lines = |head: &dyn Fn(usize) -> String, lines: &[Text]| {
        out.push('\n');
        for (n, text) in lines.iter().enumerate() {
            let _ = writeln!(out, "{}{}", head(n), line(text));
        }
    };
    match block {
        Block::Heading(text) => lines(&|_| "### ".into(), std::slice::from_ref(text)),
        Block::Paragraph(text) => lines(&|_| String::new(), std::slice::from_ref(text)),
        Block::Warning(text) => lines(&|_| "> ".into(), std::slice::from_ref(text)),
        Block::Table(table) => write_table(table, out),
        Block::List(texts) => lines(&|_| "- ".into(), texts),
        Block::Steps(texts) => lines(&|n| format!("{}. ", n + 1), texts),
        Block::Ticks(texts) => lines(&|_| "- [ ] ".into(), texts),
        Block::Drawing { name, .. } => lines(&|_| String::new(), &[Text::theirs(name)]),
    }
}

fn write_table(table: &Table, out: &mut String) {
    out.push('\n');
    if let Some(caption) = table.caption {
        let _ = writeln!(out, "**{caption}**\n");
    }
    let columns = table.columns.iter();
    let titles: Vec<&str> = columns.clone().map(|column| column.title).collect();
    let sides: Vec<&str> = columns
        .map(|c| if c.figures { "--:" } else { ":--" })
        .collect();
    let _ = writeln!(out, "| {} |\n| {} |", titles.join(" | "), sides.join(" | "));
    for group in &table.groups {
        if let Some(title) = &group.title {
            let blanks = " |".repeat(table.columns.len());
            // All of it is strong.
            let words = title.0.iter().map(|piece| match piece {
                Piece::Strong(words) => Piece::Words(words.clone()),
                other => other.clone(),
            });
            let title = line(&Text(words.collect()));
            let _ = writeln!(out, "| **{}**{blanks}", title.trim());
        }
        for row in &group.rows {
            let cells: Vec<String> = row.cells.iter().map(line).collect();
            let _ = writeln!(out, "| {} |", cells.join(" | "));
        }
    }
}

fn line(text: &Text) -> String {
    let piece = |piece: &Piece| match piece {
        Piece::Words(words) => escaped(words),
        Piece::Strong(words) => format!("**{}**", escaped(words)),
        Piece::Theirs(text) | Piece::Colour(text) => escaped(text),
        Piece::Tick(_) => "☐".to_owned(),
        Piece::Blank(_, unit) => format!("\\_\\_\\_\\_\\_\\_ {unit}").trim_end().to_owned(),
    };
    text.0.iter().map(piece).collect()
}

/// A text that is no markup wherever it stands in a line: not as emphasis, code, link, tag or entity; at the beginning of
/// a line not as list, heading, rule or table; nor as an address that is made a link of.
fn escaped(text: &str) -> String {
    let text = for_lines(text);
    let mut out = String::with_capacity(text.len());
    let mut only_digits = true;
    for (n, c) in text.char_indices() {
        let ends = !text[n + c.len_utf8()..].starts_with(char::is_alphanumeric);
        let begins = n == 0 && "-+=".contains(c) && ends;
        let numbers = only_digits && n > 0 && ".)".contains(c) && ends;
        let address = (c == ':' && text[n..].starts_with("://"))
            || (c == '.' && text[..n].to_ascii_lowercase().ends_with("www"));
        if MARKUP.contains(c) || begins || numbers || address {
            out.push('\\');
        }
        only_digits &= c.is_ascii_digit();
        out.push(c);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_builder_wrote_is_no_markup() {
        for (text, expected) in [
            ("<script>", "\\<script\\>"),
            ("a|b", "a\\|b"),
            ("**b** `c` [d](e)", "\\*\\*b\\*\\* \\`c\\` \\[d\\](e)"),
            ("- x", "\\- x"),
            ("1. x", "1\\. x"),
            ("1.5 mm", "1.5 mm"),
            ("-5 degC", "-5 degC"),
            ("---", "\\---"),
            ("x 1. y", "x 1. y"),
            ("&lt;", "\\&lt;"),
            ("http://x", "http\\://x"),
            ("www.x", "www\\.x"),
            ("saloon-1", "saloon-1"),
            ("a\nb\u{202e}", "a b\u{fffd}"),
        ] {
            assert_eq!(escaped(text), expected);
        }
    }
}
