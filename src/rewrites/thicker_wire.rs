//! Puts thicker wire of the stock in the place of wire that may carry too little, or that takes too much of
//! the voltage: the thinnest that does.

use super::Candidate;
use super::branch_chain::listed;
use super::clause_of::clause_of;
use super::columns::hold_columns;
use super::route::Leg;
use crate::circuit::fused_runs::RunOf;
use crate::circuit::wire_capacity::may_carry;
use crate::circuit::{Figures, Solution, copper};
use crate::numbers::show;
use crate::plan::{Edit, ItemId, Part, Plan, Point, Run, StanzaId, Wire, WireId};
use crate::syntax::tree::Clause;
use crate::text::Span;
use crate::units::{ElectricCurrent, ElectricPotential, metres, volts};

/// How much below a limit of drop one aims: what hangs on the run draws a little more once it has more
/// volts.
pub(super) const AIM: f64 = 0.98;

/// The words of a run: `over 120 mm of fine`. The minus leg has those of the plus leg where it has none of
/// its own. For the piece of a copy, those of the pattern.
pub fn over_clause(plan: &Plan, of: RunOf, leg: Leg) -> Option<&Clause> {
    let stanza = plan.stanza(of.stanza(plan));
    match of {
        RunOf::Link(_) => stanza.clause("between")?.part("over"),
        RunOf::Item(_) => over_of(stanza.clause("from")?, leg),
    }
}

/// The `over` of one leg in a `from` clause.
fn over_of(from: &Clause, leg: Leg) -> Option<&Clause> {
    let own = from.part("return").and_then(|back| back.part("over"));
    own.filter(|_| leg == Leg::Minus)
        .or_else(|| from.part("over"))
}

/// The wire of one leg of a run.
pub(super) fn run_of(plan: &Plan, of: RunOf, leg: Leg) -> Option<&Run> {
    match of {
        RunOf::Link(link) => plan.links[link.0].run.as_ref(),
        RunOf::Item(item) => {
            let feed = plan.items[item.0].feed.as_ref()?;
            match leg {
                Leg::Plus => feed.run.as_ref(),
                Leg::Minus => feed.back_run.as_ref(),
            }
        }
    }
}

/// Where a run names its wire: in its stanza, or in the `but` of its copy. None where that is a needed word, which
/// each copy says for itself.
pub(super) fn wire_words(plan: &Plan, of: RunOf, leg: Leg) -> Option<(StanzaId, Span)> {
    let (id, over) = match of {
        RunOf::Link(_) => (of.stanza(plan), over_clause(plan, of, leg)?),
        RunOf::Item(item) => {
            let (id, from) = clause_of(plan, item, "from")?;
            (id, over_of(from, leg)?)
        }
    };
    let (_, span) = over.names().next()?;
    let wire = run_of(plan, of, leg)?.wire;
    let is_written = plan.stanza(id).words(span) == &*plan.wires[wire.0].name.0;
    is_written.then_some((id, span))
}

/// The wires of the stock, the thinnest first.
pub(super) fn by_thickness(plan: &Plan) -> Vec<WireId> {
    let copper = |wire: &WireId| plan.wires[wire.0].copper.value;
    let mut wires: Vec<WireId> = (0..plan.wires.len()).map(WireId).collect();
    wires.sort_by(|a, b| copper(a).total_cmp(&copper(b)));
    wires
}

/// The thinnest wire of the stock of which this is true.
fn thinnest(plan: &Plan, serves: impl Fn(WireId) -> bool) -> Option<WireId> {
    by_thickness(plan).into_iter().find(|&wire| serves(wire))
}

/// The edits that give these runs another wire.
pub(super) fn rewired(plan: &Plan, runs: &[(RunOf, Leg)], wire: WireId) -> Option<Vec<Edit>> {
    let mut places: Vec<(StanzaId, Span)> = Vec::new();
    for &(of, leg) in runs {
        let place = wire_words(plan, of, leg)?;
        if !places.contains(&place) {
            places.push(place);
        }
    }
    let mut edits = Vec::new();
    while let Some(&(stanza, _)) = places.first() {
        let (here, others): (Vec<_>, Vec<_>) = places.into_iter().partition(|p| p.0 == stanza);
        places = others;
        let of_stanza = here.into_iter().map(|(stanza, span)| Edit {
            stanza,
            span,
            text: plan.wires[wire.0].name.0.to_string(),
        });
        edits.extend(hold_columns(plan, stanza, of_stanza.collect()));
    }
    Some(edits)
}

