//! # `bare-wire`: bare copper where it touches
//!
//! **Warning** on a run of wire with `insulation none` that goes through a passage beside other bare wire, or begins or ends in a zone of metal.
//!
//! ## Why it matters
//!
//! In a hole wires touch. Two bare ones of different poles are a short there, on the first day or on the day when the model is carried; and metal
//! that one of them touches is live from then on. Bare copper is for rails that are held apart along their whole length.
//!
//! ## The limit
//!
//! None. A run has two legs, and its own second leg is other wire too. Two minus legs may touch, and so may a minus leg and
//! the metal, which is then the common return; a bare wire beside an insulated one is not judged, nor is wire that does not say its insulation.
//!
//! ## Shown
//!
//! ```harness
//! wire bus diameter 0.5 mm insulation none
//! wire fine gauge 24 AWG insulation pvc outer 1.2 mm colours red, black
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone hull
//! zone saloon
//! passage stair between hull and saloon bore 3 mm
//!
//! supply adapter 12 V 1 A in hull
//! fuse F1 400 mA from adapter
//! joint desk from F1 over 60 mm of fine
//! lamp table of pearl resistor 560 ohm from desk over 150 mm of bus via stair in saloon
//! #                                                             ^^^ bare-wire
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire fine gauge 24 AWG insulation pvc outer 1.2 mm colours red, black
//! led pearl drops 3.0 V at 20 mA limit 25 mA colour white
//! zone hull
//! zone saloon
//! passage stair between hull and saloon bore 3 mm
//!
//! supply adapter 12 V 1 A in hull
//! fuse F1 400 mA from adapter
//! joint desk from F1 over 60 mm of fine
//! lamp table of pearl resistor 560 ohm from desk over 150 mm of fine via stair in saloon
//! ```
//!
//! The thinnest insulated wire of the plan's stock that may carry the current is offered.

use std::collections::BTreeSet;

use super::page::page;
use super::runs::{on_run, run_of, size};
use super::words::quoted;
use super::{Check, Context, Finding, Mend};
use crate::circuit::Figures;
use crate::circuit::fused_runs::RunOf;
use crate::plan::{ItemId, LinkId, PassageId, Plan, Run, Severity, ZoneId};
use crate::rewrites::route::Leg;
use crate::rewrites::thicker_wire::{insulated_wire_that_carries, over_clause};
use crate::text::Span;
use crate::units::amps;

/// Bare copper where it touches.
pub const CHECK: Check = Check {
    name: "bare-wire",
    severities: &[Severity::Warning],
    page: page!("bare_wire.rs"),
    check,
    mends: Some(mends),
};

/// A leg of bare wire, and the zones in which it begins and ends.
struct BareLeg<'a> {
    of: RunOf,
    leg: Leg,
    run: &'a Run,
    zones: [Option<ZoneId>; 2],
}

fn bare_legs(plan: &Plan) -> Vec<BareLeg<'_>> {
    let zone = |item: ItemId| plan.items[item.0].zone;
    let mut legs = Vec::new();
    for (i, item) in plan.items.iter().enumerate() {
        let Some(feed) = &item.feed else { continue };
        let ends = [
            (Leg::Plus, &feed.run, feed.from),
            (Leg::Minus, &feed.back_run, feed.minus()),
        ];
        for (leg, run, point) in ends {
            legs.extend(run.as_ref().map(|run| BareLeg {
                of: RunOf::Item(ItemId(i)),
                leg,
                run,
                zones: [zone(point.item), item.zone],
            }));
        }
    }
    for (k, link) in plan.links.iter().enumerate() {
        let of = RunOf::Link(LinkId(k));
        let zones = [zone(link.ends.0.item), zone(link.ends.1.item)];
        let run = link.run.iter();
        legs.extend(run.flat_map(|run| {
            [Leg::Plus, Leg::Minus].map(|leg| BareLeg {
                of,
                leg,
                run,
                zones,
            })
        }));
    }
    legs.retain(|l| plan.wires[l.run.wire.0].insulation == Some("none"));
    legs
}

/// Where a bare leg touches what it must not.
enum Touches {
    /// Other bare wire, in this passage.
    In(PassageId),
    /// The metal of this zone.
    Metal(ZoneId),
}

