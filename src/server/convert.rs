//! Between the editor's plain data in byte offsets and the protocol's types. Nothing is decided here.

use std::collections::{BTreeMap, HashMap};

use tower_lsp::lsp_types::*;

use super::plans::{Here, Plan};
use super::ready::Ready;
use super::session::World;
use crate::checks::Finding;
use crate::editor::hover;
use crate::editor::plain::plain;
use crate::editor::symbols::{self, SymbolKind as Kind};
use crate::parts::{Said, View};
use crate::plan::{FileId, FileKey, Severity, StanzaId};
use crate::text::{self, Encoding, Lines, Span};

/// The protocol's range of `span`.
pub fn range(lines: &Lines, span: Span, encoding: Encoding) -> Range {
    let (start, end) = lines.positions(span, encoding);
    Range::new(position(start), position(end))
}

fn position(at: text::Position) -> Position {
    Position::new(at.line, at.column)
}

/// The protocol's position as ours.
pub fn place(at: Position) -> text::Position {
    text::Position {
        line: at.line,
        column: at.character,
    }
}

/// The client's edit as ours.
pub fn change(event: TextDocumentContentChangeEvent) -> text::Change {
    text::Change {
        range: event
            .range
            .map(|range| (place(range.start), place(range.end))),
        text: event.text,
    }
}

/// A stretch of a file of a plan, as the protocol names it.
pub fn location(world: &World, plan: &Plan, file: FileId, span: Span) -> Option<Location> {
    let range = range(plan.lines(file), span, world.client.encoding);
    Some(Location::new(world.uri(plan.key(file))?, range))
}

/// A finding, in the file that it stands in.
pub fn diagnostic(world: &World, plan: &Plan, finding: &Finding) -> Diagnostic {
    let place = |stanza: StanzaId, span| {
        let span = plan.analysis.plan.in_file(stanza, span);
        range(plan.lines(stanza.file), span, world.client.encoding)
    };
    let uri = |stanza: StanzaId| world.uri(plan.key(stanza.file));
    told(world, finding, &place, &uri)
}

/// A finding of a part of a plan that is to be changed.
pub fn in_part(world: &World, plan: &Plan, view: &View, finding: &Finding) -> Diagnostic {
    let place = |stanza: StanzaId, span| {
        let span = view.in_file(stanza, span);
        range(plan.lines(stanza.file), span, world.client.encoding)
    };
    let uri = |stanza: StanzaId| world.uri(plan.key(stanza.file));
    told(world, finding, &place, &uri)
}

/// A finding of a plan that is kept in parts.
pub fn said(world: &World, files: &[(FileKey, Lines)], said: &Said) -> Diagnostic {
    let place = |stanza: StanzaId, span| {
        let span = said.in_file(stanza, span);
        range(&files[stanza.file.0].1, span, world.client.encoding)
    };
    let uri = |stanza: StanzaId| world.uri(&files[stanza.file.0].0);
    told(world, said.finding, &place, &uri)
}

fn told(
    world: &World,
    finding: &Finding,
    place: &dyn Fn(StanzaId, Span) -> Range,
    uri: &dyn Fn(StanzaId) -> Option<Url>,
) -> Diagnostic {
    let client = &world.client;
    let related = finding
        .related
        .iter()
        .filter_map(|(stanza, span, message)| {
            Some(DiagnosticRelatedInformation {
                location: Location::new(uri(*stanza)?, place(*stanza, *span)),
                message: message.clone(),
            })
        });
    let related = client
        .related_information
        .then(|| related.collect::<Vec<_>>());
    Diagnostic {
        range: place(finding.stanza, finding.span),
        severity: Some(severity(finding.severity)),
        code: Some(NumberOrString::String(finding.check.to_owned())),
        code_description: world
            .settings
            .pages
            .of(finding.check)
            .map(|href| CodeDescription { href }),
        source: Some("glimloom".to_owned()),
        message: finding.message.clone(),
        related_information: related.filter(|related| !related.is_empty()),
        tags: (client.unnecessary && finding.unnecessary).then(|| vec![DiagnosticTag::UNNECESSARY]),
        data: None,
    }
}

fn severity(severity: Severity) -> DiagnosticSeverity {
    match severity {
        Severity::Error => DiagnosticSeverity::ERROR,
        Severity::Warning => DiagnosticSeverity::WARNING,
        Severity::Hint => DiagnosticSeverity::HINT,
    }
}

/// A text of ours, as it is or in plain text.
pub fn markup(is_markdown: bool, text: String) -> MarkupContent {
    match is_markdown {
        true => MarkupContent {
            kind: MarkupKind::Markdown,
            value: text,
        },
        false => MarkupContent {
            kind: MarkupKind::PlainText,
            value: plain(&text),
        },
    }
}

