//! Writes a copy of a pattern out: the copy becomes a joint of the same name and feed, and its pieces become
//! stanzas of their own right behind it.
//!
//! Every word that the pattern needs is put in as the copy's `where` says, every clause as its `but` says; comments,
//! notes and accepts go along. A name cannot have a dot, so `port.tip` becomes `port-tip`, or the next that is free,
//! wherever the plan says it. Where this was the last copy of a pattern of the same file, the pattern goes: nothing
//! builds it any more. A pattern of a used file stays, since other plans may use that file.

use std::collections::{BTreeMap, HashMap};

use super::columns::hold_columns;
use super::free_name::{free_name, numbered};
use super::stanza_text::{
    insert_after, line_end, names_written, removals, with_comments, words_on_one_line, words_spelt,
};
use super::{Candidate, changed_stanza};
use crate::numbers::count;
use crate::plan::{Edit, ItemId, Plan, StanzaId, split_first};
use crate::syntax::tree::{Clause, Name, Stanza, Token, TokenKind, names};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// An `accept` of the copy that silences a check on pieces: it goes with those.
#[derive(Clone, Debug, PartialEq)]
pub struct AcceptOfPieces {
    /// The clause, in the copy's stanza.
    pub clause: Span,
    /// The pieces that it is for.
    pub pieces: Vec<ItemId>,
    /// Whether it is for the copy itself too, and stays there.
    pub stays: bool,
}

/// The copy as a joint and plain stanzas. `None` where the item is no copy, or where it, its pattern or a piece is in
/// error.
pub fn write_copy_out(plan: &Plan, copy: ItemId, accepted: &[AcceptOfPieces]) -> Option<Candidate> {
    let writing = Writing::of(plan, copy)?;
    let buts = writing.buts();
    let mut stanzas = Vec::new();
    for (piece, id) in &writing.pieces {
        let mut of_copy = buts.get(piece).cloned().unwrap_or_default();
        for accept in accepted {
            let names = accept.pieces.iter().map(|p| &plan.items[p.0].name);
            if names.into_iter().any(|name| *name == writing.full(piece)) {
                of_copy.more.push(accept.clause);
            }
        }
        stanzas.push(writing.piece(*id, &of_copy)?);
    }
    let goes = writing.is_last();
    let mut edits = writing.joint(&buts, accepted, goes)?;
    let end = line_end(plan, writing.copy);
    edits.push(insert_after(plan, writing.copy, &stanzas.join(end)));
    edits.extend(writing.renamed_elsewhere(goes));
    if goes {
        edits.extend(writing.without_pattern());
    }
    let pattern = match goes {
        true => format!(", and pattern {} goes", writing.pattern.0),
        false => String::new(),
    };
    Some(Candidate {
        title: format!(
            "write {} out: {}{pattern}; every figure stays",
            writing.name.0,
            count(stanzas.len() + 1, "stanza")
        ),
        edits,
        told: Vec::new(),
    })
}

/// What a copy says of one piece.
#[derive(Clone, Default)]
struct OfCopy {
    /// The clauses of its `but`s.
    instead: Vec<Clause>,
    /// Clauses that come on top.
    more: Vec<Span>,
    /// Comments that stand on the lines of its `but`s.
    comments: Vec<Span>,
}

struct Writing<'a> {
    plan: &'a Plan,
    copy: StanzaId,
    name: &'a Name,
    pattern: &'a Name,
    pattern_stanza: StanzaId,
    /// The pieces in the order of the plan: the name without the pattern's, and the stanza.
    pieces: Vec<(Name, StanzaId)>,
    /// What each piece is called from now on.
    new_names: BTreeMap<Name, String>,
    /// What the needed words stand for.
    stand_ins: HashMap<&'a Name, &'a Name>,
}

