//! # `battery-sags`: a battery that is spent later than what hangs on it
//!
//! **Warning** when, with a battery down at its `spent` volts, a strip has less than its tape works at, a board less than it works at, or a
//! regulator no longer holds its voltage, which all do while the battery is full. **Hint** when a lamp is down to a tenth of its current there.
//!
//! ## Why it matters
//!
//! A battery falls by a third and more while it runs down, and the circuit was tried with a fresh one. Tape of three lamps goes out
//! all at once, a board starts to stutter, a regulator lets its lamps sag. From there on what is left in the cells is of no use, and the hours in the
//! plan are not to be had.
//!
//! ## The limit
//!
//! The `works` of the tape or of the module, and what a regulator needs at its input, all values as stated, in any scene. A lamp at a tenth of
//! its current looks dark (common practice). What does not work with a full battery either is told elsewhere. A battery that does not say when it is `spent` is not
//! judged.
//!
//! ## Shown
//!
//! ```harness
//! tape warm group 3 lamps long 25 mm works 8 V to 12.6 V draws 18 mA at 12 V colour warm-white
//!
//! supply block 9.6 V capacity 2000 mAh spent 7 V
//! #                                    ^^^^^^^^^ battery-sags
//! fuse F1 250 mA from block
//! strip awning of warm 6 lamps from F1
//! ```
//!
//! ## Mended
//!
//! ```harness
//! tape warm group 3 lamps long 25 mm works 8 V to 12.6 V draws 18 mA at 12 V colour warm-white
//!
//! supply block 9.6 V capacity 2000 mAh spent 8 V
//! fuse F1 250 mA from block
//! strip awning of warm 6 lamps from F1
//! ```
//!
//! Offered is the `spent` at which all still works, as long as a quarter of the battery is used by then. Or take tape of fewer lamps a group, or one cell more.

use super::limits::under;
use super::page::page;
use super::supplies::judged;
use super::words::in_scene;
use super::{Check, Context, Finding, Mend};
use crate::circuit::at_volts::{AtVolts, States};
use crate::circuit::{Figures, ItemFigures};
use crate::numbers::show;
use crate::plan::{ItemId, Part, Plan, Severity, Supply};
use crate::rewrites::set_spent;
use crate::syntax::tree::Name;
use crate::units::{ElectricPotential, volts};

/// A battery that is spent later than what hangs on it.
pub const CHECK: Check = Check {
    name: "battery-sags",
    severities: &[Severity::Warning, Severity::Hint],
    page: page!("battery_sags.rs"),
    check,
    mends: Some(mends),
};

/// Under this part of its current with a full battery a lamp looks dark.
const DARK: f64 = 0.1;

/// How often the volts between full and spent are halved: to a microvolt.
const HALVINGS: usize = 24;

/// The part of its volts that a battery is to fall by at least, for its `spent` to make sense: a quarter of what
/// is in it, as law 10 has it.
const SENSIBLE: f64 = 0.1;

/// What stops first as a battery runs down.
struct First {
    item: ItemId,
    /// What the battery has then, without load.
    at: ElectricPotential,
    scene: Name,
}

/// The volts at which a battery counts as empty, where it says so and they are below its full ones.
fn spent(supply: &Supply) -> Option<ElectricPotential> {
    let spent = supply.spent?;
    (spent < supply.volts && spent > volts(0.0)).then_some(spent)
}

/// Whether an item that is on cannot do what it is made for.
fn stops(plan: &Plan, item: ItemId, of: &ItemFigures) -> bool {
    let too_little = match plan.items[item.0].part {
        Part::Strip { tape, groups, .. } if groups > 0 => {
            under(of.lowest_group.typical, plan.tapes[tape.0].works.0)
        }
        Part::Board { module } => {
            let module = &plan.modules[module.0];
            let has_limit =
                |(low, _)| under(of.volts.typical, low) || under(of.amps.typical, module.draws);
            module.works.is_some_and(has_limit)
        }
        Part::Regulator { volts, .. } => under(of.hands_on.typical, volts),
        _ => false,
    };
    of.reached && too_little
}

/// Whether a lamp is dark, though it is lit with a full battery.
fn goes_dark(plan: &Plan, item: ItemId, full: &ItemFigures, now: &ItemFigures) -> bool {
    let is_lamp = matches!(plan.items[item.0].part, Part::Lamps { .. });
    is_lamp && full.reached && now.reached && under(now.amps.typical, full.amps.typical * DARK)
}

