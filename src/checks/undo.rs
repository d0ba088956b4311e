//! Taking back one of several changes of a plan that came after each other: where what it put in stands by now, and what was
//! there before.

use crate::plan::{Edit, FileId, FileKey, Plan};
use crate::text::Span;

/// All changes so far, in the order in which they were made; those of one entry were made at once.
#[derive(Default)]
pub(super) struct History(Vec<Vec<Change>>);

/// Other words for a place in a file.
struct Change {
    file: FileKey,
    /// In the text before.
    span: Span,
    /// How long the new words are.
    len: usize,
}

/// What some edits did, to be taken back.
pub(super) struct Applied {
    /// The entry of the history that they are part of.
    entry: usize,
    /// Which of its changes, and what was there before.
    changes: Vec<(usize, String)>,
}

impl History {
    /// All these are put into a plan at once; how each is taken back.
    pub fn add<'a>(&mut self, plan: &Plan, all: impl Iterator<Item = &'a [Edit]>) -> Vec<Applied> {
        let (entry, mut made) = (self.0.len(), Vec::new());
        let mut applied = Vec::new();
        for edits in all {
            let mut changes = Vec::new();
            for edit in edits {
                let span = plan.in_file(edit.stanza, edit.span);
                let file = &plan.files[edit.stanza.file.0];
                let before = span.of(&file.text).unwrap_or_default();
                changes.push((made.len(), before.to_owned()));
                made.push(Change {
                    file: file.key.clone(),
                    span,
                    len: edit.text.len(),
                });
            }
            applied.push(Applied { entry, changes });
        }
        self.0.push(made);
        applied
    }

    /// The edits that take something back in the plan as it is by now; `None` where something else has changed its words since.
    pub fn undone(&self, plan: &Plan, applied: &Applied) -> Option<Vec<Edit>> {
        let (own, later) = self.0.get(applied.entry..)?.split_first()?;
        let edits = applied.changes.iter().map(|(which, before)| {
            let change = own.get(*which)?;
            let others = own.iter().enumerate().filter(|(other, _)| other != which);
            let start = carried(change.span, others.map(|(_, c)| c), &change.file)?.start;
            let mut at = Span::between(start as usize, start as usize + change.len);
            for batch in later {
                at = carried(at, batch.iter(), &change.file)?;
            }
            let file = plan.files.iter().position(|f| f.key == change.file)?;
            let stanza = plan.stanza_at(FileId(file), at.start)?;
            let first = plan.in_file(stanza, Span::default()).start;
            Some(Edit {
                stanza,
                span: Span::new(at.start - first, at.end - first),
                text: before.clone(),
            })
        });
        edits.collect()
    }
}

/// Where a place is once other places have changed; `None` where one of them is part of it.
fn carried<'a>(
    at: Span,
    changes: impl Iterator<Item = &'a Change>,
    file: &FileKey,
) -> Option<Span> {
    let (mut more, mut less) = (0, 0);
    for change in changes.filter(|change| change.file == *file) {
        let is_same_place = at.is_empty() && change.span == at;
        if change.span.end <= at.start && !is_same_place {
            more += change.len;
            less += change.span.range().len();
        } else if change.span.start < at.end || is_same_place {
            return None;
        }
    }
    let moved = |offset: u32| (offset as usize + more).checked_sub(less);
    Some(Span::between(moved(at.start)?, moved(at.end)?))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::testing::plan;
    use super::*;
    use crate::plan::StanzaId;
    use crate::rewrites::changed_texts;

    fn edit(index: usize, (start, end): (u32, u32), text: &str) -> Edit {
        Edit {
            stanza: StanzaId {
                file: FileId(0),
                index,
            },
            span: Span::new(start, end),
            text: text.into(),
        }
    }

    /// Makes the changes one after the other, each entry at once, and takes back the first edits of all.
    fn first_undone(text: &str, entries: &[&[&[Edit]]]) -> Option<String> {
        let (mut history, mut first) = (History::default(), None);
        let mut text = text.to_owned();
        for entry in entries {
            let now = plan(&text);
            let applied = history.add(&now.plan, entry.iter().copied());
            first = first.or(applied.into_iter().next());
            let changed = changed_texts(&now.plan, &entry.concat()).unwrap();
            text = changed[&FileId(0)].clone();
        }
        let now = plan(&text);
        let edits = history.undone(&now.plan, &first.unwrap())?;
        Some(changed_texts(&now.plan, &edits).unwrap()[&FileId(0)].clone())
    }

    #[test]
    fn what_came_after_stays() {
        let text = "zone a\nzone bow\nzone c\n";
        let first = [edit(1, (5, 8), "stern"), edit(1, (0, 0), "# far\n")];
        let beside = [edit(0, (5, 6), "ahead")];
        let ahead = [edit(0, (0, 0), "zone d\n")];
        let behind = [edit(2, (0, 7), "")];
        let undone = first_undone(text, &[&[&first, &beside], &[&ahead, &behind]]);
        assert_eq!(undone.unwrap(), "zone d\nzone ahead\nzone bow\n");
    }

    #[test]
    fn what_was_changed_again_is_not_taken_back() {
        let text = "zone a\nzone bow\n";
        let first = [edit(1, (5, 8), "stern")];
        let again = [edit(1, (6, 7), "x")];
        assert_eq!(first_undone(text, &[&[&first], &[&again]]), None);
        let two = [edit(0, (0, 0), "# x\n")];
        let same = [edit(0, (0, 0), "# y\n")];
        assert_eq!(first_undone(text, &[&[&two, &same]]), None);
    }
}
