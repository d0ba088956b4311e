//! Patterns and copies: the words that a pattern needs, its pieces, and what stands for them in a copy.

use super::ask::Ask;
use super::names::{given, is_board, of_plan};
use super::points;
use crate::plan::{Definition, Plan, StanzaId, fits};
use crate::syntax::expected::{What, Within, expected};
use crate::syntax::tree::{Clause, Name, Stanza, names};
use crate::syntax::vocabulary::{Role, Slot, StanzaWord};

/// In a piece of a pattern: the words that the pattern needs, and for a point the pattern itself and its pieces.
pub(super) fn inside_pattern(ask: &Ask, pattern: &Name, role: Role) -> Vec<(String, String)> {
    let Some((_, definition)) = ask.definition(&pattern.0) else {
        return Vec::new();
    };
    let stanza = ask.plan.stanza(definition.stanza);
    let needs = stanza.clause("needs").into_iter().flat_map(Clause::names);
    let mut list: Vec<(String, String)> = needs
        .filter(|(need, _)| {
            let said = role_here(ask, pattern, need).or_else(|| {
                role_in_pattern(ask.plan, definition.stanza, pattern, need, Some(ask.id))
            });
            match said {
                Some(of) => of == role,
                None => fits_what_stands_in(ask.plan, pattern, need, role),
            }
        })
        .map(|(need, _)| {
            let detail = "what each copy puts in".to_owned();
            (format!("{}.{}", pattern.0, need.0), detail)
        })
        .collect();
    if matches!(role, Role::Point | Role::Item) {
        let feed = "where a copy is fed".to_owned();
        list.push((pattern.0.to_string(), feed));
        for (piece, word) in pieces_of(ask.plan, definition.stanza, pattern) {
            let name = Name(format!("{}.{piece}", pattern.0).into());
            if let Some((name, own)) = ask.definition(&name.0).filter(|(_, d)| is_board(d)) {
                let outputs = points::outputs(ask.a, name, own).into_iter();
                list.extend(outputs.map(|o| (format!("{}.{}", name.0, o.name), o.detail)));
            }
            if role == Role::Item || fits(role, word) && word != StanzaWord::Board {
                list.push((name.0.to_string(), word.word().to_owned()));
            }
        }
    }
    list
}

/// The pieces of a pattern, by their own names, in the order of the file that it stands in.
fn pieces_of(plan: &Plan, pattern: StanzaId, name: &Name) -> Vec<(String, StanzaWord)> {
    let stanzas = plan.files.get(pattern.file.0).map(|f| &f.tree.stanzas);
    let all = stanzas.into_iter().flatten().map(|placed| &placed.stanza);
    all.filter_map(|stanza| {
        let (own, _) = stanza.name()?;
        let piece = own.0.strip_prefix(&*name.0)?.strip_prefix('.')?;
        Some((piece.to_owned(), stanza.word?))
    })
    .collect()
}

/// What a needed word must name, by the first piece that uses it.
fn role_in_pattern(
    plan: &Plan,
    stanza: StanzaId,
    pattern: &Name,
    need: &Name,
    but: Option<StanzaId>,
) -> Option<Role> {
    let written = format!("{}.{}", pattern.0, need.0);
    let stanzas = &plan.files.get(stanza.file.0)?.tree.stanzas;
    let pieces = stanzas.iter().enumerate().filter(|(index, placed)| {
        let own = placed.stanza.name().map(|(n, _)| n);
        let is_piece = own.is_some_and(|own| own.0.starts_with(&format!("{}.", pattern.0)));
        is_piece && but.is_none_or(|but| but.file != stanza.file || but.index != *index)
    });
    pieces
        .into_iter()
        .find_map(|(_, placed)| role_in_stanza(&placed.stanza, &written))
}

/// What a word must name where it stands in a stanza.
fn role_in_stanza(tree: &Stanza, written: &str) -> Option<Role> {
    let mut tokens = tree.tokens.iter();
    let token = tokens.find(|t| tree.words(t.span) == written)?;
    let wants = expected(tree, token.span.start)?.wants;
    wants.into_iter().find_map(|w| match w.what {
        What::Slot(Slot::Name(role)) => Some(*role),
        _ => None,
    })
}

/// What a needed word must name, by the piece at hand without the word that is being written.
fn role_here(ask: &Ask, pattern: &Name, need: &Name) -> Option<Role> {
    role_in_stanza(&ask.tree, &format!("{}.{}", pattern.0, need.0))
}

