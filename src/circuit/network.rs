//! What is connected to what: the nodes, legs and parts of one circuit, with what a scene leaves on.
//! This is the one place that says so.
//!
//! Minus passes straight through every item (a connector's second contact and a tape's track
//! excepted). What is off is cut from its plus leg and from the point that it hands on; that point
//! itself, what hangs on it and links to it remain.

use std::ops::Range;

use super::board::BoardDraw;
use super::copper;
use super::defects::{BRIDGE, Defects, Leg, Spot};
use super::figures::Corner;
use super::fused_runs::RunOf;
use super::lamp::Lamps;
use super::lists::Lists;
use super::loads::{Drain, LEAST_OHMS};
use super::one_way::OneWay;
use super::scene::On;
use super::supply::{Source, resistor_factor};
use super::tape;
use crate::plan::{Feed, ItemId, LinkId, Load, Part, Plan, Point, RegulatorWay};

/// Under this a wire counts as without resistance, ohms: 10 A change a voltage by a tenth of the
/// accuracy of the figures.
pub(crate) const NO_RESISTANCE: f64 = 1e-7;

/// The circuits of a plan: items that feeds and links join.
pub(crate) struct Circuits {
    /// Each circuit's items and links, in the order of the plan.
    pub list: Vec<(Vec<ItemId>, Vec<LinkId>)>,
    /// For each item, its circuit and its place within that.
    of: Vec<(usize, usize)>,
    /// The most lumps of a strip.
    most_lumps: u32,
}

/// For each item the circuit that it belongs to: all that copper joins.
pub fn circuit_of_each(plan: &Plan) -> Vec<usize> {
    let circuits = Circuits::of(plan).of.into_iter();
    circuits.map(|(circuit, _)| circuit).collect()
}

impl Circuits {
    /// Those of a plan.
    pub fn of(plan: &Plan) -> Circuits {
        let mut sets = Sets::new(plan.items.len());
        for (i, item) in plan.items.iter().enumerate() {
            if let Some(feed) = &item.feed {
                sets.join(i, feed.from.item.0);
                sets.join(i, feed.minus().item.0);
            }
        }
        for link in &plan.links {
            sets.join(link.ends.0.item.0, link.ends.1.item.0);
        }
        let mut number = vec![usize::MAX; plan.items.len()];
        let mut list: Vec<(Vec<ItemId>, Vec<LinkId>)> = Vec::new();
        let mut of = vec![(0, 0); plan.items.len()];
        for (i, place) in of.iter_mut().enumerate() {
            let root = sets.root(i);
            if number[root] == usize::MAX {
                number[root] = list.len();
                list.push(Default::default());
            }
            let items = &mut list[number[root]].0;
            *place = (number[root], items.len());
            items.push(ItemId(i));
        }
        for (k, link) in plan.links.iter().enumerate() {
            let root = sets.root(link.ends.0.item.0);
            list[number[root]].1.push(LinkId(k));
        }
        Circuits {
            list,
            of,
            most_lumps: tape::most_lumps(plan),
        }
    }

    /// The circuit of an item.
    pub fn of_item(&self, item: ItemId) -> usize {
        self.of[item.0].0
    }

    /// An item's place within its circuit.
    pub fn place(&self, item: ItemId) -> usize {
        self.of[item.0].1
    }
}

/// Sets of numbers that can be joined.
pub(crate) struct Sets(Vec<usize>);

impl Sets {
    pub fn new(size: usize) -> Sets {
        Sets((0..size).collect())
    }

    pub fn root(&mut self, mut x: usize) -> usize {
        while self.0[x] != x {
            self.0[x] = self.0[self.0[x]];
            x = self.0[x];
        }
        x
    }

    /// Joins the sets of two; false if they were one already. The lower root stays.
    pub fn join(&mut self, a: usize, b: usize) -> bool {
        let (a, b) = (self.root(a), self.root(b));
        self.0[a.max(b)] = a.min(b);
        a != b
    }
}

/// A resistance between two nodes: a leg, a fuse, a contact, a track, a resistor.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Wire {
    pub a: usize,
    pub b: usize,
    pub ohms: f64,
    /// It is a resistor, which strays in the corners.
    pub strays: bool,
}

impl Wire {
    /// Its resistance at a corner.
    pub fn ohms_at(&self, corner: Corner) -> f64 {
        if self.strays {
            self.ohms * resistor_factor(corner)
        } else {
            self.ohms
        }
    }

