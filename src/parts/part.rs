//! One part of a plan.

use crate::circuit::Stop;
use std::cell::OnceCell;
use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use rustc_hash::FxHashMap;

use super::cut::Parts;
use super::read::Words;
use super::summary::Summary;
use crate::checks::facts::{Asked, Fact};
use crate::checks::{Analysis, Finding};
use crate::plan::{Edit, Elsewhere, FileId, FileKey, StanzaId};
use crate::syntax::tree::Stanza;
use crate::text::Span;
use crate::units::ElectricPotential;

/// A stanza, wherever it moves to.
pub(super) type Slot = u32;

/// The stanzas of a part, what is common among them: file by file, those of each in their order.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Slots {
    pub all: Vec<Slot>,
    /// Where those of each file but the plan's own begin.
    pub later: Vec<usize>,
}

impl Slots {
    /// The places of those of a file.
    pub fn of_file(&self, file: usize) -> Range<usize> {
        let start = match file.checked_sub(1) {
            None => Some(0),
            Some(nth) => self.later.get(nth).copied(),
        };
        let start = start.unwrap_or(self.all.len());
        start..self.later.get(file).copied().unwrap_or(self.all.len())
    }

    /// A stanza of the part's own plan.
    pub fn get(&self, id: StanzaId) -> Option<Slot> {
        self.all[self.of_file(id.file.0)].get(id.index).copied()
    }
}

/// A part, analysed.
#[derive(Clone, Debug)]
pub(super) struct Seen {
    pub slots: Arc<Slots>,
    /// The stanzas themselves, as the slots stand.
    pub stanzas: Vec<Arc<Stanza>>,
    pub analysis: Arc<Analysis>,
    /// What the others must know of it.
    pub summary: Arc<Summary>,
    is_checked: bool,
    /// What its findings are known by, each: another number for whatever is not the very same.
    ids: Arc<[u64]>,
}

impl Seen {
    /// What its findings are known by.
    pub fn ids(&self) -> &[u64] {
        &self.ids
    }

    /// Reads and solves a part; `before` is what it was, and what is likely wired as it is.
    pub fn of(
        parts: &Parts,
        slots: Arc<Slots>,
        stanzas: Vec<Arc<Stanza>>,
        elsewhere: Elsewhere,
        before: &[&Seen],
        stop: Stop,
    ) -> Seen {
        let excerpt = parts.excerpt(&slots, &stanzas);
        let before: Vec<&Analysis> = before.iter().map(|seen| &*seen.analysis).collect();
        let analysis = Analysis::of_part(excerpt, elsewhere, &before, stop);
        Seen {
            slots,
            stanzas,
            summary: Arc::new(Summary::of(&analysis)),
            analysis: Arc::new(analysis),
            is_checked: false,
            ids: Arc::default(),
        }
    }

    /// The same with its stanzas at these places.
    pub fn at(self, slots: Arc<Slots>) -> Seen {
        Seen { slots, ..self }
    }

    /// Whether it is of these stanzas, each in its file.
    pub fn is_of(&self, slots: &Slots, stanzas: &[Arc<Stanza>]) -> bool {
        let same = |(a, b): (&Arc<Stanza>, &Arc<Stanza>)| Arc::ptr_eq(a, b) || a.text == b.text;
        (self.stanzas.len(), &self.slots.later) == (stanzas.len(), &slots.later)
            && self.stanzas.iter().zip(stanzas).all(same)
    }

    /// What it takes to hold it, in stanzas of a plan as people write them.
    pub fn weight(&self) -> usize {
        /// A stanza that is no longer counts as one.
        const BYTES: usize = 128;
        let stanzas = self
            .stanzas
            .iter()
            .map(|stanza| 1 + stanza.text.len() / BYTES);
        stanzas.sum::<usize>() + self.analysis.findings.len()
    }

    /// Its first supply, and that one's voltage.
    pub fn first_supply(&self) -> Option<(Slot, ElectricPotential)> {
        let (index, volts) = self.summary.first_supply?;
        Some((*self.slots.all.get(index)?, volts))
    }

    /// Runs its checks, unless they have been run with the same in all that they asked for. What was said `before`, too, is known
    /// by what it was known by.
    pub fn check(&mut self, elsewhere: Elsewhere, before: Option<&Seen>, stop: Stop) {
        if self.is_checked
            && is_the_same(
                &self.analysis.asked,
                &self.analysis.plan.elsewhere,
                &elsewhere,
            )
        {
            return;
        }
        self.is_checked = false;
        let analysis = Arc::make_mut(&mut self.analysis);
        analysis.plan.elsewhere = elsewhere;
        analysis.check(stop);
        self.ids = self.numbered(before);
        self.is_checked = !stop();
    }

