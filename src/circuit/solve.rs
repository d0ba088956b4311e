//! The figures of a plan: every scene, every circuit, every corner.

use std::sync::Arc;

use super::equations::Equations;
use super::figures::{Corner, Figure, Figures, ItemFigures, NoSolution, SceneFigures, Solution};
use super::network::{Circuits, Network};
use super::read_off::{CircuitFigures, read_off};
use super::scene::On;
use super::settle::{Settled, Trouble, joined, settle};
use crate::plan::{Choice, ItemId, LinkId, Part, Plan};
use crate::syntax::tree::Name;

/// The name of the implied scene in which everything is on.
pub const ALL_ON: &str = "all-on";

/// A circuit solved with something on, or why it cannot be.
type Solved = Arc<Result<CircuitFigures, NoSolution>>;

/// What of a circuit is on: its items, and its boards' outputs.
pub(super) type Key = (Vec<bool>, Vec<bool>);

/// Solves a plan: its scenes in order, then [`ALL_ON`]. The same plan gives the same digits.
///
/// Where `stop` says so, what is solved by then comes back, fewer scenes than there are: the caller
/// has no use for it.
pub fn solve(plan: &Plan, stop: &dyn Fn() -> bool) -> Solution {
    let circuits = Circuits::of(plan);
    let mut known: Vec<Vec<(Key, Solved)>> = vec![Vec::new(); circuits.list.len()];
    let mut solution = Solution::default();
    let written = plan.scenes.iter().map(|s| (s.name.clone(), &s.choice));
    let all = std::iter::once((Name(Arc::from(ALL_ON)), &Choice::All));
    let mut states = Vec::new();
    for (name, choice) in written.chain(all) {
        let mut on = On::of(plan, choice);
        if take_turns(plan, &circuits, &mut on, stop).is_err() {
            return solution;
        }
        states.push((name, on));
    }
    let scenes = states.len();
    if let Some((_, all_on)) = states.last() {
        states.extend(other_turns(plan, all_on));
    }
    for (place, (name, on)) in states.into_iter().enumerate() {
        let mut solved: Vec<Solved> = Vec::with_capacity(circuits.list.len());
        for (which, known) in known.iter_mut().enumerate() {
            let key = key(&circuits, which, &on);
            let had = known.iter().find(|(k, _)| *k == key);
            let one = match had {
                Some((_, solved)) => solved.clone(),
                None => match solve_circuit(plan, &circuits, which, &on, stop) {
                    None => return solution,
                    Some(result) => {
                        let solved = Arc::new(result);
                        known.push((key, solved.clone()));
                        solved
                    }
                },
            };
            solved.push(one);
        }
        let figures = SceneFigures {
            name,
            on: on.items,
            outcome: gather(plan, &circuits, &solved),
        };
        match place < scenes {
            true => solution.scenes.push(figures),
            false => solution.turns.push(figures),
        }
    }
    solution
}

/// The other turns of outputs that take turns, everything else on: as many states as the board with most of
/// them has others, in each of which every board stands at its next one.
fn other_turns(plan: &Plan, all_on: &On) -> Vec<(Name, On)> {
    let mut others: Vec<(usize, &[usize], Vec<usize>)> = Vec::new();
    for (i, item) in plan.items.iter().enumerate() {
        if let Part::Board { module } = item.part {
            let turns = &plan.modules[module.0].turns;
            let is_off = |o: &usize| all_on.outputs[i].get(*o) == Some(&false);
            others.push((i, turns, turns.iter().copied().filter(is_off).collect()));
        }
    }
    let most = others.iter().map(|(.., off)| off.len()).max().unwrap_or(0);
    let state = |turn: usize| {
        let mut on = all_on.clone();
        for (board, turns, off) in &others {
            let Some(&output) = off.get(turn).or(off.last()) else {
                continue;
            };
            for &o in *turns {
                on.outputs[*board][o] = o == output;
            }
        }
        (Name(format!("{ALL_ON}, turn {}", turn + 2).into()), on)
    };
    (0..most).map(state).collect()
}

pub(super) fn key(circuits: &Circuits, which: usize, on: &On) -> Key {
    let items = &circuits.list[which].0;
    (
        items.iter().map(|i| on.items[i.0]).collect(),
        items
            .iter()
            .flat_map(|i| &on.outputs[i.0])
            .copied()
            .collect(),
    )
}

