//! The command line: what can be called, and how a call ends.

mod check;
mod draw;
mod explain;
mod figures;
mod format;
mod itself;
mod out;
mod parts;
mod plans;
mod sheet;
mod suspects;
mod watch;
mod written;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// Checks and works out lighting plans of scale models (harness files).
#[derive(Parser)]
#[command(version, arg_required_else_help = true)]
struct Call {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Say what is wrong with plans
    Check(check::Asked),
    /// Print volts, amps and watts of every item in every scene
    Figures {
        /// The plan
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// Print JSON, for other programs
        #[arg(long)]
        json: bool,
        /// With it breaks, shorts, zones, passages and batteries
        #[arg(long, requires = "json")]
        full: bool,
    },
    /// Draw the feed of a plan, in SVG
    Draw(draw::Asked),
    /// Print what a plan takes of everything, what is at hand, and what is to be bought
    Parts(parts::Asked),
    /// Write the bench sheet: what to buy, cut, try, fit, solder and test, and what to know years later
    Sheet(sheet::Asked),
    /// Say what may be wrong where lights are dark or dim, and where to measure
    Suspects(suspects::Asked),
    /// Bring plans into columns; figures, words and comments stay as they are
    Format {
        /// The plans, or folders of plans; `-` reads standard input and prints
        #[arg(required = true, value_name = "FILE")]
        files: Vec<PathBuf>,
        /// Write nothing; say which would change, and end with 1 if any would
        #[arg(long)]
        check: bool,
    },
    /// Serve an editor, by the language server protocol on standard input and output
    Serve {
        /// The way to talk; there is only this one
        #[arg(long)]
        stdio: bool,
    },
    /// Print what a check is about, why it matters, and how to mend it
    Explain {
        /// The name of the check, as in `single-path`
        #[arg(value_name = "CHECK")]
        check: String,
    },
    /// Show in a few seconds what an editor would do with a plan
    Demo,
    /// Print what completes the command line in a shell
    Completions {
        /// The shell
        #[arg(value_name = "SHELL")]
        shell: clap_complete::Shell,
    },
    /// Print the manual page, of the program or of one command
    Man {
        /// The command
        #[arg(value_name = "COMMAND")]
        command: Option<String>,
    },
}

/// What ends a command early: a line for the terminal. The exit status is then 2.
type Trouble = String;

/// The exit status of a call that cannot be done.
const WRONG_CALL: u8 = 2;

/// Reads the call and does it.
pub fn main() -> ExitCode {
    let done = match Call::try_parse() {
        Ok(call) => run(call.command),
        Err(wrong) => refuse(&wrong),
    };
    done.unwrap_or_else(|trouble| {
        out::say(&trouble);
        ExitCode::from(WRONG_CALL)
    })
}

fn run(command: Command) -> Result<ExitCode, Trouble> {
    match command {
        Command::Check(asked) if asked.watch => check::watched(&asked),
        Command::Check(asked) => check::check(&asked),
        Command::Figures { file, json, full } => figures::figures(&file, json, full),
        Command::Draw(asked) if asked.watch => draw::watched(&asked),
        Command::Draw(asked) => draw::draw(&asked),
        Command::Parts(asked) => parts::parts(&asked),
        Command::Sheet(asked) => sheet::sheet(&asked),
        Command::Suspects(asked) => suspects::print(&asked),
        Command::Format { files, check } => format::format(&files, check),
        Command::Serve { stdio: _ } => Err(format!("cannot serve: {}", glimloom::server::run())),
        Command::Explain { check } => explain::explain(&check),
        Command::Demo => demo(),
        Command::Completions { shell } => itself::completions(shell),
        Command::Man { command } => itself::manual(command.as_deref()),
    }
}

/// Help and version are printed as asked; a call that is wrong gets one line.
fn refuse(wrong: &clap::Error) -> Result<ExitCode, Trouble> {
    if wrong.kind() == clap::error::ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand
        || !wrong.use_stderr()
    {
        let printed = wrong.print();
        let code = wrong.exit_code();
        return printed
            .map(|()| ExitCode::from(u8::try_from(code).unwrap_or(2)))
            .or_else(|e| out::ended_quietly(&e));
    }
    let text = wrong.to_string();
    let said: Vec<&str> = text
        .lines()
        .take_while(|line| !line.trim().is_empty())
        .map(str::trim)
        .collect();
    let said = said.join(" ");
    let line = said.strip_prefix("error: ").unwrap_or(&said);
    Err(format!("{line} (`glimloom --help` shows how it is called)"))
}

/// The demonstration; what was not as it should be ends it with the reason.
fn demo() -> Result<ExitCode, Trouble> {
    use glimloom::server::demo::Failure;
    match glimloom::server::demo::run(&mut std::io::stdout(), out::colour()) {
        Ok(()) => Ok(ExitCode::SUCCESS),
        Err(Failure::Untold(e)) => out::ended_quietly(&e),
        Err(Failure::Missed(why)) => {
            out::say(&why);
            Ok(ExitCode::FAILURE)
        }
    }
}
