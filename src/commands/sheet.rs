//! `glimloom sheet`: the bench sheet of a plan, for a browser and for paper.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use glimloom::papers::lists::reel_of;
use glimloom::papers::page::{html, markdown};
use glimloom::papers::sheet::{Making, sheet as sheet_of};

use super::plans::Opened;
use super::{Trouble, written};

/// Of which plan, and where it goes.
#[derive(clap::Args)]
pub struct Asked {
    /// The plan
    #[arg(value_name = "PLAN")]
    pub plan: PathBuf,
    /// Markdown instead of a page for a browser
    #[arg(long)]
    pub markdown: bool,
    /// The length of a reel of tape, as in `5 m` or `16ft` [default: 5 m]
    #[arg(long, value_name = "LENGTH")]
    pub reel: Option<String>,
    #[command(flatten)]
    pub to: written::Asked,
}

/// The bench sheet of a plan.
pub fn sheet(asked: &Asked) -> Result<ExitCode, Trouble> {
    let reel = asked.reel.as_deref().map(reel).transpose()?;
    let opened = Opened::one(&asked.plan)?;
    let page = sheet_of(
        &opened.analysis,
        &Making {
            spelt: &|file| opened.on_paper(file),
            reel,
            drawn: !asked.markdown,
        },
    );
    let text = match asked.markdown {
        true => markdown::written(&page),
        false => html::written(&page),
    };
    let files = &opened.analysis.plan.files;
    let sources: Vec<&Path> = files.iter().map(|file| Path::new(&*file.key.0)).collect();
    written::put(&asked.to, &text, &sources)
}

/// A length of a reel, as it is named in a call.
pub fn reel(text: &str) -> Result<glimloom::units::Length, Trouble> {
    reel_of(text).ok_or_else(|| {
        format!("{text:?} is no length of a reel: write it with its unit, as in \"5 m\"")
    })
}
