//! What a plan makes of its stock, for the checks that look at stock.

use std::collections::BTreeMap;

use super::Context;
use crate::plan::{Part, Plan, Run, StanzaId, StockUse};
use crate::syntax::tree::Name;
use crate::syntax::vocabulary::StanzaWord;
use crate::units::{Length, metres};

/// What the items and links of a plan, or of a part of one, make of the stock, by its name.
pub fn stock_use(plan: &Plan) -> BTreeMap<Name, StockUse> {
    let mut uses = Uses::default();
    for name in referred(plan) {
        uses.of(name).referred = true;
    }
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
            let legs = [(&feed.run, true), (&feed.back_run, false)];
            for (run, is_plus) in legs {
                let Some(run) = run else { continue };
                let of = uses.of(&plan.wires[run.wire.0].name);
                of.plus |= is_plus;
                of.minus |= !is_plus;
                of.cut += cut(run, 1);
            }
        }
        let (name, cut, pieces) = match item.part {
            Part::Strip { tape, groups, .. } => {
                let tape = &plan.tapes[tape.0];
                let counted = tape.have.map_or(0, |_| i128::from(groups));
                (&tape.name, counted * nanometres(tape.group), 0)
            }
            Part::Lamps { led, count, .. } => {
                let led = &plan.leds[led.0];
                (&led.name, 0, led.have.map_or(0, |_| u64::from(count)))
            }
            Part::Board { module } => {
                let module = &plan.modules[module.0];
                (&module.name, 0, module.have.map_or(0, |_| 1))
            }
            _ => continue,
        };
        let of = uses.of(name);
        of.made = true;
        of.cut += cut;
        of.pieces += pieces;
    }
    for run in plan.links.iter().filter_map(|link| link.run.as_ref()) {
        let of = uses.of(&plan.wires[run.wire.0].name);
        (of.plus, of.minus) = (true, true);
        of.cut += cut(run, 2);
    }
    uses.0
        .into_iter()
        .map(|(name, of)| (name.clone(), of))
        .collect()
}

#[derive(Default)]
struct Uses<'a>(BTreeMap<&'a Name, StockUse>);

impl<'a> Uses<'a> {
    fn of(&mut self, name: &'a Name) -> &mut StockUse {
        self.0.entry(name).or_default()
    }
}

/// The names of the stock that something refers to.
fn referred(plan: &Plan) -> impl Iterator<Item = &Name> {
    let is_stock = |id: StanzaId| plan.stanza(id).word.is_some_and(StanzaWord::is_stock);
    let references = plan.references.iter();
    references
        .filter(move |r| is_stock(r.definition))
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
