//! Reading files: those that a plan uses, and those named on the command line. A `use` reaches only regular
//! files below one folder, symbolic links resolved; and what an editor has open wins over the disk.

use std::cell::RefCell;
use std::collections::HashMap;
use std::fs::{self, File};
use std::io::{ErrorKind, Read};
use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use walkdir::{DirEntry, WalkDir};

use super::keys::{key_of_path, path_of};
use crate::editor::completion::paths::Entry;
use crate::plan::{FileKey, Sources, UseFailure};
use crate::text::MAX_BYTES;

/// The text of a regular file: UTF-8, at most [`MAX_BYTES`]. Opening a pipe or a device could wait for ever, so
/// that they are refused before.
pub fn read_file(path: &Path) -> Result<Arc<str>, UseFailure> {
    let about = fs::metadata(path).map_err(failure)?;
    if !about.is_file() {
        return Err(UseFailure::Unreadable);
    }
    let file = File::open(path).map_err(failure)?;
    let mut bytes = Vec::new();
    file.take(MAX_BYTES as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(failure)?;
    if bytes.len() > MAX_BYTES {
        return Err(UseFailure::TooLarge);
    }
    Ok(text_of(bytes)?.into())
}

/// The text that bytes are; where they are none, from where on.
pub fn text_of(bytes: Vec<u8>) -> Result<String, UseFailure> {
    String::from_utf8(bytes).map_err(|e| not_text(e.as_bytes(), e.utf8_error().valid_up_to()))
}

/// Where bytes are a text up to here and no further.
fn not_text(bytes: &[u8], up_to: usize) -> UseFailure {
    let text = bytes.get(..up_to).unwrap_or(bytes);
    let ends_line =
        |&i: &usize| text[i] == b'\n' || (text[i] == b'\r' && bytes.get(i + 1) != Some(&b'\n'));
    let ends: Vec<usize> = (0..text.len()).filter(ends_line).collect();
    UseFailure::NotText {
        line: ends.len() + 1,
        byte: text.len() - ends.last().map_or(0, |end| end + 1) + 1,
    }
}

/// A file that was named on the command line: its key, by its real path, and its text.
pub fn read_named(path: &Path) -> Result<(FileKey, Arc<str>), UseFailure> {
    let real = fs::canonicalize(path).map_err(failure)?;
    Ok((key_of_path(&real), read_file(&real)?))
}

fn failure(error: std::io::Error) -> UseFailure {
    match error.kind() {
        ErrorKind::NotFound | ErrorKind::NotADirectory => UseFailure::Missing,
        _ => UseFailure::Unreadable,
    }
}

/// What was read from the disk, kept until something there may have changed; then a new one takes its place.
#[derive(Default)]
pub struct Disk {
    texts: Mutex<HashMap<PathBuf, Result<Arc<str>, UseFailure>>>,
    real: Mutex<HashMap<PathBuf, PathBuf>>,
    plans: Mutex<HashMap<PathBuf, Arc<[PathBuf]>>>,
    /// Those that lie in a folder itself.
    beside: Mutex<HashMap<PathBuf, Arc<[PathBuf]>>>,
}

/// More plans in one folder, or folders in each other, than any builder has; what lies beyond is not looked at.
const MOST_PLANS: usize = 5000;
const MOST_SEEN: usize = 200_000;
const DEEPEST: usize = 32;
/// So many files and folders of one folder are offered, at most.
const MOST_NEAR: usize = 2000;

/// The harness files below a folder, in the order of their names. What begins with a dot is passed over, and no
/// symbolic link is followed.
pub fn harness_files(folder: &Path) -> Vec<PathBuf> {
    harness_files_to(DEEPEST, folder)
}

fn harness_files_to(deepest: usize, folder: &Path) -> Vec<PathBuf> {
    let shown = |entry: &DirEntry| {
        let name = entry.file_name().as_encoded_bytes();
        entry.depth() == 0 || !name.starts_with(b".")
    };
    let below = WalkDir::new(folder).max_depth(deepest).sort_by_file_name();
    let entries = below.into_iter().filter_entry(shown).take(MOST_SEEN);
    let plans = entries.filter_map(|entry| {
        let entry = entry.ok()?;
        let is_plan = entry.file_type().is_file() && is_harness(entry.path());
        is_plan.then(|| entry.into_path())
    });
    plans.take(MOST_PLANS).collect()
}

/// Whether a file is called like a plan.
pub fn is_harness(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending == "harness")
}

