//! Whether the copper of two plans is the same: then the same goes dark with the same place, and need not be worked out again.
//! Lengths, values and names are no part of it.

use std::mem::discriminant;

use crate::plan::{Item, Part, Plan};

/// Whether all that [`super::Breaks`] hangs on is the same in two plans.
pub fn is_same_copper(a: &Plan, b: &Plan) -> bool {
    let ends = |plan: &Plan| plan.links.iter().map(|link| link.ends).collect::<Vec<_>>();
    let feed = |item: &Item| item.feed.as_ref().map(|feed| (feed.from, feed.minus()));
    let outputs = |plan: &Plan, item: &Item| match item.part {
        Part::Board { module } => {
            let outputs = plan.modules[module.0].outputs.iter();
            Some(
                outputs
                    .map(|o| (o.sinks, o.volts.is_some()))
                    .collect::<Vec<_>>(),
            )
        }
        _ => None,
    };
    let mut both = a.items.iter().zip(&b.items);
    a.items.len() == b.items.len()
        && ends(a) == ends(b)
        && both.all(|(one, other)| {
            one.word == other.word
                && discriminant(&one.part) == discriminant(&other.part)
                && feed(one) == feed(other)
                && outputs(a, one) == outputs(b, other)
        })
}
