//! Findings for a terminal, each with the source lines that it stands on.

use std::fmt::Write;
use std::ops::Range;

use ariadne::{Color, Config, IndexType, Label, Report, ReportKind, Source};

use super::json::{FindingOfFile, severity_word};
use crate::checks::Analysis;
use crate::numbers::count;
use crate::plan::{Severity, StanzaId};
use crate::text::Span;

/// How many findings of each severity there are.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Errors.
    pub errors: usize,
    /// Warnings.
    pub warnings: usize,
    /// Hints.
    pub hints: usize,
}

impl Tally {
    /// Counts findings.
    pub fn of(findings: &[FindingOfFile]) -> Tally {
        let count = |severity| {
            let word = severity_word(severity);
            findings.iter().filter(|f| f.severity == word).count()
        };
        Tally {
            errors: count(Severity::Error),
            warnings: count(Severity::Warning),
            hints: count(Severity::Hint),
        }
    }

    /// The line at the end: `1 error, 2 hints in 3 files`.
    pub fn line(&self, files: usize) -> String {
        let parts: Vec<String> = [
            (self.errors, "error"),
            (self.warnings, "warning"),
            (self.hints, "hint"),
        ]
        .into_iter()
        .filter(|(n, _)| *n > 0)
        .map(|(n, what)| count(n, what))
        .collect();
        let files = count(files, "file");
        if parts.is_empty() {
            format!("{files}: nothing found")
        } else {
            format!("{files}: {}", parts.join(", "))
        }
    }
}

/// A text as it may be shown on a terminal: signs that would steer it stand as `?`. Every sign keeps its
/// length in bytes, so that places in the text stay where they are, and only LF and CR end a line.
pub fn shown(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\n' | '\r' | '\t' => c,
            '\u{2028}' | '\u{2029}' => '\u{fffd}',
            // What turns the words behind it (Unicode, annex 9: embeddings, overrides, isolates).
            '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => '\u{fffd}',
            c if c.is_control() && c.len_utf8() == 1 => '?',
            c if c.is_control() => '¿',
            c => c,
        })
        .collect()
}

/// The files of a plan, ready to be quoted under the names that are printed.
pub struct Quoted(Vec<(String, Source<String>)>);

impl Quoted {
    /// The files of a plan; `spelt` gives the name under which each is printed.
    pub fn of(a: &Analysis, spelt: &dyn Fn(usize) -> String) -> Quoted {
        let files = a.plan.files.iter().enumerate();
        Quoted(
            files
                .map(|(index, f)| (shown(&spelt(index)), Source::from(shown(&f.text))))
                .collect(),
        )
    }
}

impl Quoted {
    /// Whether the lines that a stretch of a file begins and ends in are short enough to be shown.
    fn can_show(&self, (file, span): &(usize, Range<usize>)) -> bool {
        let is_short = |at: usize| {
            let (_, source) = self.0.get(*file)?;
            let (line, ..) = source.get_byte_line(at)?;
            Some(source.get_line_text(line)?.len() <= LONGEST_LINE)
        };
        [span.start, span.end]
            .into_iter()
            .all(|at| is_short(at).unwrap_or(true))
    }

    /// A place as `name:line:column`, as the quotations have it.
    fn named(&self, (file, span): &(usize, Range<usize>)) -> Option<String> {
        let (name, source) = self.0.get(*file)?;
        let (line, nth, bytes) = source.get_byte_line(span.start)?;
        let before = source.get_line_text(line)?.get(..bytes)?;
        Some(format!("{name}:{}:{}", nth + 1, before.chars().count() + 1))
    }
}

impl ariadne::Cache<usize> for &Quoted {
    type Storage = String;

    fn fetch(&mut self, file: &usize) -> Result<&Source<String>, impl std::fmt::Debug> {
        self.0
            .get(*file)
            .map(|(_, source)| source)
            .ok_or("no such file")
    }

    fn display<'a>(&self, file: &'a usize) -> Option<impl std::fmt::Display + 'a> {
        self.0.get(*file).map(|(name, _)| name.clone())
    }
}

/// So many places that explain a finding are quoted.
const MOST_RELATED: usize = 6;

/// So many findings of a plan are shown with their lines: of more nobody looks at each.
const MOST_QUOTED: usize = 1000;

