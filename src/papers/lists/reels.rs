//! Cutting tape from reels: the fewest reels from which all cuts can be made whole (the one-dimensional cutting-stock
//! problem, all reels alike but for one piece that may be at hand already).
//!
//! First-fit-decreasing gives a way; no way does with fewer reels than all cuts are long together. Where these two
//! differ, a search decides: each cut, the longest first, goes into each reel that has room, or into a new one, and what
//! cannot beat the best way so far is left. The search is bounded; where the bound ends it, the best way found stands
//! beside the number below which there is none.

/// How many steps the search may take: some milliseconds.
const MOST_STEPS: u32 = 20_000;

/// How many cuts it may look at: it goes as deep as there are cuts.
const MOST_CUTS: usize = 200;

/// A way of cutting.
#[derive(Clone, Debug, PartialEq)]
pub struct Cutting {
    /// For each cut, the reel that it is from; `None`: the piece at hand.
    pub from: Vec<Option<usize>>,
    /// How many reels it takes.
    pub reels: usize,
    /// No way takes fewer.
    pub at_least: usize,
}

/// Cuts of these lengths, in groups, from reels of so many groups, and from a piece at hand of so many. Each cut must fit
/// on a reel or on the piece; `None` where one does not.
pub fn cutting(cuts: &[u32], reel: u32, at_hand: u32) -> Option<Cutting> {
    if cuts.iter().any(|&cut| cut > reel.max(at_hand)) {
        return None;
    }
    let mut order: Vec<usize> = (0..cuts.len()).collect();
    order.sort_by_key(|&c| (std::cmp::Reverse(cuts[c]), c));
    let sizes: Vec<u32> = order.iter().map(|&c| cuts[c]).collect();
    let total: u64 = sizes.iter().map(|&s| u64::from(s)).sum();
    let over = total.saturating_sub(u64::from(at_hand));
    let at_least = match reel {
        0 => 0,
        _ => usize::try_from(over.div_ceil(u64::from(reel))).unwrap_or(usize::MAX),
    };
    let mut search = Search {
        sizes: &sizes,
        reel,
        left: vec![at_hand],
        placed: Vec::new(),
        best: first_fit(&sizes, reel, at_hand),
        at_least,
        steps: 0,
    };
    if sizes.len() <= MOST_CUTS {
        search.go(total);
    }
    let proved = sizes.len() <= MOST_CUTS && search.steps <= MOST_STEPS;
    let best = search.best;
    let reels = best.iter().max().copied().unwrap_or(0);
    let mut from = vec![None; cuts.len()];
    for (&cut, &place) in order.iter().zip(&best) {
        from[cut] = place.checked_sub(1);
    }
    Some(Cutting {
        from,
        reels,
        at_least: if proved { reels } else { at_least.min(reels) },
    })
}

/// Each cut from the first in which there is room: place 0 is the piece at hand, then come the reels.
fn first_fit(sizes: &[u32], reel: u32, at_hand: u32) -> Vec<usize> {
    let mut left = vec![at_hand];
    let each = sizes.iter().map(|&size| {
        let fits = left.iter().position(|&room| room >= size);
        let place = fits.unwrap_or_else(|| {
            left.push(reel);
            left.len() - 1
        });
        left[place] -= size;
        place
    });
    each.collect()
}

struct Search<'a> {
    sizes: &'a [u32],
    reel: u32,
    /// The room that is left in the piece at hand and in each reel that is begun.
    left: Vec<u32>,
    placed: Vec<usize>,
    best: Vec<usize>,
    at_least: usize,
    steps: u32,
}

