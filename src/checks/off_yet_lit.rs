//! # `off-yet-lit`: switched off, and lit all the same
//!
//! **Warning** when a scene switches off a switch, connector, joint, board or output, and a light behind it still has current there because
//! a link feeds it. **Hint** for a fuse, resistor, diode, rectifier or regulator.
//!
//! ## Why it matters
//!
//! A link is a second way round, and power takes it. A switch that a link goes past switches nothing: the room stays lit, and current flows
//! in wire that was never meant to be the only way.
//!
//! ## The limit
//!
//! Any current over 1 µA with all values as stated. Lights are not judged: one that is off is off, and what is chained behind it may well be lit. Nor are
//! supplies, nor lights that another supply then feeds: that is what a second supply is for. Where the plan `survives one break`, joints and what
//! else may break stay lit by intent, and only switches, boards and outputs are judged.
//!
//! ## Shown
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! switch lever from F1
//! joint east from lever over 100 mm of fine
//! joint west from east over 100 mm of fine
//! lamp porch of pearl resistor 560 ohm from east over 60 mm of fine
//! lamp stable of pearl resistor 560 ohm from west over 60 mm of fine
//! link ring between west and F1 over 180 mm of fine
//! scene evening
//! scene late off lever
//! #              ^^^^^ off-yet-lit
//! ```
//!
//! ## Mended
//!
//! The link begins behind the switch.
//!
//! ```harness
//! wire fine gauge 32 AWG insulation enamel colours red, green
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//!
//! supply adapter 12 V 1 A
//! fuse F1 400 mA from adapter
//! switch lever from F1
//! joint east from lever over 100 mm of fine
//! joint west from east over 100 mm of fine
//! lamp porch of pearl resistor 560 ohm from east over 60 mm of fine
//! lamp stable of pearl resistor 560 ohm from west over 60 mm of fine
//! link ring between west and lever over 180 mm of fine
//! scene evening
//! scene late off lever
//! ```
//!
//! To name the lights in the scene as well is offered too; each then needs a switch of its own.

use super::limits::over;
use super::page::page;
use super::scenes::{behind, has_current, listed, solved};
use super::words::{list, quoted};
use super::{Check, Context, Finding, Mend};
use crate::circuit::Figures;
use crate::numbers::{count, show};
use crate::plan::{Choice, Edit, ItemId, LinkId, Part, Plan, Point, Scene, Severity};
use crate::rewrites::hold_columns;
use crate::text::Span;
use crate::units::amps;

/// Switched off, and lit all the same.
pub const CHECK: Check = Check {
    name: "off-yet-lit",
    severities: &[Severity::Warning, Severity::Hint],
    page: page!("off_yet_lit.rs"),
    check,
    mends: Some(mends),
};

/// What is off, what hangs on it and is lit all the same, and the links that feed that.
struct YetLit {
    off: Point,
    span: Span,
    lights: Vec<ItemId>,
    links: Vec<Feeding>,
}

/// A link that brings power to what is off, and its end that is not behind that.
struct Feeding {
    link: LinkId,
    outer: Point,
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    if plan.links.is_empty() || context.has_errors_of_reading() {
        return;
    }
    for (scene, _, figures) in solved(context) {
        for found in yet_lit(context, scene, figures) {
            let off = quoted(&plan.point_name(found.off));
            let lit = match found.lights[..] {
                [light] => format!(
                    "{} still has {}",
                    context.quoted(light),
                    show(figures.items[light.0].amps.typical)
                ),
                _ => format!("{} behind it are lit", count(found.lights.len(), "light")),
            };
            let names: Vec<String> = (found.links.iter())
                .map(|l| quoted(&plan.links[l.link.0].name.0))
                .collect();
            let (links, feed) = match names.len() {
                1 => ("link", "feeds"),
                _ => ("links", "feed"),
            };
            let message = format!(
                "In `{}` {off} is off, yet {lit}: the {links} {} {feed} past it. Let the {links} begin behind {off}, or name the lights too.",
                scene.name.0,
                list(&names)
            );
            let severity = severity(plan, found.off).unwrap_or(Severity::Hint);
            let mut finding =
                context.on_stanza(CHECK.name, severity, scene.stanza, found.span, message);
            finding.related = related(context, &found);
            out.push(finding);
        }
    }
}

/// How many of the lights are pointed at.
const SHOWN: usize = 5;

fn related(context: &Context, found: &YetLit) -> Vec<(crate::plan::StanzaId, Span, String)> {
    let links = found.links.iter().map(|l| {
        let stanza = context.plan.links[l.link.0].stanza;
        (
            stanza,
            context.name_span(stanza),
            "feeds past it".to_owned(),
        )
    });
    let lights = found.lights.iter().take(SHOWN);
    links
        .chain(lights.map(|&light| context.related(light, "is lit all the same")))
        .collect()
}

