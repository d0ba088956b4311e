//! The figures of a circuit, read off the state that it settled in.

use super::figures::{Corner, Figure, ItemFigures, OutputFigures};
use super::network::{Ends, Inside, Network};
use super::settle::Settled;
use crate::plan::{ItemId, Part, Plan, Point};
use crate::units::{amps, volts, watts};

/// One item's figures at one corner.
#[derive(Clone, Debug, Default)]
struct Reading {
    volts: f64,
    amps: f64,
    passes: f64,
    returns: f64,
    gives: f64,
    watts: f64,
    drop: f64,
    lowest_group: f64,
    highest_group: f64,
    outputs: Vec<(f64, f64)>,
    hands_on: f64,
}

/// A circuit's figures.
#[derive(Clone, Debug)]
pub(crate) struct CircuitFigures {
    /// In the order of the circuit's items.
    pub items: Vec<ItemFigures>,
    /// In the order of the circuit's links.
    pub links: Vec<(
        Figure<crate::units::ElectricCurrent>,
        Figure<crate::units::ElectricCurrent>,
    )>,
}

/// Typical, dim and bright as one figure.
fn figure<T, Q>(read: [&T; 3], of: impl Fn(&T) -> f64, unit: impl Fn(f64) -> Q) -> Figure<Q> {
    let (typical, dim, bright) = (of(read[0]), of(read[1]), of(read[2]));
    let less = |a: f64, b: f64| if b < a { b } else { a };
    let more = |a: f64, b: f64| if b > a { b } else { a };
    // No figure is printed as minus nothing.
    let unit = |x: f64| unit(if x == 0.0 { 0.0 } else { x });
    Figure {
        typical: unit(typical),
        low: unit(less(less(typical, dim), bright)),
        high: unit(more(more(typical, dim), bright)),
    }
}

/// Reads a circuit's figures off its states, in the order of [`Corner::ALL`].
pub(crate) fn read_off(plan: &Plan, net: &Network, states: &[Settled; 3]) -> CircuitFigures {
    let place = places(plan, net);
    let [typical, dim, bright] =
        [0, 1, 2].map(|c| readings(plan, net, &place, &states[c], Corner::ALL[c]));
    let each = net.items.iter().zip(typical).zip(dim.iter().zip(&bright));
    let items = each
        .map(|((ends, typical), (dim, bright))| {
            let read = [&typical, dim, bright];
            let outputs = (0..typical.outputs.len())
                .map(|o| OutputFigures {
                    volts: figure(read, |r| r.outputs[o].0, volts),
                    amps: figure(read, |r| r.outputs[o].1, amps),
                })
                .collect();
            if !ends.reached {
                return ItemFigures {
                    outputs,
                    ..ItemFigures::default()
                };
            }
            ItemFigures {
                reached: true,
                volts: figure(read, |r| r.volts, volts),
                amps: figure(read, |r| r.amps, amps),
                passes: figure(read, |r| r.passes, amps),
                returns: figure(read, |r| r.returns, amps),
                gives: figure(read, |r| r.gives, amps),
                watts: figure(read, |r| r.watts, watts),
                drop: figure(read, |r| r.drop, volts),
                lowest_group: figure(read, |r| r.lowest_group, volts),
                highest_group: figure(read, |r| r.highest_group, volts),
                outputs,
                hands_on: figure(read, |r| r.hands_on, volts),
            }
        })
        .collect();
    let links = (net.links.iter())
        .map(|&(plus, minus)| {
            let of = |leg: Option<usize>| {
                let amps_of = |s: &Settled| leg.map_or(0.0, |w| s.wires[w]);
                figure([&states[0], &states[1], &states[2]], amps_of, amps)
            };
            (of(plus), of(minus))
        })
        .collect();
    CircuitFigures { items, links }
}