    /// Whether it counts as without resistance.
    pub fn is_nothing(&self) -> bool {
        self.ohms < NO_RESISTANCE || self.ohms.is_nan()
    }
}

/// Lamps between two nodes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LampPart {
    pub plus: usize,
    pub minus: usize,
    pub lamps: Lamps,
}

/// An output of a board.
#[derive(Clone, Copy, Debug)]
pub(crate) struct OutputEnds {
    /// Its plus; `None` where it sinks.
    pub plus: Option<usize>,
    pub minus: usize,
    /// Where it is regulated and on.
    pub one_way: Option<usize>,
}

/// What is inside an item; indices into the network's parts.
#[derive(Clone, Debug)]
pub(crate) enum Inside {
    /// Nothing but copper, or it is off or not reached.
    Nothing,
    Source(usize),
    /// A fuse or a resistor.
    Resistance(usize),
    /// Contacts in plus (unless it is off) and minus.
    Contacts(Option<usize>, usize),
    OneWay(usize),
    Strip {
        lamps: Range<usize>,
        plus: Range<usize>,
        minus: Range<usize>,
    },
    Lamps(usize),
    Board {
        draw: Option<usize>,
        outputs: Vec<OutputEnds>,
    },
    Draws(usize),
    Takes(usize),
    /// Index into [`Network::shunts`].
    Shunt(usize),
}

/// Where an item is in the network.
#[derive(Clone, Debug)]
pub(crate) struct Ends {
    pub item: ItemId,
    /// Its own ends, behind its run.
    pub plus: usize,
    pub minus: usize,
    /// The point that it hands on (for a board, see its outputs).
    pub out_plus: usize,
    pub out_minus: usize,
    /// Its legs.
    pub leg_plus: Option<usize>,
    pub leg_minus: Option<usize>,
    pub inside: Inside,
    /// Whether it is on itself, and its ends lead to plus and minus of one supply that is on.
    pub reached: bool,
}

/// The network of a circuit.
#[derive(Clone, Debug, Default)]
pub(crate) struct Network {
    /// How many nodes there are.
    pub nodes: usize,
    /// For each node, whether it leads to a supply that is on; the others are out of the equations.
    pub live: Vec<bool>,
    pub wires: Vec<Wire>,
    pub sources: Vec<Source>,
    pub lamps: Vec<LampPart>,
    pub one_ways: Vec<OneWay>,
    pub boards: Vec<BoardDraw>,
    pub draws: Vec<Drain>,
    pub takes: Vec<Drain>,
    /// Loads that are a resistance.
    pub shunts: Vec<Wire>,
    /// Pairs of nodes that the very small load is across; without a second, the ground.
    pub settles: Vec<(usize, Option<usize>)>,
    /// The circuit's items, in its order.
    pub items: Vec<Ends>,
    /// The circuit's links: their legs.
    pub links: Vec<(Option<usize>, Option<usize>)>,
    /// For each source its item; likewise for the parts that pass one way.
    pub source_items: Vec<ItemId>,
}

/// A strip's lumps: where each is between, and how many groups it has.
type Lumps = Vec<(usize, usize, u32)>;

impl Network {
    /// The network of the `which`th circuit of a plan, with this on.
    pub fn of(plan: &Plan, circuits: &Circuits, which: usize, on: &On) -> Network {
        Network::with(plan, circuits, which, on, &Defects::default())
    }

