//! Suspects on paper: for a terminal, as Markdown, as JSON.

use std::fmt::Write;

use comfy_table::{Table, presets};
use serde::Serialize;

use super::terminal::shown;
use crate::checks::{in_scene, list};
use crate::numbers::count;
use crate::plan::{ItemId, Plan};
use crate::suspects::{Fault, Seen, Suspect, Suspects, Test, words};
use crate::syntax::tree::Name;

/// More than these are not printed for people.
const SHOWN: usize = 20;

/// For a terminal.
pub fn text(plan: &Plan, seen: &Seen, found: &Suspects) -> String {
    let mut text = heading(plan, seen);
    for line in remarks(plan, found) {
        let _ = write!(text, "\n{line}");
    }
    text.push('\n');
    if let Some(none) = nothing(found) {
        let _ = writeln!(text, "{none}");
        return plain(&text);
    }
    let _ = writeln!(text, "\n{}\n", intro(found));
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    for (k, suspect) in found.all().iter().take(SHOWN).enumerate() {
        table.add_row([format!("{}", k + 1), words::suspect(plan, suspect)]);
        if let Some(measure) = words::measure(plan, suspect) {
            table.add_row([String::new(), format!("measure {measure}")]);
        }
    }
    for line in table.lines() {
        let _ = writeln!(text, "{}", line.trim_end());
    }
    if let Some(more) = more(found) {
        let _ = writeln!(text, "\n{more}");
    }
    let _ = writeln!(text, "\n{}", test_sentence(plan, found));
    for outcome in outcomes(found) {
        let _ = writeln!(text, "  {outcome}");
    }
    plain(&text)
}

/// What steers a terminal stands as `?`; on a terminal nothing is in backticks.
fn plain(text: &str) -> String {
    let lines = text.split('\n').map(shown);
    lines.collect::<Vec<_>>().join("\n")
}

/// As Markdown, for an editor or a tablet.
pub fn markdown(plan: &Plan, seen: &Seen, found: &Suspects) -> String {
    let mut text = format!("# {}\n", heading(plan, seen));
    for line in remarks(plan, found) {
        let _ = write!(text, "\n{line}\n");
    }
    if let Some(none) = nothing(found) {
        let _ = write!(text, "\n{none}\n");
        return text;
    }
    let _ = write!(text, "\n{}\n\n", intro(found));
    text.push_str("| | suspect | measure |\n| ---: | --- | --- |\n");
    for (k, suspect) in found.all().iter().take(SHOWN).enumerate() {
        let says = words::suspect(plan, suspect);
        let measure = words::measure(plan, suspect).unwrap_or_default();
        let _ = writeln!(text, "| {} | {says} | {measure} |", k + 1);
    }
    if let Some(more) = more(found) {
        let _ = write!(text, "\n{more}\n");
    }
    let _ = write!(
        text,
        "\n## Measure next\n\n{}\n",
        test_sentence(plan, found)
    );
    let outcomes = outcomes(found);
    if !outcomes.is_empty() {
        text.push('\n');
    }
    for outcome in outcomes {
        let _ = writeln!(text, "- {outcome}");
    }
    text.push_str(
        "\nWith the model on, touch nothing but the two tips. A mains adapter stays closed.\n",
    );
    text
}

/// `mast and bow dark, in `moored``.
fn heading(plan: &Plan, seen: &Seen) -> String {
    let names = |lights: &[ItemId]| {
        let names = lights
            .iter()
            .map(|light| format!("`{}`", plan.items[light.0].name.0));
        list(&names.collect::<Vec<_>>())
    };
    let parts = [(&seen.dark, "dark"), (&seen.dim, "dim"), (&seen.lit, "lit")];
    let parts = parts.iter().filter(|(lights, _)| !lights.is_empty());
    let parts: Vec<String> = parts
        .map(|(lights, is)| format!("{} {is}", names(lights)))
        .collect();
    let others = match seen.others_unseen {
        true => ", the others not looked at",
        false => ", the others as they should be",
    };
    let scene = in_scene(&Name(seen.scene_name(plan).into()));
    format!("{}{others}, {scene}", parts.join(", "))
}

