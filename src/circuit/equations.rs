//! A network as equations: which node is which unknown, what can be folded away, and where each
//! part stands in the matrix. Worked out once for a network, used for all corners and steps.
//!
//! Nodal analysis (Ho, Ruehli, Brennan 1975, "The modified nodal approach to network analysis"):
//! unknowns are the voltages of the nodes and the currents of sources, one-way parts and boards.
//! Nodes joined without resistance are one. A lamp at the end of its own wires is one part with
//! them, so that most lamps need no unknown at all.

use std::collections::HashMap;
use std::ops::Range;

use super::linear::Pattern;
use super::network::{NO_RESISTANCE, Network, Sets};
use super::rings::Rings;

/// No unknown: ground, or out of the equations.
pub(crate) const NONE: usize = usize::MAX;

/// A step of folding: a node between a wire and the lamps that hang on it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Fold {
    pub wire: usize,
    /// The (merged) node that is folded away, and the one it hangs on.
    pub inner: usize,
    pub outer: usize,
    /// Whether the wire's `a` is the outer end.
    pub outwards_a: bool,
}

/// Lamps with what is folded into them.
#[derive(Clone, Debug)]
pub(crate) struct Folded {
    /// Merged nodes between which the whole is.
    pub plus: usize,
    pub minus: usize,
    /// The steps on either side, from the lamps outwards: see [`Equations::folds`].
    pub on_plus: Range<usize>,
    pub on_minus: Range<usize>,
    /// What all of these wires resist, ohms, and what of them strays in the corners.
    pub ohms: f64,
    pub ohms_that_stray: f64,
}

/// Slots of a conductance between two nodes: (p,p), (m,m), (p,m), (m,p).
pub(crate) type Across = [usize; 4];

/// Slots of a part with a current of its own from `plus` to `minus`: its current in the two nodes'
/// rows, the two nodes in its row, and itself in its row.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Branch {
    pub row: usize,
    pub in_plus: usize,
    pub in_minus: usize,
    pub of_plus: usize,
    pub of_minus: usize,
    pub itself: usize,
}

/// Slots of a part that passes one way.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ThreeWay {
    pub row: usize,
    pub in_input: usize,
    pub in_output: usize,
    pub in_minus: usize,
    pub of_input: usize,
    pub of_output: usize,
    pub of_minus: usize,
    pub itself: usize,
    /// Of a switching regulator: across its input.
    pub across: Option<Across>,
}

/// Lamps one behind the other between the same two nodes.
pub(crate) struct Row {
    pub lamps: Range<usize>,
    /// The unknowns of the nodes.
    pub plus: usize,
    pub minus: usize,
    pub at: Across,
}

/// The equations of a network.
pub(crate) struct Equations<'n> {
    pub net: &'n Network,
    /// For each node the merged node that it is; [`NONE`] where it is dead.
    pub merged: Vec<usize>,
    /// For each merged node its unknown; [`NONE`]: ground or folded away.
    pub unknown: Vec<usize>,
    /// For each unknown that is a voltage, its merged node.
    pub nodes: Vec<usize>,
    /// Live nodes that another one stands for.
    pub followers: Vec<usize>,
    pub folded: Vec<Folded>,
    /// The steps of all foldings.
    pub folds: Vec<Fold>,
    pub size: usize,
    pub pattern: Pattern,
    /// The wires that are left, by their number.
    pub wires: Vec<(usize, Across)>,
    pub shunts: Vec<Across>,
    pub settles: Vec<Across>,
    pub lamps: Vec<Row>,
    pub takes: Vec<Across>,
    pub sources: Vec<Branch>,
    pub boards: Vec<Branch>,
    pub one_ways: Vec<ThreeWay>,
    pub rings: Rings,
    /// A loop of sources with nothing else in it: the last source that closes one, and another one of it.
    pub joined_sources: Option<(usize, usize)>,
}

/// Collects the entries of the matrix.
struct Entries<'a> {
    unknown: &'a [usize],
    at: Vec<(usize, usize)>,
    /// The last that was asked for: what hangs on one joint mostly stands together.
    last: Option<((usize, usize), Across)>,
}

