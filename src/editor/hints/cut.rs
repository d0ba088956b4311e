//! What a cut of tape comes to, behind it: how long so many lamps or groups are, how many lamps so long a piece has.

use super::{Labels, Subject, alike};
use crate::numbers::{count, length, show};
use crate::plan::{Cut, Item, Part, Plan, Tape, cut_is_whole};

/// The hint; none for a cut that is not at whole groups.
pub fn labels(subject: &Subject) -> Labels {
    let Some(value) = subject.stanza.head.get(2) else {
        return Vec::new();
    };
    let plan = subject.plan();
    let label = alike(subject.all().map(|item| {
        let (tape, groups, cut) = whole_cut(plan, item)?;
        Some(match cut {
            Cut::Lamps(_) | Cut::Groups(_) => length(tape.group * f64::from(groups)),
            Cut::Length(_) => count((groups * tape.lamps) as usize, "lamp"),
        })
    }));
    let label = label.flatten().map(|label| (value.span.end, label));
    label.into_iter().collect()
}

/// The rest of it.
pub fn about(subject: &Subject) -> Option<String> {
    let (tape, groups, _) = whole_cut(subject.plan(), subject.all().next()?)?;
    Some(format!(
        "{} of {}: {}, {}, {} at {}.",
        count((groups * tape.lamps) as usize, "lamp"),
        tape.name.0,
        count(groups as usize, "group"),
        length(tape.group * f64::from(groups)),
        show(tape.draws * f64::from(groups)),
        show(tape.draws_at)
    ))
}

fn whole_cut<'a>(plan: &'a Plan, item: &Item) -> Option<(&'a Tape, u32, Cut)> {
    let Part::Strip {
        tape, groups, cut, ..
    } = item.part
    else {
        return None;
    };
    let tape = &plan.tapes[tape.0];
    (groups > 0 && cut_is_whole(tape, cut)).then_some((tape, groups, cut))
}
