//! What may be done at a place of a file: the mends of the findings there, and rewrites of the wiring. A rewrite
//! is offered only after the changed plan was solved again: what it is for is then gone, and nothing is worse.

use std::collections::HashMap;

use super::fix_all::fix_all;
use super::inline_use::inline_use;
use super::organise::organise;
use super::stock_file::extract_stock;
use super::write_out::write_out;
use crate::checks::Analysis;
use crate::plan::{Edit, FileId, ItemId, Plan, Severity, StanzaId};
use crate::rewrites::{Candidate, branch_chain, branch_string};
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
    /// A change of the plan that is to be offered as `kind`.
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
    /// Whether a kind is wanted: what is not is not worked out.
    pub wants: &'a dyn Fn(ActionKind) -> bool,
    /// Whether a new file of this name can be made beside one of the plan's.
    pub may_create: &'a dyn Fn(FileId, &str) -> bool,
    /// Whether another plan than this one uses a file.
    pub used_by_others: &'a dyn Fn(FileId) -> bool,
    /// Asked now and then whether to give up, with what there is.
    pub stop: &'a dyn Fn() -> bool,
}

/// So many findings are answered for one place: each mend is tried by solving the plan again.
const MOST_FINDINGS: usize = 16;

/// What may be done where the span touches.
pub fn actions(a: &Analysis, asked: &Asked) -> Answers {
    let Asked { file, span, .. } = *asked;
    let wants = |kind: ActionKind| (asked.wants)(kind) && !(asked.stop)();
    let mut answers = Answers::default();
    if wants(ActionKind::QuickFix) {
        mends(a, asked, &mut answers);
    }
    if wants(ActionKind::Refactor) {
        let branched = branched(a, file, span, &answers.actions);
        answers.add_all(ActionKind::Refactor, "branch the lights", branched);
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
    let here = a.findings.iter().enumerate().filter(|(_, f)| {
        f.stanza.file == asked.file && meet(plan.in_file(f.stanza, f.span), asked.span)
    });
    for (finding, _) in here.take(MOST_FINDINGS) {
        let mends = a.mends_until(finding, asked.stop).into_iter();
        for (place, mend) in mends.enumerate() {
            answers.add(Action {
                preferred: place == 0,
                finding: Some(finding),
                ..Action::of(plan, ActionKind::QuickFix, mend)
            });
        }
    }
}

/// Branched wiring in place of a chain or a string; what a mend does already is not tried again.
fn branched(
    a: &Analysis,
    file: FileId,
    span: Span,
    known: &[Action],
) -> Result<Vec<Action>, &'static str> {
    let light = light_at(&a.plan, file, span).ok_or("There is no light under the cursor.")?;
    let chains = branch_chain(&a.plan, &a.solution, light);
    let strings = branch_string(&a.plan, &a.solution, light);
    let offers = chains
        .into_iter()
        .map(|c| ("single-path", c))
        .chain(strings.into_iter().map(|c| ("series-string", c)));
    let (mut actions, mut is_any) = (Vec::new(), false);
    for (check, candidate) in offers {
        is_any = true;
        let action = Action::of(&a.plan, ActionKind::Refactor, candidate);
        let is_known = known.iter().any(|other| other.edits == action.edits);
        if is_known || holds(a, check, light, &action.by_stanza) {
            actions.push(action);
        }
    }
    match (actions.is_empty(), is_any) {
        (false, _) => Ok(actions),
        (true, true) => Err("Branched, the plan would have a fault that it has not now."),
        (true, false) => Err("The light is neither chained nor in series with others."),
    }
}

fn meet(a: Span, b: Span) -> bool {
    a.start <= b.end && b.start <= a.end
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

/// The light whose stanza the cursor is in. A selection over several stanzas asks for no rewrite of any.
fn light_at(plan: &Plan, file: FileId, span: Span) -> Option<ItemId> {
    let stanza = plan.stanza_at(file, span.start)?;
    let core = plan.in_file(stanza, plan.stanza(stanza).core_span());
    let inside = core.start <= span.start && span.end <= core.end;
    let light = plan.items.iter().position(|i| i.stanza == stanza)?;
    (inside && plan.items[light].is_light()).then_some(ItemId(light))
}

/// Solves the changed plan: the check says less about this circuit than before, and no error is new.
fn holds(a: &Analysis, check: &str, light: ItemId, edits: &[Edit]) -> bool {
    let after = a.with_edits(edits);
    let count = |a: &Analysis| a.findings.iter().filter(|f| f.check == check).count();
    let about = findings_about(a, check, a.plan.items[light.0].stanza);
    let mended = !about || count(&after) < count(a);
    mended && !new_error(&errors(a), &errors(&after))
}

/// Whether a check has something to say about a stanza, on it or with it as a related place.
fn findings_about(a: &Analysis, check: &str, stanza: StanzaId) -> bool {
    a.findings.iter().any(|f| {
        let related = f.related.iter().any(|(id, _, _)| *id == stanza);
        f.check == check && (f.stanza == stanza || related)
    })
}

/// How many errors of which check there are on stanzas of which name.
type Errors = HashMap<(&'static str, Option<String>), usize>;

fn errors(a: &Analysis) -> Errors {
    let mut errors = Errors::new();
    for f in a.findings.iter().filter(|f| f.severity == Severity::Error) {
        let name = f.item.as_ref().map(|n| n.0.to_string());
        *errors.entry((f.check, name)).or_default() += 1;
    }
    errors
}

fn new_error(before: &Errors, after: &Errors) -> bool {
    after
        .iter()
        .any(|(key, n)| *n > before.get(key).copied().unwrap_or(0))
}

/// All that there is, of a plan that stands alone.
#[cfg(test)]
pub(super) const ASKED: Asked<'static> = Asked {
    file: FileId(0),
    span: Span::new(0, 0),
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

    #[test]
    fn nothing_is_offered_elsewhere() {
        let (_, actions) = actions_at(CHAIN, "joint keel");
        assert_eq!(actions, []);
        let (_, actions) = actions_at(CHAIN, "works 9 V");
        assert_eq!(actions, []);
    }
}
