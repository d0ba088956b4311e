//! A stand-in for the analysis, so that the server can be built and tried before it. Nothing of it stays.
#![allow(missing_docs, dead_code)]

use std::sync::Arc;

use crate::plan::{FileKey, Sources};
use crate::text::Span;

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct FileId(pub usize);

pub struct AnalysedFile {
    pub key: FileKey,
    pub text: Arc<str>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Severity {
    Error,
    Warning,
    Hint,
}

#[derive(Clone, Debug)]
pub struct Finding {
    pub file: FileId,
    pub span: Span,
    pub severity: Severity,
    pub check: &'static str,
    pub message: String,
    pub related: Vec<(FileId, Span, String)>,
    pub unnecessary: bool,
    pub page: String,
}

pub struct Hover {
    pub markdown: String,
    pub span: Span,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ActionKind {
    QuickFix,
    Refactor,
}

pub struct Action {
    pub title: String,
    pub kind: ActionKind,
    pub preferred: bool,
    pub finding: Option<usize>,
    pub edits: Vec<(FileId, Span, String)>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SymbolKind {
    Stock,
    Item,
    Place,
    State,
}

pub struct Symbol {
    pub name: String,
    pub detail: String,
    pub kind: SymbolKind,
    pub span: Span,
    pub name_span: Span,
    pub children: Vec<Symbol>,
}

pub struct Analysis {
    files: Vec<AnalysedFile>,
    findings: Vec<Finding>,
}

impl Analysis {
    pub fn of(
        root: FileKey,
        text: Arc<str>,
        sources: &dyn Sources,
        stop: &dyn Fn() -> bool,
    ) -> Analysis {
        let mut analysis = Analysis {
            files: vec![AnalysedFile { key: root, text }],
            findings: vec![],
        };
        let mut next = 0;
        while next < analysis.files.len() && !stop() {
            analysis.look_at(FileId(next), sources);
            next += 1;
        }
        analysis
    }

    fn look_at(&mut self, file: FileId, sources: &dyn Sources) {
        let (key, text) = (
            self.files[file.0].key.clone(),
            self.files[file.0].text.clone(),
        );
        for (at, _) in text.match_indices("@@") {
            let span = Span::between(at, at + 2);
            self.find(file, span, "syntax", "These words are no stanza.");
        }
        for (at, line) in lines(&text) {
            let Some(path) = line
                .strip_prefix("use \"")
                .and_then(|p| p.split('"').next())
            else {
                continue;
            };
            match sources.read(&key, path) {
                Ok((key, text)) if self.files.iter().all(|f| f.key != key) => {
                    self.files.push(AnalysedFile { key, text });
                }
                Ok(_) => {}
                Err(why) => {
                    let span = Span::between(at + 4, at + 6 + path.len());
                    self.find(
                        file,
                        span,
                        "use-failed",
                        &format!("This file cannot be used: {why:?}."),
                    );
                }
            }
        }
    }

    fn find(&mut self, file: FileId, span: Span, check: &'static str, message: &str) {
        self.findings.push(Finding {
            file,
            span,
            severity: Severity::Error,
            check,
            message: message.to_owned(),
            related: vec![(FileId(0), Span::new(0, 0), "the plan".to_owned())],
            unnecessary: false,
            page: format!("https://example.org/checks/{check}"),
        });
    }

    pub fn files(&self) -> &[AnalysedFile] {
        &self.files
    }

    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }
}

fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.split_inclusive(['\n', '\r']).scan(0, |at, line| {
        let start = *at;
        *at += line.len();
        Some((start, line.trim_end()))
    })
}

/// The word that the offset touches.
fn word(text: &str, offset: usize) -> Span {
    let is_space = |c: char| c.is_whitespace();
    let start = text[..offset].rfind(is_space).map_or(0, |i| {
        i + text[i..].chars().next().map_or(1, char::len_utf8)
    });
    let end = text[offset..]
        .find(is_space)
        .map_or(text.len(), |i| offset + i);
    Span::between(start, end)
}

pub fn hover(a: &Analysis, file: FileId, offset: usize) -> Option<Hover> {
    let text = &a.files[file.0].text;
    let span = word(text, offset);
    (!span.is_empty()).then(|| Hover {
        markdown: format!("`{}`", span.of(text).unwrap_or_default()),
        span,
    })
}

pub fn actions(a: &Analysis, file: FileId, span: Span) -> Vec<Action> {
    let here =
        |(_, f): &(usize, &Finding)| f.file == file && f.check == "syntax" && f.span.meets(span);
    let found = a.findings.iter().enumerate().filter(here);
    found
        .map(|(index, finding)| Action {
            title: "Remove these words".to_owned(),
            kind: ActionKind::QuickFix,
            preferred: true,
            finding: Some(index),
            edits: vec![(file, finding.span, String::new())],
        })
        .collect()
}

pub fn symbols(a: &Analysis, file: FileId) -> Vec<Symbol> {
    let named = |(at, line): (usize, &str)| {
        let mut words = line.split(' ');
        let (stanza, name) = (words.next()?, words.next()?);
        matches!(stanza, "zone" | "lamp").then(|| {
            let start = at + stanza.len() + 1;
            Symbol {
                name: name.to_owned(),
                detail: stanza.to_owned(),
                kind: if stanza == "zone" {
                    SymbolKind::Place
                } else {
                    SymbolKind::Item
                },
                span: Span::between(at, at + line.len()),
                name_span: Span::between(start, start + name.len()),
                children: vec![],
            }
        })
    };
    lines(&a.files[file.0].text).filter_map(named).collect()
}

pub fn definition(a: &Analysis, file: FileId, offset: usize) -> Vec<(FileId, Span)> {
    let text = &a.files[file.0].text;
    let name = word(text, offset).of(text).unwrap_or_default();
    let files = (0..a.files.len()).map(FileId);
    let all = files.flat_map(|f| symbols(a, f).into_iter().map(move |s| (f, s)));
    all.filter(|(_, s)| s.name == name)
        .map(|(f, s)| (f, s.name_span))
        .collect()
}