/// What is to be said of what is seen itself.
fn remarks(plan: &Plan, found: &Suspects) -> Vec<String> {
    let names = |lights: &[ItemId]| {
        let names = lights
            .iter()
            .map(|light| format!("`{}`", plan.items[light.0].name.0));
        list(&names.collect::<Vec<_>>())
    };
    let is_are = |n: usize| if n == 1 { "is" } else { "are" };
    let mut remarks = Vec::new();
    let (dark, lit) = (&found.dark_anyway, &found.lit_although);
    if !dark.is_empty() {
        remarks.push(format!(
            "{} {} dark in the whole model too: off in this scene, or not fed by the plan.",
            names(dark),
            is_are(dark.len())
        ));
    }
    if !lit.is_empty() {
        remarks.push(format!(
            "{} should be dark in this scene: something is on that the plan has off.",
            names(lit)
        ));
    }
    remarks
}

fn nothing(found: &Suspects) -> Option<String> {
    if !found.all().is_empty() {
        return None;
    }
    if !found.searched {
        return Some("Nothing else is to be explained.".into());
    }
    let more = match found.cut_short {
        true => " There is more to try than was tried: say more of what is lit.",
        false => " Look again at what is lit and dim, or take the lights one by one.",
    };
    Some(format!(
        "No single fault and no two together look like that.{more}"
    ))
}

fn intro(found: &Suspects) -> String {
    match found.singles.as_slice() {
        [] => format!(
            "No single fault looks like that. {} would, the likeliest first:",
            match found.pairs.len() {
                1 => "These two together".into(),
                n => format!("{n} pairs"),
            }
        ),
        [_] => "One fault looks exactly like that:".into(),
        many => format!(
            "{} look exactly like that, the likeliest first:",
            count(many.len(), "fault")
        ),
    }
}

fn more(found: &Suspects) -> Option<String> {
    let more = found.all().len().saturating_sub(SHOWN);
    let cut = match found.cut_short {
        true => " There may be others: not all could be tried.",
        false => "",
    };
    match more {
        0 if cut.is_empty() => None,
        0 => Some(cut.trim().into()),
        n => Some(format!("{n} more are less likely.{cut}")),
    }
}

fn test_sentence(plan: &Plan, found: &Suspects) -> String {
    match &found.test {
        Some(test) => format!(
            "Measure next {}; the whole model has {} there.",
            words::tips(plan, test.plus, test.minus),
            words::volts(test.whole)
        ),
        None if found.all().len() < 2 => "There is nothing left to tell apart.".into(),
        None => "No voltage tells these apart: switch off, and look at them or measure ohms in the order of the list.".into(),
    }
}

/// What the test may read, and which suspects are then left, by their numbers.
fn outcomes(found: &Suspects) -> Vec<String> {
    let outcomes = found.test.iter().flat_map(|test| &test.outcomes);
    outcomes
        .map(|outcome| format!("{}: {}", words::reads(outcome), numbers(&outcome.left)))
        .collect()
}

/// `1 to 4, 7`.
fn numbers(left: &[usize]) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for &k in left {
        match runs.last_mut() {
            Some((_, to)) if *to + 1 == k => *to = k,
            _ => runs.push((k, k)),
        }
    }
    let runs = runs.into_iter().map(|(from, to)| match to - from {
        0 => format!("{}", from + 1),
        1 => format!("{}, {}", from + 1, to + 1),
        _ => format!("{} to {}", from + 1, to + 1),
    });
    runs.collect::<Vec<_>>().join(", ")
}

#[derive(Serialize)]
struct Object<'a> {
    plan: &'a str,
    scene: &'a str,
    dark_anyway: Vec<&'a str>,
    lit_although: Vec<&'a str>,
    faults_in_each: usize,
    suspects: Vec<SuspectObject<'a>>,
    next_test: Option<TestObject<'a>>,
    cut_short: bool,
}

