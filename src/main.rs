//! The command line: one short function a command.

use std::io::{ErrorKind, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use glimloom::checks::check_names;
use glimloom::checks::{Analysis, explain as page_of};
use glimloom::papers::{figures_table, full as full_figures, json, terminal};
use glimloom::plan::UseFailure;
use glimloom::server::files::{self, Disk, PlanFiles};

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
    Check {
        /// The plans
        #[arg(required = true, value_name = "FILE")]
        files: Vec<PathBuf>,
        /// Print JSON, for other programs
        #[arg(long)]
        json: bool,
    },
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
}

/// What ends a command early: a line for the terminal. The exit status is then 2.
type Trouble = String;

fn main() -> ExitCode {
    let done = match Call::try_parse() {
        Ok(call) => run(call.command),
        Err(wrong) => refuse(&wrong),
    };
    done.unwrap_or_else(|trouble| {
        say(&trouble);
        ExitCode::from(2)
    })
}

fn run(command: Command) -> Result<ExitCode, Trouble> {
    match command {
        Command::Check { files, json } => check(&files, json),
        Command::Figures { file, json, full } => figures(&file, json, full),
        Command::Serve { stdio: _ } => Err(format!("cannot serve: {}", glimloom::server::run())),
        Command::Explain { check } => explain(&check),
        Command::Demo => demo(),
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
            .or_else(|e| ended_quietly(&e));
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

/// Findings of plans: with their lines, or as JSON. The exit status says whether there is an error.
fn check(files: &[PathBuf], as_json: bool) -> Result<ExitCode, Trouble> {
    let mut said = Vec::new();
    let mut text = String::new();
    for file in files {
        let plan = Opened::read(file)?;
        let spelt = |file| plan.spelt(file);
        let quoted = terminal::Quoted::of(&plan.analysis, &spelt);
        for (index, finding) in json::findings(&plan.analysis, &spelt)
            .into_iter()
            .enumerate()
        {
            // What several plans use is told about once.
            if !said.contains(&finding) {
                text +=
                    &terminal::finding(&plan.analysis, index, &finding.fixes, &quoted, colour());
                said.push(finding);
            }
        }
    }
    let tally = terminal::Tally::of(&said);
    if as_json {
        text = json::findings_object(&said);
    } else {
        text += &tally.line(files.len());
    }
    print(&text, u8::from(tally.errors > 0))
}

/// The figures of a plan: tables, or JSON. What is left out of them is said on the side.
fn figures(file: &Path, as_json: bool, full: bool) -> Result<ExitCode, Trouble> {
    let opened = Opened::read(file)?;
    let (plan, solution) = (&opened.analysis.plan, &opened.analysis.solution);
    if let Some(note) = figures_table::left_out(plan) {
        say(&note);
    }
    let text = if full {
        full_figures::full(&opened.analysis, &opened.spelt(0))
    } else if as_json {
        json::figures(plan, solution, &opened.spelt(0))
    } else {
        figures_table::figures(plan, solution)
    };
    print(&text, 0)
}

/// The page of a check.
fn explain(check: &str) -> Result<ExitCode, Trouble> {
    match (page_of(check), check_names::nearest(check)) {
        (Some(page), _) => print(page, 0),
        (None, Some(near)) => Err(format!(
            "there is no page for {check:?}; nearest name: {near}"
        )),
        (None, None) => Err(format!("there is no check named {check:?}")),
    }
}

/// The demonstration; what was not as it should be ends it with the reason.
fn demo() -> Result<ExitCode, Trouble> {
    match glimloom::server::demo::run(&mut std::io::stdout(), colour()) {
        Ok(()) => Ok(ExitCode::SUCCESS),
        Err(failure) => {
            say(&failure.to_string());
            Ok(ExitCode::FAILURE)
        }
    }
}

/// A plan that was read from the disk.
struct Opened {
    /// As named on the command line.
    named: PathBuf,
    /// All that there is to know about it.
    analysis: Analysis,
}

impl Opened {
    /// Reads a plan and what it uses: from the current folder if that holds it, else from its own folder.
    fn read(named: &Path) -> Result<Opened, Trouble> {
        let (key, text) = files::read_named(named).map_err(|failure| {
            let why = match failure {
                UseFailure::Missing => "there is no such file",
                UseFailure::Unreadable if named.is_dir() => "is a folder; name the plan in it",
                UseFailure::Unreadable | UseFailure::Outside => "cannot be read",
                UseFailure::NotText => "is not UTF-8 text",
                UseFailure::TooLarge => "is too large for a plan",
            };
            format!("{}: {why}", named.display())
        })?;
        let here: Vec<PathBuf> = std::env::current_dir().into_iter().collect();
        let disk = Disk::default();
        let sources = PlanFiles::new(&key, &here, &disk, &|_| None);
        Ok(Opened {
            named: named.to_owned(),
            analysis: Analysis::of(key, text, &sources, &|| false),
        })
    }

    /// The name under which a file of the plan is printed: as it was named, else from the current folder on.
    fn spelt(&self, file: usize) -> String {
        if file == 0 {
            return self.named.display().to_string();
        }
        let path = Path::new(&*self.analysis.plan.files[file].key.0);
        let here = std::env::current_dir().and_then(|dir| dir.canonicalize());
        let below = here.ok().and_then(|dir| path.strip_prefix(dir).ok());
        below.unwrap_or(path).display().to_string()
    }
}

/// Colour is for eyes: on a terminal, unless NO_COLOR (no-color.org) is set to anything.
fn colour() -> bool {
    let unwanted = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    std::io::stdout().is_terminal() && !unwanted
}

/// Prints a paper, and ends with this status.
fn print(text: &str, status: u8) -> Result<ExitCode, Trouble> {
    let mut out = std::io::stdout().lock();
    let end = if text.ends_with('\n') { "" } else { "\n" };
    let written = out
        .write_all(text.as_bytes())
        .and_then(|()| out.write_all(end.as_bytes()))
        .and_then(|()| out.flush());
    match written {
        Ok(()) => Ok(ExitCode::from(status)),
        Err(e) => ended_quietly(&e),
    }
}

/// A reader who has seen enough (`| head`) ends it without a word; any other failure to write is told.
fn ended_quietly(e: &std::io::Error) -> Result<ExitCode, Trouble> {
    match e.kind() {
        ErrorKind::BrokenPipe => Ok(ExitCode::SUCCESS),
        _ => Err(format!("cannot print: {e}")),
    }
}

/// A line beside what is printed.
fn say(line: &str) {
    let _ = writeln!(std::io::stderr(), "glimloom: {line}");
}
