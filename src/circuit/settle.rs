//! Law 7, everything together: the state that a network settles in at one corner.
//!
//! Newton's method on the lamps; parts that pass one way and boards have states that are flipped
//! while a solution contradicts them, all at once at first, then one at a time by the lowest index
//! (Murty 1974, "Note on a Bard-type scheme for solving the complementarity problem"), which ends.
//! What takes more at less voltage (`takes`, switching regulators) is raised from nothing, so that
//! the state of the highest voltages is found. The result is put back into the balance of every node.

use super::board::{self, BoardState};
use super::equations::{Across, Branch, Equations, NONE};
use super::figures::{Corner, NoSolutionCause};
use super::lamp::LampLaw;
use super::linear::Workspace;
use super::loads;
use super::loads::Drain;
use super::network::{Ends, Inside};
use super::one_way::{OneWayState, SMALL, VOLTS_SLACK, WIDE_SLACK};
use super::solve::Stop;
use super::supply::resistor_factor;
use crate::plan::{ItemId, Point};

/// The state of a network.
#[derive(Clone, Debug, Default)]
pub(crate) struct Settled {
    /// For each node; zero where it is dead.
    pub volts: Vec<f64>,
    /// From `a` to `b`.
    pub wires: Vec<f64>,
    pub shunts: Vec<f64>,
    pub lamps: Vec<f64>,
    /// What each source gives.
    pub sources: Vec<f64>,
    /// What each part that passes one way gives, and takes from its input.
    pub one_ways: Vec<f64>,
    pub one_way_inputs: Vec<f64>,
    pub boards: Vec<f64>,
    pub draws: Vec<f64>,
    pub takes: Vec<f64>,
}

/// Why there is none.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Trouble {
    /// The circuit has no state to settle in.
    None(ItemId, NoSolutionCause),
    /// The caller wants no more.
    Stopped,
}

/// More than this anywhere is no solution, amperes.
const TOO_MUCH: f64 = 1000.0;

/// A node is in balance when no more than this, amperes, is left over …
const BALANCE: f64 = 2e-7;
/// … and this part of the largest current.
const BALANCE_PART: f64 = 1e-9;

/// Lamps that are not where they belong after so many steps, each half of the one before, never will be.
const MOST_FOR_LAMPS: usize = 200;

/// How flips are made.
#[derive(Clone, Copy, PartialEq)]
enum Flips {
    All,
    Lowest,
}

/// How steps of what takes more at less voltage are made.
#[derive(Clone, Copy, PartialEq)]
enum Step {
    /// With the slope at the last voltage: from above, this stays above.
    Tangent,
    /// Without: this always falls, but slowly.
    Plain,
}

/// Something that takes more at less voltage, around where it was found last.
#[derive(Clone, Copy)]
struct Falling {
    /// Its volts then; infinite: it takes nothing yet.
    at: f64,
    /// For a regulator: what it gave then.
    gave: f64,
}

struct Solver<'e, 'n> {
    eq: &'e Equations<'n>,
    corner: Corner,
    stop: Stop<'e>,
    workspace: &'e mut Workspace,
    laws: Vec<LampLaw>,
    /// Volts that each lamp part is taken for, its current there and slope.
    lamps: Vec<(f64, f64, f64)>,
    one_ways: Vec<OneWayState>,
    dead: Vec<bool>,
    boards: Vec<BoardState>,
    takes: Vec<Falling>,
    switching: Vec<Falling>,
    step: Step,
    base: Vec<f64>,
    base_rhs: Vec<f64>,
    values: Vec<f64>,
    x: Vec<f64>,
    steps_left: usize,
}

/// The state of a network at a corner.
pub(crate) fn settle(
    eq: &Equations,
    corner: Corner,
    workspace: &mut Workspace,
    stop: Stop,
) -> Result<Settled, Trouble> {
    let net = eq.net;
    let mut solver = Solver::new(eq, corner, workspace, stop);
    let first = || net.source_items.first().copied().unwrap_or(ItemId(0));
    for _ in 0..=net.one_ways.len() {
        match solver.outer() {
            Ok(()) => {}
            Err(Trouble::None(item, NoSolutionCause::Unsettled)) => {
                // A load that cannot get its current is what keeps it from settling; one that takes a power that is just
                // beyond reach falls so slowly that the steps run out.
                solver.starved_draw()?;
                solver.starved_take()?;
                return Err(Trouble::None(item, NoSolutionCause::Unsettled));
            }
            Err(other) => return Err(other),
        }
        solver.starved_draw()?;
        if !solver.kill_the_dead() {
            let (mut settled, mut leaves) = solver.settled();
            if solver.promote_boards() && solver.outer().is_ok() {
                (settled, leaves) = solver.settled();
            }
            too_much(eq, &settled)?;
            return match solver.in_balance(&settled, &leaves) {
                true => Ok(settled),
                false => Err(Trouble::None(first(), NoSolutionCause::Unsettled)),
            };
        }
    }
    Err(Trouble::None(first(), NoSolutionCause::Unsettled))
}

