//! Which open files are plans of their own, and what the analysis says about each.
//!
//! A file that another open file uses is looked at as part of that plan; a file that none uses is its own.

use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::{Arc, LazyLock, Mutex, MutexGuard};

use tower_lsp::lsp_types::{self, Url};

use super::convert;
use super::files::{Asked, Disk, FindOpen, PlanFiles};
use super::keys::key_of;
use super::session::{Open, Snapshot, World, lock};
use super::told::{Forms, Written};
use crate::checks::Analysis;
use crate::editor::completion;
use crate::parts::{self, Around, Parts, Stop, View};
use crate::plan::{FileId, FileKey, Sources, UseFailure};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::{Lines, Mark, Span};

/// The parts of each open plan, as they were when they were last looked at.
pub type Kept = Mutex<BTreeMap<FileKey, KeptPlan>>;

/// One of them.
pub struct KeptPlan {
    /// The latest moment that it was looked at for.
    revision: u64,
    mark: Mark,
    parts: Parts,
    forms: Forms,
    used: UsedFiles,
}

/// The files that a plan in parts uses, and what that was found out from.
#[derive(Clone, Default)]
struct UsedFiles {
    asked: Arc<[Asked]>,
    disk: Arc<Disk>,
}

impl UsedFiles {
    /// Whether they still say what they said.
    fn hold(&self, world: &World) -> bool {
        let same = |asked: &Asked| match (&asked.open, &world.text(&asked.key)) {
            (Some(then), Some(now)) => Arc::ptr_eq(then, now),
            (None, None) => true,
            _ => false,
        };
        Arc::ptr_eq(&self.disk, &world.disk) && self.asked.iter().all(same)
    }
}

/// The files that a plan may use, looked for when the first of them is wanted.
struct Files<'a> {
    root: &'a FileKey,
    world: &'a World,
    found: &'a FindOpen<'a>,
    files: OnceCell<PlanFiles<'a>>,
}

impl<'a> Files<'a> {
    fn files(&self) -> &PlanFiles<'a> {
        let (folders, disk) = (&self.world.folders, &self.world.disk);
        let files = || PlanFiles::new(self.root, folders, disk, self.found);
        self.files.get_or_init(files)
    }
}

impl Sources for Files<'_> {
    fn read(&self, from: &FileKey, path: &str) -> Result<(FileKey, Arc<str>), UseFailure> {
        self.files().read(from, path)
    }

    fn beside(&self, from: &FileKey, path: &str) -> Vec<String> {
        self.files().beside(from, path)
    }
}

/// How long somebody can wait.
pub struct Patience<'a> {
    /// Asked now and then whether to give up.
    pub stop: Stop<'a>,
    /// For somebody who must not wait: whether there is still time. Nothing is begun that may take long, and nobody else
    /// is waited for.
    pub short: Option<Stop<'a>>,
}

/// So many stanzas are analysed in no time.
const FEW: usize = 250;

/// So many bytes of new text are read in no time.
const LITTLE: usize = 16 * 1024;

impl Patience<'_> {
    fn lock<'m, T>(&self, mutex: &'m Mutex<T>) -> Option<MutexGuard<'m, T>> {
        match self.short.is_some() {
            true => mutex.try_lock().ok(),
            false => Some(lock(mutex)),
        }
    }
}

/// Worked out when it is first looked at.
type Later = LazyLock<Arc<Analysis>, Box<dyn FnOnce() -> Arc<Analysis> + Send>>;

/// One plan and what is known about it.
pub struct Plan {
    /// All of it in one. A large plan is kept in parts, and this takes its time: look at [`Plan::view`] first.
    pub analysis: Later,
    /// What is to be said, file by file, where the plan is kept up to date.
    told: Vec<(FileId, Arc<Written>)>,
    /// Whether it is kept up to date.
    is_kept: bool,
    is_in_parts: bool,
    uses_files: bool,
    /// Its files, its own first.
    files: Vec<(FileKey, Lines)>,
    /// Its parts, while they are those of this moment …
    kept: Arc<Kept>,
    /// … and when they are of a later one: who asks about a moment that is past shall not have to look at the whole.
    own: LazyLock<Arc<Kept>, Box<dyn FnOnce() -> Arc<Kept> + Send>>,
    /// What it depended on: while all that is the same, it holds.
    mark: Mark,
    used: UsedFiles,
}

