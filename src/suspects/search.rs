//! Which faults explain exactly what is seen: each is put into the circuit and solved; what copper alone says spares the solving of
//! those that cannot be it.

use std::cell::Cell;
use std::collections::{BTreeMap, HashSet};
use std::rc::Rc;

use super::faults::{self, Fault};
use super::{AS_BEFORE, DARK, DIM, STEP, Seen, Suspect, Suspects, meter, ranking};
use crate::circuit::breaks::Breaks;
use crate::circuit::clearing::Clears;
use crate::circuit::defects::Defect;
use crate::circuit::fused_runs::RunOf;
use crate::circuit::planted::{Planted, State};
use crate::circuit::{Stop, what_if};
use crate::plan::{ItemId, Part, Plan};
use crate::units::ohms;

/// A light that draws less is dark in the whole model too.
const LEAST: f64 = 1e-6;

/// Bad joints are tried with these resistances, ohms, the first that explains what is seen counting: from what dims a whole tape to what
/// dims one lamp on its resistor.
const BAD: [f64; 5] = [1.0, 5.0, 25.0, 125.0, 625.0];

/// So many items, all solutions together, are solved for one question.
const WORK: usize = 400_000;
/// Of that, this part for faults that by copper alone are not it, where others are.
const UNLIKELY: usize = 8;
/// The most pairs that are told.
const MOST_PAIRS: usize = 200;
/// The most faults of which each is tried open with every other one, …
const MOST_OPEN: usize = 300;
/// … and the most pairs of such that are looked at.
const MOST_LOOKED_AT: usize = 600_000;
/// The most pairs that copper alone says could be it.
const MOST_TRIED: usize = 20_000;

/// What may be wrong with a plan of which this is seen. `None` where it is stopped.
pub fn suspects(plan: &Plan, breaks: &Breaks, seen: &Seen, stop: Stop) -> Option<Suspects> {
    let planted = Planted::of(plan, seen.choice(plan), stop)?;
    let whole = lit_when_whole(plan, &planted);
    let is_lit = |item: &&ItemId| whole[item.0] > LEAST;
    let is_dark = |item: &&ItemId| !is_lit(item);
    let named = seen.dark.iter().chain(&seen.dim);
    let mut found = Suspects {
        dark_anyway: named.filter(is_dark).copied().collect(),
        lit_although: seen.lit.iter().filter(is_dark).copied().collect(),
        ..Suspects::default()
    };
    let asked = Seen {
        dark: seen.dark.iter().filter(is_lit).copied().collect(),
        dim: seen.dim.iter().filter(is_lit).copied().collect(),
        lit: seen.lit.iter().filter(is_lit).copied().collect(),
        ..seen.clone()
    };
    if asked.dark.is_empty() && asked.dim.is_empty() {
        return Some(found);
    }
    let search = Search {
        plan,
        breaks,
        planted: &planted,
        whole,
        work_left: Cell::new(WORK),
        cut_short: Cell::new(false),
        stop,
    };
    let asked = Asked::of(plan, &search.whole, &asked);
    found.searched = true;
    found.singles = search.singles(&asked);
    if found.singles.is_empty() {
        search.work_left.set(WORK);
        found.pairs = search.pairs(&asked);
    }
    if stop() {
        return None;
    }
    found.cut_short = search.cut_short.get();
    let ranked = match found.singles.is_empty() {
        true => &mut found.pairs,
        false => &mut found.singles,
    };
    // The sort keeps the order of the plan where the weights are alike.
    ranked.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    let metered = meter::Meter::of(plan, &planted, ranked, &asked.named());
    for suspect in ranked.iter_mut().take(meter::MOST) {
        suspect.measure = metered.measure(suspect);
    }
    found.test = metered.best_test(ranked);
    Some(found)
}

