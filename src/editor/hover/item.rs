//! An item of the wiring: what it is, its figures in every scene, the way of the power to it, and what goes dark
//! with it.

use super::figure;
use super::{bold, paragraphs, some_names, table, what_if};
use crate::checks::{Analysis, in_scene};
use crate::circuit::alone::{bench_volts, drawn_alone};
use crate::circuit::{Figures, ItemFigures, OutputFigures, SceneFigures, battery};
use crate::editor::way::{self, Losses, Step};
use crate::numbers::{count, length, percent, show, time};
use crate::plan::{Cut, FuseCharacter, Item, ItemId, Load, Part, Plan, RegulatorWay, Run, Supply};
use crate::syntax::tree::Name;
use crate::syntax::vocabulary::StanzaWord;

/// Less than this is not worth a word.
const LOSS_SHOWN: f64 = 0.000_5;

/// An item.
pub fn item(a: &Analysis, id: ItemId) -> String {
    let plan = &a.plan;
    let item = &plan.items[id.0];
    let place = item
        .zone
        .map(|z| format!(", in {}", plan.zones[z.0].name.0))
        .unwrap_or_default();
    let head = format!(
        "{}: {}{place}",
        bold(item.word, &item.name),
        what(plan, item)
    );
    paragraphs([
        Some(head),
        figures_table(a, id),
        way_text(a, id),
        Some(what_if::of_item(a, id)),
        lasts(a, id),
        alone(plan, id),
    ])
    .unwrap_or_default()
}

/// What an item is, in words.
pub fn what(plan: &Plan, item: &Item) -> String {
    match &item.part {
        Part::Supply(supply) => supply_words(supply),
        Part::Fuse {
            rating, character, ..
        } => {
            let character = match character {
                FuseCharacter::Quick => "quick-acting",
                FuseCharacter::Slow => "time-lag",
                FuseCharacter::Resettable => "resettable",
            };
            format!("{character}, {}", show(*rating))
        }
        Part::Switch { rated } => match rated {
            Some(rated) => format!("a switch for up to {}", show(*rated)),
            None => "a switch".into(),
        },
        Part::Connector { rated, contact } => {
            let mut text = String::from("a plug and socket");
            if let Some(rated) = rated {
                text.push_str(&format!(" for up to {}", show(*rated)));
            }
            if contact.value > 0.0 {
                text.push_str(&format!(", {} a contact", show(*contact)));
            }
            text
        }
        Part::Joint if item.word == StanzaWord::Copy => "a copy, fed at a joint of its own".into(),
        Part::Joint => "a splice".into(),
        Part::Resistor { ohms, rating } => match rating {
            Some(rating) => format!("{}, {}", show(*ohms), show(*rating)),
            None => show(*ohms),
        },
        Part::Diode { drops } => format!("takes {}", show(*drops)),
        Part::Rectifier { drops } => format!("a bridge, takes {}", show(*drops)),
        Part::Regulator { volts, limit, way } => {
            let way = match way {
                RegulatorWay::Switching { .. } => "switching",
                RegulatorWay::Linear { .. } => "linear",
            };
            format!("{way}, {}, up to {}", show(*volts), show(*limit))
        }
        Part::Strip {
            tape, groups, cut, ..
        } => {
            let tape = &plan.tapes[tape.0];
            let lamps = tape.lamps * groups;
            let whole = length(tape.group * f64::from(*groups));
            let cut = match cut {
                Cut::Lamps(n) if *n != lamps => format!(", written as {n} lamps"),
                _ => String::new(),
            };
            format!(
                "{} of {}{cut} ({}, {whole})",
                count(lamps as usize, "lamp"),
                tape.name.0,
                count(*groups as usize, "group"),
            )
        }
        Part::Lamps {
            led,
            count: n,
            resistor,
            ..
        } => {
            let led = &plan.leds[led.0].name.0;
            let lamps = if *n == 1 && item.word == StanzaWord::Lamp {
                led.to_string()
            } else {
                format!("{} of {led} in series", count(*n as usize, "lamp"))
            };
            match resistor {
                Some(ballast) => format!("{lamps} with {}", show(ballast.ohms)),
                None => format!("{lamps}, no resistor of its own"),
            }
        }
        Part::Board { module } => format!("a board of {}", plan.modules[module.0].name.0),
        Part::Load(load) => match load {
            Load::Draws(current, _) => format!("draws {}", show(*current)),
            Load::Takes(power) => format!("takes {}", show(*power)),
            Load::Resistance(ohms) => show(*ohms),
        },
    }
}

fn supply_words(supply: &Supply) -> String {
    let mut text = show(supply.volts);
    if let Some(limit) = supply.limit {
        text.push_str(&format!(", up to {}", show(limit)));
    }
    if let Some(capacity) = supply.capacity {
        let mah = capacity.value / 3.6;
        text.push_str(&format!(
            ", a battery of {} mAh",
            crate::numbers::decimals(mah, 0)
        ));
    }
    if supply.either_way {
        text.push_str(", plus on either rail");
    }
    text
}

