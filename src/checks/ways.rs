//! The runs of a plan with the zones that they begin and end in, for the checks of places.

use super::Context;
use crate::plan::{ItemId, LinkId, PassageId, Run, StanzaId, ZoneId};
use crate::rewrites::shortest_way::RunOf;
use crate::text::Span;

/// Whose run it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Owner {
    /// An item's, that it feeds.
    Item(ItemId),
    /// A link's.
    Link(LinkId),
}

/// A run on its way from a zone to a zone. A supply that says no zone has no place, nor has what sits where it is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Way<'a> {
    pub owner: Owner,
    pub stanza: StanzaId,
    pub run_of: RunOf,
    pub run: &'a Run,
    pub from: Option<ZoneId>,
    pub to: Option<ZoneId>,
    /// It is a minus leg with a run like the plus leg's.
    pub is_like_plus: bool,
    /// It is a minus leg that begins in the zone in which the plus leg begins.
    pub begins_like_plus: bool,
}

/// All runs: of the plus legs, of the minus legs that lead to another point, and of links.
pub(super) fn ways<'a>(context: &Context<'a>) -> Vec<Way<'a>> {
    let plan = context.plan;
    let mut ways = Vec::new();
    for (i, item) in plan.items.iter().enumerate() {
        let Some(feed) = &item.feed else { continue };
        let zone = |item: ItemId| plan.items[item.0].zone;
        let plus = |run| Way {
            owner: Owner::Item(ItemId(i)),
            stanza: item.stanza,
            run_of: RunOf::Plus,
            run,
            from: zone(feed.from.item),
            to: item.zone,
            is_like_plus: false,
            begins_like_plus: false,
        };
        ways.extend(feed.run.as_ref().map(plus));
        if let (Some(back), Some(run)) = (feed.back, &feed.back_run) {
            ways.push(Way {
                run_of: RunOf::Minus,
                from: zone(back.item),
                is_like_plus: feed.run.as_ref() == Some(run),
                begins_like_plus: zone(back.item) == zone(feed.from.item),
                ..plus(run)
            });
        }
    }
    for (k, link) in plan.links.iter().enumerate() {
        if let Some(run) = &link.run {
            ways.push(Way {
                owner: Owner::Link(LinkId(k)),
                stanza: link.stanza,
                run_of: RunOf::Link,
                run,
                from: plan.items[link.ends.0.item.0].zone,
                to: plan.items[link.ends.1.item.0].zone,
                is_like_plus: false,
                begins_like_plus: false,
            });
        }
    }
    ways
}

/// Where passages lead from a zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Leads {
    /// To this zone; `None`: it cannot be told.
    To(Option<ZoneId>),
    /// This passage does not begin in the zone in which the way is by then.
    Broken(PassageId, ZoneId),
}

/// Follows passages from a zone; from one that is not known, from either end of the first.
pub(super) fn follow(context: &Context, from: Option<ZoneId>, via: &[PassageId]) -> Leads {
    let ends = |passage: PassageId| context.plan.passages[passage.0].ends;
    let from_here = |from: ZoneId| {
        let mut at = from;
        for &passage in via {
            at = match ends(passage) {
                Some((a, b)) if a == at => b,
                Some((a, b)) if b == at => a,
                Some(_) => return Leads::Broken(passage, at),
                None => return Leads::To(None),
            };
        }
        Leads::To(Some(at))
    };
    match (from, via.first()) {
        (Some(from), _) => from_here(from),
        (None, None) => Leads::To(None),
        (None, Some(&first)) => match ends(first) {
            None => Leads::To(None),
            Some((a, b)) => match (from_here(a), from_here(b)) {
                (Leads::Broken(..), other) | (other, Leads::Broken(..)) => other,
                // Either may be meant.
                (a, b) if a != b => Leads::To(None),
                (a, _) => a,
            },
        },
    }
}

impl Way<'_> {
    /// What the run is called in a message: the wire to `mast`, the return wire of `mast`, the link `ring`.
    pub(super) fn name(&self, context: &Context) -> String {
        match (self.owner, self.run_of) {
            (Owner::Item(item), RunOf::Minus) => {
                format!("the return wire of {}", context.quoted(item))
            }
            (Owner::Item(item), _) => format!("the wire to {}", context.quoted(item)),
            (Owner::Link(link), _) => {
                format!("the link `{}`", context.plan.links[link.0].name.0)
            }
        }
    }

    /// The items that a finding about it is about.
    pub(super) fn about(&self) -> Vec<ItemId> {
        match self.owner {
            Owner::Item(item) => vec![item],
            Owner::Link(_) => Vec::new(),
        }
    }

    /// Where its `via` stands; without one of its own, its clause.
    pub(super) fn via_span(&self, context: &Context) -> Span {
        let clause = self.run_of.clause(context.plan, self.stanza);
        let via = clause.and_then(|c| c.part("via"));
        let span = via.or(clause).map(|c| c.span);
        span.unwrap_or_else(|| context.name_span(self.stanza))
    }
}

/// The name of a zone.
pub(super) fn zone_name<'a>(context: &Context<'a>, zone: ZoneId) -> &'a str {
    &context.plan.zones[zone.0].name.0
}

/// Where the last word of a stanza stands: what is missing is said there.
pub(super) fn last_word(context: &Context, stanza: StanzaId) -> Span {
    let tree = context.plan.stanza(stanza);
    let core = tree.core_span();
    let ends_there = tree.tokens.iter().find(|t| t.span.end == core.end);
    ends_there.map_or(core, |t| t.span)
}
