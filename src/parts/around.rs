//! What stands around a place of a large plan, whatever part that is of: what is written in its neighbourhood is likely to be
//! written there, and a zone may be in use in any part.

use std::sync::Arc;

use super::cut::Parts;
use super::part::Slot;
use crate::plan::FileId;
use crate::syntax::tree::{Clause, Name, Stanza};
use crate::syntax::vocabulary::StanzaWord;

/// What stands around a place.
#[derive(Debug, Default)]
pub struct Around {
    /// The stanzas above it in its file, the nearest first.
    pub above: Vec<Arc<Stanza>>,
    /// The zones of the plan.
    pub zone: Place,
    /// Its passages.
    pub passage: Place,
}

/// What is known of the zones or the passages of a plan.
#[derive(Debug, Default)]
pub struct Place {
    /// Whether there is one, or a name for one that nothing defines.
    pub is_any: bool,
    /// The one that a stanza at the place most likely names.
    pub likeliest: Option<Name>,
}

impl Parts {
    /// What stands around an offset of a file: so many stanzas above it, and what is found in so many to either side.
    pub fn around(&self, file: FileId, offset: u32, above: usize, beside: usize) -> Option<Around> {
        let own = self.at(file, offset)?;
        let slots = self.slots_of(file);
        let (ahead, behind) = slots.split_at_checked(self.of(own).index as usize)?;
        let above = ahead.iter().rev().take(above);
        let above: Vec<Arc<Stanza>> = above.map(|slot| self.stanza(*slot)).collect();
        let near = ahead.iter().rev().take(beside);
        let near: Vec<Slot> = near.chain(behind.iter().take(beside)).copied().collect();
        Some(Around {
            zone: self.found(StanzaWord::Zone, "in", &above, &near, own),
            passage: self.found(StanzaWord::Passage, "via", &above, &near, own),
            above,
        })
    }

    /// A stanza as it reads: most of those around were read with their part.
    fn stanza(&self, slot: Slot) -> Arc<Stanza> {
        self.tree(slot, || {
            let part = self.parts.get(&self.of(slot).part)?;
            let seen = part.seen.as_ref().filter(|_| part.is_current)?;
            let place = seen.slots.all.iter().position(|own| *own == slot)?;
            seen.stanzas.get(place)
        })
    }

    fn found(
        &self,
        word: StanzaWord,
        clause: &str,
        above: &[Arc<Stanza>],
        near: &[Slot],
        own: Slot,
    ) -> Place {
        let is_one = |slot: Slot, name: &Name| {
            self.of(slot).word == Some(word)
                && !name.0.contains('.')
                && self.stanza(slot).name().is_some_and(|(own, _)| own == name)
        };
        let is_defined = |name: &Name| self.knots.definers(&name.0).any(|slot| is_one(slot, name));
        let mut names = above.iter().flat_map(|stanza| said(stanza, clause));
        let likeliest = names.find(|name| is_defined(name)).cloned();
        let named = |slot: &Slot| {
            let is_it = self.of(*slot).word == Some(word);
            let stanza = is_it.then(|| self.stanza(*slot))?;
            stanza.name().map(|(name, _)| name.clone())
        };
        let likeliest = likeliest.or_else(|| near.iter().find_map(named));
        let mut all = self.sheets.iter().flat_map(|sheet| &sheet.order);
        let is_there = likeliest.is_some() || all.any(|slot| named(slot).is_some());
        // Names that lead nowhere, of other parts: those of its own the part knows.
        let own = self.of(own).part;
        let is_called = || {
            let asking = self.asking.iter().filter(|id| **id != own);
            let mut slots = asking
                .filter_map(|id| self.parts.get(id))
                .flat_map(|part| &part.slots);
            slots.any(|slot| {
                said(&self.stanza(*slot), clause).into_iter().any(|name| {
                    !name.0.contains('.') && self.knots.definers(&name.0).next().is_none()
                })
            })
        };
        Place {
            is_any: is_there || is_called(),
            likeliest,
        }
    }
}

/// The names that a stanza says in clauses of this word, wherever they stand in it.
fn said<'a>(stanza: &'a Stanza, word: &str) -> Vec<&'a Name> {
    let mut said = Vec::new();
    let mut open: Vec<&Clause> = stanza.clauses.iter().rev().collect();
    while let Some(clause) = open.pop() {
        if clause.word == word {
            said.extend(clause.names().map(|(name, _)| name));
        }
        open.extend(clause.parts.iter().rev());
    }
    said
}