/// The first source of the pair that is joined without resistance, if any.
pub(crate) fn joined(eq: &Equations) -> Result<(), Trouble> {
    match eq.joined_sources {
        None => Ok(()),
        Some((a, b)) => {
            let item = |s: usize| eq.net.source_items[s];
            let point = Point {
                item: item(a),
                output: None,
            };
            Err(Trouble::None(
                item(b),
                NoSolutionCause::SourcesJoined(point),
            ))
        }
    }
}

fn add(values: &mut [f64], slot: usize, x: f64) {
    if slot != NONE {
        values[slot] += x;
    }
}

fn add_across(values: &mut [f64], at: &Across, g: f64) {
    add(values, at[0], g);
    add(values, at[1], g);
    add(values, at[2], -g);
    add(values, at[3], -g);
}

impl<'e, 'n> Solver<'e, 'n> {
    fn new(
        eq: &'e Equations<'n>,
        corner: Corner,
        workspace: &'e mut Workspace,
        stop: Stop<'e>,
    ) -> Self {
        let net = eq.net;
        let mut base = vec![0.0; eq.pattern.entries()];
        let mut base_rhs = vec![0.0; eq.size];
        for (wire, at) in &eq.wires {
            add_across(&mut base, at, 1.0 / net.wires[*wire].ohms_at(corner));
        }
        for (wire, at) in net.shunts.iter().zip(&eq.shunts) {
            add_across(&mut base, at, 1.0 / wire.ohms);
        }
        for at in &eq.settles {
            add_across(&mut base, at, 1e-12);
        }
        for (source, b) in net.sources.iter().zip(&eq.sources) {
            // What it gives leaves its plus: the node's balance counts what leaves through parts.
            add(&mut base, b.in_plus, -1.0);
            add(&mut base, b.in_minus, 1.0);
            add(&mut base, b.of_plus, 1.0);
            add(&mut base, b.of_minus, -1.0);
            add(&mut base, b.itself, source.ohms.max(0.0));
            base_rhs[b.row] = source.volts_at(corner);
        }
        for b in &eq.boards {
            add(&mut base, b.in_plus, 1.0);
            add(&mut base, b.in_minus, -1.0);
        }
        for t in &eq.one_ways {
            add(&mut base, t.in_output, -1.0);
        }
        for d in &net.draws {
            for (node, sign) in [(d.plus, -1.0), (d.minus, 1.0)] {
                let u = eq.of_node(node);
                if u != NONE {
                    base_rhs[u] += sign * d.amount;
                }
            }
        }
        let laws: Vec<LampLaw> = (net.lamps.iter().zip(&eq.folded))
            .map(|(part, folded)| {
                let stray = folded.ohms_that_stray * resistor_factor(corner);
                part.lamps.at(corner, folded.ohms + stray)
            })
            .collect();
        let lamps = laws.iter().map(LampLaw::where_stated).collect();
        let dead = (net.one_ways.iter())
            .map(|part| {
                let fed = net.live[part.input] && net.live[part.output];
                let needs_minus = part.holds.is_finite();
                !fed || (needs_minus && !net.live[part.minus]) || part.holds <= 0.0
            })
            .collect();
        let none = Falling {
            at: f64::INFINITY,
            gave: 0.0,
        };
        Solver {
            eq,
            corner,
            stop,
            workspace,
            laws,
            lamps,
            one_ways: net.one_ways.iter().map(|p| p.first_state()).collect(),
            dead,
            boards: vec![BoardState::Full; net.boards.len()],
            takes: vec![none; net.takes.len()],
            switching: vec![none; net.one_ways.len()],
            step: Step::Tangent,
            values: base.clone(),
            x: base_rhs.clone(),
            base,
            base_rhs,
            steps_left: (1_000_000 / (eq.size + net.lamps.len() + 1)).clamp(100, 3_000),
        }
    }

