//! Sparse linear equations (by `faer`): the pattern is worked out once, then solved for many values.
//!
//! A circuit's matrix has a handful of entries in a row and hardly fills in, so it is factored entry
//! by entry (Gilbert and Peierls 1988, "Sparse partial pivoting in time proportional to arithmetic
//! operations"), its columns put in order beforehand (Amestoy, Davis and Duff 1996, "An approximate minimum degree
//! ordering algorithm"). The next values go the same way, as far as they can ([`again`]).

mod again;

use again::Steps;
use faer::dyn_stack::{MemBuffer, MemStack};
use faer::perm::{Perm, PermRef};
use faer::sparse::linalg::amd;
use faer::sparse::linalg::lu::simplicial::{
    SimplicialLu, factorize_simplicial_numeric_lu, factorize_simplicial_numeric_lu_scratch,
};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMat};

/// Where the entries of a square matrix are.
pub(crate) struct Pattern {
    size: usize,
    structure: SymbolicSparseColMat<usize>,
    /// The order in which the columns are eliminated.
    columns: Option<Perm<usize>>,
    entries: usize,
}

/// What a solution is worked out in, kept from one to the next of the same pattern.
#[derive(Default)]
pub(crate) struct Workspace {
    factors: SimplicialLu<usize, f64>,
    rows: Vec<usize>,
    rows_inverse: Vec<usize>,
    memory: Option<MemBuffer>,
    /// How the last values were factored.
    steps: Option<Steps>,
}

impl Pattern {
    /// The pattern with these (row, column) entries, which may repeat; and for each of them its slot
    /// among the values.
    pub fn new(size: usize, at: &[(usize, usize)]) -> (Pattern, Vec<usize>) {
        // By columns, and by rows within them.
        let order = sorted(size, 0..at.len(), |k| at[k].0);
        let order = sorted(size, order.iter().copied(), |k| at[k].1);
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
        let columns = columns_in_order(&structure);
        let pattern = Pattern {
            size,
            structure,
            columns,
            entries,
        };
        (pattern, slots)
    }

    /// How many values a matrix of this pattern has.
    pub fn entries(&self) -> usize {
        self.entries
    }

    /// Solves for the right-hand side, in its place. False where that cannot be done.
    pub fn solve(&self, workspace: &mut Workspace, values: &[f64], rhs: &mut [f64]) -> bool {
        let n = self.size;
        if n == 0 {
            return true;
        }
        if !finite(values) || !finite(rhs) {
            return false;
        }
        let Some(columns) = self.columns.as_ref().map(Perm::as_ref) else {
            return false;
        };
        let steps = workspace.steps.as_mut();
        if !steps.is_some_and(|steps| steps.repeat(values)) {
            workspace.steps = self.factored(workspace, columns, values);
        } else if cfg!(debug_assertions) {
            let anew = self.factored(&mut Workspace::default(), columns, values);
            let steps = workspace.steps.iter().zip(&anew);
            steps.for_each(|(steps, anew)| assert!(steps.gave_what(anew), "other digits"));
        }
        self.solve_again(workspace, rhs)
    }

    /// How values are factored, from the first; `None` where that cannot be done.
    fn factored(
        &self,
        workspace: &mut Workspace,
        columns: PermRef<usize>,
        values: &[f64],
    ) -> Option<Steps> {
        let Workspace {
            factors,
            rows,
            rows_inverse,
            memory,
            ..
        } = workspace;
        let n = self.size;
        let memory = memory.get_or_insert_with(|| {
            MemBuffer::new(factorize_simplicial_numeric_lu_scratch::<usize, f64>(n, n))
        });
        rows.resize(n, 0);
        rows_inverse.resize(n, 0);
        let matrix = SparseColMatRef::new(self.structure.as_ref(), values);
        let stack = MemStack::new(memory);
        factorize_simplicial_numeric_lu(rows, rows_inverse, factors, matrix, columns, stack)
            .ok()?;
        let rows = PermRef::new_checked(rows, rows_inverse, n);
        Steps::of(factors, matrix, rows, columns)
    }

    /// Solves for another right-hand side, in its place, with the values of the last time. False where that cannot be done.
    pub fn solve_again(&self, workspace: &mut Workspace, rhs: &mut [f64]) -> bool {
        let Some(steps) = &mut workspace.steps else {
            return self.size == 0;
        };
        steps.solve(rhs);
        finite(rhs)
    }
}

fn finite(x: &[f64]) -> bool {
    x.iter().all(|v| v.is_finite())
}

/// These in the order of a number below `size` that each has; those that have the same stay as they stand.
fn sorted(
    size: usize,
    these: impl Iterator<Item = usize> + Clone,
    number: impl Fn(usize) -> usize,
) -> Vec<usize> {
    let mut next = vec![0; size + 1];
    let mut count = 0;
    for k in these.clone() {
        next[number(k) + 1] += 1;
        count += 1;
    }
    for n in 0..size {
        next[n + 1] += next[n];
    }
    let mut order = vec![0; count];
    for k in these {
        let place = &mut next[number(k)];
        order[*place] = k;
        *place += 1;
    }
    order
}

/// The order of the columns that fills in least, where the largest entry of each stands on the diagonal: copper between
/// two nodes weighs on both alike. The order for any pivot (of AᵀA) takes a joint of a hundred wires for a full row.
fn columns_in_order(structure: &SymbolicSparseColMat<usize>) -> Option<Perm<usize>> {
    let n = structure.ncols();
    let (mut forth, mut back) = (vec![0; n], vec![0; n]);
    let scratch = amd::order_scratch::<usize>(n, structure.compute_nnz());
    let mut memory = MemBuffer::try_new(scratch).ok()?;
    let stack = MemStack::new(&mut memory);
    let control = amd::Control::default();
    amd::order(&mut forth, &mut back, structure.as_ref(), control, stack).ok()?;
    Some(Perm::new_checked(forth.into(), back.into(), n))
}
