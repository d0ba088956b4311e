//! Code actions. A client that can ask for the edits of the one that is chosen gets a list without edits; in `data` stands
//! what each is known by. What is chosen is worked out again from the text as it is by then, and sent only if it comes
//! out as it did. A client that takes only commands gets one for each action, with the same in its arguments; what it comes to
//! is sent as an edit to be made.

use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::Arc;

use serde::{Deserialize, Serialize};
use tower_lsp::jsonrpc::{Error, Result};
use tower_lsp::lsp_types::*;

use super::convert::{diagnostic, in_part, text_edits, workspace_edit};
use super::in_parts;
use super::keys::{beside, key_of};
use super::mended;
use super::plans::{Here, Plan};
use super::session::Snapshot;
use super::suspects;
use crate::editor::actions::{self, Action, ActionKind, Asked, NewFile, Refused};
use crate::editor::organise::organised;
use crate::parts::Stop;
use crate::plan::FileKey;
use crate::text::Span;

/// What all mends at once are called as long as nobody has worked them out.
const FIX_ALL: &str = "mend all that can be mended";

/// What an action is known by between being listed and being chosen.
#[derive(Serialize, Deserialize)]
struct Ticket {
    uri: Url,
    version: Option<i32>,
    /// The place that was asked about, in bytes.
    span: (u32, u32),
    /// The words of the finding that it mends, where they are beside that place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    beside: Option<(u32, u32)>,
    kind: CodeActionKind,
    /// What its edits come to; none where they were not worked out.
    is: Option<String>,
    /// The edits themselves, where there is nothing to be worked out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    edit: Option<WorkspaceEdit>,
}

/// The command of an action, for a client that takes only those.
pub const COMMAND: &str = "glimloom.apply";

/// What may be done at a place.
pub fn list(here: &Here, params: &CodeActionParams, stop: Stop) -> Option<CodeActionResponse> {
    let client = &here.snapshot.world.client;
    if !client.takes_actions() {
        return None;
    }
    let uri = &params.text_document.uri;
    let span = here.span(params.range);
    let only = params.context.only.as_deref();
    let wants = |kind: ActionKind| match is_of_the_file(kind) {
        // It takes its time: only who asks for it gets it.
        true => only.is_some() && !client.edits_later() && is_wanted(kind, only),
        false => is_wanted(kind, only),
    };
    let named = named(here, params);
    let ticket = |of: ActionKind, is: Option<String>| Ticket {
        uri: uri.clone(),
        version: here.snapshot.world.version(&key_of(uri)),
        span: (span.start, span.end),
        beside: None,
        kind: kind(of),
        is,
        edit: None,
    };
    let is_asked = params.context.trigger_kind != Some(CodeActionTriggerKind::AUTOMATIC);
    let (found, refused) = at(here, span, &named, &wants, is_asked, stop);
    let found = found.into_iter();
    let known_by = |found: &Found| {
        let mended = found.mends.as_ref().map(|mended| here.span(mended.range));
        let beside = mended.filter(|mended| named.contains(mended));
        Ticket {
            beside: beside.map(|mended| (mended.start, mended.end)),
            ..ticket(found.action.kind, Some(found.is(&here.plan)))
        }
    };
    let mut list: Vec<CodeAction> = found
        .filter_map(|found| found.listed(here, known_by))
        .collect();
    if client.edits_later() {
        let of_the_file = unproved(here, only, stop).into_iter();
        list.extend(of_the_file.map(|(title, of)| CodeAction {
            title,
            kind: Some(kind(of)),
            data: Some(serde_json::json!(ticket(of, None))),
            ..Default::default()
        }));
    }
    if is_asked {
        let wants = |kind: &CodeActionKind| covers(kind, only);
        list.extend(suspects::actions(here, uri, span, wants));
    }
    let is_shown = |kind| client.disabled_actions && is_named(kind, only);
    let refused = refused.into_iter().filter(|not| is_shown(not.kind));
    list.extend(refused.map(|not| CodeAction {
        title: not.title.to_owned(),
        kind: Some(kind(not.kind)),
        disabled: Some(CodeActionDisabled {
            reason: not.why.to_owned(),
        }),
        ..Default::default()
    }));
    if client.takes_commands() {
        let commands = list.into_iter().filter_map(|action| {
            let ticket = ticket(ActionKind::Refactor, None);
            as_command(action, ticket).map(Into::into)
        });
        return Some(commands.collect());
    }
    Some(list.into_iter().map(Into::into).collect())
}