impl<'a> Writing<'a> {
    fn of(plan: &'a Plan, copy: ItemId) -> Option<Writing<'a>> {
        let item = plan.items.get(copy.0)?;
        if item.word != StanzaWord::Copy {
            return None;
        }
        let stanza = plan.stanza(item.stanza);
        let (name, _) = stanza.name()?;
        let (pattern, _) = names(&stanza.head).nth(1)?;
        let pattern_stanza = plan.names.get(pattern)?.stanza;
        let mut pieces = Vec::new();
        for &id in &plan.order {
            let Some((written, _)) = plan.stanza(id).name() else {
                continue;
            };
            if let (first, Some(own)) = split_first(written)
                && first == *pattern
            {
                pieces.push((own, id));
            }
        }
        let involved = pieces.iter().map(|(_, id)| *id);
        let mut involved = involved.chain([item.stanza, pattern_stanza]);
        if involved.any(|id| plan.left_out.contains(&id)) {
            return None;
        }
        let words: Vec<&Name> = stanza
            .clause("where")
            .into_iter()
            .flat_map(Clause::names)
            .map(|(name, _)| name)
            .collect();
        let stand_ins = words
            .chunks(2)
            .filter_map(|pair| Some((*pair.first()?, *pair.get(1)?)))
            .collect();
        let mut new_names = BTreeMap::new();
        let mut given = Vec::new();
        for (own, _) in &pieces {
            let new = free_name(
                plan,
                None,
                &given,
                numbered(&format!("{}-{}", name.0, own.0)),
            );
            given.push(new.clone());
            new_names.insert(own.clone(), new);
        }
        Some(Writing {
            plan,
            copy: item.stanza,
            name,
            pattern,
            pattern_stanza,
            pieces,
            new_names,
            stand_ins,
        })
    }

    /// A piece's name under the copy, as it was.
    fn full(&self, piece: &Name) -> Name {
        Name(format!("{}.{}", self.name.0, piece.0).into())
    }

    /// How a name of a piece of this copy is written from now on; `None` for all others.
    fn renamed(&self, name: &Name) -> Option<String> {
        let (first, rest) = split_first(name);
        if first != *self.name {
            return None;
        }
        self.piece_named(&rest?)
    }

    /// `tip` or `board.output`, by the piece's new name.
    fn piece_named(&self, name: &Name) -> Option<String> {
        let (piece, tail) = split_first(name);
        let new = self.new_names.get(&piece)?;
        Some(match tail {
            Some(tail) => format!("{new}.{}", tail.0),
            None => new.clone(),
        })
    }

    /// How a name within the pattern is written in plain stanzas; `None` where it stays.
    fn spelt(&self, name: &Name) -> Option<String> {
        let (first, rest) = split_first(name);
        if first != *self.pattern {
            return self.renamed(name);
        }
        let Some(rest) = rest else {
            return Some(self.name.0.to_string());
        };
        let (word, tail) = split_first(&rest);
        let Some(&stands_for) = self.stand_ins.get(&word) else {
            return self.piece_named(&rest);
        };
        let full = match tail {
            Some(tail) => Name(format!("{}.{}", stands_for.0, tail.0).into()),
            None => stands_for.clone(),
        };
        Some(self.renamed(&full).unwrap_or_else(|| full.0.to_string()))
    }

    /// What the copy's `but`s say, by piece.
    fn buts(&self) -> BTreeMap<Name, OfCopy> {
        let stanza = self.plan.stanza(self.copy);
        let mut all: BTreeMap<Name, OfCopy> = BTreeMap::new();
        for but in stanza.clauses.iter().filter(|c| c.word == "but") {
            let Some((piece, _)) = but.names().next() else {
                continue;
            };
            let here = all.entry(piece.clone()).or_default();
            for part in &but.parts {
                // Where two say the same clause, the first counts.
                if !here.instead.iter().any(|c| c.word == part.word) {
                    here.instead.push(part.clone());
                }
            }
            here.comments.extend(comments_beside(stanza, but.span));
        }
        all
    }

    /// The text of one piece as a plain stanza, with its comments, without the last line end.
    fn piece(&self, id: StanzaId, of_copy: &OfCopy) -> Option<String> {
        let (plan, stanza, copy) = (self.plan, self.plan.stanza(id), self.plan.stanza(self.copy));
        let shapes = stanza.word?.shape().clauses;
        let place = |word: &str| {
            let shape = shapes.iter().find(|s| s.word == word);
            shape.and_then(|s| s.instead).unwrap_or_default()
        };
        let in_place_of = |own: &Clause, new: &Clause| {
            own.word == new.word
                || !place(own.word).is_empty() && place(own.word) == place(new.word)
        };
        let mut words: Vec<String> = of_copy
            .instead
            .iter()
            .map(|clause| self.words_of_copy(clause.span))
            .collect();
        let mut edits = Vec::new();
        let mut comments = Vec::new();
        for own in &stanza.clauses {
            let mut new = of_copy.instead.iter().enumerate();
            let Some((k, _)) = new.find(|(_, new)| in_place_of(own, new)) else {
                continue;
            };
            comments.extend(comments_within(stanza, own.span).map(|c| stanza.words(c)));
            edits.push((own.span, std::mem::take(&mut words[k])));
        }
        let replaced: Vec<Span> = edits.iter().map(|(span, _)| *span).collect();
        let is_replaced = |span: Span| {
            replaced
                .iter()
                .any(|r| r.start <= span.start && span.end <= r.end)
        };
        for (name, span) in names_written(stanza) {
            if let Some(new) = self.spelt(name).filter(|_| !is_replaced(span)) {
                edits.push((span, new));
            }
        }
        words.extend(
            of_copy
                .more
                .iter()
                .map(|&span| words_on_one_line(copy, span)),
        );
        let more: String = words
            .iter()
            .filter(|w| !w.is_empty())
            .map(|w| format!(" {w}"))
            .collect();
        let core_end = stanza.core_span().end;
        edits.push((Span::new(core_end, core_end), more));
        edits.sort_by_key(|(span, _)| *span);
        let edits = edits.into_iter().map(|(span, text)| Edit {
            stanza: id,
            span,
            text,
        });
        let text = changed_stanza(plan, id, &hold_columns(plan, id, edits.collect()))?;
        // Blank lines and what else stands around the stanza is not copied.
        let own = with_comments(stanza);
        let behind = stanza.text.len() - own.end as usize;
        let text = text.get(own.start as usize..text.len() - behind)?;
        comments.extend(of_copy.comments.iter().map(|&span| copy.words(span)));
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        lines.extend(comments.iter().map(|comment| format!("  {comment}")));
        Some(lines.join(line_end(plan, self.copy)))
    }

    /// Words of the copy on one line, as they are said in plain stanzas.
    fn words_of_copy(&self, span: Span) -> String {
        let stanza = self.plan.stanza(self.copy);
        let written = names_written(stanza);
        words_spelt(stanza, span, &|word| {
            let (name, _) = written.iter().find(|(_, at)| *at == word)?;
            self.spelt(name)
        })
    }

    /// The copy's stanza as a joint.
    fn joint(
        &self,
        buts: &BTreeMap<Name, OfCopy>,
        accepted: &[AcceptOfPieces],
        pattern_goes: bool,
    ) -> Option<Vec<Edit>> {
        let (plan, id) = (self.plan, self.copy);
        let stanza = plan.stanza(id);
        let (_, name) = stanza.name()?;
        let (_, pattern) = names(&stanza.head).nth(1)?;
        let clauses = stanza.clauses.iter();
        let mut gone: Vec<Span> = clauses
            .filter(|c| matches!(c.word, "where" | "but"))
            .map(|c| c.span)
            .collect();
        gone.extend(accepted.iter().filter(|a| !a.stays).map(|a| a.clause));
        let moved: Vec<Span> = buts.values().flat_map(|b| b.comments.clone()).collect();
        let is_gone = |token: &Token| {
            let within = |s: &Span| s.start <= token.span.start && token.span.end <= s.end;
            match token.kind {
                TokenKind::Comment => moved.contains(&token.span),
                _ => gone.iter().any(within) || within(&Span::new(name.end, pattern.end)),
            }
        };
        let mut edits = vec![(stanza.word_span, StanzaWord::Joint.word().to_owned())];
        if pattern_goes {
            let notes = plan.stanza(self.pattern_stanza);
            let notes: String = notes
                .clauses
                .iter()
                .filter(|c| c.word == "note")
                .map(|c| format!(" {}", words_on_one_line(notes, c.span)))
                .collect();
            let at = stanza.clause("from")?.span.end;
            edits.push((Span::new(at, at), notes));
        }
        edits.extend(
            removals(stanza, &is_gone)
                .into_iter()
                .map(|s| (s, String::new())),
        );
        let edits = edits
            .into_iter()
            .filter(|(span, text)| stanza.words(*span) != text);
        let edits = edits.map(|(span, text)| Edit {
            stanza: id,
            span,
            text,
        });
        Some(hold_columns(plan, id, edits.collect()))
    }

    /// The pieces' new names wherever else the plan says them.
    fn renamed_elsewhere(&self, pattern_goes: bool) -> Vec<Edit> {
        let plan = self.plan;
        let is_own = |id: StanzaId| {
            id == self.copy || pattern_goes && self.pieces.iter().any(|(_, piece)| *piece == id)
        };
        let mut all = Vec::new();
        for &id in plan.order.iter().filter(|id| !is_own(**id)) {
            let written = names_written(plan.stanza(id)).into_iter();
            let edits: Vec<Edit> = written
                .filter_map(|(name, span)| {
                    Some(Edit {
                        stanza: id,
                        span,
                        text: self.renamed(name)?,
                    })
                })
                .collect();
            if !edits.is_empty() {
                all.extend(hold_columns(plan, id, edits));
            }
        }
        all
    }

    /// Whether this is the last copy of a pattern that stands in the same file.
    fn is_last(&self) -> bool {
        let plan = self.plan;
        let of_pattern = plan.order.iter().filter(|id| {
            let stanza = plan.stanza(**id);
            stanza.word == Some(StanzaWord::Copy)
                && names(&stanza.head).nth(1).map(|(name, _)| name) == Some(self.pattern)
        });
        let parts = self.pieces.iter().map(|(_, id)| *id);
        let mut parts = parts.chain([self.pattern_stanza]);
        of_pattern.count() == 1 && parts.all(|id| id.file == self.copy.file)
    }

    /// The pattern and its pieces taken out; the comments of the pattern itself stay.
    fn without_pattern(&self) -> Vec<Edit> {
        let pattern = self.plan.stanza(self.pattern_stanza);
        let words = removals(pattern, &|token| token.kind != TokenKind::Comment);
        let words = words.into_iter().map(|span| (self.pattern_stanza, span));
        let pieces = self.pieces.iter();
        let pieces = pieces.map(|(_, id)| (*id, with_comments(self.plan.stanza(*id))));
        words
            .chain(pieces)
            .map(|(stanza, span)| Edit {
                stanza,
                span,
                text: String::new(),
            })
            .collect()
    }
}

/// The comments within a span.
fn comments_within(stanza: &Stanza, span: Span) -> impl Iterator<Item = Span> + '_ {
    let comments = stanza
        .tokens
        .iter()
        .filter(|t| t.kind == TokenKind::Comment);
    comments
        .map(|t| t.span)
        .filter(move |c| span.start <= c.start && c.end <= span.end)
}

/// The comments at the ends of lines on which nothing but words of this clause stands.
fn comments_beside(stanza: &Stanza, clause: Span) -> Vec<Span> {
    let lines = stanza.tokens.split(|t| t.kind == TokenKind::LineEnd);
    let comments = lines.filter_map(|line| {
        let (comment, words) = line.split_last()?;
        let own = |t: &Token| clause.start <= t.span.start && t.span.end <= clause.end;
        let is_beside =
            comment.kind == TokenKind::Comment && !words.is_empty() && words.iter().all(own);
        is_beside.then_some(comment.span)
    });
    comments.collect()
}