/// What each light draws in the whole model; zero for all else.
fn lit_when_whole(plan: &Plan, planted: &Planted) -> Vec<f64> {
    let mut draws = vec![0.0; plan.items.len()];
    for light in plan.lights() {
        if let Some(whole) = planted.whole(planted.circuit_of(light)) {
            draws[light.0] = planted.draws(whole, light).value;
        }
    }
    draws
}

/// What is seen, as it is asked of each fault. Only of lights that are lit in the whole model.
#[derive(Clone, Debug)]
struct Asked {
    dark: Vec<ItemId>,
    dim: Vec<ItemId>,
    /// For each item what it must look like.
    look: Vec<Look>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Look {
    Any,
    Dark,
    Dim,
    AsBefore,
}

impl Asked {
    fn of(plan: &Plan, whole: &[f64], seen: &Seen) -> Asked {
        let mut look = vec![Look::Any; plan.items.len()];
        if !seen.others_unseen {
            for light in plan.lights().filter(|light| whole[light.0] > LEAST) {
                look[light.0] = Look::AsBefore;
            }
        }
        for (lights, is) in [
            (&seen.lit, Look::AsBefore),
            (&seen.dim, Look::Dim),
            (&seen.dark, Look::Dark),
        ] {
            for light in lights {
                look[light.0] = is;
            }
        }
        let those = |is: Look| {
            let all = (0..look.len()).map(ItemId);
            all.filter(|item| look[item.0] == is)
                .collect::<Vec<ItemId>>()
        };
        Asked {
            dark: those(Look::Dark),
            dim: those(Look::Dim),
            look,
        }
    }

    fn named(&self) -> Vec<ItemId> {
        self.dark.iter().chain(&self.dim).copied().collect()
    }

    /// The same of what is dark alone, or of what is dim alone; of the others nothing is said.
    fn only(&self, is: Look) -> Asked {
        let other = |look: Look| matches!(look, Look::Dark | Look::Dim) && look != is;
        let look = self.look.iter().map(|&look| match other(look) {
            true => Look::Any,
            false => look,
        });
        let own = |of: Look, lights: &[ItemId]| match of == is {
            true => lights.to_vec(),
            false => Vec::new(),
        };
        Asked {
            dark: own(Look::Dark, &self.dark),
            dim: own(Look::Dim, &self.dim),
            look: look.collect(),
        }
    }

    /// Whether these may be dark.
    fn may_be_dark(&self, lights: &[ItemId]) -> bool {
        let may = |light: &ItemId| matches!(self.look[light.0], Look::Dark | Look::Any);
        lights.iter().all(may)
    }

    /// How many of these are seen dark.
    fn covered(&self, lights: &[ItemId]) -> usize {
        let dark = |light: &&ItemId| self.look[light.0] == Look::Dark;
        lights.iter().filter(dark).count()
    }
}

/// A fault with what copper says of it.
struct Candidate {
    fault: Fault,
    /// Lights that are lit in the whole model and are sure to go dark.
    dark: Vec<ItemId>,
    /// That is all that goes dark.
    is_all: bool,
}

struct Search<'a> {
    plan: &'a Plan,
    breaks: &'a Breaks,
    planted: &'a Planted<'a>,
    whole: Vec<f64>,
    work_left: Cell<usize>,
    cut_short: Cell<bool>,
    stop: Stop<'a>,
}

