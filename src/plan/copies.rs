//! What is there twice: the pieces of a pattern under each copy's name.

use std::collections::HashMap;
use std::sync::Arc;

use super::model::*;
use super::names::{error, join, split_first};
use super::resolve::{Inside, Resolver};
use super::wiring::Draft;
use crate::syntax::tree::{Clause, Name, Stanza, TokenKind, ValueKind};
use crate::syntax::vocabulary::{MOST_OF_A_COUNT, Role, StanzaWord};
use crate::text::Span;

/// So many pieces all copies of one pattern may have: a few lines must not make a plan that nothing can hold.
const MOST_PIECES: usize = MOST_OF_A_COUNT as usize;

/// The clauses that count for an item: its own, and what a copy puts in their place.
pub(super) struct Clauses {
    id: StanzaId,
    own: Arc<Stanza>,
    instead: Vec<(StanzaId, Clause)>,
}

impl Clauses {
    /// A stanza's own clauses.
    pub(super) fn plain(id: StanzaId, own: Arc<Stanza>) -> Clauses {
        Clauses {
            id,
            own,
            instead: Vec::new(),
        }
    }

    /// The clause of this word, and the stanza that it is written in.
    pub(super) fn get(&self, word: &str) -> Option<(StanzaId, &Clause)> {
        let own = || self.own.clause(word).map(|c| (self.id, c));
        if self.instead.is_empty() {
            return own();
        }
        if let Some((id, clause)) = self.instead.iter().find(|(_, c)| c.word == word) {
            return Some((*id, clause));
        }
        let shape = self.own.word?.shape();
        let mark = |word: &str| {
            shape
                .clauses
                .iter()
                .find(|s| s.word == word)
                .and_then(|s| s.instead)
        };
        // `takes` from a copy puts out the piece's own `draws`: they exclude each other.
        if let Some(own) = mark(word)
            && self.instead.iter().any(|(_, c)| mark(c.word) == Some(own))
        {
            return None;
        }
        own()
    }
}

/// A piece of a copy.
pub(super) enum Piece {
    Item(Box<Draft>, Definition),
    Link {
        name: Name,
        id: StanzaId,
        stanza: Arc<Stanza>,
        inside: Arc<Inside>,
    },
}

/// The pieces of a copy, under its name. What is wrong with the copy's `where` and `but` is reported.
pub(super) fn pieces(
    plan: &mut Plan,
    resolver: &mut Resolver,
    copy: &Draft,
    index: usize,
) -> Vec<Piece> {
    let Some((pattern_name, span)) = copy.stanza.head.get(1).and_then(|v| match &v.kind {
        ValueKind::Name(name) => Some((name.clone(), v.span)),
        _ => None,
    }) else {
        return Vec::new();
    };
    let Some(pattern) = resolver.names.patterns.get_mut(&pattern_name) else {
        return Vec::new();
    };
    pattern.copied += pattern.pieces.len();
    let pattern = pattern.clone();
    if pattern.copied > MOST_PIECES {
        let message = format!(
            "Up to this one the copies of `{}` have {} pieces. More than {MOST_PIECES} is more than this tool is for.",
            pattern_name.0, pattern.copied
        );
        error(plan, "syntax", copy.id, span, message);
        return Vec::new();
    }

    let stand_ins = stand_ins(plan, resolver, copy, &pattern_name, &pattern.needs);
    let inside = Arc::new(Inside {
        pattern: pattern_name.clone(),
        copy: Some(copy.name.clone()),
        needs: pattern.needs.clone(),
        stand_ins,
    });
    let mut replaced = but(plan, copy, &pattern.pieces);

    let mut pieces = Vec::new();
    for (piece, id) in &pattern.pieces {
        let stanza = plan.files[id.file.0].tree.stanzas[id.index].stanza.clone();
        let (Some(word), Some((_, span))) = (stanza.word, stanza.name()) else {
            continue;
        };
        if plan.left_out.contains(id) {
            continue;
        }
        let name = join(&copy.name, piece);
        if word == StanzaWord::Link {
            pieces.push(Piece::Link {
                name,
                id: *id,
                stanza,
                inside: inside.clone(),
            });
            continue;
        }
        let mut draft = Draft::new(name, word, *id, stanza.clone());
        draft.copy = Some(index);
        draft.inside = Some(inside.clone());
        draft.clauses = Clauses {
            id: *id,
            own: stanza,
            instead: replaced.remove(piece).unwrap_or_default(),
        };
        pieces.push(Piece::Item(
            Box::new(draft),
            Definition {
                word,
                stanza: *id,
                span,
                target: None,
            },
        ));
    }
    pieces
}

