//! The plans of the editor's folders that nobody has open. They are looked at only where somebody asks about all plans;
//! what was said of one is kept until a text that it came from is another one.
//!
//! A file that an editor has open, and what such a file uses, is told of by the open plans alone. Of the other files,
//! one that no other uses is a plan; of files that use each other in a circle, the first.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::path::Path;
use std::sync::{Arc, Mutex};

use tower_lsp::lsp_types::Url;

use super::files::PlanFiles;
use super::keys::{key_of_path, path_of};
use super::plans::{Here, Patience, Plan};
use super::progress::Work;
use super::publisher::{in_one, reports};
use super::session::{Snapshot, World, lock};
use super::told::{Forms, Written};
use crate::checks::Analysis;
use crate::editor::used_paths::{UsedPath, used_paths};
use crate::parts::{self, Parts, Stop};
use crate::plan::{FileKey, Sources, UseFailure};
use crate::text::Lines;

/// What is kept of closed plans.
#[derive(Default)]
pub struct Looked {
    said: Mutex<BTreeMap<FileKey, Kept<Said>>>,
    names: Mutex<BTreeMap<FileKey, Kept<Arc<Plan>>>>,
    uses: Mutex<HashMap<FileKey, Uses>>,
}

/// A text, and the paths that it uses.
type Uses = (Arc<str>, Arc<[UsedPath]>);

/// What is to be said of a plan, file by file.
type Said = Vec<(FileKey, Arc<Written>)>;

/// So many bytes of closed plans are kept read, so that a name is found in them without reading them again.
const READ: usize = 1 << 20;

/// Something that was worked out, and all that it came from.
#[derive(Clone)]
struct Kept<T> {
    text: Arc<str>,
    reads: Vec<Read>,
    uris: Vec<(FileKey, Option<Url>)>,
    value: T,
}

/// A file that was asked for: where its path was written, the path, and what was found.
#[derive(Clone)]
struct Read {
    from: FileKey,
    path: String,
    found: Found,
}

type Found = Result<(FileKey, Arc<str>), UseFailure>;

/// The files that a plan may use, and what was asked of them.
struct Recorder<'a> {
    files: PlanFiles<'a>,
    reads: RefCell<Vec<Read>>,
}

impl Sources for Recorder<'_> {
    fn read(&self, from: &FileKey, path: &str) -> Found {
        let found = self.files.read(from, path);
        self.reads.borrow_mut().push(Read {
            from: from.clone(),
            path: path.to_owned(),
            found: found.clone(),
        });
        found
    }

    fn beside(&self, from: &FileKey, path: &str) -> Vec<String> {
        self.files.beside(from, path)
    }
}

/// A closed file.
struct Closed {
    text: Arc<str>,
    /// The files that it uses itself.
    uses: Vec<FileKey>,
}

/// The closed files of the folders, and which of them are plans.
pub struct Folders<'a> {
    snapshot: &'a Arc<Snapshot>,
    files: BTreeMap<FileKey, Closed>,
    /// The plans, and all files of each.
    plans: Vec<(FileKey, BTreeSet<FileKey>)>,
}

/// Does something with the files that a plan may use.
pub fn with_files<T>(world: &World, root: &FileKey, work: impl FnOnce(PlanFiles) -> T) -> T {
    let open = |real: &Path| world.open_at(real);
    work(PlanFiles::new(root, &world.folders, &world.disk, &open))
}

