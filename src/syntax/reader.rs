//! One stanza: its tokens and what the grammar finds, turned into a tree and faults in plain words.

use std::iter::Peekable;
use std::sync::Arc;

use super::figures::Reading;
use super::grammar::{self, Item};
use super::judge;
use super::lexeme::{Lex, Lexeme, lexemes};
use super::name::read_name;
use super::near::nearest;
use super::number::{Form, Number};
use super::reserved::is_reserved;
use super::token::{is_bom, on_one_line, tokens};
use super::tree::{Clause, Fault, FaultMend, Stanza, Token, TokenKind, Value, ValueKind};
use super::vocabulary::{ClauseShape, Role, Slot, StanzaShape, StanzaWord};
use crate::numbers::count;
use crate::text::Span;

/// Reads one stanza; the same text always gives the same stanza. Never fails.
pub fn read_stanza(text: Arc<str>) -> Stanza {
    let tokens = tokens(&text);
    let mut stanza = Stanza {
        text: text.clone(),
        word: None,
        word_span: Span::default(),
        head: Vec::new(),
        clauses: Vec::new(),
        faults: Vec::new(),
        tokens: Vec::new(),
    };
    let first = tokens
        .iter()
        .position(|t| !matches!(t.kind, TokenKind::Comment | TokenKind::LineEnd));
    if let Some(first) = first {
        let token = tokens[first];
        stanza.word_span = token.span;
        let written = text.get(token.span.range()).unwrap_or("");
        match StanzaWord::from_word(written) {
            Some(word) if at_margin(&text, token.span) => {
                stanza.word = Some(word);
                read_body(&mut stanza, word, &tokens[first + 1..]);
            }
            word => stanza
                .faults
                .push(no_stanza(&text, token.span, written, word)),
        }
    }
    stanza.tokens = tokens;
    if let Some(word) = stanza.word {
        judge::judge(&mut stanza, word.shape());
        lines_to_indent(&mut stanza);
    }
    stanza.faults.sort_by_key(|fault| fault.span);
    cut_short(&mut stanza.faults);
    stanza
}

/// What has more faults than this is no stanza that somebody wrote: the first are told of, and how many more there are.
const MOST_FAULTS: usize = 1000;

fn cut_short(faults: &mut Vec<Fault>) {
    if faults.len() <= MOST_FAULTS {
        return;
    }
    let more = faults.split_off(MOST_FAULTS - 1);
    let mut last = Fault::new(
        "syntax",
        more[0].span,
        format!(
            "From here on {} of this stanza are at fault. Mend the ones ahead of them first.",
            count(more.len(), "place")
        ),
    );
    last.is_of_form = more.iter().any(|fault| fault.is_of_form);
    faults.push(last);
}

fn read_body(stanza: &mut Stanza, word: StanzaWord, tokens: &[Token]) {
    let text = stanza.text.clone();
    let mut items = grammar::read(word, lexemes(&text, tokens, false));
    if !items.iter().all(Item::is_clean) {
        items = grammar::read(word, lexemes(&text, tokens, true));
    }
    let shape = word.shape();
    let mut reader = Reader {
        text: &text,
        shape,
        last_word: last_word(tokens).unwrap_or(stanza.word_span),
        faults: Vec::new(),
    };
    let usual = shape.usual.lines().next().unwrap_or("");
    let owner = Owner {
        word: word.word(),
        usual,
        slots: shape.head,
        span: stanza.word_span,
        is_head: true,
    };
    let found = reader.lower(owner, &mut items.into_iter().peekable());
    stanza.head = found.values;
    stanza.clauses = found.clauses;
    stanza.faults.append(&mut reader.faults);
}

/// The last of some tokens that is a word or a sign.
pub(super) fn last_word(tokens: &[Token]) -> Option<Span> {
    let mut words = tokens.iter().rev();
    let last = words.find(|t| !matches!(t.kind, TokenKind::Comment | TokenKind::LineEnd));
    last.map(|t| t.span)
}

