//! One place for what is taken from `checks` and `circuit` and is not there yet. It goes when they are.

use std::sync::Arc;

use crate::checks::Finding;
use crate::circuit::{Solution, solve};
use crate::plan::{Edit, FileKey, ItemId, Plan, Sources, Wire};
use crate::rewrites::Candidate;
use crate::units::{ElectricCurrent, Length, amps, celsius};

/// A plan, its figures and findings.
#[derive(Clone, Debug)]
pub struct Analysis {
    /// The plan.
    pub plan: Plan,
    /// Its figures.
    pub solution: Solution,
    /// Its findings: here those of reading alone.
    pub findings: Vec<Finding>,
}

impl Analysis {
    /// Reads and solves a plan.
    pub fn of(
        root: FileKey,
        text: Arc<str>,
        sources: &dyn Sources,
        stop: &dyn Fn() -> bool,
    ) -> Analysis {
        let plan = Plan::of(root, text, sources);
        let findings = plan.problems.iter().map(|p| Finding {
            check: p.check,
            severity: p.severity,
            stanza: p.stanza,
            span: p.span,
            message: p.message.clone(),
            related: p.related.clone(),
            item: plan.stanza(p.stanza).name().map(|(n, _)| n.clone()),
            unnecessary: false,
        });
        Analysis {
            findings: findings.collect(),
            solution: solve(&plan, stop),
            plan,
        }
    }
    /// The same, unchanged.
    pub fn with_edits(&self, _: &[Edit]) -> Analysis {
        self.clone()
    }
    /// No mends.
    pub fn mends(&self, _: usize) -> Vec<Candidate> {
        Vec::new()
    }
}

/// No light.
pub fn darkened(_: &Plan, _: ItemId) -> Vec<ItemId> {
    Vec::new()
}
/// No page.
pub fn explain(_: &str) -> Option<&'static str> {
    None
}
/// What a run may carry.
pub fn may_carry(plan: &Plan, wire: &Wire) -> ElectricCurrent {
    if let Some(stated) = wire.carries {
        return stated;
    }
    let outer = wire.outer.unwrap_or(wire.copper).value;
    let h = 3.53 * (20.0 / outer).powf(0.25);
    let hot = celsius(plan.settings.ambient.value - 273.15 + 20.0);
    let r = crate::circuit::copper::per_metre(wire.copper, hot).0;
    amps(0.5 * (h * std::f64::consts::PI * outer * 20.0 / r).sqrt())
}
/// Where a bare wire melts.
pub fn melts_at(copper: Length) -> ElectricCurrent {
    amps(80.0 * (copper.value * 1e3).powf(1.5))
}