impl Disk {
    /// The harness files below a folder.
    pub fn plans(&self, folder: &Path) -> Arc<[PathBuf]> {
        remembered(&self.plans, folder, |folder| harness_files(folder).into())
    }

    /// The harness files that lie in a folder itself.
    fn beside(&self, folder: &Path) -> Arc<[PathBuf]> {
        remembered(&self.beside, folder, |folder| {
            harness_files_to(1, folder).into()
        })
    }

    /// What a file says.
    pub fn text(&self, path: &Path) -> Result<Arc<str>, UseFailure> {
        remembered(&self.texts, path, read_file)
    }

    /// `path` with its symbolic links resolved, as far as it exists.
    pub fn real(&self, path: &Path) -> PathBuf {
        remembered(&self.real, path, |path| {
            let whole = fs::canonicalize(path);
            let all_but_name = || {
                Some(
                    fs::canonicalize(path.parent()?)
                        .ok()?
                        .join(path.file_name()?),
                )
            };
            whole
                .ok()
                .or_else(all_but_name)
                .unwrap_or_else(|| path.to_owned())
        })
    }
}

/// The lock is not held while the disk is asked: two may ask for the same, and get the same.
fn remembered<T: Clone>(
    memory: &Mutex<HashMap<PathBuf, T>>,
    path: &Path,
    ask: impl FnOnce(&Path) -> T,
) -> T {
    let lock = || memory.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(known) = lock().get(path) {
        return known.clone();
    }
    let answer = ask(path);
    lock().entry(path.to_owned()).or_insert(answer).clone()
}

/// One file that was asked for, and the open text that was given; `None` if the disk answered.
pub struct Asked {
    /// Its key.
    pub key: FileKey,
    /// The text, if an editor had it open.
    pub open: Option<Arc<str>>,
}

/// How an open file is found by its real path; the text is missing while it is not known.
pub type FindOpen<'a> = dyn Fn(&Path) -> Option<(FileKey, Option<Arc<str>>)> + 'a;

/// The files that one plan may use.
pub struct PlanFiles<'a> {
    folder: Option<PathBuf>,
    disk: &'a Disk,
    open: &'a FindOpen<'a>,
    asked: RefCell<Vec<Asked>>,
}

