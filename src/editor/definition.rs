//! Where a name is defined.

use super::target::{self, On};
use crate::checks::Analysis;
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

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::sync::Arc;

    use super::*;
    use crate::plan::FileKey;

    /// What the cursor `$0` leads to: the file's number and the words there with the line behind them.
    fn leads_to(text: &str) -> Vec<(usize, String)> {
        let stock = "led pearl drops 3.0 V at 20 mA\nmodule flasher draws 3 mA\n  output a 60 mA\n";
        let files: BTreeMap<String, Arc<str>> = [("stock.harness".into(), stock.into())].into();
        let offset = text.find("$0").unwrap();
        let text = format!("use \"stock.harness\"\nsupply cell 12 V\n{text}").replace("$0", "");
        let before = "use \"stock.harness\"\nsupply cell 12 V\n".len();
        let a = Analysis::of(FileKey::new("plan"), text.into(), &files, &|| false);
        definition(&a, FileId(0), before + offset)
            .into_iter()
            .map(|(file, span)| {
                let rest = &a.plan.files[file.0].text[span.start as usize..];
                (file.0, rest.lines().next().unwrap_or("").to_string())
            })
            .collect()
    }

    #[test]
    fn names_lead_to_their_stanzas() {
        let to = |text, file, line: &str| assert_eq!(leads_to(text), [(file, line.to_string())]);
        to(
            "lamp m of pe$0arl from cell",
            1,
            "pearl drops 3.0 V at 20 mA",
        );
        to("lamp m of pearl from ce$0ll", 0, "cell 12 V");
        to("lamp m$0 of pearl from cell", 0, "m of pearl from cell");
        to(
            "board b of flasher from cell\nlamp m of pearl from b.a$0",
            1,
            "a 60 mA",
        );
        to(
            "scene dusk off m$0\nlamp m of pearl from cell",
            0,
            "m of pearl from cell",
        );
    }

    #[test]
    fn what_is_no_name_leads_nowhere() {
        for text in [
            "la$0mp m of pearl from cell",
            "lamp m of pearl from nowhe$0re",
            "lamp m of pearl fr$0om cell",
            "# ce$0ll",
        ] {
            assert_eq!(leads_to(text), [], "{text}");
        }
    }
}
