//! Which nodes lie together in a zone: those get a common ground. A node begins one, what hangs on it and sits in the same
//! zone alone belongs to it, and then the first that leads out of it; what comes after that begins another.

use std::collections::HashSet;

use super::placing::Places;
use super::tree::{NodeId, Tree, What};
use crate::plan::ZoneId;

/// Nodes that lie together.
#[derive(Clone, Debug)]
pub struct Area {
    /// Their zone.
    pub zone: ZoneId,
    /// All of them; the first stands in the top left corner.
    pub members: Vec<NodeId>,
    /// Boards among them whose outputs reach further down than they do.
    pub boards: Vec<NodeId>,
}

/// The areas of a piece.
pub fn areas(tree: &Tree, places: &Places, head: NodeId) -> Vec<Area> {
    let mut finder = Finder {
        tree,
        places,
        covered: HashSet::new(),
        areas: Vec::new(),
    };
    let mut todo = vec![vec![head]];
    while let Some(siblings) = todo.pop() {
        finder.begin(&siblings);
        todo.extend(siblings.iter().map(|&n| tree.nodes[n].children.clone()));
    }
    finder.areas
}

struct Finder<'a> {
    tree: &'a Tree,
    places: &'a Places,
    covered: HashSet<NodeId>,
    areas: Vec<Area>,
}

impl Finder<'_> {
    /// Begins areas with nodes that hang on the same one.
    fn begin(&mut self, siblings: &[NodeId]) {
        let mut area: Option<Area> = None;
        for &node in siblings {
            let of = &self.tree.nodes[node];
            let is_drawn = !matches!(of.what, What::From(_) | What::Onward(_));
            let zone = of
                .zone
                .filter(|_| is_drawn && !self.covered.contains(&node));
            if area.as_ref().map(|area| area.zone) != zone {
                self.areas.extend(area.take());
            }
            let Some(zone) = zone else { continue };
            let own = area.get_or_insert_with(|| Area {
                zone,
                members: Vec::new(),
                boards: Vec::new(),
            });
            if !self.include(node, own) {
                self.areas.extend(area.take());
            }
        }
        self.areas.extend(area);
    }

    /// Takes a node into an area, and what of it can be; whether all of it could.
    fn include(&mut self, node: NodeId, area: &mut Area) -> bool {
        let mut next = Some(node);
        let mut is_first = true;
        while let Some(node) = next.take() {
            if self.is_whole(node) {
                let all = self.tree.below(node);
                self.covered.extend(&all);
                area.members.extend(all);
                return is_first;
            }
            is_first = false;
            self.covered.insert(node);
            area.members.push(node);
            let children = &self.tree.nodes[node].children;
            let is_board = children
                .iter()
                .any(|&c| matches!(self.tree.nodes[c].what, What::Output(..)));
            if is_board {
                area.boards.push(node);
                for &output in children {
                    let with_all = self.is_whole(output);
                    let all = match with_all {
                        true => self.tree.below(output),
                        false => vec![output],
                    };
                    self.covered.extend(&all);
                    area.members.extend(all);
                }
                return false;
            }
            for &child in children {
                if self.tree.nodes[child].zone != Some(area.zone) {
                    break;
                }
                if !self.is_whole(child) {
                    next = Some(child);
                    break;
                }
                let all = self.tree.below(child);
                self.covered.extend(&all);
                area.members.extend(all);
            }
        }
        false
    }

    fn is_whole(&self, node: NodeId) -> bool {
        self.places
            .at(node)
            .is_some_and(|place| place.is_of_one_zone)
    }
}