impl<'a> PlanFiles<'a> {
    /// For the plan `root`: files below the innermost of `workspace` that holds it, else below its own folder.
    pub fn new(
        root: &FileKey,
        workspace: &[PathBuf],
        disk: &'a Disk,
        open: &'a FindOpen<'a>,
    ) -> PlanFiles<'a> {
        let plan = path_of(root).map(|path| disk.real(path));
        let folder = plan.and_then(|plan| {
            let holds = workspace
                .iter()
                .map(|folder| disk.real(folder))
                .filter(|f| plan.starts_with(f));
            let innermost = holds.max_by_key(|folder| folder.components().count());
            innermost.or_else(|| plan.parent().map(Path::to_owned))
        });
        PlanFiles {
            folder,
            disk,
            open,
            asked: RefCell::default(),
        }
    }

    /// The plans and folders that lie in a folder, whose path is written in `from`; and the folder that holds it, where
    /// that can be gone up to. What begins with a dot is passed over. Files that are `open` count though they may not be
    /// saved yet.
    pub fn near<'k>(
        &self,
        from: &FileKey,
        folder: &str,
        open: impl Iterator<Item = &'k FileKey>,
    ) -> Vec<Entry> {
        let real = |path: &str| {
            let real = self.disk.real(&self.place(from, path).ok()?);
            let root = self.folder.as_ref()?;
            real.starts_with(root).then_some(real)
        };
        let (Some(place), Some(root)) = (real(folder), &self.folder) else {
            return Vec::new();
        };
        let is_shown = |name: &str| !name.starts_with('.');
        let below = WalkDir::new(&place).min_depth(1).max_depth(1).into_iter();
        let entries = below.take(MOST_NEAR).filter_map(|entry| {
            let entry = entry.ok()?;
            let name = entry.file_name().to_str().filter(|name| is_shown(name))?;
            let path = entry.path();
            let is_link = entry.path_is_symlink();
            if is_link && !fs::canonicalize(path).ok()?.starts_with(root) {
                return None;
            }
            let is_folder = path.is_dir();
            (is_folder || (path.is_file() && is_harness(path))).then(|| Entry {
                name: name.to_owned(),
                is_folder,
            })
        });
        let open = open.filter_map(|key| {
            let path = self.disk.real(path_of(key)?);
            let is_there = path.parent() == Some(&place) && is_harness(&path);
            let name = path.file_name()?.to_str()?.to_owned();
            (is_there && is_shown(&name)).then_some(Entry {
                name,
                is_folder: false,
            })
        });
        let mut all: Vec<Entry> = entries.chain(open).collect();
        // One goes up first, and then down.
        let goes_up = folder.split('/').all(|part| matches!(part, "" | ".."));
        if goes_up && real(&format!("{folder}..")).is_some() {
            all.push(Entry {
                name: "..".to_owned(),
                is_folder: true,
            });
        }
        all
    }

    /// All that was asked for.
    pub fn into_asked(self) -> Vec<Asked> {
        self.asked.into_inner()
    }

    /// Where `path`, written in `from`, leads to by its letters.
    fn place(&self, from: &FileKey, path: &str) -> Result<PathBuf, UseFailure> {
        let folder = self.folder.as_ref().ok_or(UseFailure::Unsaved)?;
        let from = self.disk.real(path_of(from).ok_or(UseFailure::Unsaved)?);
        let mut place = from.parent().ok_or(UseFailure::Outside)?.to_owned();
        for part in Path::new(path).components() {
            match part {
                Component::Normal(name) => place.push(name),
                Component::CurDir => {}
                Component::ParentDir if place.pop() => {}
                _ => return Err(UseFailure::Outside),
            }
        }
        if path.contains('\0') {
            return Err(UseFailure::Missing);
        }
        if place.starts_with(folder) {
            Ok(place)
        } else {
            Err(UseFailure::Outside)
        }
    }
}

