//! The cautions: those of the documentation, word for word.

use crate::papers::page::{Block, Piece, Section, Text};

/// The page of the documentation.
const PAGE: &str = include_str!("../../../docs/cautions.md");

/// All of it, but for the chapter that stands in the section on tests.
pub fn section() -> Section {
    let mut section = Section::new("cautions", "Cautions").on_new_page();
    let mut chapters = PAGE.split("\n## ");
    let opening = chapters.next().unwrap_or_default();
    let opening = opening.split_once('\n').map_or("", |(_, rest)| rest);
    blocks(opening).for_each(|block| section.put(block));
    for chapter in chapters {
        let (title, body) = chapter.split_once('\n').unwrap_or((chapter, ""));
        section.heading(title);
        blocks(body).for_each(|block| section.put(block));
    }
    section
}

/// One chapter.
pub fn chapter(title: &str) -> Vec<Block> {
    let mut chapters = PAGE.split("\n## ");
    let body = chapters.find_map(|chapter| chapter.strip_prefix(title)?.strip_prefix('\n'));
    body.map(|body| blocks(body).collect()).unwrap_or_default()
}

/// The blocks of a chapter: paragraphs, and lists whose lines begin with `- ` or `1. `; a line that is indented goes on.
fn blocks(body: &str) -> impl Iterator<Item = Block> + '_ {
    body.split("\n\n")
        .map(str::trim)
        .filter(|b| !b.is_empty())
        .map(|block| {
            let is_numbered = block.starts_with("1. ");
            if !is_numbered && !block.starts_with("- ") {
                return Block::Paragraph(text(&block.replace('\n', " ")));
            }
            let mut lines: Vec<String> = Vec::new();
            for line in block.lines() {
                match begins(line) {
                    Some(rest) => lines.push(rest.to_owned()),
                    None => {
                        if let Some(last) = lines.last_mut() {
                            last.push(' ');
                            last.push_str(line.trim());
                        }
                    }
                }
            }
            let lines = lines.iter().map(|line| text(line)).collect();
            match is_numbered {
                true => Block::Steps(lines),
                false => Block::List(lines),
            }
        })
}

/// What stands behind the mark that begins a line of a list.
fn begins(line: &str) -> Option<&str> {
    line.strip_prefix("- ").or_else(|| {
        let rest = line.trim_start_matches(|c: char| c.is_ascii_digit());
        rest.strip_prefix(". ").filter(|_| rest.len() < line.len())
    })
}

/// Words with strong ones between double stars; backticks are left out.
fn text(words: &str) -> Text {
    let words = words.replace('`', "");
    let pieces = words.split("**").enumerate().filter(|(_, p)| !p.is_empty());
    let pieces = pieces.map(|(n, piece)| match n % 2 {
        0 => Piece::Words(piece.to_owned()),
        _ => Piece::Strong(piece.to_owned()),
    });
    Text(pieces.collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_of_the_page_is_on_the_sheet() {
        let shown = crate::papers::page::plain::written(&crate::papers::page::Page {
            sections: vec![section()],
            ..Default::default()
        });
        let words = |text: &str| -> Vec<String> {
            let text = text.replace(['`', '*', '#'], "");
            let words = text.split_whitespace().map(str::to_owned);
            // The marks of lists are not words.
            words
                .filter(|w| w != "-" && w.trim_end_matches('.').parse::<u32>().is_err())
                .collect()
        };
        assert_eq!(words(&shown), words(PAGE));
        assert!(
            matches!(&chapter("First power-up")[..], [Block::Steps(steps)] if steps.len() == 7)
        );
    }
}
