//! The names of a plan and the stanzas that they tie together.

use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;

use rustc_hash::{FxHashMap, FxHashSet};

use super::part::Slot;
use super::ties::Ties;

/// A name.
pub(super) type Knot = u32;

/// Who defines, in a list of stanzas.
const DEFINES: Slot = 1 << 31;

/// The ties of a stanza, by the number of each name; those that it defines come first, each in the order of the numbers.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Tied {
    pub knots: Box<[Knot]>,
    defines: u16,
}

impl Tied {
    /// What a stanza defines and what else it mentions.
    pub fn of(defines: impl IntoIterator<Item = Knot>, mentions: &[Knot]) -> Tied {
        let mut knots: Vec<Knot> = Vec::with_capacity(mentions.len() + 2);
        for knot in defines {
            if !knots.contains(&knot) {
                knots.push(knot);
            }
        }
        let defines = knots.len();
        for knot in mentions {
            if !knots.contains(knot) {
                knots.push(*knot);
            }
        }
        knots[..defines].sort_unstable();
        knots[defines..].sort_unstable();
        Tied {
            knots: knots.as_slice().into(),
            defines: u16::try_from(defines).unwrap_or(u16::MAX),
        }
    }
}

#[derive(Debug)]
struct Named {
    name: Arc<str>,
    /// The stanzas that have to do with it, stock not among them; those that define it are marked.
    who: Vec<Slot>,
    /// How many of them define it.
    defines: u32,
    /// How many stock stanzas define it.
    stock: u32,
}

/// All names.
#[derive(Debug, Default)]
pub(super) struct Knots {
    numbers: HashMap<Arc<str>, Knot, foldhash::fast::RandomState>,
    named: Vec<Named>,
    /// Names that are both of stock and of something else.
    clashing: FxHashSet<Knot>,
    /// Names that scenes list.
    listed: FxHashSet<Knot>,
}

impl Knots {
    /// The numbers of a stanza's ties.
    pub fn of(&mut self, ties: &Ties) -> Tied {
        let mut numbers = |names: &BTreeSet<Arc<str>>| -> Vec<Knot> {
            names.iter().map(|name| self.number(name)).collect()
        };
        let mentions = numbers(&ties.mentions);
        Tied::of(numbers(&ties.defines), &mentions)
    }

    /// The number of a name.
    pub fn number(&mut self, name: &Arc<str>) -> Knot {
        match self.numbers.get(name) {
            Some(number) => *number,
            None => self.one_more(name.clone()),
        }
    }

    /// The number of a name, by its letters.
    pub fn number_of(&mut self, name: &str) -> Knot {
        match self.numbers.get(name) {
            Some(number) => *number,
            None => self.one_more(name.into()),
        }
    }

    fn one_more(&mut self, name: Arc<str>) -> Knot {
        let number = Knot::try_from(self.named.len()).unwrap_or(Knot::MAX);
        self.named.push(Named {
            name: name.clone(),
            who: Vec::new(),
            defines: 0,
            stock: 0,
        });
        self.numbers.insert(name, number);
        number
    }

    /// The name of a number.
    pub fn name(&self, knot: Knot) -> Option<&Arc<str>> {
        Some(&self.named.get(knot as usize)?.name)
    }

    /// Ties a stanza, or unties it.
    pub fn tie(&mut self, slot: Slot, tied: &Tied, is_stock: bool, on: bool) {
        for (k, knot) in tied.knots.iter().enumerate() {
            let Some(named) = self.named.get_mut(*knot as usize) else {
                continue;
            };
            let defines = k < usize::from(tied.defines);
            if is_stock {
                let by = u32::from(defines);
                named.stock = if on {
                    named.stock + by
                } else {
                    named.stock.saturating_sub(by)
                };
            } else {
                let mark = if defines { slot | DEFINES } else { slot };
                let by = u32::from(defines);
                if on {
                    named.who.push(mark);
                    named.defines += by;
                } else if let Some(at) = named.who.iter().position(|who| *who == mark) {
                    named.who.swap_remove(at);
                    named.defines = named.defines.saturating_sub(by);
                }
            }
            match named.stock > 0 && named.defines > 0 {
                true => self.clashing.insert(*knot),
                false => self.clashing.remove(knot),
            };
        }
    }

