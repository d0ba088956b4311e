//! What is known about the parts: each is analysed when its text has changed, and checked again when something that it
//! asked about the rest of the plan has.

use std::collections::{BTreeSet, HashMap, HashSet};
use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::cut::{NOWHERE, Parts};
use super::names::{Known, may_be_meant};
use super::part::{Had, Past, Seen, Slot, Slots, Standing, Told, View};
use super::recent::keep_recent;
use super::shape::Shape;
use super::summary::{Summary, Totals};
use super::ties::Kind;
use crate::checks::Analysis;
use crate::checks::figure_unlikely::median;
use crate::circuit::alone::bench_volts;
use crate::circuit::side_by_side::{processors, side_by_side};
use crate::circuit::{Stop, most_lumps_of};
use crate::plan::{Elsewhere, FEW_SCENES, FileId};
use crate::syntax::tree::Stanza;
use crate::syntax::vocabulary::StanzaWord;
use crate::units::ElectricPotential;

/// How many parts are kept as they were analysed, besides what they say.
const LOOKED_AT: usize = 16;
/// So many of these are taken to be likely wired as another one is.
const LIKELY_ALIKE: usize = 4;
/// How many states of a plan that is one part are kept, and what they may weigh together ([`Seen::weight`]).
const REMEMBERED: usize = 16;
const REMEMBERED_WEIGHT: usize = 2048;
/// From so many parts on they are looked at side by side, so many on each processor at a time. Fewer take no longer than it takes
/// to begin that.
const MANY: usize = 8;
const AT_A_TIME: usize = 64;
/// How often the rest takes in more parts.
const ROUNDS: usize = 8;

/// How long somebody can wait.
pub struct Patience<'a> {
    /// Asked now and then whether to give up.
    pub stop: Stop<'a>,
    /// Asked before something is begun that cannot be left half done without loss, with the number of its stanzas.
    pub may_begin: &'a dyn Fn(usize) -> bool,
}

impl Patience<'_> {
    /// For ever.
    pub const ENDLESS: Patience<'static> = Patience {
        stop: &|| false,
        may_begin: &|_| true,
    };

    pub(super) fn may_begin(&self, stanzas: usize) -> bool {
        (self.may_begin)(stanzas)
    }
}

/// What of the totals concerns parts that did not change themselves.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Handed {
    few: Vec<usize>,
    differ: Vec<((usize, usize), usize)>,
    usual_run: Option<f64>,
}

impl Parts {
    /// Brings all that is known up to date. False where it was stopped.
    pub(super) fn look(&mut self, patience: &Patience) -> bool {
        let is_one = self.knots.clash()
            || self.scenes() > FEW_SCENES
            || !self.is_there_what_scenes_list()
            || self.parts.len() < 2;
        if !is_one {
            if !self.look_at_fresh(patience) {
                return false;
            }
            if self.totals.unsolved == 0 && self.totals.scenes_at_fault == 0 {
                self.is_whole = false;
                return self.look_at_rest(patience) && self.look_again(patience);
            }
        }
        self.look_at_whole(patience)
    }

    /// The analysis of the whole plan, where it is one part.
    pub fn whole(&self) -> Option<Arc<Analysis>> {
        let rest = self.rest.as_ref().filter(|_| self.is_whole);
        rest.map(|rest| rest.analysis.clone())
    }

    /// The part that the stanza at an offset of a file belongs to; `None` for what is common to all.
    pub fn view(&mut self, file: FileId, offset: u32) -> Option<View> {
        let slot = self.at(file, offset)?;
        let (kind, id) = (self.of(slot).kind, self.of(slot).part);
        if kind == Kind::Common {
            return None;
        }
        let is_own = !self.is_whole && !self.taken_in.contains(&id) && id != NOWHERE;
        if is_own && !self.parts.get(&id)?.is_current {
            self.look_at(id, true, &Patience::ENDLESS);
        }
        let seen = match is_own {
            true => self.parts.get(&id)?.seen.as_ref()?,
            false => self.rest.as_ref()?,
        };
        Some(self.view_by(seen))
    }

