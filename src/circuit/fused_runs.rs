//! All runs of a plan, with the fuse that stands next ahead of each: what a fuse protects is every run
//! up to the next fuse, and what no fuse stands ahead of is protected by the source alone.
//!
//! A run is ahead of what it feeds: a fuse at its end does not protect it. A link is fed from both its
//! ends and counts once for each.

use super::shorts::{Short, Ways};
use super::wire_capacity::may_carry;
use crate::plan::{Feed, ItemId, LinkId, Plan, Run, StanzaId, WireId};
use crate::units::{ElectricCurrent, Length};

/// What a run belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum RunOf {
    /// The run that feeds an item, both legs.
    Item(ItemId),
    /// A link's.
    Link(LinkId),
}

/// A run, what it may carry, and what a short at its far end does.
#[derive(Clone, Debug)]
pub struct FusedRun {
    /// Whose run it is.
    pub of: RunOf,
    /// What its thinner leg may carry …
    pub carries: ElectricCurrent,
    /// … of which wire that is …
    pub wire: WireId,
    /// … and how long it is.
    pub length: Length,
    /// A short at its far end.
    pub short: Short,
}

impl RunOf {
    /// The stanza that it stands in.
    pub fn stanza(self, plan: &Plan) -> StanzaId {
        match self {
            RunOf::Item(item) => plan.items[item.0].stanza,
            RunOf::Link(link) => plan.links[link.0].stanza,
        }
    }

    /// Its name.
    pub fn name(self, plan: &Plan) -> &str {
        match self {
            RunOf::Item(item) => &plan.items[item.0].name.0,
            RunOf::Link(link) => &plan.links[link.0].name.0,
        }
    }
}

impl FusedRun {
    /// The fuse next ahead of it; `None` where there is none up to the source.
    pub fn fuse(&self) -> Option<ItemId> {
        self.short.fuse
    }
}

/// Runs by the fuse ahead of them: those of one fuse are found without looking at the others.
pub struct ByFuse<'a>(Vec<&'a FusedRun>);

impl<'a> ByFuse<'a> {
    /// Of these runs.
    pub fn of(runs: &'a [FusedRun]) -> ByFuse<'a> {
        let mut runs: Vec<&FusedRun> = runs.iter().collect();
        runs.sort_by_key(|run| run.fuse());
        ByFuse(runs)
    }

    /// The runs behind a fuse, up to the next one, in their order.
    pub fn behind(&self, fuse: ItemId) -> &[&'a FusedRun] {
        let start = self.0.partition_point(|run| run.fuse() < Some(fuse));
        let end = self.0.partition_point(|run| run.fuse() <= Some(fuse));
        &self.0[start..end]
    }
}

/// All runs that a supply is on the way back from, items first, in the order of the plan.
pub fn fused_runs(plan: &Plan) -> Vec<FusedRun> {
    let mut runs = Vec::with_capacity(plan.items.len() + 2 * plan.links.len());
    let mut ways = Ways::of(plan);
    let carry: Vec<ElectricCurrent> = plan.wires.iter().map(|w| may_carry(plan, w)).collect();
    for item in (0..plan.items.len()).map(ItemId) {
        let feed = plan.items[item.0].feed.as_ref();
        let Some((carries, leg)) = feed.and_then(|feed| thinner_leg(&carry, feed)) else {
            continue;
        };
        let short = ways.short_at(item);
        runs.extend(short.map(|short| FusedRun {
            of: RunOf::Item(item),
            carries,
            wire: leg.wire,
            length: leg.length,
            short,
        }));
    }
    for (k, link) in plan.links.iter().enumerate() {
        let Some(run) = &link.run else { continue };
        let shorts = ways.shorts_on_link(LinkId(k));
        runs.extend(shorts.into_iter().flatten().map(|short| FusedRun {
            of: RunOf::Link(LinkId(k)),
            carries: carry[run.wire.0],
            wire: run.wire,
            length: run.length,
            short,
        }));
    }
    runs
}

/// The leg of a feed that may carry less, with what it may carry; `None` where it has no run. `carry` is what each wire may
/// carry.
fn thinner_leg<'a>(
    carry: &[ElectricCurrent],
    feed: &'a Feed,
) -> Option<(ElectricCurrent, &'a Run)> {
    let legs = [feed.run.as_ref(), feed.back_run.as_ref()];
    legs.into_iter()
        .flatten()
        .map(|run| (carry[run.wire.0], run))
        .reduce(|a, b| if b.0 < a.0 { b } else { a })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::FileKey;
    use crate::plan::sources::Alone;

    #[test]
    fn a_fuse_protects_what_is_behind_it_up_to_the_next() {
        let text = "wire fine gauge 32 AWG carries 500 mA\nwire thick gauge 24 AWG carries 2 A\n\
            supply a 12 V 1 A\nfuse F1 400 mA from a over 10 mm of thick\njoint j from F1 over 10 mm of thick\n\
            fuse F2 200 mA from j over 10 mm of fine\n\
            load m resistance 1 kohm from F2 over 10 mm of fine return to a over 10 mm of thick\n\
            link l between j and a over 10 mm of fine\n";
        let plan = Plan::of(FileKey::new("p"), text.into(), &Alone);
        assert!(plan.problems.is_empty());
        let said: Vec<String> = fused_runs(&plan)
            .iter()
            .map(|r| {
                let fuse = r.fuse().map_or("-", |f| &plan.items[f.0].name.0);
                format!(
                    "{} {fuse} {}",
                    r.of.name(&plan),
                    plan.wires[r.wire.0].name.0
                )
            })
            .collect();
        assert_eq!(
            said,
            [
                "F1 - thick",
                "j F1 thick",
                "F2 F1 fine",
                "m F2 fine",
                "l F1 fine",
                "l - fine"
            ]
        );
    }
}