    fn unsettled(&self) -> Trouble {
        let items = &self.eq.net.source_items;
        Trouble::None(
            items.first().copied().unwrap_or(ItemId(0)),
            NoSolutionCause::Unsettled,
        )
    }

    /// Volts of a merged node.
    fn merged_volts(&self, merged: usize) -> f64 {
        match merged {
            NONE => 0.0,
            m => match self.eq.unknown[m] {
                NONE => 0.0,
                u => self.x[u],
            },
        }
    }

    /// Volts of a node that is not folded away.
    fn volts(&self, node: usize) -> f64 {
        self.merged_volts(self.eq.merged[node])
    }

    /// Input and output of a part that passes one way, against its minus.
    fn one_way_volts(&self, k: usize) -> (f64, f64) {
        let part = &self.eq.net.one_ways[k];
        let minus = self.volts(part.minus);
        (
            self.volts(part.input) - minus,
            self.volts(part.output) - minus,
        )
    }

    /// What a switching regulator takes: for each ampere given, and for each volt of its input, and
    /// the constant that goes with it.
    fn takes_per_amp(&self, k: usize) -> (f64, f64, f64) {
        let part = &self.eq.net.one_ways[k];
        let Some(efficiency) = part.efficiency else {
            return (1.0, 0.0, 0.0);
        };
        let Falling { at, gave } = self.switching[k];
        let efficiency = efficiency.max(1e-9);
        // One that cannot hold its voltage even at the least draw never will: it hands on.
        if self.one_ways[k] != OneWayState::Holds || at <= part.holds {
            return (1.0 / efficiency, 0.0, 0.0);
        }
        if at == f64::INFINITY {
            return (0.0, 0.0, 0.0);
        }
        let each = part.holds / (efficiency * at);
        match self.step {
            Step::Plain => (each, 0.0, 0.0),
            // d(V·I/(η·Vin)) around Vin = at, I = gave
            Step::Tangent => {
                let slope = -each * gave / at;
                (each, slope, -slope * at)
            }
        }
    }

    /// One solution of the equations, all parts taken for straight lines.
    fn linear_step(&mut self) -> Result<(), Trouble> {
        if (self.stop)() {
            return Err(Trouble::Stopped);
        }
        if self.steps_left == 0 {
            return Err(self.unsettled());
        }
        self.steps_left -= 1;
        let eq = self.eq;
        let net = eq.net;
        self.values.copy_from_slice(&self.base);
        self.x.copy_from_slice(&self.base_rhs);
        for row in &eq.lamps {
            let lamps = self.lamps[row.lamps.clone()].iter();
            let (amps, slope) = lamps.fold((0.0, 0.0), |(amps, slope), (v, i, g)| {
                (amps + (i - g * v), slope + g)
            });
            add_across(&mut self.values, &row.at, slope);
            add(&mut self.x, row.plus, -amps);
            add(&mut self.x, row.minus, amps);
        }
        for (k, at) in eq.takes.iter().enumerate() {
            let (amps, slope) = self.take(k);
            add_across(&mut self.values, at, slope);
            let known = self.takes[k].at;
            let known = if known.is_finite() { known } else { 0.0 };
            let d = net.takes[k];
            self.drain(eq.merged[d.plus], eq.merged[d.minus], amps - slope * known);
        }
        for (k, b) in eq.boards.iter().enumerate() {
            let Branch {
                row,
                of_plus,
                of_minus,
                itself,
                ..
            } = *b;
            match self.boards[k] {
                BoardState::AtLimit => {
                    add(&mut self.values, of_plus, 1.0);
                    add(&mut self.values, of_minus, -1.0);
                    add(&mut self.values, itself, -SMALL);
                    self.x[row] = net.boards[k].lower;
                }
                full_or_idle => {
                    add(&mut self.values, itself, 1.0);
                    self.x[row] = match full_or_idle {
                        BoardState::Full => net.boards[k].amps,
                        _ => 0.0,
                    };
                }
            }
        }
        for (k, t) in eq.one_ways.iter().enumerate() {
            let part = &net.one_ways[k];
            let (each, slope, constant) = self.takes_per_amp(k);
            add(&mut self.values, t.in_input, each);
            add(&mut self.values, t.in_minus, 1.0 - each);
            if let Some(across) = &t.across {
                add_across(&mut self.values, across, slope);
                if constant != 0.0 {
                    self.drain(eq.merged[part.input], eq.merged[part.minus], constant);
                }
            }
            match self.one_ways[k] {
                state if self.dead[k] || state == OneWayState::Blocked => {
                    add(&mut self.values, t.itself, 1.0);
                }
                OneWayState::Follows => {
                    add(&mut self.values, t.of_output, 1.0);
                    add(&mut self.values, t.of_input, -1.0);
                    add(&mut self.values, t.itself, SMALL);
                    self.x[t.row] = -part.drops;
                }
                _ => {
                    add(&mut self.values, t.of_output, 1.0);
                    add(&mut self.values, t.of_minus, -1.0);
                    add(&mut self.values, t.itself, SMALL);
                    self.x[t.row] = part.holds;
                }
            }
        }
        if (eq.pattern).solve(self.workspace, &self.values, &mut self.x) {
            Ok(())
        } else {
            Err(self.unsettled())
        }
    }