    /// Whether what [`Parts::view`] gives has fewer stanzas than that.
    pub fn is_smaller(&self, file: FileId, offset: u32, than: usize) -> bool {
        let Some(slot) = self.at(file, offset) else {
            return false;
        };
        let id = self.of(slot).part;
        let own = self.parts.get(&id);
        match own.filter(|_| !self.is_whole && !self.taken_in.contains(&id)) {
            Some(part) => part.slots.len() + self.common.len() < than,
            None => self
                .rest
                .as_ref()
                .is_some_and(|rest| rest.stanzas.len() < than),
        }
    }

    /// The parts of a plan that is not one part; those that the rest has taken in are not among them.
    pub fn ids(&self) -> Vec<usize> {
        let ids = self.parts.keys().filter(|id| !self.taken_in.contains(id));
        ids.copied().collect()
    }

    /// A part, read and solved. It is not kept.
    pub fn view_of(&self, id: usize) -> Option<View> {
        let part = self.parts.get(&id)?;
        if let Some(seen) = part.seen.as_ref().filter(|_| part.is_current) {
            return Some(self.view_by(seen));
        }
        let slots = self.slots_with_common(part);
        let stanzas = self.stanzas_of(id, &slots, part.seen.as_ref());
        let mut elsewhere = self.totals.elsewhere(Some(&part.told.as_ref()?.summary));
        elsewhere.listed = self.listed_words.clone();
        let before = Vec::from_iter(&part.seen);
        let seen = Seen::of(self, slots, stanzas, elsewhere, &before, &|| false);
        Some(self.view_by(&seen))
    }

    /// All that is in no part; `None` where the plan is one part.
    pub fn view_of_rest(&self) -> Option<View> {
        let rest = self.rest.as_ref().filter(|_| !self.is_whole)?;
        Some(self.view_by(rest))
    }

    pub(super) fn view_by(&self, seen: &Seen) -> View {
        let mut analysis = seen.analysis.clone();
        let bench = self.bench();
        if bench_volts(&analysis.plan) != bench {
            Arc::make_mut(&mut analysis).plan.settings.bench = bench;
        }
        let standing = |slot: &Slot| Standing {
            start: self.start_of(*slot),
            is_common: self.is_common(*slot),
        };
        let of_file = |file| {
            let slots = seen.slots.all.get(seen.slots.of_file(file));
            slots.unwrap_or_default().iter().map(standing).collect()
        };
        View {
            stanzas: (0..analysis.plan.files.len()).map(of_file).collect(),
            analysis,
        }
    }

    /// The voltage that pieces are tried on, of the whole plan.
    fn bench(&self) -> Option<ElectricPotential> {
        let told = self.parts.values().filter_map(|part| part.told.as_ref());
        let told = told.filter_map(|told| told.first_supply);
        let rest = self.rest.as_ref().and_then(Seen::first_supply);
        let stated = self.rest.as_ref()?.analysis.plan.settings.bench;
        stated.or_else(|| {
            let first = told.chain(rest).min_by_key(|(slot, _)| self.place(*slot));
            first.map(|(_, volts)| volts)
        })
    }

    // ---- parts of wiring

    /// Stanzas with what is common.
    pub(super) fn with_common(&self, own: &[Slot]) -> Slots {
        self.by_file(self.common.iter().chain(own).copied().collect())
    }

    fn look_at_fresh(&mut self, patience: &Patience) -> bool {
        let mut speaking = HashSet::new();
        // How many strips there are is known only when all have been read.
        for _ in 0..3 {
            if self.fresh.len() > 1 {
                for id in self.fresh.iter().copied().collect::<Vec<_>>() {
                    self.uncount(id);
                }
            }
            while let Some(id) = self.fresh.first().copied() {
                let done = match self.fresh.len() >= MANY && patience.may_begin(usize::MAX) {
                    true => self.look_at_many(&mut speaking, patience),
                    false => !(patience.stop)() && self.look_at(id, false, patience),
                };
                if !done {
                    return false;
                }
            }
            let lumps = most_lumps_of(self.totals.strips);
            let other = |told: &Arc<Told>| {
                told.summary.minds_strips && most_lumps_of(told.strips()) != lumps
            };
            let again: Vec<usize> = match self.totals.minding_strips {
                0 => Vec::new(),
                _ => (self.parts.iter())
                    .filter(|(_, part)| part.told.as_ref().is_some_and(other))
                    .map(|(id, _)| *id)
                    .collect(),
            };
            if again.is_empty() {
                break;
            }
            for id in again {
                self.spoil(id);
            }
        }
        true
    }