impl Search<'_> {
    fn best_reels(&self) -> usize {
        self.best.iter().max().copied().unwrap_or(0)
    }

    /// Places what is still to be placed, `rest` groups in all.
    fn go(&mut self, rest: u64) {
        let best = self.best_reels();
        if best <= self.at_least || self.steps > MOST_STEPS {
            return;
        }
        let begun = self.left.len() - 1;
        let Some(&size) = self.sizes.get(self.placed.len()) else {
            if begun < best {
                self.best = self.placed.clone();
            }
            return;
        };
        self.steps += 1;
        // What goes into no reel that is begun needs new ones.
        let room: u64 = self.left.iter().map(|&r| u64::from(r)).sum();
        let more = rest
            .saturating_sub(room)
            .div_ceil(u64::from(self.reel.max(1)));
        if begun as u64 + more >= best as u64 {
            return;
        }
        // Of cuts alike the later is not put ahead of the earlier: that would be the same way again.
        let alike = |n: usize| n > 0 && self.sizes[n - 1] == size;
        let n = self.placed.len();
        let first = if alike(n) { self.placed[n - 1] } else { 0 };
        let mut tried = Vec::new();
        for place in first..self.left.len() {
            let room = self.left[place];
            // Two with the same room are the same, but for the piece at hand.
            if room < size || (place > 0 && tried.contains(&room)) {
                continue;
            }
            if place > 0 {
                tried.push(room);
            }
            self.left[place] -= size;
            self.placed.push(place);
            self.go(rest - u64::from(size));
            self.placed.pop();
            self.left[place] += size;
        }
        if self.reel >= size {
            self.left.push(self.reel - size);
            self.placed.push(begun + 1);
            self.go(rest - u64::from(size));
            self.placed.pop();
            self.left.pop();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn reels(cuts: &[u32], reel: u32, at_hand: u32) -> usize {
        let way = cutting(cuts, reel, at_hand).unwrap();
        assert_eq!(way.reels, way.at_least);
        way.reels
    }

    #[test]
    fn the_fewest_reels_are_found_where_first_fit_takes_more() {
        // By hand: 6+4, 5+3+2 fill two reels of 10; first fit decreasing takes 6+4, 5+3+2 too.
        assert_eq!(reels(&[6, 5, 4, 3, 2], 10, 0), 2);
        // First fit decreasing: 44+30+24, 40+30+22 …; by hand 44+24+30, 40+30+28 fill reels of 98.
        assert_eq!(reels(&[44, 24, 30, 40, 30, 28], 98, 0), 2);
        // 7+3, 5+5 would be two, but 4 ahead of 3 spoils first fit: 7, 5+4, 5+3 …: 7+3, 5+5, 4+… .
        assert_eq!(reels(&[5, 5, 4, 4, 3, 3, 3, 3], 10, 0), 3);
        assert_eq!(reels(&[], 10, 0), 0);
    }

    #[test]
    fn what_is_at_hand_is_cut_first() {
        assert_eq!(reels(&[6, 4], 10, 10), 0);
        assert_eq!(reels(&[6, 5], 10, 6), 1);
        assert_eq!(reels(&[6, 5, 5], 10, 6), 1);
        assert_eq!(reels(&[12], 10, 12), 0);
        assert_eq!(cutting(&[12], 10, 11), None);
        assert_eq!(cutting(&[1], 0, 0), None);
    }

    /// The fewest by trying all ways: each cut into each place.
    fn by_all_ways(cuts: &[u32], reel: u32, at_hand: u32) -> usize {
        fn go(cuts: &[u32], reel: u32, left: &mut Vec<u32>) -> usize {
            let Some((&cut, rest)) = cuts.split_first() else {
                return left.len() - 1;
            };
            let mut best = usize::MAX;
            for place in 0..left.len() {
                if left[place] >= cut {
                    left[place] -= cut;
                    best = best.min(go(rest, reel, left));
                    left[place] += cut;
                }
            }
            if cut <= reel {
                left.push(reel - cut);
                best = best.min(go(rest, reel, left));
                left.pop();
            }
            best
        }
        go(cuts, reel, &mut vec![at_hand])
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        #[test]
        fn small_ones_are_as_good_as_all_ways(
            cuts in proptest::collection::vec(1u32..12, 0..8), reel in 12u32..20, at_hand in 0u32..15,
        ) {
            let way = cutting(&cuts, reel, at_hand).unwrap();
            prop_assert_eq!(way.reels, by_all_ways(&cuts, reel, at_hand));
            prop_assert_eq!(way.at_least, way.reels);
        }

        #[test]
        fn no_reel_is_cut_beyond_its_end(
            cuts in proptest::collection::vec(1u32..200, 0..120), at_hand in 0u32..300,
        ) {
            let way = cutting(&cuts, 200, at_hand).unwrap();
            let mut used = vec![0; way.reels + 1];
            for (cut, from) in cuts.iter().zip(&way.from) {
                used[from.map_or(0, |reel| reel + 1)] += cut;
            }
            prop_assert!(used[0] <= at_hand && used[1..].iter().all(|&u| (1..=200).contains(&u)));
            prop_assert!(way.at_least <= way.reels);
        }
    }
}
