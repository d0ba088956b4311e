//! What may be wrong where lights are dark or dim: the request for panels, the command that opens the list in any client, and
//! what the code actions on a light offer; with them the record of a piece that was tried.

use jiff::ZonedDateTime;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use tower_lsp::lsp_types::*;

use super::convert::{self, text_edits, workspace_edit};
use super::in_parts;
use super::keys::key_of;
use super::plans::Here;
use crate::circuit::fused_runs::RunOf;
use crate::editor::dark_lights::{lights_at, title};
use crate::editor::record_trial;
use crate::papers::suspects as paper;
use crate::parts::Stop;
use crate::suspects::named::Named;
use crate::suspects::{Suspect, suspects, words};
use crate::text::Span;

/// The command.
pub const COMMAND: &str = "glimloom.suspects";

/// The kind of the code actions that list suspects.
pub const KIND: CodeActionKind = CodeActionKind::new("suspects");

/// What is seen, as a client says it.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[serde(rename_all = "camelCase", default)]
pub struct SeenThere {
    dark: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    dim: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    lit: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    scene: Option<String>,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    others_unseen: bool,
}

/// What `glimloom/suspects` is about.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct About {
    /// The plan, or a file of it.
    pub text_document: TextDocumentIdentifier,
    /// What is seen.
    #[serde(flatten)]
    pub seen: SeenThere,
}

/// What the command is about; `dim` and the others beside the address.
#[derive(Debug, Deserialize)]
struct Called {
    uri: Url,
    #[serde(flatten)]
    seen: SeenThere,
}

/// The suspects, as a document and one by one.
#[derive(Debug, Serialize)]
pub struct Told {
    /// The document.
    pub markdown: String,
    suspects: Vec<SuspectTold>,
}

#[derive(Debug, Serialize)]
struct SuspectTold {
    says: String,
    measure: Option<String>,
    weight: f64,
    /// Where its faults are in the text, one or two.
    at: Vec<Place>,
}

#[derive(Debug, Serialize)]
struct Place {
    name: String,
    uri: Url,
    range: Range,
}

/// What a command is about; `None` for one that is not ours.
pub fn asked(command: &str, arguments: &[Value]) -> Option<(Url, SeenThere)> {
    let called = Called::deserialize(arguments.first()?).ok()?;
    (command == COMMAND).then_some((called.uri, called.seen))
}

/// The suspects of a plan as it is being edited; what is wrong with the question, one sentence each, where something is.
/// `None` where it is stopped.
pub fn answer(here: &Here, seen: SeenThere, stop: Stop) -> Option<Result<Told, Vec<String>>> {
    let analysis = &here.plan.analysis;
    let plan = &analysis.plan;
    let named = Named {
        dark: seen.dark,
        dim: seen.dim,
        lit: seen.lit,
        scene: seen.scene,
        others_unseen: seen.others_unseen,
    };
    let seen = match named.in_plan(plan) {
        Ok(seen) => seen,
        Err(wrong) => return Some(Err(wrong)),
    };
    let found = suspects(plan, analysis.breaks(), &seen, &|| stop())?;
    let told = found.all().iter().map(|suspect| SuspectTold {
        says: words::suspect(plan, suspect),
        measure: words::measure(plan, suspect),
        weight: suspect.weight,
        at: places(here, suspect),
    });
    Some(Ok(Told {
        suspects: told.collect(),
        markdown: paper::markdown(plan, &seen, &found),
    }))
}

fn places(here: &Here, suspect: &Suspect) -> Vec<Place> {
    let plan = &here.plan.analysis.plan;
    let of = suspect.faults.iter().map(|fault| fault.at());
    let places = of.filter_map(|of: RunOf| {
        let id = of.stanza(plan);
        let stanza = plan.stanza(id);
        let words = stanza.name().map_or(stanza.word_span, |(_, span)| span);
        let span = plan.in_file(id, words);
        let place = convert::location(&here.snapshot.world, &here.plan, id.file, span)?;
        Some(Place {
            name: of.name(plan).to_owned(),
            uri: place.uri,
            range: place.range,
        })
    });
    places.collect()
}

/// What is offered at a place beside other actions: to list what may be wrong with the lights there, and to write down what the piece there drew
/// when it was tried.
pub fn actions(
    here: &Here,
    uri: &Url,
    span: Span,
    wants: impl Fn(&CodeActionKind) -> bool,
) -> Vec<CodeAction> {
    let mut actions = Vec::new();
    if wants(&KIND) {
        actions.extend(lists(here, uri, span));
    }
    let kind = CodeActionKind::REFACTOR_REWRITE;
    if wants(&kind) {
        actions.extend(trial(here, uri, span, kind));
    }
    actions
}

fn lists(here: &Here, uri: &Url, span: Span) -> Vec<CodeAction> {
    let documents = &here.snapshot.world.documents;
    let open = documents.get(&key_of(uri));
    let text = open.and_then(|open| open.document.text().ok());
    let lights = text.map(|text| lights_at(text, span)).unwrap_or_default();
    if lights.is_empty() {
        return Vec::new();
    }
    let list = |is: &str, seen: SeenThere| {
        let mut about = serde_json::json!(seen);
        about["uri"] = serde_json::json!(uri);
        let title = title(&lights, is);
        CodeAction {
            command: Some(Command {
                title: title.clone(),
                command: COMMAND.to_owned(),
                arguments: Some(vec![about]),
            }),
            title,
            kind: Some(KIND),
            ..CodeAction::default()
        }
    };
    let dark = SeenThere {
        dark: lights.clone(),
        ..SeenThere::default()
    };
    let dim = SeenThere {
        dim: lights.clone(),
        ..SeenThere::default()
    };
    vec![list("dark", dark), list("dim", dim)]
}

/// The record of a trial, of today.
fn trial(here: &Here, uri: &Url, span: Span, kind: CodeActionKind) -> Option<CodeAction> {
    let today = ZonedDateTime::now().date().to_string();
    let record = in_parts::at(here, span.start as usize, |analysis, within| {
        record_trial::record(&analysis.plan, here.file, within, &today)
    })?;
    let world = &here.snapshot.world;
    let text = world.documents.get(&key_of(uri))?.document.text().ok()?;
    let edits = record_trial::put(here.plan.lines(here.file), text, &record.words);
    let edits = edits
        .into_iter()
        .map(|(span, text)| (here.file, span, text));
    let edits = text_edits(world, &here.plan, edits.collect());
    Some(CodeAction {
        title: record.title,
        kind: Some(kind),
        edit: workspace_edit(world, edits),
        ..CodeAction::default()
    })
}