/// What is read at one corner; `place` is where each of the plan's items is in the network.
fn readings(
    plan: &Plan,
    net: &Network,
    place: &[usize],
    s: &Settled,
    corner: Corner,
) -> Vec<Reading> {
    let v = |n: usize| s.volts[n];
    let wire = |w: Option<usize>| w.map_or(0.0, |w| s.wires[w]);
    // What a wire takes from the voltage, from `a` to `b`, and the heat that it makes.
    let lost = |w: usize| s.wires[w] * net.wires[w].ohms_at(corner);
    let heat = |w: usize| s.wires[w] * lost(w);
    let mut all = Vec::with_capacity(net.items.len());
    for ends in &net.items {
        let mut r = Reading::default();
        if let Inside::Board { outputs, .. } = &ends.inside {
            r.outputs = vec![(0.0, 0.0); outputs.len()];
        }
        if !ends.reached {
            all.push(r);
            continue;
        }
        r.volts = v(ends.plus) - v(ends.minus);
        r.passes = wire(ends.leg_plus);
        r.returns = wire(ends.leg_minus);
        r.hands_on = v(ends.out_plus) - v(ends.out_minus);
        match &ends.inside {
            Inside::Nothing => {}
            Inside::Source(k) => {
                r.passes = s.sources[*k];
                r.returns = s.sources[*k];
                r.watts = s.sources[*k] * s.sources[*k] * net.sources[*k].ohms;
            }
            Inside::Resistance(w) => r.watts = heat(*w),
            Inside::Contacts(plus, minus) => r.watts = plus.map_or(0.0, heat) + heat(*minus),
            Inside::OneWay(k) => {
                r.gives = s.one_ways[*k];
                r.watts = one_way_heat(net, s, *k);
            }
            Inside::Strip { lamps, plus, minus } => {
                let groups = lamps.clone().map(|k| {
                    let part = &net.lamps[k];
                    (v(part.plus) - v(part.minus), s.lamps[k])
                });
                r.lowest_group = f64::INFINITY;
                r.highest_group = f64::NEG_INFINITY;
                for (across, i) in groups {
                    r.amps += i;
                    r.watts += across * i;
                    r.lowest_group = r.lowest_group.min(across);
                    r.highest_group = r.highest_group.max(across);
                }
                if lamps.is_empty() {
                    (r.lowest_group, r.highest_group) = (r.volts, r.volts);
                }
                r.watts += plus.clone().chain(minus.clone()).map(heat).sum::<f64>();
            }
            Inside::Lamps(k) => {
                r.amps = s.lamps[*k];
                r.watts = r.volts * r.amps;
            }
            Inside::Board { draw, outputs } => {
                r.amps = draw.map_or(0.0, |k| s.boards[k]);
                r.watts = r.volts * r.amps;
                for (o, output) in outputs.iter().enumerate() {
                    if let Some(k) = output.one_way {
                        r.watts += one_way_heat(net, s, k);
                        r.outputs[o].1 = s.one_ways[k];
                    }
                    if let Some(plus) = output.plus.filter(|&p| net.live[p]) {
                        r.outputs[o].0 = v(plus) - v(output.minus);
                    }
                }
                r.hands_on = 0.0;
            }
            Inside::Draws(k) => {
                r.amps = s.draws[*k];
                r.watts = r.volts * r.amps;
            }
            Inside::Takes(k) => {
                r.amps = s.takes[*k];
                r.watts = r.volts * r.amps;
            }
            Inside::Shunt(k) => {
                r.amps = s.shunts[*k];
                r.watts = r.volts * r.amps;
            }
        }
        all.push(r);
    }
    outputs_that_hand_on(plan, net, place, s, &mut all);
    let drops = Drops::of(plan, net, place, &lost);
    for (k, r) in all.iter_mut().enumerate() {
        if net.items[k].reached {
            r.drop = drops.plus[k] + drops.minus[k];
        }
    }
    all
}

fn one_way_heat(net: &Network, s: &Settled, k: usize) -> f64 {
    let part = &net.one_ways[k];
    let v = |n: usize| s.volts[n] - s.volts[part.minus];
    if part.holds.is_infinite() {
        return part.drops * s.one_ways[k];
    }
    v(part.input) * s.one_way_inputs[k] - v(part.output) * s.one_ways[k]
}

/// The places of a circuit's items.
fn places(plan: &Plan, net: &Network) -> Vec<usize> {
    let mut place = vec![usize::MAX; plan.items.len()];
    for (k, ends) in net.items.iter().enumerate() {
        place[ends.item.0] = k;
    }
    place
}

/// What outputs without a voltage of their own give, and sinking ones take: what leaves (comes
/// back) through the legs and links at them.
fn outputs_that_hand_on(
    plan: &Plan,
    net: &Network,
    place: &[usize],
    s: &Settled,
    all: &mut [Reading],
) {
    let boards = net
        .items
        .iter()
        .any(|e| matches!(e.inside, Inside::Board { .. }));
    if !boards {
        return;
    }
    let mut add = |point: Point, plus: bool, amps: f64| {
        let k = place[point.item.0];
        if k == usize::MAX {
            return;
        }
        if let (Inside::Board { outputs, .. }, Some(o)) = (&net.items[k].inside, point.output)
            && let Some(output) = outputs.get(o)
            && output.plus.is_some() == plus
            && output.one_way.is_none()
        {
            all[k].outputs[o].1 += amps;
        }
    };
    for ends in &net.items {
        if let Some(feed) = &plan.items[ends.item.0].feed {
            add(feed.from, true, ends.leg_plus.map_or(0.0, |w| s.wires[w]));
            add(
                feed.minus(),
                false,
                ends.leg_minus.map_or(0.0, |w| s.wires[w]),
            );
        }
    }
    let in_net = |item: ItemId| place[item.0] != usize::MAX;
    let links = plan.links.iter().filter(|l| in_net(l.ends.0.item));
    for (link, &(plus, minus)) in links.zip(&net.links) {
        let of = |w: Option<usize>| w.map_or(0.0, |w| s.wires[w]);
        add(link.ends.0, true, of(plus));
        add(link.ends.1, true, -of(plus));
        add(link.ends.0, false, -of(minus));
        add(link.ends.1, false, of(minus));
    }
}

