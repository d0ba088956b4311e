//! What a builder wrote, as it may stand on a page: nothing in it steers the page.

/// Signs that turn the direction of writing (Unicode, annex 9: marks, embeddings, overrides, isolates).
fn turns(c: char) -> bool {
    matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Signs that may not stand in a page for a browser (HTML, "noncharacters" and "controls"), but for the tab and line ends.
fn is_no_character(c: char) -> bool {
    let steers = c.is_control() && !matches!(c, '\t' | '\n');
    steers || matches!(c, '\u{fdd0}'..='\u{fdef}') || (c as u32) & 0xfffe == 0xfffe
}

/// As it may stand in a page for a browser, which keeps each such text apart from what is around it.
pub fn for_browsers(text: &str) -> String {
    let clean = |c| if is_no_character(c) { '\u{fffd}' } else { c };
    text.chars().map(clean).collect()
}

/// As it may stand on a line of a text that has no such means: on one line, written in the direction of its letters.
pub fn for_lines(text: &str) -> String {
    let clean = |c: char| match c {
        '\t' | '\n' | '\u{2028}' | '\u{2029}' => ' ',
        c if is_no_character(c) || turns(c) => '\u{fffd}',
        c => c,
    };
    text.chars().map(clean).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_steers_is_taken_out() {
        assert_eq!(
            for_browsers("a\u{0}b\u{1b}c\u{85}\td"),
            "a\u{fffd}b\u{fffd}c\u{fffd}\td"
        );
        assert_eq!(
            for_browsers("\u{fdd0}\u{ffff}\u{1fffe}é"),
            "\u{fffd}\u{fffd}\u{fffd}é"
        );
        assert_eq!(for_lines("a\u{202e}b\nc\u{2069}"), "a\u{fffd}b c\u{fffd}");
        assert_eq!(for_lines("Μάστ אור"), "Μάστ אור");
    }
}