/// Solves one circuit at all corners; `None` where it is stopped.
fn solve_circuit(
    plan: &Plan,
    circuits: &Circuits,
    which: usize,
    on: &On,
    stop: &dyn Fn() -> bool,
) -> Option<Result<CircuitFigures, NoSolution>> {
    let net = Network::of(plan, circuits, which, on);
    let equations = Equations::of(&net);
    let mut states: [Settled; 3] = Default::default();
    for (c, corner) in Corner::ALL.into_iter().enumerate() {
        match at_corner(&equations, corner, stop) {
            Ok(state) => states[c] = state,
            Err(Trouble::Stopped) => return None,
            Err(Trouble::None(item, cause)) => {
                return Some(Err(NoSolution {
                    item,
                    corner,
                    cause,
                }));
            }
        }
    }
    Some(Ok(read_off(plan, &net, &states)))
}

pub(super) fn at_corner(
    equations: &Equations,
    corner: Corner,
    stop: &dyn Fn() -> bool,
) -> Result<Settled, Trouble> {
    joined(equations)?;
    settle(equations, corner, stop)
}

/// The whole scene, out of its circuits; the first corner at which one has no solution otherwise.
fn gather(plan: &Plan, circuits: &Circuits, solved: &[Solved]) -> Result<Figures, NoSolution> {
    let corner_number = |n: &NoSolution| Corner::ALL.iter().position(|&c| c == n.corner);
    let failed = solved
        .iter()
        .filter_map(|s| s.as_ref().as_ref().err())
        .min_by_key(|n| (corner_number(n), n.item));
    if let Some(failed) = failed {
        return Err(failed.clone());
    }
    let mut figures = Figures {
        items: vec![ItemFigures::default(); plan.items.len()],
        links: vec![(Figure::default(), Figure::default()); plan.links.len()],
    };
    for (solved, (items, links)) in solved.iter().zip(&circuits.list) {
        if let Ok(circuit) = solved.as_ref() {
            for (ItemId(i), item) in items.iter().zip(&circuit.items) {
                figures.items[*i] = item.clone();
            }
            for (LinkId(l), link) in links.iter().zip(&circuit.links) {
                figures.links[*l] = *link;
            }
        }
    }
    Ok(figures)
}

/// Of outputs that take turns, leaves on only the one that draws most, each tried alone (typical;
/// the first of equals). One that has no solution counts as drawing most. `Err` where it is stopped.
pub(super) fn take_turns(
    plan: &Plan,
    circuits: &Circuits,
    on: &mut On,
    stop: &dyn Fn() -> bool,
) -> Result<(), ()> {
    let mut groups: Vec<(usize, Vec<usize>)> = Vec::new();
    for (i, item) in plan.items.iter().enumerate() {
        if let Part::Board { module } = item.part {
            let turns = &plan.modules[module.0].turns;
            let left: Vec<usize> = (turns.iter().copied())
                .filter(|&o| on.outputs[i].get(o) == Some(&true))
                .collect();
            if left.len() > 1 {
                groups.push((i, left));
            }
        }
    }
    let choose = |on: &mut On, board: usize, left: &[usize], only: usize| {
        for &o in left {
            on.outputs[board][o] = o == only;
        }
    };
    // Boards whose turn is not chosen yet stand at their first output.
    for (board, left) in &groups {
        choose(on, *board, left, left[0]);
    }
    for (board, left) in &groups {
        let which = circuits.of_item(ItemId(*board));
        let mut most: Option<(f64, usize)> = None;
        for &output in left {
            choose(on, *board, left, output);
            let net = Network::of(plan, circuits, which, on);
            let equations = Equations::of(&net);
            let amps = match at_corner(&equations, Corner::Typical, stop) {
                Ok(state) => {
                    let states = [state.clone(), state.clone(), state];
                    let figures = read_off(plan, &net, &states);
                    let place = circuits.place(ItemId(*board));
                    let outputs = &figures.items[place].outputs;
                    outputs.get(output).map_or(0.0, |o| o.amps.typical.value)
                }
                Err(Trouble::Stopped) => return Err(()),
                Err(Trouble::None(..)) => f64::INFINITY,
            };
            // A difference under the accuracy of the figures is none.
            if most.is_none_or(|(m, _)| amps > m + 1e-9) {
                most = Some((amps, output));
            }
        }
        if let Some((_, output)) = most {
            choose(on, *board, left, output);
        }
    }
    Ok(())
}
