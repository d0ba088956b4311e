//! All mends of a large plan at once: each part that nothing ties to the others is mended alone, and what is left in the whole.
//! To try a mend is to solve what it changes: a part, where the whole would be solved for each of them.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::in_parts::asks_for_a_feed;
use super::plans::Here;
use crate::checks::fix_all::{FixAll, Said, said};
use crate::editor::actions::Action;
use crate::editor::fix_all::as_action;
use crate::editor::rows::line_edits;
use crate::parts::{Stop, View};
use crate::plan::{Edit, FileId, FileKey, StanzaId};
use crate::text::{Span, TextEdit, apply};

/// What was mended in the parts.
#[derive(Default)]
struct Mended {
    titles: Vec<String>,
    edits: BTreeMap<FileId, Vec<TextEdit>>,
    /// What they say still, and has no mend in them.
    left: Said,
    /// Whether there was more to try in one of them.
    is_cut_short: bool,
}

/// What mending all comes to: an action, or none where nothing can be mended. `None` where the whole has to say so.
pub fn fix_all(here: &Here, stop: Stop) -> Option<Option<Action>> {
    if !here.plan.is_in_parts() {
        return None;
    }
    let each = here.plan.each_part_to_change(stop, |view| {
        let mut one = Mended::default();
        one.add(&view, stop);
        one
    });
    let mut mended = each?.into_iter().fold(Mended::default(), Mended::and);
    let a = &here.plan.analysis;
    let mut texts: BTreeMap<FileKey, Arc<str>> = BTreeMap::new();
    for (file, edits) in &mended.edits {
        let file = a.plan.files.get(file.0)?;
        let text = apply(&file.text, edits).ok()?;
        texts.insert(file.key.clone(), text.into());
    }
    let together = a.with_files(texts, &a.plan.meant.led_to, stop)?;
    if stop() || !a.is_no_worse(&together) {
        return None;
    }
    let rest = together.fix_all_but(&mended.left, stop);
    mended.titles.extend(rest.mended);
    let done = FixAll {
        mended: mended.titles,
        after: rest.after,
        is_cut_short: mended.is_cut_short || rest.is_cut_short,
    };
    (!stop()).then(|| as_action(a, &done))
}

impl Mended {
    fn and(mut self, other: Mended) -> Mended {
        self.titles.extend(other.titles);
        for (file, edits) in other.edits {
            self.edits.entry(file).or_default().extend(edits);
        }
        self.left.extend(other.left);
        self.is_cut_short |= other.is_cut_short;
        self
    }

    /// Mends one part. Nothing, where that would change more than the part; the whole is asked about it then.
    fn add(&mut self, view: &View, stop: Stop) -> Option<()> {
        let a = &*view.analysis;
        let mut files = (0..a.plan.files.len()).map(FileId);
        if files.any(|file| asks_for_a_feed(view, file, Span::new(0, u32::MAX))) {
            return None;
        }
        // What is common to all is the business of the whole.
        let common = a.findings.iter().filter(|finding| {
            let place = Edit {
                stanza: finding.stanza,
                span: Span::default(),
                text: String::new(),
            };
            view.placed(&place).is_none()
        });
        let common: Said = common.map(said).collect();
        let done = a.fix_all_but(&common, stop);
        let mut edits = Vec::new();
        for (key, text) in a.changed_files(&done.after) {
            let file = FileId(a.plan.files.iter().position(|file| file.key == key)?);
            let old = &a.plan.files[file.0].text;
            for (span, new) in line_edits(old, text) {
                for edit in by_stanza(view, file, span, new)? {
                    let span = view.placed(&edit)?;
                    let text = edit.text;
                    edits.push((file, TextEdit { span, text }));
                }
            }
        }
        for (file, edit) in edits {
            self.edits.entry(file).or_default().push(edit);
        }
        let left = done.after.findings.iter().map(said);
        self.left.extend(left.filter(|said| !common.contains(said)));
        self.titles.extend(done.mended);
        self.is_cut_short |= done.is_cut_short;
        Some(())
    }
}

/// An edit of a part's text by the stanzas that it touches, which may stand apart in the plan. What is put in between two goes
/// to the one above, if that is of the part.
fn by_stanza(view: &View, file: FileId, span: Span, new: String) -> Option<Vec<Edit>> {
    let stanzas = &view.analysis.plan.files.get(file.0)?.tree.stanzas;
    let first = stanzas.partition_point(|placed| placed.start <= span.start);
    let mut index = first.checked_sub(1)?;
    let own = |index: usize, span: Span, text: String| {
        let stanza = StanzaId { file, index };
        let edit = Edit { stanza, span, text };
        view.placed(&edit).is_some().then_some(edit)
    };
    if span.is_empty() && index > 0 && stanzas[index].start == span.start {
        let end = Span::between(0, stanzas[index - 1].stanza.text.len()).end;
        if let Some(edit) = own(index - 1, Span::new(end, end), new.clone()) {
            return Some(vec![edit]);
        }
    }
    let (mut edits, mut new, mut from) = (Vec::new(), Some(new), span.start);
    loop {
        let placed = stanzas.get(index)?;
        let end = Span::between(0, placed.stanza.text.len()).end + placed.start;
        let to = span.end.min(end);
        let within = Span::new(from - placed.start, to - placed.start);
        if new.is_some() || !within.is_empty() {
            edits.push(own(index, within, new.take().unwrap_or_default())?);
        }
        if to == span.end {
            return Some(edits);
        }
        (from, index) = (to, index + 1);
    }
}

