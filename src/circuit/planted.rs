//! A plan with something wrong in it, solved: what each light then gets, and what a meter reads where.
//!
//! All is typical figures, in one state of the model. What protects itself acts: where wires touch or a feed is swapped, and
//! more flows than in the whole plan, regulators and outputs give up at [`GIVES_UP`] times their limit; then the fuse that gets the
//! most times its rating blows, if that is sure ([`clearing::SURE`]); then supplies give up. A load that gets no voltage takes
//! nothing.

use super::clearing::SURE;
use super::defects::{Defect, Defects, Leg};
use super::equations::Equations;
use super::figures::{Corner, NoSolutionCause};
use super::fused_runs::RunOf;
use super::linear::Workspace;
use super::network::{Circuits, Ends, Inside, Network, Sets};
use super::read_off::read_off;
use super::scene::On;
use super::settle::{Settled, Trouble};
use super::solve::{Stop, at_corner, take_turns};
use super::{ItemFigures, shorts};
use crate::plan::{Choice, ItemId, LinkId, Part, Plan, Point};
use crate::units::{ElectricCurrent, ElectricPotential, amps, volts};

/// A source of limited current gives up at so many times its limit (common practice: its overload protection acts between
/// 110 and 150 %).
const GIVES_UP: f64 = 1.5;

/// A group of a strip that draws less is dark, amperes.
const LIT: f64 = 1e-5;

/// The limit of a supply that states none, amperes: more than the adapters and cells of models give into a short for long (common
/// practice).
const UNSTATED: f64 = 10.0;

/// A plan in one state of the model, to plant something in.
pub struct Planted<'a> {
    plan: &'a Plan,
    circuits: Circuits,
    on: On,
    /// For each circuit what it is when whole; `None` where it then has no solution.
    whole: Vec<Option<State>>,
    stop: Stop<'a>,
}

/// A circuit as it settles.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// For each of the circuit's items.
    at: Vec<At>,
    /// What has blown or given up, fuses and sources, in the order in which they did.
    pub gave_up: Vec<Defect>,
}

/// An item's ends.
#[derive(Clone, Copy, Debug, Default)]
struct At {
    draws: f64,
    /// Of a strip, how many of its groups are lit.
    groups: f64,
    passes: f64,
    /// Its plus and its minus end: what lies there, and the part of the circuit that settles it; `None` where nothing does.
    plus: Option<(f64, usize)>,
    minus: Option<(f64, usize)>,
}

