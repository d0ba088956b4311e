//! One name for each file, however it is spelled: an editor says `file:///C:/a` or `file:///c%3A/a`, a `use` says
//! `../a`. A key is an absolute path with `/` between its parts and a small drive letter, or, for what is no file
//! on a disk (`untitled:Untitled-1`), the editor's own address word for word.

use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, Mutex};

use tower_lsp::lsp_types::Url;

use super::session::lock;
use crate::plan::FileKey;

/// A file, as the editor names it and as it is known here.
#[derive(Debug)]
pub struct Named {
    /// The editor's address.
    pub uri: Url,
    /// The key.
    pub key: FileKey,
}

/// The file that was named last: while one types, each message names the same one.
#[derive(Default)]
pub struct Last(Mutex<Option<Arc<Named>>>);

impl Last {
    /// What an editor calls so; `None` where that is no address.
    pub fn named(&self, uri: &str) -> Option<Arc<Named>> {
        let mut last = lock(&self.0);
        if let Some(named) = last.as_ref().filter(|named| named.uri.as_str() == uri) {
            return Some(named.clone());
        }
        let uri = Url::parse(uri).ok()?;
        let key = key_of(&uri);
        let named = Arc::new(Named { uri, key });
        *last = Some(named.clone());
        Some(named)
    }
}

/// The key of what an editor calls `uri`.
pub fn key_of(uri: &Url) -> FileKey {
    let on_this_machine =
        uri.scheme() == "file" && matches!(uri.host_str(), None | Some("localhost"));
    let path = on_this_machine.then(|| uri.to_file_path().ok()).flatten();
    match path {
        Some(path) => {
            let text = path.to_string_lossy();
            key_of_path(Path::new(without_slash_before_drive(&text)))
        }
        None => FileKey::new(uri.as_str()),
    }
}

/// The key of an absolute path. `.` and `..` are taken out by the letter; symbolic links stay.
pub fn key_of_path(path: &Path) -> FileKey {
    let mut plain = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                plain.pop();
            }
            part => plain.push(part),
        }
    }
    let mut name = plain.to_string_lossy().into_owned();
    if cfg!(windows) {
        name = name.replace('\\', "/");
        name = name.strip_prefix("//?/").unwrap_or(&name).to_owned();
    }
    if has_drive(&name) {
        name[..1].make_ascii_lowercase();
    }
    FileKey(name.into())
}

/// The path of a file on a disk.
pub fn path_of(key: &FileKey) -> Option<&Path> {
    let name = &*key.0;
    let on_disk = if cfg!(windows) {
        has_drive(name)
    } else {
        name.starts_with('/') && !name.starts_with("//")
    };
    on_disk.then(|| Path::new(name))
}

/// The address of a file that no editor has named yet.
pub fn uri_of(key: &FileKey) -> Option<Url> {
    match path_of(key) {
        Some(path) => Url::from_file_path(path).ok(),
        None => Url::parse(&key.0).ok(),
    }
}

/// The key of another file in the folder of a file on a disk.
pub fn beside(key: &FileKey, name: &str) -> Option<FileKey> {
    Some(key_of_path(&path_of(key)?.with_file_name(name)))
}

/// `c:/…`
fn has_drive(name: &str) -> bool {
    matches!(name.as_bytes(), [letter, b':', b'/', ..] if letter.is_ascii_alphabetic())
}

fn without_slash_before_drive(path: &str) -> &str {
    match path.as_bytes() {
        [b'/', letter, b':', b'/', ..] if letter.is_ascii_alphabetic() => &path[1..],
        _ => path,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(uri: &str) -> String {
        key_of(&Url::parse(uri).unwrap()).0.to_string()
    }

    #[test]
    fn spellings_of_one_file() {
        for uri in [
            "file:///C:/model/a b.harness",
            "file:///c%3A/model/a%20b.harness",
            "file:///c:/model/./a%20b.harness",
        ] {
            assert_eq!(key(uri), "c:/model/a b.harness");
        }
        for uri in [
            "file:///model/f%C3%A4hre.harness",
            "file:///model/fähre.harness",
            "file://localhost/model/x/../f%c3%a4hre.harness",
        ] {
            assert_eq!(key(uri), "/model/fähre.harness");
        }
        assert_eq!(key("file:///model/%5Ea%25.harness"), "/model/^a%.harness");
    }

    #[test]
    fn whatever_was_named_last_a_name_means_the_same() {
        let last = Last::default();
        for uri in [
            "file:///model/a%20b.harness",
            "file:///model/a b.harness",
            "file:///model/a b.harness",
            "file:///model/a%20b.harness",
            "untitled:1",
            "untitled:1",
            "FILE:///model/./c.harness",
        ] {
            let named = last.named(uri).unwrap();
            let uri = Url::parse(uri).unwrap();
            assert_eq!((&named.uri, &named.key), (&uri, &key_of(&uri)));
            assert!(last.named("no address").is_none());
        }
    }

    #[test]
    fn other_addresses_are_kept_word_for_word() {
        for uri in [
            "untitled:Untitled-1",
            "git:/model/a.harness?%7B%7D",
            "vscode-notebook-cell:/m/a#c1",
            "file://box/share/a.harness",
        ] {
            assert_eq!(key(uri), uri);
            assert_eq!(path_of(&key_of(&Url::parse(uri).unwrap())), None);
        }
    }

    #[test]
    fn a_path_becomes_an_address_and_comes_back() {
        let address = key_of_path(Path::new("/model/ä b^%.harness"));
        assert_eq!(key_of(&uri_of(&address).unwrap()), address);
    }

    #[test]
    fn spellings_of_one_path() {
        let key = key_of_path(Path::new("/model/ferry.harness"));
        for spelling in [
            "/model/./ferry.harness",
            "/model/hull/../ferry.harness",
            "/../model//ferry.harness",
        ] {
            assert_eq!(key_of_path(Path::new(spelling)), key);
        }
        assert_eq!(path_of(&key), Some(Path::new("/model/ferry.harness")));
    }
}
