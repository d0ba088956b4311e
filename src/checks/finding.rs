//! A finding: something that a check has to say about a plan.

use crate::plan::{ItemId, Severity, StanzaId};
use crate::syntax::tree::Name;
use crate::text::Span;

/// Something that a check has to say about a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// The check's name.
    pub check: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// The stanza that it stands on.
    pub stanza: StanzaId,
    /// The words at fault, relative to the stanza.
    pub span: Span,
    /// What is wrong, the figure and the limit, what to do.
    pub message: String,
    /// Other places that explain it.
    pub related: Vec<(StanzaId, Span, String)>,
    /// The name that the stanza defines (`saloon-1`; for a piece of a pattern the piece's), if any.
    pub item: Option<Name>,
    /// The items that it is about: one, or none; where copies of a pattern share it, the piece in
    /// each copy.
    pub about: Vec<ItemId>,
    /// Nothing refers to it: an editor may show it faded.
    pub unnecessary: bool,
}
