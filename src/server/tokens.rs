//! Semantic tokens. Those of a document are kept stanza by stanza, and from one answer to the next only the stanzas that
//! an edit touched are read again. Of each document the last answer is kept, which the next may be told as a difference to.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::sync::{Arc, Mutex};

use tower_lsp::jsonrpc::{Error, Result};
use tower_lsp::lsp_types::*;

use super::keys::key_of;
use super::ready::Ready;
use super::session::{Snapshot, lock};
use crate::editor::tokens::{Kind, tokens};
use crate::parts::Stop;
use crate::plan::FileKey;
use crate::syntax::tree::Stanza;
use crate::syntax::vocabulary::StanzaWord;
use crate::syntax::{self, read_edit, read_file, read_stanza, stanza_texts};
use crate::text::{Document, Encoding, Lines, Mark, Position, Span};

/// What kinds of words there are, by the protocol's names, and what more may be said of one.
pub fn legend() -> SemanticTokensLegend {
    SemanticTokensLegend {
        token_types: Kind::ALL.map(token_type).to_vec(),
        token_modifiers: vec![SemanticTokenModifier::DECLARATION],
    }
}

fn token_type(kind: Kind) -> SemanticTokenType {
    match kind {
        Kind::Stanza => SemanticTokenType::KEYWORD,
        Kind::Clause => SemanticTokenType::PROPERTY,
        Kind::Number => SemanticTokenType::NUMBER,
        Kind::Text => SemanticTokenType::STRING,
        Kind::Comment => SemanticTokenType::COMMENT,
        Kind::Choice => SemanticTokenType::ENUM_MEMBER,
        Kind::Stock => SemanticTokenType::CLASS,
        Kind::Item => SemanticTokenType::VARIABLE,
        Kind::Output => SemanticTokenType::METHOD,
        Kind::Place => SemanticTokenType::NAMESPACE,
        Kind::Pattern => SemanticTokenType::INTERFACE,
        Kind::Need => SemanticTokenType::PARAMETER,
        Kind::State => SemanticTokenType::EVENT,
        Kind::Check => SemanticTokenType::DECORATOR,
    }
}

/// The tokens of one stanza, which begins at the start of a line.
#[derive(Debug, PartialEq)]
struct Piece {
    bytes: u32,
    /// How many line ends its text has.
    lines: u32,
    /// How many of them stand behind the last token.
    behind: u32,
    tokens: Packed,
}

/// Tokens, each counted from the one before; the first from the start of the stanza. Most of their numbers fit into a
/// byte, and as bytes they are kept: seven bits each, the last one of a number with the eighth clear.
#[derive(Debug, Default, PartialEq)]
struct Packed {
    count: u32,
    bytes: Box<[u8]>,
}

impl Packed {
    fn of(tokens: impl Iterator<Item = SemanticToken>) -> Packed {
        let mut bytes = Vec::new();
        let mut count = 0;
        for token in tokens {
            for mut number in numbers(&token) {
                while number >= 0x80 {
                    bytes.push(number as u8 | 0x80);
                    number >>= 7;
                }
                bytes.push(number as u8);
            }
            count += 1;
        }
        Packed {
            count,
            bytes: bytes.into(),
        }
    }

    fn len(&self) -> usize {
        self.count as usize
    }

    fn is_empty(&self) -> bool {
        self.count == 0
    }

    fn iter(&self) -> impl Iterator<Item = SemanticToken> {
        let mut bytes = self.bytes.iter();
        let mut number = move || {
            let mut number = 0;
            for shift in (0..32).step_by(7) {
                let byte = *bytes.next()?;
                number |= u32::from(byte & 0x7f) << shift;
                if byte < 0x80 {
                    break;
                }
            }
            Some(number)
        };
        std::iter::from_fn(move || {
            Some(SemanticToken {
                delta_line: number()?,
                delta_start: number()?,
                length: number()?,
                token_type: number()?,
                token_modifiers_bitset: number()?,
            })
        })
    }
}

/// The numbers that say one token.
fn numbers(token: &SemanticToken) -> [u32; NUMBERS] {
    [
        token.delta_line,
        token.delta_start,
        token.length,
        token.token_type,
        token.token_modifiers_bitset,
    ]
}

