//! Places, states, links and patterns: what belongs to them.

use super::figure;
use super::item::{alike_in_one, run_words};
use super::{bold, paragraphs, some_names, table, what_if};
use crate::checks::Analysis;
use crate::circuit::places;
use crate::numbers::{count, length, show, three_digits};
use crate::plan::{Item, ItemId, LinkId, Opening, Part, PassageId, Plan, Run, StanzaId, ZoneId};
use crate::syntax::tree::Name;
use crate::syntax::vocabulary::StanzaWord;

/// A zone.
pub fn zone(a: &Analysis, id: ZoneId) -> String {
    let plan = &a.plan;
    let zone = &plan.zones[id.0];
    let mut facts = Vec::new();
    if let Some(inside) = zone.inside {
        facts.push(format!("{} cm² inside", three_digits(inside.value * 1e4)));
    }
    if let Some(windows) = zone.windows {
        facts.push(format!(
            "{} cm² of windows",
            three_digits(windows.value * 1e4)
        ));
    }
    if let Some(material) = zone.material {
        facts.push(material.into());
    }
    if zone.sealed {
        facts.push("cannot be opened again".into());
    }
    if zone.lifts_off {
        facts.push("lifts off".into());
    }
    let mut head = bold(StanzaWord::Zone, &zone.name);
    if !facts.is_empty() {
        head.push_str(&format!(": {}", facts.join(", ")));
    }
    let here = |light: bool| -> Vec<&Item> {
        plan.items
            .iter()
            .filter(|i| i.zone == Some(id) && i.is_light() == light)
            .collect()
    };
    let (lights, others) = (here(true), here(false));
    let list = |items: &[&Item], what: &str| {
        (!items.is_empty())
            .then(|| format!("{what}: {}", some_names(items.iter().map(|i| &i.name))))
    };
    let doors: Vec<&Name> = plan
        .passages
        .iter()
        .filter(|p| p.ends.is_some_and(|(x, y)| x == id || y == id))
        .map(|p| &p.name)
        .collect();
    let ways = (!doors.is_empty()).then(|| format!("Passages: {}", some_names(doors)));
    let dark = (lights.is_empty() && others.is_empty()).then(|| "Nothing is in it.".into());
    paragraphs([
        Some(head),
        dark,
        list(&lights, &count(lights.len(), "light")),
        list(&others, "Also"),
        ways,
        figures(a, id),
        missing(plan, id),
    ])
    .unwrap_or_default()
}

/// The light on its windows and the warmth in it, in every scene.
fn figures(a: &Analysis, id: ZoneId) -> Option<String> {
    let mut rows: Vec<Vec<Option<String>>> = Vec::new();
    for scene in &a.solution.scenes {
        let Some(is) = (scene.outcome.as_ref().ok())
            .and_then(|f| places::zones(&a.plan, f).into_iter().nth(id.0))
        else {
            continue;
        };
        let lit = is.light.filter(|light| light.0 > 0.0);
        let on_windows = is.on_windows.filter(|_| lit.is_some());
        let made = is.power.value > 0.0;
        rows.push(vec![
            Some(scene.name.0.to_string()),
            lit.map(|light| format!("{} lm", three_digits(light.0))),
            on_windows.map(|light| format!("{} lx", three_digits(light.0))),
            made.then(|| show(is.power)),
            is.rise
                .filter(|_| made)
                .map(|rise| format!("{} K", three_digits(rise.value))),
        ]);
    }
    let says_something = rows.iter().any(|row| row[1..].iter().any(Option::is_some));
    let rows = alike_in_one(rows);
    says_something.then(|| {
        table(
            &["scene", "light", "on the windows", "heat", "warmer by"],
            &rows,
        )
    })?
}

