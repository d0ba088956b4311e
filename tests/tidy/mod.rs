//! What a reader may rely on when finding their way: layers, files, words.

#![allow(clippy::unwrap_used, clippy::expect_used)]

mod editor_words;
mod language_page;
mod layers;
mod tree_sitter;
mod words;

use std::path::{Path, PathBuf};

/// The project's root.
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// All files below a folder of the project with one of these endings, sorted.
pub fn files(folder: &str, endings: &[&str]) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![root().join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in
            std::fs::read_dir(&folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()))
        {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if path.is_dir() && !name.starts_with('.') && name != "node_modules" && name != "target"
            {
                folders.push(path);
            } else if endings.iter().any(|e| name.ends_with(e)) {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}
