//! Figures and findings for other programs, as JSON. Keys and their meaning are part of the language page.

use std::cell::Cell;

use serde::Serialize;

use super::places::Places;
use crate::checks::{Analysis, named};
use crate::circuit::{ItemFigures, SceneFigures, Solution};
use crate::plan::{Item, Plan, Severity};

/// What `figures --json` prints.
#[derive(Serialize)]
struct Figures<'a> {
    plan: &'a str,
    scenes: Vec<Scene<'a>>,
}

#[derive(Serialize)]
pub(super) struct Scene<'a> {
    name: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    no_solution: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    corner: Option<&'static str>,
    items: Vec<ItemOfScene<'a>>,
}

#[derive(Serialize)]
struct ItemOfScene<'a> {
    name: &'a str,
    kind: &'static str,
    volts: f64,
    volts_low: f64,
    volts_high: f64,
    amps: f64,
    amps_low: f64,
    amps_high: f64,
    passes: f64,
    watts: f64,
    drop: f64,
}

/// All figures of a plan in one object. `name` stands in for a title that the plan does not have.
pub fn figures(plan: &Plan, solution: &Solution, name: &str) -> String {
    let figures = Figures {
        plan: plan.settings.title.as_deref().unwrap_or(name),
        scenes: solution.scenes.iter().map(|s| scene(plan, s)).collect(),
    };
    written(&figures)
}

pub(super) fn scene<'a>(plan: &'a Plan, scene: &'a SceneFigures) -> Scene<'a> {
    let name = &scene.name.0;
    match &scene.outcome {
        Ok(figures) => Scene {
            name,
            no_solution: None,
            corner: None,
            items: plan
                .items
                .iter()
                .zip(figures.items.iter())
                .map(|(i, own)| item(i, own))
                .collect(),
        },
        Err(none) => Scene {
            name,
            no_solution: plan.items.get(none.item.0).map(|i| &*i.name.0),
            corner: Some(none.corner.word()),
            items: Vec::new(),
        },
    }
}

fn item<'a>(item: &'a Item, own: &ItemFigures) -> ItemOfScene<'a> {
    // A sum with zero turns a negative zero into a plain one.
    let plain = |x: f64| x + 0.0;
    ItemOfScene {
        name: &item.name.0,
        kind: item.kind(),
        volts: plain(own.volts.typical.value),
        volts_low: plain(own.volts.low.value),
        volts_high: plain(own.volts.high.value),
        amps: plain(own.amps.typical.value),
        amps_low: plain(own.amps.low.value),
        amps_high: plain(own.amps.high.value),
        passes: plain(own.passes.typical.value),
        watts: plain(own.watts.typical.value),
        drop: plain(own.drop.typical.value),
    }
}

/// What `check --json` prints.
#[derive(Serialize)]
struct Findings<'a> {
    findings: &'a [FindingOfFile],
}

/// A finding with its place in a file, counted from 1.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize)]
pub struct FindingOfFile {
    /// The check.
    pub check: &'static str,
    /// `error`, `warning` or `hint`.
    pub severity: &'static str,
    /// The file.
    pub file: String,
    /// The line of its first character.
    pub line: u32,
    /// The column of its first character, in characters.
    pub column: u32,
    /// The line of its end.
    pub end_line: u32,
    /// The column behind its last character.
    pub end_column: u32,
    /// What is wrong.
    pub message: String,
    /// The name that the stanza defines.
    pub item: Option<String>,
    /// The titles of its mends.
    pub fixes: Vec<String>,
}

/// Mends are worked out for so many findings of a plan: who has more findings than this begins with the first.
const MOST_MENDED: usize = 200;

/// The findings of a plan, and for how many of them, the last ones, mends were not all tried ([`Analysis::tries`]).
pub fn findings(a: &Analysis, places: &Places) -> (Vec<FindingOfFile>, usize) {
    let tries = Cell::new(a.tries());
    let mut untried = 0;
    let findings = a.findings.iter().enumerate().filter_map(|(index, f)| {
        let place = places.find(f.stanza, f.span)?;
        let may_be_tried = index < MOST_MENDED && tries.get() > 0;
        let mends = match may_be_tried {
            true => a.mends_within(index, &tries, &|| false),
            false => Vec::new(),
        };
        let may_have_some = named(f.check).is_some_and(|check| check.mends.is_some());
        untried += usize::from(may_have_some && (tries.get() == 0 || !may_be_tried));
        Some(FindingOfFile {
            check: f.check,
            severity: severity_word(f.severity),
            file: place.file.to_owned(),
            line: place.start.0,
            column: place.start.1,
            end_line: place.end.0,
            end_column: place.end.1,
            message: f.message.clone(),
            item: f.item.as_ref().map(|n| n.0.to_string()),
            fixes: mends.into_iter().map(|m| m.title).collect(),
        })
    });
    (findings.collect(), untried)
}

/// All findings in one object.
pub fn findings_object(findings: &[FindingOfFile]) -> String {
    written(&Findings { findings })
}

/// A severity as the language spells it.
pub fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Hint => "hint",
        Severity::Warning => "warning",
        Severity::Error => "error",
    }
}

/// These types hold nothing that JSON cannot: no map with odd keys, no number that fails.
pub(super) fn written(object: &impl Serialize) -> String {
    serde_json::to_string(object).unwrap_or_default()
}
