//! The paths of `use` stanzas as links to the files that they bring in.

use super::definition::used_file;
use crate::checks::Analysis;
use crate::plan::{FileId, StanzaId};
use crate::text::Span;

/// The paths of a file, without their quotes, and the file that each leads to. A `use` that failed is no link.
pub fn links(a: &Analysis, file: FileId) -> Vec<(Span, FileId)> {
    let count = a.plan.files.get(file.0).map_or(0, |f| f.tree.stanzas.len());
    (0..count)
        .filter_map(|index| {
            let (used, path) = used_file(&a.plan, StanzaId { file, index })?;
            let inside = Span::new(path.start + 1, path.end.saturating_sub(1));
            Some((inside, used))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::sync::Arc;

    use super::*;
    use crate::plan::FileKey;

    #[test]
    fn each_path_that_leads_somewhere() {
        let files: BTreeMap<String, Arc<str>> = [
            ("stock.harness".into(), "zone a\n".into()),
            ("hull.harness".into(), "use \"stock.harness\"\n".into()),
        ]
        .into();
        let text = "use \"hull.harness\"\nuse \"missing.harness\"\nuse \"stock.harness\" # twice\nuse \"\nuse\n";
        let a = Analysis::of(FileKey::new("plan"), text.into(), &files, &|| false);
        let shown: Vec<_> = links(&a, FileId(0))
            .into_iter()
            .map(|(span, file)| (&text[span.range()], &*a.plan.files[file.0].key.0))
            .collect();
        assert_eq!(
            shown,
            [
                ("hull.harness", "hull.harness"),
                ("stock.harness", "stock.harness")
            ]
        );
        assert_eq!(links(&a, FileId(1)).len(), 1);
    }
}
