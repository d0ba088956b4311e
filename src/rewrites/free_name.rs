//! A name that nothing in the plan has yet.

use crate::plan::{ItemId, Plan};
use crate::syntax::is_reserved;
use crate::syntax::tree::Name;
use crate::syntax::vocabulary::StanzaWord;

/// Whether the plan knows this name, in whatever case: names that differ by case alone confuse.
fn is_taken(plan: &Plan, name: &str) -> bool {
    let lower = name.to_lowercase();
    let same = |known: &str| known.to_lowercase() == lower;
    is_reserved(name)
        || plan.names.keys().any(|known| same(&known.0))
        || plan.references.iter().any(|r| same(&r.name.0))
}

/// The pattern whose piece an item of a copy is: its name, and the names of all its copies.
pub fn pattern_of(plan: &Plan, copy: ItemId) -> Option<(String, Vec<Name>)> {
    let of = |copy: ItemId| -> Option<&Name> {
        let stanza = plan.stanza(plan.items.get(copy.0)?.stanza);
        crate::syntax::tree::names(&stanza.head)
            .nth(1)
            .map(|(name, _)| name)
    };
    let pattern = of(copy)?;
    let copies = (0..plan.items.len())
        .map(ItemId)
        .filter(|&i| plan.items[i.0].word == StanzaWord::Copy && of(i) == Some(pattern))
        .map(|i| plan.items[i.0].name.clone())
        .collect();
    Some((pattern.0.to_string(), copies))
}

/// A free name for something new beside the pieces of `copy` (or in the open, for `None`): what the
/// stanza is to be called, and not one of `given`, just given to others. `spelt(1)`, `spelt(2)`, … are
/// tried in turn.
pub fn free_name(
    plan: &Plan,
    copy: Option<ItemId>,
    given: &[String],
    spelt: impl Fn(u32) -> String,
) -> String {
    let pattern = copy.and_then(|copy| pattern_of(plan, copy));
    let is_free = |full: &str| !is_taken(plan, full) && !given.iter().any(|g| g == full);
    let is_free = |name: &str| match &pattern {
        None => is_free(name),
        Some((pattern, copies)) => {
            is_free(&format!("{pattern}.{name}"))
                && copies
                    .iter()
                    .all(|copy| !is_taken(plan, &format!("{}.{name}", copy.0)))
        }
    };
    // There are finitely many names, so one of these is free.
    let mut n = 1;
    while !is_free(&spelt(n)) && n < u32::MAX {
        n += 1;
    }
    match pattern {
        None => spelt(n),
        Some((pattern, _)) => format!("{pattern}.{}", spelt(n)),
    }
}

/// `stem`, then `stem-2`, `stem-3` …
pub fn numbered(stem: &str) -> impl Fn(u32) -> String {
    move |n| {
        if n == 1 {
            stem.to_string()
        } else {
            format!("{stem}-{n}")
        }
    }
}
