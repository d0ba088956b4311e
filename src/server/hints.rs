//! Inlay hints, from the editor's plain data to the protocol's types. What more there is to say of one is worked out
//! when the client asks for it.

use serde::{Deserialize, Serialize};
use serde_json::Value;
use tower_lsp::lsp_types::*;

use super::convert;
use super::in_parts;
use super::plans::Here;
use crate::editor::hints::{Hint, HintKind};
use crate::parts::Stop;

/// More lines than any screen has: who asks for more at once gets none, for the whole of a large plan takes seconds.
const MOST_LINES: u32 = 5000;

/// What a hint carries for the question about it.
#[derive(Serialize, Deserialize)]
struct Data {
    uri: Url,
    version: Option<i32>,
    kind: String,
    at: u32,
}

/// The hints in a range; `None` where it was stopped.
pub fn list(here: &Here, uri: &Url, range: Range, stop: Stop) -> Option<Vec<InlayHint>> {
    let world = &here.snapshot.world;
    let count = u32::try_from(here.plan.lines(here.file).count()).unwrap_or(u32::MAX);
    let lines = range.end.line.min(count).saturating_sub(range.start.line);
    let kinds = &world.settings.hints;
    if lines > MOST_LINES || kinds.is_empty() {
        return Some(Vec::new());
    }
    let found = in_parts::hints(here, here.span(range), kinds, stop)?;
    let version = world.version(here.plan.key(here.file));
    let hint = |Hint { at, kind, label }| {
        let data = world.client.resolves_hints.then(|| Data {
            uri: uri.clone(),
            version,
            kind: HintKind::word(kind).to_owned(),
            at,
        });
        InlayHint {
            position: here.range(crate::text::Span::new(at, at)).start,
            label: InlayHintLabel::String(label),
            kind: None,
            text_edits: None,
            tooltip: None,
            padding_left: Some(true),
            padding_right: None,
            data: data.and_then(|data| serde_json::to_value(data).ok()),
        }
    };
    Some(found.into_iter().map(hint).collect())
}

/// The file that a hint stands in, and what it asks there; `None` for one that is not ours.
pub fn question(
    data: Option<&Value>,
) -> Option<(Url, impl FnOnce(&Here) -> Option<InlayHintTooltip> + use<>)> {
    let data = Data::deserialize(data?).ok()?;
    let kind = HintKind::ALL
        .into_iter()
        .find(|kind| kind.word() == data.kind)?;
    let (version, at) = (data.version, data.at);
    let answer = move |here: &Here| {
        let world = &here.snapshot.world;
        // Of another text there is something else to say.
        let is_same = world.version(here.plan.key(here.file)) == version;
        let text = is_same
            .then(|| in_parts::about_hint(here, at, kind))
            .flatten()?;
        let text = convert::markup(world.client.markdown, text);
        Some(InlayHintTooltip::MarkupContent(text))
    };
    Some((data.uri, answer))
}
