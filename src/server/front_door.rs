//! The front door: all that comes in and goes out passes here. The protocol library ends a session at the first
//! message that it cannot read and does not end it at `exit`; here bad frames are answered and passed
//! over, and the end is seen at once.

use std::time::Duration;

use serde_json::Value;
use tokio::io::{AsyncRead, AsyncReadExt, AsyncWrite, AsyncWriteExt, DuplexStream, duplex};
use tokio::sync::mpsc;
use tower_lsp::{ClientSocket, LanguageServer, LspService, Server};

use super::frames::{Frame, Frames, framed};
use super::message::{self, Verdict};

/// The pipe between the door and the library holds this many bytes.
const PIPE: usize = 64 * 1024;
/// How long answers may take to leave after the end.
const GRACE: Duration = Duration::from_millis(300);
/// Requests at work at one time. The library's own limit of 4 lets four slow ones block every edit and cancel.
const CONCURRENCY: usize = 4096;

/// Serves until `exit`, the end of input, or the end of whoever reads the output. True after a proper shutdown.
pub async fn serve<S: LanguageServer>(
    input: impl AsyncRead + Unpin,
    output: impl AsyncWrite + Unpin + Send + 'static,
    service: LspService<S>,
    socket: ClientSocket,
) -> bool {
    let (to_library, library_in) = duplex(PIPE);
    let (library_out, from_library) = duplex(PIPE);
    let (answers, own) = mpsc::channel(64);
    let library = Server::new(library_in, library_out, socket).concurrency_level(CONCURRENCY);
    tokio::spawn(library.serve(service));
    let mut writer = tokio::spawn(write(from_library, own, output));

    let mut shut_down = false;
    tokio::select! {
        () = read(input, to_library, answers, &mut shut_down) => {
            let _ = tokio::time::timeout(GRACE, &mut writer).await;
        }
        _ = &mut writer => {}
    }
    shut_down
}

/// Input: frames are cut, judged, and handed on. Returns at the end of it all, and by dropping the pipe tells the library.
async fn read(
    mut input: impl AsyncRead + Unpin,
    mut to_library: DuplexStream,
    answers: mpsc::Sender<Value>,
    shut_down: &mut bool,
) {
    let mut frames = Frames::default();
    let mut bytes = vec![0; PIPE];
    let mut initialized = false;
    loop {
        while let Some(frame) = frames.take() {
            let verdict = match frame {
                Frame::Noise => Verdict::Answer(message::parse_error()),
                Frame::Body(body) => message::judge(&body),
            };
            match verdict {
                Verdict::Exit => return,
                Verdict::Pass(value) => {
                    let is_request = value.get("id").is_some();
                    initialized |= is_request && value["method"] == "initialize";
                    *shut_down |= initialized && is_request && value["method"] == "shutdown";
                    if to_library
                        .write_all(&framed(value.to_string().as_bytes()))
                        .await
                        .is_err()
                    {
                        return;
                    }
                }
                Verdict::Answer(answer) => {
                    let _ = answers.send(answer).await;
                }
                Verdict::NotJson(answer) => {
                    frames.reread();
                    let _ = answers.send(answer).await;
                }
            }
        }
        match input.read(&mut bytes).await {
            Ok(0) | Err(_) => return,
            Ok(count) => frames.feed(&bytes[..count]),
        }
    }
}

/// Output: the library's frames, and the door's own answers between them.
async fn write(
    mut from_library: DuplexStream,
    mut own: mpsc::Receiver<Value>,
    mut output: impl AsyncWrite + Unpin,
) -> std::io::Result<()> {
    let mut frames = Frames::default();
    let mut bytes = vec![0; PIPE];
    let mut own_open = true;
    loop {
        tokio::select! {
            count = from_library.read(&mut bytes) => match count? {
                0 => break,
                count => frames.feed(&bytes[..count]),
            },
            answer = own.recv(), if own_open => match answer {
                Some(answer) => output.write_all(&framed(answer.to_string().as_bytes())).await?,
                None => own_open = false,
            },
        }
        while let Some(Frame::Body(body)) = frames.take() {
            output.write_all(&framed(&body)).await?;
        }
        output.flush().await?;
    }
    while let Ok(answer) = own.try_recv() {
        output
            .write_all(&framed(answer.to_string().as_bytes()))
            .await?;
    }
    output.flush().await
}

