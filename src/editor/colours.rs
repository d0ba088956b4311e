//! The colours that a plan names, as an editor can show and pick them: those of insulation, and those of light.
//! What each looks like stands in `plan/looks.rs`.

mod nearness;

use super::lenses::first_word;
use crate::plan::looks::{Of, Rgb, rgb};
use crate::syntax::tree::{Clause, ValueKind};
use crate::syntax::vocabulary::{LIGHT_COLOURS, StanzaWord, WIRE_COLOURS};
use crate::syntax::{read_stanza, stanza_texts};
use crate::text::Span;

/// A word for a colour.
#[derive(Clone, Debug, PartialEq)]
pub struct Colour {
    /// The word, in the bytes of the file.
    pub span: Span,
    /// What has that colour.
    pub of: Of,
    /// What it looks like.
    pub rgb: Rgb,
}

/// So many words are offered for a colour.
const OFFERED: usize = 4;

/// The colours of a file, in order.
pub fn colours(text: &str) -> Vec<Colour> {
    let mut found = Vec::new();
    let mut start = 0;
    for piece in stanza_texts(text) {
        let here = start;
        start += piece.len() as u32;
        let word = first_word(piece).and_then(StanzaWord::from_word);
        let of = match word {
            Some(StanzaWord::Wire) => Of::Wire,
            Some(StanzaWord::Tape | StanzaWord::Led) => Of::Light,
            _ => continue,
        };
        if !piece.contains("colour") {
            continue;
        }
        let stanza = read_stanza(piece.into());
        let is_colour = |clause: &&Clause| matches!(clause.word, "colour" | "colours");
        let values = stanza
            .clauses
            .iter()
            .filter(is_colour)
            .flat_map(|clause| &clause.values);
        found.extend(values.filter_map(|value| {
            let word = match &value.kind {
                ValueKind::Name(name) => &*name.0,
                ValueKind::Choice(word) => word,
                _ => return None,
            };
            Some(Colour {
                span: value.span.shifted(here),
                of,
                rgb: rgb(of, word)?,
            })
        }));
    }
    found.sort_by_key(|colour| colour.span);
    found
}

/// The words of the language that come nearest to a colour, the nearest first.
pub fn words_for(of: Of, wanted: Rgb) -> Vec<&'static str> {
    let words = match of {
        Of::Wire => WIRE_COLOURS,
        Of::Light => LIGHT_COLOURS,
    };
    let known = words
        .iter()
        .filter_map(|word| Some((*word, rgb(of, word)?)));
    let mut near: Vec<_> = known
        .map(|(word, rgb)| (nearness::difference(rgb, wanted), word))
        .collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    near.into_iter()
        .take(OFFERED)
        .map(|(_, word)| word)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::looks::black_body;

    const TEXT: &str = "\
# colour of things
wire w gauge 32 AWG colours red, green
wire v gauge 32 AWG colour mauve note \"colour\"
led p drops 3 V at 15 mA
  colour warm-white
tape t colour uv
lamp a of p from colour
";

    #[test]
    fn words_that_name_a_colour() {
        let found = colours(TEXT);
        let words: Vec<_> = found
            .iter()
            .map(|c| (c.span.of(TEXT).unwrap(), c.of))
            .collect();
        assert_eq!(
            words,
            [
                ("red", Of::Wire),
                ("green", Of::Wire),
                ("warm-white", Of::Light),
                ("uv", Of::Light)
            ]
        );
        assert_eq!(found[1].rgb, [0.0, 128.0 / 255.0, 0.0]);
        assert_eq!(found[3].rgb, [127.0 / 255.0, 0.0, 1.0]);
    }

    #[test]
    fn every_word_has_a_colour_and_every_colour_its_word() {
        for (of, words) in [(Of::Wire, WIRE_COLOURS), (Of::Light, LIGHT_COLOURS)] {
            for word in words {
                let exact = rgb(of, word).unwrap();
                assert_eq!(words_for(of, exact)[0], *word, "{of:?}");
                // As a client gives it back that counts in 255 steps.
                let rounded = exact.map(|x| (x * 255.0).round() / 255.0);
                assert_eq!(words_for(of, rounded)[0], *word, "{of:?}");
            }
        }
    }

    #[test]
    fn a_colour_between_words_gets_the_nearest() {
        assert_eq!(words_for(Of::Wire, [0.95, 0.1, 0.1])[..2], ["red", "brown"]);
        let candle = black_body(2400.0);
        assert_eq!(words_for(Of::Light, candle)[0], "warm-white");
        assert_eq!(words_for(Of::Light, [0.9, 0.95, 1.0])[0], "white");
        assert_eq!(words_for(Of::Light, [0.5; 3]).len(), OFFERED);
    }
}
