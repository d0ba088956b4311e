//! What hangs on the copper of a plan and on no figure. It is worked out when it is first asked for, and shared by plans whose copper is
//! the same, as a plan's mostly is from one character to the next.

use std::sync::OnceLock;

use crate::circuit::breaks::Breaks;
use crate::plan::Plan;

/// What is known of the copper.
#[derive(Debug, Default)]
pub(super) struct InCopper {
    breaks: OnceLock<Breaks>,
    /// Links that were judged, and those of them that save nothing.
    idle: OnceLock<(Vec<usize>, Vec<usize>)>,
}

impl InCopper {
    /// What goes dark with each place.
    pub fn breaks(&self, plan: &Plan) -> &Breaks {
        self.breaks.get_or_init(|| Breaks::of(plan))
    }

    /// Whether what is known holds for a plan, as it must for one of the same copper.
    pub fn holds_for(&self, plan: &Plan) -> bool {
        self.breaks
            .get()
            .is_none_or(|breaks| *breaks == Breaks::of(plan))
    }

    /// Which of these links save nothing, as `find` finds out.
    pub fn idle(&self, judged: &[usize], find: impl Fn() -> Vec<usize>) -> Vec<usize> {
        let (known, idle) = self.idle.get_or_init(|| (judged.to_vec(), find()));
        match known == judged {
            true => idle.clone(),
            false => find(),
        }
    }
}
