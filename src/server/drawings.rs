//! `glimloom/drawing`: the drawing of the text as it is being edited, for a panel beside it; with what stands for which words,
//! so that both can be followed.

use serde::{Deserialize, Serialize};
use tower_lsp::jsonrpc::Error;
use tower_lsp::lsp_types::{Range, TextDocumentIdentifier, Url};

use super::convert;
use super::plans::Here;
use super::ready::Ready;
use crate::checks::severity_word;
use crate::papers::drawing::{self, Theme, Wanted};

/// What is asked for.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct About {
    /// The plan, or a file of it.
    pub text_document: TextDocumentIdentifier,
    /// The scene whose figures are shown; none: with everything on.
    scene: Option<String>,
    /// Only what sits in this zone.
    zone: Option<String>,
    /// Only what hangs on this supply.
    supply: Option<String>,
    /// Only this sheet, counted from 1.
    sheet: Option<usize>,
    /// `light` or `dark`; none: as the reader has it.
    theme: Option<ThemeWord>,
}

#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
enum ThemeWord {
    Light,
    Dark,
}

/// A drawing, and what there is to know of it.
#[derive(Debug, Serialize)]
struct Drawn {
    svg: String,
    items: Vec<Item>,
    /// The scenes, zones and supplies that may be asked for, and how many sheets there are.
    scenes: Vec<String>,
    zones: Vec<String>,
    supplies: Vec<String>,
    sheets: usize,
}

/// Something that the drawing shows and the text says.
#[derive(Debug, Serialize)]
struct Item {
    /// By which it is found in the drawing.
    id: String,
    name: String,
    uri: Url,
    /// Where its name stands.
    range: Range,
    /// Its stanza.
    stanza: Range,
    /// What was found about it, the worst first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    findings: Vec<Found>,
}

#[derive(Debug, Serialize)]
struct Found {
    check: &'static str,
    severity: &'static str,
    message: String,
}

/// What stands in for the title of a plan that has none.
fn name(here: &Here) -> &str {
    let name = here.plan.root().0.rsplit('/').next().unwrap_or("");
    name.strip_suffix(".harness").unwrap_or(name)
}

/// The whole drawing of a plan, with everything on.
pub fn whole(here: &Here) -> String {
    let wanted = Wanted {
        name: name(here),
        ..Wanted::default()
    };
    // Nothing is asked for that may not be there.
    let drawing = drawing::draw(&here.plan.analysis, &wanted);
    drawing.map_or_else(|_| String::new(), |drawing| drawing.svg)
}

/// The drawing of a file's plan.
pub fn answer(here: &Here, about: &About) -> Result<Ready, Error> {
    let a = &*here.plan.analysis;
    let drawing = drawing::draw(
        a,
        &Wanted {
            name: name(here),
            scene: about.scene.as_deref(),
            zone: about.zone.as_deref(),
            supply: about.supply.as_deref(),
            sheet: about.sheet,
            theme: about.theme.map(|theme| match theme {
                ThemeWord::Light => Theme::Light,
                ThemeWord::Dark => Theme::Dark,
            }),
            within_a_page: false,
        },
    );
    let drawing = drawing.map_err(|not_there| Error::invalid_params(not_there.message()))?;
    let world = &here.snapshot.world;
    let items = drawing.items.into_iter().filter_map(|item| {
        let place = |span| convert::location(world, &here.plan, item.file, span);
        let findings = item.findings.iter().map(|&nth| {
            let finding = &a.findings[nth];
            Found {
                check: finding.check,
                severity: severity_word(finding.severity),
                message: finding.message.clone(),
            }
        });
        Some(Item {
            findings: findings.collect(),
            range: place(item.name_span)?.range,
            stanza: place(item.span)?.range,
            uri: place(item.span)?.uri,
            id: item.id,
            name: item.name,
        })
    });
    Ok(Ready::of(&Drawn {
        items: items.collect(),
        svg: drawing.svg,
        scenes: drawing::scenes(a),
        zones: drawing::zones(a),
        supplies: drawing::supplies(a),
        sheets: drawing.sheets,
    }))
}
