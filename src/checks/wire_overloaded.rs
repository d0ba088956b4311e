//! # `wire-overloaded`: more current than a wire may carry
//!
//! **Error** when a wire carries more than it may with all values as stated; **warning** when it does so only at a corner.
//!
//! ## Why it matters
//!
//! Wire warms with the square of its current. In free air it sheds that; glued under a deck, in a bundle, in a hull without a window
//! it does not. Enamel and thin plastic soften long before copper glows.
//!
//! ## The limit
//!
//! What the stock says (`carries`); else half of the current that warms a single wire by 20 K in still air (textbook short form for free
//! convection around thin wires), half because wire in a model is glued down or bundled. Of the two legs the one counts that
//! carries more for its size, in every scene and with everything on at once.
//!
//! ## Shown
//!
//! ```harness
//! wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black
//! wire fine gauge 32 AWG insulation enamel colours red, green
//!
//! supply adapter 12 V 3 A
//! fuse F1 1 A from adapter
//! #       ^^^ fuse-too-large
//! joint keel from F1 over 100 mm of fine
//! #                  ^^^^^^^^^^^^^^^^^^^ wire-overloaded
//! load crane draws 700 mA from keel over 60 mm of hook
//! ```
//!
//! ## Mended
//!
//! ```harness
//! wire hook gauge 24 AWG insulation pvc outer 1.3 mm colours red, black
//!
//! supply adapter 12 V 3 A
//! fuse F1 1 A from adapter
//! joint keel from F1 over 100 mm of hook
//! load crane draws 700 mA from keel over 60 mm of hook
//! ```
//!
//! The thinnest wire of the plan's stock that may carry the current is offered, then thicker ones. Where more flows through thicker wire, the
//! thinnest that may carry that counts.

use super::limits::{over, rule};
use super::page::page;
use super::runs::{on_run, run_of, run_span, size};
use super::supplies::judged;
use super::words::{AT_WORST, in_scene, quoted};
use super::{Check, Context, Finding, Mend, Worst};
use crate::circuit::fused_runs::RunOf;
use crate::circuit::wire_capacity::may_carry;
use crate::circuit::{Figure, Figures};
use crate::numbers::show_and_limit;
use crate::plan::{ItemId, LinkId, Plan, Severity, WireId};
use crate::rewrites::route::Leg;
use crate::rewrites::thicker_wire::wires_that_carry;
use crate::units::ElectricCurrent;

/// More current than a wire may carry.
pub const CHECK: Check = Check {
    name: "wire-overloaded",
    severities: &[Severity::Error, Severity::Warning],
    page: page!("wire_overloaded.rs"),
    check,
    mends: Some(mends),
};

fn check(context: &Context, out: &mut Vec<Finding>) {
    let judged = judged(context);
    let is_judged = |of: &RunOf| match *of {
        RunOf::Item(item) => judged[item.0],
        RunOf::Link(link) => {
            let (a, b) = context.plan.links[link.0].ends;
            judged[a.item.0] && judged[b.item.0]
        }
    };
    let carry = carry(context.plan);
    for of in runs(context).filter(is_judged) {
        // Of the two legs, the one that is worse off; the plus leg where they are alike.
        let legs = [Leg::Plus, Leg::Minus];
        let legs = legs.map(|leg| Some((leg, loaded(context, &carry, of, leg)?)));
        let over_by = |load: &Load<'_>| (load.flows.corner / load.carries).value;
        let worst = match legs {
            [Some(plus), Some(minus)] if over_by(&minus.1) > over_by(&plus.1) * (1.0 + 1e-9) => {
                Some(minus)
            }
            [plus, minus] => plus.or(minus),
        };
        let Some((leg, load)) = worst else {
            continue;
        };
        let typical = over(load.flows.typical, load.carries);
        let Some(severity) = rule(typical, over(load.flows.corner, load.carries)) else {
            continue;
        };
        let wire = quoted(&context.plan.wires[load.wire.0].name.0);
        let name = quoted(of.name(context.plan));
        let message = if typical {
            let (flows, carries) = show_and_limit(load.flows.typical, load.carries);
            format!(
                "The wire to {name} carries {flows} {}, but {wire} may carry {carries}. Take thicker wire, or feed part of this by a run of its own.",
                in_scene(load.flows.typical_scene)
            )
        } else {
            let (flows, carries) = show_and_limit(load.flows.corner, load.carries);
            format!(
                "The wire to {name} may have to carry {flows} {} {AT_WORST}, and {wire} may carry {carries}. Take thicker wire.",
                in_scene(load.flows.corner_scene)
            )
        };
        let span = run_span(context, of, leg);
        out.push(on_run(context, CHECK.name, severity, of, span, message));
    }
}