/// An action as a command. `ticket` is of the place that was asked about.
fn as_command(action: CodeAction, ticket: Ticket) -> Option<Command> {
    let argument = match (action.command, action.data, action.edit) {
        (Some(command), ..) => return Some(command),
        (_, Some(data), _) => data,
        (_, _, edit) => serde_json::json!(Ticket {
            edit: Some(edit?),
            ..ticket
        }),
    };
    Some(Command {
        title: action.title,
        command: COMMAND.to_owned(),
        arguments: Some(vec![argument]),
    })
}

/// What a command is about; `None` for one that is not ours.
pub fn asked(command: &str, arguments: &[serde_json::Value]) -> Option<CodeAction> {
    let data = arguments.first().filter(|_| command == COMMAND)?;
    Ticket::deserialize(data).ok()?;
    Some(CodeAction {
        data: Some(data.clone()),
        ..Default::default()
    })
}

/// The words of the findings that the client names and that begin in a line of the place, but beside it. An editor that offers
/// mends for the line of the cursor names them all, wherever in it the cursor is.
fn named(here: &Here, params: &CodeActionParams) -> Vec<Span> {
    let asked = here.span(params.range);
    let lines = params.range.start.line..=params.range.end.line;
    let named = params.context.diagnostics.iter();
    named
        .filter(|finding| lines.contains(&finding.range.start.line))
        .map(|finding| here.span(finding.range))
        .filter(|span| !span.meets(asked))
        .collect()
}

/// Whether an action is one of the whole file, wherever the cursor is.
fn is_of_the_file(kind: ActionKind) -> bool {
    matches!(kind, ActionKind::FixAll | ActionKind::Organise)
}

/// What is wanted and may be done with the whole file; whether it can, comes out when it is chosen.
fn unproved(here: &Here, only: Option<&[CodeActionKind]>, stop: Stop) -> Vec<(String, ActionKind)> {
    let mut list = Vec::new();
    let may_be_mended = || match here.plan.is_in_parts() {
        true => here.plan.says_anything(),
        false => here.plan.analysis.may_be_mended(stop),
    };
    if is_wanted(ActionKind::FixAll, only) && may_be_mended() {
        list.push((FIX_ALL.to_owned(), ActionKind::FixAll));
    }
    // Of a plan in parts the whole has to be read first: only who asks for it waits for that.
    let is_cheap = only.is_some() || !here.plan.is_in_parts();
    if is_wanted(ActionKind::Organise, only) && is_cheap {
        let action = organised(&here.plan.analysis.plan, here.file);
        list.extend(action.map(|action| (action.title, ActionKind::Organise)));
    }
    list
}

/// An action with its edits. An error where the text is another one by now, or becomes one while the edits are worked out;
/// `later` gives how things stand where anything has changed since.
pub fn resolve(
    snapshot: &Arc<Snapshot>,
    later: &(dyn Fn() -> Option<Arc<Snapshot>> + Sync),
    mut action: CodeAction,
    stop: Stop,
) -> Result<CodeAction> {
    let ticket = action.data.take();
    let Some(ticket) = ticket.and_then(|data| serde_json::from_value::<Ticket>(data).ok()) else {
        return Ok(action);
    };
    let wanted = ActionKind::ALL
        .into_iter()
        .find(|of| kind(*of) == ticket.kind);
    let Some(wanted) = wanted else {
        return Ok(action);
    };
    if snapshot.world.version(&key_of(&ticket.uri)) != ticket.version {
        return Err(Error::content_modified());
    }
    if ticket.edit.is_some() {
        action.edit = ticket.edit;
        return Ok(action);
    }
    let is_other = |keys: &[&FileKey]| {
        let now = later();
        now.is_some_and(|now| {
            keys.iter()
                .any(|key| !now.world.has_same(key, &snapshot.world))
        })
    };
    let own = key_of(&ticket.uri);
    let here = snapshot.here(&ticket.uri, &|| stop() || is_other(&[&own]));
    let Some(here) = here else {
        return Err(Error::content_modified());
    };
    let keys: Vec<&FileKey> = here.plan.keys().collect();
    let is_past = || is_other(&keys);
    let stop: Stop = &|| stop() || is_past();
    let span = Span::new(ticket.span.0, ticket.span.1);
    let beside = ticket.beside.map(|(start, end)| Span::new(start, end));
    let beside = beside.as_slice();
    let (found, _) = at(&here, span, beside, &|kind| kind == wanted, true, stop);
    let mut found = found.into_iter().filter(|found| match &ticket.is {
        Some(is) => found.is(&here.plan) == *is,
        None => true,
    });
    action.edit = match found.next() {
        Some(found) => found.edit(&here),
        // None of the findings has a mend, or what was to be proved was not.
        None if ticket.is.is_none() && !stop() => Some(WorkspaceEdit::default()),
        None => return Err(Error::content_modified()),
    };
    match is_past() {
        true => Err(Error::content_modified()),
        false => Ok(action),
    }
}

