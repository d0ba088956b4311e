//! # `only-stays-dark`: named as on, and dark
//!
//! **Warning** when a scene's `only` names a light, or something that lights hang on, and it stays dark because a light that it has its power
//! through is off in that scene.
//!
//! ## Why it matters
//!
//! A chained light has its power through the one ahead. `only` switches that one off with all the rest, and the one light that was wanted
//! goes out too. On the bench it looks like a broken solder joint.
//!
//! ## The limit
//!
//! None: no current with all values as stated, and a light on its way back along `from` that the scene has off. A light that is dark for
//! another reason is not meant here: of outputs that take turns each lights its own when its turn comes, and too few volts are for `lamp-off-target`.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! lamp hall of pearl resistor 560 ohm from F1 over 150 mm of fine
//! #    ^^^^ single-path
//! lamp attic of pearl resistor 560 ohm from hall over 70 mm of fine
//! scene evening
//! scene small-hours only attic
//! #                      ^^^^^ only-stays-dark
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
//! joint hall-joint from F1 over 150 mm of fine
//! lamp hall of pearl resistor 560 ohm from hall-joint
//! lamp attic of pearl resistor 560 ohm from hall-joint over 70 mm of fine
//! scene evening
//! scene small-hours only attic
//! ```
//!
//! To branch the chain is offered, and to have the light ahead on as well.

use super::page::page;
use super::scenes::{behind, has_current, listed, solved};
use super::words::{list, quoted};
use super::{Check, Context, Finding, Mend};
use crate::circuit::{Figures, SceneFigures};
use crate::plan::{Choice, Edit, ItemId, Point, Scene, Severity};
use crate::rewrites::branch_chain;
use crate::text::Span;

/// Named as on, and dark.
pub const CHECK: Check = Check {
    name: "only-stays-dark",
    severities: &[Severity::Warning],
    page: page!("only_stays_dark.rs"),
    check,
    mends: Some(mends),
};

/// A name of an `only` that stays dark, and the lights on its way that are off, the nearest first.
struct Dark {
    point: Point,
    span: Span,
    off: Vec<ItemId>,
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    if context.has_errors_of_reading() {
        return;
    }
    for (scene, solved, figures) in solved(context) {
        for dark in dark(context, scene, solved, figures) {
            let name = quoted(&context.plan.point_name(dark.point));
            let stays = match context.plan.items[dark.point.item.0].is_light() {
                true => format!("{name} stays dark"),
                false => format!("all on {name} stays dark"),
            };
            let off = context.names(&dark.off);
            let (is, them) = match off.len() {
                1 => ("is", "it"),
                _ => ("are", "them"),
            };
            let off = list(&off);
            let message = format!(
                "In `{}` {stays}: it has its power through {off}, which {is} off there. Name {them} too, or branch {name}.",
                scene.name.0
            );
            let mut finding = context.on_stanza(
                CHECK.name,
                Severity::Warning,
                scene.stanza,
                dark.span,
                message,
            );
            let off = dark.off.iter();
            finding.related = off
                .map(|&light| context.related(light, format!("is off in `{}`", scene.name.0)))
                .collect();
            out.push(finding);
        }
    }
}

fn dark(context: &Context, scene: &Scene, solved: &SceneFigures, figures: &Figures) -> Vec<Dark> {
    let plan = context.plan;
    let Choice::Only(points) = &scene.choice else {
        return Vec::new();
    };
    let is_light = |item: ItemId| plan.items[item.0].is_light();
    let mut all = Vec::new();
    for (point, span) in listed(context, scene, "only", points) {
        let wanted: Vec<ItemId> = match is_light(point.item) {
            true => vec![point.item],
            false => {
                let behind = behind(plan, &[point]);
                plan.lights().filter(|l| behind[l.0]).collect()
            }
        };
        if wanted.is_empty() || wanted.iter().any(|&light| has_current(figures, light)) {
            continue;
        }
        let is_off = |item: &ItemId| is_light(*item) && solved.on.get(item.0) == Some(&false);
        let off: Vec<ItemId> = context.way_back(point.item).filter(is_off).collect();
        if !off.is_empty() {
            all.push(Dark { point, span, off });
        }
    }
    all
}