/// What flows in one leg of a run, and what its wire may carry.
struct Load<'a> {
    wire: WireId,
    flows: Worst<'a, ElectricCurrent>,
    carries: ElectricCurrent,
}

fn runs(context: &Context) -> impl Iterator<Item = RunOf> {
    let items = (0..context.plan.items.len()).map(|i| RunOf::Item(ItemId(i)));
    items.chain((0..context.plan.links.len()).map(|k| RunOf::Link(LinkId(k))))
}

/// What each wire of a plan may carry.
fn carry(plan: &Plan) -> Vec<ElectricCurrent> {
    let wires = plan.wires.iter();
    wires.map(|wire| may_carry(plan, wire)).collect()
}

fn loaded<'a>(
    context: &Context<'a>,
    carry: &[ElectricCurrent],
    of: RunOf,
    leg: Leg,
) -> Option<Load<'a>> {
    let plan = context.plan;
    let run = match of {
        RunOf::Item(item) => {
            let feed = plan.items[item.0].feed.as_ref()?;
            match leg {
                Leg::Plus => feed.run.as_ref(),
                Leg::Minus => feed.back_run.as_ref(),
            }
        }
        RunOf::Link(link) => plan.links[link.0].run.as_ref(),
    };
    let wire = run?.wire;
    let flows = context.greatest(|f| Some(size(flow(f, of, leg)?)))?;
    Some(Load {
        wire,
        flows,
        carries: carry[wire.0],
    })
}

fn flow(figures: &Figures, of: RunOf, leg: Leg) -> Option<Figure<ElectricCurrent>> {
    Some(match (of, leg) {
        (RunOf::Item(item), Leg::Plus) => figures.items.get(item.0)?.passes,
        (RunOf::Item(item), Leg::Minus) => figures.items.get(item.0)?.returns,
        (RunOf::Link(link), Leg::Plus) => figures.links.get(link.0)?.0,
        (RunOf::Link(link), Leg::Minus) => figures.links.get(link.0)?.1,
    })
}

