//! The way of the power: from the supply to an item, step by step, and what is lost on it.

use std::collections::HashSet;

use crate::circuit::{Figures, SceneFigures, Solution};
use crate::plan::{ItemId, Part, Plan, Point, Run};
use crate::units::ElectricPotential;

/// One step of the way: from the point before it to this one.
#[derive(Clone, Debug)]
pub struct Step<'a> {
    /// The point that it leads to; the last is the item itself.
    pub point: Point,
    /// The run of its plus leg; `None`: it sits on the point before.
    pub run: Option<&'a Run>,
}

/// The way from the supply to an item, both included.
pub fn way(plan: &Plan, item: ItemId) -> Vec<Step<'_>> {
    let mut steps = Vec::new();
    let mut seen = HashSet::new();
    let mut point = Point { item, output: None };
    while seen.insert(point.item) {
        let feed = plan.items[point.item.0].feed.as_ref();
        steps.push(Step {
            point,
            run: feed.and_then(|f| f.run.as_ref()),
        });
        let Some(feed) = feed else { break };
        point = feed.from;
    }
    steps.reverse();
    steps
}

/// The way in one line: `adapter → F1 → keel → saloon-1`.
pub fn line(plan: &Plan, steps: &[Step]) -> String {
    let names: Vec<String> = steps.iter().map(|s| plan.point_name(s.point)).collect();
    names.join(" → ")
}

/// What is lost on the way to an item.
#[derive(Clone, Debug)]
pub struct Losses {
    /// For each step of the way from the source on: the step's place in the way, and what is lost on it.
    pub steps: Vec<(usize, ElectricPotential)>,
    /// What is lost in all.
    pub total: ElectricPotential,
    /// The supply, regulator or regulated output that it is counted from.
    pub source: Point,
    /// The voltage that this source states.
    pub source_volts: ElectricPotential,
}

/// The voltage that a point holds by itself: a supply, a regulator, a regulated output.
pub fn held_volts(plan: &Plan, point: Point) -> Option<ElectricPotential> {
    match &plan.items[point.item.0].part {
        Part::Supply(supply) => Some(supply.volts),
        Part::Regulator { volts, .. } => Some(*volts),
        Part::Board { .. } => plan.output(point)?.volts,
        _ => None,
    }
}

/// What is lost on a way (typical figures), counted from the last source on it.
pub fn losses(plan: &Plan, figures: &Figures, steps: &[Step]) -> Option<Losses> {
    let (last, before) = steps.split_last()?;
    let source = before
        .iter()
        .rposition(|s| held_volts(plan, s.point).is_some())?;
    let drop = |step: &Step| Some(figures.items.get(step.point.item.0)?.drop.typical);
    let mut lost = Vec::new();
    let mut so_far = ElectricPotential::default();
    for (place, step) in steps.iter().enumerate().skip(source + 1) {
        let here = drop(step)?;
        lost.push((place, here - so_far));
        so_far = here;
    }
    Some(Losses {
        steps: lost,
        total: drop(last)?,
        source: steps[source].point,
        source_volts: held_volts(plan, steps[source].point)?,
    })
}

/// The scene in which most is lost on the way to an item.
pub fn worst_scene(solution: &Solution, item: ItemId) -> Option<(&SceneFigures, &Figures)> {
    let mut worst: Option<(&SceneFigures, &Figures, f64)> = None;
    for scene in solution.shown_of(item) {
        let Ok(figures) = &scene.outcome else {
            continue;
        };
        let Some(own) = figures.items.get(item.0) else {
            continue;
        };
        let drop = own.drop.typical.value;
        if own.reached && worst.is_none_or(|(_, _, most)| drop > most + 1e-9) {
            worst = Some((scene, figures, drop));
        }
    }
    worst.map(|(scene, figures, _)| (scene, figures))
}
