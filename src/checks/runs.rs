//! What the checks of runs share: where a finding about one stands, and currents without their direction.

use super::{Context, Finding};
use crate::circuit::Figure;
use crate::circuit::fused_runs::RunOf;
use crate::plan::{Severity, StanzaId};
use crate::rewrites::route::Leg;
use crate::rewrites::thicker_wire::over_clause;
use crate::text::Span;
use crate::units::ElectricCurrent;

/// A finding about a run.
pub(super) fn on_run(
    context: &Context,
    check: &'static str,
    severity: Severity,
    of: RunOf,
    span: Span,
    message: String,
) -> Finding {
    match of {
        RunOf::Item(item) => context.on_item(check, severity, item, span, message),
        RunOf::Link(_) => {
            context.on_stanza(check, severity, of.stanza(context.plan), span, message)
        }
    }
}

/// Where a run is written: its `over`, of the minus leg where it has its own and that is meant; else what
/// it is fed from.
pub(super) fn run_span(context: &Context, of: RunOf, leg: Leg) -> Span {
    over_clause(context.plan, of, leg).map_or_else(|| feed_span(context, of), |over| over.span)
}

/// Where it is written what feeds a run.
pub(super) fn feed_span(context: &Context, of: RunOf) -> Span {
    let word = match of {
        RunOf::Item(_) => "from",
        RunOf::Link(_) => "between",
    };
    context.clause_span(of.stanza(context.plan), word)
}

/// The run that a finding is about.
pub(super) fn run_of(context: &Context, finding: &Finding) -> Option<RunOf> {
    if let Some(&item) = finding.about.first() {
        return Some(RunOf::Item(item));
    }
    let of = |link: &crate::plan::Link| link.stanza == finding.stanza;
    let link = context.plan.links.iter().position(of)?;
    Some(RunOf::Link(crate::plan::LinkId(link)))
}

/// A run's name as a place that explains a finding.
pub(super) fn related(context: &Context, of: RunOf, text: String) -> (StanzaId, Span, String) {
    let stanza = of.stanza(context.plan);
    (stanza, context.name_span(stanza), text)
}

/// A current by its size alone: in a ring it may flow against the way that the plan is written.
pub(super) fn size(figure: Figure<ElectricCurrent>) -> Figure<ElectricCurrent> {
    let (low, high) = (figure.low.abs(), figure.high.abs());
    Figure {
        typical: figure.typical.abs(),
        low: low.min(high),
        high: low.max(high),
    }
}
