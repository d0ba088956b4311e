//! What may be done at a place of a file: the mends of the findings there, and rewrites of the wiring. A rewrite
//! is offered only after the changed plan was solved again: what it is for is then gone, and nothing is worse.

use crate::circuit::Stop;
use std::cell::Cell;
use std::collections::BTreeMap;

use super::fix_all::fix_all;
use super::inline_use::inline_use;
use super::organise::organise;
use super::refactor::refactorings;
use super::rows::in_rows;
use super::stock_file::extract_stock;
use super::write_out::write_out;
use crate::checks::{Analysis, Finding};
use crate::plan::{Edit, FileId, Plan};
use crate::rewrites::Candidate;
use crate::text::{Lines, Span};

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
    /// The same by the stanzas that change, where no edit goes beyond one.
    pub by_stanza: Vec<Edit>,
    /// The file that is made first.
    pub creates: Option<NewFile>,
}

/// A file that is not there yet.
#[derive(Clone, Debug, PartialEq)]
pub struct NewFile {
    /// In the folder of which file it goes.
    pub beside: FileId,
    /// What it is called there.
    pub name: String,
    /// What is in it.
    pub text: String,
}

/// A refactoring that cannot be done here.
#[derive(Clone, Debug, PartialEq)]
pub struct Refused {
    /// What it would do.
    pub title: &'static str,
    /// What kind it is.
    pub kind: ActionKind,
    /// Why not, for the user.
    pub why: &'static str,
}

/// What may be done, and which of the refactorings that are wanted cannot be done here.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answers {
    /// What may be done.
    pub actions: Vec<Action>,
    /// What cannot.
    pub refused: Vec<Refused>,
}

impl Answers {
    /// Adds what is not there yet under the same edits.
    fn add(&mut self, action: Action) {
        if !self.actions.iter().any(|other| other.edits == action.edits) {
            self.actions.push(action);
        }
    }

    /// Adds what a refactoring comes to.
    fn add_all(
        &mut self,
        kind: ActionKind,
        title: &'static str,
        outcome: Result<Vec<Action>, &'static str>,
    ) {
        match outcome {
            Ok(actions) => actions.into_iter().for_each(|action| self.add(action)),
            Err(why) => self.refused.push(Refused { title, kind, why }),
        }
    }
}