    /// Finds out what one part says, with what is known of the others by now; `analysed` where its analysis is wanted, too.
    /// False where it was stopped.
    pub(super) fn look_at(&mut self, id: usize, analysed: bool, patience: &Patience) -> bool {
        let Some(part) = self.parts.get(&id) else {
            self.fresh.remove(&id);
            return true;
        };
        let slots = self.slots_with_common(part);
        if !analysed {
            let told = self.told_before(id);
            let told = told.or_else(|| self.told_of_alike(id, &self.shape(&slots.all)?));
            if let Some(told) = told {
                self.put(id, told.at(&slots));
                return true;
            }
        }
        if !patience.may_begin(slots.all.len()) {
            return false;
        }
        let Some(part) = self.parts.get_mut(&id) else {
            return true;
        };
        let before = part.seen.take();
        if let Some(told) = part.told.take() {
            part.counted = Some(told.summary.clone());
        }
        self.uncount(id);
        let mut others = self.totals.elsewhere(None);
        others.listed = self.listed_words.clone();
        let is_current = self.parts.get(&id).is_some_and(|part| part.is_current);
        let (mut seen, before) = match before {
            Some(seen) if is_current && reads_alike(&seen, &others, false) => {
                (seen.at(slots), None)
            }
            before => {
                let stanzas = self.stanzas_of(id, &slots, before.as_ref());
                let alike: Vec<&Seen> = before.iter().chain(self.seen_lately()).collect();
                let seen = Seen::of(self, slots, stanzas, others, &alike, patience.stop);
                (seen, before)
            }
        };
        let elsewhere = Elsewhere {
            listed: seen.analysis.plan.elsewhere.listed.clone(),
            strips: seen.analysis.plan.elsewhere.strips,
            ..self.elsewhere(&seen.summary, false, self.fresh.len() > 1)
        };
        if !(patience.stop)() {
            seen.check(elsewhere, before.as_ref(), patience.stop);
        }
        if (patience.stop)() {
            self.fresh.insert(id);
            return false;
        }
        self.take_seen(id, seen);
        true
    }

    /// The parts that were looked at last, the last first: the houses of a street are often wired alike, and changed alike.
    fn seen_lately(&self) -> impl Iterator<Item = &Seen> {
        let lately = self.looked_at.iter().rev().take(LIKELY_ALIKE);
        lately.filter_map(|id| self.parts.get(id)?.seen.as_ref())
    }

    /// Notes what a part says that has been looked at, and keeps its analysis for a while.
    fn take_seen(&mut self, id: usize, seen: Seen) {
        let told = Arc::new(Told::by(&seen));
        if let Some(part) = self.parts.get_mut(&id) {
            part.seen = Some(seen);
            part.is_current = true;
            part.outdated.clear();
            for slot in &part.slots {
                self.trees.remove(slot);
            }
        }
        self.note_shape(id, &told);
        self.put(id, told);
        self.looked_at.push_back(id);
        self.looked_from = Some(id);
        if self.looked_at.len() > LOOKED_AT
            && let Some(old) = self.looked_at.pop_front()
            && !self.looked_at.contains(&old)
            && let Some(part) = self.parts.get_mut(&old)
        {
            part.seen = None;
            part.is_current = false;
        }
    }