impl Sources for PlanFiles<'_> {
    fn read(&self, from: &FileKey, path: &str) -> Result<(FileKey, Arc<str>), UseFailure> {
        let real = self.disk.real(&self.place(from, path)?);
        if !self
            .folder
            .as_ref()
            .is_some_and(|folder| real.starts_with(folder))
        {
            return Err(UseFailure::Outside);
        }
        if let Some((key, open)) = (self.open)(&real) {
            self.asked.borrow_mut().push(Asked {
                key: key.clone(),
                open: open.clone(),
            });
            return open.map(|text| (key, text)).ok_or(UseFailure::Unreadable);
        }
        let key = key_of_path(&real);
        self.asked.borrow_mut().push(Asked {
            key: key.clone(),
            open: None,
        });
        Ok((key, self.disk.text(&real)?))
    }

    fn beside(&self, from: &FileKey, path: &str) -> Vec<String> {
        let folder = path.rfind('/').map_or("", |slash| &path[..=slash]);
        let Ok(place) = self.place(from, folder) else {
            return Vec::new();
        };
        let real = self.disk.real(&place);
        if self.folder.as_ref().is_none_or(|f| !real.starts_with(f)) {
            return Vec::new();
        }
        let files = self.disk.beside(&real);
        let names = files.iter().filter_map(|file| file.file_name()?.to_str());
        names.map(|name| format!("{folder}{name}")).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A folder of its own, removed at the end.
    struct Folder(PathBuf);

    impl Folder {
        fn new(name: &str) -> Folder {
            let path =
                std::env::temp_dir().join(format!("glimloom-files-{}-{name}", std::process::id()));
            fs::create_dir_all(&path).unwrap();
            Folder(fs::canonicalize(path).unwrap())
        }

        fn write(&self, name: &str, text: impl AsRef<[u8]>) -> FileKey {
            let path = self.0.join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(&path, text).unwrap();
            key_of_path(&path)
        }
    }

    impl Drop for Folder {
        fn drop(&mut self) {
            let _ = fs::remove_dir_all(&self.0);
        }
    }

    fn read(
        root: &FileKey,
        workspace: &[PathBuf],
        from: &FileKey,
        path: &str,
    ) -> Result<String, UseFailure> {
        let disk = Disk::default();
        let files = PlanFiles::new(root, workspace, &disk, &|_| None);
        files.read(from, path).map(|(_, text)| text.to_string())
    }

    #[test]
    fn files_below_the_folder_of_the_plan() {
        let folder = Folder::new("below");
        let plan = folder.write("ship/plan.harness", "");
        let stock = folder.write("ship/stock/tape.harness", "tape");
        folder.write("ship/led.harness", "led");
        folder.write("other.harness", "other");
        assert_eq!(
            read(&plan, &[], &plan, "stock/tape.harness").unwrap(),
            "tape"
        );
        assert_eq!(
            read(&plan, &[], &plan, "./stock/../led.harness").unwrap(),
            "led"
        );
        assert_eq!(read(&plan, &[], &stock, "../led.harness").unwrap(), "led");
        for outside in [
            "../other.harness",
            "../../../../etc/hostname",
            "/etc/hostname",
            "../ship2/x",
        ] {
            assert_eq!(
                read(&plan, &[], &plan, outside),
                Err(UseFailure::Outside),
                "{outside}"
            );
        }
        let workspace = [folder.0.clone()];
        assert_eq!(
            read(&plan, &workspace, &plan, "../other.harness").unwrap(),
            "other"
        );
        assert_eq!(
            read(&plan, &workspace, &plan, "../../x"),
            Err(UseFailure::Outside)
        );
    }

    #[test]
    fn what_lies_near() {
        let (folder, elsewhere) = (Folder::new("near"), Folder::new("near-elsewhere"));
        let plan = folder.write("ship/plan.harness", "");
        for name in [
            "ship/stock/led.harness",
            "ship/.hidden.harness",
            "ship/a.txt",
        ] {
            folder.write(name, "");
        }
        let open = [
            key_of_path(&folder.0.join("ship/new.harness")),
            key_of_path(&folder.0.join("else.harness")),
            FileKey::new("untitled:Untitled-1"),
        ];
        #[cfg(unix)]
        std::os::unix::fs::symlink(&elsewhere.0, folder.0.join("ship/door")).unwrap();
        let near = |root: &FileKey, workspace: &[PathBuf], path: &str| {
            let disk = Disk::default();
            let files = PlanFiles::new(root, workspace, &disk, &|_| None);
            let mut near = files.near(root, path, open.iter());
            near.sort();
            let names = near.into_iter().map(|entry| match entry.is_folder {
                true => format!("{}/", entry.name),
                false => entry.name,
            });
            names.collect::<Vec<_>>()
        };
        assert_eq!(
            near(&plan, &[], ""),
            ["new.harness", "plan.harness", "stock/"]
        );
        assert_eq!(near(&plan, &[], "stock/"), ["led.harness"]);
        assert_eq!(
            near(&plan, &[], "stock/../"),
            ["new.harness", "plan.harness", "stock/"]
        );
        for outside in ["../", "door/", "/", "none/", "plan.harness/", "a\0/"] {
            assert_eq!(near(&plan, &[], outside), [""; 0], "{outside}");
        }
        let workspace = [folder.0.clone()];
        assert_eq!(
            near(&plan, &workspace, ""),
            ["new.harness", "plan.harness", "../", "stock/"]
        );
        assert_eq!(near(&plan, &workspace, "../"), ["else.harness", "ship/"]);
        assert_eq!(
            near(&FileKey::new("untitled:Untitled-1"), &workspace, ""),
            [""; 0]
        );
    }

    #[test]
    fn what_lies_beside_a_path_that_leads_nowhere() {
        let folder = Folder::new("beside");
        let plan = folder.write("ship/plan.harness", "");
        folder.write("ship/parts/led.harness", "");
        folder.write("ship/notes.txt", "");
        folder.write("stock.harness", "");
        let beside = |root: &FileKey, workspace: &[PathBuf], path: &str| {
            let disk = Disk::default();
            PlanFiles::new(root, workspace, &disk, &|_| None).beside(root, path)
        };
        assert_eq!(beside(&plan, &[], "plam.harness"), ["plan.harness"]);
        assert_eq!(beside(&plan, &[], "parts/x"), ["parts/led.harness"]);
        assert_eq!(beside(&plan, &[], "../stok.harness"), [""; 0]);
        assert_eq!(
            beside(&plan, std::slice::from_ref(&folder.0), "../stok.harness"),
            ["../stock.harness"]
        );
        let untitled = FileKey::new("untitled:Untitled-1");
        assert_eq!(beside(&untitled, &[], "x"), [""; 0]);
    }

    #[test]
    fn what_is_no_readable_text_is_refused() {
        let folder = Folder::new("refused");
        let plan = folder.write("plan.harness", "");
        folder.write("latin.harness", [0x66, 0xe4, 0x68]);
        folder.write("folder/x.harness", "");
        folder.write("large.harness", vec![b'#'; MAX_BYTES + 1]);
        let why = |path| read(&plan, &[], &plan, path).unwrap_err();
        let not_text = |line, byte| UseFailure::NotText { line, byte };
        assert_eq!(why("latin.harness"), not_text(1, 2));
        folder.write(
            "late.harness",
            b"zone a\r\nzone b\rzone c\n# \xc3\xa4 \xe4\n",
        );
        assert_eq!(why("late.harness"), not_text(4, 6));
        folder.write("cut.harness", b"zone a\n\xe2\x82");
        assert_eq!(why("cut.harness"), not_text(2, 1));
        assert_eq!(why("folder"), UseFailure::Unreadable);
        assert_eq!(why(""), UseFailure::Unreadable);
        assert_eq!(why("none.harness"), UseFailure::Missing);
        assert_eq!(why("plan.harness/x"), UseFailure::Missing);
        assert_eq!(why("a\0b"), UseFailure::Missing);
        assert_eq!(why("large.harness"), UseFailure::TooLarge);
        let untitled = FileKey::new("untitled:Untitled-1");
        assert_eq!(
            read(&untitled, &[], &untitled, "x"),
            Err(UseFailure::Unsaved)
        );
    }

    #[cfg(unix)]
    #[test]
    fn links_and_pipes() {
        let (folder, elsewhere) = (Folder::new("links"), Folder::new("elsewhere"));
        let plan = folder.write("plan.harness", "");
        folder.write("real.harness", "real");
        elsewhere.write("secret.harness", "secret");
        let link = |target: PathBuf, name: &str| {
            std::os::unix::fs::symlink(target, folder.0.join(name)).unwrap()
        };
        link(folder.0.join("real.harness"), "inside.harness");
        link(elsewhere.0.join("secret.harness"), "outside.harness");
        link(elsewhere.0.clone(), "door");
        link(folder.0.join("round.harness"), "round.harness");
        assert_eq!(read(&plan, &[], &plan, "inside.harness").unwrap(), "real");
        assert_eq!(
            read(&plan, &[], &plan, "outside.harness"),
            Err(UseFailure::Outside)
        );
        assert_eq!(
            read(&plan, &[], &plan, "door/secret.harness"),
            Err(UseFailure::Outside)
        );
        assert!(read(&plan, &[], &plan, "round.harness").is_err());
        let pipe = folder.0.join("pipe.harness");
        assert!(
            std::process::Command::new("mkfifo")
                .arg(&pipe)
                .status()
                .unwrap()
                .success()
        );
        assert_eq!(
            read(&plan, &[], &plan, "pipe.harness"),
            Err(UseFailure::Unreadable)
        );
        assert_eq!(
            read_file(Path::new("/dev/zero")),
            Err(UseFailure::Unreadable)
        );
    }

    #[test]
    fn an_open_text_wins_over_the_disk() {
        let folder = Folder::new("open");
        let plan = folder.write("plan.harness", "");
        let stock = folder.write("stock.harness", "on disk");
        let disk = Disk::default();
        let open = |real: &Path| {
            (real == folder.0.join("stock.harness"))
                .then(|| (stock.clone(), Some("in the editor".into())))
        };
        let files = PlanFiles::new(&plan, &[], &disk, &open);
        let (key, text) = files.read(&plan, "stock.harness").unwrap();
        assert_eq!((key, &*text), (stock.clone(), "in the editor"));
        assert_eq!(files.read(&plan, "none.harness"), Err(UseFailure::Missing));
        let asked = files.into_asked();
        assert_eq!(asked.len(), 2);
        assert!(asked[0].open.is_some() && asked[1].open.is_none());
    }
}