/// The items that do what they should with a full battery and no longer with it at these volts: those that stop,
/// or, with `lamps`, the lamps that go dark.
fn lost(
    plan: &Plan,
    at: &AtVolts,
    full: &Figures,
    level: ElectricPotential,
    lamps: bool,
) -> Vec<ItemId> {
    let now = match at.figures(level) {
        Ok(now) => now,
        Err(item) => return item.filter(|_| !lamps).into_iter().collect(),
    };
    let is_lost = |(item, now): &(ItemId, &ItemFigures)| {
        let (item, then) = (*item, &full.items[item.0]);
        match lamps {
            true => goes_dark(plan, item, then, now),
            false => stops(plan, item, now) && !stops(plan, item, then),
        }
    };
    let lost = now.each().filter(is_lost);
    lost.map(|(item, _)| item).collect()
}

/// What stops first, or else the lamp that goes dark first.
fn judge(context: &Context, states: &States, battery: ItemId) -> Option<(Severity, First)> {
    let stops = first(context, states, battery, false).map(|first| (Severity::Warning, first));
    stops.or_else(|| Some((Severity::Hint, first(context, states, battery, true)?)))
}

/// What stops first (or, with `lamps`, goes dark first), over all scenes.
fn first(context: &Context, states: &States, battery: ItemId, lamps: bool) -> Option<First> {
    let plan = context.plan;
    let Part::Supply(supply) = &plan.items[battery.0].part else {
        return None;
    };
    let empty = spent(supply)?;
    let mut at = AtVolts::of(states, battery);
    let mut first: Option<First> = None;
    for (place, scene) in context.solution.scenes.iter().enumerate() {
        let Ok(full) = &scene.outcome else { continue };
        if !at.goes_to(place) {
            continue;
        }
        // No lower than what is known to stop already.
        let mut low = first.as_ref().map_or(empty, |f| f.at);
        let mut gone = lost(plan, &at, full, low, lamps);
        if gone.is_empty() {
            continue;
        }
        let mut high = supply.volts;
        for _ in 0..HALVINGS {
            let middle = (low + high) * 0.5;
            match lost(plan, &at, full, middle, lamps) {
                none if none.is_empty() => high = middle,
                some => {
                    low = middle;
                    // Right at its end a circuit may not settle for any one item's sake.
                    if some != [battery] {
                        gone = some;
                    }
                }
            }
        }
        first = gone.first().map(|&item| First {
            item,
            at: high,
            scene: scene.name.clone(),
        });
    }
    first
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    let judged = judged(context);
    let states = States::of(context.plan, &|| false);
    for (i, item) in context.plan.items.iter().enumerate() {
        let Part::Supply(supply) = &item.part else {
            continue;
        };
        let Some(empty) = spent(supply).filter(|_| judged[i]) else {
            continue;
        };
        let battery = ItemId(i);
        let Some((severity, first)) = judge(context, &states, battery) else {
            continue;
        };
        let what = match context.plan.items[first.item.0].part {
            Part::Lamps { .. } => "is down to a tenth of its current",
            Part::Regulator { .. } => "no longer holds its voltage",
            _ => "no longer works",
        };
        let message = format!(
            "{} counts as empty at {}, but already at {} {} {what} {}. Say `spent` there, or take what works lower.",
            context.quoted(battery),
            show(empty),
            show(first.at),
            context.quoted(first.item),
            in_scene(&first.scene),
        );
        let span = context.clause_span(item.stanza, "spent");
        let mut finding = context.on_item(CHECK.name, severity, battery, span, message);
        finding.related = vec![context.related(first.item, "stops first")];
        out.push(finding);
    }
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    finding
        .about
        .first()
        .and_then(|&battery| mend(context, battery))
        .into_iter()
        .collect()
}

