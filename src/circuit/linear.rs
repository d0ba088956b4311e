//! Sparse linear equations (by `faer`): the pattern is worked out once, then solved for many values.

use faer::MatMut;
use faer::linalg::solvers::Solve;
use faer::sparse::linalg::solvers::{Lu, SymbolicLu};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMat};

/// Where the entries of a square matrix are.
pub(crate) struct Pattern {
    size: usize,
    structure: SymbolicSparseColMat<usize>,
    symbolic: Option<SymbolicLu<usize>>,
    entries: usize,
}

impl Pattern {
    /// The pattern with these (row, column) entries, which may repeat; and for each of them its slot
    /// among the values.
    pub fn new(size: usize, at: &[(usize, usize)]) -> (Pattern, Vec<usize>) {
        let mut order: Vec<usize> = (0..at.len()).collect();
        order.sort_unstable_by_key(|&k| (at[k].1, at[k].0));
        let mut slots = vec![0; at.len()];
        let mut rows = Vec::with_capacity(at.len());
        let mut starts = vec![0; size + 1];
        let mut last = None;
        for &k in &order {
            if last != Some(at[k]) {
                last = Some(at[k]);
                rows.push(at[k].0);
                starts[at[k].1 + 1] = rows.len();
            }
            slots[k] = rows.len() - 1;
        }
        for c in 0..size {
            starts[c + 1] = starts[c + 1].max(starts[c]);
        }
        let entries = rows.len();
        let structure = SymbolicSparseColMat::new_checked(size, size, starts, None, rows);
        let symbolic = SymbolicLu::try_new(structure.as_ref()).ok();
        let pattern = Pattern {
            size,
            structure,
            symbolic,
            entries,
        };
        (pattern, slots)
    }

    /// How many values a matrix of this pattern has.
    pub fn entries(&self) -> usize {
        self.entries
    }

    /// Solves for the right-hand side, in its place. False where that cannot be done.
    pub fn solve(&self, values: &[f64], rhs: &mut [f64]) -> bool {
        if self.size == 0 {
            return true;
        }
        let finite = |x: &[f64]| x.iter().all(|v| v.is_finite());
        if !finite(values) || !finite(rhs) {
            return false;
        }
        let Some(symbolic) = self.symbolic.clone() else {
            return false;
        };
        let matrix = SparseColMatRef::new(self.structure.as_ref(), values);
        let Ok(lu) = Lu::try_new_with_symbolic(symbolic, matrix) else {
            return false;
        };
        lu.solve_in_place(MatMut::from_column_major_slice_mut(rhs, self.size, 1));
        finite(rhs)
    }
}
