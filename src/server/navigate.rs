//! Names, places and the way of the power: questions that lead from one place of the plans to others. The answers
//! are the editor's plain data; here they get the protocol's types. Used files are shared: what is defined in one is
//! looked for in every plan that has it.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde_json::{Value, json};
use tower_lsp::jsonrpc::{Error, ErrorCode};
use tower_lsp::lsp_types::*;

use super::convert::{self, location, symbol_kind, text_edits, workspace_edit};
use super::folders::Folders;
use super::in_parts;
use super::plans::Here;
use super::progress::Work;
use super::session::Snapshot;
use crate::editor::feed_tree::{self, Node};
use crate::editor::symbols::SymbolKind as Kind;
use crate::editor::{folding, linked, links, rename, selection, used_paths, workspace_symbols};
use crate::parts::Stop;
use crate::plan::{FileId, FileKey};
use crate::text::{Document, Encoding, Span};

/// More symbols than anybody looks through; an editor asks again with more letters.
const MOST_SYMBOLS: usize = 500;

/// Where the word is defined.
pub fn definition(here: &Here, at: Position) -> Vec<Location> {
    let places = in_parts::definition(here, here.offset(at));
    locations(here, places)
}

/// What the thing is made of.
pub fn type_definition(here: &Here, at: Position) -> Vec<Location> {
    let places = in_parts::type_definition(here, here.offset(at));
    locations(here, places)
}

/// Every place that mentions the thing.
pub fn references(
    here: &Here,
    at: Position,
    defined: bool,
    work: &mut Work,
    stop: Stop,
) -> Vec<Location> {
    let mut found = Vec::new();
    for (here, offset) in everywhere(here, at, work, stop) {
        let places = in_parts::references(&here, offset, defined);
        found.extend(locations(&here, places));
    }
    found.sort_by(|a, b| (&a.uri, a.range.start).cmp(&(&b.uri, b.range.start)));
    found.dedup();
    found
}

/// The places of the file that mention the thing.
pub fn highlights(here: &Here, at: Position) -> Vec<DocumentHighlight> {
    let found = in_parts::highlights(here, here.offset(at)).into_iter();
    found
        .map(|(span, defines)| DocumentHighlight {
            range: here.range(span),
            kind: Some(if defines {
                DocumentHighlightKind::WRITE
            } else {
                DocumentHighlightKind::READ
            }),
        })
        .collect()
}

/// What would be renamed. The error is for the user.
pub fn prepare_rename(here: &Here, at: Position) -> Result<Option<PrepareRenameResponse>, Error> {
    let span = in_parts::prepare_rename(here, here.offset(at)).map_err(refused)?;
    Ok(span.map(|span| PrepareRenameResponse::Range(here.range(span))))
}

/// The edits of a rename, in every plan that has the file which defines the thing. The error is for the user.
pub fn rename(
    here: &Here,
    at: Position,
    new: &str,
    work: &mut Work,
    stop: Stop,
) -> Result<Option<WorkspaceEdit>, Error> {
    let world = &here.snapshot.world;
    let mut files: BTreeMap<FileKey, Vec<TextEdit>> = BTreeMap::new();
    for (other, offset) in everywhere(here, at, work, stop) {
        let edits = rename::rename(&other.plan.analysis, other.file, offset, new);
        let edits = edits.map_err(|why| {
            if Arc::ptr_eq(&other.plan, &here.plan) {
                refused(why)
            } else {
                let root = other.plan.root();
                let name = root.0.rsplit('/').next().unwrap_or(&root.0);
                refused(format!("In the plan {name}: {why}"))
            }
        })?;
        for (key, edits) in text_edits(world, &other.plan, edits) {
            files.entry(key).or_insert(edits);
        }
    }
    Ok(workspace_edit(world, files))
}

/// A request that was understood and cannot be met (`RequestFailed` of the protocol).
fn refused(why: String) -> Error {
    Error {
        code: ErrorCode::ServerError(-32803),
        message: why.into(),
        data: None,
    }
}

