//! What the server holds: the open documents, as one snapshot that is replaced at each edit. Whoever holds a
//! snapshot can compute on it for as long as it takes; nothing that comes later changes it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use serde_json::Value;
use tokio::sync::Notify;
use tower_lsp::lsp_types::Url;

use super::capabilities::Client;
use super::files::Disk;
use super::folders::Looked;
use super::given::Given;
use super::keys::{self, beside, key_of, key_of_path, path_of, uri_of};
use super::plans::{Kept, Plans};
use super::settings::Settings;
use crate::plan::FileKey;
use crate::text::{Change, Document, Fault};

/// A document as an editor has it.
#[derive(Clone)]
pub struct Open {
    /// Its address, as the editor spells it.
    pub uri: Url,
    /// Its text.
    pub document: Document,
}

/// All that answers depend on.
#[derive(Clone, Default)]
pub struct World {
    /// What the client can do.
    pub client: Arc<Client>,
    /// What the user has set.
    pub settings: Arc<Settings>,
    /// The folders that the editor has open.
    pub folders: Arc<Vec<PathBuf>>,
    /// The open documents.
    pub documents: Arc<BTreeMap<FileKey, Arc<Open>>>,
    /// What the disk said; another one whenever it may say something else.
    pub disk: Arc<Disk>,
}

impl World {
    /// The address of a file: the editor's own for an open one.
    pub fn uri(&self, key: &FileKey) -> Option<Url> {
        self.documents
            .get(key)
            .map(|open| open.uri.clone())
            .or_else(|| uri_of(&self.as_named(key)))
    }

    /// A file by the path that the editor knows it by: its folders may be reached by symbolic links.
    fn as_named(&self, key: &FileKey) -> FileKey {
        let named = self.folders.iter().find_map(|folder| {
            let real = self.disk.real(folder);
            let rest = path_of(key)?.strip_prefix(&real).ok()?;
            (real != *folder).then(|| key_of_path(&folder.join(rest)))
        });
        named.unwrap_or_else(|| key.clone())
    }

    /// The version of an open document.
    pub fn version(&self, key: &FileKey) -> Option<i32> {
        self.documents.get(key)?.document.version()
    }

    /// Whether what the client says of a document is what it said then.
    pub fn has_same(&self, key: &FileKey, then: &World) -> bool {
        match (self.documents.get(key), then.documents.get(key)) {
            (Some(now), Some(then)) => Arc::ptr_eq(now, then),
            (now, then) => now.is_none() && then.is_none(),
        }
    }

    /// Whether the client can make a file of this name beside another, and none is there.
    pub fn may_create(&self, other: &FileKey, name: &str) -> bool {
        let can = self.client.creates_files && self.client.document_changes;
        let new = beside(other, name).filter(|_| can);
        new.is_some_and(|key| {
            let is_there = path_of(&key).is_none_or(|path| path.symlink_metadata().is_ok());
            !is_there && !self.documents.contains_key(&key)
        })
    }

    /// The open document at a real path, and its text if that is known.
    pub fn open_at(&self, real: &Path) -> Option<(FileKey, Option<Arc<str>>)> {
        let is_there =
            |key: &&FileKey| path_of(key).is_some_and(|path| self.disk.real(path) == real);
        let key = self.documents.keys().find(is_there)?;
        Some((key.clone(), self.text(key)))
    }

    /// The text of an open document, if it is known.
    pub fn text(&self, key: &FileKey) -> Option<Arc<str>> {
        self.documents.get(key)?.document.text().ok().cloned()
    }
}

/// The world at one moment, and what was worked out about it.
#[derive(Default)]
pub struct Snapshot {
    /// Counts the moments.
    pub revision: u64,
    /// What is known.
    pub world: World,
    /// What was worked out; shared by all who ask about this moment. Locked while it is worked out, so that it is
    /// done once.
    pub(super) plans: Mutex<Option<Arc<Plans>>>,
    /// What was worked out last, at this or an earlier moment: much of it may still hold.
    pub(super) last: Arc<Mutex<Arc<Plans>>>,
    /// The parts of the plans, which go along from moment to moment.
    pub(super) kept: Arc<Kept>,
    /// What was said of plans that nobody has open, which goes along as well.
    pub(super) looked: Arc<Looked>,
}

/// The session with one client.
#[derive(Default)]
pub struct Session {
    now: Mutex<Arc<Snapshot>>,
    revision: AtomicU64,
    /// Told when there are changes to be looked at, and at the end.
    pub changed: Notify,
    /// What a client that asks for findings was given.
    pub given: Given,
    /// The file that was named last.
    pub last: keys::Last,
    has_ended: AtomicBool,
}

