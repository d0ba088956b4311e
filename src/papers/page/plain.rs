//! A paper on a terminal: headings, and tables in columns.

use std::fmt::Write;

use comfy_table::{CellAlignment, Table as Columns, presets};

use super::clean::for_lines;
use super::{Block, Page, Piece, Table, Text};

/// A paper as text.
pub fn written(page: &Page) -> String {
    let mut out = String::new();
    for section in &page.sections {
        if !out.is_empty() {
            out.push('\n');
        }
        let _ = writeln!(out, "{}", section.title);
        for block in &section.blocks {
            write_block(block, &mut out);
        }
    }
    out
}

fn write_block(block: &Block, out: &mut String) {
    match block {
        Block::Heading(text) | Block::Paragraph(text) | Block::Warning(text) => {
            let _ = writeln!(out, "  {}", line(text));
        }
        Block::Table(table) => write_table(table, out),
        Block::List(lines) | Block::Steps(lines) | Block::Ticks(lines) => {
            for text in lines {
                let _ = writeln!(out, "  - {}", line(text));
            }
        }
        Block::Drawing { name, .. } => {
            let _ = writeln!(out, "  {}", for_lines(name));
        }
    }
}

fn write_table(table: &Table, out: &mut String) {
    if let Some(caption) = table.caption {
        let _ = writeln!(out, "\n {caption}");
    }
    let mut columns = Columns::new();
    columns.load_style(presets::NOTHING);
    columns.set_header(table.columns.iter().map(|column| column.title));
    for group in &table.groups {
        if let Some(title) = &group.title {
            columns.add_row([line(title)]);
        }
        for row in &group.rows {
            columns.add_row(row.cells.iter().map(line));
        }
    }
    for (place, _) in table.columns.iter().enumerate().filter(|(_, c)| c.figures) {
        if let Some(column) = columns.column_mut(place) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    for line in columns.lines() {
        let _ = writeln!(out, " {}", line.trim_end());
    }
}

fn line(text: &Text) -> String {
    let piece = |piece: &Piece| match piece {
        Piece::Words(words) | Piece::Strong(words) => words.clone(),
        Piece::Theirs(text) | Piece::Colour(text) => for_lines(text),
        Piece::Tick(_) => "[ ]".to_owned(),
        Piece::Blank(_, unit) => format!("______ {unit}").trim_end().to_owned(),
    };
    text.0.iter().map(piece).collect()
}