impl Search<'_> {
    /// Whether there is but one way to each light of a circuit, so that what opens there can only give the others more.
    fn has_one_way(&self, which: usize) -> bool {
        let (items, links) = self.planted.members(which);
        let is_supply = |item: &&ItemId| matches!(self.plan.items[item.0].part, Part::Supply(_));
        links.is_empty() && items.iter().filter(is_supply).count() <= 1
    }

    /// Solves a circuit with something wrong, if there is work left.
    fn solve(&self, which: usize, defects: &[Defect]) -> Option<Rc<State>> {
        let size = self.planted.members(which).0.len() + 10;
        let left = self.work_left.get().checked_sub(size);
        let Some(left) = left.filter(|_| !(self.stop)()) else {
            self.cut_short.set(true);
            return None;
        };
        self.work_left.set(left);
        self.planted.with(which, defects).map(Rc::new)
    }

    /// Whether all lights of a circuit look as they are seen: the dim ones dimmer than all that are as before, or with dark groups.
    fn explains(&self, which: usize, state: &State, asked: &Asked) -> bool {
        let Some(whole) = self.planted.whole(which) else {
            return false;
        };
        let (mut dim, mut as_before) = (0.0f64, f64::INFINITY);
        let (items, _) = self.planted.members(which);
        let looks = items.iter().all(|&item| {
            let part = self.planted.draws(state, item).value / self.whole[item.0];
            let all_groups = || self.planted.as_many_groups(state, whole, item);
            match asked.look[item.0] {
                Look::Any => true,
                Look::Dark => part <= DARK,
                Look::Dim if !all_groups() => part > DARK,
                Look::Dim => {
                    dim = dim.max(part);
                    part > DARK && part <= DIM
                }
                Look::AsBefore => {
                    as_before = as_before.min(part);
                    part >= AS_BEFORE && all_groups()
                }
            }
        });
        looks && dim + STEP <= as_before
    }

    /// The circuit that all lights that are dark or dim are in, if it is one.
    fn one_circuit(&self, asked: &Asked) -> Option<usize> {
        let mut circuits = asked.named().into_iter();
        let first = self.planted.circuit_of(circuits.next()?);
        circuits
            .all(|light| self.planted.circuit_of(light) == first)
            .then_some(first)
    }

    /// The lights that a fault has darkened.
    fn dark_in(&self, which: usize, state: &State) -> Vec<ItemId> {
        let (items, _) = self.planted.members(which);
        let is_dark = |item: &ItemId| {
            let whole = self.whole[item.0];
            whole > LEAST && self.planted.draws(state, *item).value <= DARK * whole
        };
        items.iter().copied().filter(is_dark).collect()
    }

    /// The faults that darken no light that is lit, with their numbers. One after the other: what each darkens may be as long as the plan.
    fn candidates<'s>(
        &'s self,
        which: usize,
        asked: &'s Asked,
    ) -> impl Iterator<Item = (usize, Candidate)> + 's {
        let one_way = self.has_one_way(which);
        let faults = faults::all(self.plan, self.planted, which).into_iter();
        let all = faults.map(move |fault| {
            let mut dark = fault.surely_darkens(self.plan, self.breaks);
            dark.retain(|light| self.whole[light.0] > LEAST);
            // What a board's outputs do copper does not say.
            if fault.is_of_board(self.plan)
                && let Some(state) = self.solve(which, &fault.defects())
            {
                dark = self.dark_in(which, &state);
            }
            Candidate {
                fault,
                dark,
                is_all: one_way && fault.darkens_no_more(self.plan),
            }
        });
        let may_be = |(_, candidate): &(usize, Candidate)| asked.may_be_dark(&candidate.dark);
        all.enumerate().filter(may_be)
    }

    /// Single faults that explain what is seen, in the order of the plan.
    fn singles(&self, asked: &Asked) -> Vec<Suspect> {
        let Some(which) = self.one_circuit(asked) else {
            return Vec::new();
        };
        let mut shorts = Shorts::of(self, which);
        // What copper alone does not explain, and how much of it it does.
        let mut left: Vec<(usize, Fault, usize)> = Vec::new();
        let mut found: Vec<(usize, Suspect)> = Vec::new();
        for (k, candidate) in self.candidates(which, asked) {
            let covered = asked.covered(&candidate.dark);
            if let Fault::Short(run) = candidate.fault {
                match shorts.blows(self, run) {
                    Blows::Known(state) => {
                        if let Some(state) = state
                            && self.explains(which, &state, asked)
                        {
                            found.push((k, self.suspect(&[candidate.fault], which, state)));
                        }
                    }
                    Blows::Unknown => left.push((k, candidate.fault, covered)),
                }
            } else if covered == asked.dark.len() {
                let state = self.solve(which, &candidate.fault.defects());
                if let Some(state) = state.filter(|state| self.explains(which, state, asked)) {
                    found.push((k, self.suspect(&[candidate.fault], which, state)));
                }
            } else if !candidate.is_all {
                left.push((k, candidate.fault, covered));
            }
        }
        if !asked.dim.is_empty() {
            let faults = self.dimming(which, asked);
            found.extend(faults.into_iter().map(|suspect| (usize::MAX, suspect)));
        }
        // Those first that explain most of it.
        left.sort_by_key(|(_, _, covered)| std::cmp::Reverse(*covered));
        let was_cut_short = self.cut_short.get();
        if !found.is_empty() {
            self.work_left
                .set(self.work_left.get().min(WORK / UNLIKELY));
        }
        for (k, fault, _) in left {
            let Some(state) = self.solve(which, &fault.defects()) else {
                if self.work_left.get() < WORK / UNLIKELY && self.cut_short.get() {
                    break;
                }
                continue;
            };
            if self.explains(which, &state, asked) {
                found.push((k, self.suspect(&[fault], which, state)));
            }
        }
        if !found.is_empty() {
            self.cut_short.set(was_cut_short);
        }
        found.sort_by_key(|(k, _)| *k);
        found.into_iter().map(|(_, suspect)| suspect).collect()
    }

    /// Bad joints and weak supplies that explain lights that are dim.
    fn dimming(&self, which: usize, asked: &Asked) -> Vec<Suspect> {
        let (items, links) = self.planted.members(which);
        let one_way = self.has_one_way(which);
        let mut tries = faults::weak(self.plan, items);
        for spot in faults::spots(self.plan, items, links) {
            let behind = Fault::Open(spot).surely_darkens(self.plan, self.breaks);
            let holds = |light: &ItemId| behind.binary_search(light).is_ok();
            // With one way to each light, only what is behind it gets less by it.
            if !one_way || asked.dim.iter().all(holds) {
                tries.push(BAD.map(|r| Fault::Bad(spot, ohms(r))).to_vec());
            }
        }
        let explained = |degrees: Vec<Fault>| {
            degrees.into_iter().find_map(|fault| {
                let state = self.solve(which, &fault.defects())?;
                let explains = self.explains(which, &state, asked);
                explains.then(|| self.suspect(&[fault], which, state))
            })
        };
        tries.into_iter().filter_map(explained).collect()
    }

    fn suspect(&self, faults: &[Fault], which: usize, state: Rc<State>) -> Suspect {
        self.suspect_in(faults, vec![(which, state)])
    }

    fn suspect_in(&self, faults: &[Fault], states: Vec<(usize, Rc<State>)>) -> Suspect {
        let weights = faults
            .iter()
            .map(|fault| ranking::weight(self.plan, *fault));
        let gives_up = states.iter().flat_map(|(_, state)| state.gave_up.clone());
        Suspect {
            faults: faults.to_vec(),
            weight: weights.product(),
            gives_up: gives_up.collect(),
            measure: None,
            states,
        }
    }

    /// Two faults together that explain what is seen, where no single one does.
    fn pairs(&self, asked: &Asked) -> Vec<Suspect> {
        let mut found = match (asked.dark.is_empty(), asked.dim.is_empty()) {
            (false, true) => self.dark_pairs(asked),
            (false, false) => {
                let dark = self.singles(&asked.only(Look::Dark));
                let dim = self.singles(&asked.only(Look::Dim));
                self.proved_pairs(&dark, &dim, asked)
            }
            (true, _) => Vec::new(),
        };
        if found.is_empty() && self.one_circuit(asked).is_none() {
            found = self.in_two_circuits(asked);
        }
        found.sort_by(|a, b| b.weight.total_cmp(&a.weight));
        if found.len() > MOST_PAIRS {
            found.truncate(MOST_PAIRS);
            self.cut_short.set(true);
        }
        found
    }

    /// Where two circuits have lights that are dark or dim: a fault in each.
    fn in_two_circuits(&self, asked: &Asked) -> Vec<Suspect> {
        let mut by_circuit: BTreeMap<usize, Vec<ItemId>> = BTreeMap::new();
        for light in asked.named() {
            let which = self.planted.circuit_of(light);
            by_circuit.entry(which).or_default().push(light);
        }
        let of_circuit = |which: usize| {
            let own = |light: &&ItemId| self.planted.circuit_of(**light) == which;
            self.singles(&Asked {
                dark: asked.dark.iter().filter(own).copied().collect(),
                dim: asked.dim.iter().filter(own).copied().collect(),
                look: asked.look.clone(),
            })
        };
        let circuits: Vec<usize> = by_circuit.into_keys().collect();
        let [a, b] = circuits[..] else {
            return Vec::new();
        };
        let (a, b) = (of_circuit(a), of_circuit(b));
        let both = a.iter().flat_map(|a| b.iter().map(move |b| (a, b)));
        both.map(|(a, b)| {
            let faults = [&a.faults[..], &b.faults[..]].concat();
            self.suspect_in(&faults, [&a.states[..], &b.states[..]].concat())
        })
        .collect()
    }

    /// Each of these with each of those, in one circuit, as far as they explain what is seen together.
    fn proved_pairs(&self, these: &[Suspect], those: &[Suspect], asked: &Asked) -> Vec<Suspect> {
        let pairs = these
            .iter()
            .flat_map(|a| those.iter().map(move |b| (a, b)))
            .map(|(a, b)| [&a.faults[..], &b.faults[..]].concat())
            .collect();
        match self.one_circuit(asked) {
            Some(which) => self.proved(which, pairs, asked),
            None => Vec::new(),
        }
    }

    /// Those of these sets of faults that explain what is seen; the likelier are solved first.
    fn proved(&self, which: usize, mut sets: Vec<Vec<Fault>>, asked: &Asked) -> Vec<Suspect> {
        let weight = |faults: &Vec<Fault>| -> f64 {
            let weights = faults
                .iter()
                .map(|fault| ranking::weight(self.plan, *fault));
            weights.product()
        };
        sets.sort_by(|a, b| weight(b).total_cmp(&weight(a)));
        let mut found = Vec::new();
        for faults in sets {
            if found.len() > MOST_PAIRS {
                break;
            }
            let defects: Vec<Defect> = faults.iter().flat_map(|fault| fault.defects()).collect();
            let Some(state) = self.solve(which, &defects) else {
                continue;
            };
            if self.explains(which, &state, asked) {
                found.push(self.suspect(&faults, which, state));
            }
        }
        found
    }

    /// Two faults that darken what is dark: each its own part, or both ways of a ring.
    fn dark_pairs(&self, asked: &Asked) -> Vec<Suspect> {
        let Some(which) = self.one_circuit(asked) else {
            return Vec::new();
        };
        let all = self
            .candidates(which, asked)
            .map(|(_, candidate)| candidate);
        let fitting: Vec<Candidate> = all
            .filter(|candidate| !matches!(candidate.fault, Fault::Short(_)))
            .collect();
        let mut pairs: Vec<Vec<Fault>> = Vec::new();
        let mut told: HashSet<(usize, usize)> = HashSet::new();
        // Each its own part. Those that darken the same stand together.
        let mut groups: BTreeMap<&[ItemId], Vec<usize>> = BTreeMap::new();
        for (k, candidate) in fitting.iter().enumerate() {
            groups.entry(&candidate.dark).or_default().push(k);
        }
        let groups: Vec<(usize, &[ItemId], Vec<usize>)> = (groups.into_iter())
            .map(|(dark, those)| (asked.covered(dark), dark, those))
            .collect();
        for (g, (with, dark, those)) in groups.iter().enumerate() {
            for (other, others_dark, others) in &groups[g..] {
                if pairs.len() > MOST_TRIED {
                    self.cut_short.set(true);
                    break;
                }
                let both = with + other;
                if both < asked.dark.len() || dark.is_empty() || others_dark.is_empty() {
                    continue;
                }
                let mut union: Vec<ItemId> = [*dark, *others_dark].concat();
                union.sort_unstable();
                union.dedup();
                if asked.covered(&union) < asked.dark.len() {
                    continue;
                }
                for (&a, &b) in those
                    .iter()
                    .flat_map(|a| others.iter().map(move |b| (a, b)))
                {
                    if a != b && told.insert((a.min(b), a.max(b))) {
                        let (a, b) = (a.min(b), a.max(b));
                        pairs.push(vec![fitting[a].fault, fitting[b].fault]);
                    }
                }
            }
        }
        // Both ways of a ring: with the one open, the other darkens what is missing.
        if !self.has_one_way(which) {
            let most = MOST_OPEN.min(MOST_LOOKED_AT / fitting.len().max(1));
            for (a, first) in fitting.iter().enumerate().take(most) {
                let Some(open) = first.fault.opens() else {
                    continue;
                };
                let breaks = Breaks::once_open(self.plan, open);
                for (b, second) in fitting.iter().enumerate() {
                    let mut dark = second.fault.surely_darkens(self.plan, &breaks);
                    dark.retain(|light| self.whole[light.0] > LEAST);
                    if a == b || !asked.may_be_dark(&dark) {
                        continue;
                    }
                    let missing = dark.iter().chain(&first.dark).copied();
                    let mut union: Vec<ItemId> = missing.collect();
                    union.sort_unstable();
                    union.dedup();
                    if asked.covered(&union) == asked.dark.len()
                        && told.insert((a.min(b), a.max(b)))
                    {
                        let (a, b) = (a.min(b), a.max(b));
                        pairs.push(vec![fitting[a].fault, fitting[b].fault]);
                    }
                }
            }
            if fitting.len() > most {
                self.cut_short.set(true);
            }
        }
        self.proved(which, pairs, asked)
    }
}

