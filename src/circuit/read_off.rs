//! The figures of a circuit, read off the state that it settled in.

use super::figures::{Corner, Figure, ItemFigures, OutputFigures};
use super::network::{Ends, Inside, Network, OutputEnds};
use super::settle::Settled;
use crate::plan::{ItemId, Part, Plan, Point};
use crate::units::{amps, volts, watts};

/// One item's figures at one corner, but for what is summed up along its way.
#[derive(Clone, Copy, Debug, Default)]
struct Reading {
    volts: f64,
    amps: f64,
    passes: f64,
    returns: f64,
    gives: f64,
    watts: f64,
    lowest_group: f64,
    highest_group: f64,
    hands_on: f64,
}

/// For each output of a board its volts and amperes.
type Outputs = Vec<(f64, f64)>;

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
fn figure<T, Q>(at: &[T; 3], of: impl Fn(&T) -> f64, unit: impl Fn(f64) -> Q) -> Figure<Q> {
    let (typical, dim, bright) = (of(&at[0]), of(&at[1]), of(&at[2]));
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

/// What there is at each corner, in the order of [`Corner::ALL`]. (`map` of an array takes ten times as long.)
#[inline]
fn at_each<T>(of: impl Fn(usize) -> T) -> [T; 3] {
    [of(0), of(1), of(2)]
}

/// Reads a circuit's figures off its states, in the order of [`Corner::ALL`].
pub(crate) fn read_off(plan: &Plan, net: &Network, states: &[Settled; 3]) -> CircuitFigures {
    let place = places(plan, net);
    let outputs = at_each(|c| outputs(plan, net, &place, &states[c]));
    let drops = drops(plan, net, &place, states);
    let item = |(k, ends): (usize, &Ends)| {
        let count = outputs[0].get(k).map_or(0, Vec::len);
        let outputs = (0..count)
            .map(|o| OutputFigures {
                volts: figure(&at_each(|c| outputs[c][k][o].0), |x| *x, volts),
                amps: figure(&at_each(|c| outputs[c][k][o].1), |x| *x, amps),
            })
            .collect();
        if !ends.reached {
            return ItemFigures {
                outputs,
                ..ItemFigures::default()
            };
        }
        let read = at_each(|c| reading(net, ends, &states[c], Corner::ALL[c]));
        ItemFigures {
            reached: true,
            volts: figure(&read, |r| r.volts, volts),
            amps: figure(&read, |r| r.amps, amps),
            passes: figure(&read, |r| r.passes, amps),
            returns: figure(&read, |r| r.returns, amps),
            gives: figure(&read, |r| r.gives, amps),
            watts: figure(&read, |r| r.watts, watts),
            drop: figure(&drops[k], |x| *x, volts),
            lowest_group: figure(&read, |r| r.lowest_group, volts),
            highest_group: figure(&read, |r| r.highest_group, volts),
            outputs,
            hands_on: figure(&read, |r| r.hands_on, volts),
        }
    };
    let items = net.items.iter().enumerate().map(item).collect();
    let links = (net.links.iter())
        .map(|&(plus, minus)| {
            let of = |leg: Option<usize>| {
                let amps_at = |c: usize| leg.map_or(0.0, |w| states[c].wires[w]);
                figure(&at_each(amps_at), |x| *x, amps)
            };
            (of(plus), of(minus))
        })
        .collect();
    CircuitFigures { items, links }
}

/// What is read of an item that is reached at one corner.
fn reading(net: &Network, ends: &Ends, s: &Settled, corner: Corner) -> Reading {
    let v = |n: usize| s.volts[n];
    let wire = |w: Option<usize>| w.map_or(0.0, |w| s.wires[w]);
    let heat = |w: usize| s.wires[w] * lost(net, s, corner, w);
    let mut r = Reading {
        volts: v(ends.plus) - v(ends.minus),
        passes: wire(ends.leg_plus),
        returns: wire(ends.leg_minus),
        hands_on: v(ends.out_plus) - v(ends.out_minus),
        ..Reading::default()
    };
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
            for k in outputs.iter().filter_map(|output| output.one_way) {
                r.watts += one_way_heat(net, s, k);
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
    r
}

/// What a wire takes from the voltage, from `a` to `b`.
fn lost(net: &Network, s: &Settled, corner: Corner, w: usize) -> f64 {
    s.wires[w] * net.wires[w].ohms_at(corner)
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

/// What the outputs of each item give, or take where they sink; without any board nothing at all.
fn outputs(plan: &Plan, net: &Network, place: &[usize], s: &Settled) -> Vec<Outputs> {
    let is_board = |ends: &Ends| matches!(ends.inside, Inside::Board { .. });
    if !net.items.iter().any(is_board) {
        return Vec::new();
    }
    let own = |ends: &Ends| match &ends.inside {
        Inside::Board { outputs, .. } if ends.reached => {
            let of = |output: &OutputEnds| {
                let plus = output.plus.filter(|&plus| net.live[plus]);
                (
                    plus.map_or(0.0, |plus| s.volts[plus] - s.volts[output.minus]),
                    output.one_way.map_or(0.0, |k| s.one_ways[k]),
                )
            };
            outputs.iter().map(of).collect()
        }
        Inside::Board { outputs, .. } => vec![(0.0, 0.0); outputs.len()],
        _ => Outputs::new(),
    };
    let mut all: Vec<Outputs> = net.items.iter().map(own).collect();
    outputs_that_hand_on(plan, net, place, s, &mut all);
    all
}

/// What outputs without a voltage of their own give, and sinking ones take: what leaves (comes
/// back) through the legs and links at them.
fn outputs_that_hand_on(
    plan: &Plan,
    net: &Network,
    place: &[usize],
    s: &Settled,
    all: &mut [Outputs],
) {
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
            all[k][o].1 += amps;
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

/// What is lost on the way from the nearest source back along `from`, and along `return to`: for each item that is reached
/// at each corner.
fn drops(plan: &Plan, net: &Network, place: &[usize], states: &[Settled; 3]) -> Vec<[f64; 3]> {
    let lost = |w: usize| at_each(|c| lost(net, &states[c], Corner::ALL[c], w));
    let leg = |leg: Option<usize>| leg.map_or([0.0; 3], lost);
    let plus = along(net, |k| {
        let ends = &net.items[k];
        let feed = plan.items[ends.item.0].feed.as_ref()?;
        let from = place[feed.from.item.0];
        let leg = leg(ends.leg_plus);
        match starts(plan, net, from, feed.from) {
            true => Some((leg, None)),
            false => {
                let inside = lost_in_plus(plan, &net.items[from], &lost);
                Some((sum(leg, inside), Some(from)))
            }
        }
    });
    let minus = along(net, |k| {
        let ends = &net.items[k];
        let feed = plan.items[ends.item.0].feed.as_ref()?;
        let to = place[feed.minus().item.0];
        let leg = leg(ends.leg_minus);
        match starts(plan, net, to, feed.minus()) {
            true => Some((leg, None)),
            false => Some((sum(leg, lost_in_minus(&net.items[to], &lost)), Some(to))),
        }
    });
    plus.into_iter()
        .zip(minus)
        .map(|(a, b)| sum(a, b))
        .collect()
}

fn sum(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    at_each(|c| a[c] + b[c])
}

/// Sums what `step` says along the way from each item: what is lost up to the next item, and which that is; where the way
/// begins there, none.
fn along(
    net: &Network,
    step: impl Fn(usize) -> Option<([f64; 3], Option<usize>)>,
) -> Vec<[f64; 3]> {
    let mut sums: Vec<Option<[f64; 3]>> = vec![None; net.items.len()];
    let mut way = Vec::new();
    let mut on_way = vec![false; net.items.len()];
    for k in 0..net.items.len() {
        let mut at = k;
        let mut known = [0.0; 3];
        loop {
            if let Some(sum) = sums[at] {
                known = sum;
                break;
            }
            if on_way[at] {
                break; // items that feed each other
            }
            match step(at) {
                Some((lost, Some(next))) => {
                    on_way[at] = true;
                    way.push((at, lost));
                    at = next;
                }
                begins => {
                    known = begins.map_or([0.0; 3], |(lost, _)| lost);
                    sums[at] = Some(known);
                    break;
                }
            }
        }
        while let Some((item, lost)) = way.pop() {
            on_way[item] = false;
            known = sum(known, lost);
            sums[item] = Some(known);
        }
    }
    sums.into_iter().map(Option::unwrap_or_default).collect()
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
fn lost_in_plus(plan: &Plan, ends: &Ends, lost: &impl Fn(usize) -> [f64; 3]) -> [f64; 3] {
    match &ends.inside {
        Inside::Resistance(w) if matches!(plan.items[ends.item.0].part, Part::Fuse { .. }) => {
            lost(*w)
        }
        Inside::Contacts(Some(plus), _) => lost(*plus),
        Inside::Strip { plus, .. } => plus.clone().map(lost).fold([0.0; 3], sum),
        _ => [0.0; 3],
    }
}

/// Likewise in minus. Tracks and contacts are laid from the input on, so that what comes back runs
/// against them.
fn lost_in_minus(ends: &Ends, lost: &impl Fn(usize) -> [f64; 3]) -> [f64; 3] {
    let all = match &ends.inside {
        Inside::Contacts(_, minus) => lost(*minus),
        Inside::Strip { minus, .. } => minus.clone().map(lost).fold([0.0; 3], sum),
        _ => [0.0; 3],
    };
    at_each(|c| -all[c])
}
