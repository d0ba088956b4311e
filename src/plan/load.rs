//! The files of a plan: its own and, once each, those that `use` brings in.

use std::collections::HashMap;
use std::sync::Arc;

use super::model::{FileId, Plan, Problem, Severity, SourceFile, StanzaId};
use super::sources::{FileKey, Sources, UseFailure};
use crate::syntax;
use crate::syntax::tree::ValueKind;
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// How deep files may use files; no plan of a builder comes near.
const DEEPEST: usize = 64;

/// How many files a plan may have.
const MOST_FILES: usize = 1000;

struct Loader<'a> {
    plan: Plan,
    sources: &'a dyn Sources,
    known: HashMap<FileKey, FileId>,
    /// The files that are being read, the plan's own first.
    open: Vec<FileId>,
}

/// Reads the plan's own file and all that it uses: files, their order and what failed; no meaning yet.
pub(super) fn load(root: FileKey, text: Arc<str>, sources: &dyn Sources) -> Plan {
    let mut loader = Loader {
        plan: Plan::default(),
        sources,
        known: HashMap::new(),
        open: Vec::new(),
    };
    loader.file(root, text);
    loader.plan
}

impl Loader<'_> {
    fn file(&mut self, key: FileKey, text: Arc<str>) {
        let file = FileId(self.plan.files.len());
        let tree = syntax::read_file(&text);
        self.known.insert(key.clone(), file);
        let stanzas: Vec<_> = tree.stanzas.iter().map(|s| s.stanza.clone()).collect();
        self.plan.files.push(SourceFile { key, text, tree });
        self.open.push(file);
        for (index, stanza) in stanzas.iter().enumerate() {
            let id = StanzaId { file, index };
            self.plan.order.push(id);
            if stanza.word != Some(StanzaWord::Use) {
                continue;
            }
            if let Some(value) = stanza.head.first()
                && let ValueKind::Text(path) = &value.kind
            {
                self.used(id, path.clone(), value.span);
            }
        }
        self.open.pop();
    }

    fn used(&mut self, stanza: StanzaId, path: Arc<str>, span: Span) {
        let from = self.plan.files[stanza.file.0].key.clone();
        let found = self.sources.read(&from, &path);
        let led_to = found.as_ref().map(|(key, _)| key.clone()).map_err(|e| *e);
        self.plan.uses.insert((from, path.clone()), led_to);
        match found {
            Err(failure) => self.failed(stanza, span, explain(failure, &path)),
            Ok((key, text)) => match self.known.get(&key) {
                Some(file) => {
                    if let Some(at) = self.open.iter().position(|f| f == file) {
                        let message = self.circle(at);
                        self.failed(stanza, span, message);
                    }
                }
                None if self.open.len() >= DEEPEST || self.plan.files.len() >= MOST_FILES => {
                    self.failed(
                        stanza,
                        span,
                        "Too many files use files here: bring the stanzas into fewer files."
                            .to_owned(),
                    );
                }
                None => self.file(key, text),
            },
        }
    }

    fn circle(&self, from: usize) -> String {
        let name = |file: &FileId| short_name(&self.plan.files[file.0].key).to_owned();
        let mut names: Vec<String> = self.open[from..].iter().map(name).collect();
        names.extend(self.open.get(from).map(name));
        if names.len() == 2 {
            return "This file uses itself: remove this line.".to_owned();
        }
        format!(
            "Files that use each other in a circle: {}. Remove one of the uses.",
            names.join(" → ")
        )
    }

    fn failed(&mut self, stanza: StanzaId, span: Span, message: String) {
        self.plan.problems.push(Problem {
            check: "use-failed",
            severity: Severity::Error,
            stanza,
            span,
            message,
            related: Vec::new(),
            mends: Vec::new(),
        });
    }
}

/// The last part of a file's key, for messages.
pub(super) fn short_name(key: &FileKey) -> &str {
    key.0.rsplit(['/', '\\']).next().unwrap_or(&key.0)
}

fn explain(failure: UseFailure, path: &str) -> String {
    match failure {
        UseFailure::Missing => format!(
            "There is no file \"{path}\" beside this one. Check the spelling, or save it first."
        ),
        UseFailure::Unreadable => {
            format!("\"{path}\" cannot be read: it must be a plain file that you may read.")
        }
        UseFailure::NotText { line, byte } => format!(
            "\"{path}\" is not a text in UTF-8 from byte {byte} of line {line} on. Save it as UTF-8."
        ),
        UseFailure::Outside => {
            format!("\"{path}\" lies outside the plan's folder. Keep the files of a plan together.")
        }
        UseFailure::TooLarge => format!("\"{path}\" is too large for a harness file."),
    }
}
