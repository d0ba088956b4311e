//! The way out: frames of whoever has one, each written whole. A writer of its own keeps those who must not wait from
//! waiting for a client that does not read; who may wait, or has so little to say that there is room for it, writes at
//! once, when nothing is queued ahead.

use std::io::{IoSlice, Write};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Condvar, Mutex, PoisonError};

use tokio::sync::Notify;

use super::frames::head;
use super::session::lock;

/// While more bytes than this are queued, nothing more is read: a client that asks and does not listen must not fill the
/// memory.
const MOST_QUEUED: usize = 64 * 1024 * 1024;

/// A body of so many bytes is left to the writer: it will not be taken at once.
const LONG: usize = 64 * 1024;

/// What is queued.
enum Queued {
    Body(Vec<u8>),
    /// Tell that all before was written.
    Mark(tokio::sync::oneshot::Sender<()>),
}

/// The way out; a clone is the same one.
#[derive(Clone)]
pub struct Output {
    queue: Sender<Queued>,
    /// How many bodies are queued and not yet written.
    queued: Arc<AtomicUsize>,
    /// How many bytes they have, and who is told when they are fewer.
    bytes: Arc<(Mutex<usize>, Condvar)>,
    to: Arc<Mutex<Box<dyn Write + Send>>>,
    /// Whether so many bytes can be written without waiting.
    has_room: Arc<dyn Fn(usize) -> bool + Send + Sync>,
    /// Told when nobody reads any more.
    closed: Arc<Notify>,
}

impl Output {
    /// Frames go to `to`; `has_room` says whether that takes so many bytes without waiting.
    pub fn to(
        to: impl Write + Send + 'static,
        has_room: impl Fn(usize) -> bool + Send + Sync + 'static,
    ) -> Output {
        let (queue, queued) = channel();
        let output = Output {
            queue,
            queued: Arc::default(),
            bytes: Arc::default(),
            to: Arc::new(Mutex::new(Box::new(to))),
            has_room: Arc::new(has_room),
            closed: Arc::default(),
        };
        let writer = Writer {
            to: output.to.clone(),
            queued: output.queued.clone(),
            bytes: output.bytes.clone(),
            closed: output.closed.clone(),
        };
        std::thread::spawn(move || writer.write(&queued));
        output
    }

    /// Queues a body; never waits.
    pub fn queue(&self, body: Vec<u8>) {
        self.queued.fetch_add(1, Ordering::AcqRel);
        *lock(&self.bytes.0) += body.len();
        let _ = self.queue.send(Queued::Body(body));
    }

    /// Waits while very much is queued.
    pub fn wait_for_room(&self) {
        let (bytes, fewer) = &*self.bytes;
        let mut bytes = lock(bytes);
        while *bytes > MOST_QUEUED {
            bytes = fewer.wait(bytes).unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// Writes a body, behind all that was queued before; may wait for the client.
    pub fn write(&self, body: Vec<u8>) {
        if self.queued.load(Ordering::Acquire) > 0 {
            return self.queue(body);
        }
        if write(&mut **lock(&self.to), &head(body.len()), &body).is_err() {
            self.closed.notify_one();
        }
    }

    /// Writes a body at once where that takes no waiting, else queues it.
    pub fn write_or_queue(&self, body: Vec<u8>) {
        if body.len() >= LONG {
            return self.queue(body);
        }
        let head = head(body.len());
        if self.queued.load(Ordering::Acquire) == 0
            && let Ok(mut to) = self.to.try_lock()
            && (self.has_room)(head.len() + body.len())
        {
            if write(&mut **to, &head, &body).is_err() {
                self.closed.notify_one();
            }
            return;
        }
        self.queue(body);
    }

    /// Ready when all that was queued is written.
    pub async fn flushed(&self) {
        let (tell, told) = tokio::sync::oneshot::channel();
        if self.queue.send(Queued::Mark(tell)).is_ok() {
            let _ = told.await;
        }
    }

    /// Ready when nobody reads any more.
    pub async fn closed(&self) {
        self.closed.notified().await;
    }
}

/// Writes a frame, its two pieces in one go where they are taken so: then its reader is woken once.
fn write(to: &mut dyn Write, head: &str, body: &[u8]) -> std::io::Result<()> {
    let frame = [IoSlice::new(head.as_bytes()), IoSlice::new(body)];
    let written = match to.write_vectored(&frame) {
        Err(error) if error.kind() == std::io::ErrorKind::Interrupted => 0,
        written => written?,
    };
    let left = head.as_bytes().get(written..).unwrap_or_default();
    to.write_all(left)?;
    to.write_all(
        body.get(written.saturating_sub(head.len())..)
            .unwrap_or_default(),
    )?;
    to.flush()
}

/// Who writes what is queued.
struct Writer {
    to: Arc<Mutex<Box<dyn Write + Send>>>,
    queued: Arc<AtomicUsize>,
    bytes: Arc<(Mutex<usize>, Condvar)>,
    closed: Arc<Notify>,
}

impl Writer {
    fn write(&self, queue: &Receiver<Queued>) {
        while let Ok(next) = queue.recv() {
            match next {
                Queued::Body(body) => {
                    let written = write(&mut **lock(&self.to), &head(body.len()), &body);
                    self.queued.fetch_sub(1, Ordering::AcqRel);
                    let (bytes, fewer) = &*self.bytes;
                    *lock(bytes) -= body.len();
                    fewer.notify_all();
                    if written.is_err() {
                        self.closed.notify_one();
                    }
                }
                Queued::Mark(tell) => drop(tell.send(())),
            }
        }
    }
}
