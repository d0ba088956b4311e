//! Files and folders that are about to be renamed: the paths of `use` stanzas that have to be written anew, in all open
//! files and in those of the folders.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use tower_lsp::lsp_types::{FileRename, TextEdit, Url, WorkspaceEdit};

use super::convert::{range, workspace_edit};
use super::files::Disk;
use super::keys::{key_of, key_of_path, path_of};
use super::session::Snapshot;
use crate::editor::moved_paths::moved_paths;
use crate::parts::Stop;
use crate::plan::FileKey;
use crate::text::Lines;

/// The edits, to be made before the files are renamed; `None` where nothing changes, or when told to stop.
pub fn will_rename(
    snapshot: &Snapshot,
    renames: &[FileRename],
    stop: Stop,
) -> Option<WorkspaceEdit> {
    let world = &snapshot.world;
    // What is edited unseen must be as it is now.
    let disk = Disk::default();
    let place = |uri: &str| Some(place(&disk, path_of(&key_of(&Url::parse(uri).ok()?))?));
    let renames = renames.iter();
    let renames = renames.filter_map(|one| Some((place(&one.old_uri)?, place(&one.new_uri)?)));
    let renames: Vec<(String, String)> = renames.filter(|(old, new)| old != new).collect();
    let moved = |place: &str| {
        let new_place = |(old, new): &(String, String)| {
            let rest = place.strip_prefix(old.as_str())?;
            let is_it = rest.is_empty() || rest.starts_with('/');
            is_it.then(|| (old.len(), format!("{new}{rest}")))
        };
        let places = renames.iter().filter_map(new_place);
        places.max_by_key(|(inner, _)| *inner).map(|(_, new)| new)
    };
    if renames.is_empty() {
        return None;
    }
    let mut files: BTreeMap<FileKey, (FileKey, Arc<str>)> = BTreeMap::new();
    for (key, open) in world.documents.iter() {
        if let (Some(path), Ok(text)) = (path_of(key), open.document.text()) {
            let real = key_of_path(&disk.real(path));
            files.insert(real, (key.clone(), text.clone()));
        }
    }
    for folder in world.folders.iter() {
        for path in disk.plans(&disk.real(folder)).iter() {
            let key = key_of_path(path);
            if !files.contains_key(&key)
                && let Ok(text) = disk.text(path)
            {
                files.insert(key.clone(), (key, text));
            }
        }
    }
    let mut edits: BTreeMap<FileKey, Vec<TextEdit>> = BTreeMap::new();
    for (real, (key, text)) in files {
        if stop() {
            return None;
        }
        let to = moved(&real.0).unwrap_or_else(|| real.0.to_string());
        let changes = moved_paths(&text, &real.0, &to, &moved);
        if changes.is_empty() {
            continue;
        }
        let lines = Lines::new(&text);
        let changes = changes.into_iter();
        let changes = changes
            .map(|(span, new)| TextEdit::new(range(&lines, span, world.client.encoding), new));
        edits.insert(key, changes.collect());
    }
    let changes_something = !edits.is_empty();
    changes_something
        .then(|| workspace_edit(world, edits))
        .flatten()
}

/// A path with the symbolic links in the folders that there are resolved; itself it may be one, or not be there.
fn place(disk: &Disk, path: &Path) -> String {
    let mut missing = PathBuf::new();
    let mut known = path;
    while let (Some(folder), Some(name)) = (known.parent(), known.file_name()) {
        missing = match missing.as_os_str().is_empty() {
            true => PathBuf::from(name),
            false => Path::new(name).join(&missing),
        };
        known = folder;
        if known.is_dir() {
            break;
        }
    }
    key_of_path(&disk.real(known).join(missing)).0.to_string()
}
