//! The plans that a call names: files, and folders of files.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use glimloom::checks::Analysis;
use glimloom::plan::{FileKey, UseFailure};
use glimloom::server::files::{self, Disk, PlanFiles};
use walkdir::WalkDir;

use super::Trouble;

/// A file that a call names, itself or by a folder that holds it.
#[derive(Clone, Debug)]
pub struct Named {
    /// As it is printed.
    pub path: PathBuf,
    /// The folder that was named; `None`: the file itself was.
    pub folder: Option<PathBuf>,
}

/// All that a call names.
#[derive(Default)]
pub struct Found {
    /// The files, in their order.
    pub files: Vec<Named>,
    /// What is to be said of folders below those named that cannot be read.
    pub troubles: Vec<Trouble>,
}

/// All files that are named: of a folder, those below it that end in `.harness`, in the order of their names. What
/// begins with a dot is passed over.
pub fn named(paths: &[PathBuf]) -> Result<Found, Trouble> {
    let mut all = Found::default();
    for path in paths {
        if !path.is_dir() {
            all.files.push(Named {
                path: path.clone(),
                folder: None,
            });
            continue;
        }
        let before = (all.files.len(), all.troubles.len());
        let hidden = |name: &std::ffi::OsStr| name.as_encoded_bytes().starts_with(b".");
        let below = WalkDir::new(path).sort_by_file_name().into_iter();
        for entry in below.filter_entry(|e| e.depth() == 0 || !hidden(e.file_name())) {
            let entry = match entry {
                Ok(entry) => entry,
                Err(e) => {
                    let place = e.path().unwrap_or(path);
                    let place = place.strip_prefix(".").unwrap_or(place).display();
                    all.troubles
                        .push(format!("{place}: this folder cannot be read"));
                    continue;
                }
            };
            let found = entry.path();
            if found.extension().is_some_and(|ending| ending == "harness") && found.is_file() {
                all.files.push(Named {
                    path: found.strip_prefix(".").unwrap_or(found).to_owned(),
                    folder: Some(path.clone()),
                });
            }
        }
        if (all.files.len(), all.troubles.len()) == before {
            return Err(format!("{}: no plan is in this folder", path.display()));
        }
    }
    Ok(all)
}

/// The key and the text of a file that is named.
pub fn read(path: &Path) -> Result<(FileKey, Arc<str>), Trouble> {
    files::read_named(path).map_err(|failure| format!("{}: {}", path.display(), why(failure)))
}

/// Why a file cannot be used as a plan.
pub fn why(failure: UseFailure) -> String {
    match failure {
        UseFailure::Missing => "there is no such file".to_owned(),
        UseFailure::Unreadable | UseFailure::Outside | UseFailure::Unsaved => {
            "cannot be read".to_owned()
        }
        UseFailure::NotText { line, byte } => {
            format!("is not UTF-8 text from byte {byte} of line {line} on")
        }
        UseFailure::TooLarge => "is too large for a plan".to_owned(),
    }
}

/// A plan that was read from the disk.
pub struct Opened {
    /// As it is printed.
    path: PathBuf,
    /// All that there is to know about it.
    pub analysis: Analysis,
    /// The files that it is made of, those that it asks for in vain among them.
    pub files: BTreeSet<PathBuf>,
}

impl Opened {
    /// Reads the one plan that a call is about, and what it uses.
    pub fn one(path: &Path) -> Result<Opened, Trouble> {
        if path.is_dir() {
            let path = path.display();
            return Err(format!("{path}: is a folder; name the plan in it"));
        }
        Opened::read(&Named {
            path: path.to_owned(),
            folder: None,
        })
    }

    /// Reads a plan and what it uses: from the current folder if that holds it, else from the folder that was named
    /// or its own.
    pub fn read(named: &Named) -> Result<Opened, Trouble> {
        let (key, text) = read(&named.path)?;
        let here = std::env::current_dir().and_then(|dir| dir.canonicalize());
        let mut workspace: Vec<PathBuf> = here.into_iter().collect();
        if !workspace
            .iter()
            .any(|here| Path::new(&*key.0).starts_with(here))
        {
            workspace.extend(named.folder.clone());
        }
        let disk = Disk::default();
        let sources = PlanFiles::new(&key, &workspace, &disk, &|_| None);
        let root = PathBuf::from(&*key.0);
        let analysis = Analysis::of(key, text, &sources, &|| false);
        let asked = sources.into_asked().into_iter();
        let files = asked.map(|asked| PathBuf::from(&*asked.key.0));
        Ok(Opened {
            path: named.path.clone(),
            analysis,
            files: files.chain([root]).collect(),
        })
    }

    /// The name of a file of the plan on a paper that stays with the model: the plan's own name, and where the others are from its
    /// folder on. Where that folder is concerns nobody.
    pub fn on_paper(&self, file: usize) -> String {
        let files = &self.analysis.plan.files;
        let key = |file: usize| Path::new(&*files[file].key.0);
        let path = match (file, key(0).parent()) {
            (0, _) => self.path.as_path(),
            (_, Some(folder)) => match key(file).strip_prefix(folder) {
                Ok(below) => return below.display().to_string(),
                Err(_) => key(file),
            },
            _ => key(file),
        };
        let name = path.file_name().map(Path::new);
        name.unwrap_or(path).display().to_string()
    }

    /// The name under which a file of the plan is printed: as it was named, else from the current folder on.
    pub fn spelt(&self, file: usize) -> String {
        self.path(file).display().to_string()
    }

    /// The same as a path, which need not be text.
    pub fn path(&self, file: usize) -> PathBuf {
        if file == 0 {
            return self.path.clone();
        }
        let path = Path::new(&*self.analysis.plan.files[file].key.0);
        let here = std::env::current_dir().and_then(|dir| dir.canonicalize());
        let below = here.ok().and_then(|dir| path.strip_prefix(dir).ok());
        below.unwrap_or(path).to_owned()
    }
}
