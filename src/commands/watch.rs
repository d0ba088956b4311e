//! `--watch`: does it again whenever a file changes.

use std::collections::BTreeSet;
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use glimloom::numbers::count;
use notify::event::ModifyKind;
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher};

use super::{Trouble, out};

/// An editor may write a file in several steps: so long must it be quiet.
const QUIET: Duration = Duration::from_millis(60);

/// And after so many events it is looked at even so.
const MOST_EVENTS: usize = 1000;

/// Clears a terminal and puts its cursor on top (ECMA-48: ED 2, ED 3, CUP).
const CLEAR: &str = "\u{1b}[2J\u{1b}[3J\u{1b}[H";

/// What was done once.
pub struct Done {
    /// What is to be printed, on a terminal that is cleared for it; none: it printed what there was itself.
    pub text: Option<String>,
    /// All files that it depends on.
    pub files: BTreeSet<PathBuf>,
    /// What is to be said of files and folders that cannot be read.
    pub troubles: Vec<Trouble>,
}

/// Does something with files and folders, waits for a change, and so on. It ends with Ctrl-C, or when nobody reads it any
/// more.
pub fn watch(
    named: &[PathBuf],
    once: impl Fn() -> Result<Done, Trouble>,
) -> Result<ExitCode, Trouble> {
    let (tell, events) = channel();
    let watcher = notify::recommended_watcher(move |event| {
        let _ = tell.send(event);
    });
    let mut folders = Folders {
        watcher: watcher.map_err(|e| cannot(&e))?,
        files: BTreeSet::new(),
        whole: BTreeSet::new(),
        single: BTreeSet::new(),
    };
    // From before the first look on, so that no change is missed.
    for path in named {
        let found = path.canonicalize();
        let real = found.map_err(|_| format!("{}: there is no such file", path.display()))?;
        match real.is_dir() {
            true => folders.whole.insert(real),
            false => folders.files.insert(real),
        };
    }
    folders.renew()?;
    // A call that is wrong from the start is no plan to wait for.
    let mut done = Some(once()?);
    loop {
        let text = done.as_ref().map_or(Some(""), |done| done.text.as_deref());
        if let Some(text) = text.map(str::trim_end) {
            let clear = match std::io::stdout().is_terminal() {
                true => CLEAR,
                false => "",
            };
            let end = if text.is_empty() { "" } else { "\n" };
            if let Err(e) = out::write(&[clear, text, end].concat()) {
                return out::ended_quietly(&e);
            }
        }
        if let Some(done) = done {
            done.troubles.iter().for_each(|trouble| out::say(trouble));
            folders.files = done.files;
            folders.renew()?;
        }
        out::say(&format!(
            "watching {}; Ctrl-C ends",
            count(folders.files.len(), "file")
        ));
        if !wait(&events, &folders) {
            return Ok(ExitCode::SUCCESS);
        }
        folders.renew()?;
        done = once().map_err(|trouble| out::say(&trouble)).ok();
    }
}

fn cannot(e: &notify::Error) -> Trouble {
    format!("cannot watch: {e}")
}

/// What is watched: folders, not files, since an editor may put another file in the place of one.
struct Folders {
    watcher: RecommendedWatcher,
    /// The files that are waited for; one or the other may not be there.
    files: BTreeSet<PathBuf>,
    /// Folders of which all that is in them is waited for.
    whole: BTreeSet<PathBuf>,
    /// Those that are watched for what is right in them.
    single: BTreeSet<PathBuf>,
}

impl Folders {
    /// Watches all anew: a folder that went away and came back is another one.
    fn renew(&mut self) -> Result<(), Trouble> {
        self.single.clear();
        for folder in self.whole.clone() {
            if folder.is_dir() {
                self.watch(&folder, RecursiveMode::Recursive)?;
            }
            self.add_around(&folder)?;
        }
        for file in self.files.clone() {
            self.add_around(&file)?;
        }
        Ok(())
    }

    /// Watches the folder of a file, or the nearest above it that is there, and the one above that, in which it may come and go;
    /// unless these are watched already.
    fn add_around(&mut self, file: &Path) -> Result<(), Trouble> {
        let mut there = file.ancestors().skip(1).filter(|folder| folder.is_dir());
        if let Some(folder) = there.next() {
            self.add_single(folder)?;
        }
        // Who may not watch that one hears of all else.
        if let Some(above) = there.next() {
            let _ = self.add_single(above);
        }
        Ok(())
    }

    /// Watches what is right in a folder, unless that is watched already.
    fn add_single(&mut self, folder: &Path) -> Result<(), Trouble> {
        let mut above = folder.ancestors();
        let is_watched = self.single.contains(folder) || above.any(|f| self.whole.contains(f));
        if !is_watched {
            self.watch(folder, RecursiveMode::NonRecursive)?;
            self.single.insert(folder.to_owned());
        }
        Ok(())
    }

    fn watch(&mut self, folder: &Path, mode: RecursiveMode) -> Result<(), Trouble> {
        self.watcher.watch(folder, mode).map_err(|e| cannot(&e))
    }
}

/// Waits until something has changed that may matter, and then until it is quiet. False if nothing more can come.
fn wait(events: &Receiver<notify::Result<Event>>, folders: &Folders) -> bool {
    loop {
        match events.recv() {
            Ok(event) if matters(&event, folders) => break,
            Ok(_) => {}
            Err(_) => return false,
        }
    }
    let more = std::iter::from_fn(|| events.recv_timeout(QUIET).ok());
    more.take(MOST_EVENTS).for_each(drop);
    true
}

/// Whether a plan may have changed. That it was read changes nothing; after an error all may have.
fn matters(event: &notify::Result<Event>, folders: &Folders) -> bool {
    // Plans may have come into a new folder before it was watched.
    let is_new = event.as_ref().is_ok_and(|event| {
        matches!(
            event.kind,
            EventKind::Create(_) | EventKind::Modify(ModifyKind::Name(_))
        )
    });
    let waited_for = || folders.files.iter().chain(&folders.whole);
    let is_plan = |path: &PathBuf| {
        path.extension().is_some_and(|ending| ending == "harness")
            || waited_for().any(|file| file.starts_with(path))
            || (is_new && is_folder_below(&folders.whole, path))
    };
    match event {
        Ok(event) => {
            !event.kind.is_access() && (event.paths.iter().any(is_plan) || event.need_rescan())
        }
        Err(_) => true,
    }
}

/// Whether something is a folder in one of these, not a hidden one.
fn is_folder_below(whole: &BTreeSet<PathBuf>, path: &Path) -> bool {
    let mut below = whole
        .iter()
        .filter_map(|folder| path.strip_prefix(folder).ok());
    let is_shown = |below: &Path| {
        let mut parts = below.components();
        parts.all(|part| !part.as_os_str().as_encoded_bytes().starts_with(b"."))
    };
    below.any(is_shown) && path.is_dir()
}