    /// The same with something wrong.
    pub fn with(
        plan: &Plan,
        circuits: &Circuits,
        which: usize,
        on: &On,
        wrong: &Defects,
    ) -> Network {
        let (items, links) = &circuits.list[which];
        // Most items have a leg in plus, one in minus, and are lamps.
        let mut net = Network {
            wires: Vec::with_capacity(2 * (items.len() + links.len())),
            lamps: Vec::with_capacity(items.len()),
            items: Vec::with_capacity(items.len()),
            links: Vec::with_capacity(links.len()),
            ..Network::default()
        };
        let mut strips: Vec<Lumps> = Vec::with_capacity(items.len());
        for &id in items {
            let lumps = net.place_item(plan, id, on, circuits.most_lumps, wrong);
            strips.push(lumps);
        }
        let place = |item: ItemId| circuits.place(item);
        for (k, &id) in items.iter().enumerate() {
            if let Some(feed) = &plan.items[id.0].feed {
                let (plus, minus) = net.feed_legs(plan, k, feed, on.items[id.0], &place, wrong);
                net.items[k].leg_plus = plus;
                net.items[k].leg_minus = minus;
            }
        }
        for &id in links {
            let link = &plan.links[id.0];
            let ohms = copper::run_leg(plan, link.run.as_ref()).value;
            let a = net.point(link.ends.0, &place, wrong);
            let b = net.point(link.ends.1, &place, wrong);
            let more = |leg| wrong.ohms_at(Spot::Wire(RunOf::Link(id), leg));
            let plus = a.0.zip(b.0);
            let plus = plus.and_then(|(a, b)| net.leg(a, b, ohms + more(Leg::Plus)));
            let minus = net.leg(a.1, b.1, ohms + more(Leg::Minus));
            net.links.push((plus, minus));
        }
        net.find_reached(on, wrong.swaps());
        for run in wrong.bridged() {
            let ahead = match run {
                RunOf::Item(item) => ballast_ahead(&plan.items[item.0].part),
                RunOf::Link(_) => None,
            };
            let ends = match run {
                RunOf::Item(item) => {
                    let ends = &net.items[place(item)];
                    Some((ends.plus, ends.minus))
                }
                RunOf::Link(link) => {
                    let legs = links.iter().position(|&id| id == link);
                    let legs = legs.and_then(|k| net.links[k].0.zip(net.links[k].1));
                    legs.map(|(plus, minus)| (net.wires[plus].b, net.wires[minus].b))
                }
            };
            if let Some((plus, minus)) = ends {
                net.bridge(plus, minus, ahead.unwrap_or(0.0));
            }
        }
        for (k, lumps) in strips.iter().enumerate() {
            let item = net.items[k].item;
            let is_dead = wrong.is_dead(item)
                || wrong.is_bridged(item) && ballast_ahead(&plan.items[item.0].part).is_some();
            if net.items[k].reached && !is_dead {
                net.place_consumer(plan, k, lumps);
            }
        }
        net.place_settling_loads();
        net
    }

    fn node(&mut self) -> usize {
        self.nodes += 1;
        self.nodes - 1
    }

    fn wire(&mut self, a: usize, b: usize, ohms: f64) -> usize {
        self.wires.push(Wire {
            a,
            b,
            ohms,
            strays: false,
        });
        self.wires.len() - 1
    }

    /// A wire between two nodes, unless it is open.
    fn leg(&mut self, a: usize, b: usize, ohms: f64) -> Option<usize> {
        (ohms != f64::INFINITY).then(|| self.wire(a, b, ohms))
    }

    /// Plus and minus touch, with this resistance ahead of them.
    fn bridge(&mut self, a: usize, b: usize, ahead: f64) {
        if self.live[a] && self.live[b] {
            self.shunts.push(Wire {
                a,
                b,
                ohms: BRIDGE + ahead,
                strays: false,
            });
        }
    }

    /// A wire onwards from a node to a new one, or nothing where it would be without resistance; where it is open, a new
    /// node alone.
    fn onward(&mut self, from: usize, ohms: f64) -> (usize, Option<usize>) {
        if ohms == f64::INFINITY {
            (self.node(), None)
        } else if ohms >= NO_RESISTANCE {
            let to = self.node();
            let wire = self.wire(from, to, ohms);
            (to, Some(wire))
        } else {
            (from, None)
        }
    }

    fn one_way(&mut self, part: OneWay) -> usize {
        self.one_ways.push(part);
        self.one_ways.len() - 1
    }

