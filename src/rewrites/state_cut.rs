//! States a cut of tape in another of the forms that the language has: in lamps, in groups, or as a length. The tape is
//! the same, and so is every figure.

use super::columns::hold_columns;
use super::stanza_text::{Spelling, plain};
use super::{Candidate, in_each_copy};
use crate::numbers::count;
use crate::plan::{Cut, Edit, ItemId, Part, Plan, Tape, cut_is_whole};
use crate::syntax::tree::{Value, ValueKind};
use crate::syntax::vocabulary::Dimension;

/// A form in which a cut can be stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    /// `6 lamps`
    Lamps,
    /// `2 groups`
    Groups,
    /// `50 mm`
    Length,
}

impl Form {
    /// The form of a cut.
    pub(super) fn of(cut: Cut) -> Form {
        match cut {
            Cut::Lamps(_) => Form::Lamps,
            Cut::Groups(_) => Form::Groups,
            Cut::Length(_) => Form::Length,
        }
    }
}

/// A strip that is cut between groups, in each copy alike.
pub(super) struct Whole<'a> {
    /// Its tape; in other copies it may be another one with the same groups.
    pub(super) tape: &'a Tape,
    /// How many groups it has.
    pub(super) groups: u32,
    /// How the plan states its cut.
    pub(super) cut: Cut,
    /// Where it does.
    pub(super) value: &'a Value,
}

impl<'a> Whole<'a> {
    /// Of a strip; `None` for what is none, for one that is cut inside a group, and for a piece that is cut in other ways
    /// in other copies.
    pub(super) fn of(plan: &'a Plan, strip: ItemId) -> Option<Whole<'a>> {
        let item = plan.items.get(strip.0)?;
        let of = |part: &Part| match *part {
            Part::Strip {
                tape, groups, cut, ..
            } => Some((&plan.tapes[tape.0], groups, cut)),
            _ => None,
        };
        let (tape, groups, cut) = of(&item.part)?;
        let alike = |other: (&Tape, u32, Cut)| {
            (other.0.lamps, other.0.group, other.1) == (tape.lamps, tape.group, groups)
        };
        let mut copies = plan.items.iter().filter(|i| i.stanza == item.stanza);
        if !cut_is_whole(tape, cut) || !copies.all(|i| of(&i.part).is_some_and(alike)) {
            return None;
        }
        let mut head = plan.stanza(item.stanza).head.iter();
        let is_cut = |v: &&Value| matches!(v.kind, ValueKind::Count(..) | ValueKind::Quantity(..));
        let value = head.find(is_cut)?;
        Some(Whole {
            tape,
            groups,
            cut,
            value,
        })
    }

    /// So many groups of this tape in a form; `None` where a length cannot say it exactly. A length is spelt as the
    /// plan spells this cut, else as it spells the tape's groups.
    pub(super) fn words(
        &self,
        plan: &Plan,
        strip: ItemId,
        form: Form,
        groups: u32,
    ) -> Option<String> {
        match form {
            Form::Lamps => Some(counted(groups.checked_mul(self.tape.lamps)?, "lamp")),
            Form::Groups => Some(counted(groups, "group")),
            Form::Length => {
                let own = plan.stanza(plan.items[strip.0].stanza);
                let spelling = match self.cut {
                    Cut::Length(_) => Spelling::of(own.words(self.value.span)),
                    _ => of_tape(plan, self.tape),
                };
                let length = self.tape.group * f64::from(groups);
                spelling?.write_exact(length.value, 4)
            }
        }
    }

    /// `2 groups, 6 lamps, 50 mm`
    fn in_all_forms(&self, groups: u32) -> String {
        format!(
            "{}, {}, {} mm",
            counted(groups, "group"),
            counted(groups.saturating_mul(self.tape.lamps), "lamp"),
            plain((self.tape.group * f64::from(groups)).value * 1e3, 1)
        )
    }
}

/// How a tape's stanza spells the length of a group.
fn of_tape(plan: &Plan, tape: &Tape) -> Option<Spelling> {
    let stanza = plan.stanza(tape.stanza);
    let mut values = stanza.clause("group")?.values.iter();
    let is_length = |v: &&Value| matches!(v.kind, ValueKind::Quantity(_, Dimension::Length));
    Spelling::of(stanza.words(values.find(is_length)?.span))
}

fn counted(n: u32, one: &str) -> String {
    count(n as usize, one)
}

/// The cut in each of the other forms. None where it falls inside a group or is no exact number of groups, nor where the
/// other form would not be exact.
pub fn state_cut(plan: &Plan, strip: ItemId) -> Vec<Candidate> {
    let Some(whole) = Whole::of(plan, strip) else {
        return Vec::new();
    };
    let exact = whole.tape.group * f64::from(whole.groups);
    if let Cut::Length(length) = whole.cut
        && (length - exact).value.abs() > 1e-9
    {
        return Vec::new();
    }
    let item = &plan.items[strip.0];
    let others = [Form::Groups, Form::Lamps, Form::Length].into_iter();
    let others = others.filter(|form| *form != Form::of(whole.cut));
    let candidates = others.filter_map(|form| {
        let text = whole.words(plan, strip, form, whole.groups)?;
        let now = plan.stanza(item.stanza).quoted(whole.value.span);
        Some(Candidate {
            title: format!(
                "say {text} instead of {now}{}: {} of {}",
                in_each_copy(plan, strip),
                whole.in_all_forms(whole.groups),
                whole.tape.name.0
            ),
            edits: hold_columns(
                plan,
                item.stanza,
                vec![Edit {
                    stanza: item.stanza,
                    span: whole.value.span,
                    text,
                }],
            ),
            told: Vec::new(),
        })
    });
    candidates.collect()
}