    /// A constant current from one merged node to another, in the right-hand side.
    fn drain(&mut self, plus: usize, minus: usize, amps: f64) {
        for (node, sign) in [(plus, -1.0), (minus, 1.0)] {
            if node != NONE {
                let u = self.eq.unknown[node];
                if u != NONE {
                    self.x[u] += sign * amps;
                }
            }
        }
    }

    /// What a load that takes power is taken for.
    fn take(&self, k: usize) -> (f64, f64) {
        let at = self.takes[k].at;
        if at == f64::INFINITY || self.eq.net.takes[k].amount <= 0.0 {
            return (0.0, 0.0);
        }
        loads::around(self.eq.net.takes[k].amount, at, self.step == Step::Tangent)
    }

    /// Moves the lamps to where the last solution puts them; whether they were there.
    fn move_lamps(&mut self, damped: bool) -> bool {
        let mut there = true;
        for row in &self.eq.lamps {
            let volts = |unknown: usize| match unknown {
                NONE => 0.0,
                u => self.x[u],
            };
            let now = volts(row.plus) - volts(row.minus);
            let lamps = self.lamps[row.lamps.clone()].iter_mut();
            for (lamp, law) in lamps.zip(&self.laws[row.lamps.clone()]) {
                let (v, i, g) = *lamp;
                let expected = i + g * (now - v);
                let (mut i_now, mut g_now) = law.current_near(now, expected);
                let mut v_now = now;
                if (i_now - expected).abs() > 1e-12 + 1e-10 * i_now {
                    there = false;
                    // On the steep part the current tells the voltage better than the other way round.
                    let least = expected.max(0.1 * law.stated());
                    if i_now > 2.0 * least {
                        v_now = law.volts(least).min(now);
                        (i_now, g_now) = law.current(v_now);
                    }
                    if damped {
                        v_now = 0.5 * (v_now + v);
                        (i_now, g_now) = law.current(v_now);
                    }
                }
                *lamp = (v_now, i_now, g_now);
            }
        }
        there
    }

    /// Flips states that the last solution contradicts; whether there were any.
    fn flip(&mut self, flips: Flips) -> bool {
        let net = self.eq.net;
        let slack = match flips {
            Flips::All => VOLTS_SLACK,
            Flips::Lowest => WIDE_SLACK,
        };
        let mut any = false;
        for k in 0..net.one_ways.len() {
            if self.dead[k] {
                continue;
            }
            let (input, output) = self.one_way_volts(k);
            let amps = self.x[self.eq.one_ways[k].row];
            let next = net.one_ways[k].contradicts(self.one_ways[k], input, output, amps, slack);
            if let Some(next) = next {
                self.one_ways[k] = next;
                any = true;
                if flips == Flips::Lowest {
                    return true;
                }
            }
        }
        for k in 0..net.boards.len() {
            let b = &net.boards[k];
            let volts = self.volts(b.plus) - self.volts(b.minus);
            let amps = self.x[self.eq.boards[k].row];
            if let Some(next) = b.contradicts(self.boards[k], volts, amps) {
                self.boards[k] = next;
                any = true;
                if flips == Flips::Lowest {
                    return true;
                }
            }
        }
        any
    }

