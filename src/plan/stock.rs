//! Stock: from stanzas to wires, tapes, leds and modules.

use super::curve::{Impossible, LampCurve, group_resistor, usual_drop};
use super::model::*;
use super::names::error;
use super::resolve::Resolver;
use crate::numbers::length;
use crate::syntax::tree::{Clause, Stanza, Value, ValueKind};
use crate::syntax::vocabulary::{Dimension as D, Role, StanzaWord};
use crate::text::Span;
use crate::units::*;

/// Enters all stock into the plan. Stanzas that physics refuses become `drops-impossible`.
pub(super) fn read(plan: &mut Plan, resolver: &mut Resolver) {
    for id in plan.order.clone() {
        let stanza = plan.files[id.file.0].tree.stanzas[id.index].stanza.clone();
        let Some(word) = stanza.word.filter(|w| w.is_stock()) else {
            continue;
        };
        if plan.left_out.contains(&id) {
            continue;
        }
        let target = match word {
            StanzaWord::Wire => wire(plan, &stanza, id).map(|wire| {
                plan.wires.push(wire);
                Target::Wire(WireId(plan.wires.len() - 1))
            }),
            StanzaWord::Tape => tape(plan, &stanza, id).map(|tape| {
                plan.tapes.push(tape);
                Target::Tape(TapeId(plan.tapes.len() - 1))
            }),
            StanzaWord::Led => led(plan, &stanza, id).map(|led| {
                plan.leds.push(led);
                Target::Led(LedId(plan.leds.len() - 1))
            }),
            _ => module(&stanza, id, resolver).map(|module| {
                plan.modules.push(module);
                Target::Module(ModuleId(plan.modules.len() - 1))
            }),
        };
        match (target, stanza.name()) {
            (Some(target), Some((name, _))) => {
                if let Some(definition) =
                    resolver.names.plan.get_mut(name).filter(|d| d.stanza == id)
                {
                    definition.target = Some(target);
                }
            }
            _ => drop(plan.left_out.insert(id)),
        }
    }
}

fn at_hand(stanza: &Stanza) -> Option<AtHand> {
    match stanza.clause("have")?.values.first()?.kind {
        ValueKind::Quantity(x, D::Length) => Some(AtHand::Length(metres(x))),
        ValueKind::Count(n, _) => Some(AtHand::Pieces(n)),
        _ => None,
    }
}

fn first(clause: Option<&Clause>, dimension: D) -> Option<f64> {
    clause?.quantities(dimension).next()
}

fn two(clause: Option<&Clause>, dimension: D) -> Option<(f64, f64)> {
    let mut all = clause?.quantities(dimension);
    Some((all.next()?, all.next()?))
}

/// The diameter of a wire of gauge `n` (ASTM B258): 0.127 mm · 92^((36 − n)/39).
pub fn gauge_diameter(n: f64) -> Length {
    metres(0.127e-3 * libm::pow(92.0, (36.0 - n) / 39.0))
}

/// How far a diameter is rounded where it is written: 24 AWG is 0.511 mm, and called 0.5 mm.
const ROUNDED: f64 = 0.05;

fn wire(plan: &mut Plan, stanza: &Stanza, id: StanzaId) -> Option<Wire> {
    let gauge = first(stanza.clause("gauge"), D::Gauge).map(gauge_diameter);
    let diameter = first(stanza.clause("diameter"), D::Length).map(metres);
    let area = first(stanza.clause("area"), D::Area)
        .map(|a| metres((4.0 * a / std::f64::consts::PI).sqrt()));
    let insulation = stanza.clause("insulation");
    let both = stanza.clause("colours");
    if let Some(clause) = both.filter(|c| c.names().count() != 2) {
        let message = "`colours` wants two: that of the plus leg, then that of the minus leg. \
                       Where both look alike, write `colour`.";
        error(plan, "syntax", id, clause.span, message.to_owned());
        return None;
    }
    let colours = both.or_else(|| stanza.clause("colour"));
    let copper = gauge.or(diameter).or(area)?;
    let over = insulation.and_then(|c| c.part("outer"));
    let outer = first(over, D::Length).map(metres);
    if let (Some(clause), Some(outer)) = (over, outer)
        && outer < copper * (1.0 - ROUNDED)
    {
        let message = format!(
            "{} over the insulation is less than the {} of the copper within. Check both.",
            length(outer),
            length(copper)
        );
        let span = clause.values.first().map_or(clause.span, |v| v.span);
        error(plan, "syntax", id, span, message);
        return None;
    }
    Some(Wire {
        name: stanza.name()?.0.clone(),
        stanza: id,
        copper,
        insulation: insulation.and_then(Clause::choice),
        outer,
        colours: colours
            .map(|c| c.names().map(|(n, _)| n.clone()).collect())
            .unwrap_or_default(),
        carries: first(stanza.clause("carries"), D::Current).map(amps),
        have: at_hand(stanza),
    })
}

fn impossible(plan: &mut Plan, id: StanzaId, span: Span, cause: Impossible) {
    let message = match cause {
        Impossible::SameCurrent => {
            "The two `drops` points have one current: give them two different currents."
        }
        Impossible::Falling => {
            "The lamp's voltage must rise with its current: check the two `drops` points."
        }
        Impossible::KneeTooLow => {
            "With these figures the lamp would begin to light under 0.5 V, which no lamp does. Check the volts and the current."
        }
        Impossible::NothingLeft => {
            "The lamps of a group take all of the voltage under `draws`: nothing is left for the group's resistor."
        }
    };
    error(plan, "drops-impossible", id, span, message.to_owned());
}

