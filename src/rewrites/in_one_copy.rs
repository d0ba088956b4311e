//! Turns a change of a pattern's piece, which every copy has, into what one copy says of it: `but PIECE CLAUSE …`.

use std::collections::BTreeMap;

use super::columns::hold_columns;
use super::stanza_text::{line_end, words_on_one_line};
use super::{Candidate, IN_EACH_COPY, changed_stanza};
use crate::plan::{Edit, ItemId, Plan, StanzaId, split_first};
use crate::syntax::read_file;
use crate::syntax::tree::{Clause, Name, Stanza};
use crate::syntax::vocabulary::StanzaWord;
use crate::text::Span;

/// The same change for one copy alone. `None` where a `but` cannot say it: where the change is in the head of a piece
/// (what it is of, how many, how much), adds or removes stanzas of the pattern, or takes a clause away; and where the
/// copy has its own word on the clause already, or a comment would be lost.
pub fn in_one_copy(plan: &Plan, copy: ItemId, candidate: Candidate) -> Option<Candidate> {
    let item = plan.items.get(copy.0)?;
    let (pattern, _) = crate::syntax::tree::names(&plan.stanza(item.stanza).head).nth(1)?;
    let mut of_pieces: BTreeMap<StanzaId, Vec<Edit>> = BTreeMap::new();
    let mut others = Vec::new();
    for edit in candidate.edits {
        let name = plan.stanza(edit.stanza).name().map(|(name, _)| name);
        match name.map(split_first) {
            Some((first, _)) if first == *pattern => {
                of_pieces.entry(edit.stanza).or_default().push(edit);
            }
            _ => others.push(edit),
        }
    }
    let title = candidate.title.replace(IN_EACH_COPY, "");
    let title = by_copys_name(&title, pattern, &item.name);
    if of_pieces.is_empty() {
        return Some(Candidate {
            title,
            edits: others,
            told: candidate.told,
        });
    }
    let mut words = Vec::new();
    for (id, edits) in &of_pieces {
        let stanza = plan.stanza(*id);
        let (written, _) = stanza.name()?;
        let (_, piece) = split_first(written);
        let piece = piece?;
        words.extend(
            changed_clauses(plan, *id, edits)?
                .into_iter()
                .map(|c| (piece.clone(), c)),
        );
    }
    let mut edits = said_by(plan, item.stanza, &words)?;
    if others.iter().any(|e| e.stanza == item.stanza) {
        return None; // two changes of one stanza, which do not know of each other
    }
    edits.extend(others);
    Some(Candidate {
        title,
        edits,
        told: candidate.told,
    })
}

/// The title with the pieces called as the copy has them: `port.tip` for `wing.tip`.
fn by_copys_name(title: &str, pattern: &Name, copy: &Name) -> String {
    let of_piece = format!("{}.", pattern.0);
    let mut new = String::new();
    let mut rest = title;
    while let Some(at) = rest.find(&of_piece) {
        let (ahead, behind) = rest.split_at(at);
        new.push_str(ahead);
        let within = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.');
        let name = match new.ends_with(within) {
            true => pattern,
            false => copy,
        };
        new.push_str(&name.0);
        rest = &behind[pattern.0.len()..];
    }
    new + rest
}

/// A clause of a piece, as it is to be.
struct NewClause {
    word: &'static str,
    words: String,
}

/// The clauses that the edits change or add. `None` where they change anything else.
fn changed_clauses(plan: &Plan, id: StanzaId, edits: &[Edit]) -> Option<Vec<NewClause>> {
    let old = plan.stanza(id);
    let file = read_file(&changed_stanza(plan, id, edits)?);
    let mut stanzas = file.stanzas.iter().map(|s| &s.stanza);
    let new = stanzas.find(|s| s.word.is_some())?;
    let others = stanzas.any(|s| s.word.is_some());
    let head = |s: &Stanza| -> Vec<String> {
        s.head
            .iter()
            .map(|v| words_on_one_line(s, v.span))
            .collect()
    };
    if others || new.word != old.word || head(new) != head(old) || !new.faults.is_empty() {
        return None;
    }
    let said = |s: &Stanza| -> Vec<(&'static str, String)> {
        let clauses = s.clauses.iter();
        clauses
            .map(|c| (c.word, words_on_one_line(s, c.span)))
            .collect()
    };
    let (before, after) = (said(old), said(new));
    let is_kept = |word: &str| after.iter().any(|(other, _)| *other == word);
    if !before.iter().all(|(word, _)| is_kept(word)) {
        return None;
    }
    let changed = after.into_iter().filter(|clause| !before.contains(clause));
    Some(
        changed
            .map(|(word, words)| NewClause { word, words })
            .collect(),
    )
}

/// The edits of a copy that make it say these clauses of its pieces.
fn said_by(plan: &Plan, copy: StanzaId, words: &[(Name, NewClause)]) -> Option<Vec<Edit>> {
    let stanza = plan.stanza(copy);
    let shapes = StanzaWord::Copy.shape().clauses;
    let may_say = shapes.iter().find(|s| s.word == "but")?.parts;
    let mut added: Vec<(&Name, Vec<&str>)> = Vec::new();
    for (piece, clause) in words {
        let place = may_say.iter().find(|s| s.word == clause.word)?.instead;
        let takes_its_place = |part: &Clause| {
            part.word == clause.word
                || place.is_some()
                    && may_say
                        .iter()
                        .any(|s| s.word == part.word && s.instead == place)
        };
        if buts(stanza, piece).any(|but| but.parts.iter().any(takes_its_place)) {
            return None;
        }
        match added.iter_mut().find(|(known, _)| *known == piece) {
            Some((_, list)) => list.push(&clause.words),
            None => added.push((piece, vec![&clause.words])),
        }
    }
    let end = stanza.core_span().end;
    let mut edits = Vec::new();
    let mut lines = String::new();
    for (piece, list) in added {
        let list = list.join(" ");
        match buts(stanza, piece).last() {
            Some(but) => edits.push((but.span.end, format!(" {list}"))),
            None => {
                let line_end = line_end(plan, copy);
                lines.push_str(&format!("{line_end}  but {} {list}", piece.0));
            }
        }
    }
    if !lines.is_empty() {
        // Behind a comment on the last line.
        let rest = stanza.text.get(end as usize..)?;
        let comment = rest.find(['\r', '\n']).unwrap_or(rest.len());
        edits.push((end + comment as u32, lines));
    }
    let edits = edits.into_iter().map(|(at, text)| Edit {
        stanza: copy,
        span: Span::new(at, at),
        text,
    });
    Some(hold_columns(plan, copy, edits.collect()))
}

/// What a copy says of one piece.
fn buts<'a>(copy: &'a Stanza, piece: &'a Name) -> impl Iterator<Item = &'a Clause> {
    let clauses = copy.clauses.iter();
    clauses
        .filter(move |c| c.word == "but" && c.names().next().is_some_and(|(name, _)| name == piece))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_whole_names_are_the_copys() {
        let name = |name: &str| Name(name.into());
        let said = by_copys_name(
            "lamp.a, p.a and p.b at 0.5 W: p.a.",
            &name("p"),
            &name("port"),
        );
        assert_eq!(said, "lamp.a, port.a and port.b at 0.5 W: port.a.");
    }
}
