//! The feed of a plan as trees: what hangs on what. An output of a board stands between the board and what it feeds.

use std::collections::HashMap;

use crate::plan::{ItemId, Part, Plan, Point, ZoneId};

/// A place in [`Tree::nodes`].
pub type NodeId = usize;

/// What a node stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// An item.
    Item(ItemId),
    /// An output of a board.
    Output(ItemId, usize),
    /// Where what hangs on it is drawn in another piece: the number of that piece.
    Onward(usize),
    /// At the head of a piece: the node that feeds it, which is drawn in another.
    From(NodeId),
}

/// Something that is drawn, and what hangs on it.
#[derive(Clone, Debug)]
pub struct Node {
    /// What it stands for.
    pub what: What,
    /// What feeds it.
    pub parent: Option<NodeId>,
    /// What it feeds.
    pub children: Vec<NodeId>,
    /// Where it sits.
    pub zone: Option<ZoneId>,
}

/// The trees of a plan.
#[derive(Clone, Debug, Default)]
pub struct Tree {
    /// All nodes: first those of the items, as the plan has them.
    pub nodes: Vec<Node>,
    /// What is fed by nothing: the supplies.
    pub roots: Vec<NodeId>,
    /// The node that each point of the wiring is drawn at.
    points: HashMap<Point, NodeId>,
}

impl Tree {
    /// That of a plan.
    pub fn of(plan: &Plan) -> Tree {
        let mut tree = Tree::default();
        for (index, item) in plan.items.iter().enumerate() {
            let id = ItemId(index);
            let node = tree.add(What::Item(id), item.zone);
            let point = Point {
                item: id,
                output: None,
            };
            tree.points.insert(point, node);
        }
        for (index, item) in plan.items.iter().enumerate() {
            let Part::Board { module } = item.part else {
                continue;
            };
            for output in 0..plan.modules[module.0].outputs.len() {
                let id = ItemId(index);
                let node = tree.add(What::Output(id, output), item.zone);
                let point = Point {
                    item: id,
                    output: Some(output),
                };
                tree.points.insert(point, node);
                tree.hang(node, index);
            }
        }
        for (node, item) in plan.items.iter().enumerate() {
            let feeder = item.feed.as_ref().and_then(|feed| tree.at(feed.from));
            match feeder {
                Some(feeder) => tree.hang(node, feeder),
                None => tree.roots.push(node),
            }
        }
        tree
    }

    /// The node that a point is drawn at.
    pub fn at(&self, point: Point) -> Option<NodeId> {
        self.points.get(&point).copied()
    }

    /// A node more.
    pub fn add(&mut self, what: What, zone: Option<ZoneId>) -> NodeId {
        self.nodes.push(Node {
            what,
            parent: None,
            children: Vec::new(),
            zone,
        });
        self.nodes.len() - 1
    }

    /// Hangs a node on another.
    pub fn hang(&mut self, node: NodeId, on: NodeId) {
        self.nodes[node].parent = Some(on);
        self.nodes[on].children.push(node);
    }

    /// All that hangs on a node, itself first; each after what it hangs on.
    pub fn below(&self, root: NodeId) -> Vec<NodeId> {
        let mut found = Vec::new();
        let mut todo = vec![root];
        while let Some(node) = todo.pop() {
            found.push(node);
            todo.extend(self.nodes[node].children.iter().rev());
        }
        found
    }
}
