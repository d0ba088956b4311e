//! Makes a linear regulator a switching one, which wastes less.

use super::Candidate;
use super::stanza_text::{StanzaEdits, plain};
use super::worst::greatest;
use crate::circuit::Solution;
use crate::numbers::show;
use crate::plan::{ItemId, Part, Plan, RegulatorWay};
use crate::units::Power;

/// What a small switching regulator hands on of the power that it takes (common practice).
const EFFICIENCY: f64 = 0.85;

/// `efficiency 85 %` for a linear regulator that loses so much at the most, on average.
pub fn make_it_switch(
    plan: &Plan,
    solution: &Solution,
    regulator: ItemId,
    lost: Power,
) -> Vec<Candidate> {
    switched(plan, solution, regulator, lost)
        .into_iter()
        .collect()
}

fn switched(plan: &Plan, solution: &Solution, regulator: ItemId, lost: Power) -> Option<Candidate> {
    let item = plan.items.get(regulator.0)?;
    let Part::Regulator {
        volts,
        way: RegulatorWay::Linear { .. },
        ..
    } = item.part
    else {
        return None;
    };
    let all = greatest(solution, regulator, |f| f.watts.high)?;
    let gives = greatest(solution, regulator, |f| f.gives.high)?;
    let on = (lost / all).value; // the part of the time that it works
    let then = volts * gives * (on * (1.0 / EFFICIENCY - 1.0));
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
            "{} as a switching regulator of {words}: it loses {}, not {}",
            name.0,
            show(then),
            show(lost)
        ),
        edits: edits.into_edits(plan),
        told: Vec::new(),
    })
}
