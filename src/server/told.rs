//! Findings as the protocol has them, written out once and kept as text: in a large plan most of what is said stays the
//! same from one keystroke to the next, but for the lines that it stands on.

use std::collections::HashMap;
use std::hash::BuildHasher;
use std::sync::Arc;

use foldhash::quality::FixedState;
use tower_lsp::lsp_types::Diagnostic;

use super::convert;
use super::session::World;
use crate::parts::{Parts, Said};
use crate::plan::{FileId, FileKey, Severity, StanzaId};
use crate::text::Lines;

/// More findings than anybody reads; a file of junk must not flood the editor.
const MOST: usize = 1000;

/// Of what is to be said, what is: all in order, or of too much the worst.
pub fn worth_saying<T>(all: &mut Vec<T>, severity: impl Fn(&T) -> Severity) {
    let mut left = MOST;
    if all.len() <= left {
        return;
    }
    let mut room = HashMap::new();
    for level in [Severity::Error, Severity::Warning, Severity::Hint] {
        let count = all.iter().filter(|one| severity(one) == level).count();
        room.insert(level, count.min(left));
        left -= count.min(left);
    }
    all.retain(|one| match room.get_mut(&severity(one)) {
        Some(room) if *room > 0 => {
            *room -= 1;
            true
        }
        _ => false,
    });
}

/// Diagnostics as JSON, one behind the other.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Written {
    /// Commas between them.
    text: String,
    /// Where each ends, and how bad it is.
    ends: Vec<(usize, Severity)>,
}

impl Written {
    /// How many there are.
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// All of it as JSON, one behind the other.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// As a JSON array.
    pub fn array(&self) -> String {
        ["[", &self.text, "]"].concat()
    }

    /// As the protocol's values.
    pub fn diagnostics(&self) -> Vec<Diagnostic> {
        serde_json::from_slice(self.array().as_bytes()).unwrap_or_default()
    }

    /// What they are known by: the same for the same text.
    pub fn id(&self) -> String {
        format!("{:016x}", FixedState::default().hash_one(&self.text))
    }

    /// Each, and how bad it is.
    pub fn each(&self) -> impl Iterator<Item = (&str, Severity)> {
        let starts = std::iter::once(0).chain(self.ends.iter().map(|(end, _)| end + 1));
        let each = starts.zip(&self.ends);
        each.filter_map(|(start, (end, severity))| Some((self.text.get(start..*end)?, *severity)))
    }

    /// One more.
    pub fn push(&mut self, severity: Severity, write: impl FnOnce(&mut String)) {
        if !self.ends.is_empty() {
            self.text.push(',');
        }
        write(&mut self.text);
        self.ends.push((self.text.len(), severity));
    }
}

/// A diagnostic without the numbers of its lines.
#[derive(Debug)]
struct Form {
    text: String,
    /// Where a line's number goes, the stanza that it counts from, and how many lines behind that one's first it is.
    lines: Vec<(usize, StanzaId, u32)>,
}

/// What was written of a plan before.
#[derive(Debug, Default)]
pub struct Forms {
    forms: HashMap<u64, Form>,
    /// How long the last text was: the next will be about as long.
    length: usize,
}

impl Forms {
    /// The diagnostics of a plan that is kept in parts, whose files are these: of its own, and of each other that has some.
    pub fn write(
        &mut self,
        world: &World,
        files: &[(FileKey, Lines)],
        parts: &Parts,
    ) -> Vec<(FileId, Arc<Written>)> {
        if self.forms.len() > 2 * MOST {
            self.forms.clear();
        }
        let mut all = parts.findings();
        // They come file by file.
        let own = all.partition_point(|said| said.file() == FileId(0));
        let mut others = all.split_off(own);
        let mut told = vec![(FileId(0), self.write_file(world, files, all))];
        while let Some(file) = others.first().map(Said::file) {
            let next = others.partition_point(|said| said.file() == file);
            let more = others.split_off(next);
            told.push((file, self.write_file(world, files, others)));
            others = more;
        }
        told
    }

