//! How far the line is indented on which one goes on after a line end was typed.

use super::columns::Columns;
use super::{BOM, INDENTATION};
use crate::syntax::read_stanza;
use crate::syntax::tree::{Stanza, TokenKind};
use crate::text::{Span, TextEdit};

/// The edits after a line end was typed and the cursor came to `offset`: other blanks at the start of its line, where
/// that carries a stanza on or does so no more.
pub fn after_line_end(text: &str, offset: usize) -> Vec<TextEdit> {
    let offset = (0..=offset.min(text.len())).rev();
    let offset = offset.into_iter().find(|at| text.is_char_boundary(*at));
    let (ahead, rest) = text.split_at(offset.unwrap_or(0));
    let start = line_start(ahead);
    let Some(above) = ahead.get(..start).filter(|above| !above.is_empty()) else {
        return Vec::new();
    };
    let line_end = rest.find(['\n', '\r']).unwrap_or(rest.len());
    let line = text.get(start..ahead.len() + line_end).unwrap_or("");
    let words = line.trim_start();
    let blanks = &line[..line.len() - words.len()];
    let Some(wanted) = indentation(above, words) else {
        return Vec::new();
    };
    let wanted = " ".repeat(wanted);
    if blanks == wanted {
        return Vec::new();
    }
    vec![TextEdit {
        span: Span::between(start, start + blanks.len()),
        text: wanted,
    }]
}

fn line_start(text: &str) -> usize {
    text.rfind(['\n', '\r']).map_or(0, |end| end + 1)
}

/// How far a line with these words is indented below a text that ends in a line end; `None`: as it is.
fn indentation(above: &str, words: &str) -> Option<usize> {
    let mut lines = above.split_inclusive(['\n', '\r']).rev();
    // The LF of CR and LF, when taken alone, is no line.
    let last = lines.find(|line| *line != "\n" || !above.ends_with("\r\n"))?;
    if last.trim_start_matches(BOM).trim().is_empty() {
        // An empty line ends the stanza for who types; what is there already stays.
        return words.is_empty().then_some(0);
    }
    if last.trim_start().starts_with('#') || words.starts_with('#') || begins_a_stanza(words) {
        return None;
    }
    let text = last_stanza(above)?;
    let stanza = read_stanza(text.into());
    let last_word = stanza
        .tokens
        .iter()
        .rfind(|t| !matches!(t.kind, TokenKind::Comment | TokenKind::LineEnd))?;
    let carries_on = last.starts_with(char::is_whitespace);
    let list = last_word.kind == TokenKind::Comma;
    let missing = stanza.faults.iter().any(|f| f.check == "clause-missing");
    if words.is_empty() && !carries_on && !list && !missing {
        return None;
    }
    // Where nothing is written yet, something is: in a list, the next of it; else a clause.
    let next = if words.is_empty() && list { "x" } else { words };
    let carried = format!("{text} {next}");
    let carried: Stanza = read_stanza(carried.into());
    let at = carried
        .tokens
        .partition_point(|t| (t.span.start as usize) < text.len());
    let first = carried.tokens.get(at).copied();
    let first = first.filter(|token| token.kind != TokenKind::LineEnd);
    Some(first.map_or(INDENTATION, |first| {
        Columns::of(&carried).indentation(first)
    }))
}

/// Whether these words, at the margin, are a stanza of their own. `resistor 560 ohm` is none: it names nothing.
fn begins_a_stanza(words: &str) -> bool {
    let stanza = read_stanza(words.into());
    stanza
        .word
        .is_some_and(|word| !word.defines_a_name() || stanza.name().is_some())
}

/// The stanza that a text ends with, from its word at the margin on.
fn last_stanza(text: &str) -> Option<&str> {
    let mut start = text.len();
    for line in text.split_inclusive(['\n', '\r']).rev() {
        start -= line.len();
        let line = line.trim_start_matches(BOM);
        if !line.starts_with(|c: char| c == '#' || c.is_whitespace()) {
            return text.get(start..);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::apply;

    /// The text after a line end is typed at `$0`, as an editor without any indentation of its own does it.
    fn typed(text: &str) -> String {
        let at = text.find("$0").unwrap();
        let text = text.replace("$0", "\n");
        apply(&text, &after_line_end(&text, at + 1)).unwrap()
    }

    #[test]
    fn a_stanza_that_lacks_a_clause_goes_on() {
        assert_eq!(typed("wire fine$0"), "wire fine\n  ");
        assert_eq!(typed("led p # small$0\n"), "led p # small\n  \n");
        assert_eq!(
            typed("wire fine\n  gauge 32 AWG$0\n"),
            "wire fine\n  gauge 32 AWG\n  \n"
        );
        // Complete: what comes next is at the margin.
        assert_eq!(typed("zone a$0\n"), "zone a\n\n");
        assert_eq!(typed("fuse F1 1 A from s$0\n"), "fuse F1 1 A from s\n\n");
    }

    #[test]
    fn a_list_goes_on_one_step_further() {
        assert_eq!(typed("scene s off a,$0"), "scene s off a,\n  ");
        assert_eq!(
            typed("scene s\n  off a, # b\n    c,$0"),
            "scene s\n  off a, # b\n    c,\n    "
        );
    }

    #[test]
    fn a_line_that_is_split_carries_its_stanza_on() {
        assert_eq!(
            typed("lamp m of p$0 resistor 560 ohm from k\n"),
            "lamp m of p\n  resistor 560 ohm from k\n"
        );
        assert_eq!(
            typed("lamp m of p\n  from k$0over 5 mm of f\n"),
            "lamp m of p\n  from k\n    over 5 mm of f\n"
        );
        // A line end ahead of the next stanza opens a line and moves nothing.
        assert_eq!(typed("zone a\n$0zone b\n"), "zone a\n\nzone b\n");
        assert_eq!(typed("wire a$0zone b\n"), "wire a\nzone b\n");
        assert_eq!(
            typed("led a$0resistor R 5 ohm from k\n"),
            "led a\nresistor R 5 ohm from k\n"
        );
    }

    #[test]
    fn an_empty_line_ends_a_stanza() {
        let text = "wire fine\n  gauge 32 AWG\n  \n  ";
        assert_eq!(
            apply(text, &after_line_end(text, text.len())).unwrap(),
            "wire fine\n  gauge 32 AWG\n  \n"
        );
        assert_eq!(
            typed("wire fine\n  gauge 32 AWG\n$0  have 5 m\n"),
            "wire fine\n  gauge 32 AWG\n\n  have 5 m\n"
        );
    }

    #[test]
    fn line_ends_of_either_kind() {
        let text = "wire fine\r\n";
        assert_eq!(
            apply(text, &after_line_end(text, text.len())).unwrap(),
            "wire fine\r\n  "
        );
        let text = "\u{feff}wire fine\r\n\t\tgauge 32 AWG\r\n\t\t";
        assert_eq!(
            apply(text, &after_line_end(text, text.len())).unwrap(),
            "\u{feff}wire fine\r\n\t\tgauge 32 AWG\r\n  "
        );
    }

    #[test]
    fn anywhere_in_any_half_written_text() {
        let text = "\u{feff}wire å\r\n  gauge 3\r\r\n\n# c\nscene 𝄞 off a,\nb\n  \"";
        for at in 0..=text.len() + 1 {
            for edit in after_line_end(text, at) {
                assert!(
                    edit.span.of(text).is_some_and(|gap| gap.trim().is_empty()),
                    "{at}"
                );
            }
        }
    }
}
