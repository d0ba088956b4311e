//! # `regulator-too-hot`: a linear regulator that burns its volts
//!
//! **Warning** when a linear regulator loses more than 1 W.
//!
//! ## Why it matters
//!
//! A linear regulator turns every volt that it takes off into heat. A small one without a heat sink, shut in a model, reaches a
//! temperature that burns fingers and bends styrene, and then switches itself off.
//!
//! ## The limit
//!
//! 1 W is what a small three-legged regulator sheds in still air without a heat sink: about 65 K above the air at 65 K/W, the usual figure for that
//! size (common practice). The worst scene counts, with parts that stray; what only flashes counts by the time that it is on.
//!
//! ## Shown
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! regulator crane-5v 5 V 500 mA from F1
//! #         ^^^^^^^^ regulator-too-hot
//! load crane draws 200 mA from crane-5v
//! ```
//!
//! ## Mended
//!
//! ```harness
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! regulator crane-5v 5 V 500 mA efficiency 85 % from F1
//! load crane draws 200 mA from crane-5v
//! ```
//!
//! A switching one is offered. A lower voltage ahead of it helps as well.

use super::page::page;
use super::supplies::judged;
use super::words::in_scene;
use super::{Check, Context, Finding, Mend};
use crate::circuit::ItemFigures;
use crate::numbers::show_and_limit;
use crate::plan::{ItemId, Output, Part, Plan, Point, RegulatorWay, Severity};
use crate::rewrites::make_it_switch;
use crate::syntax::tree::Name;
use crate::units::{Power, watts};

/// A linear regulator that burns its volts.
pub const CHECK: Check = Check {
    name: "regulator-too-hot",
    severities: &[Severity::Warning],
    page: page!("regulator_too_hot.rs"),
    check,
    mends: Some(mends),
};

/// What a small regulator sheds without a heat sink.
fn sheds() -> Power {
    watts(1.0)
}

/// What counts as nothing: less than any of it could be felt.
const LEAST: f64 = 1e-6;

fn check(context: &Context, out: &mut Vec<Finding>) {
    let judged = judged(context);
    for (i, item) in context
        .plan
        .items
        .iter()
        .enumerate()
        .filter(|(i, _)| judged[*i])
    {
        let Part::Regulator {
            way: RegulatorWay::Linear { .. },
            ..
        } = item.part
        else {
            continue;
        };
        let regulator = ItemId(i);
        let worst = most_lost(context, regulator);
        let Some((lost, scene)) = worst.filter(|w| (w.0 - sheds()).value > LEAST) else {
            continue;
        };
        let message = format!(
            "{} turns {} into heat {}; without a heat sink 1 W is all that a small one sheds. Take a switching one (`efficiency 85 %`), or feed it with less.",
            context.quoted(regulator),
            show_and_limit(lost, sheds()).0,
            in_scene(scene)
        );
        let span = context.name_span(item.stanza);
        out.push(context.on_item(CHECK.name, Severity::Warning, regulator, span, message));
    }
}

/// The most that a regulator turns into heat, on average, in any corner of any scene; and that scene.
fn most_lost<'a>(context: &Context<'a>, regulator: ItemId) -> Option<(Power, &'a Name)> {
    let mut worst: Option<(Power, &Name)> = None;
    for scene in context.solution.states() {
        let Ok(figures) = &scene.outcome else {
            continue;
        };
        let Some(own) = figures.items.get(regulator.0) else {
            continue;
        };
        // What is not too much at full time is not asked about any further.
        if (own.watts.high - sheds()).value <= LEAST {
            continue;
        }
        let lost = own.watts.high * part_of_the_time(context, regulator, &figures.items);
        if worst.is_none_or(|(most, _)| lost > most) {
            worst = Some((lost, &scene.name));
        }
    }
    worst
}

