//! Where a name is defined.

use super::Analysis;
use super::target::{self, On};
use crate::plan::{FileId, Module, Part, StanzaId, Target};
use crate::syntax::tree::{Name, ValueKind};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// Where a name leads.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// The words that lead there.
    pub origin: Span,
    /// The file that it leads to.
    pub file: FileId,
    /// The whole stanza there.
    pub whole: Span,
    /// The name there.
    pub name: Span,
}

/// Where the name at this byte is defined; for the path of a `use`, the file.
pub fn definition(a: &Analysis, file: FileId, offset: usize) -> Option<Place> {
    let plan = &a.plan;
    let spot = target::at(plan, file, offset)?;
    let origin = plan.in_file(spot.stanza, spot.span);
    let place = |stanza: StanzaId, name: Span| Place {
        origin,
        file: stanza.file,
        whole: plan.in_file(stanza, plan.stanza(stanza).core_span()),
        name: plan.in_file(stanza, name),
    };
    match spot.on {
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
            Some(match defined {
                Some((stanza, span)) => place(stanza, span),
                None => place(definition.stanza, definition.span),
            })
        }
        On::Name { definition, .. } => Some(place(definition.stanza, definition.span)),
        On::Output(output) => {
            let stanza = plan.stanza(spot.stanza);
            let span = output_in(stanza, &output)?;
            Some(place(spot.stanza, span))
        }
        On::Text if plan.stanza(spot.stanza).word == Some(StanzaWord::Use) => {
            let stanza = plan.stanza(spot.stanza);
            let ValueKind::Text(path) = &stanza.head.first()?.kind else {
                return None;
            };
            let key = plan.files[file.0].key.clone();
            let used = plan.uses.get(&(key, path.clone()))?.as_ref().ok()?;
            let file = plan.files.iter().position(|f| f.key == *used)?;
            Some(Place {
                origin,
                file: FileId(file),
                whole: Span::default(),
                name: Span::default(),
            })
        }
        _ => None,
    }
}

/// Where a module's stanza defines an output.
fn output_span(a: &Analysis, module: &Module, output: &Name) -> Option<(StanzaId, Span)> {
    let span = output_in(a.plan.stanza(module.stanza), output)?;
    Some((module.stanza, span))
}

fn output_in(stanza: &crate::syntax::tree::Stanza, output: &Name) -> Option<Span> {
    stanza
        .clauses
        .iter()
        .filter(|c| c.word == "output")
        .find_map(|c| c.names().next().filter(|(name, _)| *name == output))
        .map(|(_, span)| span)
}
