//! Words written the way the file writes them: quantities in its units, stanzas with its line ends.

use super::columns::hold_columns;
use crate::plan::{Edit, Plan, StanzaId};
use crate::syntax::tree::{Clause, Name, Stanza, Token, TokenKind, names};
use crate::syntax::vocabulary::UNITS;
use crate::text::Span;
use crate::units::Length;

/// How a quantity is spelt: its unit, and whether the number touches it.
#[derive(Clone, Debug, PartialEq)]
pub struct Spelling {
    unit: String,
    factor: f64,
    glued: bool,
}

impl Spelling {
    /// `120 mm`
    pub fn millimetres() -> Spelling {
        Spelling {
            unit: "mm".to_string(),
            factor: 1e-3,
            glued: false,
        }
    }

    /// As this quantity is spelt: `120 mm`, `12cm`, `4in`.
    pub fn of(words: &str) -> Option<Spelling> {
        let number_ends = words.find(|c: char| !matches!(c, '0'..='9' | '.' | '/' | '-' | '+'))?;
        let unit = words[number_ends..].trim_start();
        let factor = match unit {
            "in" => 0.0254,
            _ => UNITS.iter().find(|u| u.word == unit)?.factor,
        };
        Some(Spelling {
            unit: unit.to_string(),
            factor,
            glued: number_ends + unit.len() == words.len(),
        })
    }

    /// A number of the unit, with its unit.
    fn joined(&self, number: &str) -> String {
        let space = if self.glued { "" } else { " " };
        format!("{number}{space}{}", self.unit)
    }

    /// A value in the SI unit, with at most so many decimals.
    pub fn write(&self, si: f64, decimals: usize) -> String {
        self.joined(&plain(si / self.factor, decimals))
    }

    /// As [`Spelling::write`]; `None` where so many decimals do not say it exactly.
    pub fn write_exact(&self, si: f64, decimals: i32) -> Option<String> {
        let scaled = si / self.factor * 10f64.powi(decimals);
        let is_exact = (scaled - scaled.round()).abs() <= 1e-9 * scaled.abs().max(1.0);
        is_exact.then(|| self.write(si, decimals.unsigned_abs() as usize))
    }

    /// A length, rounded up as one measures wire: to whole millimetres, or about that.
    pub fn write_length(&self, length: Length) -> String {
        let decimals = match self.unit.as_str() {
            "mm" => 0,
            "m" => 3,
            "ft" => 2,
            _ => 1, // cm, inch, in
        };
        let scale = 10f64.powi(decimals);
        // A sum of whole millimetres is not to become one more by the last bit of a binary fraction.
        let up = (length.value / self.factor * scale - 1e-6).ceil() / scale;
        self.joined(&plain(up, decimals.unsigned_abs() as usize))
    }
}

/// A number with at most so many decimals and no idle zeros.
pub fn plain(number: f64, decimals: usize) -> String {
    crate::numbers::decimals(number, decimals)
}

/// The line end that the stanza's surroundings use.
pub fn line_end(plan: &Plan, id: StanzaId) -> &'static str {
    let first_of = |text: &str| {
        text.find(['\r', '\n']).map(|at| {
            if text[at..].starts_with("\r\n") {
                "\r\n"
            } else {
                "\n"
            }
        })
    };
    first_of(&plan.stanza(id).text)
        .or_else(|| first_of(&plan.files[id.file.0].text))
        .unwrap_or("\n")
}

/// Where a stanza begins with the comment lines at the margin that touch it: they belong to it.
fn start_with_comments(stanza: &Stanza) -> usize {
    let mut at = stanza.word_span.start as usize;
    while let Some(before) = stanza.text.get(..at) {
        let Some(line) = before.strip_suffix('\n').map(|b| b.trim_end_matches('\r')) else {
            break;
        };
        let start = line.rfind(['\n', '\r']).map_or(0, |i| i + 1);
        if !line[start..].starts_with('#') {
            break;
        }
        at = start;
    }
    at
}

/// Where the line behind a stanza and its indented comments begins.
fn end_with_comments(stanza: &Stanza) -> usize {
    let text = &*stanza.text;
    let line_behind = |from: usize| text[from..].find('\n').map_or(text.len(), |i| from + i + 1);
    let mut at = line_behind(stanza.core_span().end as usize);
    let mut next = at;
    while next < text.len() {
        let end = line_behind(next);
        let line = &text[next..end];
        let inner = line.trim();
        if inner.starts_with('#') && line.starts_with([' ', '\t']) {
            at = end;
        } else if !inner.is_empty() {
            break;
        }
        next = end;
    }
    at
}

