//! What the checks of a supply's current share.

use std::collections::BTreeSet;

use super::{Context, Finding, Mend, Worst};
use crate::plan::{ItemId, Part};
use crate::rewrites::{enlarge_supply, split_supply};
use crate::units::ElectricCurrent;

/// The supplies that state the most that they give, but for those joined with another source, whose
/// currents say nothing.
pub(super) fn limited<'a>(
    context: &Context<'a>,
) -> impl Iterator<Item = (ItemId, ElectricCurrent)> + use<'a> {
    let (plan, joined) = (context.plan, context.joined_supplies());
    let items = plan.items.iter().enumerate();
    let single = items.filter(move |(i, _)| !joined.contains(&ItemId(*i)));
    single.filter_map(|(i, item)| match &item.part {
        Part::Supply(supply) => Some((ItemId(i), supply.limit?)),
        _ => None,
    })
}

/// For each item, whether its figures say something: joined sources drive currents through each other that
/// nobody meant, and `supplies-joined` says so.
pub(super) fn judged<'a>(context: &Context<'a>) -> &'a [bool] {
    context.common.judged(|| {
        let joined = context.joined_supplies();
        let items = (0..context.plan.items.len()).map(ItemId);
        let hangs_on_joined = |item: ItemId| context.way_back(item).any(|i| joined.contains(&i));
        items
            .map(|item| joined.is_empty() || !hangs_on_joined(item))
            .collect()
    })
}

impl<'a> Context<'a> {
    /// Supplies that are joined with another source.
    pub(super) fn joined_supplies(&self) -> &'a BTreeSet<ItemId> {
        self.common.joined(self.plan)
    }
}

/// What a supply gives, at its worst over the scenes.
pub(super) fn given<'a>(
    context: &Context<'a>,
    supply: ItemId,
) -> Option<Worst<'a, ElectricCurrent>> {
    context.greatest(|f| Some(f.items.get(supply.0)?.passes))
}

/// The next usual size. Batteries are not sold by their current: nothing is proposed for one.
pub(super) fn enlarge(context: &Context, finding: &Finding) -> Vec<Mend> {
    let Some(&item) = finding.about.first() else {
        return Vec::new();
    };
    match &context.plan.items[item.0].part {
        Part::Supply(supply) if supply.capacity.is_none() => {
            enlarge_supply(context.plan, context.solution, item)
        }
        _ => Vec::new(),
    }
}

/// The next usual size, or some of the branches on a second supply.
pub(super) fn relieve(context: &Context, finding: &Finding) -> Vec<Mend> {
    let mut mends = enlarge(context, finding);
    if let Some(&item) = finding.about.first() {
        mends.extend(split_supply(context.plan, context.solution, item));
    }
    mends
}

#[cfg(test)]
mod tests {
    use super::super::testing::{mended, plan};

    #[test]
    fn the_size_keeps_its_unit_and_the_headroom() {
        let text = "supply brick 12 V 300mA\nload pump draws 400 mA from brick\n";
        assert_eq!(
            mended(&plan(text), "supply-over-budget").unwrap(),
            text.replace("300mA", "500mA")
        );
        let text = "supply brick 12 V 0.3 A\nload pump draws 401 mA from brick\n";
        assert_eq!(
            mended(&plan(text), "supply-over-budget").unwrap(),
            text.replace("0.3 A", "0.6 A")
        );
    }

    #[test]
    fn no_size_is_proposed_for_a_battery_or_past_the_largest() {
        let cell = "supply cell 9 V 300 mA capacity 500 mAh\nload pump draws 400 mA from cell\n";
        assert_eq!(mended(&plan(cell), "supply-over-budget"), None);
        let brick = "supply brick 9 V 10 A\nload pump draws 12 A from brick\n";
        assert_eq!(mended(&plan(brick), "supply-over-budget"), None);
    }
}
