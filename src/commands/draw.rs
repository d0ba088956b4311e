//! `glimloom draw`: the feed of a plan as a diagram.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use glimloom::papers::drawing::{self, Theme, Wanted};

use super::plans::Opened;
use super::{Trouble, watch, written};

/// What is to be drawn, and how.
#[derive(clap::Args)]
#[group(skip)]
pub struct Asked {
    /// The plan
    #[arg(value_name = "PLAN")]
    pub plan: PathBuf,
    /// Show the figures of this scene; without it, those with everything on
    #[arg(long, value_name = "SCENE")]
    pub scene: Option<String>,
    /// Draw only what sits in this zone
    #[arg(long, value_name = "ZONE")]
    pub zone: Option<String>,
    /// Draw only what hangs on this supply
    #[arg(long, value_name = "SUPPLY")]
    pub supply: Option<String>,
    /// Draw only this sheet of a large plan, for printing
    #[arg(long, value_name = "N")]
    pub sheet: Option<usize>,
    /// Light on dark, whatever the reader prefers
    #[arg(long, conflicts_with = "light")]
    pub dark: bool,
    /// Dark on light, whatever the reader prefers
    #[arg(long)]
    pub light: bool,
    /// Draw again whenever a file changes, until Ctrl-C
    #[arg(long, requires = "output")]
    pub watch: bool,
    #[command(flatten)]
    to: written::Asked,
}

/// Draws a plan.
pub fn draw(asked: &Asked) -> Result<ExitCode, Trouble> {
    once(asked).map(|(code, _)| code)
}

/// Draws it again whenever a file changes.
pub fn watched(asked: &Asked) -> Result<ExitCode, Trouble> {
    let named = std::slice::from_ref(&asked.plan);
    watch::watch(named, || {
        let (_, files) = once(asked)?;
        Ok(watch::Done {
            text: None,
            files,
            troubles: Vec::new(),
        })
    })
}

/// Draws a plan; all files that it depends on.
fn once(asked: &Asked) -> Result<(ExitCode, BTreeSet<PathBuf>), Trouble> {
    let opened = Opened::one(&asked.plan)?;
    let theme = match (asked.light, asked.dark) {
        (true, _) => Some(Theme::Light),
        (_, true) => Some(Theme::Dark),
        _ => None,
    };
    let name = asked.plan.file_stem().unwrap_or_default().to_string_lossy();
    let wanted = Wanted {
        name: &name,
        scene: asked.scene.as_deref(),
        zone: asked.zone.as_deref(),
        supply: asked.supply.as_deref(),
        sheet: asked.sheet,
        theme,
        within_a_page: false,
    };
    let drawing = drawing::draw(&opened.analysis, &wanted);
    let drawing = drawing
        .map_err(|not_there| format!("{}: {}", asked.plan.display(), not_there.message()))?;
    let sources: Vec<&Path> = opened.files.iter().map(PathBuf::as_path).collect();
    let code = written::put(&asked.to, &drawing.svg, &sources)?;
    Ok((code, opened.files))
}
