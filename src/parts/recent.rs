//! What was there a moment ago is kept, since it may be there again; but no more of it than it is worth.

use std::collections::VecDeque;

/// Keeps the first of these, at least one: no more than `count`, and no more than `weigh` so much together.
pub(super) fn keep_recent<T>(
    recent: &mut VecDeque<T>,
    count: usize,
    most: usize,
    weight: impl Fn(&T) -> usize,
) {
    let mut all = 0;
    let fits = |one: &&T| {
        all += weight(one);
        all <= most
    };
    let fitting = recent.iter().take(count).take_while(fits).count();
    recent.truncate(fitting.max(1));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn not_too_many_and_not_too_much() {
        let kept = |of: &[usize], count, most| {
            let mut recent = VecDeque::from(of.to_vec());
            keep_recent(&mut recent, count, most, |one| *one);
            Vec::from(recent)
        };
        assert_eq!(kept(&[1, 2, 3, 4], 3, 100), [1, 2, 3]);
        assert_eq!(kept(&[1, 2, 3, 4], 9, 6), [1, 2, 3]);
        assert_eq!(kept(&[70, 2], 9, 6), [70]);
        assert_eq!(kept(&[], 9, 6), [0; 0]);
    }
}
