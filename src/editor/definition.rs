//! Where a name is defined.

use super::Analysis;
use super::target::{self, On};
use crate::plan::{FileId, Module, Part, StanzaId, Target};
use crate::syntax::tree::{Name, Stanza, ValueKind};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// Where the name at this byte is defined; for the path of a `use`, the start of that file.
pub fn definition(a: &Analysis, file: FileId, offset: usize) -> Vec<(FileId, Span)> {
    place(a, file, offset).into_iter().collect()
}

fn place(a: &Analysis, file: FileId, offset: usize) -> Option<(FileId, Span)> {
    let plan = &a.plan;
    let spot = target::at(plan, file, offset)?;
    let stanza = plan.stanza(spot.stanza);
    let (id, span) = match spot.on {
        On::Name {
            definition,
            output: Some(output),
            ..
        } => {
            let module = match definition.target {
                Some(Target::Item(item)) => match plan.items[item.0].part {
                    Part::Board { module } => plan.modules.get(module.0),
                    _ => None,
                },
                _ => None,
            };
            let defined = module.and_then(|m| output_span(a, m, &output));
            defined.unwrap_or((definition.stanza, definition.span))
        }
        On::Name { definition, .. } => (definition.stanza, definition.span),
        On::Output(output) => (spot.stanza, output_in(stanza, &output)?),
        On::Text if stanza.word == Some(StanzaWord::Use) => {
            let ValueKind::Text(path) = &stanza.head.first()?.kind else {
                return None;
            };
            let key = plan.files[file.0].key.clone();
            let used = plan.uses.get(&(key, path.clone()))?.as_ref().ok()?;
            let file = plan.files.iter().position(|f| f.key == *used)?;
            return Some((FileId(file), Span::default()));
        }
        _ => return None,
    };
    Some((id.file, plan.in_file(id, span)))
}

/// Where a module's stanza defines an output.
fn output_span(a: &Analysis, module: &Module, output: &Name) -> Option<(StanzaId, Span)> {
    let span = output_in(a.plan.stanza(module.stanza), output)?;
    Some((module.stanza, span))
}

/// Where the stanza of a module defines an output.
fn output_in(stanza: &Stanza, output: &Name) -> Option<Span> {
    stanza
        .clauses
        .iter()
        .filter(|c| c.word == "output")
        .find_map(|c| c.names().next().filter(|(name, _)| *name == output))
        .map(|(_, span)| span)
}