    /// Places an item's nodes and what it hands power on through.
    fn place_item(
        &mut self,
        plan: &Plan,
        id: ItemId,
        on: &On,
        most_lumps: u32,
        wrong: &Defects,
    ) -> Lumps {
        let (plus, minus) = (self.node(), self.node());
        let is_on = on.items[id.0];
        let dead = wrong.is_dead(id);
        let (mut out_plus, mut out_minus) = (plus, minus);
        let mut inside = Inside::Nothing;
        let mut lumps = Lumps::new();
        let part = &plan.items[id.0].part;
        if !is_on {
            out_plus = self.node();
        }
        match part {
            Part::Supply(_) if is_on && dead => {}
            Part::Supply(supply) if is_on => {
                let (plus, minus) = match wrong.is_swapped(id) {
                    true => (minus, plus),
                    false => (plus, minus),
                };
                self.sources.push(Source {
                    plus,
                    minus,
                    volts: supply.volts.value * wrong.strength(id),
                    tolerance: supply.tolerance.value,
                    ohms: supply.resistance.value,
                });
                self.source_items.push(id);
                inside = Inside::Source(self.sources.len() - 1);
            }
            Part::Fuse { .. }
            | Part::Resistor { .. }
            | Part::Switch { .. }
            | Part::Diode { .. }
            | Part::Rectifier { .. }
            | Part::Regulator { .. }
                if is_on && dead =>
            {
                out_plus = self.node();
            }
            Part::Fuse { resistance, .. } if is_on => {
                let (to, wire) = self.onward(plus, resistance.value);
                out_plus = to;
                inside = wire.map_or(Inside::Nothing, Inside::Resistance);
            }
            Part::Resistor { ohms, .. } if is_on => {
                let (to, wire) = self.onward(plus, ohms.value);
                out_plus = to;
                if let Some(wire) = wire {
                    self.wires[wire].strays = true;
                    inside = Inside::Resistance(wire);
                }
            }
            Part::Connector { contact, .. } => {
                let more = |leg| match dead {
                    true => f64::INFINITY,
                    false => wrong.ohms_at(Spot::Contact(id, leg)),
                };
                let contact_plus = if is_on {
                    let (to, wire) = self.onward(plus, contact.value + more(Leg::Plus));
                    out_plus = to;
                    wire
                } else {
                    None
                };
                let (to, wire) = self.onward(minus, contact.value + more(Leg::Minus));
                out_minus = to;
                if let Some(wire) = wire {
                    inside = Inside::Contacts(contact_plus, wire);
                }
            }
            Part::Joint => {
                let resists = |leg| match wrong.ohms_at(Spot::Joint(id, leg)) {
                    // Every wire hangs loose then: see `point`.
                    f64::INFINITY => 0.0,
                    ohms => ohms,
                };
                if is_on {
                    out_plus = self.onward(plus, resists(Leg::Plus)).0;
                }
                out_minus = self.onward(minus, resists(Leg::Minus)).0;
            }
            Part::Diode { drops } | Part::Rectifier { drops } if is_on => {
                out_plus = self.node();
                inside = Inside::OneWay(self.one_way(OneWay {
                    input: plus,
                    output: out_plus,
                    minus,
                    drops: drops.value,
                    holds: f64::INFINITY,
                    efficiency: None,
                }));
            }
            Part::Regulator { volts, way, .. } if is_on => {
                out_plus = self.node();
                let (drops, efficiency) = match *way {
                    RegulatorWay::Linear { dropout } => (dropout.value, None),
                    RegulatorWay::Switching { efficiency } => (0.0, Some(efficiency.value)),
                };
                inside = Inside::OneWay(self.one_way(OneWay {
                    input: plus,
                    output: out_plus,
                    minus,
                    drops,
                    holds: volts.value,
                    efficiency,
                }));
            }
            Part::Strip { tape, groups, .. } => {
                let tape = &plan.tapes[tape.0];
                let cuts = wrong.in_track(id);
                let (sizes, tracks) = tape::lumps_cut(tape, *groups, most_lumps, &cuts);
                if is_on {
                    let first = self.wires.len();
                    let mut at = plus;
                    let mut taps = Vec::with_capacity(sizes.len());
                    for &ohms in &tracks[0] {
                        at = self.onward(at, ohms).0;
                        taps.push(at);
                    }
                    out_plus = at;
                    let middle = self.wires.len();
                    let mut at = minus;
                    for (k, &ohms) in tracks[1].iter().enumerate() {
                        at = self.onward(at, ohms).0;
                        if let Some(&size) = sizes.get(k) {
                            lumps.push((taps[k], at, size));
                        }
                    }
                    out_minus = at;
                    inside = Inside::Strip {
                        lamps: 0..0,
                        plus: first..middle,
                        minus: middle..self.wires.len(),
                    };
                } else {
                    let first = self.wires.len();
                    out_minus = self.onward(minus, tracks[1].iter().sum()).0;
                    inside = Inside::Strip {
                        lamps: 0..0,
                        plus: first..first,
                        minus: first..self.wires.len(),
                    };
                }
            }
            Part::Board { module } => {
                let outputs = &plan.modules[module.0].outputs;
                let mut ends = Vec::with_capacity(outputs.len());
                for (o, output) in outputs.iter().enumerate() {
                    let output_on = is_on && on.outputs[id.0][o] && !wrong.is_dead_output(id, o);
                    let mut one_way = None;
                    let (p, m) = if output.sinks {
                        let m = if output_on { minus } else { self.node() };
                        (None, m)
                    } else if !output_on {
                        (Some(self.node()), minus)
                    } else if let Some(volts) = output.volts {
                        let p = self.node();
                        one_way = Some(self.one_way(OneWay {
                            input: plus,
                            output: p,
                            minus,
                            drops: 0.0,
                            holds: volts.value,
                            efficiency: None,
                        }));
                        (Some(p), minus)
                    } else {
                        (Some(plus), minus)
                    };
                    ends.push(OutputEnds {
                        plus: p,
                        minus: m,
                        one_way,
                    });
                }
                inside = Inside::Board {
                    draw: None,
                    outputs: ends,
                };
            }
            _ => {}
        }
        self.items.push(Ends {
            item: id,
            plus,
            minus,
            out_plus,
            out_minus,
            leg_plus: None,
            leg_minus: None,
            inside,
            reached: false,
        });
        lumps
    }