/// How much of the current behind a regulator flows on average: what outputs of boards switch on and off
/// counts by their duty.
fn part_of_the_time(context: &Context, regulator: ItemId, figures: &[ItemFigures]) -> f64 {
    let (mut all, mut on_average) = (0.0, 0.0);
    for (i, figures) in figures.iter().enumerate() {
        let takes = figures.amps.typical.value;
        if takes <= 0.0 {
            continue;
        }
        let way: Vec<ItemId> = context.way_back(ItemId(i)).collect();
        let Some(to) = way
            .iter()
            .position(|&at| at == regulator)
            .filter(|&to| to > 0)
        else {
            continue;
        };
        let duty: f64 = way[..to].iter().map(|&at| duty(context.plan, at)).product();
        all += takes;
        on_average += takes * duty;
    }
    if all > 0.0 { on_average / all } else { 1.0 }
}

/// The part of the time that what feeds an item is on.
fn duty(plan: &Plan, item: ItemId) -> f64 {
    let Some(feed) = &plan.items[item.0].feed else {
        return 1.0;
    };
    let of = |point: Point| plan.output(point).map_or(1.0, output_duty);
    match feed.from == feed.minus() {
        true => of(feed.from),
        false => of(feed.from) * of(feed.minus()),
    }
}

/// `flash` without `duty` is half the time.
fn output_duty(output: &Output) -> f64 {
    match (output.duty, output.flash) {
        (Some(duty), _) => duty.value,
        (None, Some(_)) => 0.5,
        (None, None) => 1.0,
    }
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let regulator = finding.about.first();
    let lost = regulator.and_then(|&regulator| Some((regulator, most_lost(context, regulator)?.0)));
    lost.map_or_else(Vec::new, |(regulator, lost)| {
        make_it_switch(context.plan, context.solution, regulator, lost)
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn finds(load: &str) -> usize {
        let text = format!(
            "supply s 12 V 1 A tolerance 0 %\nfuse F 500 mA from s\nregulator r 7 V 500 mA from F\nload l {load} from r\n"
        );
        found(&plan(&text), CHECK.name).len()
    }

    #[test]
    fn one_watt_is_not_passed() {
        assert_eq!(finds("draws 200 mA"), 0); // 5 V × 0.2 A
        assert_eq!(finds("draws 201 mA"), 1);
        assert_eq!(finds("draws 100 mA"), 0);
    }

    #[test]
    fn a_switching_one_is_not_judged() {
        let text = "supply s 12 V 1 A\nfuse F 500 mA from s\nregulator r 5 V 500 mA efficiency 50 % from F\nload l draws 450 mA from r\n";
        assert_eq!(found(&plan(text), CHECK.name), []);
    }

    #[test]
    fn what_flashes_counts_by_the_time_that_it_is_on() {
        let with = |output: &str| {
            let text = format!(
                "module m works 4 V to 8 V draws 1 mA output a 300 mA {output}\nsupply s 12 V 1 A tolerance 0 %\nfuse F 500 mA from s\nregulator r 7 V 500 mA from F\nboard b of m from r\nload l draws 250 mA from b.a\n"
            );
            found(&plan(&text), CHECK.name).len()
        };
        assert_eq!(with(""), 1);
        assert_eq!(with("flash 1 Hz"), 0);
        assert_eq!(with("flash 1 Hz duty 90 %"), 1);
    }

    #[test]
    fn the_mend_says_what_it_saves() {
        let text = "supply s 12 V 1 A\nfuse F 500 mA from s\nregulator r 5 V 500 mA dropout 2 V from F\nload l draws 200 mA from r\n";
        let analysis = plan(text);
        assert_eq!(
            mended(&analysis, CHECK.name).unwrap(),
            text.replace("dropout 2 V", "efficiency 85 %")
        );
        let at = analysis.findings.iter().position(|f| f.check == CHECK.name);
        // By hand: (12 V + 5 % − 5 V) · 200 mA, as the finding says; 5 V · 200 mA · (1/0.85 − 1).
        assert_eq!(
            analysis.mends(at.unwrap())[0].title,
            "r as a switching regulator of efficiency 85 %: it loses 176 mW, not 1.52 W"
        );
    }
}
