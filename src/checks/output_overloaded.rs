//! # `output-overloaded`: more current than a board's output gives
//!
//! **Error** when an output gives (or sinks) more than its module states with all values as stated; **warning** when it does so only
//! at a corner.
//!
//! ## Why it matters
//!
//! The transistor behind an output of a small board has no heat sink and no fuse. It fails open, and the effect is gone, or closed, and
//! the light never goes out again.
//!
//! ## The limit
//!
//! The current that the stock states for the output. It is compared in every scene and with everything on at once; of outputs that take `turns`, the one
//! that draws most is on then.
//!
//! ## Shown
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! module blink works 5 V to 15 V draws 3 mA output a 20 mA
//!
//! supply adapter 12 V 1 A
//! fuse F1 100 mA from adapter
//! board winker of blink from F1
//! #     ^^^^^^ output-overloaded
//! lamp mast of pearl resistor 560 ohm 1/2 W from winker.a
//! lamp flag of pearl resistor 560 ohm 1/2 W from winker.a
//! ```
//!
//! ## Mended
//!
//! ```harness
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! module blink works 5 V to 15 V draws 3 mA output a 20 mA output b 20 mA
//!
//! supply adapter 12 V 1 A
//! fuse F1 100 mA from adapter
//! board winker of blink from F1
//! lamp mast of pearl resistor 560 ohm 1/2 W from winker.a
//! lamp flag of pearl resistor 560 ohm 1/2 W from winker.b
//! ```

use super::limits::{over, rule};
use super::page::page;
use super::runs::size;
use super::supplies::judged;
use super::words::{AT_WORST, in_scene, quoted};
use super::{Check, Context, Finding};
use crate::numbers::{show, show_and_limit};
use crate::plan::{ItemId, Part, Point, Severity};
use crate::syntax::tree::Name;

/// More current than a board's output gives.
pub const CHECK: Check = Check {
    name: "output-overloaded",
    severities: &[Severity::Error, Severity::Warning],
    page: page!("output_overloaded.rs"),
    check,
    mends: None,
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    let judged = judged(context);
    for (i, item) in plan.items.iter().enumerate().filter(|(i, _)| judged[*i]) {
        let Part::Board { module } = item.part else {
            continue;
        };
        for (o, output) in plan.modules[module.0].outputs.iter().enumerate() {
            let given = context.greatest(|f| Some(size(f.items.get(i)?.outputs.get(o)?.amps)));
            let Some(given) = given else { continue };
            let limit = output.limit;
            let typical = over(given.typical, limit);
            let Some(severity) = rule(typical, over(given.corner, limit)) else {
                continue;
            };
            let point = Point {
                item: ItemId(i),
                output: Some(o),
            };
            let name = quoted(&plan.point_name(point));
            let does = if output.sinks { "sink" } else { "give" };
            let (message, scene) = if typical {
                let (gives, limit) = show_and_limit(given.typical, limit);
                let scene = &given.typical_scene;
                let message = format!(
                    "{name} would have to {does} {gives} {}, but it may {does} {limit}. Move part of this to another output, or switch it by a relay or transistor.",
                    in_scene(scene)
                );
                (message, scene)
            } else {
                let (gives, limit) = show_and_limit(given.corner, limit);
                let scene = &given.corner_scene;
                let message = format!(
                    "{name} may have to {does} {gives} {} {AT_WORST}, and it may {does} {limit}. Move part of this to another output.",
                    in_scene(scene)
                );
                (message, scene)
            };
            let span = context.name_span(item.stanza);
            let mut finding = context.on_item(CHECK.name, severity, ItemId(i), span, message);
            finding.related = takers(context, point, scene);
            out.push(finding);
        }
    }
}

/// What hangs on an output by its own legs, and what each takes in a scene.
fn takers(
    context: &Context,
    output: Point,
    scene: &Name,
) -> Vec<(crate::plan::StanzaId, crate::text::Span, String)> {
    let scene = context.solution.states().find(|s| s.name == *scene);
    let Some(figures) = scene.and_then(|s| s.outcome.as_ref().ok()) else {
        return Vec::new();
    };
    (0..context.plan.items.len())
        .map(ItemId)
        .filter_map(|item| {
            let feed = context.plan.items[item.0].feed.as_ref()?;
            let figures = figures.items.get(item.0)?;
            let takes = match output {
                _ if feed.from == output => figures.passes.typical,
                _ if feed.minus() == output => figures.returns.typical,
                _ => return None,
            };
            Some(context.related(item, format!("takes {}", show(takes.abs()))))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, plan};
    use super::*;

    fn finds(output: &str, loads: &str) -> Vec<Finding> {
        let text = format!(
            "module m works 4 V to 15 V draws 3 mA {output}\nsupply s 12 V 1 A\nfuse F 500 mA from s\nboard x of m from F\n{loads}"
        );
        found(&plan(&text), CHECK.name)
    }

    #[test]
    fn its_current_is_not_passed() {
        for output in ["output a 50 mA", "output a 5 V 50 mA"] {
            let at = |load: &str| {
                let load = format!("load l {load} from x.a\n");
                finds(output, &load).first().map(|f| f.severity)
            };
            assert_eq!(at("draws 50 mA"), None);
            assert_eq!(at("draws 50.0009 mA"), None);
            assert_eq!(at("draws 50.0011 mA"), Some(Severity::Error));
        }
        // 245 ohm at 12 V: 49 mA, and 51.4 mA where the supply is high; at a regulated 5 V, 20 mA.
        let load = "load l resistance 245 ohm from x.a\n";
        assert_eq!(finds("output a 50 mA", load)[0].severity, Severity::Warning);
        assert_eq!(finds("output a 5 V 50 mA", load), []);
    }

    #[test]
    fn a_sinking_output_counts_what_comes_back() {
        let loads =
            "load l draws 60 mA from F return to x.a\nload k draws 10 mA from F return to x.a\n";
        let findings = finds("output a 50 mA sinks", loads);
        assert!(
            findings[0].message.starts_with(
                "`x.a` would have to sink 70 mA with everything on, but it may sink 50 mA."
            ),
            "{}",
            findings[0].message
        );
        assert_eq!(findings[0].related.len(), 2);
    }

    #[test]
    fn each_output_speaks_for_itself() {
        let loads = "load l draws 60 mA from x.a\nload k draws 30 mA from x.b\nload j draws 60 mA from x.c\n";
        let outputs = "output a 50 mA output b 50 mA output c 50 mA";
        let names: Vec<String> = finds(outputs, loads)
            .iter()
            .map(|f| f.message.chars().skip(1).take(3).collect())
            .collect();
        assert_eq!(names, ["x.a", "x.c"]);
    }
}
