//! Findings for a client that asks for them: of one file, and of all plans of its folders. They are the findings that a
//! client which does not ask is told.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::Arc;
use std::time::Instant;

use serde::Deserialize;
use serde_json::Value;
use tokio::sync::Notify;
use tower_lsp::lsp_types::*;

use super::folders;
use super::given::Answer;
use super::keys::key_of;
use super::plans::Patience;
use super::progress::Work;
use super::publisher::{AT_ONCE, reports};
use super::ready::{METHODS, Ready};
use super::session::{Session, Snapshot};
use super::told::Written;
use crate::parts::Stop;
use crate::plan::FileKey;

/// So many files are answered for together, where the client takes an answer in pieces.
const TOGETHER: usize = 16;

/// The answer to a request for the findings of one file, written out, where it takes no time; what it says is written
/// already, and would else be read, sorted and written again.
pub fn at_once(session: &Session, refresh: &Notify, request: &Value) -> Option<Vec<u8>> {
    if request["method"] != METHODS[0].1 {
        return None;
    }
    let snapshot = session.snapshot();
    let id = request.get("id").filter(|_| snapshot.world.client.pulls)?;
    let params = DocumentDiagnosticParams::deserialize(&request["params"]).ok()?;
    let started = Instant::now();
    let patience = Patience {
        stop: &|| false,
        short: Some(&|| started.elapsed() < AT_ONCE),
    };
    let report = written(session, &snapshot, refresh, &params, &patience)?;
    Some(format!("{{\"jsonrpc\":\"2.0\",\"id\":{id},\"result\":{report}}}").into_bytes())
}

/// The findings of one file; `None` when told to stop.
pub fn document(
    session: &Session,
    snapshot: &Arc<Snapshot>,
    refresh: &Notify,
    params: &DocumentDiagnosticParams,
    stop: Stop,
) -> Option<Ready> {
    let patience = Patience { stop, short: None };
    let report = written(session, snapshot, refresh, params, &patience)?;
    Some(Ready::by(|text| text.push_str(&report)))
}

/// The report on one file; `None` when told to stop, or when there was no time. Where it is old by now, the client is
/// asked to ask again.
fn written(
    session: &Session,
    snapshot: &Arc<Snapshot>,
    refresh: &Notify,
    params: &DocumentDiagnosticParams,
    patience: &Patience,
) -> Option<String> {
    let world = &snapshot.world;
    let key = key_of(&params.text_document.uri);
    let reports = reports(snapshot, patience)?;
    let none = Arc::default();
    let found = |key: &FileKey| {
        let report = world.uri(key).and_then(|uri| reports.get(&uri));
        report.map_or(&none, |(_, written)| written)
    };
    let full = |written: &Written| {
        let (id, items) = (written.id(), written.array());
        format!("\"kind\":\"full\",\"resultId\":\"{id}\",\"items\":{items}")
    };
    let plans = snapshot.plans_with(patience)?;
    let is_open = world.documents.contains_key(&key);
    let closed = match is_open || plans.plans.iter().any(|plan| plan.file(&key).is_some()) {
        true => None,
        false if patience.short.is_some() => return None,
        false => Some(folders::said_of(snapshot, &key, patience.stop)?),
    };
    let own = closed.as_ref().unwrap_or(found(&key));
    let id = own.id();
    let uri = world.uri(&key);
    let uri = uri.unwrap_or_else(|| params.text_document.uri.clone());
    let asked = (uri.clone(), world.version(&key));
    let answer = |written: &Arc<Written>| Answer {
        asked: asked.clone(),
        written: written.clone(),
        revision: snapshot.revision,
    };
    let mut given = BTreeMap::new();
    if is_open {
        given.insert(uri, answer(own));
    }
    let mut report = match params.previous_result_id.as_ref() == Some(&id) {
        true => format!("\"kind\":\"unchanged\",\"resultId\":\"{id}\""),
        false => full(own),
    };
    if world.client.related_documents {
        let plans = plans.plans.iter().filter(|plan| *plan.root() == key);
        let used: BTreeSet<&FileKey> = plans.flat_map(|plan| plan.uses()).collect();
        let related = used.into_iter().filter_map(|key| {
            let (uri, found) = (world.uri(key)?, found(key));
            let name = serde_json::to_string(&uri).ok()?;
            if !world.documents.contains_key(key) {
                given.insert(uri, answer(found));
            }
            Some(format!("{name}:{{{}}}", full(found)))
        });
        let related: Vec<String> = related.collect();
        if !related.is_empty() {
            report += &format!(",\"relatedDocuments\":{{{}}}", related.join(","));
        }
    }
    if session.given.give(given) {
        refresh.notify_one();
    }
    Some(format!("{{{report}}}"))
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