#[cfg(test)]
mod tests {
    use super::super::compute::compute;
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

        async fn document_symbol(
            &self,
            _: DocumentSymbolParams,
        ) -> Result<Option<DocumentSymbolResponse>> {
            compute(|_| panic!("on purpose")).await
        }
    }

    /// The client's side of the door.
    struct Peer {
        to: DuplexStream,
        from: DuplexStream,
        frames: Frames,
    }

    impl Peer {
        async fn send(&mut self, message: Value) {
            self.to
                .write_all(&framed(message.to_string().as_bytes()))
                .await
                .unwrap();
        }

        async fn receive(&mut self) -> Value {
            loop {
                if let Some(Frame::Body(body)) = self.frames.take() {
                    return serde_json::from_slice(&body).unwrap();
                }
                let mut bytes = vec![0; 1000];
                let count = self.from.read(&mut bytes).await.unwrap();
                assert_ne!(count, 0, "the server ended");
                self.frames.feed(&bytes[..count]);
            }
        }

        async fn request(&mut self, id: i64, method: &str, params: Value) -> Value {
            self.send(json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params}))
                .await;
            let answer = self.receive().await;
            assert_eq!(answer["id"], id);
            answer
        }
    }

    async fn connect() -> (Peer, tokio::task::JoinHandle<bool>) {
        let ((to, input), (output, from)) = (duplex(PIPE), duplex(PIPE));
        let (service, socket) = LspService::new(|_| Stubborn);
        let served = tokio::spawn(serve(input, output, service, socket));
        let mut peer = Peer {
            to,
            from,
            frames: Frames::default(),
        };
        peer.request(0, "initialize", json!({"capabilities": {}}))
            .await;
        (peer, served)
    }

    async fn ask_for_ever(peer: &mut Peer, ids: std::ops::Range<i64>) {
        for id in ids {
            let place = json!({"textDocument": {"uri": "file:///a"}, "position": {"line": 0, "character": 0}});
            peer.send(json!({"jsonrpc": "2.0", "id": id, "method": "textDocument/hover", "params": place})).await;
        }
    }

    #[tokio::test]
    async fn requests_that_never_end_hold_nothing_up() {
        let (mut peer, served) = connect().await;
        ask_for_ever(&mut peer, 1..200).await;
        peer.send(json!({"jsonrpc": "2.0", "method": "$/cancelRequest", "params": {"id": 7}}))
            .await;
        let cancelled = peer.receive().await;
        assert_eq!(
            (&cancelled["id"], &cancelled["error"]["code"]),
            (&json!(7), &json!(-32800))
        );
        assert_eq!(
            peer.request(300, "shutdown", Value::Null).await["result"],
            Value::Null
        );
        peer.send(json!({"jsonrpc": "2.0", "method": "exit"})).await;
        assert!(served.await.unwrap());
    }

    #[tokio::test]
    async fn the_end_of_input_ends_what_never_ends() {
        let (mut peer, served) = connect().await;
        ask_for_ever(&mut peer, 1..4).await;
        let Peer {
            to, from: _from, ..
        } = peer;
        drop(to);
        assert!(!served.await.unwrap());
    }

    #[tokio::test]
    async fn the_end_of_the_reader_is_the_end() {
        let (mut peer, served) = connect().await;
        peer.send(json!({"jsonrpc": "2.0", "id": 1, "method": "shutdown"}))
            .await;
        let Peer { to: _to, from, .. } = peer;
        drop(from);
        served.await.unwrap();
    }

    #[tokio::test]
    async fn a_panic_fails_one_request() {
        let (mut peer, _served) = connect().await;
        for id in 1..10 {
            let file = json!({"textDocument": {"uri": "file:///a"}});
            let answer = peer.request(id, "textDocument/documentSymbol", file).await;
            assert_eq!(answer["error"]["code"], -32603);
        }
    }
}