    /// Whether a name ties stanzas together: something that is no stock defines it.
    pub fn ties(&self, knot: Knot) -> bool {
        self.named
            .get(knot as usize)
            .is_some_and(|named| named.defines > 0)
    }

    /// The stanzas that a name ties together.
    pub fn tied_by(&self, knot: Knot) -> impl Iterator<Item = Slot> + '_ {
        let named = self
            .named
            .get(knot as usize)
            .filter(|named| named.defines > 0);
        named
            .into_iter()
            .flat_map(|named| named.who.iter().map(|who| who & !DEFINES))
    }

    /// Says which names scenes list.
    pub fn list<'a>(&mut self, names: impl IntoIterator<Item = &'a Arc<str>>) {
        self.listed = names.into_iter().map(|name| self.number(name)).collect();
    }

    /// Whether scenes list a name.
    pub fn is_listed(&self, knot: Knot) -> bool {
        self.listed.contains(&knot)
    }

    /// The stanzas that have to do with a name, stock not among them.
    pub fn who(&self, name: &Arc<str>) -> impl Iterator<Item = Slot> + '_ {
        let knot = self.numbers.get(name).copied();
        let named = knot.and_then(|knot| self.named.get(knot as usize));
        named
            .into_iter()
            .flat_map(|named| named.who.iter().map(|who| who & !DEFINES))
    }

    /// Whether a name is of stock and of something else.
    pub fn clash(&self) -> bool {
        !self.clashing.is_empty()
    }

    /// The stanzas that define a name, stock not among them.
    pub fn definers(&self, name: &str) -> impl Iterator<Item = Slot> + '_ {
        let named = self.numbers.get(name);
        let named = named.and_then(|knot| self.named.get(*knot as usize));
        let who = named.into_iter().flat_map(|named| named.who.iter());
        who.filter(|who| **who & DEFINES != 0)
            .map(|who| who & !DEFINES)
    }
}

/// Cuts stanzas into groups that names tie together. `tied` gives each stanza's ties and whether it belongs to the
/// one ahead of it.
pub(super) fn groups(knots: &Knots, tied: &[(&Tied, bool)]) -> Vec<Vec<usize>> {
    let mut sets: Vec<usize> = (0..tied.len()).collect();
    let mut first: FxHashMap<Knot, usize> = FxHashMap::default();
    for (k, (tied, with_above)) in tied.iter().enumerate() {
        for knot in tied.knots.iter().filter(|knot| knots.ties(**knot)) {
            let other = *first.entry(*knot).or_insert(k);
            join(&mut sets, k, other);
        }
        if *with_above && k > 0 {
            join(&mut sets, k, k - 1);
        }
    }
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut of_root: FxHashMap<usize, usize> = FxHashMap::default();
    for k in 0..tied.len() {
        let group = *of_root.entry(root(&mut sets, k)).or_insert_with(|| {
            groups.push(Vec::new());
            groups.len() - 1
        });
        groups[group].push(k);
    }
    groups
}

fn root(sets: &mut [usize], mut x: usize) -> usize {
    while sets[x] != x {
        sets[x] = sets[sets[x]];
        x = sets[x];
    }
    x
}

fn join(sets: &mut [usize], a: usize, b: usize) {
    let (a, b) = (root(sets, a), root(sets, b));
    sets[a.max(b)] = a.min(b);
}

/// What scenes list, by the names that count.
pub(super) type Listed = std::collections::BTreeMap<Arc<str>, Listing>;

/// One name that scenes list.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Listing {
    /// Its first word, as it is written.
    pub words: BTreeSet<Arc<str>>,
    /// The ties that it makes.
    pub ties: BTreeSet<Arc<str>>,
}
