//! Which open files are plans of their own, and what the analysis says about each.
//!
//! A file that another open file uses is looked at as part of that plan; a file that none uses is its own.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, LazyLock, Mutex, MutexGuard, OnceLock};

use tower_lsp::lsp_types::{self, Url};

use super::convert;
use super::files::{Asked, Disk, PlanFiles};
use super::keys::key_of;
use super::session::{Open, Snapshot, World, lock};
use super::told::{Forms, Written, worth_saying};
use crate::checks::{Analysis, Finding};
use crate::parts::{self, Parts, Stop, View};
use crate::plan::{Alone, FileId, FileKey};
use crate::text::{Lines, Mark, Span};

/// The parts of each open plan, as they were when they were last looked at.
pub type Kept = Mutex<BTreeMap<FileKey, KeptPlan>>;

/// One of them.
pub struct KeptPlan {
    mark: Mark,
    parts: Parts,
    forms: Forms,
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
    /// What is to be said, where the plan is kept in parts.
    told: Option<Arc<Written>>,
    /// What is to be said, file by file, where it is not; worked out when it is first asked for.
    told_of_files: OnceLock<Vec<(FileId, Arc<Written>)>>,
    is_in_parts: bool,
    keys: Vec<FileKey>,
    lines: Vec<Lines>,
    kept: Arc<Kept>,
    /// What it depended on: while all that is the same, it holds.
    mark: Mark,
    asked: Vec<Asked>,
    disk: Arc<Disk>,
}

fn now(analysis: Arc<Analysis>) -> Later {
    let later: Later = LazyLock::new(Box::new(move || analysis));
    LazyLock::force(&later);
    later
}

