//! The lights at a place of a file, of which somebody may say that they are dark or dim: known from the text alone.

use super::lenses::first_word;
use crate::syntax::vocabulary::StanzaWord;
use crate::syntax::{read_stanza, stanza_texts};
use crate::text::Span;

/// More lights than these nobody selects to say that they are dark.
const MOST: usize = 200;

/// The names of the lights whose stanzas touch a span, in the order of the file. A pattern's piece is no light of its own.
pub fn lights_at(text: &str, span: Span) -> Vec<String> {
    let mut lights = Vec::new();
    let mut start = 0;
    for piece in stanza_texts(text) {
        let here = Span::between(start, start + piece.len());
        start += piece.len();
        if here.start > span.end || lights.len() == MOST {
            break;
        }
        let word = first_word(piece).and_then(StanzaWord::from_word);
        if here.end < span.start || !word.is_some_and(StanzaWord::is_light) {
            continue;
        }
        let stanza = read_stanza(piece.into());
        let Some((name, _)) = stanza.name().filter(|(name, _)| !name.0.contains('.')) else {
            continue;
        };
        let end = piece.trim_end().len();
        let words = Span::between(stanza.word_span.start as usize, end).shifted(here.start);
        if words.meets(span) {
            lights.push(name.0.to_string());
        }
    }
    lights
}

/// How it is offered: `List what may be wrong if mast is dark`.
pub fn title(lights: &[String], is: &str) -> String {
    let names = match lights {
        [one] => one.clone(),
        [one, two] => format!("{one} and {two}"),
        [one, others @ ..] => format!("{one} and {} more", others.len()),
        [] => String::new(),
    };
    let verb = if lights.len() == 1 { "is" } else { "are" };
    format!("List what may be wrong if {names} {verb} {is}")
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "\
# a comment
supply s 12 V
lamp mast of pearl resistor 560 ohm
  from s
strip a of warm 1 group from s

lamp wing.tip of pearl from wing
string bow of pearl 2 lamps from s
";

    #[test]
    fn lights_under_a_cursor_or_a_selection() {
        let at = |from: &str, to: &str| {
            let place = |words: &str| TEXT.find(words).unwrap() as u32;
            lights_at(TEXT, Span::new(place(from), place(to))).join(" ")
        };
        assert_eq!(at("mast", "mast"), "mast");
        assert_eq!(at("from s\nstrip", "from s\nstrip"), "mast");
        assert_eq!(at("supply", "supply"), "");
        assert_eq!(at("wing.tip", "wing.tip"), "");
        assert_eq!(at("supply", "bow"), "mast a bow");
        assert_eq!(lights_at("", Span::default()).len(), 0);
    }

    #[test]
    fn titles() {
        let names = |n: usize| (0..n).map(|k| format!("l{k}")).collect::<Vec<_>>();
        assert_eq!(
            title(&names(1), "dark"),
            "List what may be wrong if l0 is dark"
        );
        assert_eq!(
            title(&names(2), "dim"),
            "List what may be wrong if l0 and l1 are dim"
        );
        assert_eq!(
            title(&names(5), "dark"),
            "List what may be wrong if l0 and 4 more are dark"
        );
    }
}
