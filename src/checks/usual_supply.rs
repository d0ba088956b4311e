//! What the checks of a supply's current share: what it has to give, and which size to take instead.

use super::words::{current, digits};
use super::{Context, Finding, Mend, Worst};
use crate::plan::{Edit, ItemId, Part, Plan};
use crate::rewrites::stanza_text::Spelling;
use crate::rewrites::usual::supply_at_least;
use crate::units::{ElectricCurrent, ratio};

/// The supplies that state the most that they give.
pub(super) fn limited(plan: &Plan) -> impl Iterator<Item = (ItemId, ElectricCurrent)> + '_ {
    plan.items
        .iter()
        .enumerate()
        .filter_map(|(i, item)| match &item.part {
            Part::Supply(supply) => Some((ItemId(i), supply.limit?)),
            _ => None,
        })
}

/// What a supply gives, at its worst over the scenes.
pub(super) fn given(context: &Context, supply: ItemId) -> Option<Worst<ElectricCurrent>> {
    context.greatest(|f| Some(f.items.get(supply.0)?.passes))
}

/// The next usual size that gives what is asked for and keeps the headroom. Cells are not sold by
/// their current: nothing is proposed for a battery.
pub(super) fn larger(context: &Context, finding: &Finding) -> Vec<Mend> {
    let propose = || {
        let [item] = finding.about[..] else {
            return None;
        };
        let stanza = context.plan.items[item.0].stanza;
        let Part::Supply(supply) = &context.plan.items[item.0].part else {
            return None;
        };
        let given = given(context, item)?;
        let kept = ratio(1.0) - context.plan.settings.headroom;
        let size = supply_at_least((given.typical / kept).max(given.corner))?;
        if supply.capacity.is_some() || size <= supply.limit? {
            return None;
        }
        let span = context.head_span(stanza, 2);
        let text = Spelling::of(context.plan.stanza(stanza).words(span))?.write(size.value, 3);
        let title = format!(
            "make {} {text}: {} in {} is {} % of it",
            context.name(item),
            current(given.typical),
            given.typical_scene.0,
            digits((given.typical / size).value * 100.0, 2)
        );
        Some(Mend {
            title,
            edits: vec![Edit { stanza, span, text }],
        })
    };
    propose().into_iter().collect()
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
