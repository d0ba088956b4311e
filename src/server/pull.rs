//! Findings for a client that asks for them: of one file, and of all plans of its folders. They are the findings that a
//! client which does not ask is told.

use std::collections::HashMap;
use std::sync::Arc;

use tower_lsp::lsp_types::*;

use super::folders;
use super::keys::key_of;
use super::plans::Patience;
use super::progress::Work;
use super::publisher::reports;
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
) -> Option<DocumentDiagnosticReportResult> {
    let world = &snapshot.world;
    let key = key_of(&params.text_document.uri);
    let reports = reports(snapshot, patience)?;
    let none = Arc::default();
    let written = |key: &FileKey| {
        let report = world.uri(key).and_then(|uri| reports.get(&uri));
        report.map_or(&none, |(_, written)| written)
    };
    let related = || {
        let plans = snapshot.plans_with(patience)?;
        let own = plans.plans.iter().filter(|plan| *plan.root() == key);
        let used = own.flat_map(|plan| plan.uses());
        let used = used.filter_map(|key| Some((world.uri(key)?, full(written(key)).into())));
        Some(used.collect::<HashMap<Url, DocumentDiagnosticReportKind>>())
    };
    let related_documents = match world.client.related_documents {
        true => Some(related()?).filter(|related| !related.is_empty()),
        false => None,
    };
    let own = written(&key);
    let report: DocumentDiagnosticReport = match params.previous_result_id == Some(own.id()) {
        true => RelatedUnchangedDocumentDiagnosticReport {
            related_documents,
            unchanged_document_diagnostic_report: unchanged(own),
        }
        .into(),
        false => RelatedFullDocumentDiagnosticReport {
            related_documents,
            full_document_diagnostic_report: full(own),
        }
        .into(),
    };
    Some(report.into())
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
