//! `glimloom format`: plans are brought into columns, each file in one step or not at all.

use std::io::Read;
use std::path::PathBuf;
use std::process::ExitCode;

use glimloom::format::document;
use glimloom::numbers::count;
use glimloom::plan::UseFailure;
use glimloom::server::files::text_of;
use glimloom::syntax::read_file;
use glimloom::text::{MAX_BYTES, apply};

use super::plans::{self, why};
use super::written::replace;
use super::{Trouble, WRONG_CALL, out};

/// Lays out all files that are named; with `check` only says which would change.
pub fn format(paths: &[PathBuf], check: bool) -> Result<ExitCode, Trouble> {
    if let [only] = paths
        && only.as_os_str() == "-"
    {
        return standard_input(check);
    }
    // All are read before any is written: a call that is wrong changes nothing. What lies in a folder and cannot be read is
    // no reason to leave the rest of it.
    let mut changed = Vec::new();
    let plans::Found {
        files: named,
        mut troubles,
    } = plans::named(paths)?;
    let mut count_read = 0;
    for file in &named {
        let text = match plans::read(&file.path) {
            Ok((_, text)) => text,
            Err(trouble) if file.folder.is_some() => {
                troubles.push(trouble);
                continue;
            }
            Err(trouble) => return Err(trouble),
        };
        count_read += 1;
        let new = laid_out(&text);
        if *new != *text {
            changed.push((&file.path, new));
        }
    }
    troubles.iter().for_each(|trouble| out::say(trouble));
    if count_read == 0 {
        return Ok(ExitCode::from(WRONG_CALL));
    }
    let mut text = String::new();
    for (path, new) in &changed {
        if !check {
            replace(path, new)
                .map_err(|e| format!("{}: cannot be written: {e}", path.display()))?;
        }
        let done = if check { "would change" } else { "laid out" };
        text += &format!("{}: {done}\n", path.display());
    }
    let files = count(count_read, "file");
    text += &match (changed.len(), check) {
        (0, _) => format!("{files}: nothing to lay out\n"),
        (n, true) => format!("{files}: {n} would change\n"),
        (n, false) => format!("{files}: {n} laid out\n"),
    };
    let status = match troubles.is_empty() {
        true => u8::from(check && !changed.is_empty()),
        false => WRONG_CALL,
    };
    out::print(&text, status)
}

fn laid_out(text: &str) -> String {
    // Edits of blanks between words do not overlap; were they to, the text would stay as it is.
    apply(text, &document(&read_file(text))).unwrap_or_else(|_| text.to_owned())
}

/// From standard input to standard output, as an editor without a language server may want it.
fn standard_input(check: bool) -> Result<ExitCode, Trouble> {
    let trouble = |why: &dyn std::fmt::Display| format!("standard input: {why}");
    let mut bytes = Vec::new();
    std::io::stdin()
        .lock()
        .take(MAX_BYTES as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(|e| trouble(&e))?;
    if bytes.len() > MAX_BYTES {
        return Err(trouble(&why(UseFailure::TooLarge)));
    }
    let text = text_of(bytes).map_err(|failure| trouble(&why(failure)))?;
    let new = laid_out(&text);
    if !check {
        return out::print_exactly(&new, 0);
    }
    match new == text {
        true => out::print("standard input: nothing to lay out", 0),
        false => out::print("standard input: would change", 1),
    }
}
