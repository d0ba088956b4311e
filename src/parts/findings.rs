//! The findings of all parts as those of one plan.

use std::collections::{BTreeSet, HashMap};

use super::cut::Parts;
use super::part::{Slot, Slots};
use crate::checks::Finding;
use crate::checks::facts::Fact;
use crate::plan::{FileId, StanzaId};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// A finding at its place in the whole plan.
#[derive(Clone, Copy, Debug)]
pub struct Said<'a> {
    /// The finding; its stanzas and items are those of its part.
    pub finding: &'a Finding,
    parts: &'a Parts,
    id: u64,
    slots: &'a Slots,
    waiting: &'a [(&'static str, Fact)],
}

impl Said<'_> {
    /// What it is known by: what is known by the same says the same, of stanzas that read the same.
    pub fn id(&self) -> u64 {
        self.id
    }

    /// The line in which a stanza of its part begins, among those of its file.
    pub fn line_of(&self, stanza: StanzaId) -> u32 {
        let slot = self.slots.get(stanza);
        slot.map_or(0, |slot| self.parts.line_of(slot))
    }

    /// The file that it stands in.
    pub fn file(&self) -> FileId {
        self.finding.stanza.file
    }

    /// Where it stands, in bytes of the file.
    pub fn span(&self) -> Span {
        self.in_file(self.finding.stanza, self.finding.span)
    }

    /// Where words of a stanza of its part stand in their file.
    pub fn in_file(&self, stanza: StanzaId, span: Span) -> Span {
        span.shifted(self.parts.start_of(self.slot_of(stanza)))
    }

    fn slot(&self) -> Slot {
        self.slot_of(self.finding.stanza)
    }

    fn slot_of(&self, stanza: StanzaId) -> Slot {
        let slot = self.slots.get(stanza);
        slot.unwrap_or_else(|| unreachable!("a finding is of a stanza of its part"))
    }
}

impl Parts {
    /// What is to be said, in the order of the places.
    pub fn findings(&self) -> Vec<Said<'_>> {
        let rest = self.rest.iter().flat_map(|seen| {
            let analysis = &seen.analysis;
            self.said(
                seen.ids(),
                &analysis.findings,
                &seen.slots,
                &analysis.waiting,
            )
        });
        if self.is_whole {
            return rest.collect();
        }
        let mut all: Vec<Said> = rest.collect();
        let parts = (self.speaking.iter()).filter(|id| !self.taken_in.contains(id));
        let told = parts.filter_map(|id| self.parts.get(id)?.told.as_ref());
        let said =
            told.flat_map(|told| self.said(&told.ids, &told.findings, &told.slots, &told.waiting));
        all.extend(said.filter(|said| {
            // What is said of stock, the rest says.
            let word = self.of(said.slot()).word;
            !self.is_common(said.slot()) || word == Some(StanzaWord::Scene)
        }));
        let (errors, misses) = self.misread();
        let is_silent = |said: &Said, fact: Fact| {
            let waiting = |(check, on): &(&str, Fact)| *check == said.finding.check && *on == fact;
            said.waiting.iter().any(waiting)
        };
        for (fact, is_so) in [(Fact::Errors, errors), (Fact::Misses, misses)] {
            if is_so {
                all.retain(|said| !is_silent(said, fact));
            }
        }
        self.once(&mut all);
        all.sort_by(|a, b| {
            let key = |said: &Said| (said.file(), said.span(), said.finding.check);
            let by_message = || a.finding.message.cmp(&b.finding.message);
            key(a).cmp(&key(b)).then_with(by_message)
        });
        all
    }

    fn said<'a>(
        &'a self,
        ids: &'a [u64],
        findings: &'a [Finding],
        slots: &'a Slots,
        waiting: &'a [(&'static str, Fact)],
    ) -> impl Iterator<Item = Said<'a>> {
        findings.iter().zip(ids).map(move |(finding, id)| Said {
            finding,
            parts: self,
            id: *id,
            slots,
            waiting,
        })
    }

    /// What several parts say of one scene is said once; that an `accept` there is idle, only where all say it.
    fn once(&self, all: &mut Vec<Said>) {
        let of_scene = |said: &Said| self.is_common(said.slot());
        let place = |said: &Said| (said.slot(), said.finding.span);
        let mut idle: HashMap<(Slot, Span), usize> = HashMap::new();
        for said in all.iter().filter(|said| of_scene(said)) {
            if said.finding.check == "accept-idle" {
                *idle.entry(place(said)).or_default() += 1;
            }
        }
        let voices = self.parts.len() - self.taken_in.len() + 1;
        let mut had = BTreeSet::new();
        all.retain(|said| {
            if !of_scene(said) {
                return true;
            }
            let is_scene = self.of(said.slot()).word == Some(StanzaWord::Scene);
            if said.finding.check == "accept-idle" && is_scene && idle[&place(said)] < voices {
                return false;
            }
            let finding = said.finding;
            had.insert((place(said), finding.check, finding.message.as_str()))
        });
    }
}
