//! The clauses that a stanza can still have: those that it lacks first.

use super::ask::Ask;
use super::fill::{Filler, fill, usual_head};
use super::{Offer, OfferKind, new_names, patterns};
use crate::syntax::expected::{Wanted, What, Within};
use crate::syntax::tree::{Clause, Name};
use crate::syntax::vocabulary::{ClauseShape, Often, StanzaWord};

/// The clauses among what is wanted that may still stand here.
pub(super) fn offers(ask: &Ask, wants: &[Wanted]) -> Vec<Offer> {
    let mut open: Vec<(u8, &'static ClauseShape, &[Within])> = wants
        .iter()
        .filter_map(|wanted| match wanted.what {
            What::Clause(shape) => Some((shape, &wanted.within[..])),
            _ => None,
        })
        .filter(|(shape, within)| may_stand(ask, shape, within))
        .map(|(shape, within)| (rank(shape, within), shape, within))
        .collect();
    open.sort_by_key(|(rank, ..)| *rank);
    open.into_iter()
        .map(|(_, shape, within)| offer(ask, shape, within))
        .collect()
}

/// What is required comes first, then what goes on with the clause at hand, remarks last.
fn rank(shape: &ClauseShape, within: &[Within]) -> u8 {
    match (shape.often, within) {
        (Often::Required, []) => 0,
        (_, [_, ..]) => 1,
        _ if matches!(shape.word, "note" | "accept") => 3,
        _ => 2,
    }
}

/// Whether a clause does not stand there yet, nor one that excludes it.
fn may_stand(ask: &Ask, shape: &ClauseShape, within: &[Within]) -> bool {
    // A word that was only likely meant to be a clause's may be a name.
    let spelt = |c: &&Clause| ask.tree.words(c.word_span) == c.word;
    let beside: Vec<&Clause> = ask.beside(within).iter().filter(spelt).collect();
    let siblings: &[ClauseShape] = match within.last() {
        Some(open) => open.shape.parts,
        None => ask.stanza_word.shape().clauses,
    };
    let mark = |word: &str| {
        let sibling = siblings.iter().find(|s| s.word == word);
        sibling.and_then(|s| s.instead)
    };
    let excluded = shape.instead.is_some() && beside.iter().any(|c| mark(c.word) == shape.instead);
    let stands = shape.often != Often::Repeats && beside.iter().any(|c| c.word == shape.word);
    !excluded && !stands && piece_can_have(ask, shape, within) && has_place(ask, shape)
}

/// What leads through a passage or sits in a zone can be said where the plan, or the pattern, has one.
fn has_place(ask: &Ask, shape: &ClauseShape) -> bool {
    let plan = ask.plan;
    let (word, around) = match shape.word {
        "via" => (StanzaWord::Passage, ask.around.map(|a| a.passage.is_any)),
        "in" => (StanzaWord::Zone, ask.around.map(|a| a.zone.is_any)),
        _ => return true,
    };
    let is_around = around.unwrap_or_default();
    let called = || !new_names::called_for(plan, word).is_empty();
    is_around || plan.names.values().any(|d| d.word == word) || ask.pattern().is_some() || called()
}

/// Behind `but PIECE`, only what the piece's own stanza can say.
fn piece_can_have(ask: &Ask, shape: &ClauseShape, within: &[Within]) -> bool {
    let [open] = within else { return true };
    if open.shape.word != "but" {
        return true;
    }
    let piece = ask.clause(within).and_then(|c| c.names().next());
    let word = piece.and_then(|(piece, _)| word_of_piece(ask, piece));
    word.is_none_or(|word| word.shape().clauses.iter().any(|c| c.word == shape.word))
}

fn word_of_piece(ask: &Ask, piece: &Name) -> Option<StanzaWord> {
    let pattern = crate::syntax::tree::names(&ask.tree.head).nth(1)?.0;
    let (_, definition) = ask.definition(&format!("{}.{}", pattern.0, piece.0))?;
    Some(definition.word)
}

fn offer(ask: &Ask, shape: &'static ClauseShape, within: &[Within]) -> Offer {
    let open = Within { shape, at: 0 };
    let about = ask.about(&[within, &[open]].concat());
    let filler = Filler {
        a: ask.a,
        around: ask.around,
        id: ask.id,
        word: ask.stanza_word,
        tree: Some(&ask.tree),
        named: None,
    };
    let of_copy = match shape.word {
        "where" => patterns::stand_ins(ask),
        "but" => patterns::first_piece(ask),
        _ => None,
    };
    let usual = of_copy.as_deref().unwrap_or(shape.usual);
    let filled = fill(&filler, &usual_head(ask.stanza_word), usual);
    let required = match (shape.often, within) {
        (Often::Required, []) => "required: ",
        _ => "",
    };
    let mut offer = Offer::new(OfferKind::Clause, shape.word, about)
        .detail(format!("{required}{}", filled.plain));
    offer.snippet = Some(filled.snippet);
    offer
}
