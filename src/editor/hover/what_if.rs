//! What if: which lights go dark when an item, a link or something of the plan breaks, and what a short does.

use super::some_names;
use crate::checks::Analysis;
use crate::circuit::breaks::Place;
use crate::circuit::clearing::Clears;
use crate::circuit::fused_runs::{FusedRun, RunOf};
use crate::circuit::what_if::{WhatIf, cleared};
use crate::numbers::{count, show, three_digits, time};
use crate::plan::{ItemId, LinkId, Part, Plan};

/// What goes dark if an item breaks, and what a short at the end of its run does.
pub fn of_item(a: &Analysis, id: ItemId) -> String {
    let breaks = a.breaks();
    let whole = breaks.darkened(id);
    let mut lines = vec![match whole.as_slice() {
        [] => "If it breaks, no light goes dark.".into(),
        [only] if *only == id => "If it breaks, no other light goes dark.".into(),
        many => format!("If it breaks, {}.", dark(&a.plan, many)),
    }];
    let item = &a.plan.items[id.0];
    if matches!(item.part, Part::Joint) {
        let apart = breaks.darkened_at(Place::Joint(id));
        if apart != whole {
            lines.push(format!(
                "If the joint comes apart, {}.",
                dark(&a.plan, &apart)
            ));
        }
    }
    let runs = item
        .feed
        .as_ref()
        .is_some_and(|f| f.run.is_some() || f.back_run.is_some());
    if runs {
        lines.extend(one_leg(a, RunOf::Item(id), Some(&whole)));
        lines.extend(short(a, RunOf::Item(id)));
    }
    lines.join(" ")
}

/// What goes dark if a link breaks, and what a short at its end does.
pub fn of_link(a: &Analysis, id: LinkId) -> Option<String> {
    a.plan.links[id.0].run.as_ref()?;
    let lines = [one_leg(a, RunOf::Link(id), None), short(a, RunOf::Link(id))];
    let lines: Vec<String> = lines.into_iter().flatten().collect();
    (!lines.is_empty()).then(|| lines.join(" "))
}

/// What the worst break of a plan is, and how the others are spread.
pub fn of_plan(a: &Analysis) -> Option<String> {
    let what_if = WhatIf::of(&a.plan, a.breaks());
    let worst = what_if.worst()?;
    let lights = a.plan.lights().count();
    let spread: Vec<String> = what_if
        .spread()
        .iter()
        .map(|(dark, places)| match dark {
            0 => format!("{places} darken none"),
            n => format!("{places} darken {n}"),
        })
        .collect();
    Some(format!(
        "Worst break: {}, {} of {} dark. Of {}: {}.",
        at(&a.plan, worst.place),
        worst.dark.len(),
        count(lights, "light"),
        count(what_if.breaks.len(), "place") + " that can break",
        spread.join(", ")
    ))
}

/// A place in words: `F1`, `the plus leg to keel`.
pub fn at(plan: &Plan, place: Place) -> String {
    let name = place.of().name(plan);
    match place {
        Place::Item(_) => name.into(),
        Place::PlusLeg(_) => format!("the plus leg to {name}"),
        Place::MinusLeg(_) => format!("the minus leg to {name}"),
        Place::Joint(_) => format!("the joint {name}"),
        Place::PlusContact(_) | Place::MinusContact(_) => format!("a contact of {name}"),
        Place::Tape(_) => format!("the tape of {name}"),
    }
}

/// What goes dark if one leg of a run opens, where that differs from what all of it does.
fn one_leg(a: &Analysis, of: RunOf, whole: Option<&[ItemId]>) -> Option<String> {
    let [plus, minus] =
        [Place::PlusLeg(of), Place::MinusLeg(of)].map(|p| a.breaks().darkened_at(p));
    if whole == Some(&plus[..]) && whole == Some(&minus[..]) {
        return None;
    }
    if plus == minus {
        return Some(format!(
            "If one of its wires breaks, {}.",
            dark(&a.plan, &plus)
        ));
    }
    Some(format!(
        "If its plus wire breaks, {}; if its minus wire does, {}.",
        dark(&a.plan, &plus),
        dark(&a.plan, &minus)
    ))
}

/// `no light goes dark`, `1 light goes dark: mast`, `4 lights go dark: …`.
fn dark(plan: &Plan, lights: &[ItemId]) -> String {
    let how_many = match lights.len() {
        0 => return "no light goes dark".into(),
        1 => "1 light goes dark".into(),
        n => format!("{n} lights go dark"),
    };
    let names = some_names(lights.iter().map(|i| &plan.items[i.0].name));
    format!("{how_many}: {names}")
}

/// What flows where two wires touch at the end of a run, and what ends it.
fn short(a: &Analysis, of: RunOf) -> Option<String> {
    let plan = &a.plan;
    let runs = a.fused_runs().iter().filter(|run| run.of == of);
    let run = runs.max_by(|a, b| a.short.current.value.total_cmp(&b.short.current.value))?;
    let current = run.short.current;
    let gives = match current.value.is_finite() {
        true => format!("A short at its end gives {}", show(current)),
        false => "Nothing limits a short at its end".into(),
    };
    Some(format!("{gives}{}", ended(plan, run)))
}

fn ended(plan: &Plan, run: &FusedRun) -> String {
    let fuse = run.fuse().map(|fuse| &plan.items[fuse.0]);
    let (Some(fuse), Some(clears)) = (fuse, cleared(plan, run)) else {
        return format!(
            "; no fuse is ahead of it, and its wire may carry {}.",
            show(run.carries)
        );
    };
    let Part::Fuse { rating, .. } = fuse.part else {
        return ".".into();
    };
    if clears == Clears::NotSurely && run.short.current <= run.carries {
        return ", which its wire may carry.".into();
    }
    let times = run.short.current.value / rating.value;
    let times = match times.is_finite() {
        true => format!(
            ", {} times the {} of {}",
            three_digits(times),
            show(rating),
            fuse.name.0
        ),
        false => format!(", ahead of it is {} of {}", fuse.name.0, show(rating)),
    };
    let opens = match clears {
        Clears::Within(longest) => format!("it opens within {}", time(longest)),
        Clears::Trips => "it trips".into(),
        Clears::NotSurely => format!("it may hold, and the wire may carry {}", show(run.carries)),
    };
    format!("{times}: {opens}.")
}