/// `hook instead of fine to keel and mast`
fn title(plan: &Plan, runs: &[(RunOf, Leg)], wire: WireId) -> String {
    let mut names: Vec<&str> = Vec::new();
    let mut olds: Vec<&str> = Vec::new();
    for &(of, leg) in runs {
        let written = plan.stanza(of.stanza(plan)).name();
        let name = written.map_or_else(|| of.name(plan), |(name, _)| &*name.0);
        if !names.contains(&name) {
            names.push(name);
        }
        if let Some(run) = run_of(plan, of, leg) {
            let old = &*plan.wires[run.wire.0].name.0;
            if !olds.contains(&old) {
                olds.push(old);
            }
        }
    }
    format!(
        "{} instead of {} to {}",
        plan.wires[wire.0].name.0,
        listed(&olds),
        listed(&names)
    )
}

/// Every wire of the stock that may carry this current, in place of that of these runs, the thinnest first: more may flow
/// through thicker wire, so that the thinnest for what flows now may be too thin by then.
pub fn wires_that_carry(
    plan: &Plan,
    runs: &[(RunOf, Leg)],
    current: ElectricCurrent,
) -> Vec<Candidate> {
    let enough = |wire: &WireId| may_carry(plan, &plan.wires[wire.0]) >= current;
    let wires = by_thickness(plan).into_iter().filter(enough);
    wires
        .filter_map(|wire| carrying_wire(plan, runs, current, "", wire))
        .collect()
}

/// The thinnest wire of the stock that may carry this current, in place of that of these runs.
pub fn wire_that_carries(
    plan: &Plan,
    runs: &[(RunOf, Leg)],
    current: ElectricCurrent,
) -> Option<Candidate> {
    carrying(plan, runs, current, "", |_| true)
}

/// The thinnest insulated wire of the stock that may carry this current, in place of that of these runs; then the
/// thinnest of such that is no thinner than theirs.
pub fn insulated_wire_that_carries(
    plan: &Plan,
    runs: &[(RunOf, Leg)],
    current: ElectricCurrent,
) -> Vec<Candidate> {
    let is_insulated = |wire: &Wire| wire.insulation.is_some_and(|i| i != "none");
    let thickest = (runs.iter())
        .filter_map(|&(of, leg)| Some(plan.wires[run_of(plan, of, leg)?.wire.0].copper))
        .fold(metres(0.0), |a, b| if b > a { b } else { a });
    let said = "it is insulated, ";
    let thinnest = carrying(plan, runs, current, said, is_insulated);
    let as_thick = carrying(plan, runs, current, said, |wire| {
        is_insulated(wire) && wire.copper >= thickest
    });
    let as_thick = as_thick.filter(|other| Some(other) != thinnest.as_ref());
    thinnest.into_iter().chain(as_thick).collect()
}

fn carrying(
    plan: &Plan,
    runs: &[(RunOf, Leg)],
    current: ElectricCurrent,
    said: &str,
    serves: impl Fn(&Wire) -> bool,
) -> Option<Candidate> {
    let carries = |wire: WireId| may_carry(plan, &plan.wires[wire.0]);
    let wire = thinnest(plan, |wire| {
        serves(&plan.wires[wire.0]) && carries(wire) >= current
    })?;
    carrying_wire(plan, runs, current, said, wire)
}

fn carrying_wire(
    plan: &Plan,
    runs: &[(RunOf, Leg)],
    current: ElectricCurrent,
    said: &str,
    wire: WireId,
) -> Option<Candidate> {
    Some(Candidate {
        title: format!(
            "{}: {said}it may carry {}, and {} is wanted",
            title(plan, runs, wire),
            show(may_carry(plan, &plan.wires[wire.0])),
            show(current)
        ),
        edits: rewired(plan, runs, wire)?,
        told: Vec::new(),
    })
}

