//! Lines beside the tree: minus legs that return to another point, and links. Each leaves its node upwards, runs along the
//! top of the node's row to the right, beyond everything, and there up or down. Nothing of the tree crosses the top of a row
//! to the right of a node of that row, so these lines cross none of it.

use std::collections::BTreeMap;

use super::cells::{self, RunCell};
use super::letters;
use super::picture::{Ink, Legs};
use super::placing::Places;
use super::tree::{NodeId, Tree};
use super::words::Said;
use crate::plan::{ItemId, LinkId, Point};

/// So wide may the words on a line beside the tree be.
const MOST: f64 = 48.0;

/// Whose line it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Owner {
    /// The minus leg of an item.
    Return(ItemId),
    /// The place where minus legs come back to.
    Target,
    /// An end of a link; `true`: the one that stands for it.
    Link(LinkId, bool),
}

/// A line from a node along the top of its row.
#[derive(Clone, Debug)]
pub struct Lane {
    /// The node.
    pub node: NodeId,
    /// Whose it is.
    pub owner: Owner,
    /// Which of the lines that end at the node.
    pub stub: usize,
    /// The words on it.
    pub words: Option<String>,
    /// The legs.
    pub legs: Legs,
    /// The way up or down that it leads to; none where its other end is not on this sheet.
    pub route: Option<usize>,
}

/// A way up or down, to the right of everything.
#[derive(Clone, Debug)]
pub struct Route {
    /// The legs.
    pub legs: Legs,
}

/// All lines beside the trees.
#[derive(Clone, Debug, Default)]
pub struct Lanes {
    /// The lines.
    pub lanes: Vec<Lane>,
    /// The ways.
    pub routes: Vec<Route>,
    stubs: BTreeMap<NodeId, usize>,
}

/// What is known of the trees.
pub struct Known<'a> {
    /// The plan and its figures.
    pub said: Said<'a>,
    /// Its trees.
    pub tree: &'a Tree,
    /// Where the nodes stand.
    pub places: &'a Places,
    /// What is said of a point that is drawn on another sheet, or not at all.
    pub elsewhere: &'a dyn Fn(Point) -> String,
}

impl Lanes {
    /// Those of a plan.
    pub fn of(known: &Known) -> Lanes {
        let mut lanes = Lanes::default();
        lanes.returns(known);
        lanes.links(known);
        lanes
    }

    /// How many end at a node.
    pub fn at(&self, node: NodeId) -> usize {
        self.stubs.get(&node).copied().unwrap_or(0)
    }

    fn add(
        &mut self,
        node: NodeId,
        owner: Owner,
        words: Option<String>,
        legs: Legs,
        route: Option<usize>,
    ) {
        let stub = self.stubs.entry(node).or_insert(0);
        self.lanes.push(Lane {
            node,
            owner,
            stub: *stub,
            words,
            legs,
            route,
        });
        *stub += 1;
    }

    fn route(&mut self, legs: Legs) -> usize {
        self.routes.push(Route { legs });
        self.routes.len() - 1
    }

    /// Minus legs of their own. All that come back to one point share a way.
    fn returns(&mut self, known: &Known) {
        let mut routes: BTreeMap<(usize, NodeId), usize> = BTreeMap::new();
        let mut from_elsewhere: BTreeMap<NodeId, Vec<ItemId>> = BTreeMap::new();
        for (index, item) in known.said.plan.items.iter().enumerate() {
            let id = ItemId(index);
            let Some(feed) = &item.feed else { continue };
            let Some(back) = feed.back else { continue };
            let target = known.tree.at(back);
            let target = target.filter(|&t| known.places.at(t).is_some());
            let Some(place) = known.places.at(index) else {
                if let Some(there) = target {
                    from_elsewhere.entry(there).or_default().push(id);
                }
                continue;
            };
            let legs = match cells::legs(known.said.plan, feed.back_run.as_ref()) {
                Legs::Both(_, minus) => Legs::One(minus),
                one => one,
            };
            let run = cells::run_words(&known.said, feed.back_run.as_ref(), known.said.returns(id));
            let words = one_line(&run);
            let beyond = target;
            let target = target.filter(|&t| {
                known
                    .places
                    .at(t)
                    .is_some_and(|there| there.sheet == place.sheet)
            });
            let Some(target) = target else {
                if let Some(there) = beyond {
                    from_elsewhere.entry(there).or_default().push(id);
                }
                let words = format!("returns to {}; {words}", (known.elsewhere)(back));
                self.add(
                    index,
                    Owner::Return(id),
                    Some(letters::cut(words, MOST)),
                    legs,
                    None,
                );
                continue;
            };
            let route = match routes.get(&(place.sheet, target)) {
                Some(&route) => {
                    if self.routes[route].legs != legs {
                        self.routes[route].legs = Legs::One(Ink::Minus);
                    }
                    route
                }
                None => {
                    let route = self.route(legs);
                    routes.insert((place.sheet, target), route);
                    route
                }
            };
            self.add(
                index,
                Owner::Return(id),
                Some(letters::cut(words, MOST)),
                legs,
                Some(route),
            );
        }
        for ((_, target), route) in routes {
            let legs = self.routes[route].legs;
            self.add(target, Owner::Target, None, legs, Some(route));
        }
        for (target, items) in from_elsewhere {
            let Some(&first) = items.first() else {
                continue;
            };
            let point = Point {
                item: first,
                output: None,
            };
            let mut words = format!("minus of {}", (known.elsewhere)(point));
            if items.len() > 1 {
                words += &format!(", and of {} more", items.len() - 1);
            }
            let words = Some(letters::cut(words, MOST));
            self.add(target, Owner::Target, words, Legs::One(Ink::Minus), None);
        }
    }

    fn links(&mut self, known: &Known) {
        for (index, link) in known.said.plan.links.iter().enumerate() {
            let legs = cells::legs(known.said.plan, link.run.as_ref());
            let run = cells::run_words(&known.said, link.run.as_ref(), known.said.link(index));
            let words = one_line(&run);
            let place = |point: Point| {
                let node = known.tree.at(point)?;
                Some((node, known.places.at(node)?.sheet))
            };
            let own = |stands: bool| Owner::Link(LinkId(index), stands);
            match (place(link.ends.0), place(link.ends.1)) {
                (Some((one, sheet)), Some((other, same))) if sheet == same => {
                    let route = self.route(legs);
                    let name = letters::name(&link.name.0, 14.0);
                    let words = format!("{name}; {words}");
                    self.add(
                        one,
                        own(true),
                        Some(letters::cut(words, MOST)),
                        legs,
                        Some(route),
                    );
                    self.add(other, own(false), None, legs, Some(route));
                }
                (one, other) => {
                    let ends = [(one, link.ends.1), (other, link.ends.0)];
                    let mut is_first = true;
                    for (node, there) in ends {
                        let Some((node, _)) = node else { continue };
                        let name = letters::name(&link.name.0, 14.0);
                        let words = format!("{name} to {}; {words}", (known.elsewhere)(there));
                        self.add(
                            node,
                            own(is_first),
                            Some(letters::cut(words, MOST)),
                            legs,
                            None,
                        );
                        is_first = false;
                    }
                }
            }
        }
    }
}

fn one_line(run: &RunCell) -> String {
    let words = run.above.iter().chain(&run.below).map(String::as_str);
    words.collect::<Vec<_>>().join(", ")
}