/// How many bare legs of each pole go through each passage, a leg that goes through it twice counted once.
fn crowd(plan: &Plan, legs: &[BareLeg]) -> Vec<(usize, usize)> {
    let mut crowd = vec![(0, 0); plan.passages.len()];
    for leg in legs {
        let passages: BTreeSet<PassageId> = leg.run.via.iter().copied().collect();
        for passage in passages {
            let (plus, minus) = &mut crowd[passage.0];
            match leg.leg {
                Leg::Plus => *plus += 1,
                Leg::Minus => *minus += 1,
            }
        }
    }
    crowd
}

fn touches(plan: &Plan, leg: &BareLeg, crowd: &[(usize, usize)]) -> Option<Touches> {
    let is_beside = |passage: &PassageId| {
        let (plus, minus) = crowd[passage.0];
        match leg.leg {
            Leg::Plus => plus + minus > 1,
            Leg::Minus => plus > 0,
        }
    };
    if let Some(&passage) = leg.run.via.iter().find(|p| is_beside(p)) {
        return Some(Touches::In(passage));
    }
    let is_metal = |zone: &ZoneId| plan.zones[zone.0].material == Some("metal");
    let metal = leg.zones.into_iter().flatten().find(is_metal);
    metal.filter(|_| leg.leg == Leg::Plus).map(Touches::Metal)
}

fn check(context: &Context, out: &mut Vec<Finding>) {
    let plan = context.plan;
    let legs = bare_legs(plan);
    if legs.is_empty() {
        return;
    }
    let crowd = crowd(plan, &legs);
    let mut said: Option<RunOf> = None;
    for leg in &legs {
        if said == Some(leg.of) {
            continue; // the plus leg of the same run has said it
        }
        let Some(touches) = touches(plan, leg, &crowd) else {
            continue;
        };
        said = Some(leg.of);
        let wire = quoted(&plan.wires[leg.run.wire.0].name.0);
        let name = quoted(leg.of.name(plan));
        let message = match touches {
            Touches::In(passage) => format!(
                "The wire to {name} is bare, and goes through `{}` beside other bare wire: where they touch is a short. Take insulated wire instead of {wire}.",
                plan.passages[passage.0].name.0
            ),
            Touches::Metal(zone) => format!(
                "The wire to {name} is bare, and `{}` is of metal: what its plus touches there is live. Take insulated wire instead of {wire}.",
                plan.zones[zone.0].name.0
            ),
        };
        let span = wire_span(context, leg);
        out.push(on_run(
            context,
            CHECK.name,
            Severity::Warning,
            leg.of,
            span,
            message,
        ));
    }
}

/// Where the run names its wire.
fn wire_span(context: &Context, leg: &BareLeg) -> Span {
    let over = over_clause(context.plan, leg.of, leg.leg);
    let wire = over.and_then(|over| over.names().next());
    let stanza = leg.of.stanza(context.plan);
    wire.map_or_else(|| context.name_span(stanza), |(_, span)| span)
}

