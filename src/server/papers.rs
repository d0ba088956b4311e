//! Papers of the text as it is being edited: the bench sheet for a panel that follows the cursor, and commands that open a
//! paper in any client. These write it into a folder of their own among the system's temporary files; no other request
//! of this server writes anything.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use serde::{Deserialize, Serialize};
use serde_json::Value;
use tower_lsp::lsp_types::{Range, TextDocumentIdentifier, Url};

use super::convert;
use super::drawings;
use super::plans::Here;
use crate::papers::lists::{self, Lists, allowances};
use crate::papers::page::{Page, html, markdown};
use crate::papers::sheet::{Making, sheet};

/// What `glimloom/sheet` is about.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct About {
    /// The plan, or a file of it.
    pub text_document: TextDocumentIdentifier,
}

/// The bench sheet, and where in the text its items stand.
#[derive(Debug, Serialize)]
pub struct Sheet {
    html: String,
    items: Vec<ItemOfPaper>,
}

/// An item of a paper, and where its name stands in the text.
#[derive(Debug, Serialize)]
pub struct ItemOfPaper {
    /// The `id` of what stands for it on the paper.
    pub id: String,
    /// Its name; of a piece of a copy, `copy.piece`.
    pub name: String,
    /// The file that defines it.
    pub uri: Url,
    /// Where its name stands there; of a piece of a copy, the pattern's piece.
    pub range: Range,
}

/// The bench sheet of a text.
pub fn of_text(here: &Here) -> Sheet {
    Sheet {
        html: html::written(&page(here)),
        items: items(here, &html::id_of),
    }
}

/// Every item of a plan, with the `id` that its paper gives it.
pub fn items(here: &Here, id_of: &dyn Fn(&str) -> String) -> Vec<ItemOfPaper> {
    let world = &here.snapshot.world;
    let plan = &here.plan.analysis.plan;
    let each = plan.items.iter().filter_map(|item| {
        let stanza = plan.stanza(item.stanza);
        let words = stanza.name().map_or(stanza.word_span, |(_, span)| span);
        let span = plan.in_file(item.stanza, words);
        let place = convert::location(world, &here.plan, item.stanza.file, span)?;
        Some(ItemOfPaper {
            id: id_of(&item.name.0),
            name: item.name.0.to_string(),
            uri: place.uri,
            range: place.range,
        })
    });
    each.collect()
}

/// A paper that a command opens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// The bench sheet, for a browser.
    Sheet,
    /// The parts list, for an editor.
    Parts,
    /// The drawing, for a browser.
    Drawing,
}

impl Paper {
    const ALL: [Paper; 3] = [Paper::Sheet, Paper::Parts, Paper::Drawing];

    fn command(self) -> &'static str {
        match self {
            Paper::Sheet => "glimloom.sheet",
            Paper::Parts => "glimloom.parts",
            Paper::Drawing => "glimloom.drawing",
        }
    }

    /// What it is called in a sentence.
    pub fn word(self) -> &'static str {
        match self {
            Paper::Sheet => "bench sheet",
            Paper::Parts => "parts list",
            Paper::Drawing => "drawing",
        }
    }

    /// Whether it is for a browser.
    pub fn is_for_browsers(self) -> bool {
        self != Paper::Parts
    }

    /// The end of the name of its file.
    fn ending(self) -> &'static str {
        match self {
            Paper::Sheet => "sheet.html",
            Paper::Parts => "parts.md",
            Paper::Drawing => "drawing.svg",
        }
    }
}

/// All commands.
pub fn commands() -> impl Iterator<Item = String> {
    Paper::ALL
        .into_iter()
        .map(|paper| paper.command().to_owned())
}

/// What a command is about; `None` for one that is not ours. It is said as `{"uri": …}`.
pub fn asked(command: &str, arguments: &[Value]) -> Option<(Url, Paper)> {
    let paper = Paper::ALL.into_iter().find(|p| p.command() == command)?;
    let uri = arguments.first()?.get("uri")?.as_str()?;
    Some((Url::parse(uri).ok()?, paper))
}

/// Makes a paper and puts it where an editor or a browser can open it.
pub fn made(here: &Here, paper: Paper) -> std::io::Result<Url> {
    let text = match paper {
        Paper::Drawing => drawings::whole(here),
        Paper::Sheet => html::written(&page(here)),
        Paper::Parts => {
            let plan = &here.plan.analysis.plan;
            let lists = Lists::of(&here.plan.analysis, allowances::usual_reel());
            markdown::written(&Page {
                title: plan
                    .settings
                    .title
                    .as_deref()
                    .unwrap_or(&spelt(here, 0))
                    .to_owned(),
                kind: "Parts list",
                sections: vec![lists::table::section(plan, &lists)],
                ..Page::default()
            })
        }
    };
    kept(here, paper.ending(), &text)
}

fn page(here: &Here) -> Page {
    sheet(
        &here.plan.analysis,
        &Making {
            spelt: &|file| spelt(here, file),
            reel: None,
            drawn: true,
        },
    )
}

/// A file of the plan by its own name.
fn spelt(here: &Here, file: usize) -> String {
    let files = &here.plan.analysis.plan.files;
    let key = files.get(file).map_or("", |file| &*file.key.0);
    let name = Path::new(key).file_name();
    name.map_or_else(
        || key.to_owned(),
        |name| name.to_string_lossy().into_owned(),
    )
}

/// The folder of this process for papers: nobody else can read it.
static FOLDER: OnceLock<PathBuf> = OnceLock::new();

/// Puts a paper of a plan where an editor or a browser can open it; its name ends so.
pub fn kept(here: &Here, ending: &str, text: &str) -> std::io::Result<Url> {
    let name = spelt(here, 0);
    let name = name.strip_suffix(".harness").unwrap_or(&name);
    // A name that comes from outside is no path.
    let plain = |c: char| {
        if c.is_alphanumeric() || "-_.".contains(c) {
            c
        } else {
            '-'
        }
    };
    let name: String = name.chars().map(plain).take(80).collect();
    let folder = match FOLDER.get() {
        Some(folder) if folder.is_dir() => folder.clone(),
        _ => {
            // It stays when the process ends: a browser may still show what is in it.
            let folder = tempfile::Builder::new()
                .prefix("glimloom-")
                .tempdir()?
                .keep();
            FOLDER.get_or_init(|| folder.clone());
            folder
        }
    };
    let mut beside = tempfile::NamedTempFile::new_in(&folder)?;
    beside.write_all(text.as_bytes())?;
    let path = folder.join(format!("{name}-{ending}"));
    beside.persist(&path)?;
    Url::from_file_path(&path).map_err(|()| std::io::Error::other("its path is no address"))
}
