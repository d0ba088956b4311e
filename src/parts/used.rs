//! The files that a plan uses. Their stanzas belong to parts as those of the plan's own file do; they are read again, and all is
//! cut anew, where other files are used; where some of them say something else, what stands in the place of what was is enough.

use std::sync::Arc;

use super::cut::Parts;
use super::part::{Slot, Slots};
use super::read::Read;
use crate::plan::{Excerpt, FileId, FileKey, Plan, Problem, Sources, StanzaId};
use crate::syntax::tree::{Placed, Stanza};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::{Lines, Span};

/// What a plan uses.
#[derive(Debug, Default)]
pub(super) struct Used {
    /// All files as they were read; of the plan's own the `use` stanzas alone.
    plan: Arc<Plan>,
    /// Those stanzas.
    by: Vec<Slot>,
    /// The files but for the plan's own.
    files: Vec<UsedFile>,
    /// The `use` stanzas that lead nowhere, and what is wrong with them.
    problems: Vec<(Slot, Problem)>,
}

/// One file.
#[derive(Debug)]
struct UsedFile {
    lines: Lines,
    /// The place of each stanza among all that one `use` of the plan's own file brings in.
    ranks: Vec<u32>,
    /// That `use`.
    from: Slot,
    /// The `use` that brings in the file itself.
    by: Slot,
}

impl Used {
    /// What was read; see then [`Parts::come_by`].
    pub fn of(plan: Arc<Plan>) -> Used {
        let files = plan.files.iter().skip(1);
        let files = files.map(|file| UsedFile {
            lines: Lines::new(&file.text),
            ranks: Vec::new(),
            from: 0,
            by: 0,
        });
        Used {
            files: files.collect(),
            by: Vec::new(),
            problems: Vec::new(),
            plan,
        }
    }

    /// What was read.
    pub fn plan(&self) -> &Arc<Plan> {
        &self.plan
    }

    /// Whether other files were read as the same files in the same order, with nothing else wrong.
    pub fn differs_in_texts_alone(&self, now: &Plan) -> bool {
        let before = &self.plan;
        let keys = |plan: &Plan| plan.files.iter().map(|f| f.key.clone()).collect::<Vec<_>>();
        keys(before) == keys(now)
            && now.problems == before.problems
            && now.uses == before.uses
            && now.meant == before.meant
    }

    /// A stanza of a file as it was read.
    pub fn stanza(&self, file: u32, index: u32) -> &Arc<Stanza> {
        &self.plan.files[file as usize].tree.stanzas[index as usize].stanza
    }
}

impl Parts {
    /// Whether the plan uses other files, or says that it does.
    pub fn uses_files(&self) -> bool {
        !self.used.by.is_empty()
    }

    /// The files of the plan but its own, and their lines.
    pub fn used_files(&self) -> impl Iterator<Item = (&FileKey, &Lines)> {
        let files = self.used.plan().files.iter().skip(1);
        let lines = self.used.files.iter().map(|file| &file.lines);
        files.map(|file| &file.key).zip(lines)
    }

    /// The `use` stanzas of the plan's own file, in order.
    pub(super) fn uses(&self) -> Vec<(Slot, Arc<Stanza>)> {
        let mut uses: Vec<(Slot, Arc<Stanza>)> = (self.common.iter())
            .filter(|slot| {
                let kept = self.of(**slot);
                kept.file == 0 && kept.word == Some(StanzaWord::Use)
            })
            .map(|slot| (*slot, self.tree(*slot, || None)))
            .collect();
        uses.sort_unstable_by_key(|(slot, _)| self.of(*slot).index);
        uses
    }

    /// Whether these are the stanzas by which the files are known.
    pub(super) fn knows_uses(&self, uses: &[(Slot, Arc<Stanza>)]) -> bool {
        let known = self.used.plan.files.first();
        let known = known.iter().flat_map(|file| &file.tree.stanzas);
        let known = known.map(|placed| &placed.stanza.text);
        uses.iter().map(|(slot, _)| slot).eq(&self.used.by)
            && uses.iter().map(|(_, stanza)| &stanza.text).eq(known)
    }

    /// The files that these stanzas lead to; `None` where they are those that are known, and say the same.
    pub(super) fn read_uses(
        &self,
        uses: &[(Slot, Arc<Stanza>)],
        sources: &dyn Sources,
    ) -> Option<Plan> {
        let stanzas: Vec<Arc<Stanza>> = uses.iter().map(|(_, stanza)| stanza.clone()).collect();
        let before = self.used.plan();
        let now = Plan::of_uses(self.key.clone(), &stanzas, before, sources);
        let mut texts = now.files.iter().zip(&before.files);
        let is_same = self.knows_uses(uses)
            && self.used.differs_in_texts_alone(&now)
            && texts.all(|(a, b)| a.text == b.text);
        (!is_same).then_some(now)
    }

