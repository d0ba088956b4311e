//! The figures of a plan: every scene, every circuit, every corner.

use std::collections::{BTreeMap, HashSet};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use super::equations::Equations;
use super::figures::{
    Corner, Figure, Figures, ItemFigures, NoSolution, NoSolutionCause, SceneFigures, Solution,
};
use super::linear::Workspace;
use super::network::{Circuits, Network};
use super::read_off::{CircuitFigures, read_off};
use super::scene::On;
use super::settle::{Settled, Trouble, joined, settle};
use super::side_by_side::side_by_side;
use crate::plan::{Choice, ItemId, LinkId, Part, Plan};
use crate::syntax::tree::Name;

/// The name of the implied scene in which everything is on.
pub const ALL_ON: &str = "all-on";

/// Says whether a result is no longer wanted.
pub type Stop<'a> = &'a (dyn Fn() -> bool + Sync);

/// A circuit solved with something on, or why it cannot be.
type Solved = Result<CircuitFigures, NoSolution>;

/// What of a circuit is on: its items, and its boards' outputs.
pub(super) type Key = (Vec<bool>, Vec<bool>);

/// From so many items on, in all circuits that have to be solved, it is done on all processors: it takes as long as to
/// have a few more threads begin.
const MANY_ITEMS: usize = 500;
/// From so many circuits on each is solved by one processor, all its corners.
const MANY_CIRCUITS: usize = 64;
/// The networks of circuits with about so many items in all are held at a time.
const HELD_ITEMS: usize = 20_000;

/// In a circuit, in all scenes together, outputs that take turns are tried in so many items: some 1 µs for each.
const TRIED_ITEMS: usize = 2_000_000;

/// Solves a plan: its scenes in order, then [`ALL_ON`]. The same plan gives the same digits.
///
/// Where `stop` says so, fewer scenes than there are come back: the caller has no use for them.
pub fn solve(plan: &Plan, stop: Stop) -> Solution {
    let circuits = Circuits::of(plan);
    let written = plan.scenes.iter().map(|s| (s.name.clone(), &s.choice));
    let all = std::iter::once((Name(Arc::from(ALL_ON)), &Choice::All));
    let mut states = Vec::new();
    for (name, choice) in written.chain(all) {
        let mut on = On::of(plan, choice);
        if take_turns(plan, &circuits, &mut on, stop).is_err() {
            return Solution::default();
        }
        states.push((name, on));
    }
    let scenes = states.len();
    if let Some((_, all_on)) = states.last() {
        states.extend(other_turns(plan, all_on));
    }
    // What is on in a circuit in several states is solved once.
    let mut known: Vec<Vec<(Key, usize)>> = vec![Vec::new(); circuits.list.len()];
    let mut wanted: Vec<(usize, &On)> = Vec::new();
    let mut uses: Vec<Vec<usize>> = Vec::with_capacity(states.len());
    for (_, on) in &states {
        let each = known.iter_mut().enumerate().map(|(which, known)| {
            if untried(&circuits, which, on).is_none() {
                let key = key(&circuits, which, on);
                if let Some((_, at)) = known.iter().find(|(k, _)| *k == key) {
                    return *at;
                }
                known.push((key, wanted.len()));
            }
            wanted.push((which, on));
            wanted.len() - 1
        });
        uses.push(each.collect());
    }
    drop(known);
    let Some(solved) = solve_all(plan, &circuits, &wanted, stop) else {
        return Solution::default();
    };
    let solved: Vec<Arc<Solved>> = solved.into_iter().map(Arc::new).collect();
    // Of states in which the same is on, the first stands for all.
    let first = |place: usize| uses.iter().position(|used| *used == uses[place]);
    let first: Vec<usize> = (0..uses.len()).map(|k| first(k).unwrap_or(k)).collect();
    let mut used: Vec<Vec<Arc<Solved>>> = (uses.iter().enumerate())
        .map(|(place, uses)| match first[place] == place {
            true => uses.iter().map(|&at| solved[at].clone()).collect(),
            false => Vec::new(),
        })
        .collect();
    drop(solved);
    let mut outcomes: Vec<Result<Figures, NoSolution>> = Vec::with_capacity(states.len());
    let mut solution = Solution::default();
    for (place, (name, on)) in states.into_iter().enumerate() {
        let is_repeat = first[place] < place;
        let outcome = match is_repeat {
            true => outcomes[first[place]].clone(),
            false => gather(plan, &circuits, std::mem::take(&mut used[place])),
        };
        outcomes.push(outcome.clone());
        let figures = SceneFigures {
            name,
            on: on.items,
            is_repeat,
            outcome,
        };
        match place < scenes {
            true => solution.scenes.push(figures),
            false => solution.turns.push(figures),
        }
    }
    solution
}

