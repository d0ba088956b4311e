//! What the builder noted about anything that has no place of its own on the sheet: stock, places, patterns, trials.

use std::collections::HashSet;

use crate::papers::page::{Block, Section, Table, Text};
use crate::plan::{Plan, StanzaId};
use crate::syntax::tree::names;

use super::words;

/// The section.
pub fn section(plan: &Plan) -> Section {
    let mut section = Section::new("notes", "Notes");
    let told = told_elsewhere(plan);
    let mut table = Table::of(&["of", "note"]);
    for &id in plan.order.iter().filter(|id| !told.contains(id)) {
        let note = words::notes(plan, id);
        if !note.is_empty() {
            table.row([whose(plan, id), note]);
        }
    }
    section.put(Block::Table(table));
    section
}

/// The stanzas whose notes stand beside what they are about.
fn told_elsewhere(plan: &Plan) -> HashSet<StanzaId> {
    let items = plan.items.iter().map(|item| item.stanza);
    let links = plan.links.iter().map(|link| link.stanza);
    let stages = plan.stages.iter().map(|stage| stage.stanza);
    let scenes = plan.scenes.iter().map(|scene| scene.stanza);
    let all = items.chain(links).chain(stages).chain(scenes);
    all.chain(plan.settings.stanza).collect()
}

/// A stanza by its word and its name.
fn whose(plan: &Plan, id: StanzaId) -> Text {
    let stanza = plan.stanza(id);
    let word = Text::from(stanza.words(stanza.word_span));
    let name = stanza.name().or_else(|| names(&stanza.head).next());
    match name {
        Some((name, _)) => word.and(" ").and(name),
        None => word,
    }
}
