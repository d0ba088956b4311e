//! The guard around all work: it runs beside the protocol, not in it; it is told when nobody waits any more;
//! and a panic in it is one failed request, not the end of the process.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use tower_lsp::jsonrpc::{Error, Result};

/// Set once the result is wanted no more.
#[derive(Clone, Default)]
pub struct Stop(Arc<AtomicBool>);

impl Stop {
    /// Whether to give up.
    pub fn is_set(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

struct SetWhenDropped(Stop);

impl Drop for SetWhenDropped {
    fn drop(&mut self) {
        self.0.0.store(true, Ordering::Relaxed);
    }
}

/// Runs `work` on the pool for blocking work. When the request is cancelled the future is dropped, and with it the
/// stop flag is set.
pub async fn compute<T: Send + 'static>(
    work: impl FnOnce(&Stop) -> T + Send + 'static,
) -> Result<T> {
    let stop = Stop::default();
    let _guard = SetWhenDropped(stop.clone());
    tokio::task::spawn_blocking(move || work(&stop))
        .await
        .map_err(|_| Error::internal_error())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc;

    #[tokio::test]
    async fn a_panic_is_an_internal_error() {
        let result = compute(|_| -> u8 { panic!("on purpose") }).await;
        assert_eq!(result.unwrap_err().code.code(), -32603);
        assert_eq!(compute(|_| 1).await.unwrap(), 1);
    }

    #[tokio::test]
    async fn work_that_nobody_waits_for_is_told_to_stop() {
        let (started, has_started) = tokio::sync::oneshot::channel();
        let (ended, has_ended) = mpsc::channel();
        let work = tokio::spawn(compute(move |stop| {
            let _ = started.send(());
            while !stop.is_set() {
                std::thread::yield_now();
            }
            let _ = ended.send(());
        }));
        has_started.await.unwrap();
        work.abort();
        let waited = tokio::task::spawn_blocking(move || has_ended.recv()).await;
        assert_eq!(waited.unwrap(), Ok(()));
    }
}
