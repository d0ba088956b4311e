//! Where the resistor of a lamp, a string or a `resistor` stanza is written, and how its words are changed.

use super::clause_of::clause_of;
use super::columns::hold_columns;
use crate::plan::{Edit, ItemId, Part, Plan, StanzaId};
use crate::syntax::tree::{Value, ValueKind};
use crate::syntax::vocabulary::{Dimension, StanzaWord};
use crate::text::Span;

/// The words of a resistor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResistorWords {
    /// The stanza that they stand in: the item's own, or a copy's whose `but` puts in a resistor.
    pub stanza: StanzaId,
    /// Its resistance.
    pub ohms: Span,
    /// Its rating, where written.
    pub rating: Option<Span>,
}

impl ResistorWords {
    /// Those of an item. `None` where it has no resistor of its own.
    pub fn of(plan: &Plan, item: ItemId) -> Option<ResistorWords> {
        let it = plan.items.get(item.0)?;
        let tree = plan.stanza(it.stanza);
        if it.word == StanzaWord::Resistor {
            return ResistorWords::among(it.stanza, &tree.head);
        }
        if !matches!(
            it.part,
            Part::Lamps {
                resistor: Some(_),
                ..
            }
        ) {
            return None;
        }
        let (stanza, clause) = clause_of(plan, item, "resistor")?;
        ResistorWords::among(stanza, &clause.values)
    }

    fn among(stanza: StanzaId, values: &[Value]) -> Option<ResistorWords> {
        let of = |dimension| {
            let is = |v: &&Value| matches!(v.kind, ValueKind::Quantity(_, d) if d == dimension);
            values.iter().find(is).map(|v| v.span)
        };
        Some(ResistorWords {
            stanza,
            ohms: of(Dimension::Resistance)?,
            rating: of(Dimension::Power),
        })
    }

    /// Puts in another resistance, another rating, or both; a rating that is not written is added.
    pub fn put(&self, plan: &Plan, ohms: Option<&str>, rating: Option<&str>) -> Vec<Edit> {
        let mut edits = Vec::new();
        let mut edit = |span: Span, text: String| {
            edits.push(Edit {
                stanza: self.stanza,
                span,
                text,
            });
        };
        match (ohms, rating, self.rating) {
            (Some(ohms), Some(rating), None) => edit(self.ohms, format!("{ohms} {rating}")),
            (None, Some(rating), None) => {
                edit(
                    Span::new(self.ohms.end, self.ohms.end),
                    format!(" {rating}"),
                );
            }
            (ohms, rating, written) => {
                if let Some(ohms) = ohms {
                    edit(self.ohms, ohms.to_owned());
                }
                if let (Some(rating), Some(span)) = (rating, written) {
                    edit(span, rating.to_owned());
                }
            }
        }
        hold_columns(plan, self.stanza, edits)
    }
}

/// Gives a lamp or string that has none a resistor: right behind what it is of, or how many.
pub fn add_resistor(plan: &Plan, lamp: ItemId, words: &str) -> Option<Vec<Edit>> {
    let stanza = plan.items.get(lamp.0)?.stanza;
    let end = plan.stanza(stanza).head.last()?.span.end;
    let edit = Edit {
        stanza,
        span: Span::new(end, end),
        text: format!(" resistor {words}"),
    };
    Some(hold_columns(plan, stanza, vec![edit]))
}
