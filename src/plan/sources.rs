//! Where the text of `use`d files comes from. The plan itself never touches the outside world.

use std::sync::Arc;

/// What identifies a file: its resolved place, spelt in one way only (a path or an editor's
/// document address; the plan never looks inside).
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct FileKey(pub Arc<str>);

impl FileKey {
    /// The key spelt like this.
    pub fn new(key: &str) -> FileKey {
        FileKey(Arc::from(key))
    }
}

/// Why a used file cannot be had.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UseFailure {
    /// There is no file of that name.
    Missing,
    /// It is there but cannot be read: no permission, a folder, a device.
    Unreadable,
    /// It is not UTF-8, from here on.
    NotText {
        /// The line, the first being 1.
        line: usize,
        /// The byte of that line, the first being 1.
        byte: usize,
    },
    /// It lies outside the folder that the plan belongs to.
    Outside,
    /// The plan is not saved yet, so that nothing lies beside it.
    Unsaved,
    /// It is larger than a plan can be.
    TooLarge,
}

/// Gives the texts of files.
pub trait Sources {
    /// The file that `path`, written in the file `from`, leads to: its key and its text.
    fn read(&self, from: &FileKey, path: &str) -> Result<(FileKey, Arc<str>), UseFailure>;

    /// The plans in the folder that `path`, written in the file `from`, leads to: as paths that could be written instead.
    fn beside(&self, _from: &FileKey, _path: &str) -> Vec<String> {
        Vec::new()
    }
}

/// No other files: for a plan that stands alone.
pub struct Alone;

impl Sources for Alone {
    fn read(&self, _: &FileKey, _: &str) -> Result<(FileKey, Arc<str>), UseFailure> {
        Err(UseFailure::Missing)
    }
}

/// Files held in memory, by the very path that a `use` writes; for tests and the demonstration.
impl Sources for std::collections::BTreeMap<String, Arc<str>> {
    fn read(&self, _: &FileKey, path: &str) -> Result<(FileKey, Arc<str>), UseFailure> {
        self.get(path)
            .map(|text| (FileKey::new(path), text.clone()))
            .ok_or(UseFailure::Missing)
    }

    fn beside(&self, _: &FileKey, _: &str) -> Vec<String> {
        self.keys().cloned().collect()
    }
}
