//! `glimloom format`: what it writes, what it says, and when it writes nothing.

use std::io::Write;
use std::process::Stdio;

use super::{CLEAN, Done, Folder, done, program};

const RAGGED: &str = "\u{feff}zone a # deck\r\nzone bridge # wheel \r\n\tsealed";
const COLUMNS: &str = "\u{feff}zone a       # deck\r\nzone bridge  # wheel\r\n  sealed";

fn read(folder: &Folder, name: &str) -> String {
    std::fs::read_to_string(folder.path(name)).unwrap()
}

#[test]
fn plans_are_laid_out_in_place_and_told() {
    let folder = Folder::new("format")
        .with("a.harness", RAGGED)
        .with("sub/b.harness", COLUMNS)
        .with("sub/notes.txt", "zone   c");
    let check = folder.call(&["format", "--check", "a.harness", "sub"]);
    let said = "a.harness: would change\n2 files: 1 would change\n";
    assert_eq!(
        (check.status, &*check.out, &*check.err),
        (Some(1), said, "")
    );
    assert_eq!(read(&folder, "a.harness"), RAGGED);
    let done = folder.call(&["format", "a.harness", "sub"]);
    let said = "a.harness: laid out\n2 files: 1 laid out\n";
    assert_eq!((done.status, &*done.out, &*done.err), (Some(0), said, ""));
    assert_eq!(read(&folder, "a.harness"), COLUMNS);
    assert_eq!(read(&folder, "sub/notes.txt"), "zone   c");
    for call in [&["format", "."][..], &["format", ".", "--check"]] {
        let again = folder.call(call);
        let said = "2 files: nothing to lay out\n";
        assert_eq!((again.status, &*again.out), (Some(0), said), "{call:?}");
    }
    // Nothing is left beside the plans.
    assert_eq!(std::fs::read_dir(&folder.0).unwrap().count(), 2);
}

#[test]
fn a_file_that_needs_nothing_is_not_touched() {
    let folder = Folder::new("format-untouched").with("a.harness", COLUMNS);
    let file = std::fs::File::options()
        .write(true)
        .open(folder.path("a.harness"));
    let long_ago = std::time::SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(1_000_000);
    file.unwrap().set_modified(long_ago).unwrap();
    assert_eq!(folder.call(&["format", "a.harness"]).status, Some(0));
    let about = std::fs::metadata(folder.path("a.harness")).unwrap();
    assert_eq!(about.modified().unwrap(), long_ago);
}

#[test]
fn a_call_that_is_wrong_writes_nothing() {
    let folder = Folder::new("format-wrong")
        .with("a.harness", RAGGED)
        .with("latin.harness", [b'#', 0xe4, b'\n'])
        .with("empty/x", "");
    for (other, named) in [
        ("none.harness", "none.harness: there is no such file"),
        (
            "latin.harness",
            "latin.harness: is not UTF-8 text from byte 2 of line 1 on",
        ),
        ("empty", "empty: no plan is in this folder"),
        ("-", "-: there is no such file"),
    ] {
        let done = folder.call(&["format", "a.harness", other]);
        assert_eq!((done.status, &*done.out), (Some(2), ""), "{other}");
        assert_eq!(done.err, format!("glimloom: {named}\n"));
    }
    assert_eq!(read(&folder, "a.harness"), RAGGED);
}

#[cfg(unix)]
#[test]
fn links_rights_and_protection_stay() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let folder = Folder::new("format-rights")
        .with("real/a.harness", RAGGED)
        .with("kept.harness", RAGGED);
    symlink("real/a.harness", folder.path("link.harness")).unwrap();
    let rights = |name: &str, mode: u32| {
        let rights = std::fs::Permissions::from_mode(mode);
        std::fs::set_permissions(folder.path(name), rights).unwrap();
    };
    rights("real/a.harness", 0o640);
    assert_eq!(folder.call(&["format", "link.harness"]).status, Some(0));
    let link = std::fs::symlink_metadata(folder.path("link.harness")).unwrap();
    assert!(link.is_symlink());
    assert_eq!(read(&folder, "real/a.harness"), COLUMNS);
    let about = std::fs::metadata(folder.path("real/a.harness")).unwrap();
    assert_eq!(about.permissions().mode() & 0o777, 0o640);
    rights("kept.harness", 0o440);
    let done = folder.call(&["format", "kept.harness"]);
    assert_eq!(done.status, Some(2));
    assert!(
        done.err.contains("kept.harness: cannot be written"),
        "{}",
        done.err
    );
    assert_eq!(read(&folder, "kept.harness"), RAGGED);
}

/// Who owns a file, and which group, stays. Only root may give a file away; anybody else finds his own.
#[cfg(unix)]
#[test]
fn owner_and_group_stay() {
    use std::os::unix::fs::{MetadataExt, chown};
    let folder = Folder::new("format-owner").with("a.harness", RAGGED);
    let path = folder.path("a.harness");
    let _ = chown(&path, Some(12345), Some(23456));
    let about = || {
        let about = std::fs::metadata(&path).unwrap();
        (about.uid(), about.gid())
    };
    let before = about();
    assert_eq!(folder.call(&["format", "a.harness"]).status, Some(0));
    assert_eq!(read(&folder, "a.harness"), COLUMNS);
    assert_eq!(about(), before);
}

fn piped(arguments: &[&str], input: &[u8]) -> Done {
    let folder = Folder::new("format-pipe");
    let mut child = program(&folder.0)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input).unwrap();
    done(child.wait_with_output().unwrap())
}

#[test]
fn from_standard_input_to_standard_output() {
    let done = piped(&["format", "-"], RAGGED.as_bytes());
    assert_eq!(
        (done.status, &*done.out, &*done.err),
        (Some(0), COLUMNS, "")
    );
    let done = piped(&["format", "-"], b"");
    assert_eq!((done.status, &*done.out), (Some(0), ""));
    let done = piped(&["format", "-", "--check"], RAGGED.as_bytes());
    assert_eq!(
        (done.status, &*done.out),
        (Some(1), "standard input: would change\n")
    );
    let done = piped(&["format", "--check", "-"], COLUMNS.as_bytes());
    assert_eq!(done.status, Some(0));
    let done = piped(&["format", "-"], &[b'#', 0xe4]);
    assert_eq!((done.status, &*done.out), (Some(2), ""));
    assert_eq!(
        done.err,
        "glimloom: standard input: is not UTF-8 text from byte 2 of line 1 on\n"
    );
}

#[test]
fn the_figures_are_those_of_before() {
    let folder = Folder::new("format-figures").with("tern.harness", CLEAN);
    let figures = || folder.call(&["figures", "tern.harness", "--json"]).out;
    let before = figures();
    folder.call(&["format", "tern.harness"]);
    assert_ne!(read(&folder, "tern.harness"), CLEAN);
    assert_eq!(figures(), before);
}