/// What shorts blow in a circuit with one way to each light: what is behind the fuse next ahead, or all of the supply, is then dark
/// however long the short stays, so that one solution is that of all shorts behind one fuse.
struct Shorts {
    one_way: bool,
    which: usize,
    next: Vec<(RunOf, ItemId)>,
    known: BTreeMap<ItemId, Option<Rc<State>>>,
}

enum Blows {
    Known(Option<Rc<State>>),
    Unknown,
}

impl Shorts {
    fn of(search: &Search, which: usize) -> Shorts {
        let one_way = search.has_one_way(which);
        let mut next = Vec::new();
        if one_way {
            let sure = |clears: &Option<Clears>| !matches!(clears, Some(Clears::NotSurely) | None);
            for short in what_if::shorts(search.plan) {
                if let Some(fuse) = short.run.fuse()
                    && sure(&short.clears)
                {
                    next.push((short.run.of, fuse));
                }
            }
        }
        next.sort_unstable();
        Shorts {
            one_way,
            which,
            next,
            known: BTreeMap::new(),
        }
    }

    fn blows(&mut self, search: &Search, run: RunOf) -> Blows {
        let Ok(k) = self.next.binary_search_by(|(of, _)| of.cmp(&run)) else {
            return Blows::Unknown;
        };
        if !self.one_way {
            return Blows::Unknown;
        }
        let fuse = self.next[k].1;
        // The first short behind a fuse is solved as such; whether it is that fuse that blows shows then.
        let which = self.which;
        let state = self.known.entry(fuse).or_insert_with(|| {
            let state = search.solve(which, &[Defect::Bridged(run)])?;
            (state.gave_up == [Defect::Dead(fuse)]).then_some(state)
        });
        match state {
            Some(state) => Blows::Known(Some(state.clone())),
            None => Blows::Unknown,
        }
    }
}
