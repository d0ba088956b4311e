//! What each word of a stanza is, for colours. It is read off the stanza's own tree, so that it costs nothing to know,
//! and is known of half-written stanzas too; what a name leads to is told by the place that it stands in.

use crate::syntax::is_of_the_language;
use crate::syntax::tree::{Clause, Stanza, TokenKind, Value, ValueKind};
use crate::syntax::vocabulary::{ClauseShape, Role, Slot, StanzaWord};
use crate::text::Span;

/// What a word is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// The word that begins a stanza.
    Stanza,
    /// Another word of the language.
    Clause,
    /// A number and its unit, a date, a scale.
    Number,
    /// A text in quotes.
    Text,
    /// A comment.
    Comment,
    /// One of the words that a clause offers, a colour.
    Choice,
    /// A name of the stock.
    Stock,
    /// A name of an item or a link.
    Item,
    /// An output of a board, in the stanza of its module.
    Output,
    /// A name of a zone or a passage.
    Place,
    /// A name of a pattern.
    Pattern,
    /// A word that a pattern needs.
    Need,
    /// A name of a scene or a stage.
    State,
    /// A name of a check.
    Check,
}

impl Kind {
    /// All of them.
    pub const ALL: [Kind; 14] = [
        Kind::Stanza,
        Kind::Clause,
        Kind::Number,
        Kind::Text,
        Kind::Comment,
        Kind::Choice,
        Kind::Stock,
        Kind::Item,
        Kind::Output,
        Kind::Place,
        Kind::Pattern,
        Kind::Need,
        Kind::State,
        Kind::Check,
    ];
}

/// A word and what it is. It lies within one line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Token {
    /// Where it stands, relative to its stanza.
    pub span: Span,
    /// What it is.
    pub kind: Kind,
    /// A name that is defined here.
    pub defines: bool,
}

/// The words of a stanza, in order; no two share a byte.
pub fn tokens(stanza: &Stanza) -> Vec<Token> {
    let marks = marks(stanza);
    let mut ahead = marks.iter().peekable();
    let mut found = Vec::with_capacity(stanza.tokens.len());
    for token in &stanza.tokens {
        let mut put = |span, kind| {
            found.push(Token {
                span,
                kind,
                defines: false,
            });
        };
        match token.kind {
            TokenKind::Comment => put(token.span, Kind::Comment),
            TokenKind::Text => put(token.span, Kind::Text),
            TokenKind::Number => put(token.span, Kind::Number),
            // A text that is being written.
            TokenKind::Stray if stanza.words(token.span).starts_with('"') => {
                put(token.span, Kind::Text);
            }
            TokenKind::Word => {
                while ahead.next_if(|m| m.span.end <= token.span.start).is_some() {}
                let before = found.len();
                let here = ahead.clone().take_while(|m| m.span.start < token.span.end);
                found.extend(here.map(|mark| Token {
                    span: Span::new(
                        mark.span.start.max(token.span.start),
                        mark.span.end.min(token.span.end),
                    ),
                    ..*mark
                }));
                if found.len() == before && is_of_the_language(stanza.words(token.span)) {
                    found.push(Token {
                        span: token.span,
                        kind: Kind::Clause,
                        defines: false,
                    });
                }
            }
            TokenKind::Comma | TokenKind::LineEnd | TokenKind::Stray => {}
        }
    }
    found
}

/// What the tree says of stretches of the text, in order.
fn marks(stanza: &Stanza) -> Vec<Token> {
    let mut marks = Vec::new();
    let Some(word) = stanza.word else {
        return marks;
    };
    marks.push(Token {
        span: stanza.word_span,
        kind: Kind::Stanza,
        defines: false,
    });
    let shape = word.shape();
    of_values(stanza, word, shape.head, &stanza.head, &mut marks);
    of_clauses(stanza, word, shape.clauses, &stanza.clauses, &mut marks);
    marks.sort_by_key(|mark| mark.span);
    marks
}