    /// Puts the stanzas of used files that are other ones now in the place of those that were.
    pub(super) fn replace_used(&mut self, now: Arc<Plan>) {
        let before = self.used.plan().clone();
        for (nth, file) in now.files.iter().enumerate().skip(1) {
            let old = &before.files[nth];
            if old.text == file.text {
                continue;
            }
            let (then, now) = (&old.tree.stanzas, &file.tree.stanzas);
            let is_same = |(a, b): &(&Placed, &Placed)| a.stanza.text == b.stanza.text;
            let ahead = then.iter().zip(now).take_while(is_same).count();
            let most = then.len().min(now.len()) - ahead;
            let behind = then.iter().rev().zip(now.iter().rev());
            let behind = behind.take(most).take_while(is_same).count();
            let gone = then.len() - ahead - behind;
            let new = now[ahead..now.len() - behind].iter();
            let new = new.map(|placed| Read::from(placed.stanza.clone()));
            let words = |start: u32, length: u32| {
                let words = old.text.get(Span::new(start, start + length).range());
                words.unwrap_or_default().to_owned()
            };
            self.replace(nth, &words, ahead, gone, new);
        }
        let by = self.uses().into_iter().map(|(slot, _)| slot).collect();
        let lines = std::mem::take(&mut self.used.files);
        self.used = Used::of(now);
        for (nth, (file, old)) in self.used.files.iter_mut().zip(lines).enumerate() {
            if before.files[nth + 1].text == self.used.plan.files[nth + 1].text {
                file.lines = old.lines;
            }
        }
        self.come_by(by);
    }

    /// Says where the `use` stanzas of the plan's own file are kept; the stanzas of the other files are kept by now.
    pub(super) fn come_by(&mut self, by: Vec<Slot>) {
        let plan = self.used.plan.clone();
        for (file, source) in self.used.files.iter_mut().zip(plan.files.iter().skip(1)) {
            file.ranks = vec![0; source.tree.stanzas.len()];
        }
        let slot = |id: StanzaId| match id.file.0 {
            0 => by.get(id.index).copied(),
            _ => self.slots_of(id.file).get(id.index).copied(),
        };
        let order: Vec<(StanzaId, Slot)> = (plan.order.iter())
            .filter_map(|id| Some((*id, slot(*id)?)))
            .collect();
        let problems = plan.problems.iter();
        let problems = problems.filter_map(|problem| Some((slot(problem.stanza)?, problem)));
        let problems = problems.map(|(slot, problem)| (slot, problem.clone()));
        self.used.problems = problems.collect();
        self.used.by = by;
        let (mut from, mut rank, mut above) = (0, 0, 0);
        for (id, slot) in order {
            match id.file.0.checked_sub(1) {
                None => (from, rank) = (slot, 0),
                Some(nth) => {
                    rank += 1;
                    let file = &mut self.used.files[nth];
                    file.ranks[id.index] = rank;
                    if id.index == 0 {
                        (file.from, file.by) = (from, above);
                    }
                }
            }
            above = slot;
        }
    }

    /// Where a stanza stands in the order of the plan.
    pub(super) fn place(&self, slot: Slot) -> (u32, u32) {
        let kept = self.of(slot);
        match (kept.file as usize).checked_sub(1) {
            None => (kept.index, 0),
            Some(nth) => {
                let file = &self.used.files[nth];
                (self.of(file.from).index, file.ranks[kept.index as usize])
            }
        }
    }

    /// Stanzas, file by file.
    pub(super) fn by_file(&self, mut slots: Vec<Slot>) -> Slots {
        slots.sort_unstable_by_key(|slot| self.standing(*slot));
        let files = 1..=self.used.files.len();
        let begins = |file: usize| slots.partition_point(|s| (self.of(*s).file as usize) < file);
        let later = files.map(begins).collect();
        Slots { all: slots, later }
    }

    /// Stanzas of a part, to be read as a plan.
    pub(super) fn excerpt<'a>(&'a self, slots: &Slots, stanzas: &'a [Arc<Stanza>]) -> Excerpt<'a> {
        let plan = self.used.plan();
        let own = stanzas.get(slots.of_file(0)).unwrap_or_default();
        let mut files = vec![(&self.key, own)];
        files.extend(plan.files.iter().enumerate().skip(1).map(|(nth, file)| {
            let own = stanzas.get(slots.of_file(nth)).unwrap_or_default();
            (&file.key, own)
        }));
        let place = |slot: Slot| {
            let key = self.standing(slot);
            let found = slots.all.binary_search_by_key(&key, |s| self.standing(*s));
            let file = FileId(key.0 as usize);
            let index = found.ok()? - slots.of_file(file.0).start;
            Some(StanzaId { file, index })
        };
        let with_stanzas = |(_, file): &(usize, &UsedFile)| !file.ranks.is_empty();
        let brings = self.used.files.iter().enumerate().filter(with_stanzas);
        let brings = brings.filter_map(|(nth, file)| Some((place(file.by)?, FileId(nth + 1))));
        let problems = self.used.problems.iter().filter_map(|(slot, problem)| {
            let mut problem = problem.clone();
            problem.stanza = place(*slot)?;
            let edits = problem.mends.iter_mut().flat_map(|mend| &mut mend.edits);
            edits.for_each(|edit| edit.stanza = problem.stanza);
            Some(problem)
        });
        Excerpt {
            files,
            brings: brings.collect(),
            problems: problems.collect(),
            uses: &plan.uses,
            meant: &plan.meant,
        }
    }
}