    fn write_file(
        &mut self,
        world: &World,
        files: &[(FileKey, Lines)],
        mut all: Vec<Said>,
    ) -> Arc<Written> {
        worth_saying(&mut all, |said| said.finding.severity);
        let mut written = Written {
            text: String::with_capacity(self.length),
            ends: Vec::with_capacity(all.len()),
        };
        for said in &all {
            let form = self.forms.entry(said.id());
            let form = form.or_insert_with(|| Form::of(world, files, said));
            written.push(said.finding.severity, |text| form.write(said, text));
        }
        self.length = written.text.len().max(self.length / 2);
        Arc::new(written)
    }
}

/// What stands before each line's number; in a text the quotes would be escaped.
const LINE: &str = "\"line\":";

impl Form {
    fn of(world: &World, files: &[(FileKey, Lines)], said: &Said) -> Form {
        let diagnostic = convert::said(world, files, said);
        let whole = serde_json::to_string(&diagnostic).unwrap_or_default();
        let related = said.finding.related.iter().map(|(stanza, ..)| *stanza);
        // Both ends of the finding, then of each place that explains it.
        let mut stanzas = std::iter::once(said.finding.stanza)
            .chain(related)
            .flat_map(|stanza| [stanza, stanza]);
        let mut form = Form {
            text: String::with_capacity(whole.len()),
            lines: Vec::new(),
        };
        let mut rest = &whole[..];
        while let Some(at) = rest.find(LINE) {
            let (ahead, behind) = rest.split_at(at + LINE.len());
            form.text.push_str(ahead);
            let digits = behind.bytes().take_while(u8::is_ascii_digit).count();
            let (number, behind) = behind.split_at(digits);
            if let (Ok(number), Some(stanza)) = (number.parse(), stanzas.next()) {
                let within = u32::saturating_sub(number, said.line_of(stanza));
                form.lines.push((form.text.len(), stanza, within));
            }
            rest = behind;
        }
        form.text.push_str(rest);
        form
    }

    fn write(&self, said: &Said, text: &mut String) {
        let mut from = 0;
        let mut digits = itoa::Buffer::new();
        for (at, stanza, within) in &self.lines {
            text.push_str(self.text.get(from..*at).unwrap_or_default());
            let line = said.line_of(*stanza) + within;
            text.push_str(digits.format(line));
            from = *at;
        }
        text.push_str(self.text.get(from..).unwrap_or_default());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_too_much_the_worst_is_said_in_order() {
        let severity = |n: &usize| match n % 3 {
            0 => Severity::Hint,
            1 => Severity::Error,
            _ => Severity::Warning,
        };
        let mut few: Vec<usize> = (0..MOST).collect();
        worth_saying(&mut few, severity);
        assert_eq!(few.len(), MOST);
        let mut many: Vec<usize> = (0..MOST * 2).collect();
        worth_saying(&mut many, severity);
        assert_eq!(many.len(), MOST);
        assert!(many.is_sorted());
        let errors = many
            .iter()
            .filter(|n| severity(n) == Severity::Error)
            .count();
        let all = (0..MOST * 2).filter(|n| severity(n) == Severity::Error);
        assert_eq!(errors, all.count());
        assert!(many.iter().all(|n| severity(n) != Severity::Hint));
    }

    #[test]
    fn what_is_written_comes_apart_again() {
        let mut written = Written::default();
        assert_eq!(written.array(), "[]");
        written.push(Severity::Hint, |text| text.push_str("{}"));
        written.push(Severity::Error, |text| text.push_str("{\"a\":1}"));
        assert_eq!(written.array(), "[{},{\"a\":1}]");
        let each: Vec<_> = written.each().collect();
        assert_eq!(
            each,
            [("{}", Severity::Hint), ("{\"a\":1}", Severity::Error)]
        );
    }
}
