//! The figures of a plan as tables, one a scene.

use std::collections::HashSet;
use std::fmt::Write;

use comfy_table::{CellAlignment, Table, presets};

use super::terminal::shown;
use crate::checks::in_scene;
use crate::circuit::{ItemFigures, NoSolutionCause, SceneFigures, Solution};
use crate::numbers::{between, show};
use crate::plan::{Item, Part, Plan};

/// The columns that hold figures, to be set flush right.
const FIGURES: std::ops::RangeInclusive<usize> = 2..=8;

/// All scenes, each with its table; then, for outputs that take turns, what is on in none of them, in its turn.
pub fn figures(plan: &Plan, solution: &Solution) -> String {
    let mut text = String::new();
    for scene in &solution.scenes {
        if !text.is_empty() {
            text.push('\n');
        }
        let _ = writeln!(text, "Scene {}", shown(&scene.name.0));
        text.push_str(&scene_table(plan, scene, &|_| true));
    }
    let mut told: HashSet<usize> = (solution.scenes.iter()).flat_map(lit).collect();
    for turn in &solution.turns {
        let new: HashSet<usize> = lit(turn).filter(|item| !told.contains(item)).collect();
        if !new.is_empty() {
            let _ = writeln!(text, "\nOn in no scene, but {}", in_scene(&turn.name));
            text.push_str(&scene_table(plan, turn, &|item| new.contains(&item)));
            told.extend(new);
        }
    }
    text
}

/// What is on in a state.
fn lit(state: &SceneFigures) -> impl Iterator<Item = usize> + '_ {
    let items = state
        .outcome
        .iter()
        .flat_map(|figures| figures.items.iter());
    let lit = items.enumerate().filter(|(_, own)| own.reached);
    lit.map(|(item, _)| item)
}

/// The table of a state, with the items that it `shows`.
fn scene_table(plan: &Plan, scene: &SceneFigures, shows: &dyn Fn(usize) -> bool) -> String {
    let figures = match &scene.outcome {
        Ok(figures) => figures,
        Err(none) => {
            let name = plan.items.get(none.item.0).map_or("", |i| &*i.name.0);
            let cause = match none.cause {
                NoSolutionCause::Starved => "cannot get what it takes through its wires",
                NoSolutionCause::SourcesJoined(_) => "joins two sources with nothing between them",
                NoSolutionCause::TooMuchCurrent => {
                    "is part of a short: more than 1000 A would flow"
                }
                NoSolutionCause::ManyTurns => "is one of too many boards whose outputs take turns",
                NoSolutionCause::Unsettled => "is where the circuit does not settle",
            };
            return format!("  no solution ({}): {name} {cause}\n", none.corner.word());
        }
    };
    if plan.items.is_empty() {
        return String::from("  nothing is wired\n");
    }
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table.set_header([
        "item",
        "kind",
        "volts",
        "low–high",
        "draws",
        "low–high",
        "passes",
        "watts",
        "lost",
    ]);
    let items = plan.items.iter().zip(figures.items.iter()).enumerate();
    for (_, (item, own)) in items.filter(|(i, _)| shows(*i)) {
        table.add_row(row(item, own));
    }
    for place in FIGURES {
        if let Some(column) = table.column_mut(place) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let mut text = String::new();
    for line in table.lines() {
        let _ = writeln!(text, " {}", line.trim_end());
    }
    text
}

fn row(item: &Item, own: &ItemFigures) -> Vec<String> {
    let mut row = vec![item.name.0.to_string(), item.kind().to_string()];
    if !own.reached {
        row.push("off".into());
        row.resize(9, String::new());
        return row;
    }
    let draws = item.is_light() || matches!(item.part, Part::Board { .. } | Part::Load(_));
    let or_dash = |there: bool, text: String| if there { text } else { "-".into() };
    row.extend([
        show(own.volts.typical),
        between(own.volts.low, own.volts.high),
        or_dash(draws, show(own.amps.typical)),
        or_dash(draws, between(own.amps.low, own.amps.high)),
        show(own.passes.typical),
        or_dash(own.watts.typical.value >= 0.000_5, show(own.watts.typical)),
        or_dash(own.drop.typical.value >= 0.000_5, show(own.drop.typical)),
    ]);
    row
}

/// What the figures leave out, where there is anything: stanzas in error, and those that hang on them.
pub fn left_out(plan: &Plan) -> Option<String> {
    let names = names_left_out(plan);
    (!names.is_empty()).then(|| {
        format!(
            "left out of the figures, being in error or hanging on what is: {}",
            names.join(", ")
        )
    })
}

/// The names of what is left out: of stanzas in error, and of those that hang on them.
pub fn names_left_out(plan: &Plan) -> Vec<String> {
    let mut stanzas: Vec<_> = plan.left_out.iter().copied().collect();
    stanzas.sort();
    let name = |id: &_| {
        let stanza = plan.stanza(*id);
        match stanza.name() {
            Some((name, _)) => name.0.to_string(),
            None => shown(stanza.words(stanza.word_span)),
        }
    };
    let mut names: Vec<String> = stanzas.iter().map(name).collect();
    names.dedup();
    names
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::checks::Analysis;
    use crate::plan::{Alone, FileKey};

    #[test]
    fn what_takes_turns_has_the_figures_of_its_turn() {
        let text = "\
led sign drops 2.0 V at 20 mA limit 25 mA colour red
module winker
  works 4.2 V to 14 V
  draws 5 mA
  output a 60 mA
  output b 60 mA
  turns a, b
supply adapter 12 V 0.5 A
board wink of winker from adapter
load l draws 50 mA from wink.a
lamp r of sign resistor 330 ohm from wink.b
";
        let a = Analysis::of(FileKey::new("plan"), text.into(), &Alone, &|| false);
        let table = figures(&a.plan, &a.solution);
        let (scenes, turn) = table
            .split_once("On in no scene, but with everything on (turn 2)")
            .unwrap();
        assert!(scenes.contains(" off") && !turn.contains(" off"), "{table}");
        assert!(
            turn.contains("30.1 mA") && !turn.contains("adapter"),
            "{table}"
        );
    }
}
