//! What to fit: stage by stage, what goes into which zone and through which passage.

use std::collections::HashSet;

use crate::papers::page::{Block, Section, Table, Text};
use crate::plan::{Item, ItemId, PassageId, Plan, Stage};

use super::words;

const COLUMNS: [&str; 6] = ["", "piece", "into", "through", "fed from", "note"];

/// The section.
pub fn section(plan: &Plan) -> Section {
    let mut section = Section::new("fit", "Fit").on_new_page();
    if plan.items.is_empty() {
        return section;
    }
    if plan.stages.is_empty() {
        section.say("The plan states no stages; this is its own order. Begin with what will be hardest to reach.");
    }
    for stage in &plan.stages {
        section.heading(Text::from("Stage ").and(&stage.name));
        section.say(done(stage));
        section.put(Block::Table(table(plan, of_stage(plan, stage))));
        if !stage.seals.is_empty() {
            let zones = stage.seals.iter().map(|zone| words::zone_name(plan, *zone));
            section.warn(
                Text::from("Closes ")
                    .and(Text::joined(zones, ", "))
                    .and(". Not before the list “Test before sealing” is done."),
            );
        }
    }
    let fitted: HashSet<ItemId> = plan.stages.iter().flat_map(|s| of_stage(plan, s)).collect();
    let rest = (0..plan.items.len()).map(ItemId);
    let rest: Vec<ItemId> = rest.filter(|id| !fitted.contains(id)).collect();
    if !plan.stages.is_empty() && !rest.is_empty() {
        section.heading("In no stage");
    }
    section.put(Block::Table(table(plan, rest)));
    section.put(Block::Table(links(plan)));
    section
}

/// Whether a stage is done, or when.
fn done(stage: &Stage) -> Text {
    match &stage.done {
        Some(day) => format!("Done on {day}.").into(),
        None => Text::from("Done on ").and(Text::blank(
            format!("day on which {} was done", stage.name.0),
            "",
        )),
    }
}

/// What a stage fits; with a copy its pieces.
fn of_stage(plan: &Plan, stage: &Stage) -> Vec<ItemId> {
    let fits: HashSet<ItemId> = stage.fits.iter().map(|point| point.item).collect();
    let is_fitted = |id: &ItemId| {
        let copy = plan.items[id.0].copy;
        fits.contains(id) || copy.is_some_and(|copy| fits.contains(&copy))
    };
    (0..plan.items.len())
        .map(ItemId)
        .filter(is_fitted)
        .collect()
}

fn table(plan: &Plan, items: Vec<ItemId>) -> Table {
    let mut table = Table::of(&COLUMNS);
    for id in items {
        let item = &plan.items[id.0];
        table.row([
            Text::tick(format!("{} fitted", item.name.0)),
            Text::from(item.kind()).and(" ").and(&item.name),
            words::zone(plan, item),
            through(plan, &passages(item)),
            match &item.feed {
                Some(feed) => words::point(plan, feed.from),
                None => Text::none(),
            },
            words::notes(plan, item.stanza),
        ]);
    }
    table
}

/// The passages of both legs of an item, each once.
fn passages(item: &Item) -> Vec<PassageId> {
    let mut all: Vec<PassageId> = Vec::new();
    let runs = item
        .feed
        .iter()
        .flat_map(|feed| [&feed.run, &feed.back_run]);
    for passage in runs.flatten().flat_map(|run| &run.via) {
        if !all.contains(passage) {
            all.push(*passage);
        }
    }
    all
}

fn through(plan: &Plan, passages: &[PassageId]) -> Text {
    Text::names(
        passages
            .iter()
            .map(|passage| &plan.passages[passage.0].name),
    )
}

fn links(plan: &Plan) -> Table {
    let mut table = Table::of(&["", "link", "between", "through", "note"]).caption("Second ways");
    for link in &plan.links {
        let between = [link.ends.0, link.ends.1].map(|end| words::point(plan, end));
        let via = link.run.as_ref().map_or(&[][..], |run| &run.via);
        table.row([
            Text::tick(format!("{} fitted", link.name.0)),
            (&link.name).into(),
            Text::joined(between, " and "),
            through(plan, via),
            words::notes(plan, link.stanza),
        ]);
    }
    table
}
