//! # `scene-twice`: two scenes with the same things on
//!
//! **Hint** on a scene in which exactly the same items have power as in an earlier one.
//!
//! ## Why it matters
//!
//! Two names for one state are mostly a slip: a light that was to be off in the second was forgotten, or is named in the wrong scene.
//! Whoever builds the control finds two buttons that do the same.
//!
//! ## The limit
//!
//! None. All items are compared, not lights alone: a model that is dark behind its switch is not one that is unplugged. Of outputs that take
//! turns the figures show one; which of them, and of their lights, are left on is compared as well. The scene `all-on`, which every plan
//! has, is not compared, and a plan without a light is not judged: scenes choose lights.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! lamp mast of pearl resistor 560 ohm from F1 over 150 mm of fine
//! lamp table of pearl resistor 560 ohm from F1 over 60 mm of fine
//! lamp shelf of pearl resistor 560 ohm from F1 over 80 mm of fine
//! scene sailing only mast
//! scene moored off table, shelf
//! #     ^^^^^^ scene-twice
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
//! lamp mast of pearl resistor 560 ohm from F1 over 150 mm of fine
//! lamp table of pearl resistor 560 ohm from F1 over 60 mm of fine
//! lamp shelf of pearl resistor 560 ohm from F1 over 80 mm of fine
//! scene sailing only mast
//! scene moored off mast
//! ```
//!
//! To take the later scene out is offered; to say what it should have been is for who wrote it.

use super::facts::Fact;
use super::page::page;
use super::scenes::behind;
use super::{Check, Context, Finding, Mend, remove};
use crate::circuit::{SceneFigures, Solution};
use crate::plan::{Choice, ItemId, Part, Plan, Point, Scene, Severity};

/// Two scenes with the same things on.
pub const CHECK: Check = Check {
    name: "scene-twice",
    severities: &[Severity::Hint],
    page: page!("scene_twice.rs"),
    check,
    mends: Some(take_out),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    if context.has_errors_of_reading() {
        return; // what makes the difference may be among what could not be read
    }
    if context.plan.lights().next().is_none() {
        return;
    }
    let alike = alike(context.plan, context.solution);
    let mut first: Vec<usize> = Vec::new();
    for nth in 0..alike.len() {
        let Some(class) = alike[nth] else { continue };
        let earlier = first.iter().copied().find(|&earlier| {
            let differ = || &context.elsewhere(Fact::Differ).differ;
            alike[earlier] == Some(class) && !differ().contains(&(earlier, nth))
        });
        let Some(earlier) = earlier else {
            first.push(nth);
            continue;
        };
        let (scene, earlier) = (&context.plan.scenes[nth], &context.plan.scenes[earlier]);
        let message = format!(
            "In `{}` the same things are on as in `{}`. Remove one, or change what is off.",
            scene.name.0, earlier.name.0
        );
        let span = context.name_span(scene.stanza);
        let mut finding =
            context.on_stanza(CHECK.name, Severity::Hint, scene.stanza, span, message);
        finding.related = vec![(
            earlier.stanza,
            context.name_span(earlier.stanza),
            format!("the same as `{}`", scene.name.0),
        )];
        out.push(finding);
    }
}

/// For each scene as written the first in which the same things are on; `None` where it has no figures.
pub fn alike(plan: &Plan, solution: &Solution) -> Vec<Option<usize>> {
    let turns = Turns::of(plan);
    // Few are different; that two are is seen at once.
    let mut known: Vec<(Vec<bool>, usize)> = Vec::new();
    let scenes = plan.scenes.iter().zip(&solution.scenes).enumerate();
    let class = |(nth, (scene, solved)): (usize, (&Scene, &SceneFigures))| {
        let figures = solved.outcome.as_ref().ok()?;
        let mut on: Vec<bool> = figures.items.iter().map(|f| f.reached).collect();
        on.extend(turns.left_on(scene, solved));
        let first = known.iter().find(|(known, _)| *known == on);
        let first = first.map(|(_, first)| *first);
        Some(first.unwrap_or_else(|| {
            known.push((on, nth));
            nth
        }))
    };
    scenes.map(class).collect()
}

/// The outputs of a plan that take turns, and what hangs on them.
struct Turns {
    outputs: Vec<Point>,
    behind: Vec<ItemId>,
}

