//! Texts that are opened and edited. These messages come with every key and must not be missed: they are read straight
//! from their bytes and change the session at once. The protocol library would read and copy each of them some five times.

use std::sync::Arc;

use serde::Deserialize;
use serde_json::Value;
use tower_lsp::lsp_types::{TextDocumentContentChangeEvent, Url};

use super::convert;
use super::log::Log;
use super::session::Session;
use crate::text::Fault;

const OPEN: &str = "textDocument/didOpen";
const CHANGE: &str = "textDocument/didChange";

/// What a message says of a text, as far as it matters here.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct About {
    /// The text.
    pub text_document: Document,
    content_changes: Option<Vec<TextDocumentContentChangeEvent>>,
    /// Of a question for findings: what was answered last.
    pub previous_result_id: Option<String>,
}

/// A text of the client's.
#[derive(Debug, Deserialize)]
pub struct Document {
    /// The address that the client has for it.
    pub uri: String,
    version: Option<i32>,
    text: Option<String>,
}

/// What there is to know of a text.
#[derive(Debug, PartialEq)]
pub enum Text {
    /// It was opened: its address, its version, and itself.
    Opened(String, i32, String),
    /// It was edited: its address, its version then, and what was changed.
    Edited(String, i32, Vec<TextDocumentContentChangeEvent>),
    /// One of the two, which cannot be read. It must not be passed over in silence: its text is lost, its document is known.
    Unreadable {
        /// Which of the two.
        method: &'static str,
        /// The document, as far as it is named.
        uri: Value,
    },
}

impl Text {
    /// What a notification of this method says; `None` where it is another one, or cannot be read straight away.
    pub fn by(method: &str, about: About) -> Option<Text> {
        let Document { uri, version, text } = about.text_document;
        match method {
            OPEN => Some(Text::Opened(uri, version?, text?)),
            CHANGE => Some(Text::Edited(uri, version?, about.content_changes?)),
            _ => None,
        }
    }

    /// The same from the parts of a message; `None` where it is another one.
    pub fn of(method: &str, params: &Value) -> Option<Text> {
        let method = [OPEN, CHANGE].into_iter().find(|known| *known == method)?;
        let text = About::deserialize(params).ok();
        let text = text.and_then(|about| Text::by(method, about));
        let uri = || params["textDocument"]["uri"].clone();
        Some(text.unwrap_or_else(|| Text::Unreadable { method, uri: uri() }))
    }
}

/// Takes in what there is to know of texts.
pub fn take_in(session: Arc<Session>, log: Log) -> impl FnMut(Text) + Send {
    move |text| match text {
        Text::Opened(uri, version, text) => match session.last.named(&uri) {
            Some(named) => {
                let state = session.open(named.uri.clone(), &text, version);
                note(&log, &named.uri, state);
            }
            None => lost(&session, &log, OPEN, &Value::String(uri)),
        },
        Text::Edited(uri, version, changes) => {
            let Some(named) = session.last.named(&uri) else {
                return lost(&session, &log, CHANGE, &Value::String(uri));
            };
            let changes = changes.into_iter().map(convert::change);
            match session.edit(&named.key, changes.collect(), version) {
                Some(state) => note(&log, &named.uri, state),
                None => log.warn(format!("{uri} was edited but is not open.")),
            }
        }
        Text::Unreadable { method, uri } => lost(&session, &log, method, &uri),
    }
}

/// What was said of a text could not be read.
fn lost(session: &Session, log: &Log, method: &str, uri: &Value) {
    let known = uri.as_str().and_then(|uri| Url::parse(uri).ok());
    let is_open = known.is_some_and(|uri| session.lose(&uri));
    let note = match is_open {
        true => " Its text is not known until it is opened again.",
        false => "",
    };
    log.warn(format!(
        "{method} for {uri} cannot be read and was passed over.{note}"
    ));
}

fn note(log: &Log, uri: &Url, state: Result<(), Fault>) {
    match state {
        Ok(()) => {}
        Err(Fault::OutOfSync) => log.warn(format!(
            "An edit of {uri} does not fit its text. Its text is not known until it is opened again."
        )),
        Err(Fault::TooLarge) => {
            log.warn(format!("{uri} is too large to be looked at: the limit is 8 MiB."));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn edit() -> Value {
        json!({"jsonrpc": "2.0", "method": CHANGE, "params": {
            "textDocument": {"uri": "file:///a.harness", "version": 2},
            "contentChanges": [{"range": {"start": {"line": 0, "character": 0}, "end": {"line": 0, "character": 1}}, "text": "\u{1f4a1}\n"}]}})
    }

    #[test]
    fn from_the_bytes_and_from_the_parts_it_is_the_same() {
        let open = json!({"jsonrpc": "2.0", "method": OPEN, "params": {"textDocument":
            {"uri": "file:///a.harness", "languageId": "harness", "version": 1, "text": "zone a\r\n"}}});
        for message in [open, edit()] {
            let method = message["method"].as_str().unwrap();
            let about = serde_json::from_str(&message["params"].to_string()).unwrap();
            let text = Text::by(method, about);
            assert!(text.is_some());
            assert_eq!(text, Text::of(method, &message["params"]));
        }
    }

    #[test]
    fn an_edit_that_cannot_be_read_is_told() {
        let params = json!({"textDocument": {"uri": "file:///a.harness", "version": null}, "contentChanges": []});
        let uri = json!("file:///a.harness");
        let method = CHANGE;
        assert_eq!(
            Text::of(CHANGE, &params),
            Some(Text::Unreadable { method, uri })
        );
        let (method, uri) = (OPEN, Value::Null);
        assert_eq!(
            Text::of(OPEN, &Value::Null),
            Some(Text::Unreadable { method, uri })
        );
    }
}