fn mend(context: &Context, battery: ItemId) -> Option<Mend> {
    let Part::Supply(supply) = &context.plan.items[battery.0].part else {
        return None;
    };
    let states = States::of(context.plan, &|| false);
    let (_, first) = judge(context, &states, battery)?;
    // In steps that a builder can read off a meter, up.
    let to = volts((first.at.value * 10.0 - 1e-4).ceil() / 10.0);
    if to > supply.volts * (1.0 - SENSIBLE) {
        return None;
    }
    set_spent(context.plan, battery, to, "all still works there")
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    /// What is found of a 9 V battery that is spent at so many volts.
    fn said(spent: &str, wiring: &str) -> Vec<(Severity, String)> {
        let text = format!(
            "tape t group 2 lamps long 25 mm works 6.5 V to 12 V draws 18 mA at 9 V\nled p drops 3.0 V at 20 mA\nmodule m works 6 V to 12 V draws 5 mA output a 100 mA\nsupply cell 9 V capacity 2 Ah {spent}\n{wiring}\n"
        );
        let findings = found(&plan(&text), CHECK.name);
        findings
            .into_iter()
            .map(|f| (f.severity, f.message))
            .collect()
    }

    fn severity(spent: &str, wiring: &str) -> Option<Severity> {
        said(spent, wiring).first().map(|f| f.0)
    }

    #[test]
    fn each_kind_has_its_own_limit() {
        let strip = "strip s of t 4 lamps from cell";
        assert_eq!(severity("spent 6.5 V", strip), None);
        assert_eq!(severity("spent 6.49 V", strip), Some(Severity::Warning));
        let board = "board b of m from cell";
        assert_eq!(severity("spent 6 V", board), None);
        assert_eq!(severity("spent 5.99 V", board), Some(Severity::Warning));
        // A linear regulator without `dropout` needs 1.5 V above its own.
        let regulator = "regulator r 5 V 100 mA from cell\nload l draws 10 mA from r";
        assert_eq!(severity("spent 6.5 V", regulator), None);
        assert_eq!(severity("spent 6.49 V", regulator), Some(Severity::Warning));
        // By hand: 9 V drive (9 − 3.0 + 0.2 − Δ)/(560 + 10) ohm, about 10.7 mA; 1.07 mA are at 2.66 + 0.6 = 3.26 V.
        let lamp = "lamp l of p resistor 560 ohm from cell";
        assert_eq!(severity("spent 3.3 V", lamp), None);
        assert_eq!(severity("spent 3.2 V", lamp), Some(Severity::Hint));
    }

    #[test]
    fn the_first_to_stop_is_named_with_the_volts_and_the_scene() {
        let wiring = "strip s of t 4 lamps from cell\nboard b of m from cell\nresistor r 1 ohm from cell\nboard c of m from r\nscene calm off s, c\nscene busy";
        let said = said("spent 5 V", wiring);
        assert_eq!(
            said,
            [(
                Severity::Warning,
                "`cell` counts as empty at 5 V, but already at 6.5 V `s` no longer works in `busy`. Say `spent` there, or take what works lower.".to_owned()
            )]
        );
    }

    #[test]
    fn what_never_worked_and_what_says_nothing_is_not_judged() {
        let strip = "resistor r 1 kohm from cell\nstrip s of t 40 lamps dimmed from r";
        assert_eq!(severity("spent 4 V", strip), None);
        let strip = "strip s of t 4 lamps from cell";
        assert_eq!(severity("", strip), None);
        assert_eq!(severity("spent 9 V", strip), None);
        assert_eq!(
            severity("spent 4 V", &format!("{strip}\nscene dark off cell")),
            Some(Severity::Warning)
        );
    }

    #[test]
    fn a_load_that_cannot_have_its_power_stops() {
        // 2 W behind 8 ohm: at best V/2 · V/16 ohm, so no less than 8 V.
        let load = "resistor r 8 ohm from cell\nload l takes 2 W from r";
        assert_eq!(severity("spent 8.01 V", load), None);
        let said = said("spent 7.5 V", load);
        assert!(
            said[0].1.contains("already at 8 V `l` no longer works"),
            "{said:?}"
        );
    }

    #[test]
    fn other_circuits_are_not_its_business() {
        let other = "supply adapter 12 V 1 A\nlamp l of p resistor 560 ohm from adapter";
        assert_eq!(severity("spent 1 V", other), None);
    }

    #[test]
    fn spent_is_raised_to_where_all_works() {
        let text = "tape t group 2 lamps long 25 mm works 6.45 V to 12 V draws 18 mA at 9 V\nsupply cell 9 V capacity 2 Ah spent 6V\nstrip s of t 4 lamps from cell\n";
        assert_eq!(
            mended(&plan(text), CHECK.name).unwrap(),
            text.replace("6V", "6.5V")
        );
        // Where hardly anything of the battery could be used, another tape is the answer.
        let text = text.replace("6.45 V", "8.2 V");
        assert_eq!(mended(&plan(&text), CHECK.name), None);
    }
}
