//! The layout of an open document: edits in the protocol's types.

use tower_lsp::lsp_types::{Position, Range, TextEdit};

use super::convert;
use crate::format;
use crate::syntax::read_file;
use crate::text::{self, Document, Encoding};

/// The edits that lay out a whole document; `None` while its text is not known.
pub fn document(document: &Document, encoding: Encoding) -> Option<Vec<TextEdit>> {
    let edits = format::document(&read_file(document.text().ok()?));
    converted(document, encoding, edits)
}

/// Those of them in the lines of a range.
pub fn lines(document: &Document, encoding: Encoding, range: Range) -> Option<Vec<TextEdit>> {
    let (start, end) = (convert::place(range.start), convert::place(range.end));
    let span = document.lines().ok()?.span(start, end, encoding);
    let edits = format::lines(document.text().ok()?, span);
    converted(document, encoding, edits)
}

/// The edits after a line end was typed and the cursor came to a place.
pub fn after_line_end(
    document: &Document,
    encoding: Encoding,
    at: Position,
) -> Option<Vec<TextEdit>> {
    let offset = document.lines().ok()?.offset(convert::place(at), encoding);
    let edits = format::after_line_end(document.text().ok()?, offset);
    converted(document, encoding, edits)
}

fn converted(
    document: &Document,
    encoding: Encoding,
    edits: Vec<text::TextEdit>,
) -> Option<Vec<TextEdit>> {
    let lines = document.lines().ok()?;
    let edits = edits.into_iter().map(|edit| {
        let range = convert::range(lines, edit.span, encoding);
        TextEdit::new(range, edit.text)
    });
    Some(edits.collect())
}