/// Whether what the copies put in for a needed word would do in a place; where none does yet, it may.
fn fits_what_stands_in(plan: &Plan, pattern: &Name, need: &Name, role: Role) -> bool {
    let copies = copies(plan).filter(|(_, of)| *of == pattern);
    let put_in = copies.filter_map(|(copy, _)| {
        let said: Vec<&Name> = copy
            .clause("where")?
            .names()
            .map(|(name, _)| name)
            .collect();
        let at = said.iter().step_by(2).position(|word| *word == need)?;
        plan.names.get(*said.get(2 * at + 1)?)
    });
    let mut put_in = put_in.peekable();
    put_in.peek().is_none() || put_in.any(|definition| fits(role, definition.word))
}

/// The copies of the plan, each with the name of its pattern.
fn copies(plan: &Plan) -> impl Iterator<Item = (&Stanza, &Name)> {
    let stanzas = plan.files.iter().flat_map(|file| &file.tree.stanzas);
    let copies = stanzas.map(|placed| &*placed.stanza);
    copies
        .filter(|stanza| stanza.word == Some(StanzaWord::Copy))
        .filter_map(|stanza| Some((stanza, names(&stanza.head).nth(1)?.0)))
}

/// Whether a name is that of a copy of a pattern.
pub(super) fn is_copy_of(plan: &Plan, name: &str, pattern: &Name) -> bool {
    let definition = plan.names.get(&Name(name.into()));
    let copy = definition.filter(|d| d.word == StanzaWord::Copy);
    let head = copy.map(|d| &plan.stanza(d.stanza).head);
    head.and_then(|head| names(head).nth(1))
        .is_some_and(|(of, _)| of == pattern)
}

/// The pattern that the stanza at hand is a copy of.
fn copied<'a>(ask: &Ask<'a>) -> Option<(&'a Name, &'a Definition)> {
    let (pattern, _) = names(&ask.tree.head).nth(1)?;
    let (name, definition) = ask.definition(&pattern.0)?;
    (definition.word == StanzaWord::Pattern).then_some((name, definition))
}

/// Whether the stanza at hand is a copy of a pattern of the plan.
pub(super) fn is_copy(ask: &Ask) -> bool {
    copied(ask).is_some()
}

/// The words that the copied pattern needs and the copy has not given.
pub(super) fn needs(ask: &Ask, within: &[Within]) -> Vec<(String, String)> {
    let Some((pattern, definition)) = copied(ask) else {
        return Vec::new();
    };
    let given = given(ask, within);
    let stanza = ask.plan.stanza(definition.stanza);
    let needs = stanza.clause("needs").into_iter().flat_map(Clause::names);
    needs
        .filter(|(need, _)| !given.contains(&*need.0))
        .map(|(need, _)| {
            let role = role_in_pattern(ask.plan, definition.stanza, pattern, need, None);
            let what = match role {
                Some(Role::Zone) => "a zone",
                Some(Role::Passage) => "a passage",
                Some(Role::Wire) => "a wire",
                Some(Role::Tape) => "a tape",
                Some(Role::Led) => "a led",
                Some(Role::Module) => "a module",
                Some(Role::Point) => "a point",
                _ => "a name",
            };
            (need.0.to_string(), format!("stands for {what}"))
        })
        .collect()
}

/// What the needed word ahead of the place must name.
pub(super) fn role_of_need(ask: &Ask, within: &[Within]) -> Role {
    let ahead = names(ask.values(within)).filter(|(_, span)| span.end <= ask.word.start);
    let need = ahead.last().map(|(need, _)| need);
    let of = |need: &Name| {
        let (pattern, definition) = copied(ask)?;
        role_in_pattern(ask.plan, definition.stanza, pattern, need, None)
    };
    need.and_then(of).unwrap_or(Role::StandIn)
}

/// The pieces of the copied pattern.
pub(super) fn pieces(ask: &Ask) -> Vec<(String, String)> {
    let Some((pattern, definition)) = copied(ask) else {
        return Vec::new();
    };
    let pieces = pieces_of(ask.plan, definition.stanza, pattern).into_iter();
    pieces
        .map(|(piece, word)| (piece, word.word().to_owned()))
        .collect()
}

/// The `where` of a copy with a name for each word that its pattern needs; `None` where that is not known.
pub(super) fn stand_ins(ask: &Ask) -> Option<String> {
    let (pattern, definition) = copied(ask)?;
    let pairs: Vec<String> = needs(ask, &[])
        .into_iter()
        .filter_map(|(need, _)| {
            let word = Name(need.as_str().into());
            let role = role_in_pattern(ask.plan, definition.stanza, pattern, &word, None);
            let (names, _) = of_plan(ask, &[], role.unwrap_or(Role::StandIn));
            Some(format!("{need} {}", names.first()?.label))
        })
        .collect();
    (!pairs.is_empty()).then(|| format!("where {}", pairs.join(", ")))
}

/// A `but` for the first piece of the copied pattern.
pub(super) fn first_piece(ask: &Ask) -> Option<String> {
    let (piece, _) = pieces(ask).into_iter().next()?;
    Some(format!("but {piece}"))
}
