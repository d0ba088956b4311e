//! Slows a flash down to twice a second: under the three of WCAG 2 (success criterion 2.3.1), and about as fast as a
//! real beacon.

use super::Candidate;
use super::columns::hold_columns;
use super::stanza_text::Spelling;
use crate::plan::{Edit, Plan, StanzaId};
use crate::syntax::tree::ValueKind;
use crate::syntax::vocabulary::Dimension;
use crate::text::Span;

/// What it is slowed to, hertz.
const SLOW: f64 = 2.0;

/// The `flash` clause that stands at `span` in a module slowed to 2 Hz.
pub fn slow_flash(plan: &Plan, module: StanzaId, span: Span) -> Option<Candidate> {
    let stanza = plan.stanza(module);
    let parts = stanza.clauses.iter().flat_map(|c| &c.parts);
    let flash = parts
        .into_iter()
        .find(|p| p.word == "flash" && p.span == span)?;
    let value = flash
        .values
        .iter()
        .find(|v| matches!(v.kind, ValueKind::Quantity(_, Dimension::Frequency)))?;
    let new = Spelling::of(stanza.words(value.span))?.write(SLOW, 3);
    let title = format!("flash {new} instead of {}", stanza.quoted(value.span));
    let edit = Edit {
        stanza: module,
        span: value.span,
        text: new,
    };
    Some(Candidate {
        title,
        edits: hold_columns(plan, module, vec![edit]),
        told: Vec::new(),
    })
}
