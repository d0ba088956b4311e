//! Edits in plain data: what a mend or a rewrite hands to an editor.

use super::Span;

/// Put `text` in the place of `span`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextEdit {
    /// What is replaced; empty to insert.
    pub span: Span,
    /// What stands there afterwards; empty to delete.
    pub text: String,
}

/// Why a list of edits cannot be applied.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EditError {
    /// The span leaves the text or cuts a character.
    OutsideText(Span),
    /// Two edits replace the same text.
    Overlap(Span, Span),
}

/// `text` with all `edits` made at once: every span is a place in the text as given. Insertions at one place
/// stand in the order of the list, before what replaces the text there.
pub fn apply(text: &str, edits: &[TextEdit]) -> Result<String, EditError> {
    let mut order: Vec<&TextEdit> = edits.iter().collect();
    order.sort_by_key(|edit| (edit.span.start, edit.span.end));
    let mut out = String::with_capacity(text.len());
    let mut last = Span::new(0, 0);
    for edit in order {
        if edit.span.start < last.end {
            return Err(EditError::Overlap(last, edit.span));
        }
        let kept = Span {
            start: last.end,
            end: edit.span.start,
        };
        let (Some(kept), Some(_)) = (kept.of(text), edit.span.of(text)) else {
            return Err(EditError::OutsideText(edit.span));
        };
        out.push_str(kept);
        out.push_str(&edit.text);
        last = edit.span;
    }
    out.push_str(text.get(last.end as usize..).unwrap_or_default());
    Ok(out)
}

/// The line end in use around the byte `offset`: that of its own line, else of the line before, else LF. What
/// is inserted there keeps to it, since a file may mix line ends and each is kept.
pub fn line_ending_at(text: &str, offset: usize) -> &'static str {
    let bytes = text.as_bytes();
    let split = offset.min(bytes.len());
    let after = bytes[split..]
        .iter()
        .position(|b| matches!(b, b'\n' | b'\r'));
    let found = match after {
        Some(ahead) => split + ahead,
        None => match bytes[..split]
            .iter()
            .rposition(|b| matches!(b, b'\n' | b'\r'))
        {
            Some(behind) => behind,
            None => return "\n",
        },
    };
    match (
        found.checked_sub(1).map(|i| bytes[i]),
        bytes[found],
        bytes.get(found + 1),
    ) {
        (_, b'\r', Some(b'\n')) | (Some(b'\r'), b'\n', _) => "\r\n",
        (_, b'\r', _) => "\r",
        _ => "\n",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn edit(start: usize, end: usize, text: &str) -> TextEdit {
        TextEdit {
            span: Span::between(start, end),
            text: text.into(),
        }
    }

    #[test]
    fn edits_are_places_in_the_text_as_given() {
        let edits = [edit(8, 9, "Z"), edit(0, 3, "lamp"), edit(4, 4, "[")];
        assert_eq!(apply("led a b c", &edits).unwrap(), "lamp [a b Z");
    }

    #[test]
    fn insertions_at_one_place_keep_their_order() {
        let edits = [edit(1, 2, "X"), edit(1, 1, "1"), edit(1, 1, "2")];
        assert_eq!(apply("abc", &edits).unwrap(), "a12Xc");
    }

    #[test]
    fn edits_that_meet_do_not_overlap() {
        assert_eq!(
            apply("abcd", &[edit(0, 2, "x"), edit(2, 4, "y")]).unwrap(),
            "xy"
        );
    }

    #[test]
    fn impossible_edits_are_refused() {
        assert_eq!(
            apply("abcd", &[edit(0, 3, ""), edit(2, 4, "")]),
            Err(EditError::Overlap(Span::new(0, 3), Span::new(2, 4)))
        );
        for wrong in [Span::new(3, 9), Span::new(1, 2), Span::new(7, 7)] {
            let edits = [TextEdit {
                span: wrong,
                text: String::new(),
            }];
            assert_eq!(apply("éab", &edits), Err(EditError::OutsideText(wrong)));
        }
    }

    #[test]
    fn line_endings_are_those_of_the_neighbourhood() {
        assert_eq!(line_ending_at("a\r\nb\nc", 0), "\r\n");
        assert_eq!(line_ending_at("a\r\nb\nc", 2), "\r\n");
        assert_eq!(line_ending_at("a\r\nb\nc", 3), "\n");
        assert_eq!(line_ending_at("a\r\nb", 4), "\r\n");
        assert_eq!(line_ending_at("a\rb", 0), "\r");
        assert_eq!(line_ending_at("ab", 99), "\n");
    }

    proptest! {
        /// One edit at a time from the back gives the same text.
        #[test]
        fn agrees_with_replacing_from_the_back(
            text in super::super::position::tricky(),
            cuts in prop::collection::btree_set(0usize..200, 0..8),
            put in "[a-zé]{0,4}",
        ) {
            let cuts: Vec<usize> = cuts.into_iter().filter(|&o| text.is_char_boundary(o)).collect();
            let edits: Vec<TextEdit> = cuts.chunks_exact(2).map(|c| edit(c[0], c[1], &put)).collect();
            let mut model = text.clone();
            for edit in edits.iter().rev() {
                model.replace_range(edit.span.range(), &edit.text);
            }
            prop_assert_eq!(apply(&text, &edits).unwrap(), model);
        }

        #[test]
        fn line_ending_never_panics(text in super::super::position::tricky(), offset in 0usize..300) {
            let found = line_ending_at(&text, offset);
            prop_assert!(found == "\n" || text.contains(found));
        }
    }
}