/// Solves circuits, each with something on, but those in which turns were not tried; `None` where it is stopped.
fn solve_all(
    plan: &Plan,
    circuits: &Circuits,
    wanted: &[(usize, &On)],
    stop: Stop,
) -> Option<Vec<Solved>> {
    let no_figures = |(which, on): &(usize, &On)| {
        let item = untried(circuits, *which, on)?;
        Some(Err(NoSolution {
            item,
            corner: Corner::Typical,
            cause: NoSolutionCause::ManyTurns,
        }))
    };
    let without: Vec<Option<Solved>> = wanted.iter().map(no_figures).collect();
    let each = wanted.iter().zip(&without);
    let tried: Vec<(usize, &On)> = each
        .filter(|(_, without)| without.is_none())
        .map(|(one, _)| *one)
        .collect();
    let mut solved = solve_tried(plan, circuits, &tried, stop)?.into_iter();
    let without = without.into_iter();
    without
        .map(|without| without.or_else(|| solved.next()))
        .collect()
}

/// As [`solve_all`], where all turns were tried.
fn solve_tried(
    plan: &Plan,
    circuits: &Circuits,
    wanted: &[(usize, &On)],
    stop: Stop,
) -> Option<Vec<Solved>> {
    let alone = |at: usize| {
        let (which, on) = wanted[at];
        solve_circuit(plan, circuits, which, on, stop)
    };
    let size = |(which, _): &(usize, &On)| circuits.list[*which].0.len();
    if wanted.iter().map(size).sum::<usize>() < MANY_ITEMS {
        return (0..wanted.len()).map(alone).collect();
    }
    if wanted.len() >= MANY_CIRCUITS {
        return side_by_side(wanted.len(), alone).into_iter().collect();
    }
    let mut solved = Vec::with_capacity(wanted.len());
    let mut left = wanted;
    while !left.is_empty() {
        let mut held = 0;
        let few = left.iter().take_while(|one| {
            held += size(one);
            held <= HELD_ITEMS
        });
        let (few, behind) = left.split_at(few.count().max(1));
        solved.extend(solve_few(plan, circuits, few, stop)?);
        left = behind;
    }
    Some(solved)
}

