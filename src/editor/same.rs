//! Whether a plan that was written otherwise still says the same: the same items with the same figures in every scene, and
//! no finding more.

use std::collections::{BTreeMap, HashMap};

use super::write_out::same_item;
use crate::checks::Analysis;
use crate::circuit::alone::bench_volts;
use crate::circuit::{Figures, ItemFigures, SceneFigures};
use crate::plan::{ItemId, Plan, Severity};

/// Whether both say the same, whatever the order in which they say it.
pub fn same_plan(before: &Analysis, after: &Analysis) -> bool {
    let (a, b) = (&before.solution.scenes, &after.solution.scenes);
    a.len() == b.len()
        && before.plan.items.len() == after.plan.items.len()
        && bench_volts(&before.plan) == bench_volts(&after.plan)
        && no_more(before, after)
        && a.iter()
            .zip(b)
            .all(|(a, b)| a.name == b.name && same_scene((&before.plan, a), (&after.plan, b)))
}

/// What is found, and how often. On which of several stanzas it is said may well depend on their order.
fn said(a: &Analysis) -> BTreeMap<(&'static str, Severity), usize> {
    let mut said = BTreeMap::new();
    for f in &a.findings {
        *said.entry((f.check, f.severity)).or_default() += 1;
    }
    said
}

/// Whether no check says more than it did.
fn no_more(before: &Analysis, after: &Analysis) -> bool {
    let before = said(before);
    let mut after = said(after).into_iter();
    after.all(|(what, count)| before.get(&what).is_some_and(|had| count <= *had))
}

fn same_scene((plan, a): (&Plan, &SceneFigures), (other, b): (&Plan, &SceneFigures)) -> bool {
    match (&a.outcome, &b.outcome) {
        (Ok(a), Ok(b)) => {
            let (a, b) = (by_name(plan, a), by_name(other, b));
            let same =
                |(name, a): (&&str, &&ItemFigures)| b.get(name).is_some_and(|b| same_item(a, b));
            a.len() == b.len() && a.iter().all(same)
        }
        (Err(a), Err(b)) => name(plan, a.item) == name(other, b.item),
        _ => false,
    }
}

fn name(plan: &Plan, item: ItemId) -> &str {
    &plan.items[item.0].name.0
}

fn by_name<'a>(plan: &'a Plan, figures: &'a Figures) -> HashMap<&'a str, &'a ItemFigures> {
    let items = figures.items.iter().enumerate();
    items
        .map(|(k, item)| (name(plan, ItemId(k)), item))
        .collect()
}
