//! How much memory the server holds, where the system tells.

use crate::wire::client::Client;

/// A megabyte, in kilobytes.
pub const MB: u64 = 1024;

/// Kilobytes held now, and the most that ever were; `None` where the system does not tell.
pub fn held(client: &Client) -> Option<(u64, u64)> {
    of(client.process())
}

/// The same of a process by its number.
pub fn of(process: u32) -> Option<(u64, u64)> {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let field = |name: &str| -> Option<u64> {
        let line = status.lines().find(|line| line.starts_with(name))?;
        line.split_whitespace().nth(1)?.parse().ok()
    };
    Some((field("VmRSS:")?, field("VmHWM:")?))
}