/// What the zone, or a light in it, would have to say for the light on the windows to be worked out.
fn missing(plan: &Plan, id: ZoneId) -> Option<String> {
    let zone = &plan.zones[id.0];
    zone.windows?;
    if zone.inside.is_none() {
        return Some("With `inside` the light on its windows would be worked out.".into());
    }
    let gives_nothing = |item: &Item| match &item.part {
        Part::Strip { tape, .. } => plan.tapes[tape.0]
            .gives
            .is_none()
            .then(|| &plan.tapes[tape.0].name),
        Part::Lamps { led, .. } => plan.leds[led.0]
            .gives
            .is_none()
            .then(|| &plan.leds[led.0].name),
        _ => None,
    };
    let here = plan.items.iter().filter(|i| i.zone == Some(id));
    let mut stock: Vec<&Name> = here.filter_map(gives_nothing).collect();
    stock.sort();
    stock.dedup();
    (!stock.is_empty()).then(|| {
        format!(
            "With `gives` at {} the light on its windows would be worked out.",
            some_names(stock)
        )
    })
}

/// A passage, and the wires that go through it.
pub fn passage(a: &Analysis, id: PassageId) -> String {
    let plan = &a.plan;
    let passage = &plan.passages[id.0];
    let mut head = bold(StanzaWord::Passage, &passage.name);
    if let Some((x, y)) = passage.ends {
        let zone = |z: ZoneId| &*plan.zones[z.0].name.0;
        head.push_str(&format!(": between {} and {}", zone(x), zone(y)));
    }
    match passage.opening {
        Some(Opening::Bore(d)) => head.push_str(&format!(", bore {}", length(d))),
        Some(Opening::Slot(w, h)) => {
            head.push_str(&format!(", slot {} by {}", length(w), length(h)));
        }
        None => {}
    }
    let legs = legs_through(plan, id);
    let (bundle, hole) = places::passages(plan)
        .into_iter()
        .nth(id.0)
        .unwrap_or_default();
    let through = if legs.is_empty() {
        "No wire goes through it.".into()
    } else {
        let total: usize = legs.iter().map(|(_, n)| n).sum();
        let kinds: Vec<String> = legs
            .iter()
            .map(|(wire, n)| format!("{n} of {}", plan.wires[*wire].name.0))
            .collect();
        let (wires, hole) = (count(total, "wire"), length(hole));
        format!(
            "{wires} through it: {}. The smallest hole for them: {hole}.",
            kinds.join(", ")
        )
    };
    let items = bundle.items.iter().map(|i| &plan.items[i.0].name);
    let links = bundle.links.iter().map(|l| &plan.links[l.0].name);
    let whose: Vec<&Name> = items.chain(links).collect();
    let to = (!whose.is_empty()).then(|| format!("They belong to {}.", some_names(whose)));
    paragraphs([Some(head), Some(through), to]).unwrap_or_default()
}

/// How many legs of which wire go through a passage.
fn legs_through(plan: &Plan, id: PassageId) -> Vec<(usize, usize)> {
    let mut legs = vec![0; plan.wires.len()];
    let mut add = |run: &Option<Run>, each: usize| {
        if let Some(run) = run {
            let times = run.via.iter().filter(|p| **p == id).count();
            legs[run.wire.0] += each * times;
        }
    };
    for feed in plan.items.iter().filter_map(|i| i.feed.as_ref()) {
        add(&feed.run, 1);
        add(&feed.back_run, 1);
    }
    for link in &plan.links {
        add(&link.run, 2);
    }
    legs.into_iter()
        .enumerate()
        .filter(|(_, n)| *n > 0)
        .collect()
}

/// A link.
pub fn link(a: &Analysis, id: LinkId) -> String {
    let plan = &a.plan;
    let link = &plan.links[id.0];
    let run = match &link.run {
        Some(run) => format!(" over {}", run_words(plan, run)),
        None => String::new(),
    };
    let head = format!(
        "{}: joins {} and {}{run}, so that one break between them is survived",
        bold(StanzaWord::Link, &link.name),
        plan.point_name(link.ends.0),
        plan.point_name(link.ends.1)
    );
    let rows: Vec<_> = a
        .solution
        .scenes
        .iter()
        .filter_map(|scene| {
            let (plus, _) = scene.outcome.as_ref().ok()?.links.get(id.0)?;
            let (from, to, plus) = match plus.typical.value < 0.0 {
                true => (link.ends.1, link.ends.0, -*plus),
                false => (link.ends.0, link.ends.1, *plus),
            };
            let way = format!("{} → {}", plan.point_name(from), plan.point_name(to));
            Some(vec![
                Some(scene.name.0.to_string()),
                Some(figure(&plus)),
                (plus.high.value > 0.0).then_some(way),
            ])
        })
        .collect();
    paragraphs([
        Some(head),
        table(&["scene", "passes", "way"], &rows),
        what_if::of_link(a, id),
    ])
    .unwrap_or_default()
}