/// A suspect for other programs.
#[derive(Serialize)]
pub struct SuspectObject<'a> {
    /// What it is, in words.
    pub says: String,
    /// Its faults, one or two.
    pub faults: Vec<FaultObject<'a>>,
    /// Its weight beside the others.
    pub weight: f64,
    /// What to measure; absent where no voltage tells.
    pub measure: Option<MeasureObject<'a>>,
}

/// A fault for other programs.
#[derive(Serialize)]
pub struct FaultObject<'a> {
    /// What kind it is.
    pub what: &'static str,
    /// The item or link that it is at.
    pub of: &'a str,
    /// Whether copper is open there; else, of a leg, joint, contact or track, it is bad.
    pub open: bool,
}

/// A measurement for other programs.
#[derive(Serialize)]
pub struct MeasureObject<'a> {
    /// At whose plus end …
    pub plus_at: &'a str,
    /// … and at whose minus end.
    pub minus_at: &'a str,
    /// Volts in the whole model …
    pub whole: f64,
    /// … and with the fault.
    pub with_fault: f64,
}

#[derive(Serialize)]
struct TestObject<'a> {
    plus_at: &'a str,
    minus_at: &'a str,
    whole: f64,
    outcomes: Vec<OutcomeObject<'a>>,
}

#[derive(Serialize)]
struct OutcomeObject<'a> {
    volts_low: f64,
    volts_high: f64,
    suspects: &'a [usize],
}

/// As JSON; suspects are numbered from 0.
pub fn json(plan: &Plan, seen: &Seen, found: &Suspects, name: &str) -> String {
    super::json::written(&Object {
        plan: plan.settings.title.as_deref().unwrap_or(name),
        scene: seen.scene_name(plan),
        dark_anyway: names(plan, &found.dark_anyway),
        lit_although: names(plan, &found.lit_although),
        faults_in_each: found.all().first().map_or(0, |s| s.faults.len()),
        suspects: objects(plan, found),
        next_test: found.test.as_ref().map(|test| test_object(plan, test)),
        cut_short: found.cut_short,
    })
}

/// All suspects, for other programs.
pub fn objects<'a>(plan: &'a Plan, found: &Suspects) -> Vec<SuspectObject<'a>> {
    let all = found.all().iter().map(|suspect| SuspectObject {
        says: words::suspect(plan, suspect),
        faults: faults(plan, suspect),
        weight: rounded(suspect.weight),
        measure: suspect.measure.as_ref().map(|m| MeasureObject {
            plus_at: &plan.items[m.plus.0].name.0,
            minus_at: &plan.items[m.minus.0].name.0,
            whole: rounded(m.whole.value),
            with_fault: rounded(m.with.value),
        }),
    });
    all.collect()
}

fn faults<'a>(plan: &'a Plan, suspect: &Suspect) -> Vec<FaultObject<'a>> {
    let faults = suspect.faults.iter().map(|fault| FaultObject {
        what: fault.word(),
        of: fault.at().name(plan),
        open: matches!(fault, Fault::Open(_)),
    });
    faults.collect()
}

fn test_object<'a>(plan: &'a Plan, test: &'a Test) -> TestObject<'a> {
    let outcomes = test.outcomes.iter().map(|outcome| OutcomeObject {
        volts_low: rounded(outcome.reads.0.value),
        volts_high: rounded(outcome.reads.1.value),
        suspects: &outcome.left,
    });
    TestObject {
        plus_at: &plan.items[test.plus.0].name.0,
        minus_at: &plan.items[test.minus.0].name.0,
        whole: rounded(test.whole.value),
        outcomes: outcomes.collect(),
    }
}

fn names<'a>(plan: &'a Plan, items: &[ItemId]) -> Vec<&'a str> {
    items
        .iter()
        .map(|item| &*plan.items[item.0].name.0)
        .collect()
}

/// To a microvolt: what a solution is good for.
fn rounded(x: f64) -> f64 {
    (x * 1e6).round() / 1e6 + 0.0
}