impl Action {
    /// A change of the plan that is to be offered as `kind`. It has no edits where they do not fit.
    pub fn of(plan: &Plan, kind: ActionKind, candidate: Candidate) -> Action {
        Action {
            edits: in_files(plan, &candidate.edits),
            by_stanza: candidate.edits,
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
    /// The words of findings beside the place whose mends are wanted too, as those of the same line.
    pub named: &'a [Span],
    /// Whether a kind is wanted: what is not is not worked out.
    pub wants: &'a dyn Fn(ActionKind) -> bool,
    /// Whether a new file of this name can be made beside one of the plan's.
    pub may_create: &'a dyn Fn(FileId, &str) -> bool,
    /// Whether another plan than this one uses a file.
    pub used_by_others: &'a dyn Fn(FileId) -> bool,
    /// Asked now and then whether to give up, with what there is.
    pub stop: Stop<'a>,
}

/// So many findings are answered for one place: each mend is tried by solving the plan again.
const MOST_FINDINGS: usize = 16;

/// What may be done where the span touches.
pub fn actions(a: &Analysis, asked: &Asked) -> Answers {
    let mut answers = as_worked_out(a, asked);
    lay_in_rows(&mut answers.actions, &|file| {
        Lines::new(&a.plan.files[file.0].text)
    });
    answers
}

/// As [`actions`], before [`lay_in_rows`].
pub fn as_worked_out(a: &Analysis, asked: &Asked) -> Answers {
    let Asked { file, span, .. } = *asked;
    let wants = |kind: ActionKind| (asked.wants)(kind) && !(asked.stop)();
    let mut answers = Answers::default();
    if wants(ActionKind::QuickFix) {
        mends(a, asked, &mut answers);
    }
    if wants(ActionKind::Refactor) {
        let refactored = refactorings(a, asked);
        answers.add_all(ActionKind::Refactor, "wire it otherwise", refactored);
    }
    if wants(ActionKind::Inline) {
        let kind = ActionKind::Inline;
        let written = write_out(a, file, span);
        let written = written.map(|candidate| vec![Action::of(&a.plan, kind, candidate)]);
        answers.add_all(kind, "write the copy out", written);
        let used = inline_use(a, asked).map(|action| vec![action]);
        answers.add_all(kind, "put the used file in the place of its line", used);
    }
    if wants(ActionKind::Extract) {
        let moved = extract_stock(a, asked);
        answers.add_all(ActionKind::Extract, "move stock into another file", moved);
    }
    if wants(ActionKind::FixAll) {
        answers.actions.extend(fix_all(a, asked.stop));
    }
    if wants(ActionKind::Organise) {
        answers.actions.extend(organise(a, file, asked.stop));
    }
    answers
}

/// The mends of the findings.
fn mends(a: &Analysis, asked: &Asked, answers: &mut Answers) {
    let plan = &a.plan;
    let place = |finding: &Finding| plan.in_file(finding.stanza, finding.span);
    let in_file = a.findings.iter().enumerate();
    let in_file = in_file.filter(|(_, f)| f.stanza.file == asked.file);
    let in_file = in_file.map(|(nth, f)| (nth, place(f)));
    let (here, beside): (Vec<_>, Vec<_>) = in_file
        .filter(|(_, at)| at.meets(asked.span) || asked.named.contains(at))
        .partition(|(_, at)| at.meets(asked.span));
    // One may always be tried: the others are there where the first was taken.
    let tries = Cell::new(a.tries().max(1));
    for (finding, _) in here.into_iter().chain(beside).take(MOST_FINDINGS) {
        let is_caused = a.is_caused(finding);
        let mends = a.mends_within(finding, &tries, asked.stop).into_iter();
        for (place, mend) in mends.enumerate() {
            answers.add(Action {
                preferred: place == 0 && !is_caused,
                finding: Some(finding),
                ..Action::of(plan, ActionKind::QuickFix, mend)
            });
        }
    }
}

/// The edits of each action as they are made: what stood in columns does so afterwards.
pub fn lay_in_rows(actions: &mut [Action], lines: &dyn Fn(FileId) -> Lines) {
    let mut known: BTreeMap<FileId, Lines> = BTreeMap::new();
    for action in actions.iter_mut().filter(|a| !a.by_stanza.is_empty()) {
        let mut files: BTreeMap<FileId, Vec<(Span, String)>> = BTreeMap::new();
        for (file, span, text) in std::mem::take(&mut action.edits) {
            files.entry(file).or_default().push((span, text));
        }
        for (file, edits) in files {
            let lines = known.entry(file).or_insert_with(|| lines(file));
            let edits = in_rows(lines, &edits).into_iter();
            action
                .edits
                .extend(edits.map(|(span, text)| (file, span, text)));
        }
    }
}

fn in_files(plan: &Plan, edits: &[Edit]) -> Vec<(FileId, Span, String)> {
    edits
        .iter()
        .map(|e| {
            let span = plan.in_file(e.stanza, e.span);
            (e.stanza.file, span, e.text.clone())
        })
        .collect()
}

/// All that there is, of a plan that stands alone.
#[cfg(test)]
pub(super) const ASKED: Asked<'static> = Asked {
    file: FileId(0),
    span: Span::new(0, 0),
    named: &[],
    wants: &|_| true,
    may_create: &|_, _| true,
    used_by_others: &|_| false,
    stop: &|| false,
};

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
        let wants = |kind| {
            !matches!(
                kind,
                ActionKind::FixAll | ActionKind::Organise | ActionKind::Extract
            )
        };
        let asked = Asked {
            span: Span::new(start, start),
            wants: &wants,
            ..ASKED
        };
        let actions = actions(&a, &asked).actions;
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

    /// An editor that offers mends for a whole line names its findings; those under the cursor come first.
    #[test]
    fn findings_beside_the_place_are_mended_where_they_are_named() {
        let text = CHAIN.replace("one of warm 6", "one of warm 7");
        let a = Analysis::of(FileKey::new("plan"), text.as_str().into(), &Alone, &|| {
            false
        });
        let start = text.find("strip one").unwrap() as u32;
        let finding = |check: &str| {
            let nth = a.findings.iter().position(|f| f.check == check);
            let nth = nth.unwrap_or_else(|| panic!("no {check}"));
            let f = &a.findings[nth];
            (nth, a.plan.in_file(f.stanza, f.span))
        };
        let [(chained, chain), (cut, lamps)] = ["single-path", "cut-inside-group"].map(finding);
        let mended = |at: u32, named: &[Span]| {
            let asked = Asked {
                span: Span::new(at, at),
                named,
                wants: &|kind| kind == ActionKind::QuickFix,
                ..ASKED
            };
            let actions = actions(&a, &asked).actions;
            let mut of: Vec<_> = actions.iter().filter_map(|action| action.finding).collect();
            of.dedup();
            of
        };
        assert_eq!(mended(start, &[]), [0; 0]);
        assert_eq!(mended(start, &[chain]), [chained]);
        assert_eq!(mended(lamps.start, &[chain]), [cut, chained]);
        assert_eq!(mended(chain.start, &[lamps]), [chained, cut]);
        let no_finding = Span::new(chain.start, chain.end + 1);
        assert_eq!(mended(start, &[no_finding]), [0; 0]);
    }

    #[test]
    fn nothing_is_offered_elsewhere() {
        let (_, actions) = actions_at(CHAIN, "joint keel");
        assert_eq!(actions, []);
        let (_, actions) = actions_at(CHAIN, "works 9 V");
        assert_eq!(actions, []);
    }
}
