//! Scenes, stages and trials.

use super::model::*;
use super::names::error;
use super::places::stanzas;
use super::resolve::Resolver;
use crate::syntax::tree::{Clause, ValueKind, names, quantities};
use crate::syntax::vocabulary::{Dimension as D, Role, StanzaWord};
use crate::units::*;

/// So many scenes any plan may have. One with more is small, and looked at as a whole.
pub const FEW_SCENES: usize = 24;
/// More scenes than this no plan may have …
const MOST_SCENES: usize = 100;
/// … nor so many that more items than this have figures in all of them together, once there are more than a few: what is held
/// grows as the one times the other, so that a short text would make more than anything can hold.
const MOST_FIGURES: usize = 400_000;

/// How many scenes a plan of so many items may have.
fn most_scenes(items: usize) -> usize {
    (MOST_FIGURES / items.max(1)).clamp(FEW_SCENES, MOST_SCENES)
}

/// Enters scenes, stages and trials; `place` says where each draft of an item came to stand.
/// What they say of items that are left out is dropped silently.
pub(super) fn read(plan: &mut Plan, resolver: &mut Resolver, place: &[Option<ItemId>]) {
    let most = most_scenes(plan.items.len());
    let mut too_many = Vec::new();
    for (id, stanza) in stanzas(plan, StanzaWord::Scene) {
        let Some((name, span)) = stanza.name() else {
            continue;
        };
        let off = stanza
            .clause("off")
            .map(|c| points(plan, resolver, id, c, place));
        let only = stanza
            .clause("only")
            .map(|c| points(plan, resolver, id, c, place));
        let choice = match (off, only) {
            (Some(Ok(off)), _) => Choice::Off(off),
            (_, Some(Ok(only))) => Choice::Only(only),
            (None, None) => Choice::All,
            _ => continue,
        };
        if plan.scenes.len() == most {
            too_many.push((id, span));
            continue;
        }
        plan.scenes.push(Scene {
            name: name.clone(),
            stanza: id,
            choice,
        });
    }
    if let Some((first, span)) = too_many.first() {
        let message = format!(
            "There are {} scenes, and this is number {}. More than {most} in a plan of {} items is more than this tool is for: leave some out. From here on they are not worked out.",
            most + too_many.len(),
            most + 1,
            plan.items.len()
        );
        error(plan, "syntax", *first, *span, message);
    }
    plan.left_out.extend(too_many.into_iter().map(|(id, _)| id));
    for (id, stanza) in stanzas(plan, StanzaWord::Stage) {
        let Some((name, _)) = stanza.name() else {
            continue;
        };
        let fits = match stanza
            .clause("fits")
            .map(|c| points(plan, resolver, id, c, place))
        {
            Some(Ok(fits)) => fits,
            _ => Vec::new(),
        };
        let mut seals = Vec::new();
        for (zone, span) in stanza.clause("seals").into_iter().flat_map(Clause::names) {
            if let Some(Target::Zone(zone)) = resolver
                .definition(plan, (id, span), zone, Role::Zone, None)
                .ok()
            {
                seals.push(zone);
            }
        }
        let done = stanza.clause("done").and_then(date);
        plan.stages.push(Stage {
            name: name.clone(),
            stanza: id,
            fits,
            seals,
            done,
        });
    }
    for (id, stanza) in stanzas(plan, StanzaWord::Tried) {
        let Some((name, span)) = names(&stanza.head).next() else {
            continue;
        };
        let found = resolver
            .point(plan, (id, span), name, Role::Item, None)
            .ok();
        let item = found.and_then(|(draft, _)| place[draft]);
        let (Some(item), Some(drew), Some(at)) = (
            item,
            quantities(&stanza.head, D::Current).next(),
            quantities(&stanza.head, D::Voltage).next(),
        ) else {
            continue;
        };
        plan.trials.push(Trial {
            stanza: id,
            item,
            drew: amps(drew),
            at: volts(at),
            on: stanza.clause("on").and_then(date),
        });
    }
}

fn date(clause: &Clause) -> Option<std::sync::Arc<str>> {
    clause.values.iter().find_map(|v| {
        if let ValueKind::Date(date) = &v.kind {
            Some(date.clone())
        } else {
            None
        }
    })
}

/// The items and outputs of a list; `Err` where a name leads nowhere.
fn points(
    plan: &Plan,
    resolver: &mut Resolver,
    id: StanzaId,
    clause: &Clause,
    place: &[Option<ItemId>],
) -> Result<Vec<Point>, ()> {
    let mut failed = false;
    let mut points = Vec::new();
    for (name, span) in clause.names() {
        match resolver.point(plan, (id, span), name, Role::Item, None) {
            super::resolve::Found::Is((draft, output)) => {
                points.extend(place[draft].map(|item| Point { item, output }));
            }
            super::resolve::Found::InError => {}
            super::resolve::Found::Nowhere => failed = true,
        }
    }
    if failed {
        Err(())
    } else {
        Ok(super::names::once(points))
    }
}