/// Insulated wire for the bare legs of the run.
fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let plan = context.plan;
    let Some(of) = run_of(context, finding) else {
        return Vec::new();
    };
    let legs: Vec<(RunOf, Leg)> = bare_legs(plan)
        .into_iter()
        .filter(|leg| leg.of == of)
        .map(|leg| (leg.of, leg.leg))
        .collect();
    let most = |leg: Leg| {
        let flow = |f: &Figures| match (of, leg) {
            (RunOf::Item(i), Leg::Plus) => Some(f.items.get(i.0)?.passes),
            (RunOf::Item(i), Leg::Minus) => Some(f.items.get(i.0)?.returns),
            (RunOf::Link(l), Leg::Plus) => Some(f.links.get(l.0)?.0),
            (RunOf::Link(l), Leg::Minus) => Some(f.links.get(l.0)?.1),
        };
        context.greatest(|f| Some(size(flow(f)?))).map(|w| w.corner)
    };
    let current = (legs.iter())
        .filter_map(|&(_, leg)| most(leg))
        .fold(amps(0.0), |a, b| if b > a { b } else { a });
    insulated_wire_that_carries(plan, &legs, current)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const PLAN: &str = "wire bus diameter 0.5 mm insulation none\nwire hair diameter 0.1 mm insulation enamel carries 5 mA\nwire fine diameter 0.2 mm insulation enamel carries 300 mA\nwire thick diameter 0.6 mm insulation pvc outer 1 mm\nled p drops 3 V at 20 mA\nzone a\nzone b\nzone tin material metal\npassage q between a and b bore 5 mm\npassage r between a and b bore 5 mm\nsupply s 9 V 1 A in a\nfuse F 200 mA from s\njoint g from F over 1 m of thick via q in b\n";

    fn finds(wiring: &str) -> Vec<String> {
        let analysis = plan(&format!("{PLAN}{wiring}\n"));
        let found = found(&analysis, CHECK.name);
        let words = |f: &Finding| analysis.plan.stanza(f.stanza).words(f.span).to_owned();
        let item = |f: &Finding| f.item.as_ref().unwrap().0.to_string();
        found
            .iter()
            .map(|f| format!("{} {}", item(f), words(f)))
            .collect()
    }

    #[test]
    fn its_own_second_leg_is_other_wire() {
        let lamp = "lamp l of p resistor 560 ohm from F over 1 m of";
        assert_eq!(finds(&format!("{lamp} bus via r in b")), ["l bus"]);
        assert_eq!(finds(&format!("{lamp} fine via r in b")), [""; 0]);
        assert_eq!(finds(&format!("{lamp} bus")), [""; 0]);
        let link = "joint h from F over 1 m of thick via r in b\nlink k between h and F over 1 m of bus via r";
        assert_eq!(finds(link), ["k bus"]);
    }

    #[test]
    fn a_single_bare_leg_touches_only_other_bare_ones() {
        let lamp = |name: &str, way: &str| {
            format!(
                "lamp {name} of p resistor 560 ohm from F over 1 m of bus via {way} return to g over 10 mm of fine in b\n"
            )
        };
        // Beside the insulated pair to `g`.
        assert_eq!(finds(&lamp("l", "q")), [""; 0]);
        let both = |a: &str, b: &str| finds(&(lamp("l", a) + &lamp("m", b)));
        assert_eq!(both("q", "q"), ["l bus", "m bus"]);
        assert_eq!(both("q", "r"), [""; 0]);
    }

    #[test]
    fn minus_may_touch_minus() {
        let lamp = |name: &str| {
            format!(
                "lamp {name} of p resistor 560 ohm from g over 1 m of fine return to F over 1 m of bus via q in b\n"
            )
        };
        assert_eq!(finds(&(lamp("l") + &lamp("m"))), [""; 0]);
        let plus = "lamp n of p resistor 560 ohm from F over 1 m of bus via q return to g over 10 mm of fine in b\n";
        assert_eq!(finds(&(lamp("l") + plus)), ["l bus", "n bus"]);
    }

    #[test]
    fn metal_may_be_the_return() {
        let lamp = "lamp l of p resistor 560 ohm from F over 1 m of";
        assert_eq!(finds(&format!("{lamp} bus in tin")), ["l bus"]);
        assert_eq!(finds(&format!("{lamp} bus in a")), [""; 0]);
        assert_eq!(
            finds(&format!("{lamp} fine return to F over 1 m of bus in tin")),
            [""; 0]
        );
    }

    #[test]
    fn insulation_that_is_not_stated_is_not_judged() {
        let text = PLAN.replace(" insulation none", "")
            + "lamp l of p resistor 560 ohm from F over 1 m of bus via r in b\n";
        assert_eq!(found(&plan(&text), CHECK.name), []);
    }

    #[test]
    fn the_thinnest_insulated_wire_that_may_carry_it() {
        let lamp = |wire: &str| {
            format!("{PLAN}lamp l of p resistor 560 ohm from F over 1 m of {wire} via r in b\n")
        };
        assert_eq!(
            mended(&plan(&lamp("bus")), CHECK.name).unwrap(),
            lamp("fine")
        );
        // The fuse does not protect the thinnest, though nothing flows in the link.
        let link = |wire: &str| {
            format!(
                "{PLAN}joint h from F over 1 m of thick via r in b\nlink k between h and F over 1 m of {wire} via r\n"
            )
        };
        assert_eq!(
            mended(&plan(&link("bus")), CHECK.name).unwrap(),
            link("thick")
        );
    }
}