/// The places that change while one of them is typed over.
pub fn linked(here: &Here, at: Position) -> Option<LinkedEditingRanges> {
    let spans = in_parts::linked(here, here.offset(at));
    let ranges: Vec<_> = spans.into_iter().map(|span| here.range(span)).collect();
    (!ranges.is_empty()).then(|| LinkedEditingRanges {
        ranges,
        word_pattern: Some(linked::NAME_PATTERN.to_owned()),
    })
}

/// Names of all plans that have the letters of `query`, the nearest first.
#[allow(deprecated)] // The field `deprecated` must be given, and is none.
pub fn symbols(
    snapshot: &Arc<Snapshot>,
    query: &str,
    work: &mut Work,
    stop: Stop,
) -> Option<Vec<SymbolInformation>> {
    let mut plans = snapshot.plans(stop)?.plans.clone();
    plans.extend(Folders::of(snapshot, stop)?.all(work, stop));
    let mut found = Vec::new();
    for plan in &plans {
        for symbol in workspace_symbols::search(&plan.analysis, query) {
            found.push((symbol, plan));
        }
    }
    // Of one file in two plans, the same symbol stands twice, one behind the other.
    found.sort_by(|(a, in_a), (b, in_b)| {
        let key = |plan: &super::plans::Plan, file| plan.key(file).clone();
        (a.nearness, &a.name)
            .cmp(&(b.nearness, &b.name))
            .then_with(|| key(in_a, a.file).cmp(&key(in_b, b.file)))
            .then_with(|| a.span.cmp(&b.span))
    });
    found.dedup_by(|(a, in_a), (b, in_b)| {
        (&a.name, a.span) == (&b.name, b.span) && in_a.key(a.file) == in_b.key(b.file)
    });
    let found = found.into_iter().take(MOST_SYMBOLS);
    let symbols = found.filter_map(|(symbol, plan)| {
        Some(SymbolInformation {
            name: symbol.name,
            kind: symbol_kind(symbol.kind),
            tags: None,
            deprecated: None,
            location: location(&snapshot.world, plan, symbol.file, symbol.span)?,
            container_name: Some(symbol.what),
        })
    });
    Some(symbols.collect())
}

/// The items that the tree of the power begins with.
pub fn prepare_feeds(here: &Here, at: Position) -> Vec<CallHierarchyItem> {
    let nodes = feed_tree::prepare(&here.plan.analysis, here.file, here.offset(at)).into_iter();
    nodes.filter_map(|node| tree_item(here, node)).collect()
}

/// What feeds an item.
pub fn feeders(here: &Here, item: &str) -> Vec<CallHierarchyIncomingCall> {
    let feeders = feed_tree::feeders(&here.plan.analysis, item).into_iter();
    feeders
        .filter_map(|(node, place)| {
            let from_ranges = vec![here.with(node.file).range(place)];
            let from = tree_item(here, node)?;
            Some(CallHierarchyIncomingCall { from, from_ranges })
        })
        .collect()
}

/// What an item feeds; `here` with the file that the item stands in.
pub fn fed(here: &Here, item: &str) -> Vec<CallHierarchyOutgoingCall> {
    let fed = feed_tree::fed(&here.plan.analysis, item).into_iter();
    fed.filter_map(|(node, place)| {
        let from_ranges = vec![here.range(place)];
        let to = tree_item(here, node)?;
        Some(CallHierarchyOutgoingCall { to, from_ranges })
    })
    .collect()
}

/// The file of an item of the tree, in its plan, and the item's name.
pub fn tree_place(
    snapshot: &Arc<Snapshot>,
    item: &CallHierarchyItem,
    stop: Stop,
) -> Option<(Here, String)> {
    let data = item.data.as_ref()?;
    let root = FileKey::new(data["plan"].as_str()?);
    let mut places = snapshot
        .all_with(&super::keys::key_of(&item.uri), stop)
        .into_iter();
    let here = places.find(|here| *here.plan.root() == root)?;
    Some((here, data["item"].as_str()?.to_owned()))
}