/// A pattern, by its stanza.
pub fn pattern(a: &Analysis, stanza: StanzaId, name: &Name) -> String {
    let plan = &a.plan;
    let prefix = format!("{}.", name.0);
    let mut pieces: Vec<&Name> = plan
        .names
        .iter()
        .filter(|(n, d)| n.0.starts_with(&prefix) && d.word.is_item())
        .map(|(n, _)| n)
        .collect();
    pieces.sort_by_key(|n| plan.names.get(*n).map(|d| (d.stanza, d.span)));
    let copies: Vec<&Name> = plan
        .items
        .iter()
        .filter(|i| {
            i.word == StanzaWord::Copy
                && plan
                    .references
                    .iter()
                    .any(|r| r.stanza == i.stanza && r.definition == stanza)
        })
        .map(|i| &i.name)
        .collect();
    let list = |what: &str, names: Vec<&Name>| {
        if names.is_empty() {
            format!("{what}: none")
        } else {
            format!("{what}: {}", some_names(names))
        }
    };
    paragraphs([
        Some(format!(
            "{}: {}",
            bold(StanzaWord::Pattern, name),
            StanzaWord::Pattern.shape().says
        )),
        Some(list("Pieces", pieces)),
        Some(list("Copies", copies)),
    ])
    .unwrap_or_default()
}

/// A scene or a stage, by its stanza.
pub fn state(a: &Analysis, word: StanzaWord, stanza: StanzaId) -> Option<String> {
    if word == StanzaWord::Scene {
        scene(a, stanza)
    } else {
        stage(&a.plan, stanza)
    }
}

fn scene(a: &Analysis, stanza: StanzaId) -> Option<String> {
    let plan = &a.plan;
    let place = plan.scenes.iter().position(|s| s.stanza == stanza)?;
    let name = &plan.scenes[place].name;
    let figures = a.solution.scenes.get(place)?;
    let head = bold(StanzaWord::Scene, name);
    let solved = match &figures.outcome {
        Ok(solved) => solved,
        Err(none) => {
            let culprit = &plan.items[none.item.0].name.0;
            return Some(format!(
                "{head}\n\nNo solution: {culprit} cannot have what it wants."
            ));
        }
    };
    let lit = |i: &ItemId| solved.items.get(i.0).is_some_and(|own| own.reached);
    let (on, off): (Vec<ItemId>, Vec<ItemId>) = plan.lights().partition(lit);
    let of = |items: &[ItemId]| some_names(items.iter().map(|i| &plan.items[i.0].name));
    let lights = format!("{} on: {}", count(on.len(), "light"), of(&on));
    let dark = (!off.is_empty()).then(|| format!("Off: {}", of(&off)));
    let rows: Vec<_> = plan
        .items
        .iter()
        .zip(solved.items.iter())
        .filter_map(|(item, own)| match &item.part {
            Part::Supply(supply) => Some(vec![
                Some(item.name.0.to_string()),
                Some(if own.reached {
                    figure(&own.passes)
                } else {
                    "off".into()
                }),
                supply.limit.map(show),
            ]),
            _ => None,
        })
        .collect();
    paragraphs([
        Some(head),
        Some(lights),
        dark,
        table(&["supply", "gives", "of"], &rows),
    ])
}

fn stage(plan: &Plan, stanza: StanzaId) -> Option<String> {
    let stage = plan.stages.iter().find(|s| s.stanza == stanza)?;
    let mut head = bold(StanzaWord::Stage, &stage.name);
    if let Some(done) = &stage.done {
        head.push_str(&format!(", done {done}"));
    }
    let fits: Vec<Name> = stage
        .fits
        .iter()
        .map(|p| Name(plan.point_name(*p).into()))
        .collect();
    let seals: Vec<&Name> = stage.seals.iter().map(|z| &plan.zones[z.0].name).collect();
    paragraphs([
        Some(head),
        Some(format!("Fits: {}", some_names(&fits))),
        (!seals.is_empty()).then(|| format!("Seals: {}", some_names(seals))),
    ])
}
