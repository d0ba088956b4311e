//! `glimloom completions` and `glimloom man`: what the program says of itself to shells and readers of manuals.

use std::process::ExitCode;

use clap::CommandFactory;
use clap_mangen::Man;

use super::{Call, Trouble, out};

/// What completes the command line in a shell.
pub fn completions(shell: clap_complete::Shell) -> Result<ExitCode, Trouble> {
    let mut command = Call::command();
    let name = command.get_name().to_owned();
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut command, name, &mut script);
    out::print(&String::from_utf8_lossy(&script), 0)
}

/// The manual page, in the language of `man`: of the program, or of one of its commands.
pub fn manual(of: Option<&str>) -> Result<ExitCode, Trouble> {
    let mut program = Call::command();
    program.build();
    let asked = match of {
        None => Some(&program),
        Some(name) => program.find_subcommand(name),
    };
    let Some(asked) = asked else {
        return Err(format!("there is no command {:?}", of.unwrap_or_default()));
    };
    let mut page = Vec::new();
    // Writing to memory does not fail.
    let _ = Man::new(asked.clone()).render(&mut page);
    out::print(&String::from_utf8_lossy(&page), 0)
}
