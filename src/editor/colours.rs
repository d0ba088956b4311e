//! The colours that a plan names, as an editor can show and pick them: those of insulation, and those of light.
//!
//! A word for a colour is no measurement. What is shown is near enough to tell one from the other on a screen:
//!
//! - Insulation: IEC 60757 gives words and no figures. The figures are those of the same words in CSS Color Module Level 4
//!   (W3C), section 6.1; for what CSS has no word for, common practice: bare enamel as copper (`#b87333`), green-and-yellow
//!   as what lies between the two (CSS `yellowgreen`).
//! - White light: that of a black body of 3000 K (warm) and 6500 K, both nominal temperatures of white lamps after
//!   ANSI C78.377 (from memory), worked out in [`light`].
//! - Other light: pure colours of the screen, common practice; what no eye sees (ultraviolet, infrared) as the end of the
//!   spectrum that it lies beyond.

mod light;
mod nearness;

use super::lenses::first_word;
use crate::syntax::tree::{Clause, ValueKind};
use crate::syntax::vocabulary::{LIGHT_COLOURS, StanzaWord, WIRE_COLOURS};
use crate::syntax::{read_stanza, stanza_texts};
use crate::text::Span;

/// A colour of the screen: red, green and blue of sRGB (IEC 61966-2-1), from 0 to 1.
pub type Rgb = [f64; 3];

/// What has a colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// What covers a wire.
    Wire,
    /// A light.
    Light,
}

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

/// What a word for a colour looks like; `None` for a word that the language does not know.
fn rgb(of: Of, word: &str) -> Option<Rgb> {
    let hex = match (of, word) {
        (Of::Light, "white") => return Some(light::black_body(6500.0)),
        (Of::Light, "warm-white") => return Some(light::black_body(3000.0)),
        (Of::Light, "red") => 0xff0000,
        (Of::Light, "amber") => 0xffbf00,
        (Of::Light, "yellow") => 0xffff00,
        (Of::Light, "green") => 0x00ff00,
        (Of::Light, "blue") => 0x0000ff,
        (Of::Light, "uv") => 0x7f00ff,
        (Of::Light, "infrared") => 0x8b0000,
        (Of::Wire, "black") => 0x000000,
        (Of::Wire, "brown") => 0xa52a2a,
        (Of::Wire, "red") => 0xff0000,
        (Of::Wire, "orange") => 0xffa500,
        (Of::Wire, "yellow") => 0xffff00,
        (Of::Wire, "green") => 0x008000,
        (Of::Wire, "blue") => 0x0000ff,
        (Of::Wire, "violet") => 0xee82ee,
        (Of::Wire, "grey") => 0x808080,
        (Of::Wire, "white") => 0xffffff,
        (Of::Wire, "pink") => 0xffc0cb,
        (Of::Wire, "turquoise") => 0x40e0d0,
        (Of::Wire, "gold") => 0xffd700,
        (Of::Wire, "silver") => 0xc0c0c0,
        (Of::Wire, "green-and-yellow") => 0x9acd32,
        (Of::Wire, "natural") => 0xb87333,
        _ => return None,
    };
    Some([16, 8, 0].map(|shift| f64::from((hex >> shift) & 0xff_u32) / 255.0))
}

#[cfg(test)]
mod tests {
    use super::*;

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
        let candle = light::black_body(2400.0);
        assert_eq!(words_for(Of::Light, candle)[0], "warm-white");
        assert_eq!(words_for(Of::Light, [0.9, 0.95, 1.0])[0], "white");
        assert_eq!(words_for(Of::Light, [0.5; 3]).len(), OFFERED);
    }
}
