//! `glimloom suspects`: what may be wrong where lights are dark or dim.

use std::path::PathBuf;
use std::process::ExitCode;

use glimloom::papers::suspects as paper;
use glimloom::suspects::{named::Named, suspects};

use super::plans::Opened;
use super::{Trouble, out};

/// What is seen, and how the suspects are told.
#[derive(clap::Args)]
pub struct Asked {
    /// The plan
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// The lights that are dark, separated by commas
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    pub dark: Vec<String>,
    /// The lights that are dimmer than they should be, but not dark
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    pub dim: Vec<String>,
    /// Lights that are as they should be; all that are not named count as such
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    pub lit: Vec<String>,
    /// Nobody looked at the lights that are not named
    #[arg(long)]
    pub others_unseen: bool,
    /// The scene that is set: the first one if none is named; `all-on` for everything
    #[arg(long, value_name = "SCENE")]
    pub scene: Option<String>,
    /// Print JSON, for other programs
    #[arg(long, conflicts_with = "markdown")]
    pub json: bool,
    /// Print Markdown
    #[arg(long)]
    pub markdown: bool,
}

/// The suspects of a plan; the exit status is 1 where nothing explains what is seen.
pub fn print(asked: &Asked) -> Result<ExitCode, Trouble> {
    let opened = Opened::one(&asked.file)?;
    let plan = &opened.analysis.plan;
    let named = Named {
        dark: asked.dark.clone(),
        dim: asked.dim.clone(),
        lit: asked.lit.clone(),
        scene: asked.scene.clone(),
        others_unseen: asked.others_unseen,
    };
    let seen = named
        .in_plan(plan)
        .map_err(|wrong| format!("{}: {}", asked.file.display(), wrong.join(" ")))?;
    if let Some(note) = glimloom::papers::figures_table::left_out(plan) {
        out::say(&note);
    }
    let Some(found) = suspects(plan, opened.analysis.breaks(), &seen, &|| false) else {
        return Err(format!("{}: stopped", asked.file.display()));
    };
    let text = if asked.json {
        paper::json(plan, &seen, &found, &opened.on_paper(0))
    } else if asked.markdown {
        paper::markdown(plan, &seen, &found)
    } else {
        paper::text(plan, &seen, &found)
    };
    out::print(&text, u8::from(found.searched && found.all().is_empty()))
}