impl<'a> Folders<'a> {
    /// Looks through the folders. `None` when told to stop.
    pub fn of(snapshot: &'a Arc<Snapshot>, stop: Stop) -> Option<Folders<'a>> {
        let world = &snapshot.world;
        let plans = snapshot.plans(stop)?;
        let of_open = plans.plans.iter().flat_map(|plan| plan.keys());
        let open = world.documents.keys();
        let real = |key: &FileKey| path_of(key).map(|path| key_of_path(&world.disk.real(path)));
        let told: BTreeSet<FileKey> = of_open.chain(open).filter_map(real).collect();
        let mut files = BTreeMap::new();
        for folder in world.folders.iter() {
            for path in world.disk.plans(&world.disk.real(folder)).iter() {
                if stop() {
                    return None;
                }
                let key = key_of_path(path);
                if told.contains(&key) || files.contains_key(&key) {
                    continue;
                }
                let Ok(text) = world.disk.text(path) else {
                    continue;
                };
                let uses = uses(snapshot, &key, &text);
                files.insert(key, Closed { text, uses });
            }
        }
        lock(&snapshot.looked.uses).retain(|key, _| files.contains_key(key));
        lock(&snapshot.looked.said).retain(|key, _| files.contains_key(key));
        lock(&snapshot.looked.names).retain(|key, _| files.contains_key(key));
        let plans = roots(&files);
        Some(Folders {
            snapshot,
            files,
            plans,
        })
    }

    /// What is to be said of a plan. `None` when told to stop.
    fn said(&self, root: &FileKey, stop: Stop) -> Option<Said> {
        let world = &self.snapshot.world;
        self.kept(root, &self.snapshot.looked.said, |text, files| {
            // A large plan is looked at in parts, as it is where it is open.
            let (mut parts, lines) = (Parts::new(root.clone()), Lines::new(&text));
            let may_begin = |_| true;
            let patience = parts::Patience {
                stop,
                may_begin: &may_begin,
            };
            if !parts.update(&lines, None, files, &patience) {
                return None;
            }
            let mut all = vec![(root.clone(), lines)];
            let others = parts.used_files();
            all.extend(others.map(|(key, lines)| (key.clone(), lines.clone())));
            let said = Forms::default().write(world, &all, &parts).into_iter();
            Some(
                said.map(|(file, said)| (all[file.0].0.clone(), said))
                    .collect(),
            )
        })
    }

    /// A plan, read; nothing is solved or checked.
    fn names(&self, root: &FileKey) -> Option<Arc<Plan>> {
        let plan = self.kept(root, &self.snapshot.looked.names, |text, files| {
            let analysis = Analysis::of_names(root.clone(), text, files);
            Some(Arc::new(Plan::closed(analysis)))
        });
        let mut kept = lock(&self.snapshot.looked.names);
        let size = |kept: &Kept<Arc<Plan>>| kept.value.bytes();
        // Few builders have as many; they wait a little longer.
        if kept.values().map(size).sum::<usize>() > READ {
            kept.clear();
        }
        plan
    }

    /// What was worked out before, where it still holds, or else is now.
    fn kept<T: Clone>(
        &self,
        root: &FileKey,
        kept: &Mutex<BTreeMap<FileKey, Kept<T>>>,
        work: impl FnOnce(Arc<str>, &Recorder) -> Option<T>,
    ) -> Option<T> {
        let world = &self.snapshot.world;
        let text = self.files.get(root)?.text.clone();
        with_files(world, root, |files| {
            let before = lock(kept).get(root).cloned();
            if let Some(before) = before.filter(|kept| kept.holds(&text, &files, world)) {
                return Some(before.value);
            }
            let recorder = Recorder {
                files,
                reads: RefCell::default(),
            };
            let value = work(text.clone(), &recorder)?;
            let reads = recorder.reads.into_inner();
            let keys = reads
                .iter()
                .filter_map(|read| Some(&read.found.as_ref().ok()?.0));
            let keys: BTreeSet<&FileKey> = keys.chain([root]).collect();
            let uris = keys.into_iter().map(|key| (key.clone(), world.uri(key)));
            let now = Kept {
                text,
                uris: uris.collect(),
                reads,
                value: value.clone(),
            };
            lock(kept).insert(root.clone(), now);
            Some(value)
        })
    }

    /// The plans that have a file, read; nothing in them is solved or checked. What was found before `stop` says so.
    pub fn with(&self, file: &FileKey, work: &mut Work, stop: Stop) -> Vec<Here> {
        let plans = self.plans.iter().filter(|(_, files)| files.contains(file));
        let plans: Vec<&FileKey> = plans.map(|(root, _)| root).collect();
        let here = |plan: Arc<Plan>| {
            Some(Here {
                file: plan.file(file)?,
                plan,
                snapshot: self.snapshot.clone(),
            })
        };
        let read = self.each(&plans, work, stop);
        read.into_iter().filter_map(here).collect()
    }

    /// All plans, read; nothing in them is solved or checked. What was found before `stop` says so.
    pub fn all(&self, work: &mut Work, stop: Stop) -> Vec<Arc<Plan>> {
        let plans: Vec<&FileKey> = self.plans.iter().map(|(root, _)| root).collect();
        self.each(&plans, work, stop)
    }

    fn each(&self, roots: &[&FileKey], work: &mut Work, stop: Stop) -> Vec<Arc<Plan>> {
        let mut found = Vec::new();
        for (done, root) in roots.iter().enumerate() {
            if stop() {
                break;
            }
            work.step(done, roots.len(), root);
            found.extend(self.names(root));
        }
        found
    }
}

impl<T> Kept<T> {
    fn holds(&self, text: &Arc<str>, files: &PlanFiles, world: &World) -> bool {
        self.text == *text
            && (self.reads.iter()).all(|read| files.read(&read.from, &read.path) == read.found)
            && self.uris.iter().all(|(key, uri)| world.uri(key) == *uri)
    }
}

/// The files that a closed file uses itself.
fn uses(snapshot: &Snapshot, key: &FileKey, text: &Arc<str>) -> Vec<FileKey> {
    let known = lock(&snapshot.looked.uses).get(key).cloned();
    let paths = match known.filter(|(then, _)| then == text) {
        Some((_, paths)) => paths,
        None => {
            let paths: Arc<[UsedPath]> = used_paths(text).into();
            let now = (text.clone(), paths.clone());
            lock(&snapshot.looked.uses).insert(key.clone(), now);
            paths
        }
    };
    if paths.is_empty() {
        return Vec::new();
    }
    with_files(&snapshot.world, key, |files| {
        let found = paths
            .iter()
            .filter_map(|used| files.read(key, &used.path).ok());
        found.map(|(key, _)| key).collect()
    })
}

/// The files that are plans, each with all that it uses.
fn roots(files: &BTreeMap<FileKey, Closed>) -> Vec<(FileKey, BTreeSet<FileKey>)> {
    let used_by_others = files.iter().flat_map(|(key, file)| {
        let others = file.uses.iter();
        others.filter(move |used| *used != key)
    });
    let used: BTreeSet<&FileKey> = used_by_others.collect();
    let mut covered: BTreeSet<FileKey> = BTreeSet::new();
    let mut plans = Vec::new();
    let first = files.keys().filter(|key| !used.contains(key));
    for key in first.chain(files.keys()) {
        if covered.contains(key) {
            continue;
        }
        let all = reach(files, key);
        covered.extend(all.iter().cloned());
        plans.push((key.clone(), all));
    }
    plans.sort_by(|(a, _), (b, _)| a.cmp(b));
    plans
}

/// A file and all that it uses, and that those use.
fn reach(files: &BTreeMap<FileKey, Closed>, root: &FileKey) -> BTreeSet<FileKey> {
    let mut all = BTreeSet::from([root.clone()]);
    let mut next = vec![root];
    while let Some(key) = next.pop() {
        for used in files.get(key).iter().flat_map(|file| &file.uses) {
            if all.insert(used.clone()) {
                next.push(used);
            }
        }
    }
    all
}

/// What the plans of the folders say of one file that nobody has open. `None` when told to stop.
pub fn said_of(snapshot: &Arc<Snapshot>, key: &FileKey, stop: Stop) -> Option<Arc<Written>> {
    let real = path_of(key).map(|path| key_of_path(&snapshot.world.disk.real(path)));
    let folders = Folders::of(snapshot, stop)?;
    let mut found = Vec::new();
    for (root, files) in &folders.plans {
        if real.as_ref().is_some_and(|key| files.contains(key)) {
            let said = folders.said(root, stop)?.into_iter();
            found.extend(said.filter(|(key, _)| Some(key) == real.as_ref()));
        }
    }
    Some(in_one(
        found.into_iter().map(|(_, written)| written).collect(),
    ))
}

/// Looks at all plans; `tell` gets each file when all is known of it. False when told to stop.
pub fn look(
    snapshot: &Arc<Snapshot>,
    work: &mut Work,
    stop: Stop,
    tell: &mut dyn FnMut(&FileKey, &Written),
) -> bool {
    let world = &snapshot.world;
    let Some(open) = reports(snapshot, &Patience { stop, short: None }) else {
        return false;
    };
    let Some(plans) = snapshot.plans(stop) else {
        return false;
    };
    let none = Written::default();
    let of_open = plans.plans.iter().flat_map(|plan| plan.keys());
    let mut told: BTreeSet<FileKey> = of_open.chain(world.documents.keys()).cloned().collect();
    for key in &told {
        let report = world.uri(key).and_then(|uri| open.get(&uri));
        tell(key, report.map_or(&none, |(_, written)| written));
    }
    let Some(folders) = Folders::of(snapshot, stop) else {
        return false;
    };
    // How many plans that have a file are still to be looked at.
    let mut left: HashMap<&FileKey, usize> = HashMap::new();
    for key in folders.plans.iter().flat_map(|(_, files)| files) {
        *left.entry(key).or_default() += 1;
    }
    let mut found: BTreeMap<FileKey, Vec<Arc<Written>>> = BTreeMap::new();
    for (done, (root, files)) in folders.plans.iter().enumerate() {
        work.step(done, folders.plans.len(), root);
        let Some(said) = folders.said(root, stop).filter(|_| !stop()) else {
            return false;
        };
        for (key, written) in said {
            found.entry(key).or_default().push(written);
        }
        for key in files {
            let left = left.entry(key).or_default();
            *left = left.saturating_sub(1);
            if *left == 0 && told.insert(key.clone()) {
                tell(key, &in_one(found.remove(key).unwrap_or_default()));
            }
        }
    }
    for (key, written) in found {
        if told.insert(key.clone()) {
            tell(&key, &in_one(written));
        }
    }
    true
}