impl Turns {
    fn of(plan: &Plan) -> Turns {
        let mut turns = Turns {
            outputs: Vec::new(),
            behind: Vec::new(),
        };
        for (i, item) in plan.items.iter().enumerate() {
            let Part::Board { module } = item.part else {
                continue;
            };
            let outputs = plan.modules[module.0].turns.iter();
            turns.outputs.extend(outputs.map(|&output| Point {
                item: ItemId(i),
                output: Some(output),
            }));
        }
        let behind = behind(plan, &turns.outputs);
        let all = (0..plan.items.len()).map(ItemId);
        turns.behind = all.filter(|item| behind[item.0]).collect();
        turns
    }

    /// Which of the outputs, and of what hangs on them, a scene leaves on for their turn.
    fn left_on(&self, scene: &Scene, solved: &SceneFigures) -> Vec<bool> {
        let off: &[Point] = match &scene.choice {
            Choice::Off(points) => points,
            Choice::All | Choice::Only(_) => &[],
        };
        let outputs = self.outputs.iter().map(|output| !off.contains(output));
        let items = self
            .behind
            .iter()
            .map(|i| solved.on.get(i.0) == Some(&true));
        outputs.chain(items).collect()
    }
}

fn take_out(context: &Context, finding: &Finding) -> Vec<Mend> {
    let edit = remove::stanza(context.plan, finding.stanza);
    let name = finding.item.as_ref().zip(edit);
    name.map(|(name, edit)| Mend {
        title: format!("remove the scene {}: one less to switch", name.0),
        edits: vec![edit],
        told: Vec::new(),
    })
    .into_iter()
    .collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const PLAN: &str = "led p drops 3 V at 20 mA\nmodule m works 7 V to 13 V\n  output a 100 mA\n  output c 100 mA\nsupply s 9 V 100 mA\nswitch k from s\njoint j from k\nlamp x of p resistor 560 ohm from j\nlamp y of p resistor 560 ohm from j\nboard b of m from s\nlamp u of p resistor 560 ohm from b.a\nlamp v of p resistor 560 ohm from b.c\n";

    fn finds(scenes: &str) -> Vec<String> {
        found(&plan(&format!("{PLAN}{scenes}\n")), CHECK.name)
            .into_iter()
            .map(|f| f.item.unwrap().0.to_string())
            .collect()
    }

    #[test]
    fn other_words_for_the_same_state() {
        assert_eq!(finds("scene a off x\nscene b only y, u, v"), ["b"]);
        assert_eq!(finds("scene a\nscene b"), ["b"]);
        assert_eq!(
            finds("scene a off b.a\nscene b off u\nscene c off u"),
            ["b", "c"]
        );
        assert_eq!(finds("scene a"), [""; 0]);
    }

    #[test]
    fn what_differs_in_one_item_is_another_state() {
        assert_eq!(finds("scene a off x\nscene b off y"), [""; 0]);
        assert_eq!(finds("scene a off k\nscene b off j"), [""; 0]);
        assert_eq!(finds("scene a off s\nscene b off k, b"), [""; 0]);
        assert_eq!(finds("scene a off b.a\nscene b off b.c"), [""; 0]);
    }

    #[test]
    fn outputs_that_take_turns_are_all_on() {
        let turning = |scenes: &str| {
            let text = PLAN.replace("output c 100 mA\n", "output c 100 mA\n  turns a, c\n");
            found(&plan(&format!("{text}{scenes}\n")), CHECK.name).len()
        };
        assert_eq!(turning("scene a\nscene b off b.c"), 0);
        assert_eq!(turning("scene a\nscene b off b.a"), 0);
        assert_eq!(turning("scene a only u, v\nscene b only u"), 0);
        assert_eq!(turning("scene a only u, v\nscene b off x, y"), 1);
    }

    #[test]
    fn a_plan_without_a_light_has_no_scenes_to_compare() {
        let text = "supply s 9 V 100 mA\nload x draws 5 mA from s\nload y draws 5 mA from s\nscene a only x\nscene b only y\n";
        assert_eq!(found(&plan(text), CHECK.name), []);
    }

    #[test]
    fn the_later_one_is_taken_out() {
        let text = format!("{PLAN}scene a off x\nscene b only y, u, v\nscene c off y\n");
        assert_eq!(
            mended(&plan(&text), CHECK.name).unwrap(),
            format!("{PLAN}scene a off x\nscene c off y\n")
        );
    }
}