/// An action.
struct Found {
    action: Action,
    /// What it mends, as it was sent.
    mends: Option<Diagnostic>,
}

/// What may be done at a place, the mends of the findings that are named among it, and what of it cannot. Where nobody asked but the editor itself, the whole of a large plan is not
/// worked out for it.
fn at(
    here: &Here,
    span: Span,
    named: &[Span],
    wants: &dyn Fn(ActionKind) -> bool,
    is_asked: bool,
    stop: Stop,
) -> (Vec<Found>, Vec<Refused>) {
    let plan = &here.plan;
    let mended = wants(ActionKind::FixAll).then(|| mended::fix_all(here, stop));
    let mended = mended.flatten();
    let is_done = mended.is_some();
    let wants = &|kind| wants(kind) && !(is_done && kind == ActionKind::FixAll);
    let action = mended.flatten();
    let mended = action.map(|action| Found {
        action,
        mends: None,
    });
    // What is listed without being worked out takes no plan.
    if !ActionKind::ALL.into_iter().any(wants) {
        return (mended.into_iter().collect(), Vec::new());
    }
    let asked = Asked {
        file: here.file,
        span,
        named,
        wants,
        may_create: &|file, name| here.snapshot.world.may_create(plan.key(file), name),
        used_by_others: &|file| {
            let all = here.snapshot.all_with(plan.key(file), stop);
            all.iter().any(|other| other.plan.root() != plan.root())
        },
        stop: &|| stop(),
    };
    let world = &here.snapshot.world;
    if let Some(in_parts::Changes { answers, view }) = in_parts::actions(here, &asked) {
        let found = answers.actions.into_iter().map(|action| {
            let finding = action.finding;
            let finding = finding.and_then(|nth| view.analysis.findings.get(nth));
            let mends = finding.map(|finding| in_part(world, plan, &view, finding));
            Found { action, mends }
        });
        return (found.chain(mended).collect(), answers.refused);
    }
    if stop() || plan.is_in_parts() && !is_asked {
        return (Vec::new(), Vec::new());
    }
    let answers = actions::actions(&plan.analysis, &asked);
    let found = answers.actions.into_iter().map(|action| {
        let finding = action.finding;
        let finding = finding.and_then(|nth| plan.analysis.findings.get(nth));
        let finding = finding.filter(|finding| finding.stanza.file == here.file);
        let mends = finding.map(|finding| diagnostic(world, plan, finding));
        Found { action, mends }
    });
    (found.chain(mended).collect(), answers.refused)
}

impl Found {
    /// What its edits come to: of two actions at one place, those of the same edits are the same.
    fn is(&self, plan: &Plan) -> String {
        let mut hasher = DefaultHasher::new();
        for (file, span, text) in &self.action.edits {
            (plan.key(*file), span, text).hash(&mut hasher);
        }
        if let Some(new) = &self.action.creates {
            (plan.key(new.beside), &new.name, &new.text).hash(&mut hasher);
        }
        format!("{:016x}", hasher.finish())
    }

    /// Its edits; `None` if one is of a file that has no address.
    fn edit(&self, here: &Here) -> Option<WorkspaceEdit> {
        let world = &here.snapshot.world;
        let edits = text_edits(world, &here.plan, self.action.edits.clone());
        let edit = workspace_edit(world, edits)?;
        match &self.action.creates {
            Some(new) => created(here, new, edit),
            None => Some(edit),
        }
    }

    /// The action in a list.
    fn listed(self, here: &Here, ticket: impl Fn(&Found) -> Ticket) -> Option<CodeAction> {
        let client = &here.snapshot.world.client;
        let edit = self.edit(here)?;
        let later = client.edits_later();
        Some(CodeAction {
            kind: Some(kind(self.action.kind)),
            edit: (!later).then_some(edit),
            is_preferred: (client.preferred_actions && self.action.preferred).then_some(true),
            data: later.then(|| serde_json::json!(ticket(&self))),
            diagnostics: self.mends.map(|finding| vec![finding]),
            title: self.action.title,
            ..Default::default()
        })
    }
}

