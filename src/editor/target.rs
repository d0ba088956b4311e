//! What the cursor is on.

use crate::plan::{Definition, FileId, ItemId, Plan, StanzaId};
use crate::syntax::tree::{Clause, Name, Stanza, TokenKind, Value, ValueKind};
use crate::syntax::vocabulary::{ClauseShape, Dimension, StanzaWord};
use crate::text::Span;

/// What the cursor is on, and where that stands in its stanza.
#[derive(Clone, Debug)]
pub struct Spot {
    /// The stanza.
    pub stanza: StanzaId,
    /// The words, relative to the stanza.
    pub span: Span,
    /// What they are.
    pub on: On,
    /// The innermost clause that they belong to; `None` in the head.
    pub clause: Option<&'static ClauseShape>,
}

/// What a word can be.
#[derive(Clone, Debug)]
pub enum On {
    /// The word that begins the stanza.
    StanzaWord(StanzaWord),
    /// A clause's own word, or another fixed word of it.
    ClauseWord,
    /// A name, defined or used here, and what it means.
    Name {
        /// The name of the stanza that it leads to.
        name: Name,
        /// Where that is defined.
        definition: Definition,
        /// For `BOARD.OUTPUT`: the output.
        output: Option<Name>,
    },
    /// The name of a scene, a stage: names of their own.
    State(StanzaWord),
    /// An output, in the stanza of its module.
    Output(Name),
    /// A word that a pattern needs, in the pattern or in a copy.
    Need,
    /// The name of a check.
    Check(Name),
    /// A quantity, in SI.
    Quantity(f64, Dimension),
    /// A count.
    Count(u32),
    /// The N of `1:N`.
    Scale(f64),
    /// A text; of a `use`, the path.
    Text,
    /// Some other value.
    Other,
}

/// What stands at this byte of a file; `None` on blanks and comments.
pub fn at(plan: &Plan, file: FileId, offset: usize) -> Option<Spot> {
    let offset = u32::try_from(offset).ok()?;
    // A cursor right behind the last word of a file's stanza is still on it.
    let here = plan.stanza_at(file, offset)?;
    in_stanza(plan, here, offset).or_else(|| {
        let before = plan.stanza_at(file, offset.checked_sub(1)?)?;
        (before != here)
            .then(|| in_stanza(plan, before, offset))
            .flatten()
    })
}