/// The thinnest wire of the stock with which a short at the far end of a run blows a fuse that is sure to
/// blow at `blows`, or does the run no harm.
pub fn wire_that_blows(
    plan: &Plan,
    run: &crate::circuit::fused_runs::FusedRun,
    blows: ElectricCurrent,
) -> Option<Candidate> {
    let legs: Vec<(RunOf, Leg)> = [Leg::Plus, Leg::Minus].map(|leg| (run.of, leg)).to_vec();
    let ohms = |leg: Leg, wire: WireId| {
        let length = run_of(plan, run.of, leg).map_or_else(Default::default, |r| r.length);
        copper::leg(&plan.wires[wire.0], length, plan.settings.ambient)
    };
    let now: f64 = legs
        .iter()
        .filter_map(|&(of, leg)| run_of(plan, of, leg).map(|r| ohms(leg, r.wire).value))
        .sum();
    let Part::Supply(supply) = &plan.items[run.short.supply.0].part else {
        return None;
    };
    let all = (run.short.loop_resistance + supply.resistance).value;
    let short = |wire: WireId| {
        let then = all - now + ohms(Leg::Plus, wire).value + ohms(Leg::Minus, wire).value;
        run.short.by_loop * (all / then)
    };
    let wire = thinnest(plan, |wire| {
        plan.wires[wire.0].copper > plan.wires[run.wire.0].copper
            && (short(wire) >= blows || may_carry(plan, &plan.wires[wire.0]) >= short(wire))
    })?;
    Some(Candidate {
        title: format!(
            "{}: a short there gives {}, and it may carry {}",
            title(plan, &legs, wire),
            show(short(wire)),
            show(may_carry(plan, &plan.wires[wire.0]))
        ),
        edits: rewired(plan, &legs, wire)?,
        told: Vec::new(),
    })
}

/// A leg on the way to an item, and what it takes of the voltage.
#[derive(Clone, Copy)]
struct Loss {
    of: RunOf,
    leg: Leg,
    wire: WireId,
    volts: f64,
    place: (StanzaId, Span),
}

/// The thinnest wire of the stock with which an item loses no more than `limit` on its way from the
/// nearest supply, regulator or regulated output: on the one run that loses most, else on all of the way.
pub fn wire_that_keeps_drop(
    plan: &Plan,
    solution: &Solution,
    item: ItemId,
    limit: ElectricPotential,
) -> Vec<Candidate> {
    let Some(figures) = worst_scene(solution, item) else {
        return Vec::new();
    };
    let drop = figures.items[item.0].drop.typical.value;
    let all = losses(plan, figures, item);
    keeping(plan, drop, limit, &where_most_is_lost(&all))
        .or_else(|| keeping(plan, drop, limit, &all))
        .into_iter()
        .collect()
}

/// Thicker wire on the run on an item's way that loses most, the thinnest first.
pub fn thicken_wire(plan: &Plan, solution: &Solution, item: ItemId) -> Vec<Candidate> {
    let Some(figures) = worst_scene(solution, item) else {
        return Vec::new();
    };
    let chosen = where_most_is_lost(&losses(plan, figures, item));
    let lost: f64 = chosen.iter().map(|loss| loss.volts).sum();
    let thicker = |wire: &WireId| {
        let copper = plan.wires[wire.0].copper;
        chosen
            .iter()
            .any(|loss| plan.wires[loss.wire.0].copper < copper)
    };
    by_thickness(plan)
        .into_iter()
        .filter(thicker)
        .filter_map(|wire| {
            let then = volts(lost - saved(plan, &chosen, wire));
            rewired_losses(plan, &chosen, wire, |title| {
                format!(
                    "{title}: {} lost there, not {}",
                    show(then),
                    show(volts(lost))
                )
            })
        })
        .collect()
}

/// What each leg on an item's way takes, as far as its wire may be changed.
fn losses(plan: &Plan, figures: &Figures, item: ItemId) -> Vec<Loss> {
    let mut losses = way_losses(plan, figures, item, Leg::Plus);
    losses.extend(way_losses(plan, figures, item, Leg::Minus));
    losses
}

/// Of these, those of the one run (both legs, where the same words say both) that loses most.
fn where_most_is_lost(losses: &[Loss]) -> Vec<Loss> {
    let mut places: Vec<((StanzaId, Span), f64)> = Vec::new();
    for loss in losses {
        match places.iter_mut().find(|p| p.0 == loss.place) {
            Some(known) => known.1 += loss.volts,
            None => places.push((loss.place, loss.volts)),
        }
    }
    // Of runs that lose alike, the one next to the item.
    let most = places
        .into_iter()
        .reduce(|most, now| if now.1 > most.1 { now } else { most });
    let most = most.map(|(place, _)| place);
    let there = losses.iter().filter(|loss| Some(loss.place) == most);
    there.copied().collect()
}

