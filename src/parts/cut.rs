//! The cut of a plan into parts, kept up to date from edit to edit: which stanza belongs where. What is known about the
//! parts is worked out in [`super::look`].

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet, HashSet, VecDeque};
use std::sync::{Arc, OnceLock, Weak};

use rustc_hash::{FxHashMap, FxHashSet};

use super::facts::{Facts, Whose};
use super::knots::{Knot, Knots, Listed, Tied, groups};
use super::look::{Handed, Patience};
use super::part::{Past, Seen, Slot, Slots, Told};
use super::read::{CastMould, Casts, Lately, Read, What, Words, in_place, read_all, read_lately};
use super::recent::keep_recent;
use super::shape::{Alike, Form, Numbered};
use super::summary::{Summary, Totals};
use super::ties::{Kind, Ties, first_word, key, kind, listed, small};
use super::used::Used;
use crate::plan::{FileId, FileKey, Plan, Sources};
use crate::syntax::tree::{Name, Stanza};
use crate::syntax::vocabulary::StanzaWord;
use crate::syntax::{read_edit, read_stanza, stanza_texts};
use crate::text::{Lines, Span, Touched};

/// Of a text that comes all at once, so many stanzas are kept as they were read; the others are read once more when
/// their part is looked at, which takes less than to hold them all.
const MOST_TREES: usize = 4096;

/// The plan's own file, by its place among all.
const OWN: usize = 0;

/// What so many parts said before is kept, up to so many findings together.
const REMEMBERED: usize = 64;
const REMEMBERED_FINDINGS: usize = 4096;

/// What belongs to no part of its own.
pub(super) const NOWHERE: usize = usize::MAX;

/// What is known of a stanza.
#[derive(Debug)]
pub(super) struct Kept {
    pub kind: Kind,
    pub word: Option<StanzaWord>,
    /// What it defines.
    pub name: Option<Name>,
    tied: Tied,
    /// What it is but for its names.
    pub form: Option<Numbered>,
    /// What its text is known by.
    words: Words,
    /// How long its text is, and how many line ends it has.
    length: u32,
    lines: u32,
    /// The file that it stands in, by its place among those of the plan.
    pub file: u32,
    /// Its place among the stanzas of that file.
    pub index: u32,
    /// Its part.
    pub part: usize,
    /// Itself, where it is common.
    tree: Option<Arc<Stanza>>,
    /// What it can be read by, as long as that is kept.
    mould: Weak<CastMould>,
}

impl Kept {
    fn is_stock(&self) -> bool {
        self.word.is_some_and(StanzaWord::is_stock)
    }
}

/// The stanzas of one file.
#[derive(Debug, Default)]
pub(super) struct Sheet {
    /// Where each begins, in which line, and which it is.
    pub starts: Vec<u32>,
    pub lines: Vec<u32>,
    pub order: Vec<Slot>,
}

impl Sheet {
    /// What stands from here on stands so many bytes and lines further down.
    fn move_behind(&mut self, from: usize, by: u32, lines: u32) {
        for (places, by) in [(&mut self.starts, by), (&mut self.lines, lines)] {
            if by != 0 {
                for place in &mut places[from..] {
                    *place = place.wrapping_add(by);
                }
            }
        }
    }
}

/// A part of wiring.
#[derive(Debug, Default)]
pub(super) struct Part {
    /// Its own stanzas.
    pub slots: Vec<Slot>,
    /// These and what is common, in their order. It stays as long as the part is: where that changes, all is cut anew.
    all: OnceLock<Arc<Slots>>,
    /// What the words of all are known by, once somebody has asked.
    words: Option<Words>,
    /// What it says; not known while it is fresh …
    pub told: Option<Arc<Told>>,
    /// … while the totals may still count what it said.
    pub counted: Option<Arc<Summary>>,
    /// Its analysis, where somebody has looked at it lately …
    pub seen: Option<Seen>,
    /// … and whether that is of what it is now.
    pub is_current: bool,
    /// Stanzas that are other ones by now.
    pub outdated: Vec<Slot>,
}

