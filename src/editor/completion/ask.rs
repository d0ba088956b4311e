//! The place that something is offered for: the stanza without the word that is being written, and what the
//! stanzas above it say in the same places.

use super::About;
use crate::checks::Analysis;
use crate::parts::Around;
use crate::plan::{Definition, FileId, Plan, StanzaId};
use crate::syntax::expected::{Wanted, Within, expected};
use crate::syntax::read_stanza;
use crate::syntax::tree::{Clause, Name, Stanza, Value};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// How many stanzas above are looked at for what they say in the same place.
pub(super) const LOOKED_AT: usize = 60;

/// The place that something is offered for.
pub(super) struct Ask<'a> {
    pub a: &'a Analysis,
    pub plan: &'a Plan,
    /// What stands around the place, where the plan is a part of a larger one.
    pub around: Option<&'a Around>,
    /// The stanza, as it stands in the plan.
    pub id: StanzaId,
    pub stanza_word: StanzaWord,
    /// The stanza without the word that is being written; what stands ahead of that is where it was.
    pub tree: Stanza,
    /// The word that is being written, relative to the stanza; empty between words.
    pub word: Span,
    /// What of it stands ahead of the cursor.
    pub written: String,
}

impl<'a> Ask<'a> {
    /// The place at this byte of a file, and what is wanted there.
    pub fn at(
        a: &'a Analysis,
        around: Option<&'a Around>,
        file: FileId,
        offset: usize,
    ) -> Option<(Ask<'a>, Vec<Wanted>)> {
        let plan = &a.plan;
        let offset = u32::try_from(offset).ok()?;
        let own = plan.stanza_at(file, offset)?;
        // The end of a file belongs to its last stanza; what begins here has nothing ahead of the cursor.
        let starts_here = plan.in_file(own, Span::default()).start == offset;
        let id = match own.index.checked_sub(1) {
            Some(index) if starts_here => StanzaId { file, index },
            _ => own,
        };
        let stanza = plan.stanza(id);
        let at = offset.checked_sub(plan.in_file(id, Span::default()).start)?;
        let found = expected(stanza, at)?;
        let word = found.word;
        let ahead = stanza.text.get(..word.start as usize)?;
        let behind = stanza.text.get(word.end as usize..)?;
        let written = stanza.text.get(word.start as usize..at as usize)?;
        let ask = Ask {
            a,
            plan,
            around,
            id,
            stanza_word: stanza.word?,
            tree: read_stanza(format!("{ahead} {behind}").into()),
            word,
            written: written.to_owned(),
        };
        Some((ask, found.wants))
    }

    /// The end of a stanza that is to be put in ahead of another.
    pub fn new_stanza(a: &'a Analysis, id: StanzaId, tree: Stanza) -> Option<Ask<'a>> {
        let end = tree.text.len() as u32;
        Some(Ask {
            a,
            plan: &a.plan,
            around: None,
            id,
            stanza_word: tree.word?,
            word: Span { start: end, end },
            written: String::new(),
            tree,
        })
    }

    /// What there is to say of the innermost of these clauses; of the stanza in the head.
    pub fn about(&self, within: &[Within]) -> About {
        let stanza = self.stanza_word.word().to_owned();
        if within.is_empty() {
            return About::Stanza(stanza);
        }
        let path = within.iter().map(|w| w.shape.word.to_owned());
        About::Clause(stanza, path.collect())
    }

    /// A figure in the place of the word that is being written.
    pub fn figure(&self, text: &str) -> About {
        About::Figure(self.plan.in_file(self.id, self.word).start, text.to_owned())
    }

    /// The clauses beside the place: those of the stanza, or the parts of the innermost clause.
    pub fn beside(&self, within: &[Within]) -> &[Clause] {
        let mut here = &self.tree.clauses[..];
        for open in within {
            match here.iter().find(|c| c.word_span.start == open.at) {
                Some(clause) => here = &clause.parts,
                None => return &[],
            }
        }
        here
    }

    /// The clause that the place is in.
    pub fn clause(&self, within: &[Within]) -> Option<&Clause> {
        let (last, outer) = within.split_last()?;
        let mut beside = self.beside(outer).iter();
        beside.find(|c| c.word_span.start == last.at)
    }

    /// What the place's clause (its head, without one) says already.
    pub fn values(&self, within: &[Within]) -> &[Value] {
        match (within, self.clause(within)) {
            ([], _) => &self.tree.head,
            (_, Some(clause)) => &clause.values,
            _ => &[],
        }
    }

    /// A name of the plan, as it is written.
    pub fn definition(&self, name: &str) -> Option<(&'a Name, &'a Definition)> {
        self.plan.names.get_key_value(&Name(name.into()))
    }

    /// What the stanzas above say in a place like this, the nearest first: the values of the same clause wherever it
    /// stands; in the head, those of stanzas of the same kind.
    pub fn said_above(&self, within: &[Within]) -> Vec<(&'a Stanza, &'a Value)> {
        let clause = within.last().map(|open| open.shape.word);
        said_above((self.plan, self.around), self.id, self.stanza_word, clause)
    }

    /// The pattern that this stanza is a piece of.
    pub fn pattern(&self) -> Option<Name> {
        let (name, _) = self.tree.name()?;
        let (pattern, _) = name.0.split_once('.')?;
        let pattern = Name(pattern.into());
        let is_pattern = |d: &Definition| d.word == StanzaWord::Pattern;
        let known = self.plan.names.get(&pattern).is_some_and(is_pattern);
        known.then_some(pattern)
    }
}

/// The stanzas above one in its file, the nearest first.
pub(super) fn above(plan: &Plan, id: StanzaId) -> impl Iterator<Item = (StanzaId, &Stanza)> {
    let ids = (0..id.index).rev().take(LOOKED_AT);
    ids.map(move |index| StanzaId { index, ..id })
        .map(move |id| (id, plan.stanza(id)))
}

/// As [`Ask::said_above`], for a stanza of any kind at any place, in a clause of this word or (`None`) in the head.
pub(super) fn said_above<'a>(
    (plan, around): (&'a Plan, Option<&'a Around>),
    id: StanzaId,
    word: StanzaWord,
    clause: Option<&str>,
) -> Vec<(&'a Stanza, &'a Value)> {
    fn collect<'a>(clauses: &'a [Clause], word: &str, out: &mut Vec<&'a Value>) {
        for clause in clauses {
            if clause.word == word {
                out.extend(&clause.values);
            }
            collect(&clause.parts, word, out);
        }
    }
    let mut said = Vec::new();
    let stanzas: Vec<&Stanza> = match around {
        Some(around) => around.above.iter().map(|stanza| &**stanza).collect(),
        None => above(plan, id).map(|(_, stanza)| stanza).collect(),
    };
    for stanza in stanzas {
        let mut here: Vec<&Value> = Vec::new();
        match clause {
            Some(clause) => collect(&stanza.clauses, clause, &mut here),
            None if stanza.word.is_some_and(|w| alike(w, word)) => here.extend(&stanza.head),
            None => {}
        }
        said.extend(here.into_iter().map(|value| (stanza, value)));
    }
    said
}

/// Whether two stanza words are of stanzas whose heads name the same kind of stock.
pub(super) fn alike(a: StanzaWord, b: StanzaWord) -> bool {
    use StanzaWord as S;
    a == b || matches!((a, b), (S::Lamp | S::String, S::Lamp | S::String))
}
