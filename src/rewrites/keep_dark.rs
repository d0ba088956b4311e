//! Keeps dark what a scene had dark only because it hung on a light that the scene switches off.

use std::collections::HashMap;

use crate::circuit::Solution;
use crate::plan::{Choice, Edit, ItemId, Plan, StanzaId};
use crate::text::Span;

/// For each item that gets another feed, the lights that its plus leg then no longer goes through.
pub struct Freed {
    /// The item.
    pub item: ItemId,
    /// The lights.
    pub from: Vec<ItemId>,
}

/// Adds freed items to the `off` list of every scene that has a light in it through which they had
/// their power. What a scene had lit by another way is left lit.
pub fn keep_dark(plan: &Plan, solution: &Solution, freed: &[Freed]) -> Vec<Edit> {
    // What a piece is in another copy: the item of the same stanza there.
    let by_place: HashMap<(StanzaId, Option<ItemId>), ItemId> = (0..plan.items.len())
        .map(ItemId)
        .map(|i| ((plan.items[i.0].stanza, plan.items[i.0].copy), i))
        .collect();
    let counterpart = |piece: ItemId, copy: Option<ItemId>| {
        by_place.get(&(plan.items[piece.0].stanza, copy)).copied()
    };
    let mut edits = Vec::new();
    for (k, scene) in plan.scenes.iter().enumerate() {
        let Choice::Off(points) = &scene.choice else {
            continue;
        };
        let figures = solution.scenes.get(k).and_then(|s| s.outcome.as_ref().ok());
        let mut listed: Vec<ItemId> = points.iter().map(|p| p.item).collect();
        let Some(clause) = plan.stanza(scene.stanza).clause("off") else {
            continue;
        };
        for (name, span) in clause.names() {
            let Some(off) = plan.item(&name.0) else {
                continue;
            };
            let copy = plan.items[off.0].copy;
            let mut words = String::new();
            for free in freed {
                let hung = free.from.iter().any(|&l| counterpart(l, copy) == Some(off));
                let Some(item) = counterpart(free.item, copy).filter(|_| hung) else {
                    continue;
                };
                let lit = figures.is_some_and(|f| f.items.get(item.0).is_some_and(|i| i.reached));
                if !lit && !listed.contains(&item) {
                    words.push_str(&format!(", {}", plan.items[item.0].name.0));
                    listed.push(item);
                }
            }
            if !words.is_empty() {
                edits.push(Edit {
                    stanza: scene.stanza,
                    span: Span::new(span.end, span.end),
                    text: words,
                });
            }
        }
    }
    edits
}
