//! Makes a linear regulator a switching one, which wastes less.

use super::Candidate;
use super::stanza_text::{StanzaEdits, plain};
use super::worst::greatest;
use crate::circuit::Solution;
use crate::plan::{ItemId, Part, Plan, RegulatorWay};

/// What a small switching regulator hands on of the power that it takes (common practice).
const EFFICIENCY: f64 = 0.85;

/// `efficiency 85 %` for a linear regulator.
pub fn make_it_switch(plan: &Plan, solution: &Solution, regulator: ItemId) -> Vec<Candidate> {
    switched(plan, solution, regulator).into_iter().collect()
}

fn switched(plan: &Plan, solution: &Solution, regulator: ItemId) -> Option<Candidate> {
    let item = plan.items.get(regulator.0)?;
    let Part::Regulator {
        volts,
        way: RegulatorWay::Linear { .. },
        ..
    } = item.part
    else {
        return None;
    };
    let lost = greatest(solution, regulator, |f| f.watts.typical)?;
    let gives = greatest(solution, regulator, |f| f.gives.typical)?;
    let then = (volts * gives).value * (1.0 / EFFICIENCY - 1.0);
    let stanza = plan.stanza(item.stanza);
    let words = format!("efficiency {} %", plain(EFFICIENCY * 100.0, 0));
    let mut edits = StanzaEdits::of(item.stanza);
    match stanza.clause("dropout") {
        Some(dropout) => edits.put(dropout.span, &words),
        None => edits.insert(stanza.head.last()?.span.end, &format!(" {words}")),
    }
    let (name, _) = stanza.name()?;
    Some(Candidate {
        title: format!(
            "{} as a switching regulator of {words}: it loses {} W, not {} W",
            name.0,
            plain(then, 2),
            plain(lost.value, 2)
        ),
        edits: edits.into_edits(plan),
    })
}