impl<'a> Planted<'a> {
    /// A plan with this on. `None` where it is stopped.
    pub fn of(plan: &'a Plan, choice: &Choice, stop: Stop<'a>) -> Option<Planted<'a>> {
        let circuits = Circuits::of(plan);
        let mut on = On::of(plan, choice);
        take_turns(plan, &circuits, &mut on, stop).ok()?;
        let mut planted = Planted {
            plan,
            on,
            whole: Vec::new(),
            circuits,
            stop,
        };
        for which in 0..planted.circuits.list.len() {
            let solved = planted.solved(which, &Defects::default());
            if stop() {
                return None;
            }
            planted.whole.push(solved.ok().map(|(state, _)| state));
        }
        Some(planted)
    }

    /// How many circuits there are.
    pub fn circuits(&self) -> usize {
        self.circuits.list.len()
    }

    /// The circuit of an item.
    pub fn circuit_of(&self, item: ItemId) -> usize {
        self.circuits.of_item(item)
    }

    /// The items and links of a circuit.
    pub fn members(&self, which: usize) -> (&[ItemId], &[LinkId]) {
        let (items, links) = &self.circuits.list[which];
        (items, links)
    }

    /// Whether the state of the model leaves an item on.
    pub fn is_on(&self, item: ItemId) -> bool {
        self.on.items[item.0]
    }

    /// Whether the state of the model leaves a point on.
    pub fn is_point_on(&self, point: Point) -> bool {
        let outputs = &self.on.outputs[point.item.0];
        let output = point.output.and_then(|o| outputs.get(o)).copied();
        self.is_on(point.item) && output.unwrap_or(true)
    }

    /// A circuit when whole; `None` where it has no solution.
    pub fn whole(&self, which: usize) -> Option<&State> {
        self.whole[which].as_ref()
    }

    /// A circuit with something wrong in it; `None` where that has no solution.
    pub fn with(&self, which: usize, wrong: &[Defect]) -> Option<State> {
        let whole = self.whole(which)?;
        let mut wrong = Defects(wrong.to_vec());
        let protects = |defect: &Defect| matches!(defect, Defect::Bridged(_) | Defect::Swapped(_));
        let may_give_up = wrong.0.iter().any(protects);
        let mut gave_up = Vec::new();
        // Each round something more is out.
        for _ in 0..=2 * self.circuits.list[which].0.len() {
            if (self.stop)() {
                return None;
            }
            let more = match self.solved(which, &wrong) {
                Ok((mut state, figures)) => {
                    let next = match may_give_up {
                        true => self.next_to_give_up(which, whole, &figures, &wrong),
                        false => Vec::new(),
                    };
                    if next.is_empty() {
                        state.gave_up = gave_up;
                        return Some(state);
                    }
                    gave_up.extend(&next);
                    next
                }
                Err(Trouble::None(item, NoSolutionCause::Starved)) => vec![Defect::Dead(item)],
                Err(Trouble::None(_, NoSolutionCause::Unsettled) | Trouble::Stopped) => {
                    return None;
                }
                // Nothing limits what flows: the fuse next ahead goes, or the supply.
                Err(Trouble::None(..)) if may_give_up => {
                    let next = self.next_ahead(which, &wrong)?;
                    gave_up.push(next);
                    vec![next]
                }
                Err(Trouble::None(..)) => return None,
            };
            if more.iter().all(|defect| wrong.0.contains(defect)) {
                return None;
            }
            wrong.0.extend(more);
        }
        None
    }

    fn solved(&self, which: usize, wrong: &Defects) -> Result<(State, Vec<ItemFigures>), Trouble> {
        let net = Network::with(self.plan, &self.circuits, which, &self.on, wrong);
        let equations = Equations::of(&net);
        let settled = at_corner(
            &equations,
            Corner::Typical,
            &mut Workspace::default(),
            self.stop,
        )?;
        let at = read_ends(&net, &settled);
        let figures = read_off(
            self.plan,
            &net,
            &[settled.clone(), settled.clone(), settled],
        );
        let at = at.into_iter().zip(&figures.items);
        let at = at.map(|(ends, own)| At {
            draws: own.amps.typical.value,
            passes: own.passes.typical.value,
            ..ends
        });
        let state = State {
            at: at.collect(),
            gave_up: Vec::new(),
        };
        Ok((state, figures.items))
    }

    /// What blows or gives up next.
    fn next_to_give_up(
        &self,
        which: usize,
        whole: &State,
        figures: &[ItemFigures],
        wrong: &Defects,
    ) -> Vec<Defect> {
        let items = self.circuits.list[which]
            .0
            .iter()
            .zip(figures)
            .zip(&whole.at);
        let items = items.filter(|((item, _), _)| !wrong.is_dead(**item));
        let (mut sources, mut supplies) = (Vec::new(), Vec::new());
        let mut fuse: Option<(f64, ItemId)> = None;
        let mut supply_limit = Some(0.0);
        for ((&item, own), whole) in items {
            let over = |amps: f64, limit: f64| amps.is_finite() && amps > GIVES_UP * limit;
            let more = own.passes.typical.value.abs() > 1.01 * whole.passes.abs();
            match &self.plan.items[item.0].part {
                Part::Regulator { limit, .. } if over(own.gives.typical.value, limit.value) => {
                    sources.push(Defect::Dead(item));
                }
                Part::Board { module } => {
                    let outputs = self.plan.modules[module.0].outputs.iter();
                    for (o, (output, own)) in outputs.zip(&own.outputs).enumerate() {
                        if over(own.amps.typical.value.abs(), output.limit.value)
                            && more
                            && !wrong.is_dead_output(item, o)
                        {
                            let output = Some(o);
                            sources.push(Defect::DeadOutput(Point { item, output }));
                        }
                    }
                }
                Part::Supply(supply) => {
                    let limit = supply.limit.map(|limit| limit.value);
                    supply_limit = supply_limit.zip(limit).map(|(sum, limit)| sum + limit);
                    let limit = limit.unwrap_or(UNSTATED);
                    if more && over(own.passes.typical.value.abs(), limit) {
                        supplies.push(Defect::Dead(item));
                    }
                }
                Part::Fuse { rating, .. } if more => {
                    let times = own.passes.typical.value.abs() / rating.value;
                    if fuse.is_none_or(|(most, _)| times > most * (1.0 + 1e-9)) {
                        fuse = Some((times, item));
                    }
                }
                _ => {}
            }
        }
        if !sources.is_empty() {
            return sources;
        }
        // No more than the supplies give comes through a fuse.
        let gets =
            |(times, fuse): &(f64, ItemId)| match (&self.plan.items[fuse.0].part, supply_limit) {
                (Part::Fuse { rating, .. }, Some(limit)) => times.min(limit / rating.value),
                _ => *times,
            };
        match fuse.filter(|fuse| gets(fuse) >= SURE) {
            Some((_, fuse)) => vec![Defect::Dead(fuse)],
            None => supplies,
        }
    }

    /// The fuse next ahead of what is wrong, else the supply.
    fn next_ahead(&self, which: usize, wrong: &Defects) -> Option<Defect> {
        let at = wrong.0.iter().find_map(|defect| match defect {
            Defect::Bridged(run) => Some(*run),
            Defect::Swapped(item) => Some(RunOf::Item(*item)),
            _ => None,
        })?;
        let short = match at {
            RunOf::Item(item) => shorts::short_at(self.plan, item),
            RunOf::Link(link) => shorts::short_on_link(self.plan, link),
        };
        let fuse = short.as_ref().and_then(|short| short.fuse);
        let items = &self.circuits.list[which].0;
        let is_supply = |item: &&ItemId| {
            matches!(self.plan.items[item.0].part, Part::Supply(_)) && !wrong.is_dead(**item)
        };
        let supply =
            || short.map_or_else(|| items.iter().find(is_supply).copied(), |s| Some(s.supply));
        let next = fuse.filter(|fuse| !wrong.is_dead(*fuse)).or_else(supply)?;
        Some(Defect::Dead(next))
    }

    /// What flows inside a light, a board or a load.
    pub fn draws(&self, state: &State, item: ItemId) -> ElectricCurrent {
        amps(state.at[self.circuits.place(item)].draws)
    }

    /// Whether all groups of a strip that are lit in one state are in another.
    pub fn as_many_groups(&self, state: &State, whole: &State, strip: ItemId) -> bool {
        let groups = |state: &State| state.at[self.circuits.place(strip)].groups;
        groups(state) >= groups(whole)
    }

    /// What a meter reads from the plus end of one item of a circuit to the minus end of another: nothing where one of them
    /// leads nowhere.
    pub fn between(&self, state: &State, plus: ItemId, minus: ItemId) -> ElectricPotential {
        let plus = state.at[self.circuits.place(plus)].plus;
        let minus = state.at[self.circuits.place(minus)].minus;
        volts(match (plus, minus) {
            (Some((plus, of)), Some((minus, with))) if of == with => plus - minus,
            _ => 0.0,
        })
    }

    /// Whether an end of an item leads to a supply that gives.
    pub fn leads(&self, state: &State, item: ItemId, leg: Leg) -> bool {
        let at = &state.at[self.circuits.place(item)];
        match leg {
            Leg::Plus => at.plus.is_some(),
            Leg::Minus => at.minus.is_some(),
        }
    }
}

