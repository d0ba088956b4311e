//! The front door: all that comes in passes here, and is handed to the protocol library's service. The library's own
//! transport ends a session at the first message that it cannot read, does not end it at `exit`, takes requests four at
//! a time, and hands each message from task to task; here bad frames are answered and passed over, the end is seen at
//! once, a notification has been dealt with when the next message is read, and texts go past the library.

use std::io::Read;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::task::{Context, Poll, Waker};
use std::time::Duration;

use futures::{Sink, SinkExt, StreamExt};
use serde_json::{Value, json};
use tokio::runtime::Handle;
use tokio::sync::{mpsc, oneshot};
use tower_lsp::jsonrpc::{Request, Response};
use tower_lsp::{ClientSocket, LanguageServer, LspService};
use tower_service::Service;

use super::frames::{Frame, Frames};
use super::message::{self, Verdict};
use super::output::Output;
use super::pull::Asked;
use super::ready::body_of;
use super::texts::Text;

/// So many bytes are read at a time, at most.
const READ: usize = 64 * 1024;
/// How long answers may take to leave after the end.
const GRACE: Duration = Duration::from_millis(300);

/// Answers a request for findings at once, where it can.
pub type AtOnce = Box<dyn Fn(&Asked) -> Option<Vec<u8>> + Send>;

/// Serves until `exit`, the end of input, or the end of whoever reads the output. True after a proper shutdown. What
/// `at_once` answers goes no further.
pub async fn serve<S: LanguageServer>(
    input: impl Read + Send + 'static,
    output: Output,
    service: LspService<S>,
    socket: ClientSocket,
    texts: impl FnMut(Text) + Send + 'static,
    idle: impl FnMut(bool) + Send + 'static,
    at_once: AtOnce,
) -> bool {
    let (mut requests, responses) = socket.split();
    let to_client = output.clone();
    let client = tokio::spawn(async move {
        while let Some(request) = requests.next().await {
            if let Ok(body) = serde_json::to_vec(&request) {
                to_client.queue(body);
            }
        }
    });
    // Each request at work holds a sender: when none is left, all are answered.
    let (at_work, mut all_answered) = mpsc::channel(1);
    let (tell, read_to_end) = oneshot::channel();
    let door = Door {
        service,
        texts,
        responses,
        output: output.clone(),
        at_once,
        runtime: Handle::current(),
        at_work,
        initialized: false,
        shut_down: false,
    };
    std::thread::spawn(move || {
        let _ = tell.send(door.read(input, idle));
    });
    let shut_down = tokio::select! {
        shut_down = read_to_end => {
            let answered = async {
                let _: Option<()> = all_answered.recv().await;
                output.flushed().await;
            };
            let _ = tokio::time::timeout(GRACE, answered).await;
            shut_down.unwrap_or(false)
        }
        () = output.closed() => false,
    };
    client.abort();
    shut_down
}

/// What stands between the input and the service.
struct Door<S, R, T> {
    service: LspService<S>,
    /// Takes in texts that are opened or edited.
    texts: T,
    responses: R,
    output: Output,
    at_once: AtOnce,
    runtime: Handle,
    at_work: mpsc::Sender<()>,
    initialized: bool,
    shut_down: bool,
}

impl<S: LanguageServer, R: Sink<Response> + Unpin, T: FnMut(Text)> Door<S, R, T> {
    /// Reads to the end, or to `exit`: frames are cut, judged, and handed on. True after a proper shutdown.
    /// Whenever all that came is dealt with, `idle` is called, and told whether the session has begun.
    fn read(mut self, mut input: impl Read, mut idle: impl FnMut(bool)) -> bool {
        let _runtime = self.runtime.clone();
        let _inside = _runtime.enter();
        let mut frames = Frames::default();
        let mut bytes = vec![0; READ];
        loop {
            while let Some(frame) = frames.take() {
                let verdict = match frame {
                    Frame::Noise => Verdict::Answer(message::parse_error()),
                    Frame::Body(body) => match message::judge(&body) {
                        Verdict::Asked(asked) if self.answer(&asked) => continue,
                        Verdict::Asked(_) => message::judge_closely(&body),
                        verdict => verdict,
                    },
                };
                match verdict {
                    Verdict::Exit => return self.shut_down,
                    Verdict::Text(text) => self.take_in(text),
                    Verdict::Pass(message) => self.pass(message),
                    Verdict::Asked(_) => {}
                    Verdict::Answer(answer) => self.output.queue(answer.to_string().into_bytes()),
                    Verdict::NotJson(answer) => {
                        frames.reread();
                        self.output.queue(answer.to_string().into_bytes());
                    }
                }
            }
            idle(self.initialized);
            self.output.wait_for_room();
            match input.read(&mut bytes) {
                Ok(0) => return self.shut_down,
                Ok(count) => frames.feed(&bytes[..count]),
                Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
                Err(_) => return self.shut_down,
            }
        }
    }

