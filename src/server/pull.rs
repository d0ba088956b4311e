//! Findings for a client that asks for them: of one file, and of all plans of its folders. They are the findings that a
//! client which does not ask is told.

use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;
use std::time::Instant;

use tokio::sync::Notify;
use tower_lsp::lsp_types::*;

use super::folders;
use super::given::Answer;
use super::keys::{Named, key_of};
use super::plans::Patience;
use super::progress::Work;
use super::publisher::{AT_ONCE, said_of};
use super::ready::{METHODS, Ready};
use super::session::{Session, Snapshot};
use super::texts::About;
use super::told::Written;
use crate::parts::Stop;
use crate::plan::FileKey;

/// So many files are answered for together, where the client takes an answer in pieces.
const TOGETHER: usize = 16;

/// A request for the findings of one file, as far as it matters here.
#[derive(Debug, PartialEq)]
pub struct Asked {
    /// The request's id, as JSON.
    id: String,
    /// The file, by the address that the client has for it.
    uri: String,
    previous: Option<String>,
}

impl Asked {
    /// The request of this method and id that is about this; `None` where it is another one.
    pub fn by(method: &str, id: &str, about: About) -> Option<Asked> {
        let is_plain = id.parse::<i64>().is_ok() || (id.starts_with('"') && !id.contains('\\'));
        if method != METHODS[0].0 || !is_plain {
            return None;
        }
        Some(Asked {
            id: id.to_owned(),
            uri: about.text_document.uri,
            previous: about.previous_result_id,
        })
    }
}

/// The answer to a request for the findings of one file, written out, where it takes no time; what it says is written
/// already, and would else be read, sorted and written again.
pub fn at_once(session: &Session, refresh: &Notify, asked: &Asked) -> Option<Vec<u8>> {
    let snapshot = session.snapshot();
    if !snapshot.world.client.pulls {
        return None;
    }
    let file = session.last.named(&asked.uri)?;
    let started = Instant::now();
    let patience = Patience {
        stop: &|| false,
        short: Some(&|| started.elapsed() < AT_ONCE),
    };
    let previous = asked.previous.as_deref();
    let found = found(session, &snapshot, refresh, &file, &patience)?;
    let mut text = String::with_capacity(found.own.text().len() + ROOM);
    text.extend(["{\"jsonrpc\":\"2.0\",\"id\":", &asked.id, ",\"result\":"]);
    found.write(previous, &mut text);
    text.push('}');
    Some(text.into_bytes())
}

/// Room for what stands around findings.
const ROOM: usize = 256;

/// The findings of one file; `None` when told to stop.
pub fn document(
    session: &Session,
    snapshot: &Arc<Snapshot>,
    refresh: &Notify,
    params: &DocumentDiagnosticParams,
    stop: Stop,
) -> Option<Ready> {
    let patience = Patience { stop, short: None };
    let file = session.last.named(params.text_document.uri.as_str())?;
    let found = found(session, snapshot, refresh, &file, &patience)?;
    let previous = params.previous_result_id.as_deref();
    Some(Ready::by(|text| found.write(previous, text)))
}

/// What is said of one file.
struct Found {
    own: Arc<Written>,
    /// The files that it uses, where the client wants to know.
    related: Vec<(Url, Arc<Written>)>,
}

impl Found {
    /// The report, as the protocol has it; of what the client has already, only that it is so.
    fn write(&self, previous: Option<&str>, text: &mut String) {
        let id = self.own.id();
        if previous == Some(&id) {
            text.extend(["{\"kind\":\"unchanged\",\"resultId\":\"", &id, "\""]);
        } else {
            text.push('{');
            write_full(&self.own, &id, text);
        }
        let mut ahead = ",\"relatedDocuments\":{";
        for (uri, written) in &self.related {
            let name = serde_json::to_string(uri).unwrap_or_default();
            text.extend([ahead, &name, ":{"]);
            write_full(written, &written.id(), text);
            text.push('}');
            ahead = ",";
        }
        text.push_str(if self.related.is_empty() { "}" } else { "}}" });
    }
}

fn write_full(written: &Written, id: &str, text: &mut String) {
    text.extend(["\"kind\":\"full\",\"resultId\":\"", id, "\",\"items\":["]);
    text.extend([written.text(), "]"]);
}

/// What is said of one file; `None` when told to stop, or when there was no time. Where it is old by now, the client is
/// asked to ask again.
fn found(
    session: &Session,
    snapshot: &Arc<Snapshot>,
    refresh: &Notify,
    file: &Named,
    patience: &Patience,
) -> Option<Found> {
    let world = &snapshot.world;
    let key = &file.key;
    let plans = snapshot.plans_with(patience)?;
    let is_open = world.documents.contains_key(key);
    let is_known = is_open || plans.plans.iter().any(|plan| plan.file(key).is_some());
    let own = match is_known {
        true => said_of(&plans, key),
        false if patience.short.is_some() => return None,
        false => folders::said_of(snapshot, key, patience.stop)?,
    };
    let uri = world.uri(key).unwrap_or_else(|| file.uri.clone());
    let asked = (uri.clone(), world.version(key));
    let answer = |written: &Arc<Written>| Answer {
        asked: asked.clone(),
        written: written.clone(),
        revision: snapshot.revision,
    };
    let mut given = Vec::with_capacity(1);
    if is_open {
        given.push((uri, answer(&own)));
    }
    let mut related = Vec::new();
    if world.client.related_documents {
        let plans_of = plans.plans.iter().filter(|plan| plan.root() == key);
        let used: BTreeSet<&FileKey> = plans_of.flat_map(|plan| plan.uses()).collect();
        for key in used {
            let (Some(uri), written) = (world.uri(key), said_of(&plans, key)) else {
                continue;
            };
            if !world.documents.contains_key(key) {
                given.push((uri.clone(), answer(&written)));
            }
            related.push((uri, written));
        }
    }
    if (patience.stop)() {
        return None;
    }
    if session.given.give(given) {
        refresh.notify_one();
    }
    Some(Found { own, related })
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
