//! Completion and signature help, from the editor's plain data to the protocol's types.

use serde::{Deserialize, Serialize};
use serde_json::Value;
use tower_lsp::lsp_types::*;

use super::capabilities::Client;
use super::convert;
use super::folders::with_files;
use super::plans::Here;
use crate::editor::completion::paths;
use crate::editor::completion::{About, Offer, OfferKind, Offers};
use crate::editor::plain::plain;
use crate::editor::signature;
use crate::text::Span;

/// What an entry carries for the question about it.
#[derive(Serialize, Deserialize)]
struct Data {
    uri: Url,
    about: About,
}

/// The paths that can be written behind `use`; `None` where none is being written.
pub fn paths(here: &Here, offset: usize) -> Option<Offers> {
    // To find out that nothing is used here takes no look at all of a large plan.
    if !here.plan.may_use_at(here.file, offset) {
        return None;
    }
    let analysis = &here.plan.analysis;
    let path = paths::path_at(analysis, here.file, offset)?;
    let world = &here.snapshot.world;
    let own = here.plan.key(here.file);
    let near = with_files(world, here.plan.root(), |files| {
        files.near(own, &path.folder, world.documents.keys())
    });
    let offers = paths::offers(analysis, here.file, &path, near);
    (!offers.list.is_empty()).then_some(offers)
}

/// The list of what can be written; `at` is the cursor, a byte of the file.
pub fn list(here: &Here, uri: &Url, offers: Offers, at: usize) -> CompletionResponse {
    let client = &here.snapshot.world.client;
    let lines = here.plan.lines(here.file);
    let range = |span| convert::range(lines, span, client.encoding);
    let replace = range(offers.word);
    let ahead = Span::between(offers.word.start as usize, at);
    let insert = range(ahead);
    let digits = offers.list.len().to_string().len();
    let item = |(place, offer): (usize, Offer)| {
        let snippet = offer.snippet.filter(|_| client.snippets);
        let format = snippet.as_ref().map(|_| InsertTextFormat::SNIPPET);
        let new_text = snippet
            .or(offer.text)
            .unwrap_or_else(|| offer.label.clone());
        let edit = if client.insert_replace {
            CompletionTextEdit::InsertAndReplace(InsertReplaceEdit {
                new_text,
                insert,
                replace,
            })
        } else {
            CompletionTextEdit::Edit(TextEdit {
                range: replace,
                new_text,
            })
        };
        let data = (offer.about != About::Nothing).then(|| Data {
            uri: uri.clone(),
            about: offer.about,
        });
        CompletionItem {
            filter_text: Some(offer.filter.unwrap_or_else(|| offer.label.clone())),
            label: offer.label,
            detail: (!offer.detail.is_empty()).then_some(offer.detail),
            kind: Some(kind(offer.kind)),
            sort_text: Some(format!("{place:0digits$}")),
            insert_text_format: format,
            text_edit: Some(edit),
            data: data.and_then(|data| serde_json::to_value(data).ok()),
            ..CompletionItem::default()
        }
    };
    CompletionResponse::List(CompletionList {
        is_incomplete: !offers.complete,
        items: offers.list.into_iter().enumerate().map(item).collect(),
    })
}

fn kind(kind: OfferKind) -> CompletionItemKind {
    match kind {
        OfferKind::Stanza => CompletionItemKind::KEYWORD,
        OfferKind::Whole => CompletionItemKind::SNIPPET,
        OfferKind::Clause => CompletionItemKind::PROPERTY,
        OfferKind::Choice => CompletionItemKind::ENUM_MEMBER,
        OfferKind::Stock => CompletionItemKind::CLASS,
        OfferKind::Item => CompletionItemKind::VARIABLE,
        OfferKind::Place => CompletionItemKind::MODULE,
        OfferKind::Name => CompletionItemKind::REFERENCE,
        OfferKind::Check => CompletionItemKind::EVENT,
        OfferKind::Value => CompletionItemKind::VALUE,
        OfferKind::Unit => CompletionItemKind::UNIT,
        OfferKind::File => CompletionItemKind::FILE,
        OfferKind::Folder => CompletionItemKind::FOLDER,
    }
}

/// The file and the question that an entry carries; `None` for one that is not ours, or has nothing more to say.
pub fn question(data: Option<&Value>) -> Option<(Url, About)> {
    let data = Data::deserialize(data?).ok()?;
    Some((data.uri, data.about))
}

/// What there is to say of an entry.
pub fn documentation(client: &Client, text: String) -> Documentation {
    words(client.completion_markdown, text)
}

/// Plain text is a string of its own: a client that says nothing of formats knows no other.
fn words(is_markdown: bool, value: String) -> Documentation {
    match is_markdown {
        true => Documentation::MarkupContent(MarkupContent {
            kind: MarkupKind::Markdown,
            value,
        }),
        false => Documentation::String(plain(&value)),
    }
}

/// The form that is being written.
pub fn signature(here: &Here, found: signature::Signature) -> SignatureHelp {
    let client = &here.snapshot.world.client;
    let label = found.label.clone();
    let parameters = found.places.into_iter().map(|(span, says)| {
        // Words that stand there once are as good as their place, which not every client that asks for it counts right.
        let words = span.of(&label).unwrap_or_default();
        let stands_once = label.matches(words).nth(1).is_none();
        // Forms are ASCII: bytes are what the protocol counts.
        let place = match client.label_offsets && !stands_once {
            true => ParameterLabel::LabelOffsets([span.start, span.end]),
            false => ParameterLabel::Simple(words.to_owned()),
        };
        ParameterInformation {
            label: place,
            documentation: Some(says)
                .filter(|says| !says.is_empty())
                .map(Documentation::String),
        }
    });
    let active = u32::try_from(found.active).ok();
    SignatureHelp {
        signatures: vec![SignatureInformation {
            parameters: Some(parameters.collect()),
            documentation: Some(words(client.signature_markdown, found.says)),
            active_parameter: active,
            label: found.label,
        }],
        active_signature: Some(0),
        active_parameter: active,
    }
}