    /// Takes in a text, in a session that has begun and not ended.
    fn take_in(&mut self, text: Text) {
        if self.initialized && !self.shut_down {
            let texts = &mut self.texts;
            let _ = catch_unwind(AssertUnwindSafe(|| texts(text)));
        }
    }

    /// Answers a request for findings; false where that takes longer.
    fn answer(&self, asked: &Asked) -> bool {
        if !self.initialized || self.shut_down {
            return false;
        }
        let answer = catch_unwind(AssertUnwindSafe(|| (self.at_once)(asked)));
        let answer = answer.ok().flatten();
        answer
            .map(|body| self.output.write_or_queue(body))
            .is_some()
    }

    /// Hands a message to the service.
    fn pass(&mut self, message: Value) {
        if message.get("method").is_none() {
            return self.pass_response(message);
        }
        let id = message.get("id").cloned();
        self.initialized |= id.is_some() && message["method"] == "initialize";
        self.shut_down |= self.initialized && id.is_some() && message["method"] == "shutdown";
        let Ok(request) = serde_json::from_value::<Request>(message) else {
            return;
        };
        let mut work = self.service.call(request);
        // A notification is dealt with here and now; a request takes its snapshot here and is worked on elsewhere.
        let first = || work.as_mut().poll(&mut Context::from_waker(Waker::noop()));
        match catch_unwind(AssertUnwindSafe(first)) {
            Ok(Poll::Ready(response)) => {
                if let Some(body) = response.ok().flatten().and_then(body_of) {
                    self.output.write_or_queue(body);
                }
            }
            Ok(Poll::Pending) => {
                let (output, at_work) = (self.output.clone(), self.at_work.clone());
                self.runtime.spawn(async move {
                    respond(&output, work.await.ok().flatten());
                    drop(at_work);
                });
            }
            Err(_) => {
                if let Some(id) = id {
                    let error = json!({"code": -32603, "message": "Internal error"});
                    let answer = json!({"jsonrpc": "2.0", "id": id, "error": error});
                    self.output.queue(answer.to_string().into_bytes());
                }
            }
        }
    }

    /// Hands the client's answer to a request of ours to whoever waits for it.
    fn pass_response(&mut self, message: Value) {
        let Ok(response) = serde_json::from_value::<Response>(message) else {
            return;
        };
        // Where nobody waits any more, the library does not take it well.
        let responses = &mut self.responses;
        let send = || {
            let mut send = responses.send(response);
            let _ = std::pin::Pin::new(&mut send).poll(&mut Context::from_waker(Waker::noop()));
        };
        let _ = catch_unwind(AssertUnwindSafe(send));
    }
}

fn respond(output: &Output, response: Option<Response>) {
    if let Some(body) = response.and_then(body_of) {
        output.write_or_queue(body);
    }
}

#[cfg(test)]
mod tests {
    use std::io::{PipeReader, PipeWriter, Write};

    use super::super::compute::compute;
    use super::super::frames::framed;
    use super::*;
    use serde_json::json;
    use tower_lsp::jsonrpc::Result;
    use tower_lsp::lsp_types::*;

    /// A server whose requests never end, or panic.
    struct Stubborn;

    #[tower_lsp::async_trait]
    impl LanguageServer for Stubborn {
        async fn initialize(&self, _: InitializeParams) -> Result<InitializeResult> {
            Ok(InitializeResult::default())
        }

        async fn shutdown(&self) -> Result<()> {
            Ok(())
        }

        async fn hover(&self, _: HoverParams) -> Result<Option<Hover>> {
            std::future::pending().await
        }

        async fn folding_range(&self, _: FoldingRangeParams) -> Result<Option<Vec<FoldingRange>>> {
            compute(|_| panic!("on purpose")).await
        }

