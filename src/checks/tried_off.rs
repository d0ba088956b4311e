//! # `tried-off`: a trial that does not fit
//!
//! **Warning** when a piece drew, tried alone, more than 10 % more or less than it should at that voltage, and what it drew is also outside of what
//! strayed parts explain.
//!
//! ## Why it matters
//!
//! The meter knows what was soldered, the plan what was meant. A wrong resistor, a dark group or a bridge of solder is found now, or when the roof is on.
//!
//! ## The limit
//!
//! 10 % is what a hand meter and a supply read by its dial leave open (common practice); beside that, resistors may stray by 5 % and each lamp's drop by 0.1 V
//! (the plan's corners). The figure is that of the piece alone on exactly the voltage that the record states, with no wire and nothing behind it. Only
//! lights, boards and loads are checked.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! lamp mast of pearl resistor 560 ohm from F1 over 200 mm of fine
//! tried mast 9.2 mA at 12 V
//! #          ^^^^^^ tried-off
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! lamp mast of pearl resistor 1 kohm from F1 over 200 mm of fine
//! tried mast 9.2 mA at 12 V
//! ```

use super::limits::{over, under};
use super::page::page;
use super::{Check, Context, Finding};
use crate::circuit::Figure;
use crate::circuit::alone::drawn_alone;
use crate::numbers::{count, show};
use crate::plan::{Part, Plan, Severity, Trial};
use crate::rewrites::e24;
use crate::units::{ElectricCurrent, amps};

/// A trial that does not fit.
pub const CHECK: Check = Check {
    name: "tried-off",
    severities: &[Severity::Warning],
    page: page!("tried_off.rs"),
    check,
    mends: None,
};

/// How far a trial may be off, as a part of the figure.
const OFF: f64 = 0.10;

fn check(context: &Context, out: &mut Vec<Finding>) {
    for trial in &context.plan.trials {
        let Some((figure, true)) = judged(context.plan, trial) else {
            continue;
        };
        let message = format!(
            "{} drew {} at {}, but it should draw {}. {}",
            context.quoted(trial.item),
            show(trial.drew),
            show(trial.at),
            show(figure.typical),
            explained(context, trial, figure.typical)
        );
        let span = context.head_span(trial.stanza, 1);
        let finding = context.on_stanza(CHECK.name, Severity::Warning, trial.stanza, span, message);
        out.push(Finding {
            about: vec![trial.item],
            related: vec![context.related(trial.item, "the piece")],
            ..finding
        });
    }
}

/// What a piece should have drawn, and whether what it drew does not fit that. `None` for what is not checked.
fn judged(plan: &Plan, trial: &Trial) -> Option<(Figure<ElectricCurrent>, bool)> {
    let figure = drawn_alone(plan, trial.item, trial.at)?;
    let off = over((trial.drew - figure.typical).abs(), figure.typical * OFF);
    let outside = over(trial.drew, figure.high) || under(trial.drew, figure.low);
    Some((figure, off && outside))
}

/// Whether what a piece drew fits what it should draw; `None` for what is not checked.
pub fn trial_fits(plan: &Plan, trial: &Trial) -> Option<bool> {
    judged(plan, trial).map(|(_, is_off)| !is_off)
}

/// What would explain that a piece drew something else.
fn explained(context: &Context, trial: &Trial, typical: ElectricCurrent) -> String {
    if trial.drew <= amps(1e-6) {
        return "Nothing flows: a lamp the wrong way round, or a joint that does not hold.".into();
    }
    let by_part = match &context.plan.items[trial.item.0].part {
        Part::Strip { groups, .. } => other_groups(trial.drew, typical, *groups),
        Part::Lamps { .. } => other_resistor(context, trial),
        _ => None,
    };
    by_part.unwrap_or_else(|| match trial.drew < typical {
        true => format!(
            "A joint that does not hold, or less than {} would explain it: measure again.",
            show(trial.at)
        ),
        false => format!(
            "A bridge of solder, or more than {} would explain it: measure again.",
            show(trial.at)
        ),
    })
}

/// Another number of groups that would draw this.
fn other_groups(drew: ElectricCurrent, typical: ElectricCurrent, groups: u32) -> Option<String> {
    if groups == 0 || typical <= amps(0.0) {
        return None;
    }
    let each = typical / f64::from(groups);
    let lit = (drew / each).value.round();
    let fits = lit >= 1.0 && ((drew - each * lit) / (each * lit)).value.abs() <= OFF;
    if !fits || lit == f64::from(groups) || lit > f64::from(u16::MAX) {
        return None;
    }
    let lit = lit as usize;
    Some(format!(
        "That is what {} of this tape draw{}, not {groups}: look for {}.",
        count(lit, "group"),
        if lit == 1 { "s" } else { "" },
        if lit < groups as usize {
            "dark ones"
        } else {
            "a longer cut"
        },
    ))
}

