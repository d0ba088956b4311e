//! A repeatable source of choices.

/// A linear congruential generator; constants of Knuth's MMIX.
pub struct Dice(pub u64);

impl Dice {
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
