//! A point that something may well be fed from, where a plan does not say or names one that is not there: to be put in, and put
//! right by the builder.

use std::collections::HashMap;

use super::model::{Plan, StanzaId};
use super::names::split_last;
use crate::syntax::tree::{Name, Stanza};
use crate::syntax::vocabulary::StanzaWord;

/// So many stanzas above and below are looked at, and so many on a way back.
const NEAR: usize = 50;
const FAR: usize = 200;

/// The stanzas of a plan by what they define, as written.
pub(super) struct Points<'a> {
    plan: &'a Plan,
    stanzas: HashMap<&'a Name, StanzaId>,
}

impl<'a> Points<'a> {
    pub(super) fn of(plan: &'a Plan) -> Points<'a> {
        let mut stanzas = HashMap::new();
        for &id in &plan.order {
            if let Some((name, _)) = plan.stanza(id).name() {
                stanzas.entry(name).or_insert(id);
            }
        }
        Points { plan, stanzas }
    }

    /// The point that an item without a `from` is likely fed from: as the nearest item above it, or below; but where that one
    /// is a source, or a part that the whole trunk goes through, from it. The other item is named where it is fed the same.
    pub(super) fn beside(&self, id: StanzaId) -> Option<(&'a str, Option<&'a Name>)> {
        let tree = self.plan.stanza(id);
        let (own, _) = tree.name()?;
        let pattern = own.0.split_once('.').map(|(pattern, _)| pattern);
        let stanzas = &self.plan.files[id.file.0].tree.stanzas;
        let above = (0..id.index).rev().take(NEAR);
        let below = (id.index + 1..stanzas.len()).take(NEAR);
        above.chain(below).find_map(|index| {
            let other = &*stanzas[index].stanza;
            let (name, _) = other.name()?;
            if name.0.split_once('.').map(|(pattern, _)| pattern) != pattern {
                return None;
            }
            let (point, as_it) = match other.word? {
                StanzaWord::Supply
                | StanzaWord::Fuse
                | StanzaWord::Switch
                | StanzaWord::Connector
                | StanzaWord::Rectifier => (&*name.0, None),
                word if word.is_item() => (fed_from(other)?, Some(name)),
                _ => return None,
            };
            self.leads_back(point, own).then_some((point, as_it))
        })
    }

    /// The point that a joint that nobody has defined yet is likely fed from: the plan's first fuse, else its first supply.
    pub(super) fn first(&self, joint: &Name) -> Option<&'a str> {
        let all = |word| {
            let of = self.plan.order.iter().map(|&id| self.plan.stanza(id));
            let names = of
                .filter(move |s| s.word == Some(word))
                .filter_map(Stanza::name);
            let names = names.map(|(name, _)| &*name.0);
            names.filter(|name| !name.contains('.')).take(NEAR)
        };
        let mut fuses_then_supplies = all(StanzaWord::Fuse).chain(all(StanzaWord::Supply));
        fuses_then_supplies.find(|name| self.leads_back(name, joint))
    }

    /// Where a load is fed from, which hands nothing on.
    pub(super) fn of_load(&self, load: &Name) -> Option<&'a str> {
        let stanza = self.plan.stanza(*self.stanzas.get(load)?);
        fed_from(stanza).filter(|_| stanza.word == Some(StanzaWord::Load))
    }

    /// Whether the way back from a point, as written, ends at a supply and does not go by what is to be fed. Within a pattern
    /// it ends at the pattern.
    fn leads_back(&self, point: &str, fed: &Name) -> bool {
        let mut at = point.to_owned();
        for _ in 0..FAR {
            if *at == *fed.0 {
                return false;
            }
            let name = Name(at.as_str().into());
            let whole = self.stanzas.get(&name);
            // `BOARD.OUTPUT`, `COPY.PIECE`
            let part = || at.rsplit_once('.').map(|(front, _)| Name(front.into()));
            let known = whole.or_else(|| self.stanzas.get(&part()?));
            let Some(stanza) = known.map(|id| self.plan.stanza(*id)) else {
                return false;
            };
            match stanza.word {
                Some(StanzaWord::Supply | StanzaWord::Pattern) => return true,
                _ => match fed_from(stanza) {
                    Some(from) => at = from.to_owned(),
                    None => return false,
                },
            }
        }
        false
    }
}

/// What each item is fed from, as written.
pub(super) struct Feeds(HashMap<Name, Name>);

impl Feeds {
    pub(super) fn of(plan: &Plan) -> Feeds {
        let stanzas = plan.order.iter().map(|&id| plan.stanza(id));
        let feeds = stanzas.filter_map(|stanza| {
            let (point, _) = stanza.clause("from")?.names().next()?;
            Some((stanza.name()?.0.clone(), point.clone()))
        });
        Feeds(feeds.collect())
    }

    /// Whether a point is an item itself, or a part of it, or has its power from it.
    pub(super) fn hangs_on(&self, point: &Name, item: &Name) -> bool {
        let mut at = point;
        for _ in 0..FAR {
            if is_part(at, item) {
                return true;
            }
            // `BOARD.OUTPUT`, `COPY.PIECE`
            let front = || split_last(at).map(|(front, _)| front);
            let Some(from) = self.0.get(at).or_else(|| self.0.get(&front()?)) else {
                return false;
            };
            at = from;
        }
        false
    }
}

/// Whether a name is that of an item, or of a part of it.
fn is_part(name: &Name, item: &Name) -> bool {
    let rest = name.0.strip_prefix(&*item.0);
    rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
}

/// The point that a stanza is fed from, as written.
fn fed_from(stanza: &Stanza) -> Option<&str> {
    let (_, span) = stanza.clause("from")?.names().next()?;
    Some(stanza.words(span))
}

#[cfg(test)]
mod tests {
    use super::super::{Alone, FileKey};
    use super::*;

    fn beside(text: &str, name: &str) -> Option<String> {
        let plan = Plan::of(FileKey::new("t"), text.into(), &Alone);
        let own = |id: &&StanzaId| plan.stanza(**id).name().is_some_and(|(n, _)| &*n.0 == name);
        let id = *plan.order.iter().find(own).unwrap();
        let found = Points::of(&plan).beside(id);
        found.map(|(point, _)| point.to_owned())
    }

    #[test]
    fn what_stands_above_says_where() {
        let text = "load x draws 1 mA\nsupply s 12 V\nfuse F 100 mA from s\nload a draws 1 mA\njoint k from F\nload b draws 1 mA from k\nload c draws 1 mA\n";
        assert_eq!(beside(text, "c").unwrap(), "k");
        assert_eq!(beside(text, "a").unwrap(), "F");
        assert_eq!(beside(text, "x").unwrap(), "s");
        // Not from what hangs on itself, nor from nowhere.
        let circle =
            "supply s 12 V\nload a draws 1 mA from j\njoint j\nload b draws 1 mA from gone\n";
        assert_eq!(beside(circle, "j").unwrap(), "s");
        assert_eq!(beside("joint j\nload a draws 1 mA from j\n", "j"), None);
    }

    #[test]
    fn pieces_look_among_pieces() {
        let text = "supply s 12 V\nload a draws 1 mA from s\npattern p\nload p.a draws 1 mA from p\nload p.b draws 1 mA\nload c draws 1 mA\n";
        assert_eq!(beside(text, "p.b").unwrap(), "p");
        assert_eq!(beside(text, "c").unwrap(), "s");
    }
}
