//! `glimloom parts`: what a plan takes of everything, as tables, for a spreadsheet, or as JSON.

use std::path::PathBuf;
use std::process::ExitCode;

use glimloom::papers::figures_table;
use glimloom::papers::lists::{self, Lists, allowances};

use super::plans::Opened;
use super::sheet::reel;
use super::{Trouble, out};

/// What is to be listed, and how.
#[derive(clap::Args)]
pub struct Asked {
    /// The plan
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Print comma-separated values, for a spreadsheet
    #[arg(long)]
    pub csv: bool,
    /// Print JSON, for other programs
    #[arg(long, conflicts_with = "csv")]
    pub json: bool,
    /// The length of a reel of tape, as in `5 m` or `16ft` [default: 5 m]
    #[arg(long, value_name = "LENGTH")]
    pub reel: Option<String>,
}

/// The lists of a plan.
pub fn parts(asked: &Asked) -> Result<ExitCode, Trouble> {
    let reel = asked.reel.as_deref().map(reel).transpose()?;
    let reel = reel.unwrap_or_else(allowances::usual_reel);
    let opened = Opened::one(&asked.file)?;
    let plan = &opened.analysis.plan;
    if let Some(note) = figures_table::left_out(plan) {
        out::say(&note);
    }
    let lists = Lists::of(&opened.analysis, reel);
    if asked.csv {
        out::print_exactly(&lists::csv::csv(plan, &lists), 0)
    } else if asked.json {
        out::print(&lists::json::json(plan, &lists, &opened.on_paper(0)), 0)
    } else {
        out::print(&lists::table::table(plan, &lists), 0)
    }
}