#[cfg(test)]
mod tests {
    use tower_lsp::lsp_types::Url;

    use super::super::session::Session;
    use super::*;
    use crate::editor::fix_all;

    /// A street of houses.
    fn street(houses: usize) -> String {
        let mut text = include_str!("../parts/street.head.harness").to_owned();
        for k in 1..=houses {
            text += &include_str!("../parts/street.unit.harness").replace("{k}", &k.to_string());
        }
        text
    }

    /// What mending a plan comes to, from its parts and from the whole; whether the parts could say.
    fn mended(files: &[(&str, &str)]) -> (Option<Option<Action>>, Option<Action>) {
        let session = Session::default();
        let uri =
            |name: &str| Url::parse(&format!("file:///no-such-folder/{name}.harness")).unwrap();
        for (name, text) in files {
            session.open(uri(name), text, 1).unwrap();
        }
        let here = session
            .snapshot()
            .here(&uri(files[0].0), &|| false)
            .unwrap();
        assert!(here.plan.is_in_parts(), "{files:?}");
        let whole = fix_all::fix_all(&here.plan.analysis, &|| false);
        (super::fix_all(&here, &|| false), whole)
    }

    /// Slips that a street may have, as (words, others in their place).
    const SLIPS: [(&str, &str); 9] = [
        ("bay-1 of warm 6 lamps", "bay-1 of warm 7 lamps"),
        ("sign-2 of ruby resistor 560 ohm", "sign-2 of ruby"),
        (
            "sign-3 of ruby resistor 560 ohm",
            "sign-3 of ruby resistor 56 ohm",
        ),
        ("fuse F4 400 mA", "fuse F4 4 A"),
        ("from blink-5.a", "from blnk-5.a"),
        ("adapter-6 12 V 1 A", "adapter-6 12 V 60 mA"),
        (
            "mast-7 of pearl resistor 560 ohm",
            "mast-7 of pearl resistor 557 ohm",
        ),
        ("keel-8 over 190 mm", "keel-8 over 190 m"),
        ("zone loft-9 inside 160 cm2", "zone loft-9 inside 160 cm"),
    ];

    fn with(text: &str, slips: &[(&str, &str)]) -> String {
        slips.iter().fold(text.to_owned(), |text, (words, others)| {
            assert_eq!(text.matches(words).count(), 1, "{words}");
            text.replace(words, others)
        })
    }

    #[test]
    fn the_parts_are_mended_as_the_whole_is() {
        let plain = street(10);
        let mut said = 0;
        for (k, slip) in SLIPS.iter().enumerate() {
            let text = with(&plain, &[*slip, SLIPS[(k + 1) % SLIPS.len()]]);
            let (parts, whole) = mended(&[("street", &text)]);
            if let Some(parts) = parts {
                assert_eq!(parts, whole, "{slip:?}");
                said += 1;
            }
        }
        assert!(said >= 7, "{said}");
        let (parts, whole) = mended(&[("street", &with(&plain, &SLIPS))]);
        let (parts, whole) = (parts.unwrap().unwrap(), whole.unwrap());
        assert_eq!(parts.title, whole.title);
        assert_eq!(parts.edits, whole.edits);
    }

    #[test]
    fn what_is_common_is_mended_in_the_whole() {
        // Stock that nothing uses, and a slip in a house.
        let text = with(&street(4), &SLIPS[..2])
            + "led spare drops 3.0 V at 20 mA limit 25 mA colour white\n";
        let (parts, whole) = mended(&[("street", &text)]);
        assert_eq!(parts, Some(whole));
    }

    #[test]
    fn parts_in_several_files_are_mended() {
        let text = with(&street(6), &SLIPS[..5]);
        let (houses, more) = (
            text.find("# house 1").unwrap(),
            text.find("# house 4").unwrap(),
        );
        let own = format!(
            "use \"stock.harness\"\n{}use \"houses.harness\"\n",
            &text[houses..more]
        );
        let files = [
            ("plan", own.as_str()),
            ("stock", &text[..houses]),
            ("houses", &text[more..]),
        ];
        let (parts, whole) = mended(&files);
        let (parts, whole) = (parts.unwrap().unwrap(), whole.unwrap());
        assert_eq!((parts.title, parts.edits), (whole.title, whole.edits));
    }

    #[test]
    fn where_there_is_nothing_to_mend_nothing_is_offered() {
        let text = street(4);
        let (parts, whole) = mended(&[("street", &text)]);
        assert_eq!(parts.as_ref(), Some(&whole));
        let edits = whole.unwrap().edits.into_iter();
        let edits: Vec<TextEdit> = edits
            .map(|(_, span, text)| TextEdit { span, text })
            .collect();
        let text = apply(&text, &edits).unwrap();
        assert_eq!(mended(&[("street", &text)]), (Some(None), None));
    }
}