/// A state as a row begins with it: a scene by its name, another turn as the findings put it.
fn state_words(a: &Analysis, state: &SceneFigures) -> String {
    let is_turn = a.solution.turns.iter().any(|turn| turn.name == state.name);
    match is_turn {
        true => in_scene(&state.name),
        false => state.name.0.to_string(),
    }
}

/// A row for every scene, and for a turn where it is on in none; columns that say nothing for this kind of item are left out, and
/// what it hands on where that shows as its own volts everywhere.
fn figures_table(a: &Analysis, id: ItemId) -> Option<String> {
    let plan = &a.plan;
    let item = &plan.items[id.0];
    let hands_on = item.word != StanzaWord::Supply
        && !item.is_light()
        && !matches!(item.part, Part::Board { .. } | Part::Load(_));
    let feeds_others = plan
        .items
        .iter()
        .any(|other| other.feed.as_ref().is_some_and(|f| f.from.item == id));
    let mut rows = Vec::new();
    for scene in a.solution.shown_of(id) {
        let mut row = vec![Some(state_words(a, scene))];
        match &scene.outcome {
            Err(none) => {
                let culprit = &plan.items[none.item.0].name.0;
                row.push(Some(format!("no solution: {culprit}")));
                row.extend([None, None, None, None]);
            }
            Ok(figures) => {
                let own = figures.items.get(id.0)?;
                row.extend(cells(item, own, hands_on, feeds_others));
            }
        }
        rows.push(row);
    }
    if rows.is_empty() {
        return None;
    }
    let mut rows = alike_in_one(rows);
    if rows.iter().all(|row| row[3].is_none() || row[3] == row[1]) {
        rows.iter_mut().for_each(|row| row[3] = None);
    }
    let passes = if item.word == StanzaWord::Supply {
        "gives"
    } else {
        "passes"
    };
    let drawn = if matches!(item.part, Part::Board { .. }) {
        "draws itself"
    } else {
        "draws"
    };
    table(
        &["scene", "volts", drawn, "hands on", passes, "watts"],
        &rows,
    )
}

/// Scenes in which nothing differs share a row: `cruising, all-on`.
pub fn alike_in_one(rows: Vec<Vec<Option<String>>>) -> Vec<Vec<Option<String>>> {
    let mut kept: Vec<Vec<Option<String>>> = Vec::new();
    for mut row in rows {
        match kept.iter_mut().find(|k| k[1..] == row[1..]) {
            Some(same) => {
                let (Some(names), Some(name)) = (same[0].as_mut(), row[0].take()) else {
                    continue;
                };
                names.push_str(", ");
                names.push_str(&name);
            }
            None => kept.push(row),
        }
    }
    kept
}

fn cells(
    item: &Item,
    own: &ItemFigures,
    hands_on: bool,
    feeds_others: bool,
) -> Vec<Option<String>> {
    if !own.reached {
        return vec![Some("off".into()), None, None, None, None];
    }
    let draws = item.is_light() || matches!(item.part, Part::Board { .. } | Part::Load(_));
    let chained = item.is_light() && feeds_others;
    vec![
        Some(figure(&own.volts)),
        draws.then(|| figure(&own.amps)),
        (chained || hands_on).then(|| figure(&own.hands_on)),
        (!draws || feeds_others).then(|| figure(&own.passes)),
        (own.watts.high.value >= 0.000_5).then(|| figure(&own.watts)),
    ]
}

/// The way of the power, and what is lost on it.
fn way_text(a: &Analysis, id: ItemId) -> Option<String> {
    let plan = &a.plan;
    let steps = way::way(plan, id);
    if steps.len() < 2 {
        return None;
    }
    let mut text = format!("Way: {}", way::line(plan, &steps));
    if let Some((scene, figures)) = way::worst_scene(&a.solution, id)
        && let Some(losses) = way::losses(plan, figures, &steps)
    {
        text.push_str("\n\n");
        text.push_str(&lost(plan, &steps, &losses, &state_words(a, scene)));
    }
    Some(text)
}

fn lost(plan: &Plan, steps: &[Step], losses: &Losses, scene: &str) -> String {
    if losses.total.value < LOSS_SHOWN {
        return "Nothing is lost on it.".into();
    }
    let parts: Vec<String> = losses
        .steps
        .iter()
        .filter(|(_, lost)| lost.value.abs() >= LOSS_SHOWN)
        .map(|(place, lost)| {
            let step = &steps[*place];
            let name = plan.point_name(step.point);
            match step.run {
                Some(run) => format!("to {name} {} ({})", show(*lost), run_words(plan, run)),
                None => format!("to {name} {}", show(*lost)),
            }
        })
        .collect();
    let from = plan.point_name(losses.source);
    let part = if losses.source_volts.value > 0.0 {
        format!(
            ", {} of {} from {from}",
            percent(losses.total.value / losses.source_volts.value),
            show(losses.source_volts)
        )
    } else {
        String::new()
    };
    format!(
        "Lost on it: {}; in all {}{part} ({})",
        parts.join(", "),
        show(losses.total),
        scene
    )
}

