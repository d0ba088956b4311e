//! Names of all that plans define, found by some of their letters.

use super::symbols::{SymbolKind, kind};
use crate::checks::Analysis;
use crate::plan::{FileId, ItemId, Plan, StanzaId};
use crate::syntax::tree::Name;
use crate::text::Span;

/// Something that was found. Sorted, the nearest comes first.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Found {
    /// How near its name is to what was asked for.
    pub nearness: Nearness,
    /// Its name.
    pub name: String,
    /// What it is and where it sits: `lamp in deck`.
    pub what: String,
    /// What it stands for.
    pub kind: SymbolKind,
    /// The file.
    pub file: FileId,
    /// Its stanza, without the comments around it.
    pub span: Span,
}

/// How near a name is to what was asked for; the least is the nearest. Of equals the shorter name is nearer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Nearness {
    /// It is the very name.
    Same,
    /// The name begins with it.
    Begins(usize),
    /// It stands somewhere in the name.
    Within(usize),
    /// Its letters stand in the name in this order.
    Scattered(usize),
}

/// All that a plan defines whose name has the letters of `query` in this order, in whatever case; pieces of copies
/// too. Not sorted.
pub fn search(a: &Analysis, query: &str) -> Vec<Found> {
    let plan = &a.plan;
    let query = query.trim().to_lowercase();
    let of_stanza = plan.order.iter().filter_map(|id| {
        let (name, _) = plan.stanza(*id).name()?;
        Some((name, *id, None))
    });
    let of_copies = plan.items.iter().enumerate().filter_map(|(index, item)| {
        item.copy?;
        Some((&item.name, item.stanza, Some(ItemId(index))))
    });
    of_stanza
        .chain(of_copies)
        .filter_map(|(name, stanza, item)| {
            let nearness = nearness(&query, name)?;
            found(plan, nearness, name, stanza, item)
        })
        .collect()
}

fn found(
    plan: &Plan,
    nearness: Nearness,
    name: &Name,
    stanza: StanzaId,
    item: Option<ItemId>,
) -> Option<Found> {
    let (word, kind) = kind(plan, stanza)?;
    // A stanza's own item, where it is not in error.
    let item = item.or_else(|| match plan.names.get(name)?.target? {
        crate::plan::Target::Item(item) => Some(item),
        _ => None,
    });
    let zone = item.and_then(|item| plan.zones.get(plan.items[item.0].zone?.0));
    let what = match zone {
        Some(zone) => format!("{} in {}", word.word(), zone.name.0),
        None => word.word().to_owned(),
    };
    Some(Found {
        nearness,
        name: name.0.to_string(),
        what,
        kind,
        file: stanza.file,
        span: plan.in_file(stanza, plan.stanza(stanza).core_span()),
    })
}

/// `query` in small letters.
fn nearness(query: &str, name: &Name) -> Option<Nearness> {
    let name = name.0.to_lowercase();
    let length = name.len();
    if name == query {
        return Some(Nearness::Same);
    }
    if name.starts_with(query) {
        return Some(Nearness::Begins(length));
    }
    if name.contains(query) {
        return Some(Nearness::Within(length));
    }
    let mut letters = name.chars();
    let in_order = query.chars().all(|wanted| letters.any(|c| c == wanted));
    in_order.then_some(Nearness::Scattered(length))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};

    const PLAN: &str = "\
led pearl drops 3.0 V at 20 mA
zone saloon
supply cell 12 V
lamp saloon-1 of pearl resistor 1 kohm from cell in saloon
lamp solo of pearl resistor 1 kohm from cell
pattern wing
lamp wing.tip of pearl resistor 1 kohm from wing in saloon
copy port of wing from cell
scene sail off solo
stage fit fits port
tried solo 9 mA at 12 V
";

    fn searched(query: &str) -> Vec<String> {
        let a = Analysis::of(FileKey::new("plan"), PLAN.into(), &Alone, &|| false);
        let mut found = search(&a, query);
        found.sort();
        let shown = found.into_iter().map(|f| format!("{}: {}", f.name, f.what));
        shown.collect()
    }

    #[test]
    fn the_nearest_first() {
        assert_eq!(
            searched("saloon"),
            ["saloon: zone", "saloon-1: lamp in saloon"]
        );
        assert_eq!(
            searched("SL"),
            [
                "sail: scene",
                "solo: lamp",
                "saloon: zone",
                "saloon-1: lamp in saloon"
            ]
        );
        assert_eq!(
            searched("tip"),
            ["port.tip: lamp in saloon", "wing.tip: lamp"]
        );
        assert_eq!(searched("ls"), [""; 0]);
    }

    #[test]
    fn nothing_asked_is_everything() {
        assert_eq!(searched("").len(), 11);
    }
}
