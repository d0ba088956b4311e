//! A name and its uses that change together while one of them is typed over.

use super::mentions::{Mentions, Thing};
use super::references::in_order;
use crate::checks::Analysis;
use crate::plan::FileId;
use crate::text::Span;

/// What an editor takes as a name while it is typed: all that does not end one.
pub const NAME_PATTERN: &str = "[^\\s.,\"#]+";

/// The places of the file that are to change together with the name at this byte; empty where one place alone, or
/// another file too, would have to change: that is for a rename.
pub fn linked(a: &Analysis, file: FileId, offset: usize) -> Vec<Span> {
    let plan = &a.plan;
    let mentions = Mentions::new(plan);
    let here = mentions.at(file, offset);
    let [one] = &here[..] else {
        return Vec::new();
    };
    let is_plain = match &one.thing {
        Thing::Stanza(id) => {
            let name = plan.stanza(*id).name();
            name.is_some_and(|(name, _)| !name.0.contains('.'))
        }
        _ => false,
    };
    if !is_plain {
        return Vec::new();
    }
    let places = in_order(plan, mentions.of(&one.thing, None));
    let text = &plan.files[file.0].text;
    let mut written = places.iter().map(|(_, span, _)| span.of(text));
    let first = written.next();
    let alike = written.all(|other| Some(other) == first);
    if places.len() < 2 || !alike || places.iter().any(|(other, _, _)| *other != file) {
        return Vec::new();
    }
    places.into_iter().map(|(_, span, _)| span).collect()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::sync::Arc;

    use super::*;
    use crate::plan::FileKey;

    /// The words that change together with those at `$0`.
    fn together(text: &str) -> Vec<String> {
        let stock = "led pearl drops 3.0 V at 20 mA\n";
        let files: BTreeMap<String, Arc<str>> = [("stock.harness".into(), stock.into())].into();
        let offset = text.find("$0").unwrap();
        let text = text.replace("$0", "");
        let a = Analysis::of(FileKey::new("plan"), text.as_str().into(), &files, &|| {
            false
        });
        let spans = linked(&a, FileId(0), offset).into_iter();
        spans.map(|span| text[span.range()].to_owned()).collect()
    }

    #[test]
    fn a_name_and_its_uses() {
        let plan =
            "supply cell 12 V\njoint ke$0el from cell\njoint b from keel\nscene x off keel\n";
        assert_eq!(together(plan), ["keel", "keel", "keel"]);
        let copy = "pattern p\nload p.fan draws 1 mA from p\ncopy port of p from cell\nscene x off po$0rt.fan\n";
        assert_eq!(together(copy), ["port", "port"]);
    }

    #[test]
    fn not_what_a_rename_is_for() {
        for text in [
            // Defined in another file.
            "use \"stock.harness\"\nlamp a of pea$0rl from x\n",
            // Used nowhere.
            "zone de$0ck\n",
            // A piece, an output, a check.
            "pattern p\nload p.fa$0n draws 1 mA from p\ncopy c of p from x\nscene s off c.fan\n",
            "module m draws 1 mA output a$0 9 mA output b 9 mA turns a, b\n",
            "zone d accept zone-$0dark because \"x\"\nzone e accept zone-dark because \"x\"\n",
            // Two ways to write the same letter.
            "zone \u{f6}$0l\nzone b as bright as o\u{308}l\n",
        ] {
            assert_eq!(together(text), [""; 0], "{text}");
        }
    }
}
