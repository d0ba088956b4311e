//! Texts that are opened and edited. These messages come with every key and must not be missed: they are read straight
//! from their bytes and change the session at once. The protocol library would read and copy each of them some five times.

use std::sync::Arc;

use serde::Deserialize;
use serde::de::{Deserializer, IgnoredAny};
use serde_json::Value;
use serde_json::value::RawValue;
use tower_lsp::lsp_types::{
    DidChangeTextDocumentParams, DidOpenTextDocumentParams, TextDocumentItem, Url,
    VersionedTextDocumentIdentifier,
};

use super::convert;
use super::log::Log;
use super::session::Session;
use crate::text::Fault;

const OPEN: &str = "textDocument/didOpen";
const CHANGE: &str = "textDocument/didChange";

/// What there is to know of a text.
#[derive(Debug, PartialEq)]
pub enum Text {
    /// It was opened.
    Opened(DidOpenTextDocumentParams),
    /// It was edited.
    Edited(DidChangeTextDocumentParams),
    /// One of the two, which cannot be read. It must not be passed over in silence: its text is lost, its document is known.
    Unreadable {
        /// Which of the two.
        method: &'static str,
        /// The document, as far as it is named.
        uri: Value,
    },
}

/// A message, as far as to see what it is.
#[derive(Deserialize)]
struct Head<'a> {
    jsonrpc: &'a str,
    method: &'a str,
    #[serde(default)]
    id: Present,
    #[serde(borrow)]
    params: Option<&'a RawValue>,
}

/// Whether a member is there, whatever it is.
#[derive(Default)]
struct Present(bool);

impl<'de> Deserialize<'de> for Present {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Present, D::Error> {
        IgnoredAny::deserialize(from).map(|_| Present(true))
    }
}

impl Text {
    /// Reads a body; `None` where it is something else, or is in so odd a dress that it has to be looked at more closely.
    pub fn read(body: &[u8]) -> Option<Text> {
        let head: Head = serde_json::from_slice(body).ok()?;
        let params = head
            .params
            .filter(|_| head.jsonrpc == "2.0" && !head.id.0)?;
        match head.method {
            OPEN => serde_json::from_str(params.get()).ok().map(Text::Opened),
            CHANGE => serde_json::from_str(params.get()).ok().map(Text::Edited),
            _ => None,
        }
    }

    /// The same from the parts of a message; `None` where it is something else.
    pub fn of(method: &str, params: &Value) -> Option<Text> {
        let (method, text) = match method {
            OPEN => (OPEN, Deserialize::deserialize(params).map(Text::Opened)),
            CHANGE => (CHANGE, Deserialize::deserialize(params).map(Text::Edited)),
            _ => return None,
        };
        let uri = || params["textDocument"]["uri"].clone();
        Some(text.unwrap_or_else(|_| Text::Unreadable { method, uri: uri() }))
    }
}

/// Takes in what there is to know of texts.
pub fn take_in(session: Arc<Session>, log: Log) -> impl FnMut(Text) + Send {
    move |text| match text {
        Text::Opened(params) => {
            let TextDocumentItem {
                uri, text, version, ..
            } = params.text_document;
            note(&log, &uri, session.open(uri.clone(), &text, version));
        }
        Text::Edited(params) => {
            let VersionedTextDocumentIdentifier { uri, version } = params.text_document;
            let changes = params.content_changes.into_iter().map(convert::change);
            match session.edit(&uri, changes.collect(), version) {
                Some(state) => note(&log, &uri, state),
                None => log.warn(format!("{uri} was edited but is not open.")),
            }
        }
        Text::Unreadable { method, uri } => {
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
    }
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
            let text = Text::read(message.to_string().as_bytes());
            assert!(text.is_some());
            let method = message["method"].as_str().unwrap();
            assert_eq!(text, Text::of(method, &message["params"]));
        }
    }

    #[test]
    fn what_is_odd_is_left_to_others() {
        let with = |name: &str, value: Value| {
            let mut message = edit();
            message[name] = value;
            message
        };
        for message in [
            with("id", json!(1)),
            with("id", Value::Null),
            with("jsonrpc", json!("1.0")),
            with("method", json!("textDocument/hover")),
            with("params", json!([])),
            json!([edit()]),
        ] {
            assert_eq!(
                Text::read(message.to_string().as_bytes()),
                None,
                "{message}"
            );
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