impl Plan {
    /// A plan; `None` where it was stopped or its text is not known.
    fn of(
        root: &FileKey,
        open: &Open,
        world: &World,
        kept: &Arc<Kept>,
        patience: &Patience,
    ) -> Option<Plan> {
        let stop = patience.stop;
        let document = &open.document;
        let (Ok(mark), Ok(lines)) = (document.mark(), document.lines()) else {
            return None;
        };
        let mut all = patience.lock(kept)?;
        let known = all.entry(root.clone()).or_insert_with(|| KeptPlan {
            mark,
            parts: Parts::new(root.clone()),
            forms: Forms::default(),
        });
        let KeptPlan {
            mark: then,
            parts,
            forms,
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
        if !parts.update(lines, touched, &in_parts) {
            return None;
        }
        if parts.uses_files() {
            if patience.short.is_some() {
                return None;
            }
            drop(all);
            return Some(Plan::of_files(root, open, mark, world, kept, stop));
        }
        let analysis: Later = match parts.whole() {
            Some(whole) => now(whole),
            None => {
                let (root, document) = (root.clone(), document.clone());
                LazyLock::new(Box::new(move || {
                    let text = document.text().cloned().unwrap_or_else(|_| Arc::from(""));
                    Arc::new(Analysis::of(root, text, &Alone, &|| false))
                }))
            }
        };
        Some(Plan {
            analysis,
            is_in_parts: parts.whole().is_none(),
            told: Some(Arc::new(forms.write(world, root, lines, parts))),
            told_of_files: OnceLock::new(),
            keys: vec![root.clone()],
            lines: vec![lines.clone()],
            kept: kept.clone(),
            mark,
            asked: Vec::new(),
            disk: world.disk.clone(),
        })
    }

    /// A plan with the files that it uses.
    fn of_files(
        root: &FileKey,
        open: &Open,
        mark: Mark,
        world: &World,
        kept: &Arc<Kept>,
        stop: Stop,
    ) -> Plan {
        let found = |real: &std::path::Path| world.open_at(real);
        let files = PlanFiles::new(root, &world.folders, &world.disk, &found);
        let text = open.document.text().cloned();
        let text = text.unwrap_or_else(|_| Arc::from(""));
        let analysis = Analysis::of(root.clone(), text, &files, stop);
        let all = &analysis.plan.files;
        Plan {
            told: None,
            told_of_files: OnceLock::new(),
            is_in_parts: false,
            keys: all.iter().map(|file| file.key.clone()).collect(),
            lines: all.iter().map(|file| Lines::new(&file.text)).collect(),
            analysis: now(Arc::new(analysis)),
            kept: kept.clone(),
            mark,
            asked: files.into_asked(),
            disk: world.disk.clone(),
        }
    }

    /// A plan that nobody has open.
    pub fn closed(analysis: Analysis, snapshot: &Snapshot) -> Plan {
        let all = &analysis.plan.files;
        Plan {
            told: None,
            is_in_parts: false,
            told_of_files: OnceLock::new(),
            keys: all.iter().map(|file| file.key.clone()).collect(),
            lines: all.iter().map(|file| Lines::new(&file.text)).collect(),
            analysis: now(Arc::new(analysis)),
            kept: Arc::default(),
            mark: Mark::default(),
            asked: Vec::new(),
            disk: snapshot.world.disk.clone(),
        }
    }

    /// Whether it uses other files, or says that it does.
    pub fn is_of_files(&self) -> bool {
        self.told.is_none()
    }

    /// The keys of all its files, its own first.
    pub fn keys(&self) -> impl Iterator<Item = &FileKey> {
        self.keys.iter()
    }

    /// How many bytes its files have.
    pub fn bytes(&self) -> usize {
        self.lines.iter().map(Lines::bytes).sum()
    }

    /// The key of the file that it is the plan of.
    pub fn root(&self) -> &FileKey {
        &self.keys[0]
    }

    /// The keys of the files that it uses.
    pub fn uses(&self) -> impl Iterator<Item = &FileKey> {
        self.keys.iter().skip(1)
    }

    fn still_holds(&self, open: &Open, world: &World) -> bool {
        let same = |asked: &Asked| match (&asked.open, &world.text(&asked.key)) {
            (Some(then), Some(now)) => Arc::ptr_eq(then, now),
            (None, None) => true,
            _ => false,
        };
        open.document.mark() == Ok(self.mark)
            && (self.told.is_some() || Arc::ptr_eq(&self.disk, &world.disk))
            && self.asked.iter().all(same)
    }

    /// What is to be said, file by file.
    pub fn told(&self, world: &World) -> Vec<(FileId, Arc<Written>)> {
        if let Some(told) = &self.told {
            return vec![(FileId(0), told.clone())];
        }
        let written = || self.write(world);
        self.told_of_files.get_or_init(written).clone()
    }

    fn write(&self, world: &World) -> Vec<(FileId, Arc<Written>)> {
        let mut files: BTreeMap<FileId, Vec<&Finding>> = BTreeMap::new();
        for finding in &self.analysis.findings {
            files.entry(finding.stanza.file).or_default().push(finding);
        }
        let files = files.into_iter().map(|(file, mut findings)| {
            worth_saying(&mut findings, |finding| finding.severity);
            let mut written = Written::default();
            for finding in findings {
                let diagnostic = convert::diagnostic(world, self, finding);
                if let Ok(json) = serde_json::to_string(&diagnostic) {
                    written.push(finding.severity, |text| text.push_str(&json));
                }
            }
            (file, Arc::new(written))
        });
        files.collect()
    }

    /// Whether anything is to be said.
    pub fn says_anything(&self) -> bool {
        match &self.told {
            Some(told) => told.len() > 0,
            None => !self.analysis.findings.is_empty(),
        }
    }

    /// Whether it is kept in parts: then all of it in one takes its time.
    pub fn is_in_parts(&self) -> bool {
        self.is_in_parts
    }

    /// Whether a file is kept in parts, so that [`Plan::view`] knows all of it.
    pub fn has_parts(&self, file: FileId) -> bool {
        self.told.is_some() && file == FileId(0)
    }

    /// Whether the parts are still those of this moment.
    pub fn is_current(&self) -> bool {
        let all = lock(&self.kept);
        all.get(self.root())
            .is_some_and(|kept| kept.mark == self.mark)
    }

    /// The part of the plan in which a place of its own file is; `None` where the whole has to be looked at.
    pub fn view(&self, file: FileId, offset: usize) -> Option<View> {
        self.told.as_ref().filter(|_| file == FileId(0))?;
        let mut all = lock(&self.kept);
        let KeptPlan { mark, parts, .. } = all.get_mut(self.root())?;
        let offset = u32::try_from(offset).ok()?;
        (*mark == self.mark).then(|| parts.view(offset)).flatten()
    }

    /// As [`Plan::view`], for somebody who must not wait.
    pub fn view_at_once(&self, file: FileId, offset: usize) -> Option<View> {
        self.told.as_ref().filter(|_| file == FileId(0))?;
        let mut all = self.kept.try_lock().ok()?;
        let KeptPlan { mark, parts, .. } = all.get_mut(self.root())?;
        let offset = u32::try_from(offset).ok()?;
        let is_quick = *mark == self.mark && parts.is_smaller(offset, FEW);
        is_quick.then(|| parts.view(offset)).flatten()
    }

    /// The part of the plan that may be changed without the rest where a stretch of its own file is; `None` where it takes the
    /// whole.
    pub fn view_to_change(&self, file: FileId, span: Span, stop: Stop) -> Option<View> {
        let is_own = self.is_in_parts && file == FileId(0);
        let found = {
            let mut all = lock(&self.kept);
            let KeptPlan { mark, parts, .. } = all.get_mut(self.root()).filter(|_| is_own)?;
            (*mark == self.mark)
                .then(|| parts.view_to_change(span))
                .flatten()
        };
        // Nobody else waits for the checks.
        let (view, elsewhere) = found?;
        view.knowing(elsewhere, stop)
    }

    /// Whether nothing but the part of the plan at an offset has to do with these names.
    pub fn are_free(&self, offset: u32, names: &BTreeSet<Arc<str>>) -> bool {
        let all = lock(&self.kept);
        let kept = all.get(self.root());
        kept.is_some_and(|kept| kept.mark == self.mark && kept.parts.are_free(offset, names))
    }

    /// Looks at all parts of the plan of a file, one after the other, and at last at the rest; nobody else waits longer
    /// than for one of them. False where the plan is one part, or another one by now.
    pub fn for_each_part(&self, file: FileId, look: &mut dyn FnMut(&View, bool)) -> bool {
        if self.told.is_none() || file != FileId(0) {
            return false;
        }
        let with = |parts: &mut dyn FnMut(&mut Parts) -> Option<View>| {
            let mut all = lock(&self.kept);
            let kept = all.get_mut(self.root())?;
            (kept.mark == self.mark)
                .then(|| parts(&mut kept.parts))
                .flatten()
        };
        let mut ids = Vec::new();
        let Some(rest) = with(&mut |parts| {
            ids = parts.ids();
            parts.view_of_rest()
        }) else {
            return false;
        };
        for id in ids {
            let Some(view) = with(&mut |parts| parts.view_of(id)) else {
                return false;
            };
            look(&view, false);
        }
        look(&rest, true);
        true
    }

    /// The lines of one of its files.
    pub fn lines(&self, file: FileId) -> &Lines {
        &self.lines[file.0]
    }

    /// The key of one of its files.
    pub fn key(&self, file: FileId) -> &FileKey {
        &self.keys[file.0]
    }

    /// One of its files by its key.
    pub fn file(&self, key: &FileKey) -> Option<FileId> {
        self.keys.iter().position(|k| k == key).map(FileId)
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
    fn of(world: &World, before: &Plans, kept: &Arc<Kept>, patience: &Patience) -> Option<Plans> {
        patience
            .lock(kept)?
            .retain(|key, _| world.documents.contains_key(key));
        let mut result = Plans::default();
        let mut used = BTreeSet::new();
        for (key, open) in world.documents.iter() {
            if used.contains(key) || open.document.mark().is_err() {
                continue;
            }
            let known = before.plans.iter().chain(&before.parts);
            let mut known = known.filter(|plan| plan.root() == key);
            let plan = match known.find(|plan| plan.still_holds(open, world)) {
                Some(plan) => plan.clone(),
                None => Arc::new(Plan::of(key, open, world, kept, patience)?),
            };
            if (patience.stop)() {
                return None;
            }
            used.extend(plan.uses().cloned());
            let (parts, plans) = result
                .plans
                .drain(..)
                .partition(|other| plan.uses().any(|key| key == other.root()));
            result.plans = plans;
            result.parts.extend::<Vec<_>>(parts);
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
        let mut plans = Plans::of(&self.world, &before, &self.kept, patience)?;
        plans.revision = self.revision;
        let plans = Arc::new(plans);
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