    fn numbered(&self, before: Option<&Seen>) -> Arc<[u64]> {
        static LAST: AtomicU64 = AtomicU64::new(0);
        let findings = &self.analysis.findings;
        let new = LAST.fetch_add(findings.len() as u64, Ordering::Relaxed);
        let mut ids: Vec<u64> = (new..).take(findings.len()).collect();
        let Some(before) = before.filter(|before| self.has_the_files_of(before)) else {
            return ids.into();
        };
        // Both stand in this order, where no stanza came or went.
        let key = |f: &Finding| (f.stanza, f.span, f.check);
        let mut said = before.analysis.findings.iter().zip(&*before.ids).peekable();
        for (id, finding) in ids.iter_mut().zip(findings) {
            while said.next_if(|(had, _)| key(had) < key(finding)).is_some() {}
            let mut same = said.clone().take_while(|(had, _)| key(had) == key(finding));
            if let Some((_, known)) = same.find(|(had, _)| *had == finding)
                && self.places_of(finding) == before.places_of(finding)
            {
                *id = *known;
            }
        }
        ids.into()
    }

    fn has_the_files_of(&self, other: &Seen) -> bool {
        let keys = |seen: &Seen| -> Vec<FileKey> {
            let files = seen.analysis.plan.files.iter();
            files.map(|file| file.key.clone()).collect()
        };
        keys(self) == keys(other)
    }

    /// The stanzas that a finding points into, as they read.
    fn places_of(&self, finding: &Finding) -> Vec<Option<&str>> {
        let text = |id: &StanzaId| {
            let file = self.slots.of_file(id.file.0);
            let stanza = self.stanzas.get(file)?.get(id.index)?;
            Some(&*stanza.text)
        };
        let related = finding.related.iter().map(|(stanza, ..)| stanza);
        std::iter::once(&finding.stanza)
            .chain(related)
            .map(text)
            .collect()
    }
}

/// The stanzas that a part had when it was read last.
pub(super) struct Had<'a> {
    seen: Option<&'a Seen>,
    /// Their places, once something does not stand where it stood.
    places: OnceCell<FxHashMap<Slot, usize>>,
}

impl<'a> Had<'a> {
    pub fn of(seen: Option<&'a Seen>) -> Had<'a> {
        let places = OnceCell::new();
        Had { seen, places }
    }

    /// A stanza that likely has this place.
    pub fn get(&self, slot: Slot, place: usize) -> Option<&'a Arc<Stanza>> {
        let Seen { slots, stanzas, .. } = self.seen?;
        let place = match slots.all.get(place) == Some(&slot) {
            true => place,
            false => *self.places(slots).get(&slot)?,
        };
        stanzas.get(place)
    }

    fn places(&self, slots: &Slots) -> &FxHashMap<Slot, usize> {
        let all = slots.all.iter().enumerate();
        let places = || all.map(|(place, slot)| (*slot, place)).collect();
        self.places.get_or_init(places)
    }
}

/// Whether all that was asked for is as it was.
fn is_the_same(asked: &Asked, then: &Elsewhere, now: &Elsewhere) -> bool {
    let same = |fact: Fact, same: bool| same || !asked.has(fact);
    same(Fact::Wiring, then.wiring == now.wiring)
        && same(Fact::Lights, then.lights == now.lights)
        && same(Fact::Passages, then.passages == now.passages)
        && same(Fact::Lit, then.lit == now.lit)
        && same(Fact::Differ, then.differ == now.differ)
        && same(Fact::UsualRun, then.usual_run == now.usual_run)
        && same(Fact::Stock, then.stock == now.stock)
}

/// What is kept of a part while nobody looks at it.
#[derive(Clone, Debug)]
pub(super) struct Told {
    pub summary: Arc<Summary>,
    /// What its findings are known by.
    pub ids: Arc<[u64]>,
    pub findings: Vec<Finding>,
    /// The stanzas that the findings name by their number; none without findings.
    pub slots: Arc<Slots>,
    /// The checks that say nothing where something could not be read.
    pub waiting: Vec<(&'static str, Fact)>,
    /// Its first supply, and that one's voltage.
    pub first_supply: Option<(Slot, ElectricPotential)>,
    asked: Asked,
    elsewhere: Elsewhere,
}

impl Told {
    /// What a part that has been checked says.
    pub fn by(seen: &Seen) -> Told {
        let analysis = &seen.analysis;
        let says = !analysis.findings.is_empty();
        Told {
            summary: seen.summary.clone(),
            ids: seen.ids.clone(),
            findings: analysis.findings.clone(),
            slots: if says {
                seen.slots.clone()
            } else {
                Arc::default()
            },
            waiting: if says {
                analysis.waiting.clone()
            } else {
                Vec::new()
            },
            first_supply: seen.first_supply(),
            asked: analysis.asked.clone(),
            elsewhere: analysis.plan.elsewhere.clone(),
        }
    }