/// How bad it is where this is off and something behind it is lit; `None`: not judged.
fn severity(plan: &Plan, off: Point) -> Option<Severity> {
    let may_break = match plan.items[off.item.0].part {
        Part::Switch { .. } | Part::Board { .. } => return Some(Severity::Warning),
        Part::Connector { .. } | Part::Joint => Severity::Warning,
        Part::Fuse { .. }
        | Part::Resistor { .. }
        | Part::Diode { .. }
        | Part::Rectifier { .. }
        | Part::Regulator { .. } => Severity::Hint,
        Part::Supply(_) | Part::Strip { .. } | Part::Lamps { .. } | Part::Load(_) => return None,
    };
    (!plan.settings.survives_one_break).then_some(may_break)
}

/// What a scene switches off in vain.
fn yet_lit(context: &Context, scene: &Scene, figures: &Figures) -> Vec<YetLit> {
    let plan = context.plan;
    let Choice::Off(points) = &scene.choice else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for (off, span) in listed(context, scene, "off", points) {
        if severity(plan, off).is_none() {
            continue;
        }
        let behind = behind(plan, &[off]);
        let lights: Vec<ItemId> = (plan.lights())
            .filter(|&light| behind[light.0] && has_current(figures, light))
            .collect();
        if lights.is_empty() {
            continue;
        }
        let links = feeding(context, off, &behind, figures);
        if !links.is_empty() {
            all.push(YetLit {
                off,
                span,
                lights,
                links,
            });
        }
    }
    all
}

/// The links with current between what is behind a point and what is not, as far as the same supply feeds both.
fn feeding(context: &Context, off: Point, behind: &[bool], figures: &Figures) -> Vec<Feeding> {
    let plan = context.plan;
    let is_behind = |p: Point| {
        behind[p.item.0] || p.item == off.item && (off.output.is_none() || off.output == p.output)
    };
    let source = |item: ItemId| context.way_back(item).last();
    let mut links = Vec::new();
    for (k, link) in plan.links.iter().enumerate() {
        let outer = match (is_behind(link.ends.0), is_behind(link.ends.1)) {
            (true, false) => link.ends.1,
            (false, true) => link.ends.0,
            _ => continue,
        };
        let flows = figures.links.get(k).map(|(plus, _)| plus.typical.abs());
        let has_current = flows.is_some_and(|i| over(i, amps(0.0)));
        if has_current && source(outer.item) == source(off.item) {
            links.push(Feeding {
                link: LinkId(k),
                outer,
            });
        }
    }
    links
}

/// The link begins behind what is off; the lights are off by name.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let of_scene = |scene: &&Scene| scene.stanza == finding.stanza;
    let found = solved(context)
        .find(|(scene, ..)| of_scene(scene))
        .and_then(|(scene, _, figures)| {
            let mut all = yet_lit(context, scene, figures).into_iter();
            all.find(|found| found.span == finding.span)
        });
    let Some(found) = found else {
        return Vec::new();
    };
    let by_name = Some(name_lights(context, finding, &found));
    let all = [begin_behind(context, &found), by_name];
    all.into_iter().flatten().collect()
}

fn begin_behind(context: &Context, found: &YetLit) -> Option<Mend> {
    let plan = context.plan;
    let [feeding] = &found.links[..] else {
        return None;
    };
    let link = &plan.links[feeding.link.0];
    let stanza = plan.stanza(link.stanza);
    let (old, new) = (plan.point_name(feeding.outer), plan.point_name(found.off));
    // In a pattern the words are others.
    let mut ends = stanza.clause("between")?.names();
    let (_, span) = ends.find(|(name, _)| *name.0 == *old)?;
    let edit = Edit {
        stanza: link.stanza,
        span,
        text: new.clone(),
    };
    Some(Mend {
        title: format!(
            "let the link {} begin at {new}, not at {old}: {} off with it",
            link.name.0,
            count(found.lights.len(), "light")
        ),
        edits: hold_columns(plan, link.stanza, vec![edit]),
        told: Vec::new(),
    })
}

