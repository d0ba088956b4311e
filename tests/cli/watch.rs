//! `--watch`: it looks again when a file changes.

use std::cell::RefCell;
use std::io::{BufRead, BufReader};
use std::process::{Child, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use super::{CLEAN, Folder, badly_cut, program};

/// No check takes this long on the slowest machine; only a failing test ever waits for it.
const PATIENCE: Duration = Duration::from_secs(60);

struct Watched {
    child: Child,
    lines: Receiver<String>,
    /// Lines that came and were not waited for yet: those of the two streams come in any order.
    early: RefCell<Vec<String>>,
}

impl Watched {
    fn start(folder: &Folder, file: &str) -> Watched {
        Watched::call(folder, &["check", "--watch", file])
    }

    fn call(folder: &Folder, arguments: &[&str]) -> Watched {
        let mut child = program(&folder.0)
            .args(arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (tell, lines) = channel();
        let (out, err) = (child.stdout.take().unwrap(), child.stderr.take().unwrap());
        let other = tell.clone();
        std::thread::spawn(move || {
            let lines = BufReader::new(out).lines().map_while(Result::ok);
            lines.for_each(|line| drop(tell.send(line)));
        });
        std::thread::spawn(move || {
            let lines = BufReader::new(err).lines().map_while(Result::ok);
            lines.for_each(|line| drop(other.send(line)));
        });
        Watched {
            child,
            lines,
            early: RefCell::default(),
        }
    }

    /// Waits for a line with these words.
    fn says(&self, words: &str) {
        let mut early = self.early.borrow_mut();
        loop {
            if let Some(place) = early.iter().position(|line| line.contains(words)) {
                early.remove(place);
                return;
            }
            match self.lines.recv_timeout(PATIENCE) {
                Ok(line) => early.push(line),
                Err(e) => panic!("{words:?} did not come ({e}): {early:#?}"),
            }
        }
    }
}

impl Drop for Watched {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn a_change_is_looked_at() {
    let folder = Folder::new("watch").with("tern.harness", CLEAN);
    let watched = Watched::start(&folder, "tern.harness");
    watched.says("1 file: nothing found");
    watched.says("watching 1 file; Ctrl-C ends");
    let folder = folder.with("tern.harness", badly_cut());
    watched.says("1 file: 1 error");
    // As editors do it: written beside, then renamed.
    let folder = folder.with("new", CLEAN);
    std::fs::rename(folder.path("new"), folder.path("tern.harness")).unwrap();
    watched.says("1 file: nothing found");
    // Gone for a while, and back.
    std::fs::remove_file(folder.path("tern.harness")).unwrap();
    watched.says("tern.harness: there is no such file");
    let _folder = folder.with("tern.harness", badly_cut());
    watched.says("1 file: 1 error");
}

#[test]
fn used_files_and_whole_folders_are_watched() {
    let plan = CLEAN.replacen(
        "harness \"Tern, pilot boat\"\n",
        "use \"../bits/z.harness\"\n",
        1,
    );
    let folder = Folder::new("watch-used")
        .with("ship/plan.harness", plan)
        .with("bits/z.harness", "zone z\n");
    let watched = Watched::start(&folder, "ship");
    watched.says("watching 2 files; Ctrl-C ends");
    let folder = folder.with("bits/z.harness", "zone z sealed sealed\n");
    watched.says("1 file: 1 error");
    watched.says("watching");
    // A new plan in the folder.
    let _folder = folder.with("ship/deep.harness", badly_cut());
    watched.says("2 files: 2 errors");
}

#[test]
fn a_folder_may_go_away_and_come_back() {
    let plan = CLEAN.replacen(
        "harness \"Tern, pilot boat\"\n",
        "use \"bits/z.harness\"\n",
        1,
    );
    let folder = Folder::new("watch-away").with("ship/plan.harness", &plan);
    let watched = Watched::start(&folder, "ship/plan.harness");
    watched.says("1 file: 1 error");
    watched.says("watching 2 files; Ctrl-C ends");
    // What is used comes to be, in a folder that was not there.
    let folder = folder.with("bits/z.harness", "zone z\n");
    std::fs::rename(folder.path("bits"), folder.path("ship/bits")).unwrap();
    watched.says("1 file: nothing found");
    watched.says("watching 2 files");
    let folder = folder.with("ship/bits/z.harness", "zone z sealed sealed\n");
    watched.says("1 file: 1 error");
    watched.says("watching 2 files");
    // All of it away, and another in its place.
    std::fs::remove_dir_all(folder.path("ship")).unwrap();
    watched.says("ship/plan.harness: there is no such file");
    let folder = folder
        .with("other/plan.harness", &plan)
        .with("other/bits/z.harness", "zone z\n");
    std::fs::rename(folder.path("other"), folder.path("ship")).unwrap();
    watched.says("1 file: nothing found");
    watched.says("watching 2 files");
    let _folder = folder.with("ship/bits/z.harness", "zone z sealed sealed\n");
    watched.says("1 file: 1 error");
}

#[test]
fn a_whole_folder_may_go_away_and_come_back() {
    let folder = Folder::new("watch-whole").with("ship/plan.harness", CLEAN);
    let watched = Watched::start(&folder, "ship");
    watched.says("1 file: nothing found");
    watched.says("watching 1 file");
    std::fs::rename(folder.path("ship"), folder.path("away")).unwrap();
    watched.says("there is no such file");
    let folder = folder.with("other/plan.harness", badly_cut());
    std::fs::rename(folder.path("other"), folder.path("ship")).unwrap();
    watched.says("1 file: 1 error");
    let _folder = folder.with("ship/deep/more.harness", badly_cut());
    watched.says("2 files: 2 errors");
}

#[test]
fn what_was_never_there_is_not_waited_for() {
    let folder = Folder::new("watch-none").with("tern.harness", CLEAN);
    let done = folder.call(&["check", "--watch", "none.harness"]);
    assert_eq!((done.status, &*done.out), (Some(2), ""));
    assert_eq!(done.err, "glimloom: none.harness: there is no such file\n");
    for other in ["--json", "--sarif"] {
        let done = folder.call(&["check", "--watch", other, "tern.harness"]);
        assert_eq!((done.status, &*done.out), (Some(2), ""), "{other}");
    }
}

#[test]
fn a_drawing_follows_its_plan() {
    let folder = Folder::new("watch-draw").with("tern.harness", CLEAN);
    let watched = Watched::call(
        &folder,
        &["draw", "tern.harness", "--watch", "-o", "tern.svg"],
    );
    watched.says("tern.svg: written");
    watched.says("watching 1 file; Ctrl-C ends");
    let svg = || std::fs::read_to_string(folder.path("tern.svg")).unwrap();
    assert!(svg().contains("Tern, pilot boat"));
    let changed = CLEAN.replace("Tern, pilot boat", "Tern, later");
    std::fs::write(folder.path("tern.harness"), changed).unwrap();
    watched.says("tern.svg: written");
    watched.says("watching 1 file; Ctrl-C ends");
    assert!(svg().contains("Tern, later"));
}