    /// Looks at parts side by side, on all processors, and keeps what they say; of those that are alike at one, unless that has
    /// something to be said of it (`speaking`). False where it was stopped.
    fn look_at_many(&mut self, speaking: &mut HashSet<Shape>, patience: &Patience) -> bool {
        let mut ids: Vec<usize> = Vec::new();
        let mut firsts: HashMap<Shape, usize> = HashMap::new();
        for id in self.fresh.iter().copied().collect::<Vec<_>>() {
            if ids.len() >= AT_A_TIME * processors() || (patience.stop)() {
                break;
            }
            let part = self.parts.get(&id);
            let Some(slots) = part.map(|part| self.slots_with_common(part)) else {
                self.fresh.remove(&id);
                continue;
            };
            let shape = self.shape(&slots.all);
            let told = self.told_before(id);
            let told = told.or_else(|| self.told_of_alike(id, shape.as_ref()?));
            if let Some(told) = told {
                self.take_as_told(id, told.at(&slots));
                continue;
            }
            if let Some(shape) = shape.filter(|shape| !speaking.contains(shape)) {
                if firsts.contains_key(&shape) {
                    continue;
                }
                firsts.insert(shape, id);
            }
            ids.push(id);
        }
        let (parts, stop) = (&*self, patience.stop);
        // Those that somebody may look at next are kept as they are.
        let are_kept = ids.len() <= LOOKED_AT;
        let seen = side_by_side(ids.len(), |k| {
            let seen = parts.seen_of(ids[k], stop)?;
            let told = (!are_kept).then(|| Told::by(&seen));
            Some((told, are_kept.then_some(seen)))
        });
        let all = seen.iter().all(Option::is_some);
        for (id, seen) in ids.into_iter().zip(seen) {
            match seen {
                Some((_, Some(seen))) => self.take_seen(id, seen),
                Some((Some(told), _)) => {
                    let told = Arc::new(told);
                    self.note_shape(id, &told);
                    self.take_as_told(id, told);
                }
                _ => {}
            }
        }
        let has_spoken = |id: &usize| self.speaking.contains(id) || self.asking.contains(id);
        speaking.extend(
            firsts
                .into_iter()
                .filter(|(_, id)| has_spoken(id))
                .map(|(shape, _)| shape),
        );
        all && !stop()
    }

    /// Notes what a part says for those that are like it.
    fn note_shape(&mut self, id: usize, told: &Arc<Told>) {
        let part = self.parts.get(&id);
        let slots = part.map(|part| self.slots_with_common(part));
        if let Some(shape) = slots.and_then(|slots| self.shape(&slots.all)) {
            self.alike.note(shape, told);
        }
    }

    /// Notes what a part says that is not looked at itself.
    fn take_as_told(&mut self, id: usize, told: Arc<Told>) {
        if let Some(part) = self.parts.get_mut(&id) {
            (part.seen, part.is_current) = (None, false);
            part.outdated.clear();
            for slot in &part.slots {
                self.trees.remove(slot);
            }
        }
        self.put(id, told);
    }

    /// A part that is fresh, looked at, others taken to be like it; `None` where it was stopped.
    fn seen_of(&self, id: usize, stop: Stop) -> Option<Seen> {
        let part = self.parts.get(&id)?;
        let slots = self.slots_with_common(part);
        let stanzas = self.stanzas_of(id, &slots, part.seen.as_ref());
        let mut others = self.totals.elsewhere(None);
        others.listed = self.listed_words.clone();
        let before: Vec<&Seen> = part.seen.iter().chain(self.seen_lately()).collect();
        let mut seen = Seen::of(self, slots, stanzas, others, &before, stop);
        let elsewhere = Elsewhere {
            listed: seen.analysis.plan.elsewhere.listed.clone(),
            strips: seen.analysis.plan.elsewhere.strips,
            ..self.elsewhere(&seen.summary, false, true)
        };
        seen.check(elsewhere, None, stop);
        (!stop()).then_some(seen)
    }

    /// The stanzas of a part; `before` is what was last read of it.
    fn stanzas_of(&self, id: usize, slots: &Slots, before: Option<&Seen>) -> Vec<Arc<Stanza>> {
        let outdated = self.parts.get(&id).map_or(&[][..], |part| &part.outdated);
        let had = Had::of(before);
        let had = |slot, place| had.get(slot, place).filter(|_| !outdated.contains(&slot));
        let slots = slots.all.iter().enumerate();
        slots
            .map(|(place, slot)| self.tree(*slot, || had(*slot, place)))
            .collect()
    }

