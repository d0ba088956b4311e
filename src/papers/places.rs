//! Where words stand in the files of a plan, as a reader counts: lines and columns from 1, columns in characters.

use crate::checks::Analysis;
use crate::plan::{Plan, StanzaId};
use crate::text::{Encoding, Lines, Span};

/// The files of a plan, ready to be asked where something stands.
pub struct Places<'a> {
    plan: &'a Plan,
    files: Vec<(Lines, String)>,
}

/// Where words stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place<'a> {
    /// The name under which the file is printed.
    pub file: &'a str,
    /// Line and column of the first character.
    pub start: (u32, u32),
    /// Line and column behind the last.
    pub end: (u32, u32),
}

impl<'a> Places<'a> {
    /// The files of a plan; `spelt` gives the name under which each is printed.
    pub fn of(a: &'a Analysis, spelt: &dyn Fn(usize) -> String) -> Places<'a> {
        let files = a.plan.files.iter().enumerate();
        Places {
            plan: &a.plan,
            files: files
                .map(|(index, file)| (Lines::new(&file.text), spelt(index)))
                .collect(),
        }
    }

    /// Where words of a stanza stand.
    pub fn find(&self, stanza: StanzaId, words: Span) -> Option<Place<'_>> {
        let (lines, file) = self.files.get(stanza.file.0)?;
        let (start, end) = lines.positions(self.plan.in_file(stanza, words), Encoding::Utf32);
        Some(Place {
            file,
            start: (start.line + 1, start.column + 1),
            end: (end.line + 1, end.column + 1),
        })
    }
}