    /// The nodes of a point.
    fn point(
        &mut self,
        point: Point,
        place: &dyn Fn(ItemId) -> usize,
        wrong: &Defects,
    ) -> (Option<usize>, usize) {
        // Of a joint that has come apart, each wire has an end of its own.
        let loose = |leg| wrong.ohms_at(Spot::Joint(point.item, leg)) == f64::INFINITY;
        let (loose_plus, loose_minus) = (loose(Leg::Plus), loose(Leg::Minus));
        let loose = self.nodes;
        self.nodes += usize::from(loose_plus) + usize::from(loose_minus);
        let ends = &self.items[place(point.item)];
        if let (Inside::Board { outputs, .. }, Some(o)) = (&ends.inside, point.output)
            && let Some(output) = outputs.get(o)
        {
            return (output.plus, output.minus);
        }
        let out_minus = match loose_minus {
            true => loose + usize::from(loose_plus),
            false => ends.out_minus,
        };
        let out_plus = if loose_plus { loose } else { ends.out_plus };
        (Some(out_plus), out_minus)
    }

    /// The legs of an item; without a plus leg where it is off or its point has no plus.
    fn feed_legs(
        &mut self,
        plan: &Plan,
        k: usize,
        feed: &Feed,
        on: bool,
        place: &dyn Fn(ItemId) -> usize,
        wrong: &Defects,
    ) -> (Option<usize>, Option<usize>) {
        let Ends {
            item, plus, minus, ..
        } = self.items[k];
        let ohms = copper::run_leg(plan, feed.run.as_ref()).value;
        let back = feed.back_run.as_ref().or(feed.run.as_ref());
        let back_ohms = copper::run_leg(plan, back).value;
        let from = self.point(feed.from, place, wrong).0.filter(|_| on);
        let to = self.point(feed.minus(), place, wrong).1;
        let more = |leg| wrong.ohms_at(Spot::Wire(RunOf::Item(item), leg));
        let (more_plus, more_minus) = (more(Leg::Plus), more(Leg::Minus));
        let (plus, minus) = match wrong.is_swapped(item) {
            true => (minus, plus),
            false => (plus, minus),
        };
        let leg_plus = from.and_then(|from| self.leg(from, plus, ohms + more_plus));
        (leg_plus, self.leg(minus, to, back_ohms + more_minus))
    }

    /// Finds what is reached: plus ends through parts that pass one way only forwards, minus ends
    /// along copper, both from the same supply. Where feeds may be swapped, plus ends must lead to its plus, minus
    /// ends to its minus.
    fn find_reached(&mut self, on: &On, swaps: bool) {
        // What copper joins is one piece, and reached together.
        let mut sets = Sets::new(self.nodes);
        for wire in &self.wires {
            sets.join(wire.a, wire.b);
        }
        let piece: Vec<usize> = (0..self.nodes).map(|node| sets.root(node)).collect();
        let one_ways = self.one_ways.iter();
        let one_ways = one_ways.map(|part| (short(piece[part.input]), short(piece[part.output])));
        let next = Lists::of(self.nodes, one_ways);
        let mut live = vec![false; self.nodes];
        for source in &self.sources {
            let ends = [piece[source.plus], piece[source.minus]];
            let seen = flood(&ends, &next);
            let from = ends.map(|end| swaps.then(|| flood(&[end], &next)));
            let leads =
                |from: &Option<Vec<bool>>, node: usize| from.as_ref().unwrap_or(&seen)[piece[node]];
            for ends in &mut self.items {
                let is_seen = leads(&from[0], ends.plus) && leads(&from[1], ends.minus);
                ends.reached |= on.items[ends.item.0] && is_seen;
            }
            for (live, seen) in live.iter_mut().zip(&seen) {
                *live |= seen;
            }
        }
        self.live = piece.iter().map(|&piece| live[piece]).collect();
    }