    /// Settles lamps and states, with what takes more at less voltage as it stands.
    fn inner(&mut self) -> Result<(), Trouble> {
        for _ in 0..30 {
            self.linear_step()?;
            let there = self.move_lamps(false);
            let flipped = self.flip(Flips::All);
            if there && !flipped {
                return Ok(());
            }
        }
        loop {
            let mut steps = 0;
            loop {
                self.linear_step()?;
                if self.move_lamps(steps > 20) {
                    break;
                }
                steps += 1;
                // Beside what takes more at less voltage, taken for a straight line, there may be no place for them.
                if steps > MOST_FOR_LAMPS {
                    return Err(self.unsettled());
                }
            }
            if !self.flip(Flips::Lowest) {
                return Ok(());
            }
        }
    }

    /// Raises what takes more at less voltage from nothing until it has what it takes.
    fn outer(&mut self) -> Result<(), Trouble> {
        let none = Falling {
            at: f64::INFINITY,
            gave: 0.0,
        };
        self.takes.fill(none);
        self.switching.fill(none);
        self.step = Step::Tangent;
        self.inner()?;
        loop {
            let net = self.eq.net;
            let (mut settled, mut risen) = (true, false);
            let mut lowest: Option<(f64, usize)> = None;
            let mut takes = self.takes.clone();
            for (k, d) in net.takes.iter().enumerate() {
                if d.amount <= 0.0 {
                    continue;
                }
                let now = self.volts(d.plus) - self.volts(d.minus);
                let before = self.takes[k].at;
                let (amps, slope) = self.take(k);
                let had = if before.is_finite() {
                    amps + slope * (now - before)
                } else {
                    0.0
                };
                let wants = d.amount / now;
                settled &= now > 0.0 && (wants - had).abs() <= 1e-11 + 1e-10 * wants;
                risen |= now > before + 1e-9 || now <= 0.0;
                if now <= 0.0 && lowest.is_none_or(|(v, _)| now < v) {
                    lowest = Some((now, d.item));
                }
                takes[k].at = now;
            }
            let mut switching = self.switching.clone();
            for (k, part) in net.one_ways.iter().enumerate() {
                let Some(efficiency) = part.efficiency.filter(|_| !self.dead[k]) else {
                    continue;
                };
                let (now, _) = self.one_way_volts(k);
                let gives = self.x[self.eq.one_ways[k].row];
                let before = self.switching[k].at;
                let (each, slope, constant) = self.takes_per_amp(k);
                let had = each * gives + slope * now + constant;
                // As in `takes_per_amp`: on an input that is a hair under what it holds, it hands on.
                let own = match self.one_ways[k] {
                    OneWayState::Holds => part.holds.min(now),
                    _ => now,
                };
                let wants = (own * gives / (efficiency.max(1e-9) * now)).max(0.0);
                if gives > 1e-12 {
                    settled &= now > 0.0 && (wants - had).abs() <= 1e-11 + 1e-10 * wants;
                    risen |= now > before + 1e-9 || now <= 0.0;
                }
                switching[k] = Falling {
                    at: now.max(1e-6),
                    gave: gives.max(0.0),
                };
            }
            if settled {
                return Ok(());
            }
            if risen && self.step == Step::Tangent {
                // The tangent has led past the end of the branch: the same step without it.
                self.step = Step::Plain;
            } else {
                if let Some((_, item)) = lowest {
                    return Err(Trouble::None(ItemId(item), NoSolutionCause::Starved));
                }
                self.takes = takes;
                self.switching = switching;
                self.step = Step::Tangent;
            }
            self.inner()?;
        }
    }

    /// The lowest load that cannot have its current above 0 V.
    fn starved_draw(&self) -> Result<(), Trouble> {
        let mut lowest: Option<(f64, usize)> = None;
        for d in &self.eq.net.draws {
            let volts = self.volts(d.plus) - self.volts(d.minus);
            if d.amount > 0.0 && volts <= 0.0 && lowest.is_none_or(|(v, _)| volts < v) {
                lowest = Some((volts, d.item));
            }
        }
        match lowest {
            None => Ok(()),
            Some((_, item)) => Err(Trouble::None(ItemId(item), NoSolutionCause::Starved)),
        }
    }