    /// Notes what a part says.
    fn put(&mut self, id: usize, told: Arc<Told>) {
        self.fresh.remove(&id);
        self.unsure.insert(id);
        self.count(id, &told.summary);
        match told.summary.unknown.is_empty() {
            true => self.asking.remove(&id),
            false => self.asking.insert(id),
        };
        match told.findings.is_empty() {
            true => self.speaking.remove(&id),
            false => self.speaking.insert(id),
        };
        if let Some(part) = self.parts.get_mut(&id) {
            part.told = Some(told);
        }
    }

    /// What was said of these very words before.
    fn told_before(&mut self, id: usize) -> Option<Arc<Told>> {
        if self.past.is_empty() {
            return None;
        }
        let (words, common) = (self.words_of(id)?, self.common_words());
        let is_it = |past: &Past| past.words == words && past.common == common;
        let mut past = self.past.iter();
        let at = past.position(|past| is_it(past) && self.is_read_so(id, &past.told))?;
        self.past.remove(at).map(|past| past.told)
    }

    /// What was said of a part that differs from one of this shape in names alone.
    fn told_of_alike(&self, id: usize, shape: &Shape) -> Option<Arc<Told>> {
        let told = self.alike.get(shape)?;
        self.is_read_so(id, told).then(|| told.clone())
    }

    /// Whether a part that said this would be read with the same of the others now.
    fn is_read_so(&self, id: usize, told: &Told) -> bool {
        let lumps = |strips: usize| most_lumps_of(strips + told.summary.strips);
        *told.listed() == self.listed_words
            && (!told.summary.minds_strips
                || most_lumps_of(told.strips()) == lumps(self.other_strips(id)))
    }

    /// What there is elsewhere for a part. While others are still to be read, they are taken to be like it: what comes
    /// out otherwise is done again.
    pub(super) fn elsewhere(
        &self,
        own: &Summary,
        is_counted: bool,
        more_to_come: bool,
    ) -> Elsewhere {
        let rest = self.rest.as_ref().filter(|_| !self.is_whole);
        let mut elsewhere = self.totals.elsewhere(Some(own).filter(|_| is_counted));
        elsewhere.passages |= rest.is_some_and(|rest| rest.summary.passages);
        elsewhere.usual_run = self.handed.usual_run;
        if more_to_come {
            elsewhere.lights |= own.lights;
            elsewhere.passages |= own.passages;
            elsewhere.lit = own.lit.clone();
        }
        elsewhere
    }

    /// Keeps what the plan was while it was one part.
    fn remember(&mut self, seen: Seen) {
        self.recent.push_front(seen);
        self.forget_old();
    }

    pub(super) fn forget_old(&mut self) {
        keep_recent(
            &mut self.recent,
            REMEMBERED,
            REMEMBERED_WEIGHT,
            Seen::weight,
        );
    }

    /// Checks again what knew something of the others that is not so any more.
    fn look_again(&mut self, patience: &Patience) -> bool {
        if self.handed_with != Some(self.counts) || self.is_longish() {
            let handed = self.handed();
            if handed != self.handed {
                self.handed = handed;
                self.unsure = self.parts.keys().copied().collect();
            }
            self.handed_with = Some(self.counts);
        }
        while let Some(id) = self.unsure.pop_first() {
            let holds = self
                .parts
                .get(&id)
                .and_then(|part| part.told.as_ref())
                .is_none_or(|told| told.holds(&self.elsewhere(&told.summary, true, false)));
            if holds || self.taken_in.contains(&id) {
                continue;
            }
            if (patience.stop)() || !self.look_at(id, true, patience) {
                self.unsure.insert(id);
                return false;
            }
            // It has been looked at with all that there is to know.
            self.unsure.remove(&id);
        }
        true
    }

    /// Whether a run is so long that it is compared with all others.
    fn is_longish(&self) -> bool {
        let rest = self.rest.as_ref();
        self.totals.longish > 0 || rest.is_some_and(|rest| rest.summary.longish)
    }