/// A stanza with the comments that belong to it, whole lines.
pub fn with_comments(stanza: &Stanza) -> Span {
    Span::new(
        start_with_comments(stanza) as u32,
        end_with_comments(stanza) as u32,
    )
}

/// Inserts a stanza (without its line end) right before another, whose own comment stays with it.
pub fn insert_before(plan: &Plan, id: StanzaId, stanza_text: &str) -> Edit {
    let at = start_with_comments(plan.stanza(id)) as u32;
    Edit {
        stanza: id,
        span: Span::new(at, at),
        text: format!("{stanza_text}{}", line_end(plan, id)),
    }
}

/// Inserts a stanza (without its line end) right behind another and its indented comments.
pub fn insert_after(plan: &Plan, id: StanzaId, stanza_text: &str) -> Edit {
    let stanza = plan.stanza(id);
    let text = &*stanza.text;
    let at = end_with_comments(stanza);
    let end = line_end(plan, id);
    let span = Span::new(at as u32, at as u32);
    let text = if text[..at].ends_with('\n') {
        format!("{stanza_text}{end}")
    } else {
        format!("{end}{stanza_text}")
    };
    Edit {
        stanza: id,
        span,
        text,
    }
}

/// The words of a span on one line: comments and line ends left out, one blank between words.
pub fn words_on_one_line(stanza: &Stanza, span: Span) -> String {
    words_spelt(stanza, span, &|_| None)
}

/// As [`words_on_one_line`], a word spelt otherwise where `spelt` says how.
pub fn words_spelt(stanza: &Stanza, span: Span, spelt: &dyn Fn(Span) -> Option<String>) -> String {
    let mut line = String::new();
    for token in &stanza.tokens {
        if token.span.start < span.start || token.span.end > span.end {
            continue;
        }
        match token.kind {
            TokenKind::Comment | TokenKind::LineEnd => continue,
            TokenKind::Comma => {}
            _ if line.is_empty() => {}
            _ => line.push(' '),
        }
        match spelt(token.span) {
            Some(word) => line.push_str(&word),
            None => line.push_str(stanza.words(token.span)),
        }
    }
    line
}

/// All names that a stanza writes, with their places: its own first, where it has one.
pub fn names_written(stanza: &Stanza) -> Vec<(&Name, Span)> {
    fn of_clauses<'a>(clauses: &'a [Clause], all: &mut Vec<(&'a Name, Span)>) {
        for clause in clauses {
            all.extend(clause.names());
            of_clauses(&clause.parts, all);
        }
    }
    let mut all: Vec<(&Name, Span)> = names(&stanza.head).collect();
    of_clauses(&stanza.clauses, &mut all);
    all
}

/// Whether a comment stands in a span.
pub fn has_comment(stanza: &Stanza, span: Span) -> bool {
    stanza.tokens.iter().any(|t| {
        t.kind == TokenKind::Comment && t.span.start >= span.start && t.span.end <= span.end
    })
}

/// What has to go so that nothing is left of these words: their lines, where nothing else stands on
/// those; else the words and the blanks ahead of them.
pub fn removal(stanza: &Stanza, span: Span) -> Span {
    let (start, end) = (span.start as usize, span.end as usize);
    let (before, behind) = stanza.text.split_at(end.min(stanza.text.len()));
    let before = before.get(..start).unwrap_or("");
    let blank = |c: char| matches!(c, ' ' | '\t');
    let trimmed = before.trim_end_matches(blank);
    let rest = behind.trim_start_matches(blank);
    let line_end = ["\r\n", "\n"].into_iter().find(|e| rest.starts_with(e));
    match line_end {
        Some(line_end) if trimmed.ends_with('\n') => {
            let to = stanza.text.len() - rest.len() + line_end.len();
            Span::new(trimmed.len() as u32, to as u32)
        }
        _ if trimmed.ends_with('\n') => span,
        _ => Span::new(trimmed.len() as u32, span.end),
    }
}

