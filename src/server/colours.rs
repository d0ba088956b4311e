//! Colours of a document, from the editor's plain data to the protocol's types.

use tower_lsp::lsp_types::*;

use super::convert;
use crate::editor::colours::{colours, words_for};
use crate::text::{Document, Encoding};

/// The colours of a document; `None` while its text is not known.
pub fn list(document: &Document, encoding: Encoding) -> Option<Vec<ColorInformation>> {
    let lines = document.lines().ok()?;
    let found = colours(document.text().ok()?).into_iter();
    let colour = found.map(|colour| {
        let [red, green, blue] = colour.rgb.map(|part| part as f32);
        ColorInformation {
            range: convert::range(lines, colour.span, encoding),
            color: Color {
                red,
                green,
                blue,
                alpha: 1.0,
            },
        }
    });
    Some(colour.collect())
}

/// The words for a colour that was picked, in the place of a word that names one.
pub fn presentations(
    document: &Document,
    encoding: Encoding,
    picked: Color,
    range: Range,
) -> Option<Vec<ColorPresentation>> {
    let lines = document.lines().ok()?;
    let found = colours(document.text().ok()?);
    let is_there = |span| convert::range(lines, span, encoding) == range;
    let here = found.iter().find(|colour| is_there(colour.span))?;
    let picked = [picked.red, picked.green, picked.blue].map(f64::from);
    let words = words_for(here.of, picked).into_iter();
    let offer = words.map(|word| ColorPresentation {
        label: word.to_owned(),
        text_edit: Some(TextEdit::new(range, word.to_owned())),
        additional_text_edits: None,
    });
    Some(offer.collect())
}