/// State here is a whole value that is replaced, never half-written: a poisoned lock tells nothing.
pub(super) fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Session {
    /// How things stand.
    pub fn snapshot(&self) -> Arc<Snapshot> {
        lock(&self.now).clone()
    }

    /// Whether something has changed since.
    pub fn is_past(&self, snapshot: &Snapshot) -> bool {
        self.revision.load(Ordering::Acquire) != snapshot.revision
    }

    /// The client is gone.
    pub fn end(&self) {
        self.has_ended.store(true, Ordering::Release);
        self.changed.notify_one();
    }

    /// Whether the client is gone.
    pub fn has_ended(&self) -> bool {
        self.has_ended.load(Ordering::Acquire)
    }

    fn change<T>(&self, change: impl FnOnce(&mut World) -> T) -> T {
        self.change_or_begin(|world| (change(world), false))
    }

    /// The one place where anything changes; where so told, with nothing kept of what was worked out.
    fn change_or_begin<T>(&self, change: impl FnOnce(&mut World) -> (T, bool)) -> T {
        let mut now = lock(&self.now);
        let mut world = now.world.clone();
        let (result, anew) = change(&mut world);
        let revision = now.revision + 1;
        let (last, kept, looked) = match anew {
            true => (Arc::default(), Arc::default(), Arc::default()),
            false => (now.last.clone(), now.kept.clone(), now.looked.clone()),
        };
        *now = Arc::new(Snapshot {
            revision,
            world,
            plans: Mutex::default(),
            last,
            kept,
            looked,
        });
        self.revision.store(revision, Ordering::Release);
        result
    }

    /// The client said who it is.
    pub fn begin(&self, client: Client, settings: Settings, folders: Vec<PathBuf>) {
        self.change(|world| {
            world.client = Arc::new(client);
            world.settings = Arc::new(settings);
            world.folders = Arc::new(folders);
        });
    }

    /// Settings came; those before, and what is wrong with these.
    pub fn set(&self, section: &Value) -> (Arc<Settings>, Vec<String>) {
        let (before, wrong) = self.change_or_begin(|world| {
            let (settings, wrong) = world.settings.with(section);
            // Findings lead to their pages.
            let anew = settings.pages != world.settings.pages;
            let before = std::mem::replace(&mut world.settings, Arc::new(settings));
            ((before, wrong), anew)
        });
        // Settings come at any moment: findings that were being worked out were for a moment that is past now.
        self.changed.notify_one();
        (before, wrong)
    }

    /// Folders were opened or closed.
    pub fn change_folders(&self, added: Vec<PathBuf>, removed: &[PathBuf]) {
        self.change(|world| {
            let folders = Arc::make_mut(&mut world.folders);
            folders.retain(|folder| !removed.contains(folder));
            folders.extend(added);
            world.disk = Arc::default();
        });
    }

    /// Something may have changed on the disk.
    pub fn forget_disk(&self) {
        self.change(|world| world.disk = Arc::default());
    }

    /// A document was opened.
    pub fn open(&self, uri: Url, text: &str, version: i32) -> Result<(), Fault> {
        let document = Document::new(text, Some(version));
        let state = document.mark().map(|_| ());
        self.change(|world| {
            Arc::make_mut(&mut world.documents)
                .insert(key_of(&uri), Arc::new(Open { uri, document }));
            world.disk = Arc::default();
        });
        state
    }

    /// A document was edited. `None` if it is not open.
    pub fn edit(
        &self,
        key: &FileKey,
        changes: Vec<Change>,
        version: i32,
    ) -> Option<Result<(), Fault>> {
        self.change(|world| {
            let encoding = world.client.encoding;
            let open = Arc::make_mut(&mut world.documents).get_mut(key)?;
            let open = Arc::make_mut(open);
            Some(open.document.apply(changes, Some(version), encoding))
        })
    }

    /// An edit came that could not be read. False if no such document is open.
    pub fn lose(&self, uri: &Url) -> bool {
        let key = key_of(uri);
        self.change(|world| {
            let open = Arc::make_mut(&mut world.documents).get_mut(&key);
            let open = open.map(Arc::make_mut);
            open.map(|open| open.document.lose()).is_some()
        })
    }

    /// A document was closed. False if it was not open.
    pub fn close(&self, uri: &Url) -> bool {
        let key = key_of(uri);
        self.change(|world| {
            world.disk = Arc::default();
            Arc::make_mut(&mut world.documents).remove(&key).is_some()
        })
    }
}

#[cfg(test)]
mod tests {
    use futures::FutureExt;
    use serde_json::json;

    use super::*;

    /// What was being worked out while they came is dropped, so that it has to be worked out again, whatever they change.
    #[test]
    fn settings_wake_the_publisher() {
        let session = Session::default();
        let before = session.snapshot();
        session.set(&json!({}));
        assert!(session.is_past(&before));
        assert!(session.changed.notified().now_or_never().is_some());
    }
}
