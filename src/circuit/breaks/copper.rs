//! Copper and parts as a graph, current flowing along its edges: what `breaks` walks.

use super::dominators::{Graph, Room};
use super::{OpenAt, Place};
use crate::circuit::defects::Leg;
use crate::circuit::fused_runs::RunOf;
use crate::plan::{ItemId, LinkId, Part, Plan, Point};

/// Copper and parts. Every node is a place that can break, or a point that several things share.
pub(super) struct Copper {
    graph: Graph,
    /// What each node is.
    places: Vec<Option<Place>>,
    /// For each item: plus and minus end, its [`Place::Item`].
    pub ends: Vec<(Node, Node)>,
}

/// A node, by its number.
pub(super) type Node = u32;

/// Copper that is being laid.
struct Laid {
    places: Vec<Option<Place>>,
    /// The leg that each node is in.
    legs: Vec<Leg>,
    edges: Vec<(Node, Node)>,
    ends: Vec<(Node, Node)>,
}

impl Copper {
    /// Of a plan, as if these links were not there, and open here.
    pub fn of(plan: &Plan, without: &[LinkId], open: Option<OpenAt>) -> Copper {
        let mut copper = Laid {
            places: Vec::with_capacity(6 * plan.items.len()),
            legs: Vec::with_capacity(6 * plan.items.len()),
            edges: Vec::with_capacity(12 * plan.items.len()),
            ends: Vec::with_capacity(plan.items.len()),
        };
        // For each item its points: (plus, minus), of each output for a board.
        let mut points: Vec<Vec<(Option<Node>, Node)>> = Vec::new();
        for (i, item) in plan.items.iter().enumerate() {
            points.push(copper.item(plan, ItemId(i), &item.part));
        }
        let point = |p: Point| points[p.item.0].get(p.output.unwrap_or(0)).copied();
        for (i, item) in plan.items.iter().enumerate() {
            let (Some(feed), (plus, minus)) = (&item.feed, copper.ends[i]) else {
                continue;
            };
            let of = RunOf::Item(ItemId(i));
            if let Some((Some(from), _)) = point(feed.from) {
                copper.by_way_of(from, plus, Place::PlusLeg(of), Leg::Plus);
            }
            if let Some((_, to)) = point(feed.minus()) {
                copper.by_way_of(minus, to, Place::MinusLeg(of), Leg::Minus);
            }
        }
        for (k, link) in plan.links.iter().enumerate() {
            if without.contains(&LinkId(k)) {
                continue;
            }
            let of = RunOf::Link(LinkId(k));
            if let (Some(a), Some(b)) = (point(link.ends.0), point(link.ends.1)) {
                if let (Some(a), Some(b)) = (a.0, b.0) {
                    copper.by_way_of(a, b, Place::PlusLeg(of), Leg::Plus);
                }
                copper.by_way_of(a.1, b.1, Place::MinusLeg(of), Leg::Minus);
            }
        }
        if let Some(open) = open {
            copper.open(open);
        }
        Copper {
            graph: Graph::of(copper.places.len(), &copper.edges),
            places: copper.places,
            ends: copper.ends,
        }
    }

    /// Room to find what nodes lead to, one after the other.
    pub fn room(&self) -> Room {
        self.graph.room()
    }

    /// What a node leads to, in an order in which all that a node dominates stands right behind it:
    /// the place that it is, if it is one, and how many nodes it dominates, itself included.
    pub fn dominated_from(&self, root: Node, room: &mut Room) -> Vec<(Option<Place>, usize)> {
        let found = self.graph.from(root, room);
        let by = |k: usize| (k > 0).then(|| found.by[k] as usize);
        let mut size = vec![1; found.nodes.len()];
        for k in (0..found.nodes.len()).rev() {
            if let Some(by) = by(k) {
                size[by] += size[k];
            }
        }
        // Each has the next free place behind the one that dominates it.
        let mut order = vec![(None, 0); found.nodes.len()];
        let mut free = vec![0; found.nodes.len()];
        for (k, &node) in found.nodes.iter().enumerate() {
            let here = by(k).map_or(0, |by| free[by]);
            if let Some(by) = by(k) {
                free[by] += size[k];
            }
            free[k] = here + 1;
            order[here] = (self.places[node as usize], size[k]);
        }
        order
    }
}

impl Laid {
    fn node(&mut self, place: Option<Place>, leg: Leg) -> Node {
        self.places.push(place);
        self.legs.push(leg);
        Node::try_from(self.places.len() - 1).unwrap_or(Node::MAX)
    }

    /// The inside of an item, from its ends to its points, which it returns.
    fn item(&mut self, plan: &Plan, id: ItemId, part: &Part) -> Vec<(Option<Node>, Node)> {
        let plus = self.node(Some(Place::Item(id)), Leg::Plus);
        let minus = self.node(Some(Place::Item(id)), Leg::Minus);
        self.ends.push((plus, minus));
        let at_point = match part {
            Part::Joint => Some(Place::Joint(id)),
            _ => None,
        };
        let out_minus = self.node(at_point, Leg::Minus);
        match part {
            Part::Connector { .. } => {
                self.by_way_of(minus, out_minus, Place::MinusContact(id), Leg::Minus);
            }
            Part::Strip { .. } => self.by_way_of(minus, out_minus, Place::Tape(id), Leg::Minus),
            _ => self.joined(minus, out_minus),
        }
        if let Part::Board { module } = part {
            let outputs = &plan.modules[module.0].outputs;
            return outputs
                .iter()
                .map(|output| {
                    let out = (!output.sinks).then(|| self.node(None, Leg::Plus));
                    match out {
                        Some(out) if output.volts.is_some() => {
                            self.edges.push((plus, out));
                        }
                        Some(out) => self.joined(plus, out),
                        None => {}
                    }
                    (out, out_minus)
                })
                .collect();
        }
        let out = self.node(at_point, Leg::Plus);
        match part {
            Part::Diode { .. } | Part::Rectifier { .. } | Part::Regulator { .. } => {
                self.edges.push((plus, out));
            }
            Part::Connector { .. } => self.by_way_of(plus, out, Place::PlusContact(id), Leg::Plus),
            Part::Strip { .. } => self.by_way_of(plus, out, Place::Tape(id), Leg::Plus),
            _ => self.joined(plus, out),
        }
        vec![(Some(out), out_minus)]
    }

    /// Joins two nodes, either way.
    fn joined(&mut self, a: Node, b: Node) {
        self.edges.extend([(a, b), (b, a)]);
    }

    /// Joins two nodes by way of a place of its own, either way.
    fn by_way_of(&mut self, a: Node, b: Node, place: Place, leg: Leg) {
        let between = self.node(Some(place), leg);
        self.joined(a, between);
        self.joined(between, b);
    }

    /// Takes away what leads through an open place.
    fn open(&mut self, at: OpenAt) {
        let Laid {
            places,
            legs,
            edges,
            ends,
        } = self;
        let place = |node: Node| places.get(node as usize).copied().flatten();
        let leg = |node: Node| legs.get(node as usize).copied();
        edges.retain(|&(a, b)| match at {
            OpenAt::Place(open, of) => {
                let is_there = |node| place(node) == Some(open) && leg(node) == Some(of);
                !is_there(a) && !is_there(b)
            }
            OpenAt::Inside(item) => {
                let own = Some(Place::PlusLeg(RunOf::Item(item)));
                let plus = ends.get(item.0).map(|ends| ends.0);
                let is_inside = |end, other| Some(end) == plus && place(other) != own;
                !is_inside(a, b) && !is_inside(b, a)
            }
        });
    }
}
