//! What the rest of a plan must know of one part, and the sum of that over all parts.

use std::collections::BTreeMap;

use crate::checks::figure_unlikely::{is_longish, run_lengths};
use crate::checks::scene_dark::is_lit;
use crate::checks::scene_twice::alike;
use crate::checks::stock_use::stock_use;
use crate::checks::{Analysis, has_errors, misses_names};
use crate::plan::{Elsewhere, Part, StockUse};
use crate::syntax::tree::Name;
use crate::syntax::vocabulary::StanzaWord;
use crate::units::ElectricPotential;

/// What the rest must know of a part.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Summary {
    pub errors: bool,
    pub misses: bool,
    /// A scene has no solution.
    pub unsolved: bool,
    /// A scene lists something of it that it cannot list.
    pub scene_at_fault: bool,
    /// Names of its own stanzas that lead nowhere.
    pub unknown: Vec<Name>,
    pub compared: usize,
    pub strips: usize,
    /// A strip's figures depend on how many strips there are.
    pub minds_strips: bool,
    pub lights: bool,
    pub passages: bool,
    pub lit: Vec<bool>,
    /// For each scene, the first in which the same things are on.
    pub alike: Vec<Option<usize>>,
    pub stock: BTreeMap<Name, StockUse>,
    /// A run is so long that it is compared with the others.
    pub longish: bool,
    pub runs: Vec<f64>,
    /// The first supply, by its place among the part's stanzas, and its voltage.
    pub first_supply: Option<(usize, ElectricPotential)>,
}

/// Of how many groups on a strip has lumps of the same size in any plan, at least.
const FEW_GROUPS: u32 = 4;

impl Summary {
    pub fn of(analysis: &Analysis) -> Summary {
        let (plan, solution) = (&analysis.plan, &analysis.solution);
        let outcomes = solution.scenes.iter().map(|s| s.outcome.as_ref());
        let is_scene = |id| plan.stanza(id).word == Some(StanzaWord::Scene);
        let is_common = |id| super::ties::kind(plan.stanza(id)) == super::ties::Kind::Common;
        let strips = plan.items.iter().filter_map(|item| match item.part {
            Part::Strip { tape, groups, .. } => Some((plan.tapes[tape.0].track.0, groups)),
            _ => None,
        });
        let runs = run_lengths(plan);
        Summary {
            errors: has_errors(plan),
            misses: misses_names(plan),
            unsolved: outcomes.clone().any(|outcome| outcome.is_err()),
            scene_at_fault: plan.unknown.iter().any(|(id, _)| is_scene(*id)),
            unknown: (plan.unknown.iter())
                .filter(|(id, _)| !is_common(*id))
                .map(|(_, name)| name.clone())
                .collect(),
            compared: plan.compared,
            strips: strips.clone().count(),
            minds_strips: strips
                .clone()
                .any(|(track, n)| track > 0.0 && n > FEW_GROUPS),
            lights: plan.lights().next().is_some(),
            passages: !plan.passages.is_empty(),
            lit: outcomes
                .map(|outcome| outcome.is_ok_and(|figures| is_lit(plan, figures)))
                .collect(),
            alike: alike(plan, solution),
            stock: stock_use(plan),
            longish: runs.iter().copied().any(is_longish),
            runs,
            first_supply: plan.items.iter().find_map(|item| match &item.part {
                Part::Supply(supply) => {
                    let ahead = plan.files.iter().take(item.stanza.file.0);
                    let ahead: usize = ahead.map(|file| file.tree.stanzas.len()).sum();
                    Some((ahead + item.stanza.index, supply.volts))
                }
                _ => None,
            }),
        }
    }

    /// Whether the totals are the same with the one and with the other.
    pub fn counts_as(&self, other: &Summary) -> bool {
        let flags = |of: &Summary| {
            [
                of.errors,
                of.misses,
                of.unsolved,
                of.scene_at_fault,
                of.unknown.is_empty(),
                of.minds_strips,
                of.lights,
                of.passages,
                of.longish,
            ]
        };
        flags(self) == flags(other)
            && (self.compared, self.strips) == (other.compared, other.strips)
            && self.lit == other.lit
            && self.alike == other.alike
            && self.stock == other.stock
    }
}

/// A sum over parts.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Totals {
    pub errors: usize,
    pub misses: usize,
    pub unsolved: usize,
    pub scenes_at_fault: usize,
    pub unknown: usize,
    pub compared: usize,
    pub strips: usize,
    pub minding_strips: usize,
    pub lights: usize,
    pub passages: usize,
    pub lit: Vec<usize>,
    pub differ: BTreeMap<(usize, usize), usize>,
    pub stock: BTreeMap<Name, StockTotal>,
    pub longish: usize,
}