/// Whether nothing stands ahead of these words on their line.
pub(super) fn at_margin(text: &str, span: Span) -> bool {
    let ahead = text.get(..span.range().start).unwrap_or("");
    let line = ahead
        .rfind(['\n', '\r'])
        .map_or(ahead, |i| ahead.get(i + 1..).unwrap_or(""));
    line.is_empty() || line.chars().all(is_bom)
}

/// The fault of a line at the margin that starts no stanza, or of an indented line with none above.
fn no_stanza(text: &str, span: Span, written: &str, word: Option<StanzaWord>) -> Fault {
    if !at_margin(text, span) {
        let ahead = text.get(..span.range().start).unwrap_or("");
        let line = ahead.rfind(['\n', '\r', '\u{feff}']);
        let start = line.map_or(0, |i| {
            i + ahead
                .get(i..)
                .and_then(|s| s.chars().next())
                .map_or(1, char::len_utf8)
        });
        let blanks = Span::new(u32::try_from(start).unwrap_or(0), span.start);
        let fault = Fault::new(
            "syntax",
            span,
            "An indented line carries a stanza on, and there is none above it. A stanza starts at the margin.",
        );
        return match word {
            Some(_) => fault.mend("move it to the margin", blanks, ""),
            None => fault,
        };
    }
    let clause = super::vocabulary::STANZAS
        .iter()
        .any(|shape| shape.clauses.iter().any(|c| c.word == written));
    if clause {
        let start = Span::new(span.start, span.start);
        return Fault::new(
            "syntax",
            span,
            format!("`{written}` starts no stanza. Indent this line, so that it carries on the stanza above."),
        )
        .mend("indent this line", start, "  ");
    }
    let words: Vec<&'static str> = StanzaWord::ALL.iter().map(|s| s.word()).collect();
    match nearest(written, &words) {
        Some(word) => Fault::new(
            "syntax",
            span,
            format!(
                "`{}` starts no stanza. Nearest word: {word}.",
                short(written)
            ),
        )
        .mend(format!("write {word}"), span, word),
        None => Fault::new(
            "syntax",
            span,
            format!(
                "`{}` starts no stanza. A line that carries a stanza on starts with a space.",
                short(written)
            ),
        ),
    }
}

/// Lines at the margin that the splitter took for the next line of a list.
fn lines_to_indent(stanza: &mut Stanza) {
    let text = stanza.text.clone();
    let mut faults = Vec::new();
    let is_words = |kind| !matches!(kind, TokenKind::Comment | TokenKind::LineEnd);
    for (at, pair) in stanza.tokens.windows(2).enumerate() {
        let [before, token] = pair else {
            continue;
        };
        let begins_line = before.kind == TokenKind::LineEnd && is_words(token.kind);
        if begins_line && token.span.start > stanza.word_span.start && at_margin(&text, token.span)
        {
            let behind = stanza.tokens.iter().skip(at + 1);
            let words = behind.take_while(|token| is_words(token.kind));
            let end = words.last().map(|token| token.span.end);
            let span = Span::new(token.span.start, end.unwrap_or(token.span.end));
            let start = Span::new(token.span.start, token.span.start);
            faults.push(
                Fault::new(
                    "syntax",
                    span,
                    "Indent this line: it carries on the list above.",
                )
                .mend("indent this line", start, "  "),
            );
        }
    }
    stanza.faults.append(&mut faults);
}

impl Fault {
    pub(super) fn new(check: &'static str, span: Span, message: impl Into<String>) -> Fault {
        Fault {
            check,
            span,
            message: message.into(),
            is_of_form: true,
            lacks: None,
            related: Vec::new(),
            mends: Vec::new(),
        }
    }

    pub(super) fn mend(
        mut self,
        title: impl Into<String>,
        span: Span,
        text: impl Into<String>,
    ) -> Fault {
        self.mends.push(FaultMend {
            title: title.into(),
            edits: vec![(span, text.into())],
        });
        self
    }
}

/// Words for a message, cut where they run on.
pub(super) fn short(written: &str) -> String {
    let line = written.lines().next().unwrap_or("").trim();
    if line.chars().count() <= 40 && line.len() == written.trim().len() {
        return line.to_owned();
    }
    let cut: String = line.chars().take(36).collect();
    format!("{} …", cut.trim_end())
}

