//! Asks the client for the settings, takes those that it sends, and lets it ask anew for what they change.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use serde_json::{Value, json};
use tower_lsp::Client;
use tower_lsp::lsp_types::{ConfigurationItem, Registration};

use super::log::Log;
use super::session::Session;
use super::settings::SECTION;

/// The way from the client's settings to the session.
#[derive(Clone)]
pub struct Configure {
    client: Client,
    session: Arc<Session>,
    log: Log,
    /// Counts the questions: only the answer to the last one counts.
    asked: Arc<AtomicU64>,
}

impl Configure {
    /// Of one session.
    pub fn new(client: Client, session: Arc<Session>, log: Log) -> Configure {
        Configure {
            client,
            session,
            log,
            asked: Arc::default(),
        }
    }

    /// Asks the client for the settings, and takes them when they come.
    pub fn ask(&self) {
        let this = self.clone();
        let question = self.asked.fetch_add(1, Ordering::AcqRel) + 1;
        // In a task of its own: a request to the client must outlive whatever asked for it.
        tokio::spawn(async move {
            let item = ConfigurationItem {
                scope_uri: None,
                section: Some(SECTION.to_owned()),
            };
            let Ok(answer) = this.client.configuration(vec![item]).await else {
                return;
            };
            if this.asked.load(Ordering::Acquire) == question {
                this.take(&answer.into_iter().next().unwrap_or_default());
            }
        });
    }

    /// Takes settings that the client sent.
    pub fn take(&self, section: &Value) {
        let (before, wrong) = self.session.set(section);
        for complaint in wrong {
            self.log.warn(complaint);
        }
        let now = self.session.snapshot().world.settings.clone();
        self.refresh(now.hints != before.hints, now.lenses != before.lenses);
    }

    /// Lets the client ask anew for hints, or lenses, where it can be told to.
    pub fn refresh(&self, hints: bool, lenses: bool) {
        let can = self.session.snapshot().world.client.clone();
        let (hints, lenses) = (hints && can.refreshes_hints, lenses && can.refreshes_lenses);
        if !hints && !lenses {
            return;
        }
        let client = self.client.clone();
        tokio::spawn(async move {
            if hints {
                let _ = client.inlay_hint_refresh().await;
            }
            if lenses {
                let _ = client.code_lens_refresh().await;
            }
        });
    }
}

/// The client is to tell when settings change.
pub fn watch_settings() -> Registration {
    Registration {
        id: "settings".to_owned(),
        method: "workspace/didChangeConfiguration".to_owned(),
        register_options: Some(json!({"section": SECTION})),
    }
}