fn of_clauses(
    stanza: &Stanza,
    word: StanzaWord,
    shapes: &[ClauseShape],
    clauses: &[Clause],
    marks: &mut Vec<Token>,
) {
    for clause in clauses {
        let shape = shapes.iter().find(|shape| shape.word == clause.word);
        let (slots, parts) = shape.map_or((&[][..], &[][..]), |s| (s.slots, s.parts));
        of_values(stanza, word, slots, &clause.values, marks);
        of_clauses(stanza, word, parts, &clause.parts, marks);
    }
}

fn of_values(
    stanza: &Stanza,
    word: StanzaWord,
    slots: &[Slot],
    values: &[Value],
    marks: &mut Vec<Token>,
) {
    let mut nth = 0;
    for value in values {
        let kind = match &value.kind {
            ValueKind::Name(_) => {
                nth += 1;
                if let Some(role) = role(slots, nth - 1) {
                    of_name(stanza, word, role, value.span, marks);
                }
                continue;
            }
            ValueKind::Quantity(..) | ValueKind::Scale(_) | ValueKind::Date(_) => Kind::Number,
            ValueKind::Choice(_) => Kind::Choice,
            // A text is a token of its own, and the word of a count is one of the language.
            ValueKind::Text(_) | ValueKind::Count(..) => continue,
        };
        marks.push(Token {
            span: value.span,
            kind,
            defines: false,
        });
    }
}

/// The role of the `nth` name in some slots.
fn role(slots: &[Slot], mut nth: usize) -> Option<Role> {
    for slot in slots {
        match slot {
            Slot::Name(role) if nth == 0 => return Some(*role),
            Slot::Name(_) => nth -= 1,
            Slot::List(inner) => {
                let names = inner.iter().filter(|s| matches!(s, Slot::Name(_))).count();
                return role(inner, nth.checked_rem(names)?);
            }
            _ => {}
        }
    }
    None
}

