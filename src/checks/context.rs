//! What a check looks at, and the ways of looking that many checks share.

use super::facts::{Asked, Fact};
use super::finding::Finding;
use super::in_common::InCommon;
use super::in_copper::InCopper;
use super::limits::Counted;
use super::words::quoted;
use crate::circuit::breaks::Breaks;
use crate::circuit::fused_runs::FusedRun;
use crate::circuit::{Figure, Figures, Solution};
use crate::plan::{Elsewhere, ItemId, Plan, Severity, StanzaId};
use crate::syntax::tree::Name;
use crate::text::Span;

/// What a check looks at.
#[derive(Clone, Copy)]
pub struct Context<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Its figures.
    pub solution: &'a Solution,
    pub(super) copper: &'a InCopper,
    pub(super) common: &'a InCommon,
    pub(super) asked: &'a Asked,
}

/// A figure at its worst over all scenes, all-on included.
#[derive(Clone, Debug, PartialEq)]
pub struct Worst<'a, Q> {
    /// The worst typical figure, and the first scene that has it.
    pub typical: Q,
    /// That scene.
    pub typical_scene: &'a Name,
    /// The worst over the corners too, and the first scene that has it.
    pub corner: Q,
    /// That scene.
    pub corner_scene: &'a Name,
}

impl<'a> Context<'a> {
    /// What goes dark with each item; worked out when first asked for.
    pub fn breaks(&self) -> &'a Breaks {
        self.copper.breaks(self.plan)
    }

    /// All runs with the fuse ahead of each; worked out when first asked for.
    pub fn fused_runs(&self) -> &'a [FusedRun] {
        self.common.fused_runs(self.plan)
    }

    /// The greatest of a figure over the scenes that have figures; `None` without any.
    pub fn greatest<Q: Counted>(
        &self,
        figure: impl Fn(&Figures) -> Option<Figure<Q>>,
    ) -> Option<Worst<'a, Q>> {
        self.worst(figure, |f| f.high, |a, b| a - b > Q::least())
    }

    /// The least of a figure over the scenes that have figures; `None` without any.
    pub fn least<Q: Counted>(
        &self,
        figure: impl Fn(&Figures) -> Option<Figure<Q>>,
    ) -> Option<Worst<'a, Q>> {
        self.worst(figure, |f| f.low, |a, b| b - a > Q::least())
    }

    fn worst<Q: Counted>(
        &self,
        figure: impl Fn(&Figures) -> Option<Figure<Q>>,
        corner: impl Fn(&Figure<Q>) -> Q,
        worse: impl Fn(Q, Q) -> bool,
    ) -> Option<Worst<'a, Q>> {
        // This is asked of every item by many checks.
        let mut worst: Option<[(Q, &Name); 2]> = None;
        for scene in self.solution.states().filter(|scene| !scene.is_repeat) {
            let Some(f) = scene.outcome.as_ref().ok().and_then(&figure) else {
                continue;
            };
            let here = [(f.typical, &scene.name), (corner(&f), &scene.name)];
            match &mut worst {
                None => worst = Some(here),
                Some(so_far) => {
                    for (so_far, here) in so_far.iter_mut().zip(here) {
                        if worse(here.0, so_far.0) {
                            *so_far = here;
                        }
                    }
                }
            }
        }
        worst.map(|[typical, corner]| Worst {
            typical: typical.0,
            typical_scene: typical.1,
            corner: corner.0,
            corner_scene: corner.1,
        })
    }

    /// The name of an item.
    pub fn name(&self, item: ItemId) -> &'a str {
        &self.plan.items[item.0].name.0
    }

    /// The name of an item as messages write it: `` `mast` ``.
    pub fn quoted(&self, item: ItemId) -> String {
        quoted(self.name(item))
    }

    /// The names of items as messages write them.
    pub fn names(&self, items: &[ItemId]) -> Vec<String> {
        items.iter().map(|&i| self.quoted(i)).collect()
    }

    /// Where a stanza's name stands; without one, its word.
    pub fn name_span(&self, stanza: StanzaId) -> Span {
        let tree = self.plan.stanza(stanza);
        tree.name().map_or(tree.word_span, |(_, span)| span)
    }

    /// Where a value of a stanza's head stands; without it, its name.
    pub fn head_span(&self, stanza: StanzaId, index: usize) -> Span {
        let value = self.plan.stanza(stanza).head.get(index);
        value.map_or_else(|| self.name_span(stanza), |v| v.span)
    }

    /// Where a clause of a stanza stands; without it, its name.
    pub fn clause_span(&self, stanza: StanzaId, word: &str) -> Span {
        let clause = self.plan.stanza(stanza).clause(word);
        clause.map_or_else(|| self.name_span(stanza), |c| c.span)
    }

    /// An item's name as a place that explains a finding.
    pub fn related(&self, item: ItemId, text: impl Into<String>) -> (StanzaId, Span, String) {
        let stanza = self.plan.items[item.0].stanza;
        (stanza, self.name_span(stanza), text.into())
    }

    /// A finding about a stanza.
    pub fn on_stanza(
        &self,
        check: &'static str,
        severity: Severity,
        stanza: StanzaId,
        span: Span,
        message: impl Into<String>,
    ) -> Finding {
        Finding {
            check,
            severity,
            stanza,
            span,
            message: message.into(),
            related: Vec::new(),
            item: self
                .plan
                .stanza(stanza)
                .name()
                .map(|(name, _)| name.clone()),
            about: Vec::new(),
            unnecessary: false,
        }
    }

    /// A finding about an item, on words of its stanza.
    pub fn on_item(
        &self,
        check: &'static str,
        severity: Severity,
        item: ItemId,
        span: Span,
        message: impl Into<String>,
    ) -> Finding {
        let stanza = self.plan.items[item.0].stanza;
        Finding {
            about: vec![item],
            ..self.on_stanza(check, severity, stanza, span, message)
        }
    }

    /// The items on the way back from an item to its source along `from`, the item itself first. It ends at
    /// the supply; it is bounded even where a plan would feed itself.
    pub fn way_back(&self, item: ItemId) -> impl Iterator<Item = ItemId> + use<'a> {
        let plan = self.plan;
        std::iter::successors(Some(item), move |&i| {
            plan.items[i.0].feed.as_ref().map(|f| f.from.item)
        })
        .take(plan.items.len())
    }
    /// Whether an item sits in a zone that cannot be opened again: it says so, or a stage closes it.
    pub fn is_sealed(&self, item: ItemId) -> bool {
        self.plan.items[item.0].zone.is_some_and(|zone| {
            self.plan.zones[zone.0].sealed
                || self.plan.stages.iter().any(|s| s.seals.contains(&zone))
        })
    }
    /// What there is in the rest of the plan, where this is a part of it; noting what is asked for.
    pub(super) fn elsewhere(&self, fact: Fact) -> &'a Elsewhere {
        self.asked.note(fact);
        &self.plan.elsewhere
    }

    /// Whether a stanza was not read to its end, so that a name may be meant where none is seen. A check that asks
    /// must say nothing where it is so: then nothing is said, too, where it is so in another part of the plan.
    pub fn may_miss_names(&self) -> bool {
        self.asked.note(Fact::Misses);
        misses_names(self.plan) || self.plan.elsewhere.misses
    }

    /// Whether something of the plan could not be read, so that parts of it may be missing. A check that asks
    /// must say nothing where it is so: then nothing is said, too, where it is so in another part of the plan.
    pub fn has_errors_of_reading(&self) -> bool {
        self.asked.note(Fact::Errors);
        has_errors(self.plan) || self.plan.elsewhere.errors
    }
}

/// Whether a stanza was not read to its end.
pub fn misses_names(plan: &Plan) -> bool {
    let read = ["not-fed", "fed-in-a-circle", "drops-impossible"];
    let mut problems = plan.problems.iter();
    problems.any(|p| p.severity == Severity::Error && !read.contains(&p.check))
}

/// Whether something could not be read.
pub fn has_errors(plan: &Plan) -> bool {
    let mut problems = plan.problems.iter();
    problems.any(|p| p.severity == Severity::Error)
}
