//! What is written to files: whole or not at all, and never in the place of a file that is somebody's own.

use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use glimloom::papers::mark::{WITHIN, is_ours};

use super::{Trouble, out};

/// Where a paper goes.
#[derive(clap::Args)]
#[group(skip)] // It stands in groups of that name.
pub struct Asked {
    /// Write to this file; without it, print
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// Write even in the place of a file that glimloom did not make
    #[arg(long, requires = "output")]
    pub force: bool,
}

/// Puts a paper where it was asked for. `sources` are the files that it was made from: none of them is ever overwritten.
/// The paper begins with the mark (`papers/mark.rs`), by which the next call knows it.
pub fn put(asked: &Asked, paper: &str, sources: &[&Path]) -> Result<ExitCode, Trouble> {
    let Some(path) = &asked.output else {
        return out::print(paper, 0);
    };
    let cannot = |e: std::io::Error| format!("{}: cannot be written: {e}", path.display());
    match standing(path, sources).map_err(cannot)? {
        Standing::Nothing => create(path, paper).map_err(cannot)?,
        Standing::Device => std::fs::write(path, paper).map_err(cannot)?,
        Standing::Ours => replace(path, paper).map_err(cannot)?,
        Standing::Other if asked.force => replace(path, paper).map_err(cannot)?,
        Standing::Other => {
            let path = path.display();
            return Err(format!(
                "{path}: stays as it is, for glimloom did not make it; `--force` writes over it"
            ));
        }
        Standing::Source => {
            let path = path.display();
            return Err(format!("{path}: is the plan itself; name another file"));
        }
    }
    out::print(&format!("{}: written", path.display()), 0)
}

/// What stands where a paper is to go.
enum Standing {
    Nothing,
    /// A file that we made, or one with nothing in it.
    Ours,
    Other,
    /// A file that the paper is made from.
    Source,
    /// A terminal, a pipe: something that takes bytes and keeps nothing.
    Device,
}

fn standing(path: &Path, sources: &[&Path]) -> std::io::Result<Standing> {
    let real = match path.canonicalize() {
        Ok(real) => real,
        Err(e) if e.kind() == ErrorKind::NotFound => return Ok(Standing::Nothing),
        Err(e) => return Err(e),
    };
    let about = std::fs::metadata(&real)?;
    if about.is_dir() {
        return Err(std::io::Error::other("it is a folder"));
    }
    if !about.is_file() {
        return Ok(Standing::Device);
    }
    if sources.contains(&&*real) {
        return Ok(Standing::Source);
    }
    let mut beginning = Vec::new();
    let file = std::fs::File::open(&real)?;
    file.take(WITHIN as u64).read_to_end(&mut beginning)?;
    Ok(match beginning.is_empty() || is_ours(&beginning) {
        true => Standing::Ours,
        false => Standing::Other,
    })
}

/// Writes a file that is not there yet: written beside its place and then renamed, so that whoever reads it meets all of
/// it. Where another has been put there meanwhile, that one stays.
fn create(path: &Path, text: &str) -> std::io::Result<()> {
    let folder = path.parent().filter(|f| !f.as_os_str().is_empty());
    let folder = folder.unwrap_or(Path::new("."));
    if !folder.is_dir() {
        return Err(std::io::Error::other("there is no such folder"));
    }
    let mut beside = new_beside(folder)?;
    beside.write_all(text.as_bytes())?;
    beside.as_file().sync_all()?;
    beside.persist_noclobber(path)?;
    Ok(())
}

/// A new file, with the rights that a new file has here.
fn new_beside(folder: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}

/// Puts a new text in the place of a file: written beside it and then renamed, so that whoever reads it, or a power
/// cut, meets the old text or the new one. Symbolic links stay; who may read and write it stays, and whose it is, where the
/// system allows that. Another name of the same file (a hard link) keeps the old text.
pub fn replace(path: &Path, text: &str) -> std::io::Result<()> {
    let real = path.canonicalize()?;
    let about = std::fs::metadata(&real)?;
    let rights = about.permissions();
    if rights.readonly() {
        return Err(std::io::Error::other("it is protected against writing"));
    }
    let folder = real.parent().unwrap_or(Path::new("."));
    let mut beside = tempfile::NamedTempFile::new_in(folder)?;
    beside.write_all(text.as_bytes())?;
    beside.as_file().sync_all()?;
    #[cfg(unix)]
    keep_owner(beside.as_file(), &about)?;
    beside.as_file().set_permissions(rights)?;
    beside.persist(&real)?;
    Ok(())
}

/// Gives a file the owner and the group of the one whose place it takes; where the system refuses that, the group alone, or
/// neither.
#[cfg(unix)]
fn keep_owner(new: &std::fs::File, old: &std::fs::Metadata) -> std::io::Result<()> {
    use std::os::unix::fs::{MetadataExt, fchown};
    let is = new.metadata()?;
    if (is.uid(), is.gid()) != (old.uid(), old.gid()) {
        let _ = fchown(new, Some(old.uid()), Some(old.gid()))
            .or_else(|_| fchown(new, None, Some(old.gid())));
    }
    Ok(())
}
