//! The factors of a matrix once more, for other values: the steps of the last time are gone through again, and nothing has to be
//! looked for. That holds as long as each column's pivot, the first of its largest values, is the same row, and is then the same
//! to the last digit; where another row would be the pivot it is not done.
//!
//! Between the steps of Newton's method little changes, and the pivots hardly ever. (KLU calls it a "refactorization": Davis and
//! Palamadai Natarajan 2010, "Algorithm 907: KLU, a direct sparse solver for circuit simulation problems", ACM TOMS 37.)

use std::ops::Range;

use faer::perm::PermRef;
use faer::sparse::SparseColMatRef;
use faer::sparse::linalg::lu::simplicial::SimplicialLu;

/// What is done, column by column; rows go by the step in which they are the pivot.
pub(super) struct Steps {
    /// The values of each step's column, by their slots …
    columns: Vec<Range<usize>>,
    /// … and the row of each slot.
    rows: Vec<usize>,
    /// The row and the column of each step's pivot, as they stand in the matrix.
    pivots: Vec<(usize, usize)>,
    /// Each column's pivot, which is one, comes first.
    lower: Factor,
    /// Of each value in there, whether it was as large as the pivot once, and the pivot came first.
    are_behind: Vec<bool>,
    /// What is above each column's pivot, in the order in which it is worked out; the pivot comes last.
    upper: Factor,
    /// The column at hand, or the right-hand side; else nought.
    x: Vec<f64>,
}

/// A triangular matrix.
#[derive(Default)]
struct Factor {
    starts: Vec<usize>,
    rows: Vec<usize>,
    values: Vec<f64>,
}

impl Factor {
    /// One with the same pattern.
    fn like(of: SparseColMatRef<usize, f64>) -> Factor {
        let starts = of.col_ptr().to_vec();
        let entries = starts.last().copied().unwrap_or(0);
        Factor {
            rows: of.row_idx()[..entries].to_vec(),
            values: vec![0.0; entries],
            starts,
        }
    }

    fn column(&self, step: usize) -> Range<usize> {
        self.starts[step]..self.starts[step + 1]
    }

    /// Takes so many times some entries from `x`.
    fn take_from(&self, x: &mut [f64], entries: Range<usize>, times: f64) {
        for (row, value) in self.rows[entries.clone()].iter().zip(&self.values[entries]) {
            x[*row] -= value * times;
        }
    }
}

impl Steps {
    /// The steps that gave these factors of a matrix; `None` where they are no numbers.
    pub fn of(
        factors: &SimplicialLu<usize, f64>,
        matrix: SparseColMatRef<usize, f64>,
        rows: PermRef<usize>,
        columns: PermRef<usize>,
    ) -> Option<Steps> {
        let (pivots, step_of) = rows.arrays();
        let (columns, _) = columns.arrays();
        let lower = Factor::like(factors.l_factor_unsorted());
        let mut steps = Steps {
            columns: columns.iter().map(|c| matrix.col_range(*c)).collect(),
            rows: matrix.row_idx().iter().map(|row| step_of[*row]).collect(),
            pivots: std::iter::zip(pivots.iter().copied(), columns.iter().copied()).collect(),
            are_behind: vec![false; lower.values.len()],
            lower,
            upper: Factor::like(factors.u_factor_unsorted()),
            x: vec![0.0; columns.len()],
        };
        steps.go(matrix.val(), |_| true).then_some(steps)
    }

    /// Goes through them with other values. False where another row would be a pivot: then nothing is known.
    pub fn repeat(&mut self, values: &[f64]) -> bool {
        self.go(values, |is_behind| is_behind)
    }

    /// The same; `is_behind` says whether what is as large as the pivot comes behind it, and is told whether it did.
    fn go(&mut self, values: &[f64], is_behind: impl Fn(bool) -> bool) -> bool {
        let Steps {
            columns,
            rows,
            lower,
            are_behind,
            upper,
            x,
            ..
        } = self;
        for (step, slots) in columns.iter().enumerate() {
            for (row, value) in rows[slots.clone()].iter().zip(&values[slots.clone()]) {
                x[*row] += value;
            }
            let above = upper.column(step);
            let pivot = above.end - 1;
            for k in above.start..pivot {
                let row = upper.rows[k];
                let times = std::mem::take(&mut x[row]);
                upper.values[k] = times;
                let behind = lower.column(row);
                lower.take_from(x, behind.start + 1..behind.end, times);
            }
            let by = std::mem::take(&mut x[step]);
            upper.values[pivot] = by;
            let (size, by) = (by.abs(), by.recip());
            let behind = lower.column(step);
            lower.values[behind.start] = 1.0;
            for k in behind.start + 1..behind.end {
                let value = std::mem::take(&mut x[lower.rows[k]]);
                if value.abs() == size {
                    are_behind[k] = is_behind(are_behind[k]);
                }
                let is_less = value.abs() < size || value.abs() == size && are_behind[k];
                if !is_less {
                    x.fill(0.0);
                    return false;
                }
                lower.values[k] = value * by;
            }
        }
        true
    }