fn in_stanza(plan: &Plan, id: StanzaId, offset: u32) -> Option<Spot> {
    let stanza = plan.stanza(id);
    let start = plan.in_file(id, Span::default()).start;
    let at = offset.checked_sub(start)?;
    // The token that begins or goes on here; else the one that ends here.
    let mut tokens = stanza
        .tokens
        .iter()
        .filter(|t| t.span.touches(at) && !matches!(t.kind, TokenKind::LineEnd | TokenKind::Comma));
    let first = tokens.next()?;
    let token = tokens
        .find(|t| t.span.start <= at && at < t.span.end)
        .unwrap_or(first);
    if token.kind == TokenKind::Comment {
        return None;
    }
    let at = token.span.start;
    let word = stanza.word?;
    let spot = |span, on, clause| {
        Some(Spot {
            stanza: id,
            span,
            on,
            clause,
        })
    };
    if holds(stanza.word_span, at) {
        return spot(stanza.word_span, On::StanzaWord(word), None);
    }
    if let Some(value) = stanza.head.iter().find(|v| holds(v.span, at)) {
        let own_name = stanza.name().is_some_and(|(_, span)| span == value.span);
        let on = if own_name {
            defined_here(plan, id, word, value)
        } else {
            of_value(plan, id, value)
        };
        return spot(value.span, on, None);
    }
    let mut shapes = word.shape().clauses;
    let mut clauses = &stanza.clauses;
    let mut found: Option<(&Clause, &'static ClauseShape)> = None;
    while let Some(clause) = clauses.iter().find(|c| holds(c.span, at)) {
        let Some(shape) = shapes.iter().find(|s| s.word == clause.word) else {
            break;
        };
        found = Some((clause, shape));
        shapes = shape.parts;
        clauses = &clause.parts;
    }
    let Some((clause, shape)) = found else {
        return spot(token.span, On::Other, None);
    };
    match clause.values.iter().position(|v| holds(v.span, at)) {
        Some(place) => {
            let value = &clause.values[place];
            let on = of_clause_value(plan, id, stanza, clause, place, value);
            spot(value.span, on, Some(shape))
        }
        None => spot(token.span, On::ClauseWord, Some(shape)),
    }
}

fn holds(span: Span, at: u32) -> bool {
    span.start <= at && at < span.end
}

/// A stanza's own name.
fn defined_here(plan: &Plan, id: StanzaId, word: StanzaWord, value: &Value) -> On {
    let ValueKind::Name(name) = &value.kind else {
        return On::Other;
    };
    if matches!(word, StanzaWord::Scene | StanzaWord::Stage) {
        return On::State(word);
    }
    let definition = plan.names.get(name).filter(|d| d.stanza == id).copied();
    let definition = definition.unwrap_or(Definition {
        // Its name is taken by another stanza, or it is a piece: this stanza is still what is meant.
        word,
        stanza: id,
        span: value.span,
        target: None,
    });
    On::Name {
        name: name.clone(),
        definition,
        output: None,
    }
}

fn of_clause_value(
    plan: &Plan,
    id: StanzaId,
    stanza: &Stanza,
    clause: &Clause,
    place: usize,
    value: &Value,
) -> On {
    let ValueKind::Name(name) = &value.kind else {
        return of_value(plan, id, value);
    };
    match clause.word {
        "accept" | "treat" => On::Check(name.clone()),
        "output" | "turns" if stanza.word == Some(StanzaWord::Module) => On::Output(name.clone()),
        "needs" => On::Need,
        "where" if place.is_multiple_of(2) => On::Need,
        "colour" | "colours" => On::Other,
        _ => of_value(plan, id, value),
    }
}

fn of_value(plan: &Plan, id: StanzaId, value: &Value) -> On {
    match &value.kind {
        ValueKind::Name(name) => used_here(plan, id, name, value.span),
        ValueKind::Quantity(x, dimension) => On::Quantity(*x, *dimension),
        ValueKind::Count(n, _) => On::Count(*n),
        ValueKind::Scale(n) => On::Scale(*n),
        ValueKind::Text(_) => On::Text,
        ValueKind::Date(_) | ValueKind::Choice(_) => On::Other,
    }
}

/// A name that is used: as the plan resolved it, else (in a stanza that could not be read whole) by its spelling.
fn used_here(plan: &Plan, id: StanzaId, written: &Name, span: Span) -> On {
    let resolved = plan
        .references
        .iter()
        .find(|r| r.stanza == id && r.span.start == span.start)
        .map(|r| r.name.clone());
    let whole = resolved.or_else(|| plan.names.contains_key(written).then(|| written.clone()));
    let name = whole.or_else(|| {
        let (board, _) = written.0.rsplit_once('.')?;
        Some(Name(board.into()))
    });
    let Some((name, definition)) = name.and_then(|n| plan.names.get(&n).map(|d| (n, *d))) else {
        return On::Other;
    };
    let is_board = definition.word == StanzaWord::Board;
    let output = written
        .0
        .rsplit_once('.')
        .filter(|_| is_board && *written != name)
        .map(|(_, output)| Name(output.into()));
    On::Name {
        name,
        definition,
        output,
    }
}

/// The items that a piece of a pattern became, one in each copy; `None` if the definition is no such piece, or one
/// in error.
pub fn copies_of(plan: &Plan, name: &Name, definition: &Definition) -> Option<Vec<ItemId>> {
    let is_piece = name.0.contains('.') && definition.target.is_none();
    if !is_piece || plan.left_out.contains(&definition.stanza) {
        return None;
    }
    let items = (0..plan.items.len()).map(ItemId);
    Some(
        items
            .filter(|i| plan.items[i.0].stanza == definition.stanza)
            .collect(),
    )
}
