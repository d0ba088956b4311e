//! Moves a cut of tape that falls inside a group to the next cut point.

use super::Candidate;
use super::columns::hold_columns;
use super::stanza_text::{Spelling, plain};
use crate::plan::{Cut, Edit, ItemId, Part, Plan, cut_is_whole, whole_groups};
use crate::syntax::tree::ValueKind;

/// The next cut point down (preferred: the tape is there), then up; stated as the plan states the
/// cut, in lamps or as a length in its own unit. None where the cut is at a cut point already.
pub fn move_cut(plan: &Plan, strip: ItemId) -> Vec<Candidate> {
    let Some(item) = plan.items.get(strip.0) else {
        return Vec::new();
    };
    let Part::Strip { tape, cut, .. } = item.part else {
        return Vec::new();
    };
    let tape = &plan.tapes[tape.0];
    if cut_is_whole(tape, cut) {
        return Vec::new();
    }
    let down = whole_groups(tape, cut);
    [("down", Some(down)), ("up", down.checked_add(1))]
        .into_iter()
        .filter_map(|(way, groups)| {
            let groups = groups.filter(|&g| g > 0)?;
            let stanza = plan.stanza(item.stanza);
            let value = stanza
                .head
                .iter()
                .find(|v| matches!(v.kind, ValueKind::Count(..) | ValueKind::Quantity(..)))?;
            let length = tape.group * f64::from(groups);
            let lamps = groups.checked_mul(tape.lamps)?;
            let text = match cut {
                Cut::Lamps(_) if lamps == 1 => "1 lamp".to_string(),
                Cut::Lamps(_) => format!("{lamps} lamps"),
                Cut::Length(_) => Spelling::of(stanza.words(value.span))?.write(length.value, 4),
                Cut::Groups(_) => return None,
            };
            Some(Candidate {
                title: format!(
                    "cut at {text}, the next cut point {way}: {groups} {}, {lamps} lamps, {} mm",
                    if groups == 1 { "group" } else { "groups" },
                    plain(length.value * 1e3, 1),
                ),
                edits: hold_columns(
                    plan,
                    item.stanza,
                    vec![Edit {
                        stanza: item.stanza,
                        span: value.span,
                        text,
                    }],
                ),
                told: Vec::new(),
            })
        })
        .collect()
}
