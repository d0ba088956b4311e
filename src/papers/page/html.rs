//! A paper as one file for a browser: no script, nothing from elsewhere; a policy in the page holds browsers to that.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::clean::for_browsers;
use super::{Block, Group, Page, Piece, Row, Section, Table, Text};
use crate::papers::mark::MARK;

/// How it looks: on a screen light or dark as the reader likes it, on a telephone, on paper.
const STYLE: &str = include_str!("style.css");

/// Nothing is fetched, nothing runs, nothing is sent (W3C Content Security Policy, level 3).
const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

/// A table of more columns than this needs a wide screen; on others each row is a card.
const NARROW: usize = 6;

/// A word of more letters than this may be broken.
const LONG: usize = 24;

/// Colours that have a patch: those of IEC 60757, and of the bands of resistors.
const PATCHES: [&str; 16] = [
    "black",
    "brown",
    "red",
    "orange",
    "yellow",
    "green",
    "blue",
    "violet",
    "grey",
    "white",
    "pink",
    "gold",
    "silver",
    "turquoise",
    "natural",
    "transparent",
];

/// A paper as a page.
pub fn written(page: &Page) -> String {
    let title = for_browsers(&page.title);
    let whole = html! {
        (DOCTYPE)
        (PreEscaped(format!("\n<!-- {MARK} -->\n")))
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (page.kind) ": " (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                header {
                    p.kind { (page.kind) }
                    h1 { bdi { (title) } }
                    @for block in &page.about { (shown(block)) }
                }
                nav aria-label="Contents" {
                    ol { @for section in &page.sections {
                        li { a href={ "#" (section.id) } { (section.title) } }
                    } }
                }
                main { @for each in &page.sections { (section(each)) } }
            }
        }
    };
    let mut text = whole.into_string();
    text.push('\n');
    text
}

/// The `id` of the row that stands for an item; a drawing on the same page has others.
pub fn id_of(item: &str) -> String {
    format!("figures-{item}")
}

fn section(section: &Section) -> Markup {
    let heading = format!("{}-heading", section.id);
    let lies_across = |block: &Block| matches!(block, Block::Drawing { across: true, .. });
    let across = section.blocks.iter().any(lies_across);
    html! {
        section id=(section.id) aria-labelledby=(heading) class=[class(&[("new-page", section.new_page), ("across", across)])] {
            h2 id=(heading) { (section.title) }
            @for block in &section.blocks { (shown(block)) }
        }
    }
}

fn shown(block: &Block) -> Markup {
    match block {
        Block::Heading(words) => html! { h3 { (text(words)) } },
        Block::Paragraph(words) => html! { p { (text(words)) } },
        Block::Warning(words) => html! { p.warning { (text(words)) } },
        Block::Table(of) => table(of),
        Block::List(lines) => html! { ul { @for line in lines { li { (text(line)) } } } },
        Block::Steps(lines) => html! { ol.steps { @for line in lines { li { (text(line)) } } } },
        Block::Ticks(lines) => html! {
            ul.ticks { @for line in lines {
                li { label { input type="checkbox"; span { (text(line)) } } }
            } }
        },
        Block::Drawing { name, svg, .. } => html! {
            figure.drawing { figcaption { (for_browsers(name)) } (PreEscaped(svg)) }
        },
    }
}

fn table(table: &Table) -> Markup {
    html! {
        table class=[class(&[("wide", table.columns.len() > NARROW)])] {
            @if let Some(caption) = table.caption { caption { (caption) } }
            thead { tr { @for column in &table.columns {
                @match column.title {
                    "" => td {},
                    title => th scope="col" class=[class(&[("figures", column.figures)])] { (title) },
                }
            } } }
            @for group in &table.groups { (rows(table, group)) }
        }
    }
}

fn rows(table: &Table, group: &Group) -> Markup {
    html! {
        tbody {
            @if let Some(title) = &group.title {
                tr.group { th scope="rowgroup" colspan=(table.columns.len()) { (text(title)) } }
            }
            @for each in &group.rows { (row(table, each)) }
        }
    }
}

