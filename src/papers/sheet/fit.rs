//! What to fit: stage by stage, what goes into which zone and through which passage.

use std::collections::HashSet;

use crate::papers::page::{Block, Section, Table, Text};
use crate::plan::{Item, ItemId, Plan, Point, Run, Stage, ZoneId};
use crate::syntax::tree::Name;

use super::words;

const COLUMNS: [&str; 6] = ["", "piece", "into", "through", "fed from", "note"];

/// The section.
pub fn section(plan: &Plan) -> Section {
    let mut section = Section::new("fit", "Fit");
    if plan.items.is_empty() {
        return section;
    }
    if plan.stages.is_empty() {
        section.say("The plan states no stages; this is its own order. Begin with what will be hardest to reach.");
    }
    for stage in &plan.stages {
        section.heading(Text::from("Stage ").and(&stage.name));
        section.say(done(stage));
        section.note(words::notes(plan, stage.stanza));
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
            words::piece(plan, item),
            words::zone(plan, item),
            through(plan, item),
            match &item.feed {
                Some(feed) => words::point(plan, feed.from),
                None => Text::none(),
            },
            words::notes(plan, item.stanza),
        ]);
    }
    table
}

/// The passages of an item's wires; of each leg by itself where they go different ways.
fn through(plan: &Plan, item: &Item) -> Text {
    let Some(feed) = &item.feed else {
        return Text::none();
    };
    let zone = |point: Point| plan.items[point.item.0].zone;
    let leg = |run: &Option<Run>, from: Point| {
        let way = (zone(from), item.zone);
        passages(plan, &item.name, run.as_ref(), way)
    };
    let plus = leg(&feed.run, feed.from);
    let minus = leg(&feed.back_run, feed.minus());
    if plus == minus {
        return plus;
    }
    let legs = [("plus: ", plus), ("minus: ", minus)].into_iter();
    let legs = legs.filter(|(_, way)| !way.is_empty());
    Text::joined(legs.map(|(leg, way)| Text::from(leg).and(way)), "; ")
}

/// The passages of a run from one zone to another; a blank where it must go through one and the plan does not say through which.
fn passages(
    plan: &Plan,
    of: &Name,
    run: Option<&Run>,
    (from, to): (Option<ZoneId>, Option<ZoneId>),
) -> Text {
    match run {
        Some(run) if run.via.is_empty() && from.is_some() && to.is_some() && from != to => {
            Text::blank(format!("passage of the wires of {}", of.0), "")
        }
        Some(run) => Text::names(run.via.iter().map(|passage| &plan.passages[passage.0].name)),
        None => Text::none(),
    }
}

fn links(plan: &Plan) -> Table {
    let mut table = Table::of(&["", "link", "between", "through", "note"]).caption("Second ways");
    for link in &plan.links {
        let between = [link.ends.0, link.ends.1].map(|end| words::point(plan, end));
        let zones = [link.ends.0, link.ends.1].map(|end| plan.items[end.item.0].zone);
        table.row([
            Text::tick(format!("{} fitted", link.name.0)),
            (&link.name).into(),
            Text::joined(between, " and "),
            passages(plan, &link.name, link.run.as_ref(), zones.into()),
            words::notes(plan, link.stanza),
        ]);
    }
    table
}