/// An edit with a new file ahead of it.
fn created(here: &Here, new: &NewFile, edit: WorkspaceEdit) -> Option<WorkspaceEdit> {
    let key = beside(here.plan.key(new.beside), &new.name)?;
    let uri = here.snapshot.world.uri(&key)?;
    let create = ResourceOp::Create(CreateFile {
        uri: uri.clone(),
        options: Some(CreateFileOptions {
            overwrite: Some(false),
            ignore_if_exists: Some(false),
        }),
        annotation_id: None,
    });
    let text = TextDocumentEdit {
        text_document: OptionalVersionedTextDocumentIdentifier { uri, version: None },
        edits: vec![OneOf::Left(TextEdit::new(
            Range::default(),
            new.text.clone(),
        ))],
    };
    let Some(DocumentChanges::Edits(others)) = edit.document_changes else {
        return None;
    };
    let edits = [text].into_iter().chain(others);
    let operations = std::iter::once(DocumentChangeOperation::Op(create))
        .chain(edits.map(DocumentChangeOperation::Edit));
    Some(WorkspaceEdit {
        document_changes: Some(DocumentChanges::Operations(operations.collect())),
        ..Default::default()
    })
}

/// The protocol's name for a kind of action.
pub fn kind(kind: ActionKind) -> CodeActionKind {
    match kind {
        ActionKind::QuickFix => CodeActionKind::QUICKFIX,
        ActionKind::Refactor => CodeActionKind::REFACTOR_REWRITE,
        ActionKind::Inline => CodeActionKind::REFACTOR_INLINE,
        ActionKind::Extract => CodeActionKind::REFACTOR_EXTRACT,
        ActionKind::Organise => CodeActionKind::new("source.sort"),
        ActionKind::FixAll => CodeActionKind::SOURCE_FIX_ALL,
    }
}

/// Whether a kind is asked for by name, not along with all others.
fn is_named(kind: ActionKind, only: Option<&[CodeActionKind]>) -> bool {
    let mut named = only.into_iter().flatten();
    named.any(|wanted| {
        !wanted.as_str().is_empty() && is_wanted(kind, Some(std::slice::from_ref(wanted)))
    })
}

/// A client asks for a kind or for one above it: `refactor` covers `refactor.rewrite`, and the empty kind all.
fn is_wanted(of: ActionKind, only: Option<&[CodeActionKind]>) -> bool {
    covers(&kind(of), only)
}

fn covers(kind: &CodeActionKind, only: Option<&[CodeActionKind]>) -> bool {
    only.is_none_or(|only| {
        only.iter().any(|wanted| {
            let rest = kind.as_str().strip_prefix(wanted.as_str());
            rest.is_some_and(|rest| {
                rest.is_empty() || rest.starts_with('.') || wanted.as_str().is_empty()
            })
        })
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::sync::atomic::{AtomicUsize, Ordering};

    use super::super::session::Session;
    use super::*;

    const PLAN: &str = "\
led pearl drops 3.0 V at 20 mA limit 25 mA
supply cell 12 V 1 A
fuse F1 100 mA from cell
lamp one of pearl resistor 33 ohm from F1
lamp two of pearl resistor 33 ohm from F1
";

    /// All mends of a plan, resolved; before it is asked for the nth time whether to stop, a document is opened, under
    /// another version if it was open. How often it was asked.
    fn resolved(nth: usize, document: &str) -> (Result<CodeAction>, usize) {
        let uri = |name: &str| Url::parse(&format!("untitled:{name}")).unwrap();
        let session = Session::default();
        session.open(uri("plan"), PLAN, 1).unwrap();
        let snapshot = session.snapshot();
        let ticket = Ticket {
            uri: uri("plan"),
            version: Some(1),
            span: (0, 0),
            beside: None,
            kind: CodeActionKind::SOURCE_FIX_ALL,
            is: None,
            edit: None,
        };
        let action = CodeAction {
            data: Some(serde_json::json!(ticket)),
            ..CodeAction::default()
        };
        let asked = AtomicUsize::new(0);
        let stop = || {
            if asked.fetch_add(1, Ordering::Relaxed) == nth {
                session.open(uri(document), PLAN, 2).unwrap();
            }
            false
        };
        let later = || session.is_past(&snapshot).then(|| session.snapshot());
        let answer = resolve(&snapshot, &later, action, &stop);
        (answer, asked.into_inner())
    }

    #[test]
    fn a_text_that_changes_meanwhile_is_not_edited() {
        let (undisturbed, all) = resolved(usize::MAX, "plan");
        let undisturbed = undisturbed.unwrap();
        assert_ne!(undisturbed.edit, Some(WorkspaceEdit::default()));
        assert!(all > 20, "{all}");
        for nth in [0, all / 8, all / 4] {
            let (answer, asked) = resolved(nth, "plan");
            assert_eq!(answer.unwrap_err(), Error::content_modified());
            // The work ends early.
            assert!(asked < all, "{asked} of {all}");
        }
        let (answer, _) = resolved(all - 1, "plan");
        assert_eq!(answer.unwrap_err(), Error::content_modified());
        // What is no part of the plan changes nothing.
        let (answer, _) = resolved(all / 2, "another");
        assert_eq!(answer.unwrap(), undisturbed);
    }
}