impl Piece {
    fn of(stanza: &Stanza, encoding: Encoding) -> Piece {
        let text = &*stanza.text;
        let mut place = Place::default();
        let mut before = Place::default();
        let found = tokens(stanza);
        let told = Packed::of(found.into_iter().map(|token| {
            place.go(text, token.span.start, encoding);
            let start = place;
            place.go(text, token.span.end, encoding);
            let delta_line = start.line - before.line;
            let delta_start = match delta_line {
                0 => start.column - before.column,
                _ => start.column,
            };
            before = start;
            SemanticToken {
                delta_line,
                delta_start,
                length: place.column - start.column,
                token_type: token.kind as u32,
                token_modifiers_bitset: u32::from(token.defines),
            }
        }));
        place.go(text, length(text), encoding);
        Piece {
            bytes: length(text),
            lines: place.line,
            behind: place.line - before.line,
            tokens: told,
        }
    }
}

fn length(text: &str) -> u32 {
    u32::try_from(text.len()).unwrap_or(u32::MAX)
}

/// A place on the way through a text.
#[derive(Clone, Copy, Default)]
struct Place {
    byte: u32,
    line: u32,
    column: u32,
    /// A CR was passed last: an LF now belongs to it.
    is_behind_cr: bool,
}

impl Place {
    fn go(&mut self, text: &str, to: u32, encoding: Encoding) {
        for c in Span::new(self.byte, to).of(text).unwrap_or("").chars() {
            match c {
                '\n' if self.is_behind_cr => {}
                '\n' | '\r' => (self.line, self.column) = (self.line + 1, 0),
                c => self.column += u32::try_from(encoding.width(c)).unwrap_or(0),
            }
            self.is_behind_cr = c == '\r';
        }
        self.byte = to;
    }
}

/// The tokens of pieces, each counted from the one before; the first from `behind` lines above the first piece.
fn joined(pieces: &[Arc<Piece>], mut behind: u32) -> impl Iterator<Item = SemanticToken> {
    pieces.iter().flat_map(move |piece| {
        let above = behind;
        match piece.tokens.is_empty() {
            true => behind += piece.lines,
            false => behind = piece.behind,
        }
        let tokens = piece.tokens.iter().enumerate();
        tokens.map(move |(nth, token)| match nth {
            0 => SemanticToken {
                delta_line: token.delta_line + above,
                ..token
            },
            _ => token,
        })
    })
}

/// How many lines the end of pieces is behind their last token.
fn behind(pieces: &[Arc<Piece>]) -> u32 {
    let mut lines = 0;
    for piece in pieces.iter().rev() {
        if !piece.tokens.is_empty() {
            return lines + piece.behind;
        }
        lines += piece.lines;
    }
    lines
}

/// How many numbers say one token.
const NUMBERS: usize = 5;

/// What makes the tokens of `new` out of those of `old`.
fn difference(old: &[Arc<Piece>], new: &[Arc<Piece>]) -> Option<SemanticTokensEdit> {
    let same = |(a, b): &(&Arc<Piece>, &Arc<Piece>)| Arc::ptr_eq(a, b);
    let ahead = old.iter().zip(new).take_while(same).count();
    let most = old.len().min(new.len()) - ahead;
    let pairs = old.iter().rev().zip(new.iter().rev()).take(most);
    let mut after = pairs.take_while(same).count();
    // The first token behind counts its lines from the last one that may have changed.
    while after > 0 {
        after -= 1;
        if !new[new.len() - after - 1].tokens.is_empty() {
            break;
        }
    }
    let (kept, old) = old[..old.len() - after].split_at(ahead);
    let (_, new) = new[..new.len() - after].split_at(ahead);
    let lines = behind(kept);
    let [old, new]: [Vec<_>; 2] = [old, new].map(|pieces| joined(pieces, lines).collect());
    let same = |(a, b): &(&SemanticToken, &SemanticToken)| a == b;
    let first = old.iter().zip(&new).take_while(same).count();
    let most = old.len().min(new.len()) - first;
    let last = old.iter().rev().zip(new.iter().rev()).take(most);
    let last = last.take_while(same).count();
    let gone = old.len() - last - first;
    let come = &new[first..new.len() - last];
    let ahead: usize = kept.iter().map(|piece| piece.tokens.len()).sum();
    let number = |tokens: usize| u32::try_from(tokens * NUMBERS).unwrap_or(u32::MAX);
    (gone > 0 || !come.is_empty()).then(|| SemanticTokensEdit {
        start: number(ahead + first),
        delete_count: number(gone),
        data: Some(come.to_vec()),
    })
}

