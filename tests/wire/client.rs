//! A small client. Every wait is bounded, and what failed to come is said in full.

use std::collections::VecDeque;
use std::io::{BufRead, BufReader, Read, Write};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::Duration;

use serde_json::{Value, json};

use crate::hostile::memory;

/// No answer takes so many seconds on the slowest machine; only a failing test ever waits for it. `GLIMLOOM_PATIENCE` is for a
/// machine that does much else.
const PATIENCE: u64 = 60;

/// A wait in steps of which this is one. Whoever is stopped and goes on has not waited meanwhile.
const STEP: Duration = Duration::from_millis(5);

/// The steps of a whole wait.
pub fn patience() -> impl Iterator<Item = Duration> {
    let asked = std::env::var("GLIMLOOM_PATIENCE");
    let seconds = asked.map_or(PATIENCE, |n| {
        n.parse().expect("GLIMLOOM_PATIENCE is seconds")
    });
    (0..seconds * 200).map(|_| STEP)
}

/// A server and the pipes to it.
pub struct Client {
    server: Child,
    input: Option<Box<dyn Write>>,
    messages: Receiver<Value>,
    /// Read, but not yet what was waited for.
    unread: VecDeque<Value>,
    last_id: i64,
}

/// A command that starts the server: the one of this build, or another that `GLIMLOOM_SERVER` names.
pub fn server() -> Command {
    let other = std::env::var_os("GLIMLOOM_SERVER");
    let mut command = Command::new(other.unwrap_or(env!("CARGO_BIN_EXE_glimloom").into()));
    command.arg("serve");
    command
}

impl Client {
    /// Starts a server and says nothing yet.
    pub fn silent() -> Client {
        Client::from(server())
    }

    /// Starts a server by `command`.
    pub fn from(mut command: Command) -> Client {
        command.stdin(Stdio::piped()).stdout(Stdio::piped());
        let mut server = command
            .stderr(Stdio::null())
            .spawn()
            .expect("the server starts");
        let input = server.stdin.take().expect("its input");
        let output = server.stdout.take().expect("its output");
        Client::of(server, input, output)
    }

    /// The same; the other ends of its input and output are these.
    pub fn over(
        mut command: Command,
        input: impl Write + 'static,
        output: impl Read + Send + 'static,
    ) -> Client {
        let server = command
            .stderr(Stdio::null())
            .spawn()
            .expect("the server starts");
        Client::of(server, input, output)
    }

    fn of(
        server: Child,
        input: impl Write + 'static,
        output: impl Read + Send + 'static,
    ) -> Client {
        let (tell, messages) = channel();
        let output = BufReader::new(output);
        std::thread::spawn(move || read_frames(output, |message| tell.send(message).is_ok()));
        Client {
            input: Some(Box::new(input)),
            server,
            messages,
            unread: VecDeque::new(),
            last_id: 0,
        }
    }

    /// Starts a server and shakes hands; `capabilities` is what the client can do.
    pub fn new(capabilities: Value) -> Client {
        let mut client = Client::silent();
        client
            .shake_hands(json!({"processId": null, "rootUri": null, "capabilities": capabilities}));
        client
    }

    /// `initialize` and `initialized`; the result of the first.
    pub fn shake_hands(&mut self, params: Value) -> Value {
        let answer = self.request("initialize", params);
        self.notify("initialized", json!({}));
        assert!(answer["error"].is_null(), "{answer}");
        answer["result"].clone()
    }

    /// Any bytes.
    pub fn raw(&mut self, bytes: impl AsRef<[u8]>) {
        let input = self.input.as_mut().expect("the input is open");
        input
            .write_all(bytes.as_ref())
            .and_then(|()| input.flush())
            .expect("the server reads");
    }

    /// A body with its header.
    pub fn body(&mut self, body: &str) {
        self.raw(format!("Content-Length: {}\r\n\r\n{body}", body.len()));
    }

    /// A notification.
    pub fn notify(&mut self, method: &str, params: Value) {
        self.body(&json!({"jsonrpc": "2.0", "method": method, "params": params}).to_string());
    }

