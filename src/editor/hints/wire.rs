//! What to cut of a wire for a run, behind its `over`: each leg with the slack at both ends, as in the cutting list.

use super::{Labels, Subject};
use crate::numbers::length;
use crate::plan::{Feed, Run};
use crate::syntax::tree::Clause;
use crate::units::Length;

/// The hints: one for the run of both legs, or one for each leg where they differ.
pub fn labels(subject: &Subject) -> Labels {
    let slack = subject.plan().settings.slack * 2.0;
    let runs = runs(subject).into_iter();
    let labels = runs.map(|(over, legs, run)| {
        let each = length(run + slack);
        let label = match legs {
            1 => format!("cut {each}"),
            legs => format!("cut {legs} × {each}"),
        };
        (over.span.end, label)
    });
    labels.collect()
}

/// The rest of the one at a place of the stanza.
pub fn about(subject: &Subject, at: u32) -> Option<String> {
    let (_, _, run) = runs(subject)
        .into_iter()
        .find(|(over, ..)| over.span.end == at)?;
    let slack = length(subject.plan().settings.slack);
    Some(format!(
        "Each leg {}, and {slack} of slack at either end.",
        length(run)
    ))
}

/// Each `over`, how many legs are as long, and how long that is. Where a copy has another length, what the pattern
/// says is not what is cut.
fn runs<'a>(subject: &Subject<'a>) -> Vec<(&'a Clause, usize, Length)> {
    let joins = subject.stanza.clause("from");
    let joins = joins.or_else(|| subject.stanza.clause("between"));
    let Some(joins) = joins else {
        return Vec::new();
    };
    let back = joins.part("return").and_then(|back| back.part("over"));
    let plan = subject.plan();
    let feeds: Vec<&Feed> = subject
        .all()
        .filter_map(|item| item.feed.as_ref())
        .collect();
    let links = subject.link.map(|link| plan.links[link.0].run.as_ref());
    let of_plus = feeds.iter().map(|feed| feed.run.as_ref()).chain(links);
    let of_minus = feeds.iter().map(|feed| feed.back_run.as_ref());
    let legs = if back.is_some() { 1 } else { 2 };
    [
        found(joins.part("over"), legs, of_plus),
        found(back, 1, of_minus),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn found<'a>(
    over: Option<&'a Clause>,
    legs: usize,
    runs: impl Iterator<Item = Option<&'a Run>>,
) -> Option<(&'a Clause, usize, Length)> {
    let lengths: Option<Vec<Length>> = runs.map(|run| Some(run?.length)).collect();
    let lengths = lengths?;
    let first = *lengths.first().filter(|length| length.value > 0.0)?;
    let same = lengths.iter().all(|length| *length == first);
    same.then_some((over?, legs * lengths.len(), first))
}