    /// Solves for a right-hand side, in its place.
    pub fn solve(&mut self, rhs: &mut [f64]) {
        let Steps {
            pivots,
            lower,
            upper,
            x,
            ..
        } = self;
        for (x, (row, _)) in x.iter_mut().zip(&*pivots) {
            *x = rhs[*row];
        }
        for step in 0..x.len() {
            let (behind, times) = (lower.column(step), x[step]);
            lower.take_from(x, behind.start + 1..behind.end, times);
        }
        for step in (0..x.len()).rev() {
            let above = upper.column(step);
            let pivot = above.end - 1;
            let times = x[step] * upper.values[pivot].recip();
            x[step] = times;
            upper.take_from(x, above.start..pivot, times);
        }
        for (x, (_, column)) in x.iter_mut().zip(&*pivots) {
            rhs[*column] = std::mem::take(x);
        }
    }

    /// Whether the factors are the same, to the last digit.
    pub fn gave_what(&self, other: &Steps) -> bool {
        let bits =
            |factor: &Factor| -> Vec<u64> { factor.values.iter().map(|x| x.to_bits()).collect() };
        self.pivots == other.pivots
            && bits(&self.lower) == bits(&other.lower)
            && bits(&self.upper) == bits(&other.upper)
    }
}

#[cfg(test)]
mod tests {
    use faer::dyn_stack::{MemBuffer, MemStack};
    use faer::perm::Perm;
    use faer::sparse::SymbolicSparseColMat;
    use faer::sparse::linalg::lu::simplicial::{
        factorize_simplicial_numeric_lu, factorize_simplicial_numeric_lu_scratch,
        solve_in_place_scratch,
    };
    use faer::{Conj, MatMut, Par};
    use proptest::prelude::*;

    use super::*;

    const SIZE: usize = 6;

    /// By `faer`: what solves it, and the steps.
    fn by_faer(
        structure: &SymbolicSparseColMat<usize>,
        values: &[f64],
        rhs: &mut [f64],
    ) -> Option<Steps> {
        let (mut rows, mut inverse) = ([0; SIZE], [0; SIZE]);
        let mut factors = SimplicialLu::default();
        let order: Vec<usize> = (0..SIZE).rev().collect();
        let columns = Perm::new_checked(order.clone().into(), order.into(), SIZE);
        let matrix = SparseColMatRef::new(structure.as_ref(), values);
        let mut memory = MemBuffer::new(factorize_simplicial_numeric_lu_scratch::<usize, f64>(
            SIZE, SIZE,
        ));
        let stack = MemStack::new(&mut memory);
        factorize_simplicial_numeric_lu(
            &mut rows,
            &mut inverse,
            &mut factors,
            matrix,
            columns.as_ref(),
            stack,
        )
        .ok()?;
        let rows = PermRef::new_checked(&rows, &inverse, SIZE);
        let mut memory = MemBuffer::new(solve_in_place_scratch::<usize, f64>(SIZE, 1, Par::Seq));
        let solution = MatMut::from_column_major_slice_mut(&mut *rhs, SIZE, 1);
        let stack = MemStack::new(&mut memory);
        factors.solve_in_place_with_conj(
            rows,
            columns.as_ref(),
            Conj::No,
            solution,
            Par::Seq,
            stack,
        );
        let steps = Steps::of(&factors, matrix, rows, columns.as_ref());
        steps.filter(|_| rhs.iter().all(|x| x.is_finite()))
    }

    proptest! {
        /// Small whole numbers, so that many are as large as the pivot.
        #[test]
        fn what_is_repeated_is_what_faer_gives(
            first in prop::collection::vec(-2i8..=2, SIZE * SIZE),
            second in prop::collection::vec(prop::option::weighted(0.1, -3i8..=3), SIZE * SIZE),
            right in prop::collection::vec(-9i8..=9, SIZE),
        ) {
            let is_there = |k: &usize| first[*k] != 0 || k.is_multiple_of(SIZE + 1);
            let there: Vec<usize> = (0..SIZE * SIZE).filter(is_there).collect();
            let starts = (0..=SIZE).map(|c| there.partition_point(|k| *k < c * SIZE)).collect();
            let rows = there.iter().map(|k| k % SIZE).collect();
            let structure = SymbolicSparseColMat::new_checked(SIZE, SIZE, starts, None, rows);
            let before: Vec<f64> = there.iter().map(|k| first[*k].into()).collect();
            let now = there.iter().map(|k| second[*k].unwrap_or(first[*k]).into());
            let now: Vec<f64> = now.collect();
            let right: Vec<f64> = right.iter().map(|x| f64::from(*x)).collect();
            let (mut a, mut b) = (right.clone(), right.clone());
            let Some(mut steps) = by_faer(&structure, &before, &mut a) else {
                return Ok(());
            };
            steps.solve(&mut b);
            prop_assert_eq!(a, b);
            if steps.repeat(&now) {
                let (mut a, mut b) = (right.clone(), right);
                let anew = by_faer(&structure, &now, &mut a);
                steps.solve(&mut b);
                prop_assert!(anew.is_none_or(|anew| a == b && steps.gave_what(&anew)));
            }
        }
    }
}
