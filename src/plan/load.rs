//! The files of a plan: its own and, once each, those that `use` brings in.

use std::collections::HashMap;
use std::sync::Arc;

use super::model::{Edit, FileId, Plan, Problem, ProblemMend, Severity, SourceFile, StanzaId};
use super::sources::{FileKey, Sources, UseFailure};
use crate::syntax;
use crate::syntax::tree::{File, Placed, Stanza, ValueKind};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// How deep files may use files; no plan of a builder comes near.
const DEEPEST: usize = 64;

/// For so many paths that lead nowhere the nearest file is looked for.
const MOST_MEANT: usize = 8;

/// How many files a plan may have.
const MOST_FILES: usize = 1000;

struct Loader<'a> {
    before: &'a Plan,
    plan: Plan,
    sources: &'a dyn Sources,
    known: HashMap<FileKey, FileId>,
    /// The files that are being read, the plan's own first.
    open: Vec<FileId>,
    /// The paths that lead to no file, each with the place of its problem.
    missing: Vec<(Arc<str>, usize)>,
}

/// Reads the plan's own file and all that it uses: files, their order and what failed; no meaning yet.
pub(super) fn load(root: FileKey, text: Arc<str>, sources: &dyn Sources) -> Plan {
    let root = SourceFile::read(root, text, None);
    load_file(root, &Plan::default(), sources)
}

/// As [`load`], of a file that is read already; files that were read `before` may be much as they were.
pub(super) fn load_file(root: SourceFile, before: &Plan, sources: &dyn Sources) -> Plan {
    let mut loader = Loader {
        before,
        plan: Plan::default(),
        sources,
        known: HashMap::new(),
        open: Vec::new(),
        missing: Vec::new(),
    };
    loader.file(root);
    loader.meant();
    loader.plan
}

impl SourceFile {
    fn read(key: FileKey, text: Arc<str>, before: Option<&SourceFile>) -> SourceFile {
        let tree = match before {
            Some(before) if before.text == text => before.tree.clone(),
            Some(before) => syntax::read_file_reusing(&text, &before.tree),
            None => syntax::read_file(&text),
        };
        SourceFile { key, text, tree }
    }

    /// A file of these stanzas.
    pub(super) fn of_stanzas(key: FileKey, stanzas: &[Arc<Stanza>]) -> SourceFile {
        let mut text = String::with_capacity(stanzas.iter().map(|s| s.text.len()).sum());
        let mut tree = File::default();
        tree.stanzas.reserve(stanzas.len());
        for stanza in stanzas {
            let start = u32::try_from(text.len()).unwrap_or(u32::MAX);
            text.push_str(&stanza.text);
            tree.stanzas.push(Placed {
                start,
                stanza: stanza.clone(),
            });
        }
        SourceFile {
            key,
            text: text.into(),
            tree,
        }
    }
}

impl Loader<'_> {
    fn file(&mut self, source: SourceFile) {
        let file = FileId(self.plan.files.len());
        self.known.insert(source.key.clone(), file);
        let stanzas = source.tree.stanzas.iter();
        let stanzas: Vec<_> = stanzas.map(|s| s.stanza.clone()).collect();
        self.plan.files.push(source);
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
            Err(failure) => {
                self.failed(stanza, span, explain(failure, &path));
                if failure == UseFailure::Missing {
                    self.missing.push((path, self.plan.problems.len() - 1));
                }
            }
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
                None => {
                    let before = self.before.files.iter().find(|file| file.key == key);
                    self.file(SourceFile::read(key, text, before));
                }
            },
        }
    }

    /// For paths that lead to no file, the nearest one that lies there and is not used yet.
    fn meant(&mut self) {
        for (path, problem) in std::mem::take(&mut self.missing)
            .into_iter()
            .take(MOST_MEANT)
        {
            let Some(problem) = self.plan.problems.get_mut(problem) else {
                continue;
            };
            let from = &self.plan.files[problem.stanza.file.0].key;
            let Some(near) = nearest(&path, self.sources.beside(from, &path)) else {
                continue;
            };
            let Ok((key, text)) = self.sources.read(from, &near) else {
                continue;
            };
            if self.known.contains_key(&key) {
                continue;
            }
            let meant = &mut self.plan.meant;
            let place = (from.clone(), Arc::from(&*near), key.clone());
            meant.led_to.push(place);
            if !meant.texts.contains_key(&key) {
                let with_it = load(key, text, &NothingBeside(self.sources));
                let uses = with_it.uses.into_iter();
                let led_to = uses.filter_map(|((from, path), to)| Some((from, path, to.ok()?)));
                meant.led_to.extend(led_to);
                let files = with_it.files.into_iter();
                meant.texts.extend(files.map(|file| (file.key, file.text)));
            }
            problem.message =
                format!("There is no file \"{path}\" beside this one. Nearest name: {near}.");
            problem.mends.push(ProblemMend {
                title: format!("write {near}"),
                edits: vec![Edit {
                    stanza: problem.stanza,
                    span: problem.span,
                    text: format!("\"{}\"", near.replace('\\', "\\\\").replace('"', "\\\"")),
                }],
            });
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

/// The same files, where nobody asks what lies beside them.
struct NothingBeside<'a>(&'a dyn Sources);

impl Sources for NothingBeside<'_> {
    fn read(&self, from: &FileKey, path: &str) -> Result<(FileKey, Arc<str>), UseFailure> {
        self.0.read(from, path)
    }
}

/// The nearest of some paths in one folder, a few slips from what was written; case and the ending left out do not count.
fn nearest(written: &str, paths: Vec<String>) -> Option<String> {
    let stem = |path: &str| {
        let name = path.rsplit('/').next().unwrap_or(path).to_lowercase();
        name.strip_suffix(".harness")
            .map(str::to_owned)
            .unwrap_or(name)
    };
    let own = stem(written);
    let most = (own.chars().count() / 3).min(3);
    let plain = |path: &String| !path.contains(|c: char| c.is_control() || c == '`');
    let near = paths.into_iter().filter(plain).filter_map(|path| {
        let slips = strsim::osa_distance(&own, &stem(&path));
        (slips <= most).then_some((slips, path))
    });
    near.min().map(|(_, path)| path)
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
        UseFailure::Unsaved => {
            format!("Save this file first: \"{path}\" is looked for beside it.")
        }
        UseFailure::TooLarge => format!("\"{path}\" is too large for a harness file."),
    }
}
