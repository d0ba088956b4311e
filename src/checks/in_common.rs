//! What several checks ask of a plan, each for itself: it is worked out when it is first asked for, then shared.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use super::supplies_joined::joined_supplies;
use crate::circuit::fused_runs::{FusedRun, fused_runs};
use crate::plan::{ItemId, Plan};

/// What is known of a plan already.
#[derive(Clone, Debug, Default)]
pub(super) struct InCommon {
    fused_runs: OnceLock<Vec<FusedRun>>,
    joined: OnceLock<BTreeSet<ItemId>>,
    judged: OnceLock<Vec<bool>>,
}

impl InCommon {
    /// All runs with the fuse ahead of each.
    pub fn fused_runs(&self, plan: &Plan) -> &[FusedRun] {
        self.fused_runs.get_or_init(|| fused_runs(plan))
    }

    /// Supplies that are joined with another source.
    pub fn joined(&self, plan: &Plan) -> &BTreeSet<ItemId> {
        self.joined.get_or_init(|| joined_supplies(plan))
    }

    /// For each item, whether its figures say something, as `find` finds out.
    pub fn judged(&self, find: impl FnOnce() -> Vec<bool>) -> &[bool] {
        self.judged.get_or_init(find)
    }
}