/// Whose parts are asked.
#[derive(Clone, Copy)]
enum Whose {
    /// Those that are kept, as long as they are of this moment.
    Kept,
    /// The plan's own.
    Own,
}

fn now(analysis: Arc<Analysis>) -> Later {
    let later: Later = LazyLock::new(Box::new(move || analysis));
    LazyLock::force(&later);
    later
}

/// The analysis of a plan as a whole.
fn whole(root: &FileKey, text: Arc<str>, world: &World) -> Analysis {
    let found = |real: &Path| world.open_at(real);
    let files = PlanFiles::new(root, &world.folders, &world.disk, &found);
    Analysis::of(root.clone(), text, &files, &|| false)
}

impl Plan {
    /// A plan at a moment; `None` where it was stopped or its text is not known.
    fn of(
        root: &FileKey,
        open: &Arc<Open>,
        (revision, world): (u64, &World),
        kept: &Arc<Kept>,
        patience: &Patience,
    ) -> Option<Plan> {
        let stop = patience.stop;
        let document = &open.document;
        let (Ok(mark), Ok(lines)) = (document.mark(), document.lines()) else {
            return None;
        };
        let mut all = patience.lock(kept)?;
        // Who asks about a moment that is past has parts of his own: those that are kept belong to what is there now, and
        // nothing would bring them back.
        let is_of_later = |known: &KeptPlan| {
            let holds = known.mark == mark && (!known.parts.uses_files() || known.used.hold(world));
            known.revision > revision && !holds
        };
        if all.get(root).is_some_and(is_of_later) {
            drop(all);
            return match patience.short {
                Some(_) => None,
                None => Plan::of(root, open, (revision, world), &Arc::default(), patience),
            };
        }
        let known = all.entry(root.clone()).or_insert_with(|| KeptPlan {
            revision,
            mark,
            parts: Parts::new(root.clone()),
            forms: Forms::default(),
            used: UsedFiles::default(),
        });
        known.revision = known.revision.max(revision);
        let KeptPlan {
            revision: _,
            mark: then,
            parts,
            forms,
            used,
        } = known;
        let touched = document.touched_since(*then);
        let size = touched.map_or(lines.bytes(), |touched| touched.new_end - touched.start);
        if patience.short.is_some() && size > LITTLE {
            return None;
        }
        *then = mark;
        let there_is_time = |stanzas: usize| {
            let short = patience.short.as_ref();
            short.is_none_or(|is_time| stanzas < FEW && is_time())
        };
        let in_parts = parts::Patience {
            stop,
            may_begin: &there_is_time,
        };
        if parts.uses_files() && !used.hold(world) {
            parts.forget_uses();
        }
        let sources = Files {
            root,
            world,
            found: &|real| world.open_at(real),
            files: OnceCell::new(),
        };
        let is_done = parts.update(lines, touched, &sources, &in_parts);
        if let Some(files) = sources.files.into_inner() {
            *used = UsedFiles {
                asked: files.into_asked().into(),
                disk: world.disk.clone(),
            };
        }
        if !is_done {
            return None;
        }
        let analysis: Later = match parts.whole() {
            Some(whole) => now(whole),
            None => {
                let (root, open, world) = (root.clone(), open.clone(), world.clone());
                LazyLock::new(Box::new(move || {
                    let text = open
                        .document
                        .text()
                        .cloned()
                        .unwrap_or_else(|_| Arc::from(""));
                    Arc::new(whole(&root, text, &world))
                }))
            }
        };
        let mut files = vec![(root.clone(), lines.clone())];
        let others = parts.used_files();
        files.extend(others.map(|(key, lines)| (key.clone(), lines.clone())));
        let own = {
            let (root, open, world) = (root.clone(), open.clone(), world.clone());
            LazyLock::new(Box::new(move || {
                let own = Arc::default();
                let patience = Patience {
                    stop: &|| false,
                    short: None,
                };
                Plan::of(&root, &open, (revision, &world), &own, &patience);
                own
            }) as Box<dyn FnOnce() -> Arc<Kept> + Send>)
        };
        Some(Plan {
            analysis,
            own,
            is_kept: true,
            is_in_parts: parts.whole().is_none(),
            uses_files: parts.uses_files(),
            told: forms.write(world, &files, parts),
            files,
            kept: kept.clone(),
            mark,
            used: used.clone(),
        })
    }

