//! The fuses: what they carry, and whether they clear a short at the far end of what they protect.

use crate::checks::Analysis;
use crate::checks::limits::over;
use crate::circuit::clearing::Clears;
use crate::circuit::fused_runs::FusedRun;
use crate::circuit::what_if::cleared;
use crate::numbers::{count, percent, show, time};
use crate::papers::lists::described;
use crate::papers::page::{Block, Section, Table, Text};
use crate::plan::{ItemId, Part};

use super::words;

/// The section.
pub fn section(a: &Analysis) -> Section {
    let plan = &a.plan;
    let mut section = Section::new("fuses", "Fuses");
    let columns = [
        "fuse",
        "rating",
        "carries at most#",
        "in scene",
        "of its rating#",
        "protects",
        "least short that harms#",
        "clears it",
    ];
    let mut table = Table::of(&columns);
    for (i, item) in plan.items.iter().enumerate() {
        let Part::Fuse { rating, .. } = item.part else {
            continue;
        };
        let states = a.solution.states();
        let carried = states.filter_map(|state| {
            let own = state.outcome.as_ref().ok()?.items.get(i)?;
            Some((own.passes.high.abs().max(own.passes.low.abs()), &state.name))
        });
        // Of scenes alike, the first.
        let most = carried.reduce(|a, b| if b.0 > a.0 { b } else { a });
        let runs = a
            .fused_runs()
            .iter()
            .filter(|run| run.fuse() == Some(ItemId(i)));
        // What resistors hold down to what the wire carries harms nothing.
        let harms = |run: &&FusedRun| over(run.short.current, run.carries);
        let least = runs.clone().filter(harms).min_by(|a, b| {
            let of = |run: &FusedRun| run.short.current.value;
            of(a).total_cmp(&of(b))
        });
        table.row([
            (&item.name).into(),
            described(plan, item).into(),
            most.map_or(Text::none(), |(amps, _)| show(amps).into()),
            most.map_or(Text::none(), |(_, scene)| words::scene(scene)),
            most.map_or(Text::none(), |(amps, _)| {
                percent((amps / rating).value).into()
            }),
            count(runs.count(), "run").into(),
            match least {
                None => "none".into(),
                Some(run) if !run.short.current.value.is_finite() => "not limited".into(),
                Some(run) => show(run.short.current).into(),
            },
            match least.and_then(|run| cleared(plan, run)) {
                None => Text::none(),
                Some(Clears::Within(longest)) => format!("within {}", time(longest)).into(),
                Some(Clears::Trips) => "trips".into(),
                Some(Clears::NotSurely) => Text::strong("not surely"),
            },
        ]);
    }
    section.put(Block::Table(table));
    let bare: Vec<Text> = (a.fused_runs().iter())
        .filter(|run| run.fuse().is_none())
        .map(|run| Text::theirs(run.of.name(plan)))
        .collect();
    if !bare.is_empty() {
        section.say(
            Text::from("Runs with no fuse ahead of them: ")
                .and(Text::joined(bare, ", "))
                .and("."),
        );
    }
    if !section.blocks.is_empty() {
        section.say("Put in another of the same value and kind, never a larger one. A short harms a wire when it gives more than the wire may carry.");
    }
    section
}
