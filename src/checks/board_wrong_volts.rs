//! # `board-wrong-volts`: a board fed with the wrong voltage
//!
//! **Error** when the voltage at a board is outside what it works at with all values as stated; **warning** when it is so only at a
//! corner.
//!
//! ## Why it matters
//!
//! Too little, and a board stutters, forgets where it was, or lights its outputs at random. Too much, and it is gone the moment it is switched on, most often
//! with a smell.
//!
//! ## The limit
//!
//! The `works` of the stock, at the board's own ends, behind its run: below the lower limit it draws nothing in the figures, and right at it
//! whatever current its way can carry there; that too is too little. It is compared in every scene and with everything on at once.
//!
//! ## Shown
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! module blink works 4 V to 6 V draws 3 mA output a 5 V 20 mA
//!
//! supply adapter 12 V 1 A
//! fuse F1 100 mA from adapter
//! board winker of blink from F1
//! #     ^^^^^^ board-wrong-volts
//! lamp mast of pearl resistor 120 ohm from winker.a
//! ```
//!
//! ## Mended
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! module blink works 4 V to 6 V draws 3 mA output a 5 V 20 mA
//!
//! supply adapter 12 V 1 A
//! fuse F1 100 mA from adapter
//! regulator blink-5v 5 V 100 mA from F1
//! board winker of blink from blink-5v
//! lamp mast of pearl resistor 120 ohm from winker.a
//! ```

use super::limits::{over, rule, under};
use super::page::page;
use super::supplies::judged;
use super::words::{AT_WORST, in_scene};
use super::{Check, Context, Finding, Worst};
use crate::numbers::{show, show_and_limit};
use crate::plan::{ItemId, Part, Severity};
use crate::units::ElectricPotential;

/// A board fed with the wrong voltage.
pub const CHECK: Check = Check {
    name: "board-wrong-volts",
    severities: &[Severity::Error, Severity::Warning],
    page: page!("board_wrong_volts.rs"),
    check,
    mends: None,
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let judged = judged(context);
    for (i, item) in context
        .plan
        .items
        .iter()
        .enumerate()
        .filter(|(i, _)| judged[*i])
    {
        let Part::Board { module } = item.part else {
            continue;
        };
        let Some(works) = context.plan.modules[module.0].works else {
            continue;
        };
        let board = ItemId(i);
        let found =
            too_much(context, board, works.1).or_else(|| too_little(context, board, works.0));
        let Some((severity, message)) = found else {
            continue;
        };
        let message = format!(
            "{message} It works at {} to {}. {}",
            show(works.0),
            show(works.1),
            "Feed it from a regulator or another supply, or take another board."
        );
        let span = context.name_span(item.stanza);
        out.push(context.on_item(CHECK.name, severity, board, span, message));
    }
}

fn too_much(
    context: &Context,
    board: ItemId,
    limit: ElectricPotential,
) -> Option<(Severity, String)> {
    let most = context.greatest(|f| Some(f.items.get(board.0)?.volts))?;
    let breaks = (over(most.typical, limit), over(most.corner, limit));
    Some((
        rule(breaks.0, breaks.1)?,
        said(context, board, &most, limit, breaks.0),
    ))
}

fn too_little(
    context: &Context,
    board: ItemId,
    limit: ElectricPotential,
) -> Option<(Severity, String)> {
    let least = context.least(|f| {
        let f = f.items.get(board.0)?;
        f.reached.then_some(f.volts)
    })?;
    let breaks = (under(least.typical, limit), under(least.corner, limit));
    if let Some(severity) = rule(breaks.0, breaks.1) {
        return Some((severity, said(context, board, &least, limit, breaks.0)));
    }
    // Held at its lower limit, it has less current than it wants.
    let Part::Board { module } = context.plan.items[board.0].part else {
        return None;
    };
    let wants = context.plan.modules[module.0].draws;
    let gets = context.least(|f| {
        let f = f.items.get(board.0)?;
        f.reached.then_some(f.amps)
    })?;
    let breaks = (under(gets.typical, wants), under(gets.corner, wants));
    let severity = rule(breaks.0, breaks.1)?;
    let (scene, stray) = match breaks.0 {
        true => (&gets.typical_scene, String::new()),
        false => (&gets.corner_scene, format!(" {AT_WORST}")),
    };
    let message = format!(
        "{} is pulled down to {} {}{stray}: its way cannot carry what it draws.",
        context.quoted(board),
        show(limit),
        in_scene(scene)
    );
    Some((severity, message))
}

fn said(
    context: &Context,
    board: ItemId,
    worst: &Worst<ElectricPotential>,
    limit: ElectricPotential,
    typical: bool,
) -> String {
    let name = context.quoted(board);
    match typical {
        true => format!(
            "{name} has {} {}.",
            show_and_limit(worst.typical, limit).0,
            in_scene(worst.typical_scene)
        ),
        false => format!(
            "{name} may have {} {} {AT_WORST}.",
            show_and_limit(worst.corner, limit).0,
            in_scene(worst.corner_scene)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn finds(supply: &str) -> Vec<Finding> {
        let text = format!(
            "module m works 5 V to 12.6 V draws 10 mA output a 20 mA\nsupply s {supply}\nboard x of m from s\n"
        );
        found(&plan(&text), CHECK.name)
    }

    fn severity(supply: &str) -> Option<Severity> {
        finds(supply).first().map(|f| f.severity)
    }

    #[test]
    fn its_limits_are_not_passed() {
        assert_eq!(severity("12 V"), None); // 12 V + 5 % is 12.6 V
        assert_eq!(severity("12.1 V"), Some(Severity::Warning));
        assert_eq!(severity("12.7 V"), Some(Severity::Error));
        assert_eq!(severity("5.3 V"), None);
        assert_eq!(severity("5.2 V"), Some(Severity::Warning));
        assert_eq!(severity("4.9 V"), Some(Severity::Error));
        assert_eq!(severity("12.6 V tolerance 0 %"), None);
        assert_eq!(severity("5 V tolerance 0 %"), None);
    }

    #[test]
    fn a_board_pulled_down_to_its_limit_has_too_little() {
        // 6 V behind 120 ohm: at 5 V it gets 8.3 mA of its 10 mA.
        let findings = finds("6 V tolerance 0 % resistance 120 ohm");
        assert_eq!(findings[0].severity, Severity::Error);
        assert!(
            findings[0]
                .message
                .starts_with("`x` is pulled down to 5 V with everything on"),
            "{}",
            findings[0].message
        );
        assert_eq!(severity("6 V tolerance 0 % resistance 90 ohm"), None);
    }

    #[test]
    fn a_board_that_is_off_has_no_wrong_volts() {
        let text = "module m works 5 V to 12.6 V draws 10 mA output a 20 mA\nsupply s 9 V\nboard x of m from s\nscene dark off x\n";
        assert_eq!(found(&plan(text), CHECK.name), []);
    }
}
