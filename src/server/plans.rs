//! Which open files are plans of their own, and what the analysis says about each.
//!
//! A file that another open file uses is looked at as part of that plan; a file that none uses is its own.

use std::collections::BTreeSet;
use std::sync::Arc;

use tower_lsp::lsp_types::{self, Url};

use super::convert;
use super::files::{Asked, Disk, PlanFiles};
use super::keys::key_of;
use super::session::{Snapshot, World, lock};
use crate::checks::Analysis;
use crate::plan::{FileId, FileKey};
use crate::text::{Lines, Span};

/// One plan and what is known about it.
pub struct Plan {
    /// The findings and all the rest.
    pub analysis: Analysis,
    lines: Vec<Lines>,
    /// What it depended on: while all that is the same, it holds.
    text: Arc<str>,
    asked: Vec<Asked>,
    disk: Arc<Disk>,
}

impl Plan {
    fn of(root: &FileKey, text: &Arc<str>, world: &World, stop: &dyn Fn() -> bool) -> Plan {
        let open = |real: &std::path::Path| world.open_at(real);
        let files = PlanFiles::new(root, &world.folders, &world.disk, &open);
        let analysis = Analysis::of(root.clone(), text.clone(), &files, stop);
        Plan {
            lines: analysis
                .plan
                .files
                .iter()
                .map(|file| Lines::new(&file.text))
                .collect(),
            analysis,
            text: text.clone(),
            asked: files.into_asked(),
            disk: world.disk.clone(),
        }
    }

    /// The key of the file that it is the plan of.
    pub fn root(&self) -> &FileKey {
        &self.analysis.plan.files[0].key
    }

    fn uses(&self) -> impl Iterator<Item = &FileKey> {
        self.analysis
            .plan
            .files
            .iter()
            .skip(1)
            .map(|file| &file.key)
    }

    fn still_holds(&self, text: &Arc<str>, world: &World) -> bool {
        let same = |asked: &Asked| match (&asked.open, &world.text(&asked.key)) {
            (Some(then), Some(now)) => Arc::ptr_eq(then, now),
            (None, None) => true,
            _ => false,
        };
        Arc::ptr_eq(&self.text, text)
            && (self.asked.is_empty() || Arc::ptr_eq(&self.disk, &world.disk))
            && self.asked.iter().all(same)
    }

    /// The lines of one of its files.
    pub fn lines(&self, file: FileId) -> &Lines {
        &self.lines[file.0]
    }

    /// The key of one of its files.
    pub fn key(&self, file: FileId) -> &FileKey {
        &self.analysis.plan.files[file.0].key
    }

    fn file(&self, key: &FileKey) -> Option<FileId> {
        self.analysis
            .plan
            .files
            .iter()
            .position(|file| file.key == *key)
            .map(FileId)
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
    fn of(world: &World, before: &Plans, stop: &dyn Fn() -> bool) -> Option<Plans> {
        let mut result = Plans::default();
        let mut used = BTreeSet::new();
        for (key, open) in world.documents.iter() {
            let Ok(text) = open.document.text() else {
                continue;
            };
            if used.contains(key) {
                continue;
            }
            let known = before.plans.iter().chain(&before.parts);
            let mut known = known.filter(|plan| plan.root() == key);
            let plan = match known.find(|plan| plan.still_holds(text, world)) {
                Some(plan) => plan.clone(),
                None => Arc::new(Plan::of(key, text, world, stop)),
            };
            if stop() {
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
    pub fn plans(&self, stop: &dyn Fn() -> bool) -> Option<Arc<Plans>> {
        let mut slot = lock(&self.plans);
        if let Some(plans) = &*slot {
            return Some(plans.clone());
        }
        let before = lock(&self.last).clone();
        let mut plans = Plans::of(&self.world, &before, stop)?;
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
    pub fn here(self: &Arc<Self>, uri: &Url, stop: &dyn Fn() -> bool) -> Option<Here> {
        let key = key_of(uri);
        self.world.text(&key)?;
        let plans = self.plans(stop)?;
        plans.plans.iter().find_map(|plan| {
            Some(Here {
                file: plan.file(&key)?,
                plan: plan.clone(),
                snapshot: self.clone(),
            })
        })
    }

    /// A file in every plan that it is part of.
    pub fn all_with(self: &Arc<Self>, key: &FileKey, stop: &dyn Fn() -> bool) -> Vec<Here> {
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