/// What lies at the ends of a circuit's items, and which part of it settles that.
fn read_ends(net: &Network, settled: &Settled) -> Vec<At> {
    let mut parts = Sets::new(net.nodes);
    let pairs = net.wires.iter().chain(&net.shunts).map(|w| (w.a, w.b));
    let sources = net.sources.iter().map(|s| (s.plus, s.minus));
    let one_ways = net.one_ways.iter().map(|p| (p.input, p.output));
    let lamps = net.lamps.iter().map(|l| (l.plus, l.minus));
    for (a, b) in pairs.chain(sources).chain(one_ways).chain(lamps) {
        if net.live[a] && net.live[b] {
            parts.join(a, b);
        }
    }
    let mut end = |node: usize| net.live[node].then(|| (settled.volts[node], parts.root(node)));
    let groups = |ends: &Ends| match &ends.inside {
        Inside::Strip { lamps, .. } => {
            let lit = lamps.clone().filter(|&k| {
                let times = net.lamps[k].lamps.times;
                settled.lamps[k] > LIT * times
            });
            lit.map(|k| net.lamps[k].lamps.times).sum()
        }
        _ => 0.0,
    };
    let ends = net.items.iter();
    ends.map(|ends| At {
        groups: groups(ends),
        plus: end(ends.plus),
        minus: end(ends.minus),
        ..At::default()
    })
    .collect()
}