/// A line of more bytes is not quoted: nobody finds a place in it, and every finding would show all of it.
const LONGEST_LINE: usize = 1000;

/// One finding: its message, the lines that it stands on, the places that explain it, its mends.
pub fn finding(
    a: &Analysis,
    index: usize,
    mends: &[String],
    files: &Quoted,
    colour: bool,
) -> String {
    let Some(finding) = a.findings.get(index) else {
        return String::new();
    };
    let word = severity_word(finding.severity);
    let paint = match finding.severity {
        Severity::Error => Color::Red,
        Severity::Warning => Color::Yellow,
        Severity::Hint => Color::Cyan,
    };
    let place = |stanza: StanzaId, span: Span| {
        let span = a.plan.in_file(stanza, span);
        (stanza.file.0, span.range())
    };
    let own = place(finding.stanza, finding.span);
    if index >= MOST_QUOTED {
        let at = files.named(&own).unwrap_or_default();
        let message = shown(&finding.message);
        return format!("{word}: {message}\n  {} at {at}\n", finding.check);
    }
    let config = Config::default()
        .with_color(colour)
        .with_index_type(IndexType::Byte)
        .with_compact(true);
    // In the order of the file, the finding's own first, so that the report quotes its lines in one go.
    let related = finding.related.iter().take(MOST_RELATED);
    let mut labels: Vec<_> = related
        .map(|(stanza, span, why)| (place(*stanza, *span), shown(why), Color::Blue))
        .filter(|(at, ..)| files.can_show(at))
        .collect();
    let more = finding.related.len() - labels.len();
    let mut named = None;
    match files.can_show(&own) {
        true => labels.push((own.clone(), finding.check.to_owned(), paint)),
        false => named = files.named(&own),
    }
    labels.sort_by_key(|((file, at), ..)| (*file != own.0, *file, at.end, at.start));
    let labels = labels
        .into_iter()
        .map(|(at, why, colour)| Label::new(at).with_message(why).with_color(colour));
    let report = Report::build(ReportKind::Custom(word, paint), own)
        .with_config(config)
        .with_message(shown(&finding.message))
        .with_labels(labels);
    let mut bytes = Vec::new();
    // Writing to memory does not fail; a report that cannot be drawn is still said in words.
    if report.finish().write(files, &mut bytes).is_err() {
        bytes = format!("{word}: {}\n", shown(&finding.message)).into_bytes();
    }
    let mut text = String::from_utf8_lossy(&bytes).into_owned();
    if let Some(named) = named {
        let _ = writeln!(
            text,
            "  {} at {named}: the line is too long to be shown",
            finding.check
        );
    }
    if more > 0 {
        let _ = writeln!(text, "  and {}", count(more, "more place"));
    }
    if !colour {
        text = uncoloured(&text);
    }
    for mend in mends {
        let _ = writeln!(text, "  mend: {}", shown(mend));
    }
    text
}

/// A report without its colours: the library paints the first word of every report. No other text in it has
/// an escape sign, see [`shown`].
fn uncoloured(report: &str) -> String {
    let mut parts = report.split('\u{1b}');
    let first = parts.next().unwrap_or("").to_string();
    parts.fold(first, |text, part| {
        text + part.split_once('m').map_or(part, |(_, rest)| rest)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_in_a_text_steers_the_terminal() {
        let text = "a\u{1b}[2Jb\u{85}c\u{2028}d\r\n\te\u{0b}\u{202e}f\u{2066}";
        let shown = shown(text);
        assert_eq!(shown.len(), text.len());
        assert_eq!(shown, "a?[2Jb¿c\u{fffd}d\r\n\te?\u{fffd}f\u{fffd}");
    }

    #[test]
    fn colours_are_taken_out() {
        assert_eq!(uncoloured("\u{1b}[31merror:\u{1b}[0m mm"), "error: mm");
        assert_eq!(uncoloured("plain"), "plain");
    }

    #[test]
    fn the_last_line_counts() {
        assert_eq!(Tally::default().line(1), "1 file: nothing found");
        let tally = Tally {
            errors: 1,
            warnings: 0,
            hints: 2,
        };
        assert_eq!(tally.line(3), "3 files: 1 error, 2 hints");
    }
}
