//! Where a name is defined.

use super::mentions::Mentions;
use crate::checks::Analysis;
use crate::plan::{FileId, Plan, StanzaId};
use crate::syntax::tree::ValueKind;
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// Where the word at this byte is defined; for the path of a `use`, the start of that file.
pub fn definition(a: &Analysis, file: FileId, offset: usize) -> Vec<(FileId, Span)> {
    let plan = &a.plan;
    let mentions = Mentions::new(plan);
    let here = mentions.at(file, offset);
    let defined = here.iter().filter_map(|m| mentions.definition(&m.thing));
    let places: Vec<_> = defined
        .map(|(id, span)| (id.file, plan.in_file(id, span)))
        .collect();
    if places.is_empty() {
        let used = used_at(plan, file, offset);
        return used
            .map(|file| (file, Span::default()))
            .into_iter()
            .collect();
    }
    places
}

/// The file that the path at this byte brings in.
fn used_at(plan: &Plan, file: FileId, offset: usize) -> Option<FileId> {
    let offset = u32::try_from(offset).ok()?;
    let stanza = plan.stanza_at(file, offset)?;
    let (used, span) = used_file(plan, stanza)?;
    span.touches(offset).then_some(used)
}

/// The file that a `use` brings in, and where its path stands in the file, quotes included.
pub(super) fn used_file(plan: &Plan, id: StanzaId) -> Option<(FileId, Span)> {
    let stanza = plan.stanza(id);
    if stanza.word != Some(StanzaWord::Use) {
        return None;
    }
    let path = stanza.head.first()?;
    let ValueKind::Text(written) = &path.kind else {
        return None;
    };
    let key = plan.files[id.file.0].key.clone();
    let used = plan.uses.get(&(key, written.clone()))?.as_ref().ok()?;
    let file = plan.files.iter().position(|f| f.key == *used)?;
    Some((FileId(file), plan.in_file(id, path.span)))
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
    fn each_word_of_a_name_leads_to_its_own_place() {
        let text = "pattern wing needs lens\nlamp wing.tip of wing.lens from wing\ncopy port of wing from cell where lens pearl\n";
        let to = |use_of: &str, line: &str| {
            assert_eq!(
                leads_to(&format!("{text}{use_of}")),
                [(0, line.to_string())]
            );
        };
        to(
            "scene dusk off po$0rt.tip",
            "port of wing from cell where lens pearl",
        );
        to("scene dusk off port.ti$0p", "tip of wing.lens from wing");
        to("copy star of wing from cell where le$0ns pearl", "lens");
    }

    #[test]
    fn what_is_no_name_leads_nowhere() {
        for text in [
            "la$0mp m of pearl from cell",
            "lamp m of pearl from nowhe$0re",
            "joint j from ce$0lll",
            "lamp m of pearl fr$0om cell",
            "# ce$0ll",
        ] {
            assert_eq!(leads_to(text), [], "{text}");
        }
    }
}