/// A name; one with a dot comes in two where its first word is another thing than the rest.
fn of_name(stanza: &Stanza, word: StanzaWord, role: Role, span: Span, marks: &mut Vec<Token>) {
    let kind = match role {
        Role::Defined => match word {
            StanzaWord::Zone | StanzaWord::Passage => Kind::Place,
            StanzaWord::Scene | StanzaWord::Stage => Kind::State,
            StanzaWord::Pattern => Kind::Pattern,
            word if word.is_stock() => Kind::Stock,
            _ => Kind::Item,
        },
        Role::OutputDefined | Role::Output => Kind::Output,
        Role::NeedDefined | Role::Need => Kind::Need,
        Role::Point | Role::Item | Role::Piece | Role::StandIn => Kind::Item,
        Role::Wire | Role::Tape | Role::Led | Role::Module => Kind::Stock,
        Role::Zone | Role::Passage => Kind::Place,
        Role::Pattern => Kind::Pattern,
        Role::Check => Kind::Check,
        Role::WireColour => Kind::Choice,
    };
    let defines = matches!(
        role,
        Role::Defined | Role::OutputDefined | Role::NeedDefined
    );
    let whole = Token {
        span,
        kind,
        defines,
    };
    let dot = stanza
        .words(span)
        .find('.')
        .map(|at| span.start + at as u32);
    // Of an item, what stands behind the dot is one too: a piece, or an output.
    let rest = match role {
        Role::Defined => Some(kind),
        Role::Point | Role::Item | Role::Piece | Role::StandIn => None,
        _ => Some(Kind::Need),
    };
    match dot.zip(rest) {
        Some((dot, rest)) => {
            marks.push(Token {
                span: Span::new(span.start, dot),
                kind: Kind::Pattern,
                defines: false,
            });
            marks.push(Token {
                span: Span::new(dot + 1, span.end),
                kind: rest,
                defines,
            });
        }
        None => marks.push(whole),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::syntax::read_file;

    /// Each word with what it is, `kind:word`; `+` where it is defined.
    fn shown(text: &str) -> String {
        let mut shown: Vec<String> = Vec::new();
        for placed in read_file(text).stanzas {
            let stanza = &placed.stanza;
            let mut end = 0;
            for token in tokens(stanza) {
                assert!(end <= token.span.start && !token.span.is_empty(), "{text}");
                end = token.span.end;
                let plus = if token.defines { "+" } else { "" };
                let word = token.span.of(&stanza.text).unwrap();
                assert!(!word.contains(['\n', '\r']));
                shown.push(format!("{:?}{plus}:{word}", token.kind));
            }
        }
        shown.join(" ")
    }

    #[test]
    fn words_of_the_language_names_and_figures() {
        assert_eq!(
            shown(
                "lamp mast of pearl resistor 560 ohm at lamp  from keel over 1/4in of fine via a, b in hull # x\n"
            ),
            "Stanza:lamp Item+:mast Clause:of Stock:pearl Clause:resistor Number:560 Number:ohm Clause:at Choice:lamp \
             Clause:from Item:keel Clause:over Number:1/4in Clause:of Stock:fine Clause:via Place:a Place:b Clause:in \
             Place:hull Comment:# x"
        );
        assert_eq!(
            shown(
                "wire w gauge 24 AWG colours red, mauve\nstrip s of warm 6 lamps\nzone z as bright as y sealed\n"
            ),
            "Stanza:wire Stock+:w Clause:gauge Number:24 Number:AWG Clause:colours Choice:red Choice:mauve \
             Stanza:strip Item+:s Clause:of Stock:warm Number:6 Clause:lamps \
             Stanza:zone Place+:z Clause:as Clause:bright Clause:as Place:y Clause:sealed"
        );
        assert_eq!(
            shown(
                "module m output a 5 V 60 mA duty 20 %\n  turns a, b\nharness \"x\" scale 1:87 treat zone-dark as off\n"
            ),
            "Stanza:module Stock+:m Clause:output Output+:a Number:5 Number:V Number:60 Number:mA Clause:duty Number:20 Number:% \
             Clause:turns Output:a Output:b Stanza:harness Text:\"x\" Clause:scale Number:1:87 Clause:treat Check:zone-dark \
             Clause:as Choice:off"
        );
        assert_eq!(
            shown(
                "scene dusk off blink.a, b\nstage hull fits a seals z done 2026-03-14\ntried a 17 mA at 9 V\n"
            ),
            "Stanza:scene State+:dusk Clause:off Item:blink.a Item:b Stanza:stage State+:hull Clause:fits Item:a Clause:seals \
             Place:z Clause:done Number:2026-03-14 Stanza:tried Item:a Number:17 Number:mA Clause:at Number:9 Number:V"
        );
    }

    #[test]
    fn patterns_and_their_pieces() {
        assert_eq!(
            shown(
                "pattern wing needs lens\nlamp wing.tip of wing.lens from wing.own.a in wing.bay\n\
                   copy port of wing from x where lens ruby, bay z but tip in deck\n"
            ),
            "Stanza:pattern Pattern+:wing Clause:needs Need+:lens Stanza:lamp Pattern:wing Item+:tip Clause:of Pattern:wing Need:lens \
             Clause:from Item:wing.own.a Clause:in Pattern:wing Need:bay Stanza:copy Item+:port Clause:of Pattern:wing Clause:from \
             Item:x Clause:where Need:lens Item:ruby Need:bay Item:z Clause:but Item:tip Clause:in Place:deck"
        );
    }

    #[test]
    fn half_written_stanzas() {
        assert_eq!(
            shown("lamp mast of from keel over \"x\nlamb a of b from c, = 6lamps\n# only\n"),
            "Stanza:lamp Item+:mast Clause:of Clause:from Item:keel Clause:over Text:\"x Clause:of Clause:from Number:6lamps Comment:# only"
        );
        assert_eq!(shown(""), "");
    }
}
