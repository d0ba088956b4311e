//! # `scene-dark`: a scene that darkens everything
//!
//! **Hint** when a scene's `off` leaves no light, load or board with current, though what it names is a joint, an output or a few lights.
//!
//! ## Why it matters
//!
//! A joint takes along everything that hangs on it. Named in `off` for the sake of one room, the first joint behind the fuse puts out the
//! whole model: on the evening of the show, not on paper.
//!
//! ## The limit
//!
//! None. A scene that is dark on purpose says so by naming what a hand switches or pulls: a supply, a switch, a connector, a fuse, a
//! regulator, a board; or by naming every light. Then nothing is said. A scene with `only` is for `only-stays-dark`.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! joint deck from F1 over 60 mm of fine
//! joint cabin from deck over 80 mm of fine
//! lamp mast of pearl resistor 560 ohm from deck over 150 mm of fine
//! lamp table of pearl resistor 560 ohm from cabin over 40 mm of fine
//! lamp shelf of pearl resistor 560 ohm from cabin over 60 mm of fine
//! scene sailing
//! scene night-watch off deck
//! #                 ^^^^^^^^ scene-dark
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
//! joint deck from F1 over 60 mm of fine
//! joint cabin from deck over 80 mm of fine
//! lamp mast of pearl resistor 560 ohm from deck over 150 mm of fine
//! lamp table of pearl resistor 560 ohm from cabin over 40 mm of fine
//! lamp shelf of pearl resistor 560 ohm from cabin over 60 mm of fine
//! scene sailing
//! scene night-watch off cabin
//! ```

use super::facts::Fact;
use super::page::page;
use super::scenes::{has_current, solved};
use super::words::{list, quoted};
use super::{Check, Context, Finding};
use crate::circuit::Figures;
use crate::plan::{Choice, ItemId, Part, Plan, Point, Severity};

/// A scene that darkens everything.
pub const CHECK: Check = Check {
    name: "scene-dark",
    severities: &[Severity::Hint],
    page: page!("scene_dark.rs"),
    check,
    mends: None,
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    if context.has_errors_of_reading() {
        return; // what is still lit may be among what could not be read
    }
    let all_on = context.solution.scenes.last().map(|s| &s.outcome);
    let Some(Ok(all_on)) = all_on else { return };
    if !plan.lights().any(|light| has_current(all_on, light)) {
        return; // that is no matter of scenes
    }
    for (scene, _, figures) in solved(context) {
        let Choice::Off(points) = &scene.choice else {
            continue;
        };
        if is_lit(plan, figures) || is_meant(context, points) {
            continue;
        }
        let nth = plan.scenes.iter().position(|s| s.stanza == scene.stanza);
        let elsewhere = &context.elsewhere(Fact::Lit).lit;
        if nth.and_then(|n| elsewhere.get(n)) == Some(&true) {
            continue;
        }
        // Lights take along what is chained behind them, where nothing else is named.
        let is_light = |p: &Point| plan.items[p.item.0].is_light();
        let only_lights = points.iter().all(is_light);
        let takes_along: Vec<String> = (points.iter())
            .filter(|p| only_lights || !is_light(p))
            .map(|p| quoted(&plan.point_name(*p)))
            .collect();
        let take = match takes_along.len() {
            1 => "takes",
            _ => "take",
        };
        let message = format!(
            "Nothing is lit in `{}`: {} {take} along all that hangs there. Name the lights that are to be off, or the supply where dark is meant.",
            scene.name.0,
            list(&takes_along)
        );
        let span = context.clause_span(scene.stanza, "off");
        out.push(context.on_stanza(CHECK.name, Severity::Hint, scene.stanza, span, message));
    }
}

/// Whether anything of a plan has current.
pub fn is_lit(plan: &Plan, figures: &Figures) -> bool {
    let mut all = (0..plan.items.len()).map(ItemId);
    all.any(|item| has_current(figures, item))
}

/// Whether dark is meant: something is named that a hand switches or pulls, or every light is named.
fn is_meant(context: &Context, points: &[Point]) -> bool {
    let plan = context.plan;
    let by_hand = |p: &Point| {
        p.output.is_none()
            && matches!(
                plan.items[p.item.0].part,
                Part::Supply(_)
                    | Part::Switch { .. }
                    | Part::Connector { .. }
                    | Part::Fuse { .. }
                    | Part::Regulator { .. }
                    | Part::Board { .. }
            )
    };
    let named = |light: ItemId| points.iter().any(|p| p.item == light);
    points.iter().any(by_hand)
        || plan.lights().all(named) && !context.elsewhere(Fact::Lights).lights
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    const PLAN: &str = "led p drops 3 V at 20 mA\nmodule m works 7 V to 13 V\n  output a 100 mA\nsupply s 9 V 100 mA\nswitch k from s\nboard b of m from k\njoint j from b.a\nlamp x of p resistor 560 ohm from j\nlamp y of p resistor 560 ohm from j\n";

    fn finds(scene: &str) -> usize {
        found(&plan(&format!("{PLAN}{scene}\n")), CHECK.name).len()
    }

    #[test]
    fn a_joint_or_an_output_that_takes_all_along() {
        assert_eq!(finds("scene a off j"), 1);
        assert_eq!(finds("scene a off b.a"), 1);
        assert_eq!(finds("scene a off x, j"), 1);
        assert_eq!(finds("scene a off x"), 0);
    }

    #[test]
    fn a_light_takes_its_chain_along() {
        let text = PLAN.replace(
            "lamp y of p resistor 560 ohm from j",
            "lamp y of p resistor 560 ohm from x",
        );
        let findings = found(&plan(&format!("{text}scene a off x\n")), CHECK.name);
        assert_eq!(
            findings[0].message,
            "Nothing is lit in `a`: `x` takes along all that hangs there. Name the lights that are to be off, or the supply where dark is meant."
        );
    }

    #[test]
    fn dark_on_purpose_is_no_matter() {
        for meant in ["s", "k", "b", "x, y", "j, s"] {
            assert_eq!(finds(&format!("scene a off {meant}")), 0, "{meant}");
        }
    }

    #[test]
    fn what_still_runs_is_what_the_scene_is_for() {
        assert_eq!(finds("load motor draws 5 mA from k\nscene a off j"), 0);
        assert_eq!(finds("load motor draws 5 mA from j\nscene a off j"), 1);
    }

    #[test]
    fn a_plan_that_never_lights_is_for_other_checks() {
        let text = "led p drops 3 V at 20 mA\nsupply s 1 V 100 mA\njoint j from s\nlamp x of p resistor 560 ohm from j\nscene a off j\n";
        assert_eq!(found(&plan(text), CHECK.name), []);
    }
}