/// What each needed word stands for; a word that is missing or not needed is reported.
fn stand_ins(
    plan: &mut Plan,
    resolver: &mut Resolver,
    copy: &Draft,
    pattern: &Name,
    needs: &[Name],
) -> HashMap<Name, (Name, (StanzaId, Span))> {
    let mut stand_ins = HashMap::new();
    let clause = copy.stanza.clause("where");
    let words: Vec<_> = clause.into_iter().flat_map(Clause::names).collect();
    for pair in words.chunks(2) {
        let [(need, need_span), (name, name_span)] = pair else {
            continue;
        };
        if !needs.contains(need) {
            let list: Vec<&str> = needs.iter().map(|n| &*n.0).collect();
            let message = if list.is_empty() {
                format!("The pattern `{}` needs no words: remove this.", pattern.0)
            } else {
                format!(
                    "The pattern `{}` needs no `{}`. It needs {}.",
                    pattern.0,
                    need.0,
                    list.join(", ")
                )
            };
            error(plan, "unknown-name", copy.id, *need_span, message);
            continue;
        }
        if stand_ins.contains_key(*need) {
            let message = format!("`{}` is given twice: keep one.", need.0);
            error(plan, "clause-repeated", copy.id, *need_span, message);
            continue;
        }
        let known = resolver.names.plan.contains_key(*name)
            || split_first(name).1.is_some()
                && resolver.names.plan.contains_key(&split_first(name).0);
        if known {
            if resolver.names.plan.contains_key(*name) {
                // Kinds are judged where the word is used; here the name is only noted.
                let _ = resolver.definition(plan, (copy.id, *name_span), name, Role::StandIn, None);
            }
        } else {
            resolver.unknown(copy.id, *name_span, name, Role::StandIn, None);
        }
        stand_ins.insert((*need).clone(), ((*name).clone(), (copy.id, *name_span)));
    }
    let missing: Vec<&str> = needs
        .iter()
        .filter(|n| !stand_ins.contains_key(*n))
        .map(|n| &*n.0)
        .collect();
    if !missing.is_empty() {
        let core = copy.stanza.core_span();
        let span = clause.map_or(core, |c| c.span);
        let last = last_word(&copy.stanza, span);
        let message = format!(
            "The pattern `{}` needs a name for {}: add it under `where`.",
            pattern.0,
            missing.join(", ")
        );
        error(plan, "clause-missing", copy.id, last, message);
    }
    stand_ins
}

/// The last word within a span.
fn last_word(stanza: &Stanza, within: Span) -> Span {
    stanza
        .tokens
        .iter()
        .rev()
        .find(|t| {
            t.span.end <= within.end && !matches!(t.kind, TokenKind::Comment | TokenKind::LineEnd)
        })
        .map_or(within, |t| t.span)
}

/// The clauses that the copy's `but`s put in place of its pieces' own.
fn but(
    plan: &mut Plan,
    copy: &Draft,
    pieces: &[(Name, StanzaId)],
) -> HashMap<Name, Vec<(StanzaId, Clause)>> {
    let mut replaced: HashMap<Name, Vec<(StanzaId, Clause)>> = HashMap::new();
    for clause in copy.stanza.clauses.iter().filter(|c| c.word == "but") {
        let Some((name, span)) = clause.names().next() else {
            continue;
        };
        let Some((_, id)) = pieces.iter().find(|(piece, _)| piece == name) else {
            let list: Vec<&str> = pieces.iter().map(|(piece, _)| &*piece.0).collect();
            let message = format!(
                "The pattern has no piece `{}`. It has {}.",
                name.0,
                list.join(", ")
            );
            error(plan, "unknown-name", copy.id, span, message);
            continue;
        };
        let Some(word) = plan.stanza(*id).word else {
            continue;
        };
        for part in &clause.parts {
            if word
                .shape()
                .clauses
                .iter()
                .any(|shape| shape.word == part.word)
            {
                replaced
                    .entry(name.clone())
                    .or_default()
                    .push((copy.id, part.clone()));
            } else {
                let message = format!(
                    "`{}` is a {}, and `{}` does not go with it.",
                    name.0,
                    word.word(),
                    part.word
                );
                error(plan, "syntax", copy.id, part.word_span, message);
            }
        }
    }
    replaced
}

/// Judges the names within each pattern once, so that one without a copy is read too.
pub(super) fn judge_patterns(plan: &mut Plan, resolver: &mut Resolver) {
    let mut patterns: Vec<(Name, Vec<(Name, StanzaId)>)> = resolver
        .names
        .patterns
        .iter()
        .map(|(name, p)| (name.clone(), p.pieces.clone()))
        .collect();
    // The same text, the same order.
    patterns.sort_unstable_by(|a, b| a.0.0.cmp(&b.0.0));
    for (pattern, pieces) in patterns {
        let inside = Inside {
            pattern,
            copy: None,
            needs: Vec::new(),
            stand_ins: HashMap::new(),
        };
        for (_, id) in pieces {
            let stanza = plan.files[id.file.0].tree.stanzas[id.index].stanza.clone();
            if plan.left_out.contains(&id) {
                continue;
            }
            judge_piece(plan, resolver, id, &stanza, &inside);
        }
    }
}

fn judge_piece(
    plan: &Plan,
    resolver: &mut Resolver,
    id: StanzaId,
    stanza: &Stanza,
    inside: &Inside,
) {
    let Some(word) = stanza.word else { return };
    let role = match word {
        StanzaWord::Strip => Some(Role::Tape),
        StanzaWord::Lamp | StanzaWord::String => Some(Role::Led),
        StanzaWord::Board => Some(Role::Module),
        _ => None,
    };
    if let (Some(role), Some(value)) = (role, stanza.head.get(1))
        && let ValueKind::Name(name) = &value.kind
    {
        let _ = resolver.definition(plan, (id, value.span), name, role, Some(inside));
    }
    fn clauses(
        plan: &Plan,
        resolver: &mut Resolver,
        id: StanzaId,
        list: &[Clause],
        inside: &Inside,
    ) {
        for clause in list {
            for (name, span) in clause.names() {
                let at = (id, span);
                let role = match clause.word {
                    "from" | "return" | "between" => {
                        let _ = resolver.point(plan, at, name, Role::Point, Some(inside));
                        continue;
                    }
                    "over" => Role::Wire,
                    "via" => Role::Passage,
                    "in" => Role::Zone,
                    _ => continue,
                };
                let _ = resolver.definition(plan, at, name, role, Some(inside));
            }
            clauses(plan, resolver, id, &clause.parts, inside);
        }
    }
    clauses(plan, resolver, id, &stanza.clauses, inside);
}
