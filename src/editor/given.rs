//! One place for what this room takes from the rooms below.
use crate::checks::Finding;
use crate::circuit::Solution;
use crate::plan::{Edit, FileKey, ItemId, Plan, Sources};
use std::sync::Arc;

/// A plan, its figures and findings.
#[derive(Clone, Debug, Default)]
pub struct Analysis {
    /// The plan.
    pub plan: Plan,
    /// Its figures.
    pub solution: Solution,
    /// Its findings.
    pub findings: Vec<Finding>,
}
/// A mend.
#[derive(Clone, Debug)]
pub struct Mend {
    /// Title.
    pub title: String,
    /// Edits.
    pub edits: Vec<Edit>,
}
/// A rewrite that may be offered.
pub type Candidate = Mend;
impl Analysis {
    /// Analyses.
    pub fn of(
        root: FileKey,
        text: Arc<str>,
        sources: &dyn Sources,
        _: &dyn Fn() -> bool,
    ) -> Analysis {
        let plan = Plan::of(root, text, sources);
        let findings = plan
            .problems
            .iter()
            .map(|p| Finding {
                check: p.check,
                severity: p.severity,
                stanza: p.stanza,
                span: p.span,
                message: p.message.clone(),
                related: p.related.clone(),
                item: plan.stanza(p.stanza).name().map(|(n, _)| n.clone()),
                unnecessary: false,
            })
            .collect();
        Analysis {
            solution: solve(&plan),
            plan,
            findings,
        }
    }
    /// Changed.
    pub fn with_edits(&self, _: &[Edit]) -> Analysis {
        self.clone()
    }
    /// Mends.
    pub fn mends(&self, _: usize) -> Vec<Mend> {
        Vec::new()
    }
}
/// Solves.
pub fn solve(plan: &Plan) -> Solution {
    crate::circuit::solve(plan, &|| false)
}
/// Darkened.
pub fn darkened(_: &Plan, _: ItemId) -> Vec<ItemId> {
    Vec::new()
}
/// Explains.
pub fn explain(_: &str) -> Option<&'static str> {
    None
}
/// Branch a chain.
pub fn branch_chain(_: &Plan, _: &Solution, _: ItemId) -> Vec<Candidate> {
    Vec::new()
}
/// Branch a string.
pub fn branch_string(_: &Plan, _: &Solution, _: ItemId) -> Vec<Candidate> {
    Vec::new()
}

/// What a run may carry.
pub fn may_carry(
    wire: &crate::plan::Wire,
    ambient: crate::units::ThermodynamicTemperature,
) -> crate::units::ElectricCurrent {
    if let Some(i) = wire.carries {
        return i;
    }
    let outer = wire.outer.unwrap_or(wire.copper).value;
    let h = 3.53 * (20.0 / outer).powf(0.25);
    let hot = crate::units::celsius(ambient.value - 273.15 + 20.0);
    let r = crate::circuit::copper::per_metre(wire.copper, hot).0;
    crate::units::amps(0.5 * (h * std::f64::consts::PI * outer * 20.0 / r).sqrt())
}
/// Where a bare wire melts.
pub fn melts_at(copper: crate::units::Length) -> crate::units::ElectricCurrent {
    crate::units::amps(80.0 * (copper.value * 1e3).powf(1.5))
}
