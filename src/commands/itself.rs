//! `glimloom completions` and `glimloom man`: what the program says of itself to shells and readers of manuals.

use std::process::ExitCode;

use clap::CommandFactory;
use clap_mangen::Man;

use super::{Call, Trouble, out};

/// The section of a manual page on how a command ends, in the language of `man`.
const EXIT_STATUS: &str = r#".SH "EXIT STATUS"
.TP
0
There is no error; for \fBformat \-\-check\fR, nothing to lay out.
.TP
1
There is one.
.TP
2
The call itself is wrong, or a file or folder cannot be read; \fBcheck\fR still checks the others, and \fBformat\fR lays
out what else is in a folder that was named.
"#;

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
    let mut page = String::from_utf8_lossy(&page).into_owned();
    // As `--help` writes an argument that may be given again.
    for many in asked.get_positionals().filter(|arg| takes_many(arg)) {
        for name in many.get_value_names().unwrap_or_default() {
            let one = format!("<\\fI{name}\\fR>");
            page = page.replace(&one, &format!("{one}..."));
        }
    }
    out::print(&format!("{page}{EXIT_STATUS}"), 0)
}

fn takes_many(arg: &clap::Arg) -> bool {
    arg.get_num_args().is_some_and(|n| n.max_values() > 1)
}