    /// A plan that nobody has open.
    pub fn closed(analysis: Analysis) -> Plan {
        let files = analysis.plan.files.iter();
        let files = files.map(|file| (file.key.clone(), Lines::new(&file.text)));
        Plan {
            is_kept: false,
            is_in_parts: false,
            uses_files: true,
            told: Vec::new(),
            files: files.collect(),
            analysis: now(Arc::new(analysis)),
            own: LazyLock::new(Box::new(Arc::default)),
            kept: Arc::default(),
            mark: Mark::default(),
            used: UsedFiles::default(),
        }
    }

    /// The keys of all its files, its own first.
    pub fn keys(&self) -> impl Iterator<Item = &FileKey> {
        self.files.iter().map(|(key, _)| key)
    }

    /// How many bytes its files have.
    pub fn bytes(&self) -> usize {
        self.files.iter().map(|(_, lines)| lines.bytes()).sum()
    }

    /// The key of the file that it is the plan of.
    pub fn root(&self) -> &FileKey {
        self.key(FileId(0))
    }

    /// The keys of the files that it uses.
    pub fn uses(&self) -> impl Iterator<Item = &FileKey> {
        self.keys().skip(1)
    }

    fn still_holds(&self, open: &Open, world: &World) -> bool {
        open.document.mark() == Ok(self.mark) && (!self.uses_files || self.used.hold(world))
    }

    /// What is to be said, file by file; nothing of a plan that nobody has open.
    pub fn told(&self) -> &[(FileId, Arc<Written>)] {
        &self.told
    }

    /// Whether anything is to be said.
    pub fn says_anything(&self) -> bool {
        self.told.iter().any(|(_, written)| written.len() > 0)
    }

    /// Whether it is kept in parts: then all of it in one takes its time.
    pub fn is_in_parts(&self) -> bool {
        self.is_in_parts
    }

    /// Whether it is kept up to date, so that [`Plan::view`] knows all of it.
    pub fn has_parts(&self) -> bool {
        self.is_kept
    }

    /// Whether the parts that are kept are still those of this moment.
    pub fn is_current(&self) -> bool {
        self.parts(&mut lock(&self.kept)).is_some()
    }

