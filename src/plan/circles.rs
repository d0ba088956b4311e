//! Items that have no way back to a source: `fed-in-a-circle` and `not-fed`.

use std::collections::HashSet;

use super::model::{Plan, Problem, Severity, StanzaId};
use crate::syntax::tree::Name;
use crate::text::Span;

/// What the search for a way back sees of an item.
pub(super) struct Fed<'a> {
    pub name: &'a Name,
    pub stanza: StanzaId,
    /// The words of the `from` clause.
    pub from_span: Span,
    /// What feeds its plus, and its minus: indices of the same list.
    pub plus: Option<usize>,
    pub minus: Option<usize>,
    /// Where it is fed `from` an output that switches the minus: that output's name.
    pub from_sink: Option<String>,
    /// In error, or found to be.
    pub out: bool,
}

/// Reports what has no way back and marks it as out.
pub(super) fn judge(plan: &mut Plan, items: &mut [Fed<'_>]) {
    for item in items.iter_mut().filter(|i| !i.out) {
        if let Some(output) = &item.from_sink {
            item.out = true;
            let message = format!(
                "The output `{output}` switches the minus and has no plus. Feed `{}` from a plus and let it `return to {output}`.",
                item.name.0
            );
            report(
                plan,
                "not-fed",
                item.stanza,
                item.from_span,
                message,
                Vec::new(),
            );
        }
    }
    let mut told = HashSet::new();
    for leg in [|i: &Fed| i.plus, |i: &Fed| i.minus] {
        for circle in circles(items, leg) {
            for &k in &circle {
                items[k].out = true;
            }
            if told.insert(items[circle[0]].stanza) {
                tell(plan, items, &circle);
            }
        }
    }
}

/// The circles of one leg. Everything has at most one way back, so a walk from each item that
/// marks where it has been finds each circle once, in time proportional to the items.
fn circles(items: &[Fed], leg: impl Fn(&Fed) -> Option<usize>) -> Vec<Vec<usize>> {
    const UNSEEN: usize = usize::MAX;
    let mut seen_from = vec![UNSEEN; items.len()];
    let mut circles = Vec::new();
    let mut way = Vec::new();
    for start in 0..items.len() {
        let mut at = start;
        way.clear();
        while seen_from[at] == UNSEEN && !items[at].out {
            seen_from[at] = start;
            way.push(at);
            match leg(&items[at]) {
                Some(next) => at = next,
                None => break,
            }
        }
        if seen_from[at] == start
            && let Some(begin) = way.iter().position(|&k| k == at)
            && leg(&items[way[way.len() - 1]]) == Some(at)
        {
            let mut circle = way.split_off(begin);
            let first = circle
                .iter()
                .enumerate()
                .min_by_key(|(_, k)| **k)
                .map_or(0, |(i, _)| i);
            circle.rotate_left(first);
            circles.push(circle);
        }
    }
    circles
}

fn tell(plan: &mut Plan, items: &[Fed], circle: &[usize]) {
    let first = &items[circle[0]];
    let message = match circle {
        [_] => format!(
            "`{}` is fed from itself: feed it from what is nearer to the source.",
            first.name.0
        ),
        [_, second] => format!(
            "`{}` and `{}` feed each other: feed one of them from what is nearer to the source.",
            first.name.0, items[*second].name.0
        ),
        _ => {
            let names: Vec<&str> = circle
                .iter()
                .chain(&circle[..1])
                .take(12)
                .map(|k| &*items[*k].name.0)
                .collect();
            format!(
                "Fed in a circle: `{}`. Feed one of them from what is nearer to the source.",
                names.join("` ← `")
            )
        }
    };
    let related = circle[1..]
        .iter()
        .map(|&k| {
            (
                items[k].stanza,
                items[k].from_span,
                "part of the circle".to_owned(),
            )
        })
        .collect();
    report(
        plan,
        "fed-in-a-circle",
        first.stanza,
        first.from_span,
        message,
        related,
    );
}

fn report(
    plan: &mut Plan,
    check: &'static str,
    stanza: StanzaId,
    span: Span,
    message: String,
    related: Vec<(StanzaId, Span, String)>,
) {
    if plan
        .problems
        .iter()
        .any(|p| p.check == check && p.stanza == stanza && p.span == span)
    {
        return; // a pattern's piece, told once for all copies
    }
    plan.problems.push(Problem {
        check,
        severity: Severity::Error,
        stanza,
        span,
        message,
        related,
        mends: Vec::new(),
    });
}