/// What a fault is about: the stanza's head, or a clause.
#[derive(Clone, Copy)]
struct Owner {
    word: &'static str,
    usual: &'static str,
    slots: &'static [Slot],
    /// Its word.
    span: Span,
    /// Whether it is the stanza's head.
    is_head: bool,
}

impl Owner {
    /// Whether a stanza cannot do without what this slot takes: a figure or text of its head, the reason of an `accept`.
    fn owes(self, slot: &Slot) -> bool {
        match slot {
            Slot::Quantity(_) | Slot::Count(_) | Slot::Either(_) => self.is_head,
            Slot::Text => self.is_head || self.word == "accept",
            Slot::Word(word) => *word == "because",
            _ => false,
        }
    }

    /// What is usually written for the missing slot and (`alone`: without) all that follows it; `None` where that would
    /// be a name, a path, or the record of a trial that nobody made.
    fn usually(self, shape: &StanzaShape, slot: &Slot, alone: bool) -> Option<String> {
        if !self.is_head {
            let (_, reason) = self.usual.split_once(" because ")?;
            return Some(match slot {
                Slot::Word(word) => format!("{word} {reason}"),
                _ => reason.to_owned(),
            });
        }
        if matches!(shape.stanza, StanzaWord::Use | StanzaWord::Tried) {
            return None;
        }
        let at = self.slots.iter().position(|s| std::ptr::eq(s, slot))?;
        let usual = read_stanza(shape.usual.into());
        // A word is no value; what is optional stands last.
        let is_value = |slot: &&Slot| !matches!(slot, Slot::Word(_));
        let mut values = usual.head.iter();
        let mut words = Vec::new();
        for (k, slot) in self.slots.iter().enumerate() {
            let value = is_value(&slot).then(|| values.next()).flatten();
            match slot {
                _ if k < at || (alone && k > at) => {}
                Slot::Optional(_) => {}
                Slot::Name(_) => return None,
                Slot::Word(word) => words.push(*word),
                _ => words.push(usual.words(value?.span)),
            }
        }
        Some(words.join(" "))
    }
}

type Items = Peekable<std::vec::IntoIter<Item>>;

struct Found {
    values: Vec<Value>,
    clauses: Vec<Clause>,
    /// From the owner's word to the last word that belongs to it.
    span: Span,
}

struct Reader<'a> {
    text: &'a str,
    shape: &'static StanzaShape,
    /// The last word of the stanza.
    last_word: Span,
    faults: Vec<Fault>,
}

