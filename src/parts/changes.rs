//! A part as a plan that may be changed: what its checks say of its own stanzas, before a change and after it, is what
//! those of the whole plan say. For that it knows all that there is elsewhere, what is made of the stock too.

use crate::circuit::Stop;
use std::collections::BTreeSet;
use std::sync::Arc;

use super::cut::{NOWHERE, Parts};
use super::look::Patience;
use super::part::{Slot, View};
use super::ties::{Kind, key};
use crate::plan::{Elsewhere, FileId};
use crate::syntax::read_file_reusing;
use crate::text::Span;

impl Parts {
    /// The part that all stanzas belong to which a stretch touches, with all that it must know of the others; `None` where they
    /// belong to several, or one of them to all. Then see [`View::knowing`].
    pub fn view_to_change(&mut self, file: FileId, span: Span) -> Option<(View, Elsewhere)> {
        let touched = self.touched(file, span);
        let own = |slot: &Slot| (self.of(*slot).kind != Kind::Common).then(|| self.group(*slot));
        let group = own(touched.first()?)?;
        if touched.iter().any(|slot| own(slot) != Some(group)) {
            return None;
        }
        self.group_to_change(group)
    }

    /// The parts of which something is said; the rest is not among them.
    pub fn ids_with_findings(&self) -> Vec<usize> {
        let says = |id: &usize| {
            let told = self.parts.get(id).and_then(|part| part.told.as_ref());
            told.is_some_and(|told| !told.findings.is_empty())
        };
        self.ids().into_iter().filter(says).collect()
    }

    /// A part with all that it must know of the others, as [`Parts::view_to_change`]; [`NOWHERE`] for the rest.
    pub fn group_to_change(&mut self, group: usize) -> Option<(View, Elsewhere)> {
        if self.is_whole {
            return None;
        }
        let is_stale = |id: usize| self.parts.get(&id).is_none_or(|part| !part.is_current);
        if group != NOWHERE && is_stale(group) {
            self.look_at(group, true, &Patience::ENDLESS);
        }
        let seen = match group {
            NOWHERE => self.rest.as_ref()?,
            id => self.parts.get(&id)?.seen.as_ref()?,
        };
        Some((self.view_by(seen), self.all_elsewhere(group)?))
    }

    /// Whether nothing but the part with the stanza at an offset of a file has to do with any of these names, in whatever case.
    pub fn are_free(&self, file: FileId, offset: u32, names: &BTreeSet<Arc<str>>) -> bool {
        let Some(slot) = self.at(file, offset) else {
            return false;
        };
        let group = self.group(slot);
        names.iter().all(|name| {
            let name = key(name);
            let mut others = self.knots.who(&name);
            !self.listed.contains_key(&name) && others.all(|slot| self.group(slot) == group)
        })
    }

    /// The stanzas that a stretch touches.
    fn touched(&self, file: FileId, span: Span) -> Vec<Slot> {
        let (Some(first), Some(last)) = (self.at(file, span.start), self.at(file, span.end)) else {
            return Vec::new();
        };
        let (first, last) = (self.of(first).index as usize, self.of(last).index as usize);
        let touched = self.slots_of(file).get(first..=last).unwrap_or_default();
        touched.to_vec()
    }

    /// The part that a stanza is looked at in; [`NOWHERE`] for the rest.
    fn group(&self, slot: Slot) -> usize {
        let part = self.of(slot).part;
        match self.taken_in.contains(&part) {
            true => NOWHERE,
            false => part,
        }
    }

    /// All that there is outside of a part.
    fn all_elsewhere(&self, group: usize) -> Option<Elsewhere> {
        let mut others = self.totals.clone();
        let rest = &self.rest.as_ref()?.summary;
        let mut elsewhere = match group {
            NOWHERE => {
                for part in self.taken_in.iter().filter_map(|id| self.parts.get(id)) {
                    others.remove(&part.told.as_ref()?.summary);
                }
                self.elsewhere_of_rest(&others)
            }
            id => {
                let own = &self.parts.get(&id)?.told.as_ref()?.summary;
                others.remove(own);
                Elsewhere {
                    listed: self.listed_words.clone(),
                    wiring: self.parts.len() > 1,
                    stock: others.stock(),
                    ..self.elsewhere(own, true, false)
                }
            }
        };
        let is_rest = group == NOWHERE;
        elsewhere.errors = others.errors > 0 || (rest.errors && !is_rest);
        elsewhere.misses = others.misses > 0 || (rest.misses && !is_rest);
        Some(elsewhere)
    }
}

impl View {
    /// The part as it may be changed, checked with all that there is elsewhere; `None` where a changed one could not be read alone.
    pub fn knowing(mut self, elsewhere: Elsewhere, stop: Stop) -> Option<View> {
        // Each file read as one text, it must be the same stanzas: so a changed one is read.
        let same = self.analysis.plan.files.iter().all(|file| {
            let again = read_file_reusing(&file.text, &file.tree);
            let mut pairs = again.stanzas.iter().zip(&file.tree.stanzas);
            again.stanzas.len() == file.tree.stanzas.len()
                && pairs.all(|(a, b)| a.stanza.text == b.stanza.text)
        });
        let analysis = Arc::make_mut(&mut self.analysis);
        analysis.plan.elsewhere = elsewhere;
        analysis.check(stop);
        (same && !stop()).then_some(self)
    }
}
