//! A folder of a test's own.

use std::fs;
use std::path::PathBuf;

/// Removed at the end.
pub struct Folder(pub PathBuf);

impl Folder {
    /// An empty one; `name` is its test's.
    pub fn new(name: &str) -> Folder {
        let path =
            std::env::temp_dir().join(format!("glimloom-wire-{}-{name}", std::process::id()));
        fs::create_dir_all(&path).unwrap();
        Folder(fs::canonicalize(path).unwrap())
    }

    /// Writes a file, and gives its address.
    pub fn write(&self, name: &str, text: &str) -> String {
        let path = self.0.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, text).unwrap();
        self.uri(name)
    }

    /// The address of what has this name.
    pub fn uri(&self, name: &str) -> String {
        format!("file://{}", self.0.join(name).display())
    }

    /// Its own address.
    pub fn root(&self) -> String {
        format!("file://{}", self.0.display())
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}