/// A plan in parts.
#[derive(Debug)]
pub struct Parts {
    pub(super) key: FileKey,
    /// The text of its own file.
    text: Lines,
    /// Its files, its own first.
    pub(super) sheets: Vec<Sheet>,
    kept: Vec<Option<Kept>>,
    free: Vec<Slot>,
    /// The files that it uses.
    pub(super) used: Used,
    /// Whether these may be other ones by now …
    is_unsure_of_uses: bool,
    /// … or say something else.
    are_uses_old: bool,
    pub(super) knots: Knots,
    pub(super) common: BTreeSet<Slot>,
    /// What scenes list, and the words of it.
    pub(super) listed: Listed,
    pub(super) listed_words: Arc<BTreeSet<Arc<str>>>,
    /// Stanzas that belong to no wiring.
    pub(super) loose: BTreeSet<Slot>,
    pub(super) parts: BTreeMap<usize, Part>,
    next: usize,
    /// Stanzas as they were read, until their part has been looked at.
    pub(super) trees: FxHashMap<Slot, Arc<Stanza>>,
    /// Parts that have to be analysed.
    pub(super) fresh: BTreeSet<usize>,
    /// Parts whose checks may have to be run again.
    pub(super) unsure: BTreeSet<usize>,
    /// Parts with findings.
    pub(super) speaking: BTreeSet<usize>,
    /// Parts with names that lead nowhere.
    pub(super) asking: BTreeSet<usize>,
    pub(super) totals: Totals,
    /// How often these have changed.
    pub(super) counts: u64,
    pub(super) handed: Handed,
    /// How often the totals had changed then; `None` where it has to be looked at again.
    pub(super) handed_with: Option<u64>,
    /// All that is in no other part; or the whole plan, where it is not to be cut.
    pub(super) rest: Option<Seen>,
    /// Stanzas that are other ones than those that the rest was read with.
    pub(super) stale: FxHashSet<Slot>,
    /// What the rest was looked at with, and how often that had changed; `None` where it has to be looked at again.
    pub(super) rest_with: Option<(u64, Totals)>,
    /// The parts that the rest has taken in.
    pub(super) taken_in: BTreeSet<usize>,
    pub(super) is_whole: bool,
    /// Parts that somebody has looked at lately.
    pub(super) looked_at: VecDeque<usize>,
    /// The one that was looked at last, until those beside it are.
    pub(super) looked_from: Option<usize>,
    /// What a plan that is one part was before.
    pub(super) recent: VecDeque<Seen>,
    /// What parts said before: to take a change back costs nothing.
    pub(super) past: VecDeque<Past>,
    common_words: Arc<str>,
    /// Stanzas that were read lately, and their ties once these are known.
    lately: Lately,
    /// What stanzas that are alike but for their names have in common.
    casts: Arc<Casts>,
    /// What parts said that others may be like.
    pub(super) alike: Alike,
}

impl Parts {
    /// An empty plan of this name.
    pub fn new(key: FileKey) -> Parts {
        Parts {
            key,
            text: Lines::default(),
            sheets: vec![Sheet::default()],
            kept: Vec::new(),
            free: Vec::new(),
            used: Used::default(),
            is_unsure_of_uses: false,
            are_uses_old: false,
            knots: Knots::default(),
            common: BTreeSet::new(),
            listed: Listed::new(),
            listed_words: Arc::default(),
            loose: BTreeSet::new(),
            parts: BTreeMap::new(),
            next: 0,
            trees: FxHashMap::default(),
            fresh: BTreeSet::new(),
            unsure: BTreeSet::new(),
            speaking: BTreeSet::new(),
            asking: BTreeSet::new(),
            totals: Totals::default(),
            counts: 0,
            handed_with: None,
            handed: Handed::default(),
            rest: None,
            stale: FxHashSet::default(),
            rest_with: None,
            taken_in: BTreeSet::new(),
            is_whole: false,
            looked_at: VecDeque::new(),
            looked_from: None,
            recent: VecDeque::new(),
            past: VecDeque::new(),
            common_words: "".into(),
            lately: Lately::new(),
            casts: Arc::default(),
            alike: Alike::default(),
        }
    }

    /// Takes in what the text is now; `touched` says where it was changed since, if that is known, and `sources` has the files
    /// that it uses. False where it was stopped: what was not done is done the next time.
    pub fn update(
        &mut self,
        now: &Lines,
        touched: Option<Touched>,
        sources: &dyn Sources,
        patience: &Patience,
    ) -> bool {
        let own = &self.sheets[OWN];
        match touched.filter(|_| !own.order.is_empty()) {
            Some(touched) => {
                let mut lately = std::mem::take(&mut self.lately);
                let text = |index: usize| self.text_of(self.sheets[OWN].order[index]);
                let mut read = |text: &str| read_lately(&mut lately, &self.casts, text);
                let starts = &self.sheets[OWN].starts;
                let replaced = read_edit(starts, &text, now, touched, &mut read);
                self.lately = lately;
                let before = std::mem::replace(&mut self.text, now.clone());
                let before =
                    |start: u32, length: u32| before.slice(Span::new(start, start + length));
                let new = replaced.new.into_iter().map(Read::from);
                self.replace(OWN, &before, replaced.at, replaced.gone, new);
            }
            None => {
                let gone = own.order.len();
                self.text = now.clone();
                let text = now.slice(Span::between(0, now.bytes()));
                let texts: Vec<&str> = stanza_texts(&text).collect();
                let casts = self.casts.clone();
                read_all(&texts, &casts, |read| {
                    self.replace(OWN, &no_text, 0, gone, read);
                });
            }
        }
        self.take_in_used(sources, patience) && self.look(patience)
    }