impl Reader<'_> {
    fn written(&self, span: Span) -> &str {
        self.text.get(span.range()).unwrap_or("")
    }

    /// As a message says it.
    fn said(&self, span: Span) -> String {
        short(&on_one_line(self.written(span)))
    }

    /// What stays of words that are taken out: a blank where it would else join two others.
    fn instead(&self, gone: Span) -> &'static str {
        let ahead = self.text.get(..gone.range().start).unwrap_or("");
        let behind = self.text.get(gone.range().end..).unwrap_or("");
        let apart = |c: Option<char>| c.is_none_or(char::is_whitespace);
        match apart(ahead.chars().next_back()) || apart(behind.chars().next()) {
            true => "",
            false => " ",
        }
    }

    /// What belongs to one owner, up to its end.
    fn lower(&mut self, owner: Owner, items: &mut Items) -> Found {
        let mut found = Found {
            values: Vec::new(),
            clauses: Vec::new(),
            span: owner.span,
        };
        let mut last = owner.span;
        while let Some(item) = items.next() {
            let value = match item {
                Item::End => break,
                Item::Clause(shape, word_span, well) => {
                    if !well {
                        let fault = self.unknown(word_span, Some(shape.word));
                        self.faults.push(fault);
                    }
                    let clause = self.clause(shape, word_span, items);
                    found.span = found.span.to(clause.span);
                    found.clauses.push(clause);
                    continue;
                }
                Item::Missing(slot) => {
                    self.missing(owner, slot, last, items);
                    continue;
                }
                Item::Junk(lexemes) => {
                    self.junk(owner, last, &found.values, &lexemes);
                    continue;
                }
                item => {
                    let (span, kind) = self.value(owner, item);
                    last = span;
                    kind.map(|kind| Value { span, kind })
                }
            };
            // Only the clause's own words stretch it; a head's clauses stand for themselves.
            found.span = found.span.to(last);
            found.values.extend(value);
        }
        found
    }

    fn clause(
        &mut self,
        shape: &'static ClauseShape,
        word_span: Span,
        items: &mut Items,
    ) -> Clause {
        let owner = Owner {
            word: shape.word,
            usual: shape.usual,
            slots: shape.slots,
            span: word_span,
            is_head: false,
        };
        let found = self.lower(owner, items);
        Clause {
            word: shape.word,
            word_span,
            span: found.span,
            values: found.values,
            parts: found.clauses,
        }
    }

    /// One item that is there: where it stands, and its value if it has one.
    fn value(&mut self, owner: Owner, item: Item) -> (Span, Option<ValueKind>) {
        match item {
            Item::Name(span) => (span, self.name(span)),
            Item::Reserved(span) => {
                let written = self.written(span);
                let message =
                    format!("`{written}` is a word of the language and cannot be a name.");
                let fault = Fault::new("syntax", span, message).mend(
                    format!("write {written}-1"),
                    span,
                    format!("{written}-1"),
                );
                self.faults.push(fault);
                (span, None)
            }
            Item::NumberAsName(span) => {
                let message = format!(
                    "`{}` cannot be a name: a name starts with a letter.",
                    self.said(span)
                );
                self.faults.push(Fault::new("syntax", span, message));
                (span, None)
            }
            Item::Text(span, well) => (span, Some(self.quoted(span, well))),
            Item::Quantity(number, span, slot) => {
                let reading = Reading {
                    owner: owner.word,
                    usual: owner.usual,
                    written: self.written(span),
                    number,
                    span,
                };
                let (value, fault) = reading.quantity(slot);
                self.faults.extend(fault);
                (span, value)
            }
            Item::Count(number, span, words, word) => self.count(owner, number, span, words, word),
            Item::Figure(number, span, slot) => {
                let reading = Reading {
                    owner: owner.word,
                    usual: owner.usual,
                    written: self.written(span),
                    number,
                    span,
                };
                let (value, fault) = reading.figure(slot);
                self.faults.extend(fault);
                (span, value)
            }
            Item::Choice(word, span, well) => {
                if !well {
                    let fault = self.unknown(span, Some(word));
                    self.faults.push(fault);
                }
                (span, Some(ValueKind::Choice(word)))
            }
            Item::Misspelt(word, span) => {
                let message = format!(
                    "`{word}` belongs here, not `{}`, as in `{}`.",
                    self.said(span),
                    owner.usual
                );
                let fault = Fault::new("syntax", span, message);
                self.faults
                    .push(fault.mend(format!("write {word}"), span, word));
                (span, None)
            }
            Item::Wrong(slot, span) => {
                self.wrong(owner, slot, span);
                (span, None)
            }
            Item::Fixed(span) | Item::Comma(span) => (span, None),
            // Handled where what follows can be seen.
            Item::Clause(..) | Item::End | Item::Missing(_) | Item::Junk(_) => (owner.span, None),
        }
    }

    fn name(&mut self, span: Span) -> Option<ValueKind> {
        match read_name(self.written(span)) {
            Ok(name) => Some(ValueKind::Name(name)),
            Err(message) => {
                self.faults.push(Fault::new("syntax", span, message));
                None
            }
        }
    }

    fn quoted(&mut self, span: Span, well: bool) -> ValueKind {
        let written = self.written(span);
        if !well {
            let inner = written.trim_matches(['"', '“', '”', '„', '«', '»']);
            let fault = if written.starts_with('"') {
                let end = Span::new(span.end, span.end);
                Fault::new(
                    "syntax",
                    span,
                    "The closing quote is missing: a text ends on its own line.",
                )
                .mend("close the text", end, "\"")
            } else {
                let straight = format!("\"{}\"", inner.replace('\\', "\\\\").replace('"', "\\\""));
                Fault::new("syntax", span, "A text stands in straight double quotes.").mend(
                    "write straight quotes",
                    span,
                    straight,
                )
            };
            let inner = inner.into();
            self.faults.push(fault);
            return ValueKind::Text(inner);
        }
        let inner = written
            .get(1..written.len().saturating_sub(1))
            .unwrap_or("");
        let mut out = String::with_capacity(inner.len());
        let mut wrong = Vec::new();
        let mut chars = inner.char_indices();
        while let Some((i, c)) = chars.next() {
            if c != '\\' {
                out.push(c);
                continue;
            }
            match chars.next() {
                Some((_, c @ ('"' | '\\'))) => out.push(c),
                other => {
                    out.push('\\');
                    out.extend(other.map(|(_, c)| c));
                    let start = span.start + 1 + u32::try_from(i).unwrap_or(0);
                    let len = 1 + other.map_or(0, |(_, c)| c.len_utf8());
                    wrong.push(Span::new(start, start + u32::try_from(len).unwrap_or(0)));
                }
            }
        }
        for span in wrong {
            let start = Span::new(span.start, span.start);
            let fault = Fault::new(
                "syntax",
                span,
                "In a text, a backslash stands only before a quote or another backslash.",
            );
            self.faults
                .push(fault.mend("double the backslash", start, "\\"));
        }
        ValueKind::Text(out.into())
    }

    fn count(
        &mut self,
        owner: Owner,
        number: Number,
        span: Span,
        words: &'static [&'static str],
        word: Option<(Span, bool)>,
    ) -> (Span, Option<ValueKind>) {
        let whole = word.map_or(span, |(word, _)| span.to(word));
        let thing = words.first().copied();
        match word {
            Some((word, false)) => {
                let fault = self.unknown(word, nearest(self.written(word), words));
                self.faults.push(fault);
            }
            None if number.is_bare() && thing.is_some() => {
                let written = self.written(span);
                let mut fault = Fault::new(
                    "syntax",
                    span,
                    format!(
                        "`{}` wants {}: {written} of what?",
                        owner.word,
                        describe_all(owner.slots.last()),
                    ),
                );
                if let Some(thing) = thing {
                    fault = fault.mend(
                        format!("write {written} {thing}"),
                        span,
                        format!("{written} {thing}"),
                    );
                }
                self.faults.push(fault);
                return (whole, None);
            }
            _ => {}
        }
        let reading = Reading {
            owner: owner.word,
            usual: owner.usual,
            written: self.written(span),
            number,
            span: whole,
        };
        let (count, fault) = reading.count(thing);
        self.faults.extend(fault);
        (whole, count.map(|n| ValueKind::Count(n, thing)))
    }

    /// A word that is not of the language where one was wanted.
    fn unknown(&self, span: Span, near: Option<&'static str>) -> Fault {
        let written = self.said(span);
        match near {
            Some(word) => Fault::new(
                "syntax",
                span,
                format!("`{written}` is not known here. Nearest word: {word}."),
            )
            .mend(format!("write {word}"), span, word),
            None => Fault::new("syntax", span, format!("`{written}` is not known here.")),
        }
    }

    /// Something stands in the place of what was wanted.
    fn wrong(&mut self, owner: Owner, slot: &'static Slot, span: Span) {
        let written = self.said(span);
        let near = match slot {
            Slot::Choice(words) => nearest(&written, words),
            Slot::Word(word) => nearest(&written, &[word]),
            _ => None,
        };
        let here = if matches!(slot, Slot::Word(_)) {
            " here"
        } else {
            ""
        };
        let (owner_word, wants) = (owner.word, describe(slot));
        let mut message = format!("`{owner_word}` wants {wants}{here}, not `{written}`");
        message += &match (near, slot) {
            (Some(word), _) => format!(". Nearest word: {word}."),
            (None, Slot::Choice(_)) => ".".to_owned(),
            (None, _) => format!(", as in `{}`.", owner.usual),
        };
        let mut fault = Fault::new("syntax", span, message);
        let alone = !written.contains(char::is_whitespace);
        let instead = near.or(match slot {
            Slot::Word(word) if alone => Some(*word),
            _ => None,
        });
        if let Some(word) = instead {
            fault = fault.mend(format!("write {word}"), span, word);
        }
        self.faults.push(fault);
    }

    /// What was wanted is not there: on the words that stand there instead, or, where nothing does,
    /// on the words that want it.
    fn missing(&mut self, owner: Owner, slot: &'static Slot, last: Span, items: &mut Items) {
        if let Some(Item::Junk(lexemes)) = items.peek()
            && let (Some(first), Some(end)) = (lexemes.first(), lexemes.last())
        {
            let span = first.span.to(end.span);
            if !matches!(first.lex, Lex::Comma) {
                items.next();
                self.wrong(owner, slot, span);
                return;
            }
        }
        let wants = describe(slot);
        let (span, message) = if self.written(last) == "," {
            (last, format!("Behind this comma {wants} is wanted."))
        } else if last == owner.span {
            let what = format!("`{}` wants {wants} behind it", owner.word);
            (last, format!("{what}, as in `{}`.", owner.usual))
        } else {
            let behind = self.said(last);
            let what = format!("`{}` wants {wants} behind `{behind}`", owner.word);
            (
                owner.span.to(last),
                format!("{what}, as in `{}`.", owner.usual),
            )
        };
        let end = Span::new(last.end, last.end);
        let alone = !matches!(items.peek(), None | Some(Item::Clause(..) | Item::End));
        // Of a stanza that is its word alone it is said what comes next, not all that follows.
        let is_word_alone = owner.is_head && self.last_word == owner.span;
        if is_word_alone && self.faults.iter().any(|fault| fault.span == owner.span) {
            return;
        }
        // An `accept` with its reason lacks a word; one without lacks the reason.
        if owner.owes(slot) && !(alone && matches!(slot, Slot::Word(_))) {
            // What a head lacks is told where all is that a stanza lacks.
            let span = if owner.is_head { self.last_word } else { span };
            let mut fault = Fault::new("clause-missing", span, message);
            if let Some(usual) = owner.usually(self.shape, slot, alone) {
                fault = fault.mend(format!("add {usual}"), end, format!(" {usual}"));
            }
            self.faults.push(fault);
            return;
        }
        // What is at fault at the very end of what is written is said first; what goes on behind it, once that is right.
        let is_at_fault = |fault: &Fault| last != owner.span && fault.span.overlaps(last);
        if !alone && self.faults.iter().any(is_at_fault) {
            return;
        }
        let mut fault = Fault::new("syntax", span, message);
        if let Slot::Word(word) = slot {
            fault = fault.mend(format!("add {word}"), end, format!(" {word}"));
        } else if self.written(last) == "," {
            fault = fault.mend("remove the comma", last, self.instead(last));
        }
        self.faults.push(fault);
    }

    /// Words that have no place where they stand.
    fn junk(&mut self, owner: Owner, last: Span, before: &[Value], lexemes: &[Lexeme]) {
        let (Some(first), Some(end)) = (lexemes.first(), lexemes.last()) else {
            return;
        };
        if matches!(first.lex, Lex::Comma) {
            let message = "A comma stands only between the things of a list.";
            let fault = Fault::new("syntax", first.span, message);
            self.faults
                .push(fault.mend("remove the comma", first.span, self.instead(first.span)));
            self.junk(owner, first.span, &[], lexemes.get(1..).unwrap_or(&[]));
            return;
        }
        let span = first.span.to(end.span);
        let written = self.said(first.span);
        let in_list = matches!(owner.slots.last(), Some(Slot::List(_))) && !before.is_empty();
        let fault = match first.lex {
            Lex::Word(None) if in_list => {
                let at = Span::new(last.end, last.end);
                Fault::new(
                    "syntax",
                    span,
                    format!("A comma is missing before `{written}`."),
                )
                .mend("add the comma", at, ",")
            }
            Lex::Word(Some(word)) if self.parent_of(word.text).is_some() => {
                let word = word.text;
                let parent = self.parent_of(word).unwrap_or("");
                let message = format!("`{word}` belongs right behind `{parent}`.");
                Fault::new("syntax", span, message)
            }
            Lex::Word(Some(word)) if is_reserved(word.text) => {
                let word = word.text;
                let stanza = self.shape.stanza.word();
                Fault::new(
                    "syntax",
                    span,
                    format!("`{word}` has no place here in a {stanza}."),
                )
            }
            Lex::Word(_) => {
                let words: Vec<&'static str> = self.shape.clauses.iter().map(|c| c.word).collect();
                let near = nearest(&written, &words);
                let fault = self.unknown(first.span, near);
                Fault { span, ..fault }
            }
            Lex::BadText if self.written(first.span).starts_with('"') => {
                let end = Span::new(first.span.end, first.span.end);
                Fault::new(
                    "syntax",
                    span,
                    "A text has no place here, and its closing quote is missing.",
                )
                .mend("close the text", end, "\"")
            }
            Lex::Stray if written == "//" => {
                Fault::new("syntax", span, "A comment starts with `#`.")
                    .mend("write #", first.span, "#")
            }
            _ => {
                let written = self.said(span);
                Fault::new("syntax", span, format!("`{written}` has no place here."))
            }
        };
        self.faults.push(fault);
    }

    /// The clause that a part belongs to, where the word is no clause of the stanza's own.
    fn parent_of(&self, word: &str) -> Option<&'static str> {
        fn find(clauses: &'static [ClauseShape], word: &str) -> Option<&'static str> {
            clauses.iter().find_map(|c| {
                if c.parts.iter().any(|part| part.word == word) {
                    Some(c.word)
                } else {
                    find(c.parts, word)
                }
            })
        }
        let own = self.shape.clauses.iter().any(|c| c.word == word);
        if own {
            None
        } else {
            find(self.shape.clauses, word)
        }
    }
}

