//! The clause that counts for an item: what its copy says of it with `but`, else what its own stanza says.

use crate::plan::{ItemId, Plan, StanzaId};
use crate::syntax::tree::Clause;

/// The clause of this word, and the stanza that it is written in.
pub fn clause_of<'a>(plan: &'a Plan, item: ItemId, word: &str) -> Option<(StanzaId, &'a Clause)> {
    let it = plan.items.get(item.0)?;
    let of_copy = it.copy.and_then(|copy| {
        let copy = &plan.items[copy.0];
        let piece = it.name.0.strip_prefix(&*copy.name.0)?.strip_prefix('.')?;
        let buts = plan.stanza(copy.stanza).clauses.iter().filter(|c| {
            c.word == "but" && c.names().next().is_some_and(|(name, _)| &*name.0 == piece)
        });
        let part = buts.into_iter().find_map(|but| but.part(word))?;
        Some((copy.stanza, part))
    });
    of_copy.or_else(|| Some((it.stanza, plan.stanza(it.stanza).clause(word)?)))
}
