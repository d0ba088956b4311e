//! Work that may take longer than a moment: the client is told how far it is, and may stop it.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

use serde_json::{Value, json};
use tokio::runtime::Handle;
use tower_lsp::Client;
use tower_lsp::lsp_types::request::WorkDoneProgressCreate;
use tower_lsp::lsp_types::{ProgressToken, WorkDoneProgressCreateParams};

use super::output::Output;
use super::session::lock;
use crate::plan::FileKey;

/// Work on fewer plans is done before anybody could read how far it is.
const FEW: usize = 20;

/// What the client knows some work by, and whether the user stopped it.
type UnderWay = (ProgressToken, Arc<AtomicBool>);

/// All work that is under way.
#[derive(Clone)]
pub struct Progress {
    client: Client,
    output: Output,
    under_way: Arc<Mutex<Vec<UnderWay>>>,
    last: Arc<AtomicUsize>,
}

impl Progress {
    /// Told to this client, by way of this output.
    pub fn of(client: Client, output: Output) -> Progress {
        Progress {
            client,
            output,
            under_way: Arc::default(),
            last: Arc::default(),
        }
    }

    /// Work begins. `token` is the client's own for it; without one, and where the client shows progress that it did not
    /// ask for (`may_create`), it is asked to take one of ours.
    pub fn begin(
        &self,
        title: &'static str,
        token: Option<ProgressToken>,
        may_create: bool,
    ) -> Work {
        let is_cancelled = Arc::new(AtomicBool::new(false));
        if let Some(token) = &token {
            lock(&self.under_way).push((token.clone(), is_cancelled.clone()));
        }
        Work {
            is_taken: Arc::new(AtomicBool::new(token.is_some())),
            may_create: may_create && token.is_none(),
            progress: self.clone(),
            runtime: Handle::current(),
            is_cancelled,
            title,
            token,
            percent: None,
        }
    }

    /// The user wants no more of it.
    pub fn cancel(&self, token: &ProgressToken) {
        for (_, flag) in lock(&self.under_way).iter().filter(|(t, _)| t == token) {
            flag.store(true, Ordering::Relaxed);
        }
    }

    /// Something of a work, by its token: `$/progress`.
    pub fn tell(&self, token: &ProgressToken, value: &Value) {
        let params = json!({"token": token, "value": value});
        let body = json!({"jsonrpc": "2.0", "method": "$/progress", "params": params});
        self.output.write(body.to_string().into_bytes());
    }
}

/// One work.
pub struct Work {
    progress: Progress,
    runtime: Handle,
    title: &'static str,
    token: Option<ProgressToken>,
    /// The client has a place for it.
    is_taken: Arc<AtomicBool>,
    may_create: bool,
    is_cancelled: Arc<AtomicBool>,
    /// What was told last; `None` before the beginning was.
    percent: Option<usize>,
}

impl Work {
    /// Says whether the user stopped it.
    pub fn stopped(&self) -> impl Fn() -> bool + Send + Sync + 'static {
        let flag = self.is_cancelled.clone();
        move || flag.load(Ordering::Relaxed)
    }

    /// So many plans of so many are done, and this one is next.
    pub fn step(&mut self, done: usize, all: usize, next: &FileKey) {
        if self.may_create && all > FEW {
            self.may_create = false;
            self.create();
        }
        let Some(token) = self
            .token
            .as_ref()
            .filter(|_| self.is_taken.load(Ordering::Acquire))
        else {
            return;
        };
        let percent = done * 100 / all.max(1);
        if self.percent == Some(percent) {
            return;
        }
        let kind = if self.percent.is_none() {
            "begin"
        } else {
            "report"
        };
        let name = next.0.rsplit('/').next().unwrap_or(&next.0);
        let mut value = json!({"kind": kind, "cancellable": true, "percentage": percent, "message": format!("{} of {all}: {name}", done + 1)});
        if self.percent.is_none() {
            value["title"] = self.title.into();
        }
        self.progress.tell(token, &value);
        self.percent = Some(percent);
    }

    /// Asks the client for a place, and does not wait: when it has one, the next step is told.
    fn create(&mut self) {
        let number = self.progress.last.fetch_add(1, Ordering::Relaxed);
        let token = ProgressToken::String(format!("glimloom-{number}"));
        lock(&self.progress.under_way).push((token.clone(), self.is_cancelled.clone()));
        let (client, is_taken) = (self.progress.client.clone(), self.is_taken.clone());
        let params = WorkDoneProgressCreateParams {
            token: token.clone(),
        };
        self.token = Some(token);
        self.runtime.spawn(async move {
            let taken = client.send_request::<WorkDoneProgressCreate>(params).await;
            is_taken.store(taken.is_ok(), Ordering::Release);
        });
    }
}

impl Drop for Work {
    fn drop(&mut self) {
        let Some(token) = &self.token else { return };
        lock(&self.progress.under_way).retain(|(_, flag)| !Arc::ptr_eq(flag, &self.is_cancelled));
        if self.percent.is_some() {
            self.progress.tell(token, &json!({"kind": "end"}));
        }
    }
}