    /// The load that takes a power and is left with the least voltage.
    fn starved_take(&self) -> Result<(), Trouble> {
        let loads = self.eq.net.takes.iter().filter(|d| d.amount > 0.0);
        let volts = |d: &Drain| self.volts(d.plus) - self.volts(d.minus);
        match loads.min_by(|a, b| volts(a).total_cmp(&volts(b))) {
            None => Ok(()),
            Some(d) => Err(Trouble::None(ItemId(d.item), NoSolutionCause::Starved)),
        }
    }

    /// Takes out what gives although its own voltage is zero or less; whether there is any.
    fn kill_the_dead(&mut self) -> bool {
        let mut any = false;
        for (k, part) in self.eq.net.one_ways.iter().enumerate() {
            let (input, _) = self.one_way_volts(k);
            let gives = self.x[self.eq.one_ways[k].row];
            if !self.dead[k] && gives > 1e-9 && part.own(input) <= 0.0 {
                self.dead[k] = true;
                any = true;
            }
        }
        any
    }

    /// A board that a regulator holds at its very limit may have been left there on the way: 1 µV
    /// short counts as met, so it is tried at full once more. Whether there is any.
    fn promote_boards(&mut self) -> bool {
        let mut any = false;
        for k in 0..self.boards.len() {
            let b = &self.eq.net.boards[k];
            let volts = self.volts(b.plus) - self.volts(b.minus);
            if self.boards[k] != BoardState::Full && volts >= b.lower - board::MET {
                self.boards[k] = BoardState::Full;
                any = true;
            }
        }
        any
    }

    /// Reads the whole state off the last solution, and what leaves each node by it through all but legs without resistance.
    fn settled(&self) -> (Settled, Vec<f64>) {
        let eq = self.eq;
        let net = eq.net;
        // First of the nodes that stand for themselves …
        let mut volts = vec![0.0; net.nodes];
        for (&node, x) in eq.nodes.iter().zip(&self.x) {
            volts[node] = *x;
        }
        let mut wires = vec![0.0; net.wires.len()];
        let lamps: Vec<f64> = self.lamps.iter().map(|(_, i, _)| *i).collect();
        for (f, i) in eq.folded.iter().zip(&lamps) {
            for (folds, i) in [(&f.on_plus, *i), (&f.on_minus, -i)] {
                for fold in eq.folds[folds.clone()].iter().rev() {
                    let lost = i * net.wires[fold.wire].ohms_at(self.corner);
                    volts[fold.inner] = volts[fold.outer] - lost;
                    wires[fold.wire] = if fold.outwards_a { i } else { -i };
                }
            }
        }
        // … then of those that others stand for.
        for &node in &eq.followers {
            volts[node] = volts[eq.merged[node]];
        }
        for (w, _) in &eq.wires {
            let wire = &net.wires[*w];
            wires[*w] = (volts[wire.a] - volts[wire.b]) / wire.ohms_at(self.corner);
        }
        let across = |plus: usize, minus: usize| volts[plus] - volts[minus];
        let mut settled = Settled {
            shunts: (net.shunts.iter())
                .map(|s| across(s.a, s.b) / s.ohms)
                .collect(),
            sources: eq.sources.iter().map(|b| self.x[b.row]).collect(),
            one_ways: eq.one_ways.iter().map(|t| self.x[t.row]).collect(),
            one_way_inputs: (0..net.one_ways.len())
                .map(|k| {
                    let (each, slope, constant) = self.takes_per_amp(k);
                    let (input, _) = self.one_way_volts(k);
                    each * self.x[eq.one_ways[k].row] + slope * input + constant
                })
                .collect(),
            boards: eq.boards.iter().map(|b| self.x[b.row]).collect(),
            draws: net.draws.iter().map(|d| d.amount).collect(),
            takes: (net.takes.iter())
                .map(|d| match d.amount > 0.0 {
                    true => d.amount / across(d.plus, d.minus),
                    false => 0.0,
                })
                .collect(),
            volts,
            wires,
            lamps,
        };
        let leaves = leaving(eq, &settled);
        if !eq.rings.divide(&leaves, &mut settled.wires) {
            settled.wires.fill(f64::NAN);
        }
        (settled, leaves)
    }

