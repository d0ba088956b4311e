//! What is likely to be written in next is looked at while nobody writes: who goes through a plan goes from a part to the one
//! above or below.

use super::cut::{NOWHERE, Part, Parts};
use super::look::Patience;

/// A part of more stanzas is not looked at before somebody asks for it.
const MOST_STANZAS: usize = 100;

impl Parts {
    /// Whether there may be something to do for [`Parts::look_ahead`].
    pub fn is_any_ahead(&self) -> bool {
        self.looked_from.is_some()
    }

    /// Looks at the parts beside the one that was looked at last. What is said of the plan stays as it is.
    pub fn look_ahead(&mut self) {
        let may_be = !self.is_whole && self.fresh.is_empty();
        let Some(id) = self.looked_from.take().filter(|_| may_be) else {
            return;
        };
        for beside in self.beside(id) {
            let is_new = |part: &Part| {
                part.seen.is_none() && part.slots.len() + self.common.len() <= MOST_STANZAS
            };
            if self.parts.get(&beside).is_some_and(is_new) && !self.taken_in.contains(&beside) {
                self.look_at(beside, true, &Patience::ENDLESS);
            }
        }
        self.looked_from = None;
    }

    /// The parts of the stanzas below and above those of a part.
    fn beside(&self, id: usize) -> Vec<usize> {
        let Some(part) = self.parts.get(&id) else {
            return Vec::new();
        };
        let places = part.slots.iter().map(|slot| self.standing(*slot));
        let (Some(first), Some(last)) = (places.clone().min(), places.max()) else {
            return Vec::new();
        };
        let order = |file: u32| &self.sheets[file as usize].order;
        let mut below = order(last.0).iter().skip(last.1 as usize + 1);
        let mut above = order(first.0)[..first.1 as usize].iter().rev();
        let part_of = |slot: &u32| Some(self.of(*slot).part).filter(|id| *id != NOWHERE);
        let nearest = [below.find_map(part_of), above.find_map(part_of)];
        nearest.into_iter().flatten().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::tests::{alone, by_parts, parts_of, street};
    use crate::plan::FileId;

    /// Which circuits of a street are looked at by now, from the first.
    fn looked_at(parts: &Parts, circuits: usize) -> Vec<bool> {
        let mut ids = Vec::new();
        for slot in parts.slots_of(FileId(0)) {
            let id = parts.of(*slot).part;
            if parts.parts.contains_key(&id) && !ids.contains(&id) {
                ids.push(id);
            }
        }
        assert_eq!(ids.len(), circuits);
        let seen = |id: &usize| parts.parts[id].seen.is_some();
        ids.iter().map(seen).collect()
    }

    #[test]
    fn the_circuits_above_and_below_are_looked_at() {
        let text = street(30);
        let mut parts = parts_of(&text, &alone());
        parts.look_ahead();
        let said = by_parts(&parts);
        let at = text.find("lamp mast-15").unwrap();
        assert!(parts.view(FileId(0), at as u32).is_some());
        let before = looked_at(&parts, 30);
        let here = parts.of(parts.at(FileId(0), at as u32).unwrap()).part;
        assert_eq!(parts.looked_from, Some(here));
        parts.look_ahead();
        let after = looked_at(&parts, 30);
        let new: Vec<usize> = (0..30).filter(|k| after[*k] && !before[*k]).collect();
        assert_eq!(new.len(), 2);
        assert!(new[1] == new[0] + 2 && after[new[0] + 1], "{new:?}");
        assert!(!parts.is_any_ahead());
        assert_eq!(by_parts(&parts), said);
    }
}