    fn handed(&self) -> Handed {
        let few = |total: &usize| (*total).min(2);
        let rest = self.rest.as_ref().map(|rest| &*rest.summary);
        let usual_run = self.is_longish().then(|| {
            let told = self.parts.values().filter_map(|part| part.told.as_ref());
            median(
                told.flat_map(|told| told.summary.runs.iter().copied())
                    .collect(),
            )
        });
        let mut flags = vec![
            few(&self.totals.lights),
            few(&self.totals.passages),
            usize::from(rest.is_some_and(|rest| rest.passages)),
        ];
        flags.extend(self.totals.lit.iter().map(few));
        Handed {
            few: flags,
            differ: (self.totals.differ.iter())
                .map(|(pair, total)| (*pair, few(total)))
                .collect(),
            usual_run: usual_run.flatten(),
        }
    }

    // ---- the rest, and the whole

    /// All in one part.
    fn look_at_whole(&mut self, patience: &Patience) -> bool {
        let stop = patience.stop;
        let before = self.rest.take();
        let slots = Arc::new(self.by_file(self.slots()));
        if !patience.may_begin(slots.all.len()) {
            self.rest = before;
            return false;
        }
        let had = Had::of(before.as_ref());
        let had = |slot, place| had.get(slot, place).filter(|_| !self.stale.contains(&slot));
        let stanzas: Vec<_> = (slots.all.iter().enumerate())
            .map(|(place, slot)| self.tree(*slot, || had(*slot, place)))
            .collect();
        let none = Elsewhere::default();
        if let Some(before) = before {
            self.remember(before);
        }
        let is_it =
            |seen: &Seen| seen.analysis.plan.elsewhere == none && seen.is_of(&slots, &stanzas);
        let known = self.recent.iter().position(is_it);
        let mut seen = match known.and_then(|at| self.recent.remove(at)) {
            Some(seen) => seen.at(slots),
            None => {
                let before = Vec::from_iter(self.recent.front());
                Seen::of(self, slots, stanzas, none.clone(), &before, stop)
            }
        };
        if stop() {
            return false;
        }
        seen.check(none, self.recent.front(), stop);
        self.is_whole = true;
        (self.rest_with, self.handed_with) = (None, None);
        self.taken_in.clear();
        if !stop() {
            self.rest = Some(seen);
            self.stale.clear();
            self.trees.clear();
        }
        !stop()
    }

    /// What is in no part of wiring, with the parts that have names that lead nowhere.
    fn look_at_rest(&mut self, patience: &Patience) -> bool {
        let is_so = |(at, with): &(u64, Totals)| *at == self.counts || *with == self.totals;
        if self.rest_with.as_ref().is_some_and(is_so) && self.taken_in == self.asking {
            return true;
        }
        self.rest_with = None;
        self.taken_in = self.asking.clone();
        for _ in 0..ROUNDS {
            if !self.look_at_rest_once(patience) {
                return false;
            }
            let Some(rest) = &self.rest else { return false };
            if rest.summary.scene_at_fault || rest.summary.unsolved {
                return self.look_at_whole(patience);
            }
            let more = self.meant_by(&rest.summary);
            if more.is_empty() {
                self.rest_with = Some((self.counts, self.totals.clone()));
                return true;
            }
            self.taken_in.extend(more);
        }
        self.look_at_whole(patience)
    }

