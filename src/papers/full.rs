//! All that is worked out of a plan beside its figures, as JSON for other programs: breaks, shorts, zones, passages,
//! batteries. Keys are part of the language page.

use serde::Serialize;

use super::json::{Scene, scene, written};
use crate::checks::Analysis;
use crate::circuit::at_volts::States;
use crate::circuit::clearing::Clears;
use crate::circuit::what_if::{Break, ShortOfRun, WhatIf};
use crate::circuit::{battery, copper, places};
use crate::plan::{ItemId, Part, Plan};

/// What `figures --json --full` prints.
#[derive(Serialize)]
struct Full<'a> {
    plan: &'a str,
    scenes: Vec<SceneAndZones<'a>>,
    breaks: Vec<BreakAt<'a>>,
    /// The break that darkens most lights.
    worst: Option<BreakAt<'a>>,
    spread: Vec<Spread>,
    runs: Vec<RunShort<'a>>,
    passages: Vec<Passage<'a>>,
    batteries: Vec<Battery<'a>>,
}

#[derive(Serialize)]
struct SceneAndZones<'a> {
    #[serde(flatten)]
    scene: Scene<'a>,
    zones: Vec<Zone<'a>>,
}

#[derive(Serialize)]
struct Zone<'a> {
    name: &'a str,
    lumens: Option<f64>,
    windows_lux: Option<f64>,
    heat_watts: f64,
    rise_kelvins: Option<f64>,
}

#[derive(Serialize)]
struct BreakAt<'a> {
    what: &'static str,
    of: &'a str,
    dark: Vec<&'a str>,
}

/// So many places darken so many lights at once.
#[derive(Serialize)]
struct Spread {
    dark: usize,
    places: usize,
}

#[derive(Serialize)]
struct RunShort<'a> {
    of: &'a str,
    wire: &'a str,
    metres: f64,
    /// Of one leg.
    ohms: f64,
    may_carry: f64,
    loop_ohms: f64,
    /// `None` where nothing limits it.
    short_amps: Option<f64>,
    fuse: Option<&'a str>,
    /// The short in multiples of the fuse's rating.
    times_rating: Option<f64>,
    clears: &'static str,
    /// The longest that a fuse takes which opens for sure.
    within_seconds: Option<f64>,
}

#[derive(Serialize)]
struct Passage<'a> {
    name: &'a str,
    wires_mm: Vec<f64>,
    smallest_mm: f64,
}

#[derive(Serialize)]
struct Battery<'a> {
    name: &'a str,
    /// `None` where nothing is drawn, or its scene has no solution.
    hours: Option<f64>,
}

/// Everything in one object. `name` stands in for a title that the plan does not have.
pub fn full(a: &Analysis, name: &str) -> String {
    let plan = &a.plan;
    let what_if = WhatIf::of(plan, a.breaks());
    written(&Full {
        plan: plan.settings.title.as_deref().unwrap_or(name),
        scenes: (a.solution.scenes.iter())
            .map(|s| SceneAndZones {
                scene: scene(plan, s),
                zones: s
                    .outcome
                    .as_ref()
                    .map(|f| zones(plan, f))
                    .unwrap_or_default(),
            })
            .collect(),
        breaks: what_if.breaks.iter().map(|b| break_at(plan, b)).collect(),
        worst: what_if.worst().map(|b| break_at(plan, b)),
        spread: (what_if.spread().into_iter())
            .map(|(dark, places)| Spread { dark, places })
            .collect(),
        runs: what_if.shorts.iter().map(|s| run_short(plan, s)).collect(),
        passages: passages(plan),
        batteries: batteries(plan),
    })
}

fn zones<'a>(plan: &'a Plan, figures: &crate::circuit::Figures) -> Vec<Zone<'a>> {
    let zones = plan.zones.iter().zip(places::zones(plan, figures));
    zones
        .map(|(zone, is)| Zone {
            name: &zone.name.0,
            lumens: is.light.map(|flux| flux.0),
            windows_lux: is.on_windows.map(|light| light.0),
            heat_watts: is.power.value,
            rise_kelvins: is.rise.map(|rise| rise.value),
        })
        .collect()
}

fn break_at<'a>(plan: &'a Plan, b: &Break) -> BreakAt<'a> {
    BreakAt {
        what: b.place.word(),
        of: b.place.of().name(plan),
        dark: b
            .dark
            .iter()
            .map(|&light| &*plan.items[light.0].name.0)
            .collect(),
    }
}

fn run_short<'a>(plan: &'a Plan, short: &ShortOfRun) -> RunShort<'a> {
    let run = &short.run;
    let current = run.short.current.value;
    let rating = run.fuse().and_then(|fuse| match &plan.items[fuse.0].part {
        Part::Fuse { rating, .. } => Some(rating.value),
        _ => None,
    });
    let within = match short.clears {
        Some(Clears::Within(time)) => Some(time.value),
        _ => None,
    };
    RunShort {
        of: run.of.name(plan),
        wire: &plan.wires[run.wire.0].name.0,
        metres: run.length.value,
        ohms: copper::leg(&plan.wires[run.wire.0], run.length, plan.settings.ambient).value,
        may_carry: run.carries.value,
        loop_ohms: run.short.loop_resistance.value,
        short_amps: current.is_finite().then_some(current),
        fuse: run.fuse().map(|fuse| &*plan.items[fuse.0].name.0),
        times_rating: rating
            .map(|r| current / r)
            .filter(|times| times.is_finite()),
        clears: match short.clears {
            None => "no fuse",
            Some(Clears::Within(_)) => "surely",
            Some(Clears::Trips) => "trips",
            Some(Clears::NotSurely) => "not surely",
        },
        within_seconds: within,
    }
}

fn passages(plan: &Plan) -> Vec<Passage<'_>> {
    let passages = plan.passages.iter().zip(places::passages(plan));
    passages
        .map(|(passage, (bundle, hole))| Passage {
            name: &passage.name.0,
            wires_mm: bundle.wires.iter().map(|d| d.value * 1e3).collect(),
            smallest_mm: hole.value * 1e3,
        })
        .collect()
}

fn batteries(plan: &Plan) -> Vec<Battery<'_>> {
    let states = States::of(plan, &|| false);
    let is_battery = |part: &Part| matches!(part, Part::Supply(s) if s.capacity.is_some());
    let items = plan.items.iter().enumerate();
    items
        .filter(|(_, item)| is_battery(&item.part))
        .map(|(i, item)| Battery {
            name: &item.name.0,
            hours: battery::lasts_in(&states, ItemId(i))
                .map(|time| time.value / 3600.0)
                .filter(|hours| hours.is_finite()),
        })
        .collect()
}