    /// The files that are used may say something else by now.
    pub fn forget_uses(&mut self) {
        self.are_uses_old = true;
    }

    /// Reads what the plan uses, where that may be something else by now. False where it was stopped.
    fn take_in_used(&mut self, sources: &dyn Sources, patience: &Patience) -> bool {
        if !self.is_unsure_of_uses && !self.are_uses_old {
            return true;
        }
        let uses = self.uses();
        let has_none = uses.is_empty() && !self.uses_files();
        if has_none || !self.are_uses_old && self.knows_uses(&uses) {
            (self.is_unsure_of_uses, self.are_uses_old) = (false, false);
            return true;
        }
        if !patience.may_begin(usize::MAX) {
            return false;
        }
        if let Some(used) = self.read_uses(&uses, sources) {
            let own = self.common.iter().map(|slot| self.of(*slot));
            let own = own.filter(|kept| kept.file == 0);
            let own = own.filter_map(|kept| kept.tree.as_ref());
            let others = used
                .files
                .iter()
                .skip(1)
                .flat_map(|file| &file.tree.stanzas);
            let listed = lists(own.chain(others.map(|placed| &placed.stanza)));
            match listed == self.listed && self.used.differs_in_texts_alone(&used) {
                true => self.replace_used(Arc::new(used)),
                false => self.start_anew(listed, Arc::new(used)),
            }
        }
        (self.is_unsure_of_uses, self.are_uses_old) = (false, false);
        true
    }

    /// The stanza at an offset of a file.
    pub(super) fn at(&self, file: FileId, offset: u32) -> Option<Slot> {
        let sheet = self.sheets.get(file.0)?;
        let after = sheet.starts.partition_point(|start| *start <= offset);
        sheet.order.get(after.checked_sub(1)?).copied()
    }

    /// The word of the stanza at an offset of a file.
    pub fn word_at(&self, file: FileId, offset: u32) -> Option<StanzaWord> {
        self.of(self.at(file, offset)?).word
    }

    /// Where a stanza begins in its file.
    pub(super) fn start_of(&self, slot: Slot) -> u32 {
        let kept = self.of(slot);
        self.sheets[kept.file as usize].starts[kept.index as usize]
    }

    /// The line of its file in which a stanza begins.
    pub(super) fn line_of(&self, slot: Slot) -> u32 {
        let kept = self.of(slot);
        self.sheets[kept.file as usize].lines[kept.index as usize]
    }

    /// The stanzas of a file.
    pub(super) fn slots_of(&self, file: FileId) -> &[Slot] {
        self.sheets.get(file.0).map_or(&[], |sheet| &sheet.order)
    }

    /// All stanzas.
    pub(super) fn slots(&self) -> Vec<Slot> {
        let each = self.sheets.iter().map(|sheet| sheet.order.as_slice());
        each.collect::<Vec<_>>().concat()
    }

    /// The file of a stanza, and its place there.
    pub(super) fn standing(&self, slot: Slot) -> (u32, u32) {
        let kept = self.of(slot);
        (kept.file, kept.index)
    }

    pub(super) fn of(&self, slot: Slot) -> &Kept {
        self.kept[slot as usize]
            .as_ref()
            .unwrap_or_else(|| unreachable!("a stanza of the plan is kept"))
    }

    pub(super) fn all(&self) -> impl Iterator<Item = &Kept> {
        self.kept.iter().flatten()
    }

    pub(super) fn is_there(&self, slot: Slot) -> bool {
        self.kept.get(slot as usize).is_some_and(Option::is_some)
    }

    pub(super) fn is_common(&self, slot: Slot) -> bool {
        self.of(slot).kind == Kind::Common
    }

    pub(super) fn scenes(&self) -> usize {
        let words = self.common.iter().map(|slot| self.of(*slot).word);
        words
            .filter(|word| *word == Some(StanzaWord::Scene))
            .count()
    }

