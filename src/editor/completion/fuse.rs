//! The rating of a fuse: the values of the R10 series (ISO 3), with what it carries and what the wire behind it may.

use super::ask::Ask;
use super::{Offer, OfferKind};
use crate::checks::Analysis;
use crate::numbers::{percent, show};
use crate::plan::{Edit, ItemId, Plan, Target};
use crate::rewrites::r10;
use crate::rewrites::resize_fuse::limits_of;
use crate::units::{ElectricCurrent, amps};

/// Plans with more items than this are not searched for what a fuse protects.
const SEARCHED: usize = 2000;

/// What a fuse carries for good, the least rating for that, and what the wire behind it may carry.
struct Known {
    load: ElectricCurrent,
    least: ElectricCurrent,
    wire: Option<ElectricCurrent>,
}

/// The ratings that are easily had: first those that carry the load and protect the wire, the least first.
pub(super) fn ratings(ask: &Ask) -> Vec<Offer> {
    let known = known(ask);
    let mut list: Vec<(bool, Offer)> = r10::ratings()
        .map(|rating| {
            let text = r10::written(rating);
            let (fits, detail) = match &known {
                Some(known) => judged(known, rating),
                None => (rating <= amps(2.0), String::new()),
            };
            let offer = Offer::new(OfferKind::Value, text.clone(), ask.figure(&text));
            (fits, offer.detail(detail))
        })
        .collect();
    list.sort_by_key(|(fits, _)| !fits);
    list.into_iter().map(|(_, offer)| offer).collect()
}

fn known(ask: &Ask) -> Option<Known> {
    let (name, _) = ask.tree.name()?;
    let plan = ask.plan;
    let fuse = |plan: &Plan| match plan.names.get(name)?.target? {
        Target::Item(id) => Some(id),
        _ => None,
    };
    match fuse(plan) {
        Some(fuse) if plan.items.len() > SEARCHED => carried(ask, fuse),
        Some(fuse) => bounds(ask.a, fuse),
        None if plan.items.len() > SEARCHED => None,
        None => {
            let with = ask.a.with_edits(&[some_rating(ask)]);
            bounds(&with, fuse(&with.plan)?)
        }
    }
}

/// What bounds the rating; `None` where the fuse carries nothing yet.
fn bounds(a: &Analysis, fuse: ItemId) -> Option<Known> {
    let (load, least, wire) = limits_of(&a.plan, &a.solution, fuse)?;
    (load > amps(1e-6)).then_some(Known { load, least, wire })
}

/// Any rating in the place, so that the fuse stands in the plan; where it has no `from` and there is one supply
/// alone, it hangs on that.
fn some_rating(ask: &Ask) -> Edit {
    let mut supplies = ask.plan.items.iter().filter(|item| item.kind() == "supply");
    let feed = match (ask.tree.clause("from"), supplies.next(), supplies.next()) {
        (None, Some(only), None) => format!("from {} ", only.name.0),
        _ => String::new(),
    };
    Edit {
        stanza: ask.id,
        span: ask.word,
        text: format!(" 1 A {feed}"),
    }
}

/// The load alone.
fn carried(ask: &Ask, fuse: ItemId) -> Option<Known> {
    let own = ask.a.solution.with_all_on(fuse)?;
    let load = own.passes.typical;
    Some(Known {
        load,
        least: load / crate::rewrites::usual::FUSE_LOAD,
        wire: None,
    })
}

fn judged(known: &Known, rating: ElectricCurrent) -> (bool, String) {
    let mut said = format!(
        "{} used by {}",
        percent((known.load / rating).value),
        show(known.load)
    );
    let small = rating < known.least * (1.0 - 1e-9);
    if small {
        said.push_str(", too small");
    }
    let large = known.wire.is_some_and(|wire| rating > wire * (1.0 + 1e-9));
    match known.wire {
        Some(wire) if large => {
            said.push_str(&format!(", the wire behind may carry only {}", show(wire)));
        }
        Some(wire) => said.push_str(&format!(", the wire behind may carry {}", show(wire))),
        None => {}
    }
    (!small && !large, said)
}