fn name_lights(context: &Context, finding: &Finding, found: &YetLit) -> Mend {
    let names: Vec<&str> = found.lights.iter().map(|&l| context.name(l)).collect();
    let at = found.span.end;
    Mend {
        title: format!(
            "name {} in {} too: off by {} own",
            list(&names),
            finding.item.as_ref().map_or("the scene", |name| &*name.0),
            if names.len() == 1 { "its" } else { "their" }
        ),
        edits: vec![Edit {
            stanza: finding.stanza,
            span: Span::new(at, at),
            text: format!(", {}", names.join(", ")),
        }],
        told: Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const PLAN: &str = "wire w gauge 32 AWG\nled p drops 3 V at 20 mA\nmodule m works 7 V to 13 V\n  output a 100 mA\n  output c 100 mA\n  output d 100 mA sinks\nsupply s 9 V 1 A\nfuse F 400 mA from s\nswitch k from F\njoint j from k over 100 mm of w\nlamp x of p resistor 560 ohm from j over 10 mm of w\nlamp y of p resistor 560 ohm from x over 10 mm of w\nboard b of m from F\nlamp u of p resistor 560 ohm from b.a\nlamp v of p resistor 560 ohm from b.c\nlamp o of p resistor 560 ohm from F return to b.d\n";

    fn finds(rest: &str) -> Vec<(Severity, String)> {
        let analysis = plan(&format!("{PLAN}{rest}\n"));
        let words = |f: &Finding| analysis.plan.stanza(f.stanza).words(f.span).to_owned();
        let found = found(&analysis, CHECK.name);
        found.iter().map(|f| (f.severity, words(f))).collect()
    }

    fn warns(name: &str) -> Vec<(Severity, String)> {
        vec![(Severity::Warning, name.to_owned())]
    }

    const PAST: &str = "link l between j and F over 90 mm of w\n";

    #[test]
    fn a_link_past_the_switch() {
        assert_eq!(finds(&format!("{PAST}scene a off k")), warns("k"));
        assert_eq!(finds(&format!("{PAST}scene a off u, k")), warns("k"));
        assert_eq!(finds("scene a off k"), []);
        // It begins behind the switch.
        let behind = "link l between y and k over 90 mm of w\n";
        assert_eq!(finds(&format!("{behind}scene a off k")), []);
        assert_eq!(finds(&format!("{behind}scene a off j")), warns("j"));
    }

    #[test]
    fn lights_that_are_off_by_name_are_dark() {
        assert_eq!(finds(&format!("{PAST}scene a off k, x")), []);
        let at_both = "link l between y and F over 90 mm of w\n";
        assert_eq!(finds(&format!("{at_both}scene a off k, x, y")), []);
        // A light takes nothing along.
        assert_eq!(finds(&format!("{at_both}scene a off x")), []);
        assert_eq!(finds(&format!("{at_both}scene a off k, x")), warns("k"));
    }

    #[test]
    fn outputs_are_switches() {
        let between = "link l between u and v over 90 mm of w\n";
        assert_eq!(finds(&format!("{between}scene a off b.a")), warns("b.a"));
        assert_eq!(finds(&format!("{between}scene a off b")), []);
        assert_eq!(finds("scene a off b.d"), []);
    }

    #[test]
    fn a_fuse_is_a_hint_and_a_supply_nothing() {
        let fused = "fuse G 200 mA from F\nlamp z of p resistor 560 ohm from G\nlink l between z and F over 90 mm of w\n";
        let hint = vec![(Severity::Hint, "G".to_owned())];
        assert_eq!(finds(&format!("{fused}scene a off G")), hint);
        assert_eq!(finds(&format!("{fused}scene a off s")), []);
    }

    #[test]
    fn what_is_to_survive_a_break_stays_lit_by_intent() {
        let ring = format!("harness \"t\" survives one break\n{PAST}");
        assert_eq!(finds(&format!("{ring}scene a off k")), warns("k"));
        let other = "harness \"t\" survives one break\nlink l between x and k over 90 mm of w\n";
        assert_eq!(finds(&format!("{other}scene a off j")), []);
    }

    #[test]
    fn a_second_supply_may_take_over() {
        let second = "supply s2 9 V 1 A\nfuse F2 400 mA from s2\ndiode d2 from F2\ndiode d1 from F\njoint h from d1\nlamp z of p resistor 560 ohm from h\nlink l between h and d2 over 90 mm of w\n";
        let text = format!("{PLAN}{second}scene a off d1\n");
        let analysis = plan(&text);
        assert_eq!(found(&analysis, CHECK.name), []);
        // And yet it is lit.
        let figures = analysis.solution.scenes[0].outcome.as_ref().unwrap();
        assert!(has_current(figures, analysis.plan.item("z").unwrap()));
    }

    #[test]
    fn the_link_begins_behind_it_or_the_lights_are_named() {
        let text = format!("{PLAN}{PAST}scene a off k\n");
        let analysis = plan(&text);
        assert_eq!(
            mended(&analysis, CHECK.name).unwrap(),
            format!("{PLAN}link l between j and k over 90 mm of w\nscene a off k\n")
        );
        let at = analysis.findings.iter().position(|f| f.check == CHECK.name);
        let mends = analysis.mends(at.unwrap());
        let after = analysis.with_edits(&mends[1].edits);
        assert!(after.plan.files[0].text.ends_with("scene a off k, x, y\n"));
    }
}