    /// A stanza of the plan's own file as it is written.
    fn text_of(&self, slot: Slot) -> Cow<'_, str> {
        let (start, length) = (self.start_of(slot), self.of(slot).length);
        self.text.piece(Span::new(start, start + length))
    }

    /// A stanza as it reads; `had` is it, where it was read before.
    pub(super) fn tree<'a>(
        &'a self,
        slot: Slot,
        had: impl FnOnce() -> Option<&'a Arc<Stanza>>,
    ) -> Arc<Stanza> {
        let kept = self.of(slot);
        if kept.file != 0 {
            return self.used.stanza(kept.file, kept.index).clone();
        }
        let known = kept.tree.as_ref();
        let known = known.or_else(|| self.trees.get(&slot));
        match known.or_else(had) {
            Some(tree) => {
                debug_assert_eq!(
                    *tree.text,
                    self.text_of(slot),
                    "it was read when it was another"
                );
                tree.clone()
            }
            None => match kept.mould.upgrade() {
                Some(mould) => mould.read(&self.text_of(slot)),
                None => self.casts.read(&self.text_of(slot), Facts::of),
            },
        }
    }

    /// Puts stanzas of a file in the place of others. `before` gives words of the text that had those, by their start and
    /// their length.
    pub(super) fn replace<'a>(
        &mut self,
        file: usize,
        before: &dyn Fn(u32, u32) -> String,
        at: usize,
        mut gone: usize,
        new: impl IntoIterator<Item = Read<'a>>,
    ) {
        // What has no word of the language belongs to what it stands behind, and that may be another one now.
        let mut behind = Vec::new();
        let sheet = &self.sheets[file];
        while let Some(next) = sheet.order.get(at + gone).map(|slot| self.of(*slot)) {
            if next.word.is_some() || at + gone == 0 {
                break;
            }
            let start = sheet.starts[at + gone];
            let text = before(start, next.length).into();
            behind.push(Read::from(Arc::new(read_stanza(text))));
            gone += 1;
        }
        let above = at
            .checked_sub(1)
            .map(|above| (above, self.of(sheet.order[above])));
        let first = above.map_or((0, 0), |(above, kept)| {
            (
                sheet.starts[above] + kept.length,
                sheet.lines[above] + kept.lines,
            )
        });
        let mut kind_above = above.map_or(Kind::Common, |(_, kept)| kept.kind);
        let mut coming: Vec<(Kept, Option<Arc<Stanza>>)> = Vec::new();
        let mut held = self.trees.len();
        for read in new.into_iter().chain(behind) {
            let (mut kept, stanza) = self.kept(read, kind_above);
            kept.file = index(file);
            kind_above = kept.kind;
            let stanza = stanza.filter(|_| kept.kind != Kind::Common && held < MOST_TREES);
            held += usize::from(stanza.is_some());
            coming.push((kept, stanza));
        }
        self.remember_past(file, at, gone);
        if !self.put_in_place(file, at, gone, first, &mut coming) {
            self.put_anew(file, at, gone, first, coming);
        }
    }

    /// What is kept of a stanza, and itself where it has been read.
    fn kept(&mut self, read: Read, kind_above: Kind) -> (Kept, Option<Arc<Stanza>>) {
        let mut known = Weak::new();
        let (kind, word, name, (tied, form), stanza) = match read.what {
            What::Stanza(stanza, ties) => {
                let kind = match stanza.word {
                    None => kind_above,
                    Some(_) => kind(&stanza),
                };
                let name = stanza.name().map(|(name, _)| name.clone());
                let tied = self.tied_lately(&stanza, ties, kind);
                (kind, stanza.word, name, tied, Some(stanza))
            }
            What::Alike(mould, names, stanza) => {
                let Some(facts) = &mould.found else {
                    unreachable!("what has no facts is taken in as a stanza")
                };
                known = Arc::downgrade(&mould);
                let (name, tied) = self.tied_alike(facts, &names);
                (facts.kind, Some(facts.word), name, tied, stanza)
            }
        };
        let kept = Kept {
            kind,
            word,
            name,
            tied,
            form,
            words: read.words,
            length: read.length,
            lines: read.lines,
            file: 0,
            index: 0,
            part: NOWHERE,
            tree: stanza.clone().filter(|_| kind == Kind::Common),
            mould: known,
        };
        (kept, stanza)
    }

    /// The ties of a stanza, and what it is but for its names.
    fn tied_lately(
        &mut self,
        stanza: &Arc<Stanza>,
        ties: Option<(Ties, Option<Form>)>,
        kind: Kind,
    ) -> (Tied, Option<Numbered>) {
        let mut lately = self.lately.iter();
        let lately = lately.position(|(_, read, _)| Arc::ptr_eq(read, stanza));
        if let Some(known) = lately.and_then(|at| self.lately[at].2.clone()) {
            return known;
        }
        let (ties, form) = ties.unwrap_or_else(|| Read::ties(stanza));
        let form = form.map(|form| form.numbered(|name| self.knots.number(name)));
        let tied = (self.tied(ties, kind), form);
        if let Some(at) = lately.filter(|_| stanza.word.is_some()) {
            self.lately[at].2 = Some(tied.clone());
        }
        tied
    }

    /// The same of a stanza with these names that is like others, and its name.
    fn tied_alike(
        &mut self,
        facts: &Facts,
        names: &[&str],
    ) -> (Option<Name>, (Tied, Option<Numbered>)) {
        let number = |whose: &Whose| match whose {
            Whose::Common(_, key) => self.knots.number(key),
            Whose::Own(nth) => self.knots.number_of(&small(names[*nth])),
        };
        let knots: Box<[Knot]> = facts.names.iter().map(number).collect();
        let own = facts.own.map(|own| knots[own]);
        let name = facts.own.map(|own| match &facts.names[own] {
            Whose::Common(name, _) => name.clone(),
            Whose::Own(nth) => {
                let written = names[*nth];
                let known = self.knots.name(knots[own]);
                let known = known.filter(|name| &***name == written);
                Name(known.cloned().unwrap_or_else(|| written.into()))
            }
        });
        let listing = name.as_ref().filter(|_| !self.listed.is_empty());
        let listing = listing.and_then(|name| self.listed.get(&key(&name.0)));
        let by_scenes = listing.iter().flat_map(|listing| &listing.ties);
        let by_scenes = by_scenes.map(|tie| self.knots.number(tie));
        let tied = Tied::of(own.into_iter().chain(by_scenes), &knots);
        let form = facts.form.map(|words| Numbered {
            words,
            names: knots,
        });
        (name, (tied, form))
    }

    fn tied(&mut self, mut ties: Ties, kind: Kind) -> Tied {
        if kind == Kind::Common {
            ties.mentions.clear();
        } else {
            let by_scenes = ties.defines.iter().filter_map(|name| self.listed.get(name));
            let by_scenes = by_scenes.flat_map(|listing| &listing.ties);
            let by_scenes: Vec<Arc<str>> = by_scenes.cloned().collect();
            ties.defines.extend(by_scenes);
        }
        self.knots.of(&ties)
    }

    /// Where each new stanza has the ties of the one in its place, nothing has to be cut. False where it is not so.
    fn put_in_place(
        &mut self,
        file: usize,
        at: usize,
        gone: usize,
        first: (u32, u32),
        coming: &mut Vec<(Kept, Option<Arc<Stanza>>)>,
    ) -> bool {
        let alike = |(k, (new, _)): (usize, &(Kept, Option<Arc<Stanza>>))| {
            let old = self.of(self.sheets[file].order[at + k]);
            let is_scene = |kept: &Kept| kept.word == Some(StanzaWord::Scene);
            (old.kind, &old.tied, old.word.is_some()) == (new.kind, &new.tied, new.word.is_some())
                && !is_scene(old)
                && !is_scene(new)
        };
        if gone != coming.len() || !coming.iter().enumerate().all(alike) {
            return false;
        }
        let (mut start, mut line) = first;
        let (mut grown, mut lines) = (0u32, 0u32);
        for (k, (mut new, tree)) in coming.drain(..).enumerate() {
            let slot = self.sheets[file].order[at + k];
            self.stale.insert(slot);
            let old = self.of(slot);
            (new.index, new.part) = (old.index, old.part);
            grown = grown.wrapping_add(new.length).wrapping_sub(old.length);
            lines = lines.wrapping_add(new.lines).wrapping_sub(old.lines);
            let sheet = &mut self.sheets[file];
            (sheet.starts[at + k], sheet.lines[at + k]) = (start, line);
            (start, line) = (start + new.length, line + new.lines);
            let (kind, part) = (new.kind, new.part);
            self.count_words(part, slot, &new);
            match tree {
                Some(tree) => self.trees.insert(slot, tree),
                None => self.trees.remove(&slot),
            };
            self.kept[slot as usize] = Some(new);
            if kind == Kind::Common {
                self.spoil_all();
                self.common_is_new();
            } else {
                self.spoil(part);
                if let Some(part) = self.parts.get_mut(&part) {
                    part.outdated.push(slot);
                }
            }
        }
        self.sheets[file].move_behind(at + gone, grown, lines);
        true
    }

    fn put_anew(
        &mut self,
        file: usize,
        at: usize,
        gone: usize,
        first: (u32, u32),
        coming: Vec<(Kept, Option<Arc<Stanza>>)>,
    ) {
        let going: Vec<Slot> = self.sheets[file].order[at..at + gone].to_vec();
        let mut knots: BTreeSet<Knot> = BTreeSet::new();
        let mut touched: BTreeSet<usize> = BTreeSet::new();
        let mut all_anew = false;
        let mut lost = (0, 0);
        if let Some(above) = at.checked_sub(1) {
            touched.insert(self.of(self.sheets[file].order[above]).part);
        }
        for slot in &going {
            let Some(old) = self.kept[*slot as usize].take() else {
                continue;
            };
            all_anew |= old.kind == Kind::Common;
            lost = (lost.0 + old.length, lost.1 + old.lines);
            touched.insert(old.part);
            self.knots.tie(*slot, &old.tied, old.is_stock(), false);
            knots.extend(old.tied.knots);
            self.loose.remove(slot);
            self.common.remove(slot);
            self.trees.remove(slot);
        }
        let mut slots: Vec<Slot> = Vec::with_capacity(coming.len());
        self.stale.reserve(coming.len());
        let (mut starts, mut lines) = (Vec::new(), Vec::new());
        let (mut start, mut line) = first;
        for (k, (mut kept, tree)) in coming.into_iter().enumerate() {
            starts.push(start);
            lines.push(line);
            (start, line) = (start + kept.length, line + kept.lines);
            kept.index = index(at + k);
            all_anew |= kept.kind == Kind::Common;
            let slot = self.free_slot();
            self.stale.insert(slot);
            self.knots.tie(slot, &kept.tied, kept.is_stock(), true);
            if kept.kind == Kind::Common {
                self.common.insert(slot);
            }
            self.trees.extend(tree.map(|tree| (slot, tree)));
            self.kept[slot as usize] = Some(kept);
            slots.push(slot);
        }
        let behind = at + slots.len();
        let is_moved = gone != slots.len();
        let sheet = &mut self.sheets[file];
        sheet.order.splice(at..at + gone, slots.iter().copied());
        sheet.starts.splice(at..at + gone, starts);
        sheet.lines.splice(at..at + gone, lines);
        let grown = |now: u32, first: u32, lost: u32| now.wrapping_sub(first).wrapping_sub(lost);
        sheet.move_behind(
            behind,
            grown(start, first.0, lost.0),
            grown(line, first.1, lost.1),
        );
        if is_moved {
            for (k, slot) in sheet.order.iter().enumerate().skip(behind) {
                if let Some(kept) = &mut self.kept[*slot as usize] {
                    kept.index = index(k);
                }
            }
        }
        if all_anew {
            let common = self.common.iter();
            let trees = common.filter_map(|slot| self.of(*slot).tree.as_ref());
            let listed = lists(trees);
            // What is used is looked through when all of it is there.
            if file == OWN && listed != self.listed {
                return self.start_anew(listed, self.used.plan().clone());
            }
            self.spoil_all();
            self.past.clear();
            self.common_is_new();
            let all = self.parts.keys().copied().collect();
            self.cut(self.slots(), all);
        } else {
            let tied = slots.iter().flat_map(|slot| &self.of(*slot).tied.knots);
            knots.extend(tied);
            let mut slots: BTreeSet<Slot> = slots.into_iter().collect();
            for knot in knots {
                slots.extend(self.knots.tied_by(knot));
            }
            touched.extend(slots.iter().map(|slot| self.of(*slot).part));
            for part in touched.iter().filter_map(|part| self.parts.get(part)) {
                slots.extend(part.slots.iter().filter(|slot| self.is_there(**slot)));
            }
            self.cut(slots.into_iter().collect(), touched);
        }
        // Only now, lest a new stanza be taken for an old one.
        self.free.extend(going);
    }

    fn free_slot(&mut self) -> Slot {
        self.free.pop().unwrap_or_else(|| {
            self.kept.push(None);
            index(self.kept.len() - 1)
        })
    }

    /// Whether all that scenes list is there, in these very letters, and no stock.
    pub(super) fn is_there_what_scenes_list(&self) -> bool {
        self.listed.iter().all(|(key, listing)| {
            let names = self.knots.definers(key).map(|slot| &self.of(slot).name);
            let names: HashSet<&str> = names.flatten().map(|name| first_word(&name.0)).collect();
            listing.words.iter().all(|word| names.contains(&**word))
        })
    }

    /// Scenes list other names, or other files are used: all ties are other ones.
    fn start_anew(&mut self, listed: Listed, used: Arc<Plan>) {
        let is_as_before = Arc::ptr_eq(self.used.plan(), &used);
        let mut recent = std::mem::take(&mut self.recent);
        recent.extend(self.rest.take());
        let mut anew = Parts::new(self.key.clone());
        anew.text = self.text.clone();
        let words = listed.values().flat_map(|listing| &listing.words);
        anew.listed_words = Arc::new(words.cloned().collect());
        anew.listed = listed;
        anew.are_uses_old = self.are_uses_old;
        anew.casts = self.casts.clone();
        anew.knots.list(anew.listed.keys());
        anew.use_files(used);
        let own = self.sheets[OWN].order.iter();
        let trees = own.map(|slot| Read::from(self.tree(*slot, || None)));
        // With the lists known, this does not come here again.
        anew.replace(OWN, &no_text, 0, 0, trees);
        let uses = anew.uses().into_iter();
        anew.come_by(uses.map(|(slot, _)| slot).collect());
        if is_as_before {
            anew.recent = recent;
            anew.forget_old();
        }
        *self = anew;
    }

    /// Takes in the stanzas of the files that are used, before any of the plan's own.
    fn use_files(&mut self, used: Arc<Plan>) {
        for (nth, file) in used.files.iter().enumerate().skip(1) {
            let mut kind_above = Kind::Common;
            let mut sheet = Sheet::default();
            let mut line = 0;
            for (k, placed) in file.tree.stanzas.iter().enumerate() {
                let (mut kept, _) = self.kept(Read::from(placed.stanza.clone()), kind_above);
                kind_above = kept.kind;
                (kept.file, kept.index) = (index(nth), index(k));
                let slot = self.free_slot();
                self.knots.tie(slot, &kept.tied, kept.is_stock(), true);
                match kept.kind {
                    Kind::Common => self.common.insert(slot),
                    _ => self.loose.insert(slot),
                };
                sheet.starts.push(placed.start);
                sheet.lines.push(line);
                sheet.order.push(slot);
                line += kept.lines;
                self.kept[slot as usize] = Some(kept);
            }
            self.sheets.push(sheet);
        }
        self.used = Used::of(used);
    }

    /// Cuts these stanzas into parts anew, in the place of the parts that were.
    fn cut(&mut self, mut slots: Vec<Slot>, old: BTreeSet<usize>) {
        for id in old {
            self.take_out(id);
        }
        slots.retain(|slot| !self.is_common(*slot));
        slots.sort_unstable_by_key(|slot| self.standing(*slot));
        let mut above = None;
        let tied: Vec<(&Tied, bool)> = (slots.iter())
            .map(|slot| {
                let kept = self.of(*slot);
                let behind = |(file, index)| (file, index + 1) == self.standing(*slot);
                let with_above = kept.word.is_none() && above.is_some_and(behind);
                above = Some(self.standing(*slot));
                (&kept.tied, with_above)
            })
            .collect();
        for group in groups(&self.knots, &tied) {
            let slots: Vec<Slot> = group.into_iter().map(|k| slots[k]).collect();
            let has_wiring = slots.iter().any(|slot| self.of(*slot).kind == Kind::Wiring);
            let id = if has_wiring { self.next } else { NOWHERE };
            for slot in &slots {
                if let Some(kept) = &mut self.kept[*slot as usize] {
                    kept.part = id;
                }
                if has_wiring {
                    self.loose.remove(slot);
                }
            }
            if has_wiring {
                self.next += 1;
                let part = Part {
                    slots,
                    ..Part::default()
                };
                self.parts.insert(id, part);
                self.fresh.insert(id);
            } else {
                self.loose.extend(slots);
            }
        }
        self.rest_with = None;
    }

    /// What a part says holds no more.
    pub(super) fn spoil(&mut self, id: usize) {
        if self.taken_in.contains(&id) || !self.parts.contains_key(&id) {
            self.rest_with = None;
        }
        let Some(part) = self.parts.get_mut(&id) else {
            return;
        };
        part.is_current = false;
        if let Some(told) = part.told.take() {
            part.counted = Some(told.summary.clone());
        }
        self.unsure.remove(&id);
        self.speaking.remove(&id);
        self.asking.remove(&id);
        self.fresh.insert(id);
    }

    fn spoil_all(&mut self) {
        for id in self.parts.keys().copied().collect::<Vec<_>>() {
            self.spoil(id);
        }
        self.rest_with = None;
    }

    /// What a part that is fresh said is not counted any more.
    pub(super) fn uncount(&mut self, id: usize) {
        let part = self.parts.get_mut(&id);
        if let Some(summary) = part.and_then(|part| part.counted.take()) {
            self.totals.remove(&summary);
            self.counts += 1;
        }
    }

    /// What a part says is counted in the place of what it said.
    pub(super) fn count(&mut self, id: usize, summary: &Summary) {
        let counted = self.parts.get_mut(&id).and_then(|part| part.counted.take());
        if counted.as_ref().is_some_and(|had| had.counts_as(summary)) {
            return;
        }
        if let Some(had) = counted {
            self.totals.remove(&had);
        }
        self.totals.add(summary);
        self.counts += 1;
    }

    /// How many strips there are besides those of a part that is fresh.
    pub(super) fn other_strips(&self, id: usize) -> usize {
        let part = self.parts.get(&id);
        let counted = part.and_then(|part| part.counted.as_ref());
        self.totals.strips - counted.map_or(0, |counted| counted.strips)
    }

    /// A part is no more; what was read of its stanzas stays.
    fn take_out(&mut self, id: usize) {
        self.spoil(id);
        self.uncount(id);
        self.fresh.remove(&id);
        self.taken_in.remove(&id);
        let Some(part) = self.parts.remove(&id) else {
            return;
        };
        let seen = part
            .seen
            .iter()
            .flat_map(|seen| seen.slots.all.iter().zip(&seen.stanzas));
        for (slot, tree) in seen.filter(|(slot, _)| !part.outdated.contains(slot)) {
            if self.is_there(*slot) && !self.is_common(*slot) {
                self.trees.entry(*slot).or_insert_with(|| tree.clone());
            }
        }
    }

    /// Keeps what is said of the parts that these stanzas belong to, in the text as it was.
    fn remember_past(&mut self, file: usize, at: usize, gone: usize) {
        /// More at a time is no slip that is taken back at once.
        const FEW: usize = 4;
        let parts = self.sheets[file].order[at..at + gone]
            .iter()
            .map(|slot| self.of(*slot).part);
        let mut parts: Vec<usize> = parts.take(FEW).collect();
        parts.dedup();
        for id in parts {
            let part = self.parts.get(&id);
            let Some(told) = part.and_then(|part| part.told.clone()) else {
                continue;
            };
            let Some(words) = self.words_of(id) else {
                continue;
            };
            let common = self.common_words();
            self.past.push_front(Past {
                words,
                common,
                told,
            });
        }
        let said = |past: &Past| past.told.findings.len();
        keep_recent(&mut self.past, REMEMBERED, REMEMBERED_FINDINGS, said);
    }

    /// The stanzas of a part with what is common.
    pub(super) fn slots_with_common(&self, part: &Part) -> Arc<Slots> {
        let all = part
            .all
            .get_or_init(|| Arc::new(self.with_common(&part.slots)));
        debug_assert_eq!(**all, self.with_common(&part.slots));
        all.clone()
    }

    /// What the words of a part's own stanzas are known by, each in its place among what is common.
    pub(super) fn words_of(&mut self, id: usize) -> Option<Words> {
        let part = self.parts.get(&id)?;
        let counted = || {
            let all = self.slots_with_common(part);
            let each = all.all.iter().enumerate();
            let each = each.map(|(nth, slot)| words_in_place(self.of(*slot), nth));
            each.fold(Words::default(), |(a, b), (c, d)| {
                (a.wrapping_add(c), b.wrapping_add(d))
            })
        };
        let words = part.words.unwrap_or_else(counted);
        debug_assert_eq!(words, counted());
        self.parts.get_mut(&id)?.words = Some(words);
        Some(words)
    }

    /// A stanza of a part is to be another one.
    fn count_words(&mut self, part: usize, slot: Slot, new: &Kept) {
        let Some(known) = self.parts.get(&part).filter(|part| part.words.is_some()) else {
            return;
        };
        let all = self.slots_with_common(known);
        let nth = all.all.iter().position(|one| *one == slot);
        let change = nth.map(|nth| {
            let (gone, come) = (words_in_place(self.of(slot), nth), words_in_place(new, nth));
            (come.0.wrapping_sub(gone.0), come.1.wrapping_sub(gone.1))
        });
        if let Some(part) = self.parts.get_mut(&part) {
            let words = part.words.zip(change);
            part.words = words.map(|((a, b), (c, d))| (a.wrapping_add(c), b.wrapping_add(d)));
        }
    }

    /// The words of what is common.
    pub(super) fn common_words(&self) -> Arc<str> {
        self.common_words.clone()
    }

    fn common_is_new(&mut self) {
        self.alike.clear();
        self.is_unsure_of_uses = true;
        let mut common: Vec<&Kept> = self.common.iter().map(|slot| self.of(*slot)).collect();
        common.sort_unstable_by_key(|kept| (kept.file, kept.index));
        let trees = common.into_iter().filter_map(|kept| kept.tree.as_ref());
        let words: String = trees.map(|tree| &*tree.text).collect();
        self.common_words = words.into();
    }
}

/// What a stanza counts for in what the words of its part are known by.
fn words_in_place(kept: &Kept, nth: usize) -> Words {
    match kept.kind {
        Kind::Common => Words::default(),
        _ => in_place(
            (kept.words.0, kept.words.1.wrapping_add(kept.file.into())),
            nth,
        ),
    }
}

/// What scenes list: each name with the ties that it makes.
fn lists<'a>(trees: impl Iterator<Item = &'a Arc<Stanza>>) -> Listed {
    let mut lists = Listed::new();
    for scene in trees {
        let (Some(StanzaWord::Scene), Some((name, _))) = (scene.word, scene.name()) else {
            continue;
        };
        for word in listed(scene) {
            let listing = lists.entry(key(&word)).or_default();
            listing.words.insert(word);
            let tie = format!("scene {}", name.0);
            listing.ties.insert(tie.into());
        }
    }
    lists
}

/// Where all stanzas go, none is asked for.
fn no_text(_: u32, _: u32) -> String {
    String::new()
}

fn index(place: usize) -> u32 {
    u32::try_from(place).unwrap_or(u32::MAX)
}