impl Entries<'_> {
    fn node(&self, merged: usize) -> usize {
        if merged == NONE {
            NONE
        } else {
            self.unknown[merged]
        }
    }

    fn entry(&mut self, row: usize, column: usize) -> usize {
        if row == NONE || column == NONE {
            return NONE;
        }
        self.at.push((row, column));
        self.at.len() - 1
    }

    fn across(&mut self, plus: usize, minus: usize) -> Across {
        let (p, m) = (self.node(plus), self.node(minus));
        if p == m {
            return [NONE; 4];
        }
        if let Some((_, known)) = self.last.filter(|(nodes, _)| *nodes == (p, m)) {
            return known;
        }
        let across = [
            self.entry(p, p),
            self.entry(m, m),
            self.entry(p, m),
            self.entry(m, p),
        ];
        self.last = Some(((p, m), across));
        across
    }

    fn branch(&mut self, plus: usize, minus: usize, row: usize) -> Branch {
        let (p, m) = (self.node(plus), self.node(minus));
        Branch {
            row,
            in_plus: self.entry(p, row),
            in_minus: self.entry(m, row),
            of_plus: self.entry(row, p),
            of_minus: self.entry(row, m),
            itself: self.entry(row, row),
        }
    }
}

impl<'n> Equations<'n> {
    /// The equations of a network.
    pub fn of(net: &'n Network) -> Equations<'n> {
        let merged = merge(net);
        let grounds = grounds(net, &merged);
        let Folding {
            folded,
            folds,
            in_lamps,
            gone,
        } = fold(net, &merged, &grounds);
        let mut unknown = vec![NONE; net.nodes];
        let (mut nodes, mut followers) = (Vec::new(), Vec::new());
        for node in 0..net.nodes {
            if merged[node] == NONE {
                continue;
            } else if merged[node] != node {
                followers.push(node);
            } else if !grounds[node] && !gone[node] {
                unknown[node] = nodes.len();
                nodes.push(node);
            }
        }
        let size = nodes.len();
        let mut e = Entries {
            unknown: &unknown,
            at: Vec::with_capacity(8 * size),
            last: None,
        };
        let left = net.wires.iter().enumerate();
        let left = left.filter(|(w, wire)| !in_lamps[*w] && !wire.is_nothing() && net.live[wire.a]);
        let mut wires: Vec<(usize, Across)> = left
            .map(|(w, wire)| (w, e.across(merged[wire.a], merged[wire.b])))
            .collect();
        let mut shunts: Vec<Across> = (net.shunts.iter())
            .map(|s| e.across(merged[s.a], merged[s.b]))
            .collect();
        let is_gone = |n: usize| n != NONE && gone[n];
        let mut settles: Vec<Across> = (net.settles.iter())
            .map(|&(plus, minus)| (merged[plus], minus.map_or(NONE, |m| merged[m])))
            .filter(|&(plus, minus)| !is_gone(plus) && !is_gone(minus))
            .map(|(plus, minus)| e.across(plus, minus))
            .collect();
        let mut lamps: Vec<Row> = rows(&folded)
            .map(|row| {
                let Folded { plus, minus, .. } = folded[row.start];
                Row {
                    lamps: row,
                    plus: e.node(plus),
                    minus: e.node(minus),
                    at: e.across(plus, minus),
                }
            })
            .collect();
        let mut takes: Vec<Across> = (net.takes.iter())
            .map(|d| e.across(merged[d.plus], merged[d.minus]))
            .collect();
        let mut row = size;
        let mut next_row = || {
            row += 1;
            row - 1
        };
        let mut sources: Vec<Branch> = (net.sources.iter())
            .map(|s| e.branch(merged[s.plus], merged[s.minus], next_row()))
            .collect();
        let mut boards: Vec<Branch> = (net.boards.iter())
            .map(|b| e.branch(merged[b.plus], merged[b.minus], next_row()))
            .collect();
        let mut one_ways: Vec<ThreeWay> = (net.one_ways.iter())
            .map(|part| {
                let row = next_row();
                let live = net.live[part.input] && net.live[part.output];
                let of = |n: usize| if live { merged[n] } else { NONE };
                let (i, o, m) = (of(part.input), of(part.output), of(part.minus));
                let (ui, uo, um) = (e.node(i), e.node(o), e.node(m));
                ThreeWay {
                    row,
                    in_input: e.entry(ui, row),
                    in_output: e.entry(uo, row),
                    in_minus: e.entry(um, row),
                    of_input: e.entry(row, ui),
                    of_output: e.entry(row, uo),
                    of_minus: e.entry(row, um),
                    itself: e.entry(row, row),
                    across: part.efficiency.map(|_| e.across(i, m)),
                }
            })
            .collect();
        let size = row;
        let (pattern, slot) = Pattern::new(size, &e.at);
        let place = |x: &mut usize| {
            if *x != NONE {
                *x = slot[*x];
            }
        };
        for (_, across) in &mut wires {
            across.iter_mut().for_each(place);
        }
        for list in [&mut shunts, &mut settles, &mut takes] {
            list.iter_mut().flatten().for_each(place);
        }
        for row in &mut lamps {
            row.at.iter_mut().for_each(place);
        }
        for b in sources.iter_mut().chain(&mut boards) {
            for x in [
                &mut b.in_plus,
                &mut b.in_minus,
                &mut b.of_plus,
                &mut b.of_minus,
                &mut b.itself,
            ] {
                place(x);
            }
        }
        for t in &mut one_ways {
            for x in [
                &mut t.in_input,
                &mut t.in_output,
                &mut t.in_minus,
                &mut t.of_input,
                &mut t.of_output,
                &mut t.of_minus,
                &mut t.itself,
            ] {
                place(x);
            }
            t.across.iter_mut().flatten().for_each(place);
        }
        Equations {
            net,
            joined_sources: joined_sources(net, &merged),
            merged,
            unknown,
            nodes,
            followers,
            folded,
            folds,
            size,
            pattern,
            wires,
            shunts,
            settles,
            lamps,
            takes,
            sources,
            boards,
            one_ways,
            rings: Rings::of(net),
        }
    }

    /// The unknown of a node; [`NONE`] for ground and what is dead or folded away.
    pub fn of_node(&self, node: usize) -> usize {
        match self.merged[node] {
            NONE => NONE,
            m => self.unknown[m],
        }
    }
}

/// See [`Equations::joined_sources`].
fn joined_sources(net: &Network, merged: &[usize]) -> Option<(usize, usize)> {
    // Where the nodes that they hang on stand among these.
    let nodes = net
        .sources
        .iter()
        .flat_map(|s| [merged[s.plus], merged[s.minus]]);
    let mut nodes: Vec<usize> = nodes.collect();
    nodes.sort_unstable();
    nodes.dedup();
    let place = |node: usize| nodes.binary_search(&node).unwrap_or(0);
    let mut sets = Sets::new(nodes.len());
    let mut first = HashMap::new();
    for (s, source) in net.sources.iter().enumerate() {
        if source.ohms >= NO_RESISTANCE {
            continue;
        }
        let (p, m) = (merged[source.plus], merged[source.minus]);
        if !sets.join(place(p), place(m)) {
            return Some((first.get(&p).copied().unwrap_or(0), s));
        }
        first.entry(p).or_insert(s);
    }
    None
}

/// Lamps that stand one behind the other and hang on the same two nodes.
fn rows(folded: &[Folded]) -> impl Iterator<Item = Range<usize>> {
    let same = |a: &Folded, b: &Folded| (a.plus, a.minus) == (b.plus, b.minus);
    folded.chunk_by(same).scan(0, |next, row| {
        let first = *next;
        *next += row.len();
        Some(first..*next)
    })
}

/// Merges the live nodes that legs without resistance join; the lowest stands for all.
fn merge(net: &Network) -> Vec<usize> {
    let mut sets = Sets::new(net.nodes);
    for wire in net.wires.iter().filter(|w| w.is_nothing()) {
        sets.join(wire.a, wire.b);
    }
    (0..net.nodes)
        .map(|n| if net.live[n] { sets.root(n) } else { NONE })
        .collect()
}

/// One ground in each connected part: the minus of its first source.
fn grounds(net: &Network, merged: &[usize]) -> Vec<bool> {
    let mut grounds = vec![false; net.nodes];
    if let [only] = &net.sources[..] {
        grounds[merged[only.minus]] = true;
        return grounds;
    }
    let mut sets = Sets::new(net.nodes);
    let mut join = |a: usize, b: usize| {
        if merged[a] != NONE && merged[b] != NONE {
            sets.join(merged[a], merged[b]);
        }
    };
    for w in net.wires.iter().chain(&net.shunts) {
        join(w.a, w.b);
    }
    for s in &net.sources {
        join(s.plus, s.minus);
    }
    for p in &net.one_ways {
        join(p.input, p.output);
        join(p.input, p.minus);
    }
    for l in &net.lamps {
        join(l.plus, l.minus);
    }
    for b in &net.boards {
        join(b.plus, b.minus);
    }
    for d in net.draws.iter().chain(&net.takes) {
        join(d.plus, d.minus);
    }
    for &(p, m) in &net.settles {
        if let Some(m) = m {
            join(p, m);
        }
    }
    let mut has = vec![false; net.nodes];
    for s in &net.sources {
        let minus = merged[s.minus];
        let root = sets.root(minus);
        if !has[root] {
            has[root] = true;
            grounds[minus] = true;
        }
    }
    grounds
}

/// What is folded into what.
struct Folding {
    folded: Vec<Folded>,
    folds: Vec<Fold>,
    /// For each wire, whether it is folded into lamps.
    in_lamps: Vec<bool>,
    /// For each node, whether it is folded away.
    gone: Vec<bool>,
}

/// Folds wires that carry the current of one lamp part alone into it.
fn fold(net: &Network, merged: &[usize], grounds: &[bool]) -> Folding {
    // How many wires are left at a node, and the numbers of all of them put together by exclusive or: of one, its own.
    let mut wires_left = vec![0u32; net.nodes];
    let mut which_left = vec![0usize; net.nodes];
    let mut others = vec![0usize; net.nodes];
    for (w, wire) in net.wires.iter().enumerate() {
        let (a, b) = (merged[wire.a], merged[wire.b]);
        if !wire.is_nothing() && a != NONE && b != NONE && a != b {
            for node in [a, b] {
                wires_left[node] += 1;
                which_left[node] ^= w;
            }
        }
    }
    let mut other = |n: usize| {
        if merged[n] != NONE {
            others[merged[n]] += 1;
        }
    };
    for s in &net.sources {
        other(s.plus);
        other(s.minus);
    }
    for p in &net.one_ways {
        other(p.input);
        other(p.output);
        other(p.minus);
    }
    for l in &net.lamps {
        other(l.plus);
        other(l.minus);
    }
    for b in &net.boards {
        other(b.plus);
        other(b.minus);
    }
    for d in net.draws.iter().chain(&net.takes) {
        other(d.plus);
        other(d.minus);
    }
    for s in &net.shunts {
        other(s.a);
        other(s.b);
    }
    let mut in_lamps = vec![false; net.wires.len()];
    let mut gone = vec![false; net.nodes];
    let mut folds = Vec::with_capacity(2 * net.lamps.len());
    let mut chain = |from: usize, stop: usize, ohms: &mut f64, ohms_that_stray: &mut f64| {
        let first = folds.len();
        let mut inner = from;
        while !grounds[inner] && others[inner] == 1 && wires_left[inner] == 1 {
            let wire = which_left[inner];
            let (a, b) = (merged[net.wires[wire].a], merged[net.wires[wire].b]);
            let outwards_a = b == inner;
            let outer = if outwards_a { a } else { b };
            if outer == stop {
                break;
            }
            match net.wires[wire].strays {
                true => *ohms_that_stray += net.wires[wire].ohms,
                false => *ohms += net.wires[wire].ohms,
            }
            folds.push(Fold {
                wire,
                inner,
                outer,
                outwards_a,
            });
            in_lamps[wire] = true;
            gone[inner] = true;
            wires_left[outer] -= 1;
            which_left[outer] ^= wire;
            wires_left[inner] = 0;
            others[outer] += 1;
            inner = outer;
        }
        (inner, first..folds.len())
    };
    let mut folded = Vec::with_capacity(net.lamps.len());
    for lamp in &net.lamps {
        let (mut ohms, mut stray) = (0.0, 0.0);
        let ends = (merged[lamp.plus], merged[lamp.minus]);
        let (plus, on_plus) = chain(ends.0, ends.1, &mut ohms, &mut stray);
        let (minus, on_minus) = chain(ends.1, plus, &mut ohms, &mut stray);
        folded.push(Folded {
            plus,
            minus,
            on_plus,
            on_minus,
            ohms,
            ohms_that_stray: stray,
        });
    }
    Folding {
        folded,
        folds,
        in_lamps,
        gone,
    }
}