/// As [`solve_all`], every corner by whoever is free.
fn solve_few(
    plan: &Plan,
    circuits: &Circuits,
    wanted: &[(usize, &On)],
    stop: Stop,
) -> Option<Vec<Solved>> {
    let count = wanted.len();
    let nets: Vec<OnceLock<Network>> = (0..count).map(|_| OnceLock::new()).collect();
    let equations: Vec<OnceLock<Equations>> = (0..count).map(|_| OnceLock::new()).collect();
    let corners: Vec<Mutex<Vec<AtCorner>>> = (0..count).map(|_| Mutex::default()).collect();
    let pieces = side_by_side(count * Corner::ALL.len(), |piece| {
        // First one corner of each, so that no two wait for the same network.
        let (at, corner) = (piece % count, Corner::ALL[piece / count]);
        let (which, on) = wanted[at];
        let net = nets[at].get_or_init(|| Network::of(plan, circuits, which, on));
        let equations = equations[at].get_or_init(|| Equations::of(net));
        let settled = at_corner(equations, corner, &mut Workspace::default(), stop);
        let mut corners = corners[at].lock().unwrap_or_else(PoisonError::into_inner);
        corners.push((corner, settled));
        (corners.len() == Corner::ALL.len()).then(|| {
            // In whatever order they came.
            let place = |corner: Corner| Corner::ALL.iter().position(|c| *c == corner);
            corners.sort_by_key(|(corner, _)| place(*corner));
            (at, figures(plan, net, std::mem::take(&mut *corners)))
        })
    });
    let mut pieces: Vec<(usize, Option<Solved>)> = pieces.into_iter().flatten().collect();
    pieces.sort_by_key(|(at, _)| *at);
    pieces.into_iter().map(|(_, solved)| solved).collect()
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

/// The board of a circuit for which outputs that take turns were not tried.
pub(super) fn untried(circuits: &Circuits, which: usize, on: &On) -> Option<ItemId> {
    let mut boards = on.untried.iter().copied();
    boards.find(|board| circuits.of_item(*board) == which)
}

/// A corner, and where a circuit settles there.
type AtCorner = (Corner, Result<Settled, Trouble>);

/// Solves one circuit at all corners; `None` where it is stopped.
fn solve_circuit(
    plan: &Plan,
    circuits: &Circuits,
    which: usize,
    on: &On,
    stop: Stop,
) -> Option<Solved> {
    let net = Network::of(plan, circuits, which, on);
    let equations = Equations::of(&net);
    let mut workspace = Workspace::default();
    let mut corners = Vec::with_capacity(Corner::ALL.len());
    for corner in Corner::ALL {
        let settled = at_corner(&equations, corner, &mut workspace, stop);
        let is_over = settled.is_err();
        corners.push((corner, settled));
        if is_over {
            break;
        }
    }
    figures(plan, &net, corners)
}

/// The figures of a circuit out of its corners, in their order; where there is no solution, the first of them counts.
/// `None` where it was stopped.
fn figures(plan: &Plan, net: &Network, corners: Vec<AtCorner>) -> Option<Solved> {
    let mut states: [Settled; 3] = Default::default();
    for (state, (corner, settled)) in states.iter_mut().zip(corners) {
        match settled {
            Ok(settled) => *state = settled,
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
    Some(Ok(read_off(plan, net, &states)))
}

pub(super) fn at_corner(
    equations: &Equations,
    corner: Corner,
    workspace: &mut Workspace,
    stop: Stop,
) -> Result<Settled, Trouble> {
    joined(equations)?;
    settle(equations, corner, workspace, stop)
}

/// The whole scene, out of its circuits; the first corner at which one has no solution otherwise.
fn gather(
    plan: &Plan,
    circuits: &Circuits,
    solved: Vec<Arc<Solved>>,
) -> Result<Figures, NoSolution> {
    let corner_number = |n: &NoSolution| Corner::ALL.iter().position(|&c| c == n.corner);
    let failed = solved
        .iter()
        .filter_map(|s| s.as_ref().as_ref().err())
        .min_by_key(|n| (corner_number(n), n.item));
    if let Some(failed) = failed {
        return Err(failed.clone());
    }
    // What no later state needs is not copied.
    let own =
        |solved: Arc<Solved>| Arc::try_unwrap(solved).unwrap_or_else(|shared| (*shared).clone());
    let mut solved = solved.into_iter().map(own);
    if circuits.list.len() == 1
        && let Some(Ok(CircuitFigures { items, links })) = solved.next()
    {
        return Ok(Figures {
            items: Arc::new(items),
            links: Arc::new(links),
        });
    }
    let mut all_items = vec![ItemFigures::default(); plan.items.len()];
    let mut all_links = vec![(Figure::default(), Figure::default()); plan.links.len()];
    for (solved, (items, links)) in solved.zip(&circuits.list) {
        let Ok(circuit) = solved else { continue };
        for (ItemId(i), item) in items.iter().zip(circuit.items) {
            all_items[*i] = item;
        }
        for (LinkId(l), link) in links.iter().zip(circuit.links) {
            all_links[*l] = link;
        }
    }
    Ok(Figures {
        items: Arc::new(all_items),
        links: Arc::new(all_links),
    })
}

/// Of outputs that take turns, leaves on only the one that draws most, each on which something hangs tried alone (typical;
/// the first of equals). One that has no solution counts as drawing most. Where so many would have to be tried in so large
/// a circuit that it takes long ([`TRIED_ITEMS`]), none is, and that is noted. `Err` where it is stopped.
pub(super) fn take_turns(
    plan: &Plan,
    circuits: &Circuits,
    on: &mut On,
    stop: Stop,
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
    let hung_on = hung_on(plan, &groups);
    let may_be_tried = TRIED_ITEMS / (plan.scenes.len() + 1);
    let mut tried: BTreeMap<usize, usize> = BTreeMap::new();
    for (board, left) in &groups {
        let which = circuits.of_item(ItemId(*board));
        let outputs = left.iter().filter(|&&o| hung_on.contains(&(*board, o)));
        let tried = tried.entry(which).or_default();
        let before = *tried;
        *tried += outputs.count() * circuits.list[which].0.len();
        if before <= may_be_tried && *tried > may_be_tried {
            on.untried.push(ItemId(*board));
        }
    }
    for (board, left) in &groups {
        let which = circuits.of_item(ItemId(*board));
        if untried(circuits, which, on).is_some() {
            continue;
        }
        let mut most: Option<(f64, usize)> = None;
        for &output in left {
            let amps = match hung_on.contains(&(*board, output)) {
                false => 0.0,
                true => {
                    choose(on, *board, left, output);
                    let net = Network::of(plan, circuits, which, on);
                    let equations = Equations::of(&net);
                    let mut workspace = Workspace::default();
                    match at_corner(&equations, Corner::Typical, &mut workspace, stop) {
                        Ok(state) => {
                            let states = [state.clone(), state.clone(), state];
                            let figures = read_off(plan, &net, &states);
                            let place = circuits.place(ItemId(*board));
                            let outputs = &figures.items[place].outputs;
                            outputs.get(output).map_or(0.0, |o| o.amps.typical.value)
                        }
                        Err(Trouble::Stopped) => return Err(()),
                        Err(Trouble::None(..)) => f64::INFINITY,
                    }
                }
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

/// The outputs of these boards on which something hangs.
fn hung_on(plan: &Plan, boards: &[(usize, Vec<usize>)]) -> HashSet<(usize, usize)> {
    if boards.is_empty() {
        return HashSet::new();
    }
    let feeds = plan.items.iter().filter_map(|item| item.feed.as_ref());
    let of_feeds = feeds.flat_map(|feed| [feed.from, feed.minus()]);
    let of_links = plan
        .links
        .iter()
        .flat_map(|link| [link.ends.0, link.ends.1]);
    let points = of_feeds.chain(of_links);
    points
        .filter_map(|point| Some((point.item.0, point.output?)))
        .collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::plan::{Alone, FileKey};

    /// A circuit of lights, one whose sources fight, one with a load that cannot have its power, and one with an effects board.
    fn text() -> String {
        let mut text = "\
wire fine gauge 28 AWG insulation enamel
led pearl drops 3.0 V at 20 mA limit 25 mA
module blinker works 6 V to 15 V draws 5 mA output a 5 V 100 mA output b 100 mA turns a, b
supply brick 12 V 9 A
supply left 12 V
supply right 9 V
link fight between left and right
supply weak 12 V resistance 10 ohm
load hungry takes 40 W from weak
supply cell 9 V resistance 1 ohm
board fx of blinker from cell over 300 mm of fine
load x resistance 100 ohm from fx.a
load y takes 300 mW from fx.b over 200 mm of fine
scene dim off lamp-7, y
"
        .to_owned();
        for k in 1..40 {
            let over = 50 + k;
            text += &format!(
                "lamp lamp-{k} of pearl resistor 510 ohm from brick over {over} mm of fine\n"
            );
        }
        text
    }

    /// However the work is shared out, the digits are the same.
    #[test]
    fn shared_out_or_not() {
        let plan = Plan::of(FileKey::new("p"), text().into(), &Alone);
        assert!(plan.problems.is_empty(), "{:?}", plan.problems);
        let circuits = Circuits::of(&plan);
        let all = On::all(&plan);
        let dim = On::of(&plan, &plan.scenes[0].choice);
        let which = 0..circuits.list.len();
        let wanted: Vec<(usize, &On)> = which.flat_map(|k| [(k, &all), (k, &dim)]).collect();
        let alone = wanted
            .iter()
            .map(|(which, on)| solve_circuit(&plan, &circuits, *which, on, &|| false));
        let alone: Vec<Solved> = alone.collect::<Option<_>>().unwrap();
        let solved = alone.iter().filter(|solved| solved.is_ok()).count();
        assert!(0 < solved && solved < wanted.len());
        let alone = format!("{alone:?}");
        let few = solve_few(&plan, &circuits, &wanted, &|| false).unwrap();
        assert_eq!(format!("{few:?}"), alone);
        assert!(solve_few(&plan, &circuits, &wanted, &|| true).is_none());
        // So many that each is solved by one processor.
        let many: Vec<(usize, &On)> = wanted.iter().copied().cycle().take(20 * 64).collect();
        let all = solve_all(&plan, &circuits, &many, &|| false).unwrap();
        assert_eq!(format!("{:?}", &all[..wanted.len()]), alone);
    }
}
