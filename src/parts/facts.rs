//! What the cut has to know of a stanza, for all stanzas that are alike but for their names.

use std::sync::Arc;

use super::read::Words;
use super::shape::Form;
use super::ties::{Kind, key, kind};
use crate::syntax::Cast;
use crate::syntax::tree::{Clause, Name, Stanza, names};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// What stanzas of one mould have in common.
#[derive(Debug)]
pub(super) struct Facts {
    pub kind: Kind,
    pub word: StanzaWord,
    /// What they name, in the order of the text.
    pub names: Vec<Whose>,
    /// Which of these they define.
    pub own: Option<usize>,
    /// What they are but for their names.
    pub form: Option<Words>,
}

/// Whose a name is.
#[derive(Debug)]
pub(super) enum Whose {
    /// Of each its own: so many names stand before it ([`Cast::names`]).
    Own(usize),
    /// The same in all, with its first word in small letters.
    Common(Name, Arc<str>),
}

impl Facts {
    /// Of one of them; `None` where each has to be looked at: what it defines is not its name, or it is common to all parts.
    pub fn of(stanza: &Stanza, cast: &Cast) -> Option<Facts> {
        let (kind, word) = (kind(stanza), stanza.word?);
        if kind == Kind::Common || word == StanzaWord::Stage {
            return None;
        }
        let mut all = spelt(stanza);
        all.sort_by_key(|(span, _)| *span);
        let own = stanza.name().map(|(_, span)| span);
        let whose = |(span, name): &(Span, &Name)| match cast.names().position(|s| s == *span) {
            Some(nth) => Whose::Own(nth),
            None => Whose::Common((*name).clone(), key(&name.0)),
        };
        Some(Facts {
            kind,
            word,
            names: all.iter().map(whose).collect(),
            own: own.and_then(|own| all.iter().position(|(span, _)| *span == own)),
            form: Form::of(stanza).map(|form| form.words),
        })
    }
}

/// All names of a stanza with their places.
pub(super) fn spelt(stanza: &Stanza) -> Vec<(Span, &Name)> {
    fn of_clauses<'a>(clauses: &'a [Clause], to: &mut Vec<(Span, &'a Name)>) {
        for clause in clauses {
            to.extend(names(&clause.values).map(|(name, span)| (span, name)));
            of_clauses(&clause.parts, to);
        }
    }
    let mut all: Vec<(Span, &Name)> = names(&stanza.head)
        .map(|(name, span)| (span, name))
        .collect();
    of_clauses(&stanza.clauses, &mut all);
    all
}