    /// Sends a request and does not wait; its id.
    pub fn ask(&mut self, method: &str, params: Value) -> i64 {
        self.last_id += 1;
        let id = self.last_id;
        self.body(
            &json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params}).to_string(),
        );
        id
    }

    /// The answer to a request that was sent.
    pub fn answer(&mut self, id: i64) -> Value {
        self.wait(&format!("an answer to request {id}"), |m| {
            m["id"] == id && m["method"].is_null()
        })
    }

    /// Sends a request and waits; the whole answer.
    pub fn request(&mut self, method: &str, params: Value) -> Value {
        let id = self.ask(method, params);
        self.answer(id)
    }

    /// Sends a request that must succeed; its result.
    pub fn result(&mut self, method: &str, params: Value) -> Value {
        let answer = self.request(method, params);
        assert!(answer["error"].is_null(), "{method}: {answer}");
        answer["result"].clone()
    }

    /// The code of the error that a request must give.
    pub fn error(&mut self, method: &str, params: Value) -> i64 {
        let answer = self.request(method, params);
        answer["error"]["code"]
            .as_i64()
            .unwrap_or_else(|| panic!("{method}: no error in {answer}"))
    }

    /// The first message that fits, whether it was read before or is still to come.
    pub fn wait(&mut self, what: &str, fits: impl Fn(&Value) -> bool) -> Value {
        if let Some(index) = self.unread.iter().position(&fits) {
            return self.unread.remove(index).expect("it is there");
        }
        let mut patience = patience();
        loop {
            match self.messages.recv_timeout(STEP) {
                Ok(message) if fits(&message) => return message,
                Ok(message) => self.unread.push_back(message),
                Err(RecvTimeoutError::Timeout) if patience.next().is_some() => {}
                Err(why) => panic!("{what} did not come ({why}); unread: {:#?}", self.unread),
            }
        }
    }

    /// All that came and nobody waited for, up to the answer of one more request.
    pub fn unread(&mut self) -> Vec<Value> {
        self.request("glimloom/no-such-method", json!(null));
        std::mem::take(&mut self.unread).into()
    }

    /// Opens a document.
    pub fn open(&mut self, uri: &str, version: i64, text: &str) {
        let document =
            json!({"uri": uri, "languageId": "harness", "version": version, "text": text});
        self.notify("textDocument/didOpen", json!({"textDocument": document}));
    }

    /// Edits a document.
    pub fn change(&mut self, uri: &str, version: i64, changes: Value) {
        let document = json!({"uri": uri, "version": version});
        self.notify(
            "textDocument/didChange",
            json!({"textDocument": document, "contentChanges": changes}),
        );
    }

    /// Closes a document.
    pub fn close(&mut self, uri: &str) {
        self.notify(
            "textDocument/didClose",
            json!({"textDocument": {"uri": uri}}),
        );
    }

    /// The findings in `uri` at `version` (null: of a file that is not open).
    pub fn findings(&mut self, uri: &str, version: impl Into<Value>) -> Vec<Value> {
        let version = version.into();
        let what = format!("findings in {uri} at version {version}");
        let message = self.wait(&what, |m| {
            m["method"] == "textDocument/publishDiagnostics"
                && m["params"]["uri"] == uri
                && m["params"]["version"] == version
        });
        message["params"]["diagnostics"]
            .as_array()
            .expect("a list of findings")
            .clone()
    }

    /// The end of input.
    pub fn hang_up(&mut self) {
        self.input = None;
    }

    /// The number of the process.
    pub fn process(&self) -> u32 {
        self.server.id()
    }

    /// Kills what was started, by its id.
    pub fn kill(&mut self) {
        self.tell_what_was_held();
        let _ = self.server.kill();
        let _ = self.server.wait();
    }

    /// Waits for the end of the process.
    pub fn status(&mut self) -> ExitStatus {
        for step in patience() {
            if let Some(status) = self
                .server
                .try_wait()
                .expect("the server can be waited for")
            {
                return status;
            }
            std::thread::sleep(step);
        }
        panic!("the server did not end; unread: {:#?}", self.unread);
    }

    /// Waits until nobody has the output open for writing any more.
    pub fn output_ends(&mut self) {
        let mut patience = patience();
        loop {
            match self.messages.recv_timeout(STEP) {
                Ok(message) => self.unread.push_back(message),
                Err(RecvTimeoutError::Disconnected) => return,
                Err(RecvTimeoutError::Timeout) if patience.next().is_some() => {}
                Err(why) => panic!("the output did not end: {why}"),
            }
        }
    }

    /// Puts down the most kilobytes that the server ever held in the file that `GLIMLOOM_HELD` names, if it is still there.
    fn tell_what_was_held(&self) {
        let (Some(path), Some((_, most))) = (
            std::env::var_os("GLIMLOOM_HELD"),
            memory::of(self.process()),
        ) else {
            return;
        };
        let file = std::fs::OpenOptions::new()
            .append(true)
            .create(true)
            .open(path);
        let _ = file.and_then(|mut file| writeln!(file, "{most}"));
    }

    /// The proper end.
    pub fn end(mut self) {
        self.tell_what_was_held();
        let answer = self.request("shutdown", json!(null));
        assert!(
            answer["error"].is_null() && answer.get("result") == Some(&Value::Null),
            "{answer}"
        );
        self.notify("exit", json!(null));
        assert_eq!(self.status().code(), Some(0));
    }
}

impl Drop for Client {
    fn drop(&mut self) {
        self.kill();
    }
}

/// Reads frames as strictly as an editor does; anything else on the output ends the reading, and with it the test.
fn read_frames(mut output: impl BufRead, mut tell: impl FnMut(Value) -> bool) {
    loop {
        let mut length = None;
        loop {
            let mut line = String::new();
            if output.read_line(&mut line).unwrap_or(0) == 0 {
                return;
            }
            let Some(line) = line.strip_suffix("\r\n") else {
                panic!("a header line without CR and LF: {line:?}");
            };
            if line.is_empty() {
                break;
            }
            let (name, value) = line.split_once(": ").expect("a header line");
            assert_eq!(name, "Content-Length");
            length = value.parse().ok();
        }
        let mut body = vec![0; length.expect("a length")];
        if output.read_exact(&mut body).is_err() {
            return;
        }
        let message: Value = serde_json::from_slice(&body).expect("a body of JSON");
        assert_eq!(message["jsonrpc"], "2.0");
        if !tell(message) {
            return;
        }
    }
}

/// Where each finding starts.
pub fn lines(findings: &[Value]) -> Vec<u64> {
    let starts = findings
        .iter()
        .map(|f| f["range"]["start"]["line"].as_u64().expect("a line"));
    let mut starts: Vec<u64> = starts.collect();
    starts.sort_unstable();
    starts.dedup();
    starts
}

/// The range from one line and column to another.
pub fn range(from: (u64, u64), to: (u64, u64)) -> Value {
    json!({"start": {"line": from.0, "character": from.1}, "end": {"line": to.0, "character": to.1}})
}

/// An edit.
pub fn edit(from: (u64, u64), to: (u64, u64), text: &str) -> Value {
    json!({"range": range(from, to), "text": text})
}
