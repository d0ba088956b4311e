//! What to try before it is fitted: each piece that draws current, what it should draw alone on the bench supply and on the
//! voltage that will feed it, and a field for what it did draw.

use crate::checks::Analysis;
use crate::checks::limits::{over, under};
use crate::checks::trial_fits;
use crate::circuit::alone::{bench_volts, drawn_alone};
use crate::numbers::show;
use crate::papers::page::{Block, Section, Table, Text};
use crate::plan::{Ballast, ItemId, Part, Plan, Trial};
use crate::rewrites::usual::rating_words;
use crate::units::{ElectricPotential, amps, volts};

use super::words::{self, figure};

/// The section.
pub fn section(a: &Analysis) -> Section {
    let plan = &a.plan;
    let mut section = Section::new("try", "Try before fitting").on_new_page();
    let bench = bench_volts(plan);
    let columns = [
        "",
        "piece",
        "on the bench supply",
        "on what will feed it",
        "measured",
        "tried before",
    ];
    let mut table = Table::of(&columns);
    for id in (0..plan.items.len()).map(ItemId) {
        let item = &plan.items[id.0];
        if !draws(plan, &item.part) {
            continue;
        }
        let on = |volts: Option<ElectricPotential>| match volts {
            Some(volts) => expected(plan, id, volts),
            None => Text::blank(format!("volts to try {} on", item.name.0), "V"),
        };
        let own = own_volts(plan, id);
        table.row([
            Text::tick(format!("{} tried", item.name.0)),
            words::piece(plan, item),
            on(bench),
            match own.is_some() && own == bench {
                true => "the same".into(),
                false => on(own),
            },
            Text::blank(format!("current of {}", item.name.0), "mA"),
            tried(plan, id),
        ]);
    }
    if table.is_empty() {
        return section;
    }
    let bench = match (bench, plan.settings.bench) {
        (Some(volts), Some(_)) => format!("The bench supply is set to {}.", show(volts)),
        (Some(volts), None) => format!(
            "The plan states no `bench`: the figures are for {}, as its first supply gives.",
            show(volts)
        ),
        (None, _) => "The plan states no supply.".to_owned(),
    };
    section.say(words::message(&format!(
        "{bench} Set its current limit a little above the figure, plus to plus, nothing connected behind the piece. The figures \
         are of the piece alone, boards with nothing on their outputs."
    )));
    section.put(Block::Table(table));
    section
}

/// Whether there is something to try.
pub fn draws(plan: &Plan, part: &Part) -> bool {
    match part {
        Part::Strip { .. } | Part::Lamps { .. } | Part::Load(_) => true,
        Part::Board { module } => plan.modules[module.0].draws > amps(0.0),
        _ => false,
    }
}

/// What a piece should draw on a voltage, or why it is not to be tried on that.
fn expected(plan: &Plan, id: ItemId, on: ElectricPotential) -> Text {
    let at = show(on);
    let Some(drawn) = drawn_alone(plan, id, on) else {
        return format!("does not run on {at}").into();
    };
    let not = |why: String| Text::strong(format!("not on {at}")).and(why);
    match &plan.items[id.0].part {
        Part::Lamps { led, .. } if over(drawn.typical, plan.leds[led.0].limit) => {
            let limit = show(plan.leds[led.0].limit);
            return not(format!(
                ": {}, and its limit is {limit}",
                show(drawn.typical)
            ));
        }
        Part::Lamps {
            resistor:
                Some(Ballast {
                    ohms,
                    rating: Some(rating),
                    ..
                }),
            ..
        } if drawn.typical * drawn.typical * *ohms > *rating => {
            let heat = show(drawn.typical * drawn.typical * *ohms);
            let rating = rating_words(*rating);
            return not(format!(": {heat} in its resistor of {rating}"));
        }
        Part::Strip { tape, .. } if over(on, plan.tapes[tape.0].works.1) => {
            return not(format!(
                ": made for up to {}",
                show(plan.tapes[tape.0].works.1)
            ));
        }
        Part::Board { module } => match plan.modules[module.0].works {
            Some((_, most)) if over(on, most) => {
                return not(format!(": made for up to {}", show(most)));
            }
            Some((least, _)) if under(on, least) => {
                return format!("does not run on {at}: it needs {}", show(least)).into();
            }
            _ => {}
        },
        _ => {}
    }
    match drawn.typical < amps(1e-6) {
        true => format!("stays dark on {at}").into(),
        false => Text::strong(figure(drawn)).and(format!(" at {at}")),
    }
}

/// The voltage that is stated for what feeds an item: of its supply, or of a regulator or an output on the way.
fn own_volts(plan: &Plan, id: ItemId) -> Option<ElectricPotential> {
    let mut at = id;
    for _ in 0..plan.items.len() {
        let from = plan.items[at.0].feed.as_ref()?.from;
        if let Some(held) = plan.output(from).and_then(|output| output.volts) {
            return Some(held);
        }
        at = from.item;
        match &plan.items[at.0].part {
            Part::Supply(supply) => return Some(supply.volts).filter(|v| *v > volts(0.0)),
            Part::Regulator { volts, .. } => return Some(*volts),
            _ => {}
        }
    }
    None
}

/// The trials of a piece, or of the copy that it belongs to.
pub fn trials_of(plan: &Plan, id: ItemId) -> impl Iterator<Item = &Trial> {
    let copy = plan.items[id.0].copy;
    let trials = plan.trials.iter();
    trials.filter(move |t| t.item == id || Some(t.item) == copy)
}

/// What is recorded of a piece, and whether it fits.
fn tried(plan: &Plan, id: ItemId) -> Text {
    let each = trials_of(plan, id).map(|trial| {
        let drew = format!("{} at {}", show(trial.drew), show(trial.at));
        let on = match &trial.on {
            Some(day) => Text::from(format!(" on {day}")),
            None => Text::from(" on ").and(Text::blank("day of the trial", "")),
        };
        let verdict = match (trial.item == id, trial_fits(plan, trial)) {
            (false, _) => Text::from(": all of ").and(words::item(plan, trial.item)),
            (true, None) => Text::none(),
            (true, Some(true)) => Text::from(": fits"),
            (true, Some(false)) => Text::from(": ").and(Text::strong("does not fit")),
        };
        Text::from(drew).and(on).and(verdict)
    });
    Text::joined(each, "; ")
}
