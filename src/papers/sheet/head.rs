//! What stands right below the title: what it is of, what is left out, what is still wrong.

use crate::checks::Analysis;
use crate::numbers::{count, decimals};
use crate::papers::figures_table::names_left_out;
use crate::papers::page::{Block, Text};
use crate::plan::{Plan, Severity};

use super::words;

/// The beginning of the sheet.
pub fn about(a: &Analysis, file: &str) -> Vec<Block> {
    let plan = &a.plan;
    let mut blocks = vec![Block::Paragraph(of_what(plan, file))];
    blocks.push(Block::Paragraph(
        Text::from("Built by ")
            .and(Text::blank("who built it", ""))
            .and(" Date ")
            .and(Text::blank("date", "")),
    ));
    let notes = plan.settings.stanza;
    let notes = notes.map_or(Text::none(), |stanza| words::notes(plan, stanza));
    if !notes.is_empty() {
        blocks.push(Block::Paragraph(notes));
    }
    let left_out = names_left_out(plan);
    if !left_out.is_empty() {
        let names = left_out.iter().map(Text::theirs);
        let names = Text::joined(names, ", ");
        blocks.push(Block::Warning(
            Text::strong("Not on this sheet")
                .and(", because it is in error or hangs on what is: ")
                .and(names)
                .and(". Mend that first."),
        ));
    }
    let errors = a.findings.iter();
    let errors = errors.filter(|f| f.severity == Severity::Error).count();
    if errors > 0 {
        blocks.push(Block::Warning(
            Text::strong(format!("{} open.", count(errors, "error")))
                .and(" Mend the plan before you buy, cut or solder; see “Findings” below."),
        ));
    }
    blocks
}

fn of_what(plan: &Plan, file: &str) -> Text {
    let scale = match plan.settings.scale {
        Some(scale) => Text::from(format!("Scale 1:{}", decimals(scale, 2))),
        None => Text::from("Scale ").and(Text::blank("scale", "")),
    };
    let lights = plan.lights().count();
    let ambient = plan.settings.ambient.value - 273.15;
    let wires = plan.settings.slack.value * 1e3;
    scale
        .and(format!(
            ". {} among {}. Worked out for {} °C around the model; each run is cut {} mm longer at both its ends. Made from ",
            count(lights, "light"),
            count(plan.items.len(), "item"),
            decimals(ambient, 1),
            decimals(wires, 1),
        ))
        .and(Text::theirs(file))
        .and(".")
}
