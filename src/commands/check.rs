//! `glimloom check`: what is wrong with plans, for a reader or for another program.

use std::collections::{BTreeSet, HashSet};
use std::path::PathBuf;
use std::process::ExitCode;

use glimloom::papers::json::{self, FindingOfFile};
use glimloom::papers::places::Places;
use glimloom::papers::{sarif, terminal};
use glimloom::plan::FileKey;

use super::plans::{self, Opened};
use super::{Trouble, WRONG_CALL, out, watch};

/// What is to be checked, and how it is told.
#[derive(clap::Args)]
pub struct Asked {
    /// The plans, or folders of plans
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
    /// Print JSON, for other programs
    #[arg(long)]
    pub json: bool,
    /// Print SARIF 2.1.0, for code reviews and build servers
    #[arg(long, conflicts_with = "json")]
    pub sarif: bool,
    /// Check again whenever a file changes, until Ctrl-C
    #[arg(long, conflicts_with_all = ["json", "sarif"])]
    pub watch: bool,
}

/// What a check came to.
struct Done {
    /// What is to be printed.
    text: String,
    /// The exit status: whether there is an error.
    status: u8,
    /// All files that it depends on.
    files: BTreeSet<PathBuf>,
    /// What is to be said of files and folders that cannot be read.
    troubles: Vec<Trouble>,
}

/// Checks again whenever a file changes.
pub fn watched(asked: &Asked) -> Result<ExitCode, Trouble> {
    watch::watch(&asked.files, || {
        let done = once(asked)?;
        Ok(watch::Done {
            text: Some(done.text),
            files: done.files,
            troubles: done.troubles,
        })
    })
}

/// Findings of plans; the exit status says whether there is an error, or a file or folder that cannot be read.
pub fn check(asked: &Asked) -> Result<ExitCode, Trouble> {
    let done = once(asked)?;
    done.troubles.iter().for_each(|trouble| out::say(trouble));
    out::print(&done.text, done.status)
}

/// One plan, checked.
struct Checked {
    root: FileKey,
    /// It was found in a folder: it goes where another plan uses it.
    found: bool,
    findings: Vec<Told>,
    /// For so many of them mends were not all tried.
    untried: usize,
}

/// A finding as it is told in each form that was asked for.
struct Told {
    finding: FindingOfFile,
    text: String,
    sarif: Option<Box<serde_json::value::RawValue>>,
}

/// Checks all plans once: those that can be read. Where none can, there is nothing to tell of.
fn once(asked: &Asked) -> Result<Done, Trouble> {
    let plans::Found {
        files: named,
        mut troubles,
    } = plans::named(&asked.files)?;
    let (mut roots, mut used) = (BTreeSet::new(), BTreeSet::new());
    let mut files = BTreeSet::new();
    let mut plans: Vec<Checked> = Vec::new();
    for file in &named {
        let key = match plans::read(&file.path) {
            Ok((key, _)) => key,
            Err(trouble) => {
                troubles.push(trouble);
                files.extend(file.path.canonicalize());
                continue;
            }
        };
        let is_new = roots.insert(key.clone());
        let found = file.folder.is_some();
        if !is_new || (found && used.contains(&key)) {
            continue;
        }
        let opened = Opened::read(file)?;
        files.extend(opened.files.iter().cloned());
        let all = opened.analysis.plan.files.iter();
        let uses: BTreeSet<FileKey> = all.skip(1).map(|file| file.key.clone()).collect();
        plans.retain(|plan| !(plan.found && uses.contains(&plan.root)));
        used.extend(uses);
        let (findings, untried) = told(&opened, asked);
        plans.push(Checked {
            root: key,
            found,
            findings,
            untried,
        });
    }
    if roots.is_empty()
        && let Some(last) = troubles.pop()
    {
        troubles.iter().for_each(|trouble| out::say(trouble));
        return Err(last);
    }
    // What several plans use is told about once.
    let untried: usize = plans.iter().map(|plan| plan.untried).sum();
    let all: Vec<Told> = plans.into_iter().flat_map(|plan| plan.findings).collect();
    let mut said = HashSet::new();
    let is_new: Vec<bool> = all.iter().map(|told| said.insert(&told.finding)).collect();
    let once = all.into_iter().zip(is_new).filter(|(_, is_new)| *is_new);
    let once: Vec<Told> = once.map(|(told, _)| told).collect();
    let findings: Vec<FindingOfFile> = once.iter().map(|told| told.finding.clone()).collect();
    let tally = terminal::Tally::of(&findings);
    let text = if asked.json {
        json::findings_object(&findings)
    } else if asked.sarif {
        sarif::log(once.into_iter().filter_map(|told| told.sarif).collect())
    } else {
        let text: String = once.into_iter().map(|told| told.text).collect();
        text + &untried_line(untried) + &tally.line(roots.len())
    };
    let status = match troubles.is_empty() {
        true => u8::from(tally.errors > 0),
        false => WRONG_CALL,
    };
    Ok(Done {
        text,
        status,
        files,
        troubles,
    })
}

/// What is said where mends were not all tried.
fn untried_line(findings: usize) -> String {
    let them = match findings {
        0 => return String::new(),
        1 => "the last finding",
        _ => "the last findings",
    };
    format!(
        "Not all mends were tried for {them} ({findings}): in so large a plan that takes long. An editor offers those of one place.\n\n"
    )
}

/// The findings, and for how many of them mends were not all tried.
fn told(opened: &Opened, asked: &Asked) -> (Vec<Told>, usize) {
    let analysis = &opened.analysis;
    let spelt = |file| opened.spelt(file);
    let places = Places::of(analysis, &spelt);
    let quoted = (!asked.json && !asked.sarif).then(|| terminal::Quoted::of(analysis, &spelt));
    let (findings, untried) = json::findings(analysis, &places);
    let told = findings.into_iter().enumerate().map(|(index, finding)| {
        let text = quoted.as_ref().map_or_else(String::new, |quoted| {
            terminal::finding(analysis, index, &finding.fixes, quoted, out::colour())
        });
        let sarif = asked.sarif.then(|| {
            sarif::result(analysis, index, &finding, &places, &|file| {
                opened.path(file)
            })
        });
        Told {
            text,
            sarif: sarif.flatten(),
            finding,
        }
    });
    (told.collect(), untried)
}
