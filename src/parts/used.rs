//! The files that a plan uses. Their stanzas belong to parts as those of the plan's own file do; they are read again, and all is
//! cut anew, where other files are used or one of them has changed.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::cut::Parts;
use super::part::{Slot, Slots};
use crate::plan::{Excerpt, FileId, FileKey, Plan, Problem, Sources, StanzaId};
use crate::syntax::tree::{Placed, Stanza};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Lines;

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
    slots: Vec<Slot>,
    /// The place of each stanza among all that one `use` of the plan's own file brings in.
    ranks: Vec<u32>,
    /// That `use`.
    from: Slot,
    /// The `use` that brings in the file itself.
    by: Slot,
}

impl Used {
    /// What was read: where its stanzas are kept.
    pub fn of(plan: Arc<Plan>, slots: Vec<Vec<Slot>>) -> Used {
        let files = plan.files.iter().skip(1).zip(slots);
        let files = files.map(|(file, slots)| UsedFile {
            lines: Lines::new(&file.text),
            ranks: vec![0; slots.len()],
            slots,
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

    /// Where the `use` stanzas of the plan's own file are kept.
    pub fn come_by(&mut self, by: Vec<Slot>) {
        self.by = by;
        let plan = self.plan.clone();
        let (mut from, mut rank) = (0, 0);
        let mut above = 0;
        for id in &plan.order {
            let Some(slot) = self.slot(*id) else { continue };
            match id.file.0.checked_sub(1) {
                None => (from, rank) = (slot, 0),
                Some(nth) => {
                    rank += 1;
                    let file = &mut self.files[nth];
                    file.ranks[id.index] = rank;
                    if id.index == 0 {
                        (file.from, file.by) = (from, above);
                    }
                }
            }
            above = slot;
        }
        let problems = plan.problems.iter();
        let problems = problems.filter_map(|problem| Some((self.slot(problem.stanza)?, problem)));
        self.problems = problems.map(|(slot, p)| (slot, p.clone())).collect();
    }

    fn slot(&self, id: StanzaId) -> Option<Slot> {
        let slots = match id.file.0.checked_sub(1) {
            None => &self.by,
            Some(nth) => &self.files.get(nth)?.slots,
        };
        slots.get(id.index).copied()
    }

    /// What was read.
    pub fn plan(&self) -> &Arc<Plan> {
        &self.plan
    }

    /// Whether nothing is used.
    pub fn is_none(&self) -> bool {
        self.by.is_empty()
    }

    /// The lines of each file but the plan's own.
    pub fn lines(&self) -> impl Iterator<Item = &Lines> {
        self.files.iter().map(|file| &file.lines)
    }

    /// The stanzas of one of them.
    pub fn slots_of(&self, file: FileId) -> &[Slot] {
        let nth = file.0.checked_sub(1);
        let file = nth.and_then(|nth| self.files.get(nth));
        file.map_or(&[], |file| &file.slots)
    }

    /// The stanzas of all of them.
    pub fn slots(&self) -> impl Iterator<Item = Slot> + '_ {
        self.files
            .iter()
            .flat_map(|file| file.slots.iter().copied())
    }

    /// The stanza at an offset of a file.
    pub fn at(&self, file: FileId, offset: u32) -> Option<Slot> {
        let nth = file.0.checked_sub(1)?;
        let stanzas = &self.plan.files.get(file.0)?.tree.stanzas;
        let after = stanzas.partition_point(|placed| placed.start <= offset);
        let slots = &self.files.get(nth)?.slots;
        slots.get(after.checked_sub(1)?).copied()
    }

    /// A stanza of a file as it was read.
    pub fn placed(&self, file: u32, index: u32) -> &Placed {
        &self.plan.files[file as usize].tree.stanzas[index as usize]
    }

    /// The line in which a stanza of a file begins.
    pub fn line(&self, file: u32, index: u32) -> u32 {
        let start = self.placed(file, index).start as usize;
        let lines = self.files.get(file as usize - 1).map(|file| &file.lines);
        let line = lines.map_or(0, |lines| lines.line_of(start));
        u32::try_from(line).unwrap_or(u32::MAX)
    }
}

impl Parts {
    /// Whether the plan uses other files, or says that it does.
    pub fn uses_files(&self) -> bool {
        !self.used.is_none()
    }

    /// The files of the plan but its own, and their lines.
    pub fn used_files(&self) -> impl Iterator<Item = (&FileKey, &Lines)> {
        let files = self.used.plan().files.iter().skip(1);
        files.map(|file| &file.key).zip(self.used.lines())
    }

    /// The `use` stanzas of the plan's own file, in order.
    pub(super) fn uses(&self) -> Vec<(Slot, Arc<Stanza>)> {
        let mut uses: Vec<(Slot, Arc<Stanza>)> = (self.common.iter())
            .filter(|slot| {
                let kept = self.of(**slot);
                kept.file == 0 && kept.word == Some(StanzaWord::Use)
            })
            .map(|slot| (*slot, self.tree(*slot, &FxHashMap::default())))
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
        let now = Plan::of_uses(self.key.clone(), &stanzas, sources);
        let mut files = now.files.iter().zip(&before.files);
        let is_same = self.knows_uses(uses)
            && now.files.len() == before.files.len()
            && files.all(|(a, b)| (&a.key, &a.text) == (&b.key, &b.text))
            && now.problems == before.problems
            && now.uses == before.uses
            && now.meant == before.meant;
        (!is_same).then_some(now)
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
        let with_stanzas = |(_, file): &(usize, &UsedFile)| !file.slots.is_empty();
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