    /// Whether every (merged) node is in balance.
    fn in_balance(&self, settled: &Settled, leaves: &[f64]) -> bool {
        let eq = self.eq;
        let mut sums = vec![0.0; eq.net.nodes];
        for (node, x) in leaves.iter().enumerate() {
            if eq.merged[node] != NONE {
                sums[eq.merged[node]] += x;
            }
        }
        let finite = settled.wires.iter().all(|x| x.is_finite());
        let most = settled.sources.iter().fold(0.0f64, |m, x| m.max(x.abs()));
        finite
            && sums
                .iter()
                .all(|x| x.abs() <= BALANCE + BALANCE_PART * most)
    }
}

/// What leaves each node through all but legs without resistance, whose currents are not known yet.
fn leaving(eq: &Equations, s: &Settled) -> Vec<f64> {
    let net = eq.net;
    let mut leaves = vec![0.0; net.nodes];
    let mut flow = |from: usize, to: usize, amps: f64| {
        leaves[from] += amps;
        leaves[to] -= amps;
    };
    for (w, wire) in net.wires.iter().enumerate() {
        if !wire.is_nothing() {
            flow(wire.a, wire.b, s.wires[w]);
        }
    }
    for (k, wire) in net.shunts.iter().enumerate() {
        flow(wire.a, wire.b, s.shunts[k]);
    }
    for (k, lamp) in net.lamps.iter().enumerate() {
        flow(lamp.plus, lamp.minus, s.lamps[k]);
    }
    for (k, source) in net.sources.iter().enumerate() {
        flow(source.minus, source.plus, s.sources[k]);
    }
    for (k, part) in net.one_ways.iter().enumerate() {
        flow(part.input, part.minus, s.one_way_inputs[k]);
        flow(part.minus, part.output, s.one_ways[k]);
    }
    for (k, b) in net.boards.iter().enumerate() {
        flow(b.plus, b.minus, s.boards[k]);
    }
    for (k, d) in net.draws.iter().enumerate() {
        flow(d.plus, d.minus, s.draws[k]);
    }
    for (k, d) in net.takes.iter().enumerate() {
        flow(d.plus, d.minus, s.takes[k]);
    }
    leaves
}

/// The item that takes the most, where more than 1 kA flows anywhere; where no item takes that much
/// itself, the one through whose legs it flows.
fn too_much(eq: &Equations, s: &Settled) -> Result<(), Trouble> {
    let net = eq.net;
    let each = [
        &s.wires, &s.sources, &s.draws, &s.takes, &s.shunts, &s.boards,
    ];
    let is_little = |amps: &f64| amps.abs() <= TOO_MUCH;
    if each.into_iter().flatten().all(is_little) && is_little(&s.lamps.iter().sum()) {
        return Ok(());
    }
    let leg = |w: Option<usize>| w.map_or(0.0, |w| s.wires[w].abs());
    let takes = |ends: &Ends| match &ends.inside {
        Inside::Lamps(k) => s.lamps[*k],
        Inside::Strip { lamps, .. } => lamps.clone().map(|k| s.lamps[k]).sum(),
        Inside::Draws(k) => s.draws[*k],
        Inside::Takes(k) => s.takes[*k],
        Inside::Shunt(k) => s.shunts[*k],
        Inside::Board { draw: Some(k), .. } => s.boards[*k],
        _ => 0.0,
    };
    let passes = |ends: &Ends| leg(ends.leg_plus).max(leg(ends.leg_minus));
    let gives = |ends: &Ends| match ends.inside {
        Inside::Source(k) => s.sources[k].abs(),
        _ => 0.0,
    };
    let over = |of: &dyn Fn(&Ends) -> f64| {
        let mut worst: Option<(f64, ItemId)> = None;
        for ends in &net.items {
            let amps = of(ends);
            // Legs in a row carry the same but for rounding: the first of them stands.
            if amps > TOO_MUCH && worst.is_none_or(|(w, _)| amps > w * (1.0 + 1e-9)) {
                worst = Some((amps, ends.item));
            }
        }
        worst.map(|(_, item)| item)
    };
    let links = net.links.iter().any(|l| leg(l.0).max(leg(l.1)) > TOO_MUCH);
    let first = net.source_items.first().copied().filter(|_| links);
    match over(&takes)
        .or_else(|| over(&passes))
        .or_else(|| over(&gives))
        .or(first)
    {
        None => Ok(()),
        Some(item) => Err(Trouble::None(item, NoSolutionCause::TooMuchCurrent)),
    }
}
