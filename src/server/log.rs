//! Words for the client's log. Standard output belongs to the protocol.

use tokio::sync::mpsc;
use tower_lsp::Client;
use tower_lsp::lsp_types::MessageType;

/// Where handlers that may not wait put what is to be logged.
#[derive(Clone)]
pub struct Log(mpsc::Sender<(MessageType, String)>);

impl Log {
    /// A log that a task of its own hands to the client.
    pub fn to(client: Client) -> Log {
        let (log, mut lines) = mpsc::channel(256);
        tokio::spawn(async move {
            while let Some((kind, line)) = lines.recv().await {
                client.log_message(kind, line).await;
            }
        });
        Log(log)
    }

    /// Something is odd. When the client does not keep up, lines are lost rather than kept.
    pub fn warn(&self, line: String) {
        let _ = self.0.try_send((MessageType::WARNING, line));
    }

    /// Something is broken in here.
    pub fn error(&self, line: String) {
        let _ = self.0.try_send((MessageType::ERROR, line));
    }

    /// From now on a panic is told on standard error and in the client's log.
    pub fn hear_panics(&self) {
        let log = self.clone();
        let usual = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |panic| {
            usual(panic);
            log.error(format!(
                "A fault in glimloom itself, please report it: {panic}"
            ));
        }));
    }
}