/// How many parts use a stock in which way, and how much of it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct StockTotal {
    referred: usize,
    plus: usize,
    minus: usize,
    made: usize,
    cut: i128,
    pieces: u64,
}

/// One more, or one less.
fn count(total: &mut usize, is: bool, more: bool) {
    step(total, usize::from(is), more);
}

fn step(total: &mut usize, by: usize, more: bool) {
    *total = match more {
        true => *total + by,
        false => total.saturating_sub(by),
    };
}

impl Totals {
    pub fn add(&mut self, part: &Summary) {
        self.change(part, true);
    }

    pub fn remove(&mut self, part: &Summary) {
        self.change(part, false);
    }

    fn change(&mut self, part: &Summary, more: bool) {
        count(&mut self.errors, part.errors, more);
        count(&mut self.misses, part.misses, more);
        count(&mut self.unsolved, part.unsolved, more);
        count(&mut self.scenes_at_fault, part.scene_at_fault, more);
        count(&mut self.unknown, !part.unknown.is_empty(), more);
        step(&mut self.compared, part.compared, more);
        step(&mut self.strips, part.strips, more);
        count(&mut self.minding_strips, part.minds_strips, more);
        count(&mut self.lights, part.lights, more);
        count(&mut self.passages, part.passages, more);
        count(&mut self.longish, part.longish, more);
        if self.lit.len() < part.lit.len() {
            self.lit.resize(part.lit.len(), 0);
        }
        for (total, lit) in self.lit.iter_mut().zip(&part.lit) {
            count(total, *lit, more);
        }
        for pair in differing(&part.alike) {
            let total = self.differ.entry(pair).or_default();
            count(total, true, more);
            if *total == 0 {
                self.differ.remove(&pair);
            }
        }
        for (name, uses) in &part.stock {
            let total = self.stock.entry(name.clone()).or_default();
            count(&mut total.referred, uses.referred, more);
            count(&mut total.plus, uses.plus, more);
            count(&mut total.minus, uses.minus, more);
            count(&mut total.made, uses.made, more);
            let sign = if more { 1 } else { -1 };
            total.cut += sign * uses.cut;
            total.pieces = match more {
                true => total.pieces + uses.pieces,
                false => total.pieces.saturating_sub(uses.pieces),
            };
            if *total == StockTotal::default() {
                self.stock.remove(name);
            }
        }
    }

    /// What there is elsewhere for a part whose own summary is counted in here (or none is).
    pub fn elsewhere(&self, own: Option<&Summary>) -> Elsewhere {
        let is = |total: usize, own: Option<bool>| total > usize::from(own.unwrap_or(false));
        let own_pairs: Vec<_> = own.map_or(Vec::new(), |own| differing(&own.alike).collect());
        Elsewhere {
            names: self.compared - own.map_or(0, |own| own.compared),
            strips: self.strips - own.map_or(0, |own| own.strips),
            lights: is(self.lights, own.map(|own| own.lights)),
            passages: is(self.passages, own.map(|own| own.passages)),
            lit: (self.lit.iter().enumerate())
                .map(|(k, total)| is(*total, own.and_then(|own| own.lit.get(k).copied())))
                .collect(),
            differ: (self.differ.iter())
                .filter(|(pair, total)| **total > usize::from(own_pairs.contains(pair)))
                .map(|(pair, _)| *pair)
                .collect(),
            ..Elsewhere::default()
        }
    }

    /// What is made of the stock, with nothing taken out.
    pub fn stock(&self) -> BTreeMap<Name, StockUse> {
        let uses = |total: &StockTotal| StockUse {
            referred: total.referred > 0,
            plus: total.plus > 0,
            minus: total.minus > 0,
            made: total.made > 0,
            cut: total.cut,
            pieces: total.pieces,
        };
        let stock = self.stock.iter();
        stock
            .map(|(name, total)| (name.clone(), uses(total)))
            .collect()
    }
}

/// Pairs of scenes, the earlier first, in which not the same things are on.
fn differing(alike: &[Option<usize>]) -> impl Iterator<Item = (usize, usize)> + '_ {
    (0..alike.len()).flat_map(move |later| {
        (0..later)
            .filter(move |&earlier| alike[earlier] != alike[later])
            .map(move |earlier| (earlier, later))
    })
}