/// Another resistor, of the E24 series, that would let this through; or fewer lamps in series.
fn other_resistor(context: &Context, trial: &Trial) -> Option<String> {
    let Part::Lamps {
        led,
        count: lamps,
        resistor,
        ..
    } = &context.plan.items[trial.item.0].part
    else {
        return None;
    };
    let stated = resistor.as_ref()?.ohms;
    let each = context.plan.leds[led.0].curve.volts_at(trial.drew);
    let left = |n: u32| trial.at - each * f64::from(n);
    // A lamp that is bridged takes nothing: the stated resistor then fits with one less.
    let bridged = (1..*lamps).rev().find(|&n| {
        let ohms = left(n) / trial.drew;
        ((ohms - stated) / stated).value.abs() <= OFF / 2.0
    });
    if let Some(n) = bridged {
        return Some(format!(
            "With {n} of its {lamps} lamps it would: look for one that is bridged."
        ));
    }
    let needed = left(*lamps) / trial.drew;
    if needed.value <= 0.0 {
        return None;
    }
    let nearest = e24::nearest(needed);
    let fits = ((needed - nearest) / nearest).value.abs() <= OFF;
    (fits && nearest != e24::nearest(stated)).then(|| {
        format!(
            "A resistor of {} instead of {} would explain it.",
            e24::written(nearest),
            e24::written(stated)
        )
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    const PIECES: &str = "led p drops 3 V at 20 mA colour white\ntape t group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V\nmodule m works 7 V to 13 V draws 5 mA\n  output a 20 mA\nsupply s 12 V 1 A\nlamp l of p resistor 560 ohm from s\nstring o of p 3 lamps resistor 150 ohm from s\nstrip u of t 9 lamps from s\nboard b of m from s\nload f draws 50 mA from s\njoint j from s\n";

    fn says(tried: &str) -> Option<String> {
        let findings = found(&plan(&format!("{PIECES}tried {tried}\n")), CHECK.name);
        findings.into_iter().next().map(|f| f.message)
    }

    #[test]
    fn ten_percent_are_left_open() {
        // The lamp should draw 16.15 mA (docs/physics.md, by hand, without its wire 16.16 mA): 10 % are 14.54 and 17.78 mA, and the
        // corners at an exact 12 V lie within those.
        assert_eq!(says("l 14.6 mA at 12 V"), None);
        assert_eq!(says("l 17.7 mA at 12 V"), None);
        assert!(says("l 14.5 mA at 12 V").is_some());
        assert!(says("l 17.8 mA at 12 V").is_some());
        assert_eq!(says("b 5.4 mA at 9 V"), None);
        assert!(says("b 5.6 mA at 9 V").is_some());
        assert!(says("f 40 mA at 9 V").is_some());
        assert_eq!(says("j 40 mA at 9 V"), None);
    }

    #[test]
    fn strayed_parts_explain_more_where_little_is_left_for_the_resistor() {
        // At 9.4 V the string should draw 6.5 mA: 3 · 2.81 V and 0.98 V over 150 ohm. With each lamp 0.1 V up and the resistor
        // 5 % up it draws 4.9 mA: 3 · 2.88 V and 0.77 V over 157.5 ohm (by hand).
        assert_eq!(says("o 5.1 mA at 9.4 V"), None);
        assert!(says("o 4.7 mA at 9.4 V").is_some());
    }

    #[test]
    fn it_says_what_would_explain_it() {
        let says = |tried: &str| says(tried).unwrap();
        assert!(says("l 9.2 mA at 12 V").contains("1 kohm instead of 560 ohm"));
        assert!(says("l 0 mA at 12 V").contains("wrong way round"));
        assert!(
            says("u 36 mA at 12 V").contains("2 groups of this tape draw, not 3: look for dark")
        );
        assert!(says("u 18 mA at 12 V").contains("1 group of this tape draws, not 3"));
        assert!(
            says("u 72 mA at 12 V")
                .contains("4 groups of this tape draw, not 3: look for a longer")
        );
        assert!(says("u 47 mA at 12 V").contains("joint that does not hold"));
        assert!(says("f 80 mA at 12 V").contains("bridge of solder"));
        // Two lamps, by hand: (12 − 2 · 3.2) / 150 = 37 mA.
        assert!(says("o 37 mA at 12 V").contains("With 2 of its 3 lamps"));
    }
}
