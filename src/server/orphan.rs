//! Ending when whoever started us has gone, even if the pipe stays open: a crashed editor must leave nothing behind.

use std::path::Path;
use std::time::Duration;

use tokio::sync::watch;

const EVERY: Duration = Duration::from_secs(1);

/// Ready once the process that is the parent now, or the one that was `named`, is gone.
pub fn orphaned(named: watch::Receiver<Option<u32>>) -> impl Future<Output = ()> {
    let first = parent();
    async move {
        loop {
            tokio::time::sleep(EVERY).await;
            if parent() != first || named.borrow().is_some_and(|process| !is_alive(process)) {
                return;
            }
        }
    }
}

#[cfg(unix)]
fn parent() -> Option<u32> {
    Some(std::os::unix::process::parent_id())
}

#[cfg(not(unix))]
fn parent() -> Option<u32> {
    None
}

/// Whether the process can be seen to be there. The client may live in another world (a container), and some
/// systems do not tell in their files: what cannot be seen from the start cannot be watched.
pub fn is_alive(process: u32) -> bool {
    let status = std::fs::read_to_string(Path::new("/proc").join(process.to_string()).join("stat"));
    // A process that has ended but was not yet collected has state Z, behind its name in brackets: proc(5).
    let has_ended = |status: &str| {
        status
            .rsplit(')')
            .next()
            .is_some_and(|rest| rest.trim_start().starts_with('Z'))
    };
    status.is_ok_and(|status| !has_ended(&status))
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    use super::*;

    #[test]
    fn processes_that_ended_are_not_alive() {
        assert!(is_alive(std::process::id()));
        let mut child = std::process::Command::new("true").spawn().unwrap();
        let id = child.id();
        child.wait().unwrap();
        assert!(!is_alive(id));
        assert!(!is_alive(4_000_000_000));
    }
}