fn tape(plan: &mut Plan, stanza: &Stanza, id: StanzaId) -> Option<Tape> {
    let group = stanza.clause("group")?;
    let lamps = group.values.iter().find_map(|v| {
        if let ValueKind::Count(n, _) = v.kind {
            Some(n)
        } else {
            None
        }
    })?;
    let long = first(Some(group), D::Length)?;
    let works = two(stanza.clause("works"), D::Voltage)?;
    let draws = stanza.clause("draws")?;
    let at = volts(first(Some(draws), D::Voltage)?);
    let current = match first(Some(draws), D::Current) {
        Some(x) => amps(x),
        None => watts(first(Some(draws), D::Power)? * long) / at,
    };
    let colour = stanza.clause("colour").and_then(Clause::choice);
    let stated = stanza.clause("drops");
    let drop = first(stated, D::Voltage)
        .map(volts)
        .unwrap_or_else(|| usual_drop(colour));
    let span = stated.unwrap_or(draws).span;
    let curve = match LampCurve::through((drop, current), None, colour) {
        Ok(curve) => curve,
        Err(cause) => {
            impossible(plan, id, span, cause);
            return None;
        }
    };
    let resistor = match group_resistor(at, current, lamps, drop) {
        Ok(resistor) => resistor,
        Err(cause) => {
            impossible(plan, id, span, cause);
            return None;
        }
    };
    Some(Tape {
        name: stanza.name()?.0.clone(),
        stanza: id,
        lamps,
        group: metres(long),
        works: (volts(works.0), volts(works.1)),
        draws: current,
        draws_at: at,
        curve,
        resistor,
        colour,
        gives: first(stanza.clause("gives"), D::Flux).map(LuminousFlux),
        track: ResistancePerLength(first(stanza.clause("track"), D::Resistance).unwrap_or(0.0)),
        have: at_hand(stanza),
    })
}

fn led(plan: &mut Plan, stanza: &Stanza, id: StanzaId) -> Option<Led> {
    let drops = stanza.clause("drops")?;
    let at: Vec<_> = drops
        .quantities(D::Voltage)
        .map(volts)
        .zip(drops.quantities(D::Current).map(amps))
        .collect();
    let colour = stanza.clause("colour").and_then(Clause::choice);
    if at.len() > 2 {
        let message =
            "Two `drops` points are enough: keep the rated one and a lower one.".to_owned();
        error(plan, "drops-impossible", id, drops.span, message);
        return None;
    }
    let curve = match LampCurve::through(*at.first()?, at.get(1).copied(), colour) {
        Ok(curve) => curve,
        Err(cause) => {
            impossible(plan, id, drops.span, cause);
            return None;
        }
    };
    let limit = first(stanza.clause("limit"), D::Current).map(amps);
    let gives = stanza.clause("gives").and_then(|c| match c.values[..] {
        [
            Value {
                kind: ValueKind::Quantity(x, D::Flux),
                ..
            },
        ] => Some(Gives::Flux(LuminousFlux(x))),
        [
            Value {
                kind: ValueKind::Quantity(x, D::Intensity),
                ..
            },
            Value {
                kind: ValueKind::Quantity(a, D::Angle),
                ..
            },
        ] => Some(Gives::Beam(candela(x), radians(a))),
        _ => None,
    });
    Some(Led {
        name: stanza.name()?.0.clone(),
        stanza: id,
        limit: limit.unwrap_or(curve.stated_amps * 1.25),
        curve,
        limit_stated: limit.is_some(),
        colour,
        gives,
        have: at_hand(stanza),
    })
}

fn module(stanza: &Stanza, id: StanzaId, resolver: &mut Resolver) -> Option<Module> {
    let mut outputs = Vec::new();
    for clause in stanza.clauses.iter().filter(|c| c.word == "output") {
        outputs.push(Output {
            name: clause.names().next()?.0.clone(),
            volts: first(Some(clause), D::Voltage).map(volts),
            limit: amps(first(Some(clause), D::Current)?),
            duty: first(clause.part("duty"), D::Percent).map(ratio),
            flash: first(clause.part("flash"), D::Frequency).map(hertz),
            flickers: clause.part("flickers").is_some(),
            sinks: clause.part("sinks").is_some(),
        });
    }
    let mut turns = Vec::new();
    let mut wrong = false;
    if let Some(clause) = stanza.clause("turns") {
        for (name, span) in clause.names() {
            match outputs.iter().position(|o: &Output| o.name == *name) {
                Some(index) => turns.push(index),
                None => {
                    let because = format!(
                        "This module has no output `{}`: add it, or take it out here.",
                        name.0
                    );
                    resolver.unknown(id, span, name, Role::Output, Some(because));
                    wrong = true;
                }
            }
        }
    }
    if wrong {
        return None;
    }
    Some(Module {
        name: stanza.name()?.0.clone(),
        stanza: id,
        works: two(stanza.clause("works"), D::Voltage).map(|(a, b)| (volts(a), volts(b))),
        draws: amps(first(stanza.clause("draws"), D::Current).unwrap_or(0.0)),
        outputs,
        turns: super::names::once(turns),
        have: at_hand(stanza),
    })
}
