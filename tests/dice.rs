//! A repeatable source of choices.

#![allow(clippy::expect_used)] // A test that cannot go on says so by failing.

/// A linear congruential generator; constants of Knuth's MMIX.
pub struct Dice(pub u64);

impl Dice {
    /// The same in each run, unless `GLIMLOOM_SEED` asks for other ones.
    pub fn seeded(seed: u64) -> Dice {
        let other = std::env::var("GLIMLOOM_SEED");
        let other = other.map_or(0, |n| n.parse().expect("GLIMLOOM_SEED is a number"));
        Dice(seed.wrapping_add(0x9e37_79b9_7f4a_7c15u64.wrapping_mul(other)))
    }

    /// A number below `limit`; zero where there is none.
    pub fn below(&mut self, limit: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % limit.max(1)
    }

    /// One of these.
    pub fn one_of<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }
}