    /// The parts that are kept, where they are still those of this moment.
    fn parts<'k>(&self, all: &'k mut BTreeMap<FileKey, KeptPlan>) -> Option<&'k mut Parts> {
        let kept = all.get_mut(self.root())?;
        let is_it = kept.mark == self.mark && Arc::ptr_eq(&kept.used.asked, &self.used.asked);
        is_it.then_some(&mut kept.parts)
    }

    /// Asks the parts of this moment: those that are kept, or else its own. `None` where the plan is one part, and another one by
    /// now.
    fn ask<T>(&self, ask: impl Fn(&mut Parts) -> T) -> Option<T> {
        let whose = [Whose::Kept, Whose::Own].into_iter();
        whose.filter_map(|whose| self.ask_of(whose, &ask)).next()
    }

    fn ask_of<T>(&self, whose: Whose, ask: impl FnOnce(&mut Parts) -> T) -> Option<T> {
        match whose {
            Whose::Kept => self.parts(&mut lock(&self.kept)).map(ask),
            Whose::Own => {
                let mut own = self.is_in_parts.then(|| lock(&self.own))?;
                own.get_mut(self.root()).map(|own| ask(&mut own.parts))
            }
        }
    }

    /// Whether a `use` is written at a place of a file, or may be.
    pub fn may_use_at(&self, file: FileId, offset: usize) -> bool {
        let offset = u32::try_from(offset).unwrap_or(u32::MAX);
        let is_use = self.ask(|parts| parts.word_at(file, offset) == Some(StanzaWord::Use));
        is_use.unwrap_or(true)
    }

    /// The part of the plan in which a place of a file is; `None` where the whole has to be looked at.
    pub fn view(&self, file: FileId, offset: usize) -> Option<View> {
        let offset = u32::try_from(offset).ok()?;
        self.ask(|parts| parts.view(file, offset))?
    }

    /// As [`Plan::view`], for somebody who must not wait.
    pub fn view_at_once(&self, file: FileId, offset: usize) -> Option<View> {
        let mut all = self.kept.try_lock().ok()?;
        let parts = self.parts(&mut all)?;
        let offset = u32::try_from(offset).ok()?;
        let is_quick = parts.is_smaller(file, offset, FEW);
        is_quick.then(|| parts.view(file, offset)).flatten()
    }

    /// What stands around a place of a file in the whole plan; with `at_once` for somebody who must not wait.
    pub fn around(&self, file: FileId, offset: usize, at_once: bool) -> Option<Around> {
        let offset = u32::try_from(offset).ok()?;
        let around = |parts: &mut Parts| completion::around(parts, file, offset);
        match at_once {
            true => around(self.parts(&mut *self.kept.try_lock().ok()?)?),
            false => self.ask(around)?,
        }
    }

    /// The part of the plan that may be changed without the rest where a stretch of a file is; `None` where it takes the
    /// whole.
    pub fn view_to_change(&self, file: FileId, span: Span, stop: Stop) -> Option<View> {
        if !self.is_in_parts {
            return None;
        }
        // Nobody else waits for the checks.
        let (view, elsewhere) = self.ask(|parts| parts.view_to_change(file, span))??;
        view.knowing(elsewhere, stop)
    }

    /// Looks at each part of which something is said, as one that may be changed without the rest. `None` where the plan is one
    /// part, or it was stopped.
    pub fn each_part_to_change<T>(
        &self,
        stop: Stop,
        mut look: impl FnMut(View) -> T,
    ) -> Option<Vec<T>> {
        self.each(|whose| {
            let mut all = Vec::new();
            for id in self.ask_of(whose, |parts| parts.ids_with_findings())? {
                let found = self.ask_of(whose, |parts| parts.group_to_change(id))?;
                if stop() {
                    break;
                }
                let view = found.and_then(|(view, others)| view.knowing(others, stop));
                all.extend(view.map(&mut look));
            }
            Some(all)
        })
        .filter(|_| !stop())
    }

    /// Whether nothing but the part of the plan at an offset of a file has to do with these names.
    pub fn are_free(&self, file: FileId, offset: u32, names: &BTreeSet<Arc<str>>) -> bool {
        let are_free = self.ask(|parts| parts.are_free(file, offset, names));
        are_free.unwrap_or(false)
    }

    /// What there is to say of each part of the plan, one after the other, and at last of the rest; nobody else waits longer
    /// than for one of them. `None` where the plan is one part.
    pub fn each_part<T>(&self, mut look: impl FnMut(&View, bool) -> T) -> Option<Vec<T>> {
        self.each(|whose| {
            let all = |parts: &mut Parts| Some((parts.ids(), parts.view_of_rest()?));
            let (ids, rest) = self.ask_of(whose, all)??;
            let mut all = Vec::new();
            for id in ids {
                let view = self.ask_of(whose, |parts| parts.view_of(id))??;
                all.push(look(&view, false));
            }
            all.push(look(&rest, true));
            Some(all)
        })
    }

    /// What comes of asking one part after the other: where those that are kept become those of a later moment in between, of its
    /// own, from the beginning.
    fn each<T>(&self, each: impl FnMut(Whose) -> Option<T>) -> Option<T> {
        let whose = [Whose::Kept, Whose::Own].into_iter();
        self.is_in_parts.then(|| whose.filter_map(each).next())?
    }

    /// The lines of one of its files.
    pub fn lines(&self, file: FileId) -> &Lines {
        &self.files[file.0].1
    }

    /// The key of one of its files.
    pub fn key(&self, file: FileId) -> &FileKey {
        &self.files[file.0].0
    }

    /// One of its files by its key.
    pub fn file(&self, key: &FileKey) -> Option<FileId> {
        self.keys().position(|k| k == key).map(FileId)
    }
}

/// What is known about all open files.
#[derive(Default)]
pub struct Plans {
    revision: u64,
    /// The plans, by the key of their first file.
    pub plans: Vec<Arc<Plan>>,
    /// Files that turned out to be part of a plan but had to be looked at to know; kept to save doing it again.
    parts: Vec<Arc<Plan>>,
}

