//! What the checks of scenes share.

use rustc_hash::{FxHashMap, FxHashSet};

use super::Context;
use super::limits::over;
use crate::circuit::{Figures, SceneFigures};
use crate::plan::{ItemId, Plan, Point, Scene};
use crate::text::Span;
use crate::units::amps;

/// The written scenes that have figures.
pub(super) fn solved<'a>(
    context: &Context<'a>,
) -> impl Iterator<Item = (&'a Scene, &'a SceneFigures, &'a Figures)> {
    let scenes = context.plan.scenes.iter().zip(&context.solution.scenes);
    scenes.filter_map(|(scene, solved)| Some((scene, solved, solved.outcome.as_ref().ok()?)))
}

/// The points that a list of a scene (`off`, `only`) names, and where they stand in it.
pub(super) fn listed<'a>(
    context: &Context<'a>,
    scene: &'a Scene,
    word: &str,
    points: &'a [Point],
) -> Vec<(Point, Span)> {
    let plan = context.plan;
    let clause = plan.stanza(scene.stanza).clause(word);
    let points = points.iter().map(|point| (plan.point_name(*point), *point));
    let points: FxHashMap<String, Point> = points.collect();
    let names = clause.into_iter().flat_map(|c| c.names());
    names
        .filter_map(|(name, span)| Some((*points.get(&*name.0)?, span)))
        .collect()
}

/// Whether an item has current in it, all values as stated.
pub(super) fn has_current(figures: &Figures, item: ItemId) -> bool {
    let item = figures.items.get(item.0);
    item.is_some_and(|f| over(f.amps.typical, amps(0.0)))
}

/// For each item whether it has its power through one of these points: along `from`, and along `return to`
/// where an output switches the minus.
pub(super) fn behind(plan: &Plan, points: &[Point]) -> Vec<bool> {
    let points: FxHashSet<Point> = points.iter().copied().collect();
    let is = |p: Point| points.contains(&p) || points.contains(&Point { output: None, ..p });
    let mut below: Vec<Vec<ItemId>> = vec![Vec::new(); plan.items.len()];
    let mut behind = vec![false; plan.items.len()];
    let mut todo: Vec<ItemId> = Vec::new();
    for (i, item) in plan.items.iter().enumerate() {
        let Some(feed) = &item.feed else { continue };
        let switched = feed
            .back
            .filter(|&b| plan.output(b).is_some_and(|o| o.sinks));
        for from in std::iter::once(feed.from).chain(switched) {
            below[from.item.0].push(ItemId(i));
            if is(from) && !std::mem::replace(&mut behind[i], true) {
                todo.push(ItemId(i));
            }
        }
    }
    while let Some(item) = todo.pop() {
        for &next in &below[item.0] {
            if !std::mem::replace(&mut behind[next.0], true) {
                todo.push(next);
            }
        }
    }
    behind
}
