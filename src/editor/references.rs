//! Where a thing is used.

use super::mentions::{Mention, Mentions};
use crate::checks::Analysis;
use crate::plan::{FileId, Plan};
use crate::text::Span;

/// Every place that mentions what stands at this byte, in the order of the files; `defined`: with the word that
/// defines it.
pub fn references(a: &Analysis, file: FileId, offset: usize, defined: bool) -> Vec<(FileId, Span)> {
    let mut found = mentioned_with(&a.plan, file, offset, None);
    found.retain(|mention| defined || !mention.defines);
    in_order(&a.plan, found)
        .into_iter()
        .map(|(file, span, _)| (file, span))
        .collect()
}

/// Every mention of what stands at this byte; of all that it may stand for.
pub(super) fn mentioned_with(
    plan: &Plan,
    file: FileId,
    offset: usize,
    only: Option<FileId>,
) -> Vec<Mention> {
    let mentions = Mentions::new(plan);
    let here = mentions.at(file, offset);
    let all = here.iter().flat_map(|m| mentions.of(&m.thing, only));
    all.collect()
}

/// Mentions as places of the files, each once, and whether they define.
pub(super) fn in_order(plan: &Plan, mentions: Vec<Mention>) -> Vec<(FileId, Span, bool)> {
    let places = mentions.into_iter();
    let mut places: Vec<_> = places
        .map(|m| (m.stanza.file, plan.in_file(m.stanza, m.span), m.defines))
        .collect();
    places.sort();
    places.dedup();
    places
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::sync::Arc;

    use super::*;
    use crate::plan::FileKey;

    #[test]
    fn across_files_with_and_without_the_definition() {
        let stock = "led pearl drops 3.0 V at 20 mA\n";
        let files: BTreeMap<String, Arc<str>> = [("stock.harness".into(), stock.into())].into();
        let text = "use \"stock.harness\"\nsupply cell 12 V\nlamp a of pearl from cell\nlamp b of pearl from cell\n";
        let a = Analysis::of(FileKey::new("plan"), text.into(), &files, &|| false);
        let at = |file: usize, words: &str, skip: usize| {
            let text = &a.plan.files[file].text;
            let start = (text.find(words).unwrap() + skip) as u32;
            (FileId(file), Span::new(start, start + 5))
        };
        let uses = [at(0, "a of pearl", 5), at(0, "b of pearl", 5)];
        let all = [uses[0], uses[1], at(1, "pearl", 0)];
        for (file, span) in all {
            let from = span.start as usize + 2;
            assert_eq!(references(&a, file, from, false), uses);
            assert_eq!(references(&a, file, from, true), all);
        }
        assert_eq!(references(&a, FileId(0), 0, true), []);
    }
}