impl Plans {
    fn of(
        (revision, world): (u64, &World),
        before: &Plans,
        kept: &Arc<Kept>,
        patience: &Patience,
    ) -> Option<Plans> {
        let is_there = |key: &FileKey, known: &mut KeptPlan| {
            world.documents.contains_key(key) || known.revision > revision
        };
        patience.lock(kept)?.retain(is_there);
        let mut result = Plans {
            revision,
            ..Plans::default()
        };
        let mut used = BTreeSet::new();
        let mut known: Vec<&Arc<Plan>> = before.plans.iter().chain(&before.parts).collect();
        known.sort_by_key(|plan| plan.root());
        for (key, open) in world.documents.iter() {
            if used.contains(key) || open.document.mark().is_err() {
                continue;
            }
            let first = known.partition_point(|plan| plan.root() < key);
            let mut known = known[first..].iter().take_while(|plan| plan.root() == key);
            let plan = match known.find(|plan| plan.still_holds(open, world)) {
                Some(plan) => (*plan).clone(),
                None => Arc::new(Plan::of(key, open, (revision, world), kept, patience)?),
            };
            if (patience.stop)() {
                return None;
            }
            if plan.uses().next().is_some() {
                used.extend(plan.uses().cloned());
                let (parts, plans) = result
                    .plans
                    .drain(..)
                    .partition(|other| plan.uses().any(|key| key == other.root()));
                result.plans = plans;
                result.parts.extend::<Vec<_>>(parts);
            }
            result.plans.push(plan);
        }
        Some(result)
    }
}

/// A file as part of a plan: what a question about it is answered from.
#[derive(Clone)]
pub struct Here {
    /// The moment.
    pub snapshot: Arc<Snapshot>,
    /// The plan.
    pub plan: Arc<Plan>,
    /// The file.
    pub file: FileId,
}

impl Here {
    /// Another file of the same plan.
    pub fn with(&self, file: FileId) -> Here {
        Here {
            file,
            ..self.clone()
        }
    }

    /// The byte at a position of the client's.
    pub fn offset(&self, at: lsp_types::Position) -> usize {
        let encoding = self.snapshot.world.client.encoding;
        self.plan
            .lines(self.file)
            .offset(convert::place(at), encoding)
    }

    /// The bytes of a range of the client's.
    pub fn span(&self, range: lsp_types::Range) -> Span {
        Span::between(self.offset(range.start), self.offset(range.end))
    }

    /// The protocol's range of a span.
    pub fn range(&self, span: Span) -> lsp_types::Range {
        let encoding = self.snapshot.world.client.encoding;
        convert::range(self.plan.lines(self.file), span, encoding)
    }
}

impl Snapshot {
    /// Whether there may be something to do for [`Snapshot::look_ahead`].
    pub fn is_any_ahead(&self) -> bool {
        let kept = self.kept.try_lock();
        kept.is_ok_and(|all| all.values().any(|plan| plan.parts.is_any_ahead()))
    }

    /// Looks at what is likely to be written in next.
    pub fn look_ahead(&self) {
        for plan in lock(&self.kept).values_mut() {
            plan.parts.look_ahead();
        }
    }

    /// What is known at this moment; worked out by the first who asks. `None` when told to stop.
    pub fn plans(&self, stop: Stop) -> Option<Arc<Plans>> {
        self.plans_with(&Patience { stop, short: None })
    }

    /// As [`Snapshot::plans`].
    pub fn plans_with(&self, patience: &Patience) -> Option<Arc<Plans>> {
        let mut slot = patience.lock(&self.plans)?;
        if let Some(plans) = &*slot {
            return Some(plans.clone());
        }
        let before = lock(&self.last).clone();
        let moment = (self.revision, &self.world);
        let plans = Arc::new(Plans::of(moment, &before, &self.kept, patience)?);
        *slot = Some(plans.clone());
        let mut last = lock(&self.last);
        if last.revision <= self.revision {
            *last = plans.clone();
        }
        Some(plans)
    }

    /// The file `uri` in the first plan that it is part of.
    pub fn here(self: &Arc<Self>, uri: &Url, stop: Stop) -> Option<Here> {
        self.here_with(uri, &Patience { stop, short: None })
    }

    /// As [`Snapshot::here`].
    pub fn here_with(self: &Arc<Self>, uri: &Url, patience: &Patience) -> Option<Here> {
        let key = key_of(uri);
        self.world.documents.get(&key)?.document.mark().ok()?;
        let plans = self.plans_with(patience)?;
        plans.plans.iter().find_map(|plan| {
            Some(Here {
                file: plan.file(&key)?,
                plan: plan.clone(),
                snapshot: self.clone(),
            })
        })
    }

    /// A file in every plan that it is part of.
    pub fn all_with(self: &Arc<Self>, key: &FileKey, stop: Stop) -> Vec<Here> {
        let plans = self.plans(stop);
        let plans = plans.iter().flat_map(|plans| &plans.plans);
        plans
            .filter_map(|plan| {
                Some(Here {
                    file: plan.file(key)?,
                    plan: plan.clone(),
                    snapshot: self.clone(),
                })
            })
            .collect()
    }
}