        async fn document_link(&self, _: DocumentLinkParams) -> Result<Option<Vec<DocumentLink>>> {
            panic!("on purpose")
        }
    }

    /// The client's side of the door.
    struct Peer {
        to: PipeWriter,
        from: PipeReader,
        frames: Frames,
    }

    impl Peer {
        fn send(&mut self, message: Value) {
            self.to
                .write_all(&framed(message.to_string().as_bytes()))
                .unwrap();
        }

        fn receive(&mut self) -> Value {
            loop {
                if let Some(Frame::Body(body)) = self.frames.take() {
                    return serde_json::from_slice(&body).unwrap();
                }
                let mut bytes = vec![0; 1000];
                let count = self.from.read(&mut bytes).unwrap();
                assert_ne!(count, 0, "the server ended");
                self.frames.feed(&bytes[..count]);
            }
        }

        fn request(&mut self, id: i64, method: &str, params: Value) -> Value {
            self.send(json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params}));
            let answer = self.receive();
            assert_eq!(answer["id"], id);
            answer
        }
    }

    fn connect() -> (Peer, tokio::task::JoinHandle<bool>) {
        let (input, to) = std::io::pipe().unwrap();
        let (from, output) = std::io::pipe().unwrap();
        let (service, socket) = LspService::new(|_| Stubborn);
        let served = tokio::spawn(serve(
            input,
            Output::to(output, |_| false),
            service,
            socket,
            |_| {},
            |_| {},
            Box::new(|_| None),
        ));
        let mut peer = Peer {
            to,
            from,
            frames: Frames::default(),
        };
        peer.request(0, "initialize", json!({"capabilities": {}}));
        (peer, served)
    }

    fn ask_for_ever(peer: &mut Peer, ids: std::ops::Range<i64>) {
        for id in ids {
            let place = json!({"textDocument": {"uri": "file:///a"}, "position": {"line": 0, "character": 0}});
            peer.send(json!({"jsonrpc": "2.0", "id": id, "method": "textDocument/hover", "params": place}));
        }
    }

    #[tokio::test(flavor = "multi_thread")]
    async fn requests_that_never_end_hold_nothing_up() {
        let (mut peer, served) = connect();
        ask_for_ever(&mut peer, 1..200);
        peer.send(json!({"jsonrpc": "2.0", "method": "$/cancelRequest", "params": {"id": 7}}));
        let cancelled = peer.receive();
        assert_eq!(
            (&cancelled["id"], &cancelled["error"]["code"]),
            (&json!(7), &json!(-32800))
        );
        assert_eq!(
            peer.request(300, "shutdown", Value::Null)["result"],
            Value::Null
        );
        peer.send(json!({"jsonrpc": "2.0", "method": "exit"}));
        assert!(served.await.unwrap());
    }

    #[tokio::test(flavor = "multi_thread")]
    async fn the_end_of_input_ends_what_never_ends() {
        let (mut peer, served) = connect();
        ask_for_ever(&mut peer, 1..4);
        let Peer {
            to, from: _from, ..
        } = peer;
        drop(to);
        assert!(!served.await.unwrap());
    }

    #[tokio::test(flavor = "multi_thread")]
    async fn the_end_of_the_reader_is_the_end() {
        let (mut peer, served) = connect();
        // Nobody is there any more when the answer comes.
        let (nobody, _) = std::io::pipe().unwrap();
        drop(std::mem::replace(&mut peer.from, nobody));
        peer.send(json!({"jsonrpc": "2.0", "id": 1, "method": "shutdown"}));
        served.await.unwrap();
    }

    #[tokio::test(flavor = "multi_thread")]
    async fn a_panic_fails_one_request() {
        let (mut peer, _served) = connect();
        for id in 1..10 {
            let file = json!({"textDocument": {"uri": "file:///a"}});
            let answer = peer.request(id, "textDocument/foldingRange", file);
            assert_eq!(answer["error"]["code"], -32603);
        }
    }

    /// Before it waits for the first time, a handler runs where messages are read.
    #[tokio::test(flavor = "multi_thread")]
    async fn a_panic_where_messages_are_read_fails_one_request() {
        let (mut peer, _served) = connect();
        for id in 1..10 {
            let file = json!({"textDocument": {"uri": "file:///a"}});
            let answer = peer.request(id, "textDocument/documentLink", file);
            assert_eq!(answer["error"]["code"], -32603);
        }
    }
}
