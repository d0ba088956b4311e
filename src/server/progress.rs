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
            runtime: Handle::current(),
            title,
            told: Arc::new(Told {
                progress: self.clone(),
                is_cancelled,
                now: Mutex::new(Now {
                    token,
                    percent: None,
                    has_ended: false,
                }),
            }),
        }
    }

    /// The user wants no more of it.
    pub fn cancel(&self, token: &ProgressToken) {
        for (_, flag) in lock(&self.under_way).iter().filter(|(t, _)| t == token) {
            flag.store(true, Ordering::Relaxed);
        }
    }

    /// Something of a work, by its token: `$/progress`.
    fn tell(&self, token: &ProgressToken, value: &Value) {
        let params = json!({"token": token, "value": value});
        let body = json!({"jsonrpc": "2.0", "method": "$/progress", "params": params});
        self.output.write_or_queue(body.to_string().into_bytes());
    }
}

/// What the client is told of one work. A token of the client's holds until its request is answered (LSP 3.17, "Client
/// Initiated Progress"): once that is over, nothing more is told.
pub struct Told {
    progress: Progress,
    is_cancelled: Arc<AtomicBool>,
    now: Mutex<Now>,
}

struct Now {
    token: Option<ProgressToken>,
    /// What was told last; `None` before the beginning was.
    percent: Option<usize>,
    has_ended: bool,
}

impl Told {
    /// A piece of the answer, by the token that the client has for those.
    pub fn piece(&self, token: &ProgressToken, value: &Value) {
        let now = lock(&self.now);
        if !now.has_ended {
            self.progress.tell(token, value);
        }
    }

    fn end(&self) {
        let mut now = lock(&self.now);
        if std::mem::replace(&mut now.has_ended, true) {
            return;
        }
        let Some(token) = &now.token else { return };
        let mut under_way = lock(&self.progress.under_way);
        under_way.retain(|(_, flag)| !Arc::ptr_eq(flag, &self.is_cancelled));
        if now.percent.is_some() {
            self.progress.tell(token, &json!({"kind": "end"}));
        }
    }
}

/// As long as somebody waits for the answer: dropped ahead of it, so that the end is told first, even where the request was
/// cancelled and the work itself takes a moment to see that.
pub struct Awaited(Arc<Told>);

impl Drop for Awaited {
    fn drop(&mut self) {
        self.0.end();
    }
}

/// One work.
pub struct Work {
    runtime: Handle,
    title: &'static str,
    /// The client has a place for it.
    is_taken: Arc<AtomicBool>,
    may_create: bool,
    told: Arc<Told>,
}

impl Work {
    /// Says whether the user stopped it.
    pub fn stopped(&self) -> impl Fn() -> bool + Send + Sync + 'static {
        let flag = self.told.is_cancelled.clone();
        move || flag.load(Ordering::Relaxed)
    }

    /// What is told of it.
    pub fn told(&self) -> Arc<Told> {
        self.told.clone()
    }

    /// To be held while its answer is waited for.
    pub fn awaited(&self) -> Awaited {
        Awaited(self.told())
    }

    /// So many plans of so many are done, and this one is next.
    pub fn step(&mut self, done: usize, all: usize, next: &FileKey) {
        if self.may_create && all > FEW {
            self.may_create = false;
            self.create();
        }
        let mut now = lock(&self.told.now);
        let is_taken = self.is_taken.load(Ordering::Acquire) && !now.has_ended;
        let Some(token) = now.token.as_ref().filter(|_| is_taken) else {
            return;
        };
        let percent = done * 100 / all.max(1);
        if now.percent == Some(percent) {
            return;
        }
        let kind = match now.percent {
            None => "begin",
            Some(_) => "report",
        };
        let name = next.0.rsplit('/').next().unwrap_or(&next.0);
        let mut value = json!({"kind": kind, "cancellable": true, "percentage": percent, "message": format!("{} of {all}: {name}", done + 1)});
        if now.percent.is_none() {
            value["title"] = self.title.into();
        }
        self.told.progress.tell(token, &value);
        now.percent = Some(percent);
    }

    /// Asks the client for a place, and does not wait: when it has one, the next step is told.
    fn create(&mut self) {
        let progress = &self.told.progress;
        let number = progress.last.fetch_add(1, Ordering::Relaxed);
        let token = ProgressToken::String(format!("glimloom-{number}"));
        let mut now = lock(&self.told.now);
        if now.has_ended {
            return;
        }
        lock(&progress.under_way).push((token.clone(), self.told.is_cancelled.clone()));
        now.token = Some(token.clone());
        let (client, is_taken) = (progress.client.clone(), self.is_taken.clone());
        self.runtime.spawn(async move {
            let params = WorkDoneProgressCreateParams { token };
            let taken = client.send_request::<WorkDoneProgressCreate>(params).await;
            is_taken.store(taken.is_ok(), Ordering::Release);
        });
    }
}

impl Drop for Work {
    fn drop(&mut self) {
        self.told.end();
    }
}