    fn look_at_rest_once(&mut self, patience: &Patience) -> bool {
        self.handed_with = None;
        let stop = patience.stop;
        let mut own: Vec<Slot> = self.loose.iter().copied().collect();
        let mut others = self.totals.clone();
        for part in self.taken_in.iter().filter_map(|id| self.parts.get(id)) {
            own.extend(&part.slots);
            if let Some(told) = &part.told {
                others.remove(&told.summary);
            }
        }
        let elsewhere = self.elsewhere_of_rest(&others);
        let before = self.rest.take();
        let stanzas = |seen: &Seen| (seen.slots.all.clone().into_iter()).zip(seen.stanzas.clone());
        let is_current = |(slot, _): &(Slot, Arc<Stanza>)| !self.stale.contains(slot);
        let mut had: FxHashMap<Slot, Arc<Stanza>> = match &before {
            Some(seen) => stanzas(seen).filter(is_current).collect(),
            None => FxHashMap::default(),
        };
        // A part that says what it said before is not looked at for that: it may have been read when it was another.
        for part in self.taken_in.iter().filter_map(|id| self.parts.get(id)) {
            let seen = part.seen.iter().flat_map(stanzas);
            had.extend(seen.filter(|(slot, _)| !part.outdated.contains(slot)));
        }
        let had: FxHashMap<Slot, &Arc<Stanza>> = had.iter().map(|(slot, s)| (*slot, s)).collect();
        let slots = Arc::new(self.with_common(&own));
        let stanzas: Vec<_> = slots
            .all
            .iter()
            .map(|slot| self.tree(*slot, || had.get(slot).copied()))
            .collect();
        drop(had);
        if !patience.may_begin(own.len()) {
            return false;
        }
        let (mut seen, before) = match before {
            Some(seen) if seen.is_of(&slots, &stanzas) && reads_alike(&seen, &elsewhere, true) => {
                (seen.at(slots), None)
            }
            before => {
                let alike = Vec::from_iter(&before);
                let seen = Seen::of(self, slots, stanzas, elsewhere.clone(), &alike, stop);
                (seen, before)
            }
        };
        if stop() {
            return false;
        }
        seen.check(elsewhere, before.as_ref(), stop);
        if !stop() {
            self.rest = Some(seen);
            self.stale.clear();
        }
        !stop()
    }

    pub(super) fn elsewhere_of_rest(&self, others: &Totals) -> Elsewhere {
        let left = self.parts.len() - self.taken_in.len();
        let stock = self.common.iter().map(|slot| self.of(*slot));
        let stock = stock.filter(|kept| kept.word.is_some_and(StanzaWord::is_stock));
        let stock: HashSet<_> = stock.filter_map(|kept| kept.name.as_ref()).collect();
        let mut elsewhere = others.elsewhere(None);
        // Each part counts the names of the stock.
        elsewhere.names = elsewhere.names.saturating_sub(left * stock.len());
        elsewhere.listed = self.listed_words.clone();
        elsewhere.wiring = left > 0;
        elsewhere.stock = others.stock();
        elsewhere.usual_run = self.handed().usual_run;
        elsewhere
    }

    /// The parts with a name that may be meant by one of the rest that leads nowhere.
    fn meant_by(&self, rest: &Summary) -> BTreeSet<usize> {
        let mut meant = BTreeSet::new();
        if rest.unknown.is_empty() {
            return meant;
        }
        for kept in self.all() {
            let is_out = kept.part == NOWHERE
                || self.taken_in.contains(&kept.part)
                || meant.contains(&kept.part);
            let Some(name) = kept.name.as_ref().filter(|_| !is_out) else {
                continue;
            };
            let more = [StanzaWord::Copy, StanzaWord::Board, StanzaWord::Pattern];
            let known = Known {
                name: &name.0,
                has_more: kept.word.is_some_and(|word| more.contains(&word)),
            };
            if rest
                .unknown
                .iter()
                .any(|unknown| may_be_meant(&known, unknown))
            {
                meant.insert(kept.part);
            }
        }
        meant
    }

    /// Whether something could not be read, and whether a name may be missed, anywhere.
    pub(super) fn misread(&self) -> (bool, bool) {
        let rest = self.rest.as_ref().map(|rest| &*rest.summary);
        (
            self.totals.errors > 0 || rest.is_some_and(|rest| rest.errors),
            self.totals.misses > 0 || rest.is_some_and(|rest| rest.misses),
        )
    }
}

/// Whether a part would be read as it was; `by_names` where names that lead nowhere are looked for elsewhere.
fn reads_alike(rest: &Seen, elsewhere: &Elsewhere, by_names: bool) -> bool {
    let then = &rest.analysis.plan.elsewhere;
    let lumps = |strips: usize| most_lumps_of(strips + rest.summary.strips);
    let as_many = !rest.summary.minds_strips || lumps(then.strips) == lumps(elsewhere.strips);
    let names = (then.names, &then.stock) == (elsewhere.names, &elsewhere.stock);
    let names = !by_names || rest.summary.unknown.is_empty() || names;
    then.listed == elsewhere.listed && as_many && names
}