fn row(table: &Table, row: &Row) -> Markup {
    let id = row.item.as_ref().map(|name| id_of(&name.0));
    html! {
        tr id=[id] {
            @for (column, cell) in table.columns.iter().zip(&row.cells) {
                td data-label=(column.title) class=[class(&[("figures", column.figures), ("empty", cell.is_empty()), ("tick", is_tick(cell))])] {
                    @if column.figures { (figures(cell)) } @else { (text(cell)) }
                }
            }
        }
    }
}

/// Whether a cell is a box to tick and nothing else.
fn is_tick(cell: &Text) -> bool {
    matches!(cell.0[..], [Piece::Tick(_)])
}

fn text(text: &Text) -> Markup {
    html! { @for each in &text.0 { (piece(each)) } }
}

fn figures(figures: &Text) -> Markup {
    let kept = figures.0.iter().map(|piece| match piece {
        Piece::Words(words) => Piece::Words(kept_together(words)),
        Piece::Strong(words) => Piece::Strong(kept_together(words)),
        other => other.clone(),
    });
    text(&Text(kept.collect()))
}

fn piece(piece: &Piece) -> Markup {
    match piece {
        Piece::Words(words) => html! { (for_browsers(&with_units(words))) },
        Piece::Strong(words) => html! { strong { (for_browsers(&with_units(words))) } },
        Piece::Theirs(words) => theirs(words),
        Piece::Colour(name) => html! {
            span.colour {
                @if PATCHES.contains(&name.as_str()) {
                    span class={ "patch c-" (name) } aria-hidden="true" {}
                }
                (theirs(name))
            }
        },
        Piece::Tick(what_for) => html! {
            input type="checkbox" aria-label=(for_browsers(what_for));
        },
        Piece::Blank(what_for, unit) => html! {
            span.blank {
                input type="text" autocomplete="off" aria-label=(for_browsers(what_for));
                @if !unit.is_empty() { " " (unit) }
            }
        },
    }
}

/// The classes that hold, if any does.
fn class(all: &[(&str, bool)]) -> Option<String> {
    let held: Vec<&str> = all
        .iter()
        .filter(|(_, holds)| *holds)
        .map(|(name, _)| *name)
        .collect();
    (!held.is_empty()).then(|| held.join(" "))
}

/// What the builder wrote, apart from what is around it. Only a word that no column has room for may be broken.
fn theirs(words: &str) -> Markup {
    let is_long = words
        .split_whitespace()
        .any(|w| w.chars().nth(LONG).is_some());
    html! { bdi class=[class(&[("long", is_long)])] { (for_browsers(words)) } }
}

/// Words in which a figure and its unit stay on one line.
fn with_units(words: &str) -> String {
    const UNITS: [&str; 15] = [
        "V", "mV", "A", "mA", "ohm", "kohm", "W", "mW", "m", "mm", "AWG", "mAh", "h", "K", "°C",
    ];
    let mut whole = String::with_capacity(words.len());
    for word in words.split_inclusive(' ') {
        let bare = word.trim_end().trim_end_matches([',', '.', ';', ':', ')']);
        if UNITS.contains(&bare) && whole.strip_suffix(' ').is_some_and(ends_in_a_figure) {
            whole.pop();
            whole.push('\u{a0}');
        }
        whole.push_str(word);
    }
    whole
}

fn ends_in_a_figure(words: &str) -> bool {
    words.ends_with(|c: char| c.is_ascii_digit())
}

/// Figures, with blanks that keep a number and its unit on one line; a range in brackets may stand on the next.
fn kept_together(words: &str) -> String {
    let words = words.replace(' ', "\u{a0}").replace("\u{a0}(", " (");
    // A line may end behind a dash, unless it is joined to what follows (Unicode, annex 14: WJ).
    words.replace('–', "–\u{2060}")
}