/// What stands in a place, in plain words.
pub(super) fn describe(slot: &Slot) -> String {
    match slot {
        Slot::Word(word) => format!("`{word}`"),
        Slot::Quantity(dimension) => dimension.plain().to_owned(),
        Slot::Count(words) => match words.first() {
            Some(thing) => format!("a number of {thing}"),
            None => "a number of pieces".to_owned(),
        },
        Slot::Name(role) => role_plain(*role).to_owned(),
        Slot::Text => "a text in double quotes".to_owned(),
        Slot::Scale => "a scale, as 1:150".to_owned(),
        Slot::Date => "a date, as 2026-03-14".to_owned(),
        Slot::Number => "a number".to_owned(),
        Slot::Choice(words) => format!("one of {}", listed(words)),
        Slot::Optional(inner) | Slot::List(inner) => {
            inner.first().map(describe).unwrap_or_default()
        }
        Slot::Either(ways) => {
            let ways: Vec<String> = ways
                .iter()
                .filter_map(|w| w.first().map(describe))
                .collect();
            let ways: Vec<&str> = ways.iter().map(String::as_str).collect();
            listed(&ways)
        }
    }
}

fn describe_all(slot: Option<&Slot>) -> String {
    slot.map(describe).unwrap_or_default()
}

/// `a, b or c`
pub(super) fn listed(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}

fn role_plain(role: Role) -> &'static str {
    match role {
        Role::Defined | Role::StandIn => "a name",
        Role::OutputDefined => "a name for the output",
        Role::NeedDefined => "a word that each copy replaces",
        Role::Point => "the name of an item or output",
        Role::Item => "the name of an item",
        Role::Wire => "the name of a wire",
        Role::Tape => "the name of a tape",
        Role::Led => "the name of a led",
        Role::Module => "the name of a module",
        Role::Zone => "the name of a zone",
        Role::Passage => "the name of a passage",
        Role::Pattern => "the name of a pattern",
        Role::Output => "the name of an output",
        Role::Need => "a word that the pattern needs",
        Role::Piece => "the name of a piece",
        Role::Check => "the name of a check",
        Role::WireColour => "a colour",
    }
}

/// Whether a number's form is a figure at all.
pub(super) fn is_figure(form: Form) -> bool {
    matches!(
        form,
        Form::Plain | Form::Comma | Form::Misspelt | Form::Exponent
    )
}
