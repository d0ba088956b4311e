//! `glimloom figures`: tables, or JSON. What is left out of them is said on the side.

use std::path::Path;
use std::process::ExitCode;

use glimloom::papers::{figures_table, full as full_figures, json};

use super::plans::Opened;
use super::{Trouble, out};

/// The figures of a plan.
pub fn figures(file: &Path, as_json: bool, full: bool) -> Result<ExitCode, Trouble> {
    let opened = Opened::one(file)?;
    let (plan, solution) = (&opened.analysis.plan, &opened.analysis.solution);
    if let Some(note) = figures_table::left_out(plan) {
        out::say(&note);
    }
    let text = if full {
        full_figures::full(&opened.analysis, &opened.on_paper(0))
    } else if as_json {
        json::figures(plan, solution, &opened.on_paper(0))
    } else {
        figures_table::figures(plan, solution)
    };
    out::print(&text, 0)
}
