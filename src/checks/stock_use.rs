//! What a plan makes of its stock, for the checks that look at stock.

use std::collections::BTreeMap;

use super::Context;
use crate::plan::{Part, Plan, Run, StanzaId, StockUse};
use crate::syntax::tree::Name;
use crate::syntax::vocabulary::StanzaWord;
use crate::units::{Length, metres};

/// What the items and links of a plan, or of a part of one, make of the stock, by its name.
pub fn stock_use(plan: &Plan) -> BTreeMap<Name, StockUse> {
    let mut wires = vec![StockUse::default(); plan.wires.len()];
    let mut tapes = vec![StockUse::default(); plan.tapes.len()];
    let mut leds = vec![StockUse::default(); plan.leds.len()];
    let mut modules = vec![StockUse::default(); plan.modules.len()];
    let slack = plan.settings.slack * 2.0;
    let cut = |run: &Run, legs: i128| {
        let is_counted = plan.wires[run.wire.0].have.is_some() && run.length.value > 0.0;
        match is_counted {
            true => legs * nanometres(run.length + slack),
            false => 0,
        }
    };
    for item in &plan.items {
        if let Some(feed) = &item.feed {
            if let Some(run) = &feed.run {
                let of = &mut wires[run.wire.0];
                of.plus = true;
                of.cut += cut(run, 1);
            }
            if let Some(run) = &feed.back_run {
                let of = &mut wires[run.wire.0];
                of.minus = true;
                of.cut += cut(run, 1);
            }
        }
        match item.part {
            Part::Strip { tape, groups, .. } => {
                let (of, tape) = (&mut tapes[tape.0], &plan.tapes[tape.0]);
                let counted = tape.have.map_or(0, |_| i128::from(groups));
                of.made = true;
                of.cut += counted * nanometres(tape.group);
            }
            Part::Lamps { led, count, .. } => {
                let (of, led) = (&mut leds[led.0], &plan.leds[led.0]);
                of.made = true;
                of.pieces += led.have.map_or(0, |_| u64::from(count));
            }
            Part::Board { module } => {
                let (of, module) = (&mut modules[module.0], &plan.modules[module.0]);
                of.made = true;
                of.pieces += module.have.map_or(0, |_| 1);
            }
            _ => {}
        }
    }
    for run in plan.links.iter().filter_map(|link| link.run.as_ref()) {
        let of = &mut wires[run.wire.0];
        (of.plus, of.minus) = (true, true);
        of.cut += cut(run, 2);
    }
    let wires = plan.wires.iter().map(|wire| &wire.name).zip(wires);
    let tapes = plan.tapes.iter().map(|tape| &tape.name).zip(tapes);
    let leds = plan.leds.iter().map(|led| &led.name).zip(leds);
    let modules = plan.modules.iter().map(|module| &module.name).zip(modules);
    let all = wires.chain(tapes).chain(leds).chain(modules);
    let all = all.filter(|(_, of)| *of != StockUse::default());
    let mut uses: BTreeMap<Name, StockUse> = BTreeMap::new();
    for (name, of) in all {
        let so_far = uses.entry(name.clone()).or_default();
        *so_far = so_far.and(of);
    }
    for name in referred(plan) {
        uses.entry(name.clone()).or_default().referred = true;
    }
    uses
}

/// The names of the stock that something refers to, each once.
fn referred(plan: &Plan) -> impl Iterator<Item = &Name> {
    let stanzas = plan.files.iter().map(|file| file.tree.stanzas.len());
    let mut seen: Vec<Vec<bool>> = stanzas.map(|count| vec![false; count]).collect();
    let mut is_new = move |id: StanzaId| {
        let seen = &mut seen[id.file.0][id.index];
        !std::mem::replace(seen, true)
    };
    let is_stock = |id: StanzaId| plan.stanza(id).word.is_some_and(StanzaWord::is_stock);
    let references = plan.references.iter();
    references
        .filter(move |r| is_new(r.definition) && is_stock(r.definition))
        .map(|r| &r.name)
}

fn nanometres(length: Length) -> i128 {
    (length.value * 1e9).round() as i128
}

/// A sum of cuts as a length.
pub(super) fn sum(cut: i128) -> Length {
    metres(cut as f64 * 1e-9)
}

impl Context<'_> {
    /// What the whole plan makes of its stock.
    pub(super) fn stock_use(&self) -> BTreeMap<Name, StockUse> {
        let mut uses = stock_use(self.plan);
        for (name, elsewhere) in &self.elsewhere(super::facts::Fact::Stock).stock {
            let here = uses.entry(name.clone()).or_default();
            *here = here.and(*elsewhere);
        }
        uses
    }
}