fn tree_item(here: &Here, node: Node) -> Option<CallHierarchyItem> {
    let place = here.with(node.file);
    let data: Value = json!({"plan": &*here.plan.root().0, "item": node.name});
    Some(CallHierarchyItem {
        name: node.name,
        kind: symbol_kind(Kind::Item),
        tags: None,
        detail: Some(node.detail),
        uri: here.snapshot.world.uri(here.plan.key(node.file))?,
        range: place.range(node.span),
        selection_range: place.range(node.name_span),
        data: Some(data),
    })
}

/// The paths of `use` stanzas.
pub fn links(here: &Here) -> Vec<DocumentLink> {
    // Editors ask again and again, and of a long plan that uses nothing the whole need not be worked out for that.
    let documents = &here.snapshot.world.documents;
    let open = documents.get(here.plan.key(here.file));
    let text = open.and_then(|open| open.document.text().ok());
    if text.is_some_and(|text| used_paths::used_paths(text).is_empty()) {
        return Vec::new();
    }
    let links = links::links(&here.plan.analysis, here.file).into_iter();
    links
        .map(|(span, used)| DocumentLink {
            range: here.range(span),
            target: here.snapshot.world.uri(here.plan.key(used)),
            tooltip: None,
            data: None,
        })
        .filter(|link| link.target.is_some())
        .collect()
}

/// What can be folded.
pub fn folds(document: &Document, encoding: Encoding) -> Option<Vec<FoldingRange>> {
    let (text, lines) = (document.text().ok()?, document.lines().ok()?);
    let folds = folding::folds(text).into_iter().map(|fold| {
        let range = convert::range(lines, fold.span, encoding);
        FoldingRange {
            start_line: range.start.line,
            end_line: range.end.line,
            kind: fold.is_comment.then_some(FoldingRangeKind::Comment),
            ..Default::default()
        }
    });
    Some(folds.collect())
}

/// Selections that grow from each of some places.
pub fn selections(here: &Here, places: Vec<Position>) -> Vec<SelectionRange> {
    let lines = here.plan.lines(here.file);
    let plan = &here.plan.analysis.plan;
    let places = places.into_iter();
    places
        .map(|at| {
            let spans = selection::selection(plan, lines, here.file, here.offset(at));
            let outward = spans.into_iter().rev();
            let grown = outward.fold(None, |parent, span| {
                Some(Box::new(SelectionRange {
                    range: here.range(span),
                    parent,
                }))
            });
            // There is one for each place, as the protocol wants it.
            grown.map_or_else(
                || SelectionRange {
                    range: Range::new(at, at),
                    parent: None,
                },
                |innermost| *innermost,
            )
        })
        .collect()
}

fn locations(here: &Here, places: Vec<(FileId, Span)>) -> Vec<Location> {
    let world = &here.snapshot.world;
    let places = places.into_iter();
    places
        .filter_map(|(file, span)| location(world, &here.plan, file, span))
        .collect()
}

/// The same thing in every plan that has the file which defines it, and where in that file it is defined; the
/// plan at hand first. What is defined in no one place is looked at where it stands.
fn everywhere(here: &Here, at: Position, work: &mut Work, stop: Stop) -> Vec<(Here, usize)> {
    let offset = here.offset(at);
    let defined = in_parts::definition(here, offset);
    let [(file, span)] = defined[..] else {
        return vec![(here.clone(), offset)];
    };
    let key = here.plan.key(file);
    let mut all = here.snapshot.all_with(key, stop);
    all.sort_by_key(|other| !Arc::ptr_eq(&other.plan, &here.plan));
    if let Some(folders) = Folders::of(&here.snapshot, stop) {
        all.extend(folders.with(key, work, stop));
    }
    let start = span.start as usize;
    all.into_iter().map(|other| (other, start)).collect()
}