/// The chain is branched; the lights ahead are on too.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let of_scene = |scene: &Scene| scene.stanza == finding.stanza;
    let found = solved(context)
        .find(|(scene, ..)| of_scene(scene))
        .and_then(|(scene, solved, figures)| {
            let mut all = dark(context, scene, solved, figures).into_iter();
            all.find(|dark| dark.span == finding.span)
        });
    let (Some(found), Some(scene)) = (found, &finding.item) else {
        return Vec::new();
    };
    let mut mends = branch_chain(context.plan, context.solution, found.off[0]);
    let names: Vec<&str> = found.off.iter().map(|&light| context.name(light)).collect();
    let at = found.span.end;
    mends.push(Mend {
        title: format!(
            "have {} on too in {}: {} has its power through {}",
            list(&names),
            scene.0,
            context.plan.point_name(found.point),
            if names.len() == 1 { "it" } else { "them" }
        ),
        edits: vec![Edit {
            stanza: finding.stanza,
            span: Span::new(at, at),
            text: format!(", {}", names.join(", ")),
        }],
        told: Vec::new(),
    });
    mends
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    const PLAN: &str = "wire w gauge 32 AWG\nled p drops 3 V at 20 mA\nmodule m works 7 V to 13 V\n  output a 100 mA\n  output c 100 mA\n  turns a, c\nsupply s 9 V 1 A\nfuse F 400 mA from s\nlamp x of p resistor 560 ohm from F over 10 mm of w\nlamp y of p resistor 560 ohm from x over 10 mm of w\njoint j from y over 10 mm of w\nlamp z of p resistor 560 ohm from j over 10 mm of w\nlamp single of p resistor 560 ohm from F over 10 mm of w\nboard b of m from F\nlamp u of p resistor 560 ohm from b.a\nlamp v of p resistor 470 ohm from b.c\n";

    fn finds(rest: &str) -> Vec<String> {
        let analysis = plan(&format!("{PLAN}{rest}\n"));
        let found = found(&analysis, CHECK.name);
        let words = |f: &Finding| analysis.plan.stanza(f.stanza).words(f.span).to_owned();
        found.iter().map(words).collect()
    }

    #[test]
    fn what_hangs_on_a_light_that_is_off() {
        assert_eq!(finds("scene a only x"), [""; 0]);
        assert_eq!(finds("scene a only single, y"), ["y"]);
        assert_eq!(finds("scene a only x, y"), [""; 0]);
        assert_eq!(finds("scene a only x, z"), ["z"]);
        assert_eq!(finds("scene a off x"), [""; 0]);
    }

    #[test]
    fn a_joint_brings_its_lights_along() {
        assert_eq!(finds("scene a only j"), ["j"]);
        assert_eq!(finds("scene a only j, x, y"), [""; 0]);
        assert_eq!(finds("scene a only F"), [""; 0]);
    }

    #[test]
    fn a_link_may_feed_it_all_the_same() {
        assert_eq!(
            finds("link l between j and F over 50 mm of w\nscene a only z"),
            [""; 0]
        );
    }

    #[test]
    fn outputs_light_theirs_in_turn() {
        assert_eq!(finds("scene a only u, v"), [""; 0]);
    }

    #[test]
    fn the_chain_is_branched_or_all_of_it_is_on() {
        let text = format!("{PLAN}scene a only z\n");
        let analysis = plan(&text);
        let at = analysis.findings.iter().position(|f| f.check == CHECK.name);
        let at = at.unwrap();
        assert_eq!(
            analysis.findings[at].message,
            "In `a` `z` stays dark: it has its power through `y` and `x`, which are off there. Name them too, or branch `z`."
        );
        let mends = analysis.mends(at);
        assert!(mends.len() > 1);
        let last = analysis.with_edits(&mends.last().unwrap().edits);
        assert!(last.plan.files[0].text.ends_with("scene a only z, y, x\n"));
    }
}
