//! Cuts a strip in two where tape may be cut: in the middle, between groups. The second is fed from the same point by a
//! run of its own, or from the end of the first.
//!
//! The run of the second is longer than that of the first by the tape of the first, so that every group stays where it is. What was
//! fed from the far end is fed from the second; scenes and stages name both.

use super::free_name::free_name;
use super::route::{Leg, Route, is_overridden};
use super::stanza_text::{StanzaEdits, insert_after, words_on_one_line};
use super::state_cut::{Form, Whole};
use super::users::{listed_as, repoint_both_legs};
use super::{Candidate, in_each_copy};
use crate::plan::{ItemId, Plan};
use crate::syntax::tree::{Stanza, names};
use crate::units::metres;

/// Where the second strip is fed from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum From {
    /// From the point of the first.
    Point,
    /// From the end of the first.
    First,
}

/// The two strips: fed side by side, then one from the other. None for what is no strip of two whole groups or more, for a
/// piece of which a copy says something otherwise, and where two cannot stand in for it, as in the record of a trial.
pub fn split_strip(plan: &Plan, strip: ItemId) -> Vec<Candidate> {
    let ways = [From::Point, From::First].into_iter();
    ways.filter_map(|from| split(plan, strip, from)).collect()
}

fn split(plan: &Plan, strip: ItemId, from: From) -> Option<Candidate> {
    let whole = Whole::of(plan, strip)?;
    let item = &plan.items[strip.0];
    if whole.groups < 2 || is_overridden(plan, item.stanza, &[]) {
        return None;
    }
    let first = whole.groups.div_ceil(2);
    let second = whole.groups - first;
    let form = Form::of(whole.cut);
    let words = |groups| whole.words(plan, strip, form, groups);

    let stanza = plan.stanza(item.stanza);
    let (own, _) = stanza.name()?;
    let tail = own.0.rsplit('.').next()?;
    let name = free_name(plan, item.copy, &[], |n| format!("{tail}-{}", n + 1));
    let (_, tape) = names(&stanza.head).nth(1)?;
    let mut text = format!("strip {name} of {} {}", stanza.words(tape), words(second)?);
    let tape = whole.tape.group * f64::from(first);
    let (fed, more, target) = match from {
        From::First => (format!("from {}", own.0), metres(0.0), own.0.to_string()),
        From::Point => {
            let longer = |leg| {
                let mut route = Route::first(plan, strip, leg)?;
                route.length += tape;
                route.with_wire(plan)
            };
            let (plus, minus) = (longer(Leg::Plus)?, longer(Leg::Minus)?);
            let more = plus.length + minus.length;
            (fed(stanza, &plus, &minus)?, more, plus.point_words)
        }
    };
    for clause in &stanza.clauses {
        match clause.word {
            "note" | "accept" => {}
            "from" => text.push_str(&format!(" {fed}")),
            "in" if from == From::First => {} // it is where the first is
            _ => text.push_str(&format!(" {}", words_on_one_line(stanza, clause.span))),
        }
    }

    let mut edits = StanzaEdits::of(item.stanza);
    edits.put(whole.value.span, &words(first)?);
    let mut edits = edits.into_edits(plan);
    edits.push(insert_after(plan, item.stanza, &text));
    edits.extend(repoint_both_legs(plan, item.stanza, &name, &|_| true));
    let both = [own.0.to_string(), name.clone()];
    edits.extend(listed_as(plan, item.stanza, &both)?);

    let cut = format!(
        "cut {} in two{}: {}, and {} ",
        own.0,
        in_each_copy(plan, strip),
        words(first)?,
        words(second)?
    );
    let spelling = Route::first(plan, strip, Leg::Plus)?.spelling;
    let how = match from {
        From::First => format!("from {target}"),
        From::Point => format!(
            "from {target} too; {} more wire for both legs",
            spelling.write_length(more)
        ),
    };
    Some(Candidate {
        title: cut + &how,
        edits,
        told: Vec::new(),
    })
}

/// The `from` clause of a stanza with other runs.
fn fed(stanza: &Stanza, plus: &Route, minus: &Route) -> Option<String> {
    let leg = |route: &Route| {
        let over = route.over_words().map(|over| format!(" {over}"));
        let via = match route.via.is_empty() {
            true => String::new(),
            false => format!(" via {}", route.via.join(", ")),
        };
        format!("{}{}{via}", route.point_words, over.unwrap_or_default())
    };
    let mut text = format!("from {}", leg(plus));
    if let Some(back) = stanza.clause("from")?.part("return") {
        let own_run = back.part("over").is_some();
        let back = if own_run {
            leg(minus)
        } else {
            minus.point_words.clone()
        };
        text.push_str(&format!(" return to {back}"));
    }
    Some(text)
}
