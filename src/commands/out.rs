//! What is printed, and what is said beside it.

use std::io::{ErrorKind, IsTerminal, Write};
use std::process::ExitCode;

use super::Trouble;

/// Colour is for eyes: on a terminal, unless NO_COLOR (no-color.org) is set to anything.
pub fn colour() -> bool {
    let unwanted = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    std::io::stdout().is_terminal() && !unwanted
}

/// Prints a paper, with a line end at its end, and ends with this status.
pub fn print(text: &str, status: u8) -> Result<ExitCode, Trouble> {
    let end = if text.ends_with('\n') { "" } else { "\n" };
    print_exactly(&[text, end].concat(), status)
}

/// Prints a text as it is, and ends with this status.
pub fn print_exactly(text: &str, status: u8) -> Result<ExitCode, Trouble> {
    match write(text) {
        Ok(()) => Ok(ExitCode::from(status)),
        Err(e) => ended_quietly(&e),
    }
}

/// Puts a text on standard output.
pub fn write(text: &str) -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    out.write_all(text.as_bytes()).and_then(|()| out.flush())
}

/// A reader who has seen enough (`| head`) ends it without a word; any other failure to write is told.
pub fn ended_quietly(e: &std::io::Error) -> Result<ExitCode, Trouble> {
    match e.kind() {
        ErrorKind::BrokenPipe => Ok(ExitCode::SUCCESS),
        _ => Err(format!("cannot print: {e}")),
    }
}

/// A line beside what is printed.
pub fn say(line: &str) {
    let _ = writeln!(std::io::stderr(), "glimloom: {line}");
}
