//! What else in the file is the same thing as the word under the cursor.

use super::references::{in_order, mentioned_with};
use crate::checks::Analysis;
use crate::plan::FileId;
use crate::text::Span;

/// The places of this file that mention what stands at this byte, and whether each defines it.
pub fn highlights(a: &Analysis, file: FileId, offset: usize) -> Vec<(Span, bool)> {
    let found = mentioned_with(&a.plan, file, offset, Some(file));
    in_order(&a.plan, found)
        .into_iter()
        .map(|(_, span, defines)| (span, defines))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};

    #[test]
    fn the_defining_word_is_told_from_the_uses() {
        let text = "supply cell 12 V\njoint keel from cell\nload fan draws 20 mA from keel\n";
        let a = Analysis::of(FileKey::new("plan"), text.into(), &Alone, &|| false);
        let marks: Vec<_> = highlights(&a, FileId(0), text.find("keel from").unwrap())
            .into_iter()
            .map(|(span, defines)| (&text[span.start as usize..], defines))
            .collect();
        assert_eq!(
            marks,
            [
                ("keel from cell\nload fan draws 20 mA from keel\n", true),
                ("keel\n", false)
            ]
        );
        assert_eq!(highlights(&a, FileId(0), text.len()), []);
    }
}
