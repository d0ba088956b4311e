//! Every message of the protocol, changed as the bytes say, to a whole server in this process: each request has one answer, none of
//! them an internal error, and the next ones are served as well.
#![no_main]

#[path = "../../hostile/every_message.rs"]
mod every_message;

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, PipeReader, PipeWriter, Read, Write, pipe};
use std::sync::{LazyLock, Mutex};

use every_message::{PLAN, TEXT, all, change, is_told};
use glimloom::server::frames::framed;
use glimloom::server::serve_over;
use libfuzzer_sys::fuzz_target;
use serde_json::{Value, json};

/// So many messages in a row.
const MOST: usize = 6;

/// The client's side of a session.
struct Peer {
    to: PipeWriter,
    from: BufReader<PipeReader>,
    last_id: i64,
    messages: Vec<(&'static str, Value)>,
}

impl Peer {
    fn new() -> Peer {
        let (input, to) = pipe().expect("a pipe");
        let (from, output) = pipe().expect("a pipe");
        std::thread::spawn(|| {
            let runtime = tokio::runtime::Builder::new_multi_thread()
                .worker_threads(1)
                .max_blocking_threads(2)
                .enable_all()
                .build()
                .expect("a runtime");
            runtime.block_on(serve_over(input, output));
            panic!("the server ended");
        });
        let mut peer = Peer {
            to,
            from: BufReader::new(from),
            last_id: 0,
            messages: all(),
        };
        peer.request(
            "initialize",
            json!({"processId": null, "rootUri": null, "capabilities": {}}),
        );
        peer.tell("initialized", json!({}));
        peer.open();
        peer
    }

    fn send(&mut self, body: &[u8]) {
        self.to.write_all(&framed(body)).expect("the server reads");
    }

    fn tell(&mut self, method: &str, params: Value) {
        let body = json!({"jsonrpc": "2.0", "method": method, "params": params});
        self.send(body.to_string().as_bytes());
    }

    fn open(&mut self) {
        let document = json!({"uri": PLAN, "languageId": "harness", "version": 1, "text": TEXT});
        self.tell("textDocument/didOpen", json!({"textDocument": document}));
    }

    fn next_id(&mut self) -> i64 {
        self.last_id += 1;
        self.last_id
    }

    fn request(&mut self, method: &str, params: Value) {
        let id = self.next_id();
        let body = json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params});
        self.send(body.to_string().as_bytes());
        self.answers(BTreeSet::from([id]));
    }

    /// The next message.
    fn receive(&mut self) -> Value {
        let mut head = String::new();
        self.from.read_line(&mut head).expect("the server writes");
        let length = head.trim_start_matches("Content-Length: ").trim();
        let mut body = vec![0; length.parse::<usize>().expect("a length") + 2];
        self.from.read_exact(&mut body).expect("the server writes");
        serde_json::from_slice(&body).expect("JSON")
    }

    /// Waits for answers to all of these requests.
    fn answers(&mut self, mut to: BTreeSet<i64>) {
        while !to.is_empty() {
            let message = self.receive();
            let (id, is_asked) = (&message["id"], message["method"].is_string());
            if is_asked && !id.is_null() {
                let answer = json!({"jsonrpc": "2.0", "id": id, "result": null});
                self.send(answer.to_string().as_bytes());
            }
            if is_asked {
                continue;
            }
            // LSP 3.17, "Error codes": InternalError is a fault of ours.
            assert_ne!(message["error"]["code"], -32603, "{message}");
            if let Some(id) = id.as_i64() {
                assert!(to.remove(&id), "not asked: {message}");
            }
        }
    }

    fn play(&mut self, mut bytes: &[u8]) {
        let mut asked = BTreeSet::new();
        for _ in 0..MOST {
            if bytes.is_empty() {
                break;
            }
            let mut below = |limit: usize| match bytes.split_first() {
                Some((byte, rest)) => {
                    bytes = rest;
                    usize::from(*byte) % limit.max(1)
                }
                None => 0,
            };
            let (method, mut params) = self.messages[below(self.messages.len())].clone();
            let how = below(16);
            for _ in 0..how % 4 {
                change(&mut params, &mut below);
            }
            let mut message = json!({"jsonrpc": "2.0", "method": method, "params": params});
            let is_spoilt = how >= 12;
            if is_spoilt {
                // Whether it is answered nobody can tell: nor does anybody wait.
                message["id"] = json!("spoilt");
            } else if !is_told(method) {
                let id = self.next_id();
                message["id"] = json!(id);
                asked.insert(id);
            }
            let mut body = message.to_string().into_bytes();
            if is_spoilt {
                let at = (below(256) << 8 | below(256)) % body.len();
                body[at] = below(256) as u8;
            }
            self.send(&body);
        }
        self.answers(asked);
        // It goes on from a known state.
        self.tell(
            "textDocument/didClose",
            json!({"textDocument": {"uri": PLAN}}),
        );
        self.open();
    }
}

/// Never dropped: the session goes on to the end of the process.
static PEER: LazyLock<Mutex<Peer>> = LazyLock::new(|| Mutex::new(Peer::new()));

fuzz_target!(|bytes: &[u8]| {
    PEER.lock().expect("nobody else has it").play(bytes);
});