/// What has to go so that these words are left out and every comment that is not among them stays: whole lines
/// where nothing else stands on them, else the words with the blanks next to them.
pub fn removals(stanza: &Stanza, is_gone: &dyn Fn(&Token) -> bool) -> Vec<Span> {
    let lines = stanza
        .tokens
        .split_inclusive(|t| t.kind == TokenKind::LineEnd);
    let mut spans = Vec::new();
    for line in lines {
        let (words, end) = match line.split_last() {
            Some((end, words)) if end.kind == TokenKind::LineEnd => (words, Some(end.span)),
            _ => (line, None),
        };
        let (Some(first), Some(last)) = (words.first(), words.last()) else {
            continue;
        };
        if words.iter().all(is_gone) {
            let before = stanza.words(Span::new(0, first.span.start));
            let start = before.rfind(['\n', '\r']).map_or(0, |at| at as u32 + 1);
            spans.push(Span::new(start, end.unwrap_or(last.span).end));
            continue;
        }
        let mut ahead: Option<u32> = None; // the end of what stays, and of what goes behind it
        for (k, word) in words.iter().enumerate() {
            let behind = words.get(k + 1).map_or(word.span.end, |w| w.span.start);
            match ahead {
                _ if !is_gone(word) => ahead = Some(word.span.end),
                Some(end) => {
                    spans.push(Span::new(end, word.span.end));
                    ahead = Some(word.span.end);
                }
                None => spans.push(Span::new(word.span.start, behind)),
            }
        }
    }
    spans
}

/// Edits of one stanza, gathered from front to back.
#[derive(Debug)]
pub struct StanzaEdits {
    stanza: StanzaId,
    edits: Vec<Edit>,
}

impl StanzaEdits {
    /// None yet.
    pub fn of(stanza: StanzaId) -> StanzaEdits {
        StanzaEdits {
            stanza,
            edits: Vec::new(),
        }
    }

    /// Puts `text` in place of `span`. What is inserted right where the edit before ends joins it.
    pub fn put(&mut self, span: Span, text: &str) {
        if let Some(last) = self.edits.last_mut()
            && span.start == span.end
            && last.span.end == span.start
        {
            last.text.push_str(text);
            return;
        }
        self.edits.push(Edit {
            stanza: self.stanza,
            span,
            text: text.to_string(),
        });
    }

    /// Inserts `text` at `at`.
    pub fn insert(&mut self, at: u32, text: &str) {
        self.put(Span::new(at, at), text);
    }

    /// The edits that change something; what stands in columns stays there.
    pub fn into_edits(self, plan: &Plan) -> Vec<Edit> {
        let stanza = plan.stanza(self.stanza);
        let edits = self
            .edits
            .into_iter()
            .filter(|e| stanza.words(e.span) != e.text)
            .collect();
        hold_columns(plan, self.stanza, edits)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::metres;

    #[test]
    fn a_length_keeps_its_unit_and_its_blank() {
        let again = |words: &str, m: f64| Spelling::of(words).unwrap().write_length(metres(m));
        assert_eq!(again("120 mm", 0.12 + 0.04 + 0.05), "210 mm");
        assert_eq!(again("120mm", 0.2101), "211mm");
        assert_eq!(again("12 cm", 0.21), "21 cm");
        assert_eq!(again("12 cm", 0.2151), "21.6 cm");
        assert_eq!(again("0.3 m", 0.6), "0.6 m");
        assert_eq!(again("4in", 0.0254 * 6.5), "6.5in");
        assert_eq!(again("1/16in", 0.0254), "1in");
        assert_eq!(again("2 ft", 0.3048 * 2.25), "2.25 ft");
        assert_eq!(Spelling::of("120"), None);
        assert_eq!(Spelling::of("120 yards"), None);
    }

    #[test]
    fn nothing_is_left_of_what_is_removed() {
        let without = |text: &str, words: &str| {
            let stanza = crate::syntax::read_stanza(text.into());
            let at = text.find(words).unwrap();
            let span = removal(&stanza, Span::new(at as u32, (at + words.len()) as u32));
            format!(
                "{}{}",
                &text[..span.start as usize],
                &text[span.end as usize..]
            )
        };
        assert_eq!(
            without("lamp a of b dimmed # c\n", "dimmed"),
            "lamp a of b # c\n"
        );
        assert_eq!(
            without("lamp a # c\r\n  dimmed \r\n  x\r\n", "dimmed"),
            "lamp a # c\r\n  x\r\n"
        );
        assert_eq!(without("lamp a\n  dimmed x\n", "dimmed"), "lamp a\n   x\n");
        assert_eq!(without("lamp a\n  of b dimmed", "dimmed"), "lamp a\n  of b");
        assert_eq!(without("lamp a # c\n  dimmed", "dimmed"), "lamp a # c\n  ");
    }

    #[test]
    fn numbers_carry_no_idle_zeros() {
        assert_eq!(plain(1.50, 3), "1.5");
        assert_eq!(plain(100.0, 0), "100");
        assert_eq!(plain(-0.0, 0), "0");
        assert_eq!(plain(0.46, 2), "0.46");
    }
}
