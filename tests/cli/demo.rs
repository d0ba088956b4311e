//! The demonstration holds what it shows against what it expects; its exit status says whether all was so.

use std::io::Read;
use std::process::Stdio;

use super::{Folder, done, program};

#[test]
fn the_demonstration_passes() {
    let done = Folder::new("demo").call(&["demo"]);
    assert_eq!((done.status, &*done.err), (Some(0), ""), "{}", done.out);
    for told in ["bay-3", "cut", "mA", "  + "] {
        assert!(done.out.contains(told), "{told}: {}", done.out);
    }
    assert!(!done.out.contains('\u{1b}'), "{}", done.out);
}

/// As every other command ends: quietly where the reader has seen enough, as a wrong call where nothing can be told.
#[test]
fn a_reader_who_has_seen_enough_ends_it_quietly() {
    let folder = Folder::new("demo-pipe");
    let mut child = program(&folder.0)
        .arg("demo")
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut first = [0];
    let mut out = child.stdout.take().unwrap();
    out.read_exact(&mut first).unwrap();
    drop(out);
    let done = done(child.wait_with_output().unwrap());
    assert_eq!((done.status, &*done.err), (Some(0), ""));
}

#[cfg(target_os = "linux")]
#[test]
fn what_cannot_be_told_is_a_wrong_call() {
    let folder = Folder::new("demo-full");
    let full = std::fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .unwrap();
    let mut command = program(&folder.0);
    let done = done(command.arg("demo").stdout(full).output().unwrap());
    assert_eq!(done.status, Some(2));
    assert!(
        done.err.starts_with("glimloom: cannot print: "),
        "{}",
        done.err
    );
}