fn mends(context: &Context, finding: &Finding) -> Vec<Mend> {
    let Some(of) = run_of(context, finding) else {
        return Vec::new();
    };
    // Only the legs that carry too much get other wire; what runs in the same words goes along.
    let carry = carry(context.plan);
    let over: Vec<(RunOf, Leg, Load)> = [Leg::Plus, Leg::Minus]
        .into_iter()
        .filter_map(|leg| Some((of, leg, loaded(context, &carry, of, leg)?)))
        .filter(|(_, _, load)| over(load.flows.corner, load.carries))
        .collect();
    let most = over
        .iter()
        .map(|(_, _, load)| load.flows.corner)
        .reduce(|a, b| if b > a { b } else { a });
    let legs: Vec<(RunOf, Leg)> = over.iter().map(|&(of, leg, _)| (of, leg)).collect();
    most.map_or_else(Vec::new, |most| wires_that_carry(context.plan, &legs, most))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{found, mended, plan};
    use super::*;

    const WIRE: &str = "wire fine gauge 32 AWG carries 500 mA\nwire medium gauge 28 AWG carries 800 mA\nwire thick gauge 24 AWG carries 2 A\nsupply a 12 V 3 A\nfuse F 1 A from a\n";

    fn finds(wiring: &str) -> Vec<(Severity, String)> {
        let findings = found(&plan(&format!("{WIRE}{wiring}")), CHECK.name);
        findings
            .into_iter()
            .map(|f| (f.severity, f.message))
            .collect()
    }

    fn severity(load: &str) -> Option<Severity> {
        let found = finds(&format!("load m {load} from F over 10 mm of fine\n"));
        found.first().map(|f| f.0)
    }

    #[test]
    fn what_it_may_carry_is_not_passed() {
        assert_eq!(severity("draws 500 mA"), None);
        assert_eq!(severity("draws 500.0009 mA"), None);
        assert_eq!(severity("draws 500.0011 mA"), Some(Severity::Error));
    }

    #[test]
    fn what_only_a_corner_breaks_is_a_warning() {
        // 24.5 ohm at 12 V: 490 mA, and 514 mA where the supply is 5 % high.
        assert_eq!(severity("resistance 24.5 ohm"), Some(Severity::Warning));
        assert_eq!(severity("resistance 25.3 ohm"), None);
    }

    #[test]
    fn each_leg_is_compared_with_its_own_wire() {
        let legs = |plus: &str, minus: &str| {
            format!(
                "load m draws 600 mA from F over 10 mm of {plus} return to F over 20 mm of {minus}\n"
            )
        };
        assert_eq!(finds(&legs("medium", "medium")), []);
        for (plus, minus, words) in [
            ("fine", "medium", "over 10 mm of fine"),
            ("medium", "fine", "over 20 mm of fine"),
        ] {
            let text = format!("{WIRE}{}", legs(plus, minus));
            let analysis = plan(&text);
            let findings = found(&analysis, CHECK.name);
            let at = analysis
                .plan
                .stanza(findings[0].stanza)
                .words(findings[0].span);
            assert_eq!((findings.len(), at), (1, words));
            assert_eq!(
                mended(&analysis, CHECK.name).unwrap(),
                format!("{WIRE}{}", legs("medium", "medium"))
            );
        }
    }

    #[test]
    fn a_link_carries_too() {
        let text = "joint j from F over 1 m of medium\nload m draws 790 mA from j over 10 mm of medium\nlink l between j and F over 100 mm of fine\nscene off-duty off m\n";
        let found = finds(text);
        assert_eq!(found.len(), 1);
        assert!(
            found[0].1.starts_with("The wire to `l` carries"),
            "{}",
            found[0].1
        );
        assert!(
            found[0]
                .1
                .contains(" with everything on, but `fine` may carry 500 mA"),
            "{}",
            found[0].1
        );
    }

    #[test]
    fn without_wire_that_carries_it_there_is_no_mend() {
        let text = "wire fine gauge 32 AWG carries 500 mA\nsupply a 12 V 3 A\nfuse F 400 mA from a\nload m draws 600 mA from F over 10 mm of fine\n";
        assert_eq!(mended(&plan(text), CHECK.name), None);
    }

    #[test]
    fn wire_that_is_thick_enough_for_what_flows_then_is_offered() {
        // With thicker wire the strip draws more: up to 353 mA now, 399 mA through 34 AWG, 498 mA through 24 AWG.
        let text = "wire thin gauge 36 AWG carries 200 mA\nwire next gauge 34 AWG carries 360 mA\nwire hook gauge 24 AWG carries 2 A\ntape t group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V\nsupply a 12 V 3 A\nfuse F 630 mA from a\nstrip s of t 22 groups from F over 1500 mm of thin\n";
        assert_eq!(
            mended(&plan(text), CHECK.name).unwrap(),
            text.replace("mm of thin", "mm of hook")
        );
    }
}
