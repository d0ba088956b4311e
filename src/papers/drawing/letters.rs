//! How much room words take, and what becomes of words that take too much.
//!
//! Which font a reader has is not known. A letter counts as wide as in the widest of the usual fonts without serifs, so
//! that what stands beside a word is never covered by it.

use unicode_width::UnicodeWidthChar;

/// A word with more letters than this is shortened however narrow they are: marks that are heaped on a letter take no
/// width.
const MOST_LETTERS: usize = 120;

/// More marks than these on one letter reach into what stands above it; those that follow are left out. No script heaps as many.
const MOST_MARKS: u32 = 5;

/// What stands for words that are left out.
const MORE: char = '…';

/// How wide a letter is, in parts of the font's size. Measured on DejaVu Sans, in groups.
fn letter(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | '\'' => 0.3,
        ' ' | ',' | '.' | '·' | 'I' => 0.34,
        'f' | 't' | 'r' | '(' | ')' | ':' | ';' | '/' | '-' | '!' => 0.43,
        '"' | '|' => 0.56,
        's' | 'c' | 'z' | 'k' | 'J' | '_' | '?' => 0.58,
        'm' | 'M' | 'W' | '…' | '→' | '←' | 'Ω' | '@' | '%' => 1.02,
        'w' | '~' | '+' | '=' | '<' | '>' | '×' | '±' => 0.84,
        'A'..='Z' | '&' => 0.79,
        '0'..='9' | 'a'..='z' => 0.64,
        _ => match c.width() {
            None | Some(0) => 0.0,
            Some(1) => 0.85,
            Some(_) => 1.1,
        },
    }
}

/// How wide words are in a font of this size; in bold they are a little wider.
pub fn width(words: &str, size: f64, bold: bool) -> f64 {
    let wide: f64 = words.chars().map(letter).sum();
    wide * size * if bold { 1.14 } else { 1.0 }
}

/// Words of a plan as they are shown where they may take so many letters' width: with a sign where there is more.
pub fn shortened(words: &str, most: f64) -> String {
    cut(shown(words), most)
}

/// A name of a plan among other words: shortened, and in a direction of its own.
pub fn name(name: &str, most: f64) -> String {
    isolated(&shortened(name, most))
}

/// Words that are put together already, shortened.
pub fn cut(words: String, most: f64) -> String {
    let mut wide = 0.0;
    let fits = words.char_indices().enumerate().find(|(nth, (_, c))| {
        wide += letter(*c);
        wide > most || *nth >= MOST_LETTERS
    });
    let Some((_, (cut, _))) = fits else {
        return words;
    };
    let mut kept: String = words[..cut].to_owned();
    // A letter stays with its marks, or goes with them; there is room for the sign.
    let cut_off = words[cut..].chars().next();
    if cut_off.is_some_and(|c| c.width() == Some(0)) {
        while kept.pop().is_some_and(|c| c.width() == Some(0)) {}
    }
    while width(&kept, 1.0, false) + letter(MORE) > most && kept.pop().is_some() {}
    kept.push(MORE);
    kept
}

/// Words as they can stand in a drawing. What cannot be in a text of XML 1.0 (section 2.2), and what would turn the
/// words around it (the embeddings, overrides and isolates of Unicode Standard Annex 9), shows as a sign of its own.
pub fn shown(words: &str) -> String {
    let is_plain = |c: char| {
        !matches!(c, '\0'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}')
            && !matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    let plain = |c| match c {
        '\t' | '\n' | '\r' => ' ',
        c if is_plain(c) => c,
        _ => char::REPLACEMENT_CHARACTER,
    };
    let mut heaped = 0;
    let fits = |c: &char| {
        heaped = if c.width() == Some(0) { heaped + 1 } else { 0 };
        heaped <= MOST_MARKS
    };
    words.chars().map(plain).filter(fits).collect()
}

/// The same for words of several lines, which stay lines.
pub fn shown_in_lines(words: &str) -> String {
    let lines: Vec<String> = words.split('\n').map(shown).collect();
    lines.join("\n")
}

/// Words in lines of this width.
pub fn in_lines(words: &str, most: f64, size: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        let word = shortened(word, most / size);
        match lines.last_mut() {
            Some(line)
                if width(line, size, false) + width(&word, size, false) + size / 2.0 <= most =>
            {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines
}

/// Words that others stand beside: they run in their own direction without turning those (Unicode Standard Annex 9).
fn isolated(words: &str) -> String {
    match words.is_ascii() {
        true => words.to_owned(),
        false => format!("\u{2068}{words}\u{2069}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_words_are_shortened() {
        assert_eq!(shortened("keel", 20.0), "keel");
        let short = shortened(&"a".repeat(10_000), 20.0);
        assert!(short.ends_with(MORE) && short.chars().count() < 40);
        assert!(width(&short, 1.0, false) <= 20.0, "{short}");
        // Marks take no width, and stay with their letter.
        let heaped = shortened(&format!("a{}", "\u{301}".repeat(10_000)), 20.0);
        assert_eq!(heaped, format!("a{}", "\u{301}".repeat(5)));
        assert_eq!(
            shown("दीपक-बायाँ ไฟท้ายเรือ e\u{302}\u{301}"),
            "दीपक-बायाँ ไฟท้ายเรือ e\u{302}\u{301}"
        );
        assert_eq!(shortened("船船船船", 3.4), "船船…");
    }

    #[test]
    fn what_a_drawing_cannot_hold_shows_as_a_sign() {
        assert_eq!(
            shown("a\u{0}b\u{1b}c\u{ffff}"),
            "a\u{fffd}b\u{fffd}c\u{fffd}"
        );
        assert_eq!(shown("a\u{202e}b\u{2069}"), "a\u{fffd}b\u{fffd}");
        assert_eq!(shown("a\tb"), "a b");
        assert_eq!(shown("שלום <b> & \"x\""), "שלום <b> & \"x\"");
    }
}