/// A run in words: `120 mm of fine`.
pub fn run_words(plan: &Plan, run: &Run) -> String {
    format!(
        "{} of {}",
        length(run.length),
        plan.wires[run.wire.0].name.0
    )
}

/// How long a battery lasts in the first scene.
fn lasts(a: &Analysis, id: ItemId) -> Option<String> {
    let lasts = battery::lasts(&a.plan, id, &|| false)?;
    let scene = &a.solution.scenes.first()?.name.0;
    Some(match lasts.value.is_finite() {
        true => format!("It lasts about {} in {scene}.", time(lasts)),
        false => format!("Nothing is drawn from it in {scene}."),
    })
}

/// What it draws alone on the bench.
fn alone(plan: &Plan, id: ItemId) -> Option<String> {
    let on = bench_volts(plan)?;
    let drawn = drawn_alone(plan, id, on)?;
    Some(format!(
        "Alone on {} it draws {}.",
        show(on),
        figure(&drawn)
    ))
}

/// An output of a board: what the module states, and its figures.
pub fn output(a: &Analysis, board: ItemId, output: &Name) -> Option<String> {
    let plan = &a.plan;
    let item = &plan.items[board.0];
    let Part::Board { module } = item.part else {
        return None;
    };
    let module = &plan.modules[module.0];
    let place = module.outputs.iter().position(|o| o.name == *output)?;
    let stated = super::stock::output_words(&module.outputs[place]);
    let head = format!(
        "**{}.{}**: output of {}, {stated}",
        item.name.0, output.0, module.name.0
    );
    let of = |figures: &Figures| figures.items.get(board.0)?.outputs.get(place).cloned();
    let gives_any = |own: OutputFigures| own.amps.high.value > 0.0;
    let shown = a
        .solution
        .shown(|figures| of(figures).is_some_and(gives_any));
    let rows: Vec<_> = shown
        .into_iter()
        .filter_map(|scene| {
            let own = of(scene.outcome.as_ref().ok()?)?;
            let volts = (!module.outputs[place].sinks).then(|| figure(&own.volts));
            Some(vec![
                Some(state_words(a, scene)),
                volts,
                Some(figure(&own.amps)),
            ])
        })
        .collect();
    let gives = if module.outputs[place].sinks {
        "sinks"
    } else {
        "gives"
    };
    let point = crate::plan::Point {
        item: board,
        output: Some(place),
    };
    let lights: Vec<&Name> = plan
        .items
        .iter()
        .filter(|i| {
            i.feed
                .as_ref()
                .is_some_and(|f| f.from == point || f.back == Some(point))
        })
        .map(|i| &i.name)
        .collect();
    let feeds = if lights.is_empty() {
        "Nothing hangs on it.".into()
    } else {
        format!("On it: {}.", some_names(lights))
    };
    paragraphs([
        Some(head),
        table(&["scene", "volts", gives], &rows),
        Some(feeds),
    ])
}

/// A piece of a pattern: one row for each copy, in the scene where it has the least volts.
pub fn piece(a: &Analysis, name: &Name, word: StanzaWord, copies: &[ItemId]) -> String {
    let plan = &a.plan;
    let head = match copies.first() {
        Some(first) => format!(
            "{}: {}, in {}",
            bold(word, name),
            what(plan, &plan.items[first.0]),
            if copies.len() == 1 {
                "1 copy".into()
            } else {
                format!("{} copies", copies.len())
            }
        ),
        None => format!(
            "{}: {} No copy of it yet.",
            bold(word, name),
            word.shape().says
        ),
    };
    let rows: Vec<_> = copies
        .iter()
        .filter_map(|id| {
            let (scene, own) = least_volts(a, *id)?;
            Some(vec![
                Some(plan.items[id.0].name.0.to_string()),
                Some(figure(&own.volts)),
                (own.amps.high.value > 0.0).then(|| figure(&own.amps)),
                Some(state_words(a, scene)),
            ])
        })
        .collect();
    paragraphs([
        Some(head),
        table(&["copy", "volts", "draws", "scene"], &rows),
    ])
    .unwrap_or_default()
}

fn least_volts(a: &Analysis, id: ItemId) -> Option<(&SceneFigures, &ItemFigures)> {
    let reached = a.solution.shown_of(id).into_iter().filter_map(|scene| {
        let figures: &Figures = scene.outcome.as_ref().ok()?;
        let own = figures.items.get(id.0).filter(|own| own.reached)?;
        Some((scene, own))
    });
    reached.min_by(|(_, x), (_, y)| x.volts.typical.value.total_cmp(&y.volts.typical.value))
}