/// What is lost on the way from the nearest source back along `from`, and along `return to`.
struct Drops {
    plus: Vec<f64>,
    minus: Vec<f64>,
}

impl Drops {
    fn of(plan: &Plan, net: &Network, place: &[usize], lost: &impl Fn(usize) -> f64) -> Drops {
        let plus = along(net, |k| {
            let ends = &net.items[k];
            let feed = plan.items[ends.item.0].feed.as_ref()?;
            let from = place[feed.from.item.0];
            let leg = ends.leg_plus.map_or(0.0, lost);
            let through = &net.items[from];
            let starts = starts(plan, net, from, feed.from);
            Some((
                leg + lost_in_plus(plan, through, lost),
                (!starts).then_some(from),
                starts.then_some(leg),
            ))
        });
        let minus = along(net, |k| {
            let ends = &net.items[k];
            let feed = plan.items[ends.item.0].feed.as_ref()?;
            let to = place[feed.minus().item.0];
            let leg = ends.leg_minus.map_or(0.0, lost);
            let starts = starts(plan, net, to, feed.minus());
            Some((
                leg + lost_in_minus(&net.items[to], lost),
                (!starts).then_some(to),
                starts.then_some(leg),
            ))
        });
        Drops { plus, minus }
    }
}

/// Sums what `step` says along the way from each item: what is lost up to the next item and which
/// that is, or, where the way begins there, what is lost since.
fn along(
    net: &Network,
    step: impl Fn(usize) -> Option<(f64, Option<usize>, Option<f64>)>,
) -> Vec<f64> {
    let mut sum = vec![f64::NAN; net.items.len()];
    let mut way = Vec::new();
    let mut on_way = vec![false; net.items.len()];
    for k in 0..net.items.len() {
        let mut at = k;
        let mut known = 0.0;
        loop {
            if !sum[at].is_nan() {
                known = sum[at];
                break;
            }
            if on_way[at] {
                break; // items that feed each other
            }
            match step(at) {
                None => {
                    sum[at] = 0.0;
                    break;
                }
                Some((_, _, Some(all))) => {
                    sum[at] = all;
                    known = all;
                    break;
                }
                Some((lost, Some(next), None)) => {
                    on_way[at] = true;
                    way.push((at, lost));
                    at = next;
                }
                Some((lost, None, None)) => {
                    sum[at] = lost;
                    known = lost;
                    break;
                }
            }
        }
        while let Some((item, lost)) = way.pop() {
            on_way[item] = false;
            known += lost;
            sum[item] = known;
        }
    }
    sum
}

/// Whether a way begins at this point: a supply, a regulator, a regulated output.
fn starts(plan: &Plan, net: &Network, place: usize, point: Point) -> bool {
    match &plan.items[net.items[place].item.0].part {
        Part::Supply(_) | Part::Regulator { .. } => true,
        Part::Board { .. } => plan
            .output(point)
            .is_some_and(|o| o.volts.is_some() && !o.sinks),
        _ => false,
    }
}

/// What is lost inside an item in plus: in a fuse, a contact, a track.
fn lost_in_plus(plan: &Plan, ends: &Ends, lost: &impl Fn(usize) -> f64) -> f64 {
    match &ends.inside {
        Inside::Resistance(w) if matches!(plan.items[ends.item.0].part, Part::Fuse { .. }) => {
            lost(*w)
        }
        Inside::Contacts(Some(plus), _) => lost(*plus),
        Inside::Strip { plus, .. } => plus.clone().map(lost).sum(),
        _ => 0.0,
    }
}

/// Likewise in minus. Tracks and contacts are laid from the input on, so that what comes back runs
/// against them.
fn lost_in_minus(ends: &Ends, lost: &impl Fn(usize) -> f64) -> f64 {
    match &ends.inside {
        Inside::Contacts(_, minus) => -lost(*minus),
        Inside::Strip { minus, .. } => -minus.clone().map(lost).sum::<f64>(),
        _ => 0.0,
    }
}