/// What is kept of a document.
struct Kept {
    /// The moment that it was last asked about.
    revision: u64,
    mark: Mark,
    lines: Lines,
    starts: Vec<u32>,
    pieces: Vec<Arc<Piece>>,
    /// The last answer.
    told: Option<(u64, Vec<Arc<Piece>>)>,
}

impl Kept {
    /// Brings the pieces up to date. `None` where it was stopped.
    fn update(&mut self, document: &Document, encoding: Encoding, stop: Stop) -> Option<()> {
        let (mark, lines) = (document.mark().ok()?, document.lines().ok()?);
        let touched = document.touched_since(self.mark);
        match touched.filter(|_| !self.starts.is_empty()) {
            Some(_) if mark == self.mark => return Some(()),
            Some(touched) => {
                let before = &self.lines;
                let end = |index: usize| self.starts[index] + self.pieces[index].bytes;
                let text = |index| before.piece(Span::new(self.starts[index], end(index)));
                let mut read = |text: &str| Arc::new(read_stanza(text.into()));
                let edit = read_edit(&self.starts, &text, lines, touched, &mut read);
                let new = edit.new.iter();
                let new = new.map(|stanza| Arc::new(Piece::of(stanza, encoding)));
                self.pieces.splice(edit.at..edit.at + edit.gone, new);
            }
            None => {
                let text = lines.slice(Span::between(0, lines.bytes()));
                let mut pieces = Vec::new();
                for text in stanza_texts(&text) {
                    if stop() {
                        return None;
                    }
                    pieces.push(Arc::new(Piece::of(&read_stanza(text.into()), encoding)));
                }
                self.pieces = pieces;
            }
        }
        self.starts.clear();
        let mut start = 0;
        for piece in &self.pieces {
            self.starts.push(start);
            start += piece.bytes;
        }
        (self.mark, self.lines) = (mark, lines.clone());
        Some(())
    }

    fn tell(&mut self, id: u64) -> All {
        self.told = Some((id, self.pieces.clone()));
        All {
            id,
            pieces: self.pieces.clone(),
        }
    }
}

/// All tokens of a document.
pub struct All {
    id: u64,
    pieces: Vec<Arc<Piece>>,
}

impl All {
    /// Written out; for a long document that is much smaller than the tokens themselves.
    pub fn written(&self) -> Ready {
        Ready::by(|text| {
            // Adding to a text does not fail.
            let _ = write!(text, "{{\"resultId\":\"{}\",\"data\":[", self.id);
            for (nth, token) in joined(&self.pieces, 0).enumerate() {
                let comma = if nth > 0 { "," } else { "" };
                let [line, start, length, kind, more] = numbers(&token);
                let _ = write!(text, "{comma}{line},{start},{length},{kind},{more}");
            }
            text.push_str("]}");
        })
    }

    fn tokens(&self) -> SemanticTokens {
        SemanticTokens {
            result_id: Some(self.id.to_string()),
            data: joined(&self.pieces, 0).collect(),
        }
    }
}

/// What is kept of the open documents that were asked about.
#[derive(Default)]
pub struct Tokens(Mutex<(u64, BTreeMap<FileKey, Kept>)>);

impl Tokens {
    fn with<T>(
        &self,
        snapshot: &Snapshot,
        uri: &Url,
        stop: Stop,
        answer: impl FnOnce(&mut Kept, u64) -> T,
    ) -> Result<Option<T>> {
        let world = &snapshot.world;
        let key = key_of(uri);
        let Some(open) = world.documents.get(&key) else {
            return Ok(None);
        };
        let Ok(mark) = open.document.mark() else {
            return Ok(None);
        };
        let mut all = lock(&self.0);
        let (last, all) = &mut *all;
        all.retain(|key, _| world.documents.contains_key(key));
        let kept = all.entry(key).or_insert_with(|| Kept {
            revision: 0,
            mark,
            lines: Lines::default(),
            starts: Vec::new(),
            pieces: Vec::new(),
            told: None,
        });
        if kept.revision > snapshot.revision {
            // Somebody has asked about a newer text.
            return Err(Error::content_modified());
        }
        kept.revision = snapshot.revision;
        if kept
            .update(&open.document, world.client.encoding, stop)
            .is_none()
        {
            return Ok(None);
        }
        *last += 1;
        Ok(Some(answer(kept, *last)))
    }

