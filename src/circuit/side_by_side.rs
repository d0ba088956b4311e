//! Work of which no piece needs another, on all processors at once. What comes out does not tell how many there were.

use std::panic::resume_unwind;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// More threads than this are never asked for.
const MOST: usize = 256;

/// How many processors there are for this process; `GLIMLOOM_PROCESSORS` in its environment says another number.
pub fn processors() -> usize {
    static COUNT: OnceLock<usize> = OnceLock::new();
    *COUNT.get_or_init(|| {
        let said = std::env::var("GLIMLOOM_PROCESSORS").ok();
        let said = said.and_then(|said| said.parse().ok());
        said.filter(|count| (1..=MOST).contains(count))
            .unwrap_or_else(|| thread::available_parallelism().map_or(1, usize::from))
    })
}

/// What `piece` gives for each number below `count`, in their order. Each is begun in this order, by whoever is free.
///
/// To have another thread begin takes some 30 µs: the whole should take many times that.
pub fn side_by_side<T: Send>(count: usize, piece: impl Fn(usize) -> T + Sync) -> Vec<T> {
    by_so_many(processors(), count, piece)
}

fn by_so_many<T: Send>(workers: usize, count: usize, piece: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let workers = workers.min(count);
    if workers < 2 {
        return (0..count).map(piece).collect();
    }
    let next = AtomicUsize::new(0);
    let work = || {
        let begin = || Some(next.fetch_add(1, Ordering::Relaxed)).filter(|k| *k < count);
        let done = std::iter::from_fn(|| begin().map(|k| (k, piece(k))));
        done.collect::<Vec<(usize, T)>>()
    };
    let mut done = thread::scope(|scope| {
        // Where the system gives no more threads, those that there are do it all.
        let other = |_| thread::Builder::new().spawn_scoped(scope, work).ok();
        let others: Vec<_> = (1..workers).filter_map(other).collect();
        let mut done = work();
        for other in others {
            done.extend(other.join().unwrap_or_else(|panic| resume_unwind(panic)));
        }
        done
    });
    done.sort_unstable_by_key(|(k, _)| *k);
    done.into_iter().map(|(_, of)| of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_by_however_many() {
        let alone: Vec<String> = by_so_many(1, 100, |k| format!("{k}"));
        assert_eq!(alone[42], "42");
        for workers in [0, 2, 3, 8, 200] {
            assert_eq!(by_so_many(workers, 100, |k| format!("{k}")), alone);
        }
        assert_eq!(by_so_many(8, 0, |k| k), [0; 0]);
    }
}