/// What is shown at the cursor.
pub fn hover(here: &Here, hover: hover::Hover) -> Hover {
    let client = &here.snapshot.world.client;
    Hover {
        contents: HoverContents::Markup(markup(client.markdown, hover.markdown)),
        range: Some(range(
            here.plan.lines(here.file),
            hover.span,
            client.encoding,
        )),
    }
}

/// Edits of a plan's files as the protocol's, file by file.
pub fn text_edits(
    world: &World,
    plan: &Plan,
    edits: Vec<(FileId, Span, String)>,
) -> BTreeMap<FileKey, Vec<TextEdit>> {
    let mut files: BTreeMap<FileKey, Vec<TextEdit>> = BTreeMap::new();
    for (file, span, text) in edits {
        let range = range(plan.lines(file), span, world.client.encoding);
        files
            .entry(plan.key(file).clone())
            .or_default()
            .push(TextEdit::new(range, text));
    }
    files
}

/// Edits, file by file: for one version of a document where the client knows of that. `None` if a file has no
/// address.
pub fn workspace_edit(
    world: &World,
    files: BTreeMap<FileKey, Vec<TextEdit>>,
) -> Option<WorkspaceEdit> {
    if !world.client.document_changes {
        let named = files
            .into_iter()
            .map(|(key, edits)| Some((world.uri(&key)?, edits)));
        return Some(WorkspaceEdit::new(
            named.collect::<Option<HashMap<_, _>>>()?,
        ));
    }
    let named = files.into_iter().map(|(key, edits)| {
        Some(TextDocumentEdit {
            text_document: OptionalVersionedTextDocumentIdentifier {
                uri: world.uri(&key)?,
                version: world.version(&key),
            },
            edits: edits.into_iter().map(OneOf::Left).collect(),
        })
    });
    Some(WorkspaceEdit {
        document_changes: Some(DocumentChanges::Edits(named.collect::<Option<_>>()?)),
        ..Default::default()
    })
}

/// The outline: a tree, or for a client that knows none a list in which each names what it is in. One of the trees after
/// the other is made and written.
pub fn symbols(here: &Here, symbols: Vec<symbols::Symbol>) -> Option<Ready> {
    if !here.snapshot.world.client.symbol_tree {
        let mut flat = Vec::new();
        flatten(here, symbols, None, &mut flat)?;
        return Some(Ready::of(&flat));
    }
    Some(Ready::by(|text| {
        text.push('[');
        for (k, symbol) in symbols.into_iter().enumerate() {
            if k > 0 {
                text.push(',');
            }
            let tree = serde_json::to_string(&tree(here, symbol));
            text.push_str(&tree.unwrap_or("null".to_owned()));
        }
        text.push(']');
    }))
}

#[allow(deprecated)] // The field `deprecated` must be given, and is none.
fn tree(here: &Here, symbol: symbols::Symbol) -> DocumentSymbol {
    let lines = here.plan.lines(here.file);
    let encoding = here.snapshot.world.client.encoding;
    let children: Vec<_> = symbol
        .children
        .into_iter()
        .map(|child| tree(here, child))
        .collect();
    DocumentSymbol {
        name: printable(symbol.name),
        detail: Some(symbol.detail).filter(|detail| !detail.is_empty()),
        kind: symbol_kind(symbol.kind),
        tags: None,
        deprecated: None,
        // Clients refuse a name that is not inside its symbol.
        range: range(lines, symbol.span.to(symbol.name_span), encoding),
        selection_range: range(lines, symbol.name_span, encoding),
        children: Some(children).filter(|children| !children.is_empty()),
    }
}

#[allow(deprecated)]
fn flatten(
    here: &Here,
    symbols: Vec<symbols::Symbol>,
    container: Option<&str>,
    flat: &mut Vec<SymbolInformation>,
) -> Option<()> {
    for symbol in symbols {
        let name = printable(symbol.name);
        flat.push(SymbolInformation {
            name: name.clone(),
            kind: symbol_kind(symbol.kind),
            tags: None,
            deprecated: None,
            location: location(&here.snapshot.world, &here.plan, here.file, symbol.span)?,
            container_name: container.map(str::to_owned),
        });
        flatten(here, symbol.children, Some(&name), flat)?;
    }
    Some(())
}

/// Clients refuse an empty name.
fn printable(name: String) -> String {
    if name.trim().is_empty() {
        "…".to_owned()
    } else {
        name
    }
}

/// The protocol's name for what an entry stands for.
pub fn symbol_kind(kind: Kind) -> SymbolKind {
    match kind {
        Kind::Stock => SymbolKind::CLASS,
        Kind::Item => SymbolKind::OBJECT,
        Kind::Place => SymbolKind::NAMESPACE,
        Kind::State => SymbolKind::EVENT,
        Kind::Pattern => SymbolKind::INTERFACE,
    }
}