/// What other wire saves in all where it is thicker, volts: resistance goes with the square of the diameter.
fn saved(plan: &Plan, losses: &[Loss], wire: WireId) -> f64 {
    let thinner = |loss: &Loss| (plan.wires[loss.wire.0].copper / plan.wires[wire.0].copper).value;
    let saves = |loss: &Loss| loss.volts * (1.0 - thinner(loss).powi(2).min(1.0));
    losses.iter().map(saves).sum()
}

fn keeping(plan: &Plan, drop: f64, limit: ElectricPotential, losses: &[Loss]) -> Option<Candidate> {
    let then = |wire: WireId| drop - saved(plan, losses, wire);
    let wire = thinnest(plan, |wire| then(wire) <= AIM * limit.value)?;
    let (now, then) = (show(volts(drop)), show(volts(then(wire))));
    rewired_losses(plan, losses, wire, |title| {
        format!("{title}: {then} lost on the way, not {now}")
    })
}

/// Other wire wherever it is thicker.
fn rewired_losses(
    plan: &Plan,
    losses: &[Loss],
    wire: WireId,
    said: impl FnOnce(String) -> String,
) -> Option<Candidate> {
    let runs: Vec<(RunOf, Leg)> = losses
        .iter()
        .filter(|loss| plan.wires[loss.wire.0].copper < plan.wires[wire.0].copper)
        .map(|loss| (loss.of, loss.leg))
        .collect();
    if runs.is_empty() {
        return None;
    }
    Some(Candidate {
        title: said(title(plan, &runs, wire)),
        edits: rewired(plan, &runs, wire)?,
        told: Vec::new(),
    })
}

/// The figures of the scene in which an item's typical drop is greatest.
pub(super) fn worst_scene(solution: &Solution, item: ItemId) -> Option<&Figures> {
    let drop = |figures: &&Figures| figures.items.get(item.0).map(|f| f.drop.typical.value);
    solution
        .states()
        .filter_map(|scene| scene.outcome.as_ref().ok())
        .filter(|figures| drop(figures).is_some())
        .fold(None, |worst: Option<&Figures>, figures| match worst {
            Some(known) if drop(&known) >= drop(&figures) => Some(known),
            _ => Some(figures),
        })
}

/// What each leg takes on the way to an item.
fn way_losses(plan: &Plan, figures: &Figures, item: ItemId, leg: Leg) -> Vec<Loss> {
    let mut losses = Vec::new();
    let mut at = item;
    for _ in 0..plan.items.len() {
        let Some(feed) = &plan.items[at.0].feed else {
            break;
        };
        let (run, amps, point) = match leg {
            Leg::Plus => (&feed.run, figures.items[at.0].passes.typical, feed.from),
            Leg::Minus => (
                &feed.back_run,
                figures.items[at.0].returns.typical,
                feed.minus(),
            ),
        };
        let of = RunOf::Item(at);
        if let (Some(run), Some(place)) = (run, wire_words(plan, of, leg)) {
            losses.push(Loss {
                of,
                leg,
                wire: run.wire,
                volts: (copper::run_leg(plan, Some(run)) * amps.abs()).value,
                place,
            });
        }
        if starting_volts(plan, point).is_some() {
            break;
        }
        at = point.item;
    }
    losses
}

/// The voltage of a supply, a regulator or a regulated output: where a way begins, and drops count from.
pub fn starting_volts(plan: &Plan, point: Point) -> Option<ElectricPotential> {
    match &plan.items[point.item.0].part {
        Part::Supply(supply) => Some(supply.volts),
        Part::Regulator { volts, .. } => Some(*volts),
        Part::Board { .. } => {
            let output = plan.output(point).filter(|output| !output.sinks)?;
            output.volts
        }
        _ => None,
    }
}

/// The voltage that an item's way begins with, back along `from`, and the point where that is.
pub fn fed_with(plan: &Plan, item: ItemId) -> Option<(ElectricPotential, Point)> {
    let mut at = item;
    for _ in 0..plan.items.len() {
        let point = plan.items[at.0].feed.as_ref()?.from;
        if let Some(fed) = starting_volts(plan, point) {
            return Some((fed.max(volts(0.0)), point));
        }
        at = point.item;
    }
    None
}