    /// Whether it still holds.
    pub fn holds(&self, elsewhere: &Elsewhere) -> bool {
        is_the_same(&self.asked, &self.elsewhere, elsewhere)
    }

    /// The same with its stanzas at these places.
    pub fn at(self: Arc<Told>, slots: &Arc<Slots>) -> Arc<Told> {
        let first = self.summary.first_supply;
        let first = first.and_then(|(index, volts)| Some((*slots.all.get(index)?, volts)));
        let says = !self.findings.is_empty();
        if first == self.first_supply && !(says && self.slots != *slots) {
            return self;
        }
        let mut told = Arc::unwrap_or_clone(self);
        told.first_supply = first;
        if says {
            told.slots = slots.clone();
        }
        Arc::new(told)
    }

    /// The words that scenes listed.
    pub fn listed(&self) -> &Arc<BTreeSet<Arc<str>>> {
        &self.elsewhere.listed
    }

    /// How many strips it was solved with.
    pub fn strips(&self) -> usize {
        self.elsewhere.strips + self.summary.strips
    }
}

/// What was said of words that a part had before.
#[derive(Clone, Debug)]
pub(super) struct Past {
    /// The words of its own stanzas, each in its place.
    pub words: Words,
    /// The words of what is common.
    pub common: Arc<str>,
    pub told: Arc<Told>,
}

/// A part as one may look at it: a small plan of the same files, and where its stanzas stand in the large one.
#[derive(Clone, Debug)]
pub struct View {
    /// The small plan.
    pub analysis: Arc<Analysis>,
    /// Its stanzas, file by file.
    pub(super) stanzas: Vec<Vec<Standing>>,
}

/// Where a stanza of a part stands.
#[derive(Clone, Copy, Debug)]
pub(super) struct Standing {
    /// Where it begins in the file of the large plan.
    pub start: u32,
    /// Whether it is common to all parts.
    pub is_common: bool,
}

impl View {
    fn of_file(&self, file: FileId) -> &[Standing] {
        self.stanzas.get(file.0).map_or(&[], |stanzas| stanzas)
    }

    /// The stanza at a place of a file, by its place among those of the part.
    fn at(&self, file: FileId, offset: u32) -> Option<(usize, Standing)> {
        let stanzas = self.of_file(file);
        let after = stanzas.partition_point(|stanza| stanza.start <= offset);
        let at = after.checked_sub(1)?;
        Some((at, *stanzas.get(at)?))
    }

    /// Whether the stanza at a place of a file is common to all parts.
    pub fn is_common(&self, file: FileId, offset: u32) -> bool {
        let found = self.at(file, offset);
        found.is_some_and(|(_, stanza)| stanza.is_common)
    }

    /// Whether a stanza of the small plan is the part's own.
    pub fn is_own(&self, stanza: StanzaId) -> bool {
        let standing = self.of_file(stanza.file).get(stanza.index);
        standing.is_some_and(|standing| !standing.is_common)
    }

    /// A place of a file as one of the small plan; `None` where that has no such stanza.
    pub fn inward(&self, file: FileId, offset: usize) -> Option<usize> {
        let offset = u32::try_from(offset).ok()?;
        let (at, stanza) = self.at(file, offset)?;
        let source = self.analysis.plan.files.get(file.0)?;
        let placed = source.tree.stanzas.get(at)?;
        let within = offset - stanza.start;
        (within as usize <= placed.stanza.text.len()).then(|| (placed.start + within) as usize)
    }

    /// A stretch of a file of the small plan as one of the file.
    pub fn outward(&self, file: FileId, span: Span) -> Span {
        let source = self.analysis.plan.files.get(file.0);
        let stanzas = source.map_or(&[][..], |source| &source.tree.stanzas[..]);
        let place = |offset: u32| {
            let after = stanzas.partition_point(|placed| placed.start <= offset);
            let at = after.saturating_sub(1);
            let (Some(placed), Some(stanza)) = (stanzas.get(at), self.of_file(file).get(at)) else {
                return offset;
            };
            stanza.start + (offset - placed.start)
        };
        // The end of a stretch may be the beginning of the next stanza, which stands elsewhere.
        let end = match span.is_empty() {
            true => place(span.start),
            false => place(span.end - 1) + 1,
        };
        Span::new(place(span.start), end)
    }

    /// Where words of one of its stanzas stand in their file.
    pub fn in_file(&self, stanza: StanzaId, span: Span) -> Span {
        let standing = self.of_file(stanza.file).get(stanza.index);
        span.shifted(standing.map_or(0, |standing| standing.start))
    }

    /// Where an edit of the small plan stands in its file; `None` for one of what is common to all parts.
    pub fn placed(&self, edit: &Edit) -> Option<Span> {
        let standing = self.of_file(edit.stanza.file).get(edit.stanza.index)?;
        (!standing.is_common).then(|| edit.span.shifted(standing.start))
    }
}