    /// All tokens of a document.
    pub fn full(&self, snapshot: &Snapshot, uri: &Url, stop: Stop) -> Result<Option<All>> {
        self.with(snapshot, uri, stop, Kept::tell)
    }

    /// What has changed since an answer; all, where that is not the last one.
    pub fn delta(
        &self,
        snapshot: &Snapshot,
        uri: &Url,
        previous: &str,
        stop: Stop,
    ) -> Result<Option<SemanticTokensFullDeltaResult>> {
        self.with(snapshot, uri, stop, |kept, id| {
            let told = kept.told.take();
            let Some((_, told)) = told.filter(|(told, _)| told.to_string() == previous) else {
                return kept.tell(id).tokens().into();
            };
            let edit = difference(&told, &kept.pieces);
            kept.told = Some((id, kept.pieces.clone()));
            SemanticTokensDelta {
                result_id: Some(id.to_string()),
                edits: edit.into_iter().collect(),
            }
            .into()
        })
    }
}

/// The tokens in the lines of a range. Only the stanzas there are read.
pub fn in_range(document: &Document, encoding: Encoding, range: Range) -> Option<SemanticTokens> {
    let lines = document.lines().ok()?;
    let count = u32::try_from(lines.count()).unwrap_or(u32::MAX);
    let first = range.start.line.min(count - 1);
    let end = match range.end {
        end if end.character > 0 => end.line.saturating_add(1),
        end => end.line,
    };
    let end = end.clamp(first, count);
    let start_of = |line| match line < count {
        true => lines.offset(Position { line, column: 0 }, encoding),
        false => lines.bytes(),
    };
    let begins = |line: u32| {
        begins_a_stanza(&lines.slice(Span::between(start_of(line), start_of(line + 1))))
    };
    let from = (1..=first).rev().find(|line| begins(*line)).unwrap_or(0);
    let to = (end..count).find(|line| begins(*line)).unwrap_or(count);
    let text = lines.slice(Span::between(start_of(from), start_of(to)));
    let stanzas = read_file(&text).stanzas.into_iter();
    let pieces: Vec<_> = stanzas
        .map(|placed| Arc::new(Piece::of(&placed.stanza, encoding)))
        .collect();
    let (mut line, mut before) = (from, 0);
    let mut data = Vec::new();
    for token in joined(&pieces, 0) {
        line += token.delta_line;
        if line >= first && line < end {
            data.push(SemanticToken {
                delta_line: line - before,
                ..token
            });
            before = line;
        }
    }
    Some(SemanticTokens {
        result_id: None,
        data,
    })
}

