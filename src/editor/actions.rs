//! What may be done at a place of a file: the mends of the findings there, and rewrites of the wiring. A rewrite
//! is offered only after the changed plan was solved again: what it is for is then gone, and nothing is worse.

use std::collections::HashMap;

use super::Analysis;
use super::given::{branch_chain, branch_string};
use crate::plan::{Edit, FileId, ItemId, Plan, Severity, StanzaId};
use crate::text::Span;

/// What kind of action it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ActionKind {
    /// It mends a finding.
    QuickFix,
    /// It rewrites what is no error.
    Refactor,
}

/// Something that may be done.
#[derive(Clone, Debug, PartialEq)]
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

/// So many findings are answered for one place: each mend is tried by solving the plan again.
const MOST_FINDINGS: usize = 16;

/// What may be done where `span` touches.
pub fn actions(a: &Analysis, file: FileId, span: Span) -> Vec<Action> {
    let plan = &a.plan;
    let mut actions = Vec::new();
    let here = a
        .findings
        .iter()
        .enumerate()
        .filter(|(_, f)| f.stanza.file == file && meet(plan.in_file(f.stanza, f.span), span));
    for (finding, _) in here.take(MOST_FINDINGS) {
        for (place, mend) in a.mends(finding).into_iter().enumerate() {
            let edits = in_files(plan, &mend.edits);
            add(
                &mut actions,
                Action {
                    title: mend.title,
                    kind: ActionKind::QuickFix,
                    preferred: place == 0,
                    finding: Some(finding),
                    edits,
                },
            );
        }
    }
    if let Some(light) = light_at(plan, file, span) {
        let chains = branch_chain(plan, &a.solution, light);
        let strings = branch_string(plan, &a.solution, light);
        let offers = chains
            .into_iter()
            .map(|c| ("single-path", c))
            .chain(strings.into_iter().map(|c| ("series-string", c)));
        for (check, candidate) in offers {
            let edits = in_files(plan, &candidate.edits);
            let known = actions.iter().any(|other: &Action| other.edits == edits);
            if !known && holds(a, check, light, &candidate.edits) {
                add(
                    &mut actions,
                    Action {
                        title: candidate.title,
                        kind: ActionKind::Refactor,
                        preferred: false,
                        finding: None,
                        edits,
                    },
                );
            }
        }
    }
    actions
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
