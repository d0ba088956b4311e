//! `--watch`: does it again whenever a file changes.

use std::collections::BTreeSet;
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use glimloom::numbers::count;
use notify::{Event, RecommendedWatcher, RecursiveMode, Watcher};

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
    /// What is to be said of files that cannot be read.
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
        whole: BTreeSet::new(),
        single: BTreeSet::new(),
    };
    // From before the first look on, so that no change is missed; whole folders first.
    let mut real = Vec::new();
    for path in named {
        let found = path.canonicalize();
        real.push(found.map_err(|_| format!("{}: there is no such file", path.display()))?);
    }
    let (whole, single): (Vec<_>, Vec<_>) = real.into_iter().partition(|path| path.is_dir());
    for folder in whole {
        folders.add(folder)?;
    }
    for file in single {
        folders.add_around(&file)?;
    }
    // A call that is wrong from the start is no plan to wait for.
    let mut done = Some(once()?);
    let mut files = BTreeSet::new();
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
            for file in &done.files {
                folders.add_around(file)?;
            }
            files = done.files;
        }
        out::say(&format!(
            "watching {}; Ctrl-C ends",
            count(files.len(), "file")
        ));
        if !wait(&events, &files) {
            return Ok(ExitCode::SUCCESS);
        }
        done = once().map_err(|trouble| out::say(&trouble)).ok();
    }
}

fn cannot(e: &notify::Error) -> Trouble {
    format!("cannot watch: {e}")
}

/// The folders that are watched: not files, since an editor may put another file in the place of one.
struct Folders {
    watcher: RecommendedWatcher,
    /// With all that is below them.
    whole: BTreeSet<PathBuf>,
    /// For the files right in them.
    single: BTreeSet<PathBuf>,
}

impl Folders {
    /// Watches a folder and all below it.
    fn add(&mut self, folder: PathBuf) -> Result<(), Trouble> {
        self.watch(&folder, RecursiveMode::Recursive)?;
        self.whole.insert(folder);
        Ok(())
    }

    /// Watches the folder of a file, unless it is watched already.
    fn add_around(&mut self, file: &Path) -> Result<(), Trouble> {
        let Some(folder) = file.parent() else {
            return Ok(());
        };
        let is_watched = self.single.contains(folder)
            || folder.ancestors().any(|above| self.whole.contains(above));
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
fn wait(events: &Receiver<notify::Result<Event>>, files: &BTreeSet<PathBuf>) -> bool {
    loop {
        match events.recv() {
            Ok(event) if matters(&event, files) => break,
            Ok(_) => {}
            Err(_) => return false,
        }
    }
    let more = std::iter::from_fn(|| events.recv_timeout(QUIET).ok());
    more.take(MOST_EVENTS).for_each(drop);
    true
}

/// Whether a plan may have changed. That it was read changes nothing; after an error all may have.
fn matters(event: &notify::Result<Event>, files: &BTreeSet<PathBuf>) -> bool {
    let is_plan = |path: &PathBuf| {
        files.contains(path) || path.extension().is_some_and(|ending| ending == "harness")
    };
    match event {
        Ok(event) => {
            !event.kind.is_access() && (event.paths.iter().any(is_plan) || event.need_rescan())
        }
        Err(_) => true,
    }
}