/// Whether a stanza begins with this line, whatever stands above.
fn begins_a_stanza(line: &str) -> bool {
    let line = line.strip_prefix('\u{feff}').unwrap_or(line);
    let word = syntax::tokens(line).into_iter().next();
    word.is_some_and(|word| {
        let text = word.span.of(line).unwrap_or("");
        word.span.start == 0 && StanzaWord::from_word(text).is_some()
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::capabilities::Client;
    use super::super::session::Session;
    use super::*;
    use crate::text::Change;

    fn uri() -> Url {
        Url::parse("untitled:plan").unwrap()
    }

    fn session(encoding: Encoding, text: &str) -> Session {
        let session = Session::default();
        let client = Client {
            encoding,
            ..Client::default()
        };
        session.begin(client, Default::default(), vec![]);
        session.open(uri(), text, 1).unwrap();
        session
    }

    fn all_numbers(tokens: &[SemanticToken]) -> Vec<u32> {
        tokens.iter().flat_map(super::numbers).collect()
    }

    /// `line:column+length kind`, one after the other.
    fn shown(data: &[SemanticToken]) -> Vec<String> {
        let (mut line, mut column) = (0, 0);
        let each = data.iter().map(|token| {
            if token.delta_line > 0 {
                (line, column) = (line + token.delta_line, 0);
            }
            column += token.delta_start;
            let kind = legend().token_types[token.token_type as usize]
                .as_str()
                .to_owned();
            let plus = if token.token_modifiers_bitset == 1 {
                "+"
            } else {
                ""
            };
            format!("{line}:{column}+{} {kind}{plus}", token.length)
        });
        each.collect()
    }

    fn all(session: &Session) -> Vec<SemanticToken> {
        let tokens = Tokens::default();
        let all = tokens.full(&session.snapshot(), &uri(), &|| false);
        all.unwrap().unwrap().tokens().data
    }

    #[test]
    fn columns_count_what_was_agreed() {
        let text = "\u{feff}# 𝄞 é\r\nzone 𝄞é\r\r\n  sealed\n";
        for (encoding, comment) in [
            (Encoding::Utf8, "0:3+9 comment"),
            (Encoding::Utf16, "0:1+6 comment"),
            (Encoding::Utf32, "0:1+5 comment"),
        ] {
            let shown = shown(&all(&session(encoding, text)));
            assert_eq!(shown[0], comment);
            assert_eq!(shown[1], "1:0+4 keyword");
            assert_eq!(shown.last().unwrap(), "3:2+6 property");
        }
        let shown = shown(&all(&session(
            Encoding::Utf16,
            "zone öl in\nlamp ö𐐀 of x\n",
        )));
        assert_eq!(
            shown,
            [
                "0:0+4 keyword",
                "0:5+2 namespace+",
                "0:8+2 property",
                "1:0+4 keyword",
                "1:5+3 variable+",
                "1:9+2 property",
                "1:12+1 class"
            ]
        );
    }

    /// Texts that are rich in what is easily got wrong.
    fn text() -> impl Strategy<Value = String> {
        let piece = prop::sample::select(vec![
            "zone a",
            "lamp b of c from d",
            "# x",
            "  # y",
            "\n",
            "\n",
            "\r\n",
            "\r",
            " ",
            ",",
            "sealed",
            "  note \"é𝄞\"",
            "scene s off a,\nb",
            "\u{feff}",
            "𝄞",
            "as",
            "joint",
            "6 lamps",
            "\u{2028}",
        ]);
        prop::collection::vec(piece, 0..30).prop_map(|pieces| pieces.concat())
    }

    fn change() -> impl Strategy<Value = Change> {
        let place = (0u32..14, 0u32..20).prop_map(|(line, column)| Position { line, column });
        let range = prop::option::weighted(0.95, (place.clone(), place));
        (range, text()).prop_map(|(range, text)| Change {
            range: range.map(|(a, b)| (a.min(b), a.max(b))),
            text: text.chars().take(12).collect(),
        })
    }

    proptest! {
        #[test]
        fn what_is_packed_comes_out_again(numbers in prop::collection::vec(any::<[u32; NUMBERS]>(), 0..20)) {
            let tokens: Vec<SemanticToken> = (numbers.into_iter())
                .map(|[delta_line, delta_start, length, token_type, token_modifiers_bitset]| SemanticToken {
                    delta_line, delta_start, length, token_type, token_modifiers_bitset,
                })
                .collect();
            let packed = Packed::of(tokens.iter().copied());
            prop_assert_eq!(packed.len(), tokens.len());
            prop_assert_eq!(packed.iter().collect::<Vec<_>>(), tokens);
        }

        /// Whatever was told before: a difference makes what all would be, and a range is a part of that.
        #[test]
        fn differences_and_ranges_are_the_whole(
            first in text(),
            changes in prop::collection::vec((change(), 0u8..4), 0..12),
            which in 0usize..3,
            from in 0u32..14, size in 0u32..14, column in 0u32..2,
        ) {
            let encoding = [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32][which];
            let session = session(encoding, &first);
            let tokens = Tokens::default();
            let told = tokens.full(&session.snapshot(), &uri(), &|| false).unwrap().unwrap().tokens();
            let (mut id, mut known) = (told.result_id.unwrap(), all_numbers(&told.data));
            for (version, (change, looks)) in changes.into_iter().enumerate() {
                session.edit(&key_of(&uri()), vec![change], version as i32 + 2).unwrap().unwrap();
                if looks == 0 {
                    continue;
                }
                let previous = if looks == 1 { "other" } else { &id };
                let now = tokens.delta(&session.snapshot(), &uri(), previous, &|| false);
                match now.unwrap().unwrap() {
                    SemanticTokensFullDeltaResult::Tokens(all) => {
                        (id, known) = (all.result_id.unwrap(), all_numbers(&all.data));
                    }
                    SemanticTokensFullDeltaResult::TokensDelta(delta) => {
                        prop_assert_ne!(looks, 1);
                        id = delta.result_id.unwrap();
                        for edit in delta.edits {
                            let start = edit.start as usize;
                            let end = start + edit.delete_count as usize;
                            known.splice(start..end, all_numbers(&edit.data.unwrap()));
                        }
                    }
                    other => panic!("{other:?}"),
                }
                prop_assert_eq!(&known, &all_numbers(&all(&session)));
            }
            let snapshot = session.snapshot();
            let document = &snapshot.world.documents[&key_of(&uri())].document;
            let end = lsp_types_position(from + size, column);
            let part = in_range(document, encoding, Range::new(lsp_types_position(from, 3), end)).unwrap();
            let lines = document.lines().unwrap().count() as u32;
            let (first, last) = (from.min(lines - 1), from + size + column);
            let whole = shown(&all(&session));
            let within = |token: &&String| {
                let line: u32 = token.split(':').next().unwrap().parse().unwrap();
                line >= first && line < last
            };
            let whole: Vec<&String> = whole.iter().filter(within).collect();
            let part = shown(&part.data);
            prop_assert_eq!(part.iter().collect::<Vec<_>>(), whole);
        }
    }

    fn lsp_types_position(line: u32, character: u32) -> tower_lsp::lsp_types::Position {
        tower_lsp::lsp_types::Position::new(line, character)
    }

    #[test]
    fn what_is_asked_too_late_is_refused_and_closed_documents_are_forgotten() {
        let session = session(Encoding::Utf16, "zone a\n");
        let tokens = Tokens::default();
        let old = session.snapshot();
        let change = Change {
            range: None,
            text: "zone b\n".into(),
        };
        session
            .edit(&key_of(&uri()), vec![change], 2)
            .unwrap()
            .unwrap();
        assert!(
            tokens
                .full(&session.snapshot(), &uri(), &|| false)
                .unwrap()
                .is_some()
        );
        let late = tokens.full(&old, &uri(), &|| false).err().unwrap();
        assert_eq!(late.code.code(), -32801);
        session.close(&uri());
        let other = Url::parse("untitled:other").unwrap();
        session.open(other.clone(), "", 1).unwrap();
        assert!(
            tokens
                .full(&session.snapshot(), &uri(), &|| false)
                .unwrap()
                .is_none()
        );
        let empty = tokens
            .full(&session.snapshot(), &other, &|| false)
            .unwrap()
            .unwrap();
        assert!(empty.tokens().data.is_empty());
        assert_eq!(lock(&tokens.0).1.len(), 1);
    }

    #[test]
    fn one_keystroke_is_told_in_few_numbers() {
        let text = include_str!("../../docs/examples/night-ferry.harness");
        let session = session(Encoding::Utf16, text);
        let tokens = Tokens::default();
        let told = tokens
            .full(&session.snapshot(), &uri(), &|| false)
            .unwrap()
            .unwrap()
            .tokens();
        let line = text
            .lines()
            .position(|line| line.starts_with("joint"))
            .unwrap() as u32;
        let at = Position { line, column: 5 };
        let change = Change {
            range: Some((at, at)),
            text: " ".into(),
        };
        session
            .edit(&key_of(&uri()), vec![change], 2)
            .unwrap()
            .unwrap();
        let id = told.result_id.unwrap();
        let now = tokens
            .delta(&session.snapshot(), &uri(), &id, &|| false)
            .unwrap()
            .unwrap();
        let SemanticTokensFullDeltaResult::TokensDelta(delta) = now else {
            panic!("{now:?}")
        };
        let [edit] = &delta.edits[..] else {
            panic!("{delta:?}")
        };
        assert_eq!(
            (edit.delete_count, edit.data.as_ref().unwrap().len()),
            (5, 1)
        );
    }
}
