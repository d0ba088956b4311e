//! # `fast-flash`: light that flashes too often
//!
//! **Warning** when an output of a board that is built in flashes more than three times a second.
//!
//! ## Why it matters
//!
//! Light that flashes several times a second, seen close by in a dim room, can start a seizure in people with photosensitive epilepsy, and it tires
//! everybody else. A model on show is looked at by strangers and by children. Real beacons and turn lamps flash once or twice a second, so nothing is lost.
//!
//! ## The limit
//!
//! Three flashes in any one second (WCAG 2, success criterion 2.3.1). Exactly three are allowed. Where your country or the exhibition has a stricter
//! rule, that one holds; put a notice up where a strobe cannot be avoided.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! module beacon
//!   works 7 V to 13 V
//!   draws 5 mA
//!   output flash-tube 60 mA duty 20 % flash 5 Hz
//! #                                   ^^^^^^^^^^ fast-flash
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! board tower of beacon from F1 over 100 mm of fine
//! lamp mast of pearl resistor 560 ohm from tower.flash-tube over 200 mm of fine
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! module beacon
//!   works 7 V to 13 V
//!   draws 5 mA
//!   output flash-tube 60 mA duty 20 % flash 2 Hz
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! board tower of beacon from F1 over 100 mm of fine
//! lamp mast of pearl resistor 560 ohm from tower.flash-tube over 200 mm of fine
//! ```

use super::page::page;
use super::{Check, Context, Finding, Mend};
use crate::numbers::three_digits;
use crate::plan::{Output, Severity, StanzaId};
use crate::rewrites::slow_flash::slow_flash;
use crate::syntax::tree::Clause;
use crate::units::{Frequency, hertz};

/// Light that flashes too often.
pub const CHECK: Check = Check {
    name: "fast-flash",
    severities: &[Severity::Warning],
    page: page!("fast_flash.rs"),
    check,
    mends: Some(slow_down),
};

/// Three flashes in any one second (WCAG 2, success criterion 2.3.1).
pub fn limit() -> Frequency {
    hertz(3.0)
}

fn is_fast(output: &Output) -> bool {
    let too_fast = |flash: Frequency| flash.value > limit().value * (1.0 + 1e-9);
    output.flash.is_some_and(too_fast)
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    if !plan.modules.iter().any(|m| m.outputs.iter().any(is_fast)) {
        return;
    }
    let uses = context.stock_use();
    for module in &plan.modules {
        if uses.get(&module.name).is_none_or(|of| !of.made) {
            continue;
        }
        let clauses = outputs(context, module.stanza);
        for (output, clause) in module.outputs.iter().zip(clauses) {
            let Some(flash) = output.flash.filter(|_| is_fast(output)) else {
                continue;
            };
            let message = format!(
                "`{}` of `{}` flashes {} times a second; more than 3 can start a seizure in some people. Slow it to 2 Hz.",
                output.name.0,
                module.name.0,
                three_digits(flash.value)
            );
            let span = clause.part("flash").map_or(clause.span, |c| c.span);
            out.push(context.on_stanza(
                CHECK.name,
                Severity::Warning,
                module.stanza,
                span,
                message,
            ));
        }
    }
}

fn outputs<'a>(context: &Context<'a>, module: StanzaId) -> impl Iterator<Item = &'a Clause> {
    let clauses = context.plan.stanza(module).clauses.iter();
    clauses.filter(|c| c.word == "output")
}

fn slow_down(context: &Context, finding: &Finding) -> Vec<Mend> {
    slow_flash(context.plan, finding.stanza, finding.span)
        .into_iter()
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    fn text(flash: &str, board: &str) -> String {
        format!(
            "module m works 7 V to 13 V\n  output a 60 mA flash {flash}\n  output b 60 mA flash 1 Hz\nled p drops 3 V at 20 mA\nsupply s 12 V 100 mA\n{board}"
        )
    }

    const BOARD: &str = "board x of m from s\nlamp l of p resistor 560 ohm from x.a\n";

    #[test]
    fn three_flashes_a_second_are_allowed() {
        let finds = |flash: &str| found(&plan(&text(flash, BOARD)), CHECK.name).len();
        assert_eq!(finds("3 Hz"), 0);
        assert_eq!(finds("3.01 Hz"), 1);
    }

    #[test]
    fn a_board_that_is_not_built_in_flashes_nothing() {
        assert_eq!(found(&plan(&text("9 Hz", "")), CHECK.name), []);
    }

    #[test]
    fn the_mend_slows_that_output() {
        let after = mended(&plan(&text("12Hz # strobe", BOARD)), CHECK.name).unwrap();
        assert!(after.contains("flash 2Hz # strobe\n"), "{after}");
        assert!(after.contains("output b 60 mA flash 1 Hz"), "{after}");
    }
}