    /// Places what consumes in an item that is reached.
    fn place_consumer(&mut self, plan: &Plan, k: usize, strip: &Lumps) {
        let Ends {
            item, plus, minus, ..
        } = self.items[k];
        let drain = |amount: f64| Drain {
            plus,
            minus,
            amount,
            item: item.0,
        };
        match &plan.items[item.0].part {
            Part::Strip { tape, .. } => {
                let tape = &plan.tapes[tape.0];
                let first = self.lamps.len();
                // Behind a crack nothing may be fed.
                let fed = |plus: usize, minus: usize| self.live[plus] && self.live[minus];
                let fed: Vec<_> = (strip.iter())
                    .filter(|lump| lump.2 > 0 && fed(lump.0, lump.1))
                    .collect();
                for &&(plus, minus, groups) in &fed {
                    self.lamps.push(LampPart {
                        plus,
                        minus,
                        lamps: tape::groups(tape, groups),
                    });
                }
                let last = self.lamps.len();
                if let Inside::Strip { lamps, .. } = &mut self.items[k].inside {
                    *lamps = first..last;
                }
            }
            Part::Lamps {
                led,
                count,
                resistor,
                ..
            } if *count > 0 => {
                self.lamps.push(LampPart {
                    plus,
                    minus,
                    lamps: Lamps {
                        curve: plan.leds[led.0].curve,
                        count: f64::from(*count),
                        ohms: resistor.map_or(0.0, |r| r.ohms.value),
                        times: 1.0,
                    },
                });
                self.items[k].inside = Inside::Lamps(self.lamps.len() - 1);
            }
            Part::Board { module } => {
                let module = &plan.modules[module.0];
                self.boards.push(BoardDraw {
                    plus,
                    minus,
                    amps: module.draws.value,
                    lower: module.works.map_or(0.0, |w| w.0.value),
                });
                let index = self.boards.len() - 1;
                if let Inside::Board { draw, .. } = &mut self.items[k].inside {
                    *draw = Some(index);
                }
            }
            Part::Load(Load::Draws(amps, _)) => {
                self.draws.push(drain(amps.value));
                self.items[k].inside = Inside::Draws(self.draws.len() - 1);
            }
            Part::Load(Load::Takes(power)) => {
                self.takes.push(drain(power.value));
                self.items[k].inside = Inside::Takes(self.takes.len() - 1);
            }
            Part::Load(Load::Resistance(ohms)) => {
                self.shunts.push(Wire {
                    a: plus,
                    b: minus,
                    ohms: ohms.value.max(LEAST_OHMS),
                    strays: false,
                });
                self.items[k].inside = Inside::Shunt(self.shunts.len() - 1);
            }
            _ => {}
        }
    }

    /// A voltage that nothing settles is what a very small load there would see.
    fn place_settling_loads(&mut self) {
        let mut settles = Vec::with_capacity(self.items.len() + self.items.len() / 4);
        for ends in &self.items {
            let mut across = |plus: usize, minus: usize| {
                if self.live[plus] {
                    settles.push((plus, Some(minus).filter(|&m| self.live[m])));
                }
            };
            across(ends.plus, ends.minus);
            if ends.out_plus != ends.plus {
                across(ends.out_plus, ends.out_minus);
            }
            if let Inside::Board { outputs, .. } = &ends.inside {
                for output in outputs {
                    if let Some(plus) = output.plus.filter(|&p| p != ends.plus) {
                        across(plus, output.minus);
                    }
                }
            }
        }
        self.settles = settles;
    }
}

/// The resistor of a lamp that sits at the start of its run, so that wires that touch there do so behind it, ohms.
pub(crate) fn ballast_ahead(part: &Part) -> Option<f64> {
    match part {
        Part::Lamps {
            resistor: Some(resistor),
            ..
        } if !resistor.at_lamp => Some(resistor.ohms.value),
        _ => None,
    }
}

fn short(node: usize) -> u32 {
    u32::try_from(node).unwrap_or(u32::MAX)
}

/// The nodes that these lead to.
fn flood(from: &[usize], next: &Lists) -> Vec<bool> {
    let mut reached = vec![false; next.len()];
    let mut todo = from.to_vec();
    for &node in from {
        reached[node] = true;
    }
    while let Some(node) = todo.pop() {
        for to in next.of_node(short(node)).iter().map(|&to| to as usize) {
            if !std::mem::replace(&mut reached[to], true) {
                todo.push(to);
            }
        }
    }
    reached
}
