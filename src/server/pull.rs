//! Findings for a client that asks for them: of one file, and of all plans of its folders. They are the findings that a
//! client which does not ask is told.

use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

use tower_lsp::lsp_types::*;

use super::folders;
use super::keys::key_of;
use super::plans::Patience;
use super::progress::Work;
use super::publisher::reports;
use super::ready::Ready;
use super::session::Snapshot;
use super::told::Written;
use crate::parts::Stop;
use crate::plan::FileKey;

/// So many files are answered for together, where the client takes an answer in pieces.
const TOGETHER: usize = 16;

/// The findings of one file; `None` when told to stop, or when there was no time.
pub fn document(
    snapshot: &Snapshot,
    params: &DocumentDiagnosticParams,
    patience: &Patience,
) -> Option<Ready> {
    let world = &snapshot.world;
    let key = key_of(&params.text_document.uri);
    let reports = reports(snapshot, patience)?;
    let none = Arc::default();
    let written = |key: &FileKey| {
        let report = world.uri(key).and_then(|uri| reports.get(&uri));
        report.map_or(&none, |(_, written)| written)
    };
    let mut related = BTreeMap::new();
    if world.client.related_documents {
        let plans = snapshot.plans_with(patience)?;
        let own = plans.plans.iter().filter(|plan| *plan.root() == key);
        for key in own.flat_map(|plan| plan.uses()) {
            related.extend(world.uri(key).map(|uri| (uri, written(key))));
        }
    }
    let own = written(&key);
    Some(Ready::by(|text| {
        let id = own.id();
        match params.previous_result_id.as_ref() == Some(&id) {
            true => text.push_str(&format!("{{\"kind\":\"unchanged\",\"resultId\":\"{id}\"")),
            false => put_full(text, &id, own),
        }
        for (k, (uri, written)) in related.iter().enumerate() {
            text.push_str([",\"relatedDocuments\":{", ","][k.min(1)]);
            text.push_str(&serde_json::json!(uri.as_str()).to_string());
            text.push(':');
            put_full(text, &written.id(), written);
            text.push('}');
        }
        text.push_str(if related.is_empty() { "}" } else { "}}" });
    }))
}

/// A full report, but for its end: its parts are written out already.
fn put_full(text: &mut String, id: &str, written: &Written) {
    let items = written.array();
    text.push_str(&format!(
        "{{\"kind\":\"full\",\"resultId\":\"{id}\",\"items\":{items}"
    ));
}

fn full(written: &Written) -> FullDocumentDiagnosticReport {
    FullDocumentDiagnosticReport {
        result_id: Some(written.id()),
        items: written.diagnostics(),
    }
}

fn unchanged(written: &Written) -> UnchangedDocumentDiagnosticReport {
    UnchangedDocumentDiagnosticReport {
        result_id: written.id(),
    }
}

/// What is done with files that are answered for.
pub type Tell<'a> = &'a mut dyn FnMut(Vec<WorkspaceDocumentDiagnosticReport>);

/// The findings of all files; `tell` gets them piece by piece, as they become known. A file without findings is passed
/// over where the client has never heard of it. False when told to stop.
pub fn workspace(
    snapshot: &Arc<Snapshot>,
    known: Vec<PreviousResultId>,
    work: &mut Work,
    stop: Stop,
    tell: Tell,
) -> bool {
    let mut known: HashMap<FileKey, PreviousResultId> = (known.into_iter())
        .map(|previous| (key_of(&previous.uri), previous))
        .collect();
    let mut ready = Vec::new();
    let done = folders::look(snapshot, work, stop, &mut |key, written| {
        let version = snapshot.world.version(key);
        let before = known.remove(key);
        let Some(uri) = snapshot.world.uri(key) else {
            return;
        };
        match before {
            Some(before) if before.value == written.id() => {
                ready.push(told(uri, version, written, true))
            }
            None if written.len() == 0 => {}
            _ => ready.push(told(uri, version, written, false)),
        }
        if ready.len() == TOGETHER {
            tell(std::mem::take(&mut ready));
        }
    });
    if !done {
        return false;
    }
    // What is no plan any more has no findings.
    let mut gone: Vec<Url> = known.into_values().map(|previous| previous.uri).collect();
    gone.sort();
    let none = Written::default();
    ready.extend(gone.into_iter().map(|uri| told(uri, None, &none, false)));
    if !ready.is_empty() {
        tell(ready);
    }
    true
}

fn told(
    uri: Url,
    version: Option<i32>,
    written: &Written,
    is_known: bool,
) -> WorkspaceDocumentDiagnosticReport {
    let version = version.map(i64::from);
    match is_known {
        true => WorkspaceUnchangedDocumentDiagnosticReport {
            uri,
            version,
            unchanged_document_diagnostic_report: unchanged(written),
        }
        .into(),
        false => WorkspaceFullDocumentDiagnosticReport {
            uri,
            version,
            full_document_diagnostic_report: full(written),
        }
        .into(),
    }
}
