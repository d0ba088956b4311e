//! How much memory the server holds, where the system tells.

use crate::wire::client::Client;

/// Megabytes held now, and the most that ever were; `None` where the system does not tell.
pub fn held(client: &Client) -> Option<(u64, u64)> {
    of(client.process())
}

/// The same of a process by its number.
pub fn of(process: u32) -> Option<(u64, u64)> {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let field = |name: &str| {
        let line = status.lines().find(|line| line.starts_with(name))?;
        let kilobytes: u64 = line.split_whitespace().nth(1)?.parse().ok()?;
        Some(kilobytes / 1024)
    };
    Some((field("VmRSS:")?, field("VmHWM:")?))
}
