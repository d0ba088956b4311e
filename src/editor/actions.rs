//! What may be done at a place of a file: the mends of the findings there, and rewrites of the wiring. A rewrite
//! is offered only after the changed plan was solved again: what it is for is then gone, and nothing is worse.

use super::fix_all::fix_all;
use super::organise::organise;
use super::refactor::refactorings;
use super::rows::in_rows;
use super::write_out::write_out;
use crate::checks::Analysis;
use crate::plan::{FileId, Plan};
use crate::rewrites::Candidate;
use crate::text::Span;

/// What kind of action it is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ActionKind {
    /// It mends a finding.
    QuickFix,
    /// It rewrites what is no error.
    #[default]
    Refactor,
    /// It puts what a name stands for in the place of the name.
    Inline,
    /// It puts stanzas into a file of their own.
    Extract,
    /// It puts in all mends at once.
    FixAll,
    /// It puts the stanzas of a file in order.
    Organise,
}

impl ActionKind {
    /// All there are.
    pub const ALL: [ActionKind; 6] = [
        ActionKind::QuickFix,
        ActionKind::Refactor,
        ActionKind::Inline,
        ActionKind::Extract,
        ActionKind::FixAll,
        ActionKind::Organise,
    ];
}

/// Something that may be done.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Action {
    /// What it does, with the figures that change.
    pub title: String,
    /// What kind it is.
    pub kind: ActionKind,
    /// The first choice of those for one finding.
    pub preferred: bool,
    /// The finding that it mends, an index into [`Analysis::findings`].
    pub finding: Option<usize>,
    /// What is put in place of what, in byte ranges of the files.
    pub edits: Vec<(FileId, Span, String)>,
}

impl Action {
    /// A change of the plan that is to be offered as `kind`. It has no edits where they do not fit.
    pub fn of(plan: &Plan, kind: ActionKind, candidate: Candidate) -> Action {
        Action {
            edits: in_rows(plan, &candidate.edits).unwrap_or_default(),
            title: candidate.title,
            kind,
            ..Action::default()
        }
    }
}

/// What is asked for.
#[derive(Clone, Copy)]
pub struct Asked<'a> {
    /// The file.
    pub file: FileId,
    /// The place in it.
    pub span: Span,
    /// Whether a kind is wanted: what is not is not worked out.
    pub wants: &'a dyn Fn(ActionKind) -> bool,
    /// Asked now and then whether to give up, with what there is.
    pub stop: &'a dyn Fn() -> bool,
}

/// So many findings are answered for one place: each mend is tried by solving the plan again.
const MOST_FINDINGS: usize = 16;

/// What may be done where the span touches.
pub fn actions(a: &Analysis, asked: &Asked) -> Vec<Action> {
    let Asked { file, span, .. } = *asked;
    let wants = |kind: ActionKind| (asked.wants)(kind) && !(asked.stop)();
    let mut actions = Vec::new();
    if wants(ActionKind::QuickFix) {
        mends(a, asked, &mut actions);
    }
    if wants(ActionKind::Refactor) {
        for action in refactorings(a, asked) {
            add(&mut actions, action);
        }
    }
    if wants(ActionKind::Inline)
        && let Some(candidate) = write_out(a, file, span)
    {
        add(
            &mut actions,
            Action::of(&a.plan, ActionKind::Inline, candidate),
        );
    }
    if wants(ActionKind::FixAll) {
        actions.extend(fix_all(a, asked.stop));
    }
    if wants(ActionKind::Organise) {
        actions.extend(organise(a, file, asked.stop));
    }
    actions
}

/// The mends of the findings.
fn mends(a: &Analysis, asked: &Asked, actions: &mut Vec<Action>) {
    let plan = &a.plan;
    let here = a.findings.iter().enumerate().filter(|(_, f)| {
        f.stanza.file == asked.file && meet(plan.in_file(f.stanza, f.span), asked.span)
    });
    for (finding, _) in here.take(MOST_FINDINGS) {
        let mends = a.mends_until(finding, asked.stop).into_iter();
        for (place, mend) in mends.enumerate() {
            let action = Action {
                preferred: place == 0,
                finding: Some(finding),
                ..Action::of(plan, ActionKind::QuickFix, mend)
            };
            add(actions, action);
        }
    }
}

/// Adds what is not there yet under the same edits.
fn add(actions: &mut Vec<Action>, action: Action) {
    if !actions.iter().any(|other| other.edits == action.edits) {
        actions.push(action);
    }
}

fn meet(a: Span, b: Span) -> bool {
    a.start <= b.end && b.start <= a.end
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};

    const CHAIN: &str = "\
wire fine
  gauge 30 AWG
  insulation enamel
  colours red, green
tape warm
  group 3 lamps long 25 mm
  works 9 V to 12.6 V
  draws 18 mA at 12 V
supply adapter 12 V 1 A
fuse F1 160 mA from adapter
joint keel from F1
strip one of warm 6 lamps from keel over 60 mm of fine
strip two of warm 6 lamps from one over 40 mm of fine
strip three of warm 6 lamps from two over 40 mm of fine
";

    fn actions_at(text: &str, words: &str) -> (Analysis, Vec<Action>) {
        let a = Analysis::of(FileKey::new("plan"), text.into(), &Alone, &|| false);
        let start = text.find(words).unwrap() as u32;
        let asked = Asked {
            file: FileId(0),
            span: Span::new(start, start),
            wants: &|kind| !matches!(kind, ActionKind::FixAll | ActionKind::Organise),
            stop: &|| false,
        };
        let actions = actions(&a, &asked);
        (a, actions)
    }

    #[test]
    fn a_finding_offers_its_mends_and_no_rewrite_twice() {
        let (a, actions) = actions_at(CHAIN, "one of warm");
        let chained = a.findings.iter().position(|f| f.check == "single-path");
        assert!(chained.is_some());
        let first = actions.first().unwrap();
        assert_eq!((first.kind, first.preferred), (ActionKind::QuickFix, true));
        assert_eq!(first.finding, chained);
        for (i, action) in actions.iter().enumerate() {
            assert!(actions[..i].iter().all(|other| other.edits != action.edits));
        }
    }

    #[test]
    fn a_chain_can_be_branched_from_any_of_its_lights() {
        for light in ["one", "two", "three"] {
            let (a, actions) = actions_at(CHAIN, &format!("{light} of warm"));
            let action = actions
                .iter()
                .find(|a| a.title.contains("branch"))
                .unwrap_or_else(|| panic!("nothing to branch at {light}: {actions:?}"));
            let mut text = CHAIN.to_string();
            let mut edits = action.edits.clone();
            edits.sort_by_key(|(_, span, _)| *span);
            for (_, span, words) in edits.iter().rev() {
                text.replace_range(span.range(), words);
            }
            let after = Analysis::of(FileKey::new("plan"), text.into(), &Alone, &|| false);
            let chained = |a: &Analysis| {
                a.findings
                    .iter()
                    .filter(|f| f.check == "single-path")
                    .count()
            };
            assert!(chained(&after) < chained(&a), "{light}");
        }
    }

    #[test]
    fn nothing_is_offered_elsewhere() {
        let (_, actions) = actions_at(CHAIN, "joint keel");
        assert_eq!(actions, []);
        let (_, actions) = actions_at(CHAIN, "works 9 V");
        assert_eq!(actions, []);
    }
}
