//! A demonstration: starts the real server as a child, talks to it over its pipes as an editor would, and tells what
//! happens. Every step is held against what it should show; the first that is not so ends it with the reason.

use std::io::{BufRead, BufReader, Write};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::Duration;

use comfy_table::{Table, presets};
use serde_json::{Value, json};
use similar::{ChangeTag, TextDiff};

use crate::checks::Analysis;
use crate::numbers::{count, show};
use crate::plan::{Alone, FileKey};
use crate::text::{Encoding, Lines, Position};

/// The plan of the demonstration.
pub(super) const PLAN: &str = include_str!("demo.harness");
/// The name that the plan has in this editor.
const URI: &str = "untitled:boat-shed";
/// Longer than this no answer takes, on the slowest machine.
const PATIENCE: Duration = Duration::from_secs(20);
/// The lights that hang one behind the other.
const BAYS: [&str; 4] = ["bay-1", "bay-2", "bay-3", "bay-4"];

/// Why the demonstration ended early.
#[derive(Debug)]
pub enum Failure {
    /// Nobody takes what it tells.
    Untold(std::io::Error),
    /// Something was not as it should be.
    Missed(String),
}

impl From<String> for Failure {
    fn from(why: String) -> Failure {
        Failure::Missed(why)
    }
}

impl From<&str> for Failure {
    fn from(why: &str) -> Failure {
        Failure::Missed(why.to_owned())
    }
}

type Step<T> = Result<T, Failure>;

/// Runs it all, telling it on `out`. With `colour`, escape codes mark what matters.
pub fn run(out: &mut dyn Write, colour: bool) -> Result<(), Failure> {
    let mut tale = Tale { out, colour };
    let mut editor = Editor::start()?;
    tale.say("An editor starts the server and opens a plan: a boat shed, four bays of tape, a lamp at the door.")?;
    let findings = editor.open(PLAN)?;
    tale.findings(&findings, PLAN)?;
    expect(
        checks_of(&findings) == ["single-path"],
        "one finding, that the bays are chained",
        &findings,
    )?;

    tale.say("The cursor rests on bay-3.")?;
    let hover = editor.hover(at(PLAN, "bay-3 of"))?;
    tale.quote(&hover)?;
    expect(
        hover.contains("adapter → F1 → ridge → bay-1 → bay-2 → bay-3"),
        "the way of the power to bay-3",
        &hover,
    )?;

    tale.say(
        "A slip while cutting: bay-2 gets 14 lamps, and the tape can be cut only after every third.",
    )?;
    let place = at(PLAN, "15 lamps from bay-1");
    let findings = editor.replace(place, 2, "14")?;
    tale.findings(&findings, editor.text())?;
    expect(
        checks_of(&findings).contains(&"cut-inside-group"),
        "a finding about the cut",
        &findings,
    )?;

    tale.say("Taken back.")?;
    let findings = editor.replace(place, 2, "15")?;
    expect(
        checks_of(&findings) == ["single-path"],
        "the finding gone again",
        &findings,
    )?;

    tale.say(
        "What can be done about the chain? The server offers, each tried on the solved circuit:",
    )?;
    let chain = findings.first().cloned().unwrap_or_default();
    let offers = editor.actions(&chain)?;
    for offer in &offers {
        tale.line(&format!("  - {}", offer["title"].as_str().unwrap_or("")))?;
    }
    let first = offers.first().cloned().unwrap_or_default();
    let branched = edited(PLAN, &first["edit"])
        .ok_or_else(|| missed("an edit that can be applied", &first))?;
    tale.say("The first is taken:")?;
    tale.diff(PLAN, &branched)?;
    let findings = editor.rewrite(&branched)?;
    expect(findings.is_empty(), "nothing left to find", &findings)?;
    tale.say("Nothing is left to find. The figures, everything on:")?;
    let (before, after) = (analysed(PLAN), analysed(&branched));
    tale.line(&figures(&before, &after)?)?;
    let dark = |a: &Analysis| lights_dark(a, BAYS[0]);
    let (chained, free) = (dark(&before), dark(&after));
    tale.line(&format!(
        "  If {} breaks: {} dark before, {} now.",
        BAYS[0],
        count(chained, "light"),
        count(free, "light")
    ))?;
    expect(
        free < chained,
        "fewer lights that go dark",
        &json!([chained, free]),
    )?;

    editor.end()?;
    tale.say("The editor closes the plan and the server ends as it should.")
}

fn missed(wanted: &str, got: &impl std::fmt::Debug) -> Failure {
    format!("the demonstration expected {wanted}, and got {got:?}").into()
}

fn expect(held: bool, wanted: &str, got: &impl std::fmt::Debug) -> Step<()> {
    if held {
        Ok(())
    } else {
        Err(missed(wanted, got))
    }
}

/// The byte at which these words begin.
fn at(text: &str, words: &str) -> usize {
    text.find(words).unwrap_or(0)
}

fn checks_of(findings: &[Value]) -> Vec<&str> {
    findings.iter().filter_map(|f| f["code"].as_str()).collect()
}

fn analysed(text: &str) -> Analysis {
    Analysis::of(FileKey::new(URI), text.into(), &Alone, &|| false)
}

/// How many lights go dark with an item.
fn lights_dark(a: &Analysis, item: &str) -> usize {
    let Some(id) = a.plan.item(item) else {
        return 0;
    };
    a.breaks().darkened(id).len()
}

/// Volts and current of each bay, before and after.
fn figures(before: &Analysis, after: &Analysis) -> Step<String> {
    let of = |a: &Analysis, name: &str| -> Option<(String, String)> {
        let id = a.plan.item(name)?;
        let all_on = a.solution.scenes.last()?.outcome.as_ref().ok()?;
        let own = all_on.items.get(id.0)?;
        Some((show(own.volts.typical), show(own.amps.typical)))
    };
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table.set_header(["", "volts before", "after", "draws before", "after"]);
    for bay in BAYS {
        let known = of(before, bay).zip(of(after, bay));
        let ((volts, amps), (volts_now, amps_now)) =
            known.ok_or_else(|| format!("the demonstration has no figures for {bay}"))?;
        table.add_row([bay.to_string(), volts, volts_now, amps, amps_now]);
    }
    let lines: Vec<String> = table
        .lines()
        .map(|l| format!("  {}", l.trim_end()))
        .collect();
    Ok(lines.join("\n"))
}

/// A text after the edits that the protocol names for it; `None` if they are for another document.
fn edited(text: &str, edit: &Value) -> Option<String> {
    let changes = edit["documentChanges"].as_array()?;
    let lines = Lines::new(text);
    let offset = |at: &Value| {
        let number = |key: &str| at[key].as_u64().and_then(|n| u32::try_from(n).ok());
        let position = Position {
            line: number("line")?,
            column: number("character")?,
        };
        Some(lines.offset(position, Encoding::Utf8))
    };
    let mut edits = Vec::new();
    for change in changes {
        if change["textDocument"]["uri"] != URI {
            return None;
        }
        for edit in change["edits"].as_array()? {
            let range = &edit["range"];
            let from = offset(&range["start"])?;
            edits.push((from, offset(&range["end"])?, edit["newText"].as_str()?));
        }
    }
    edits.sort_by_key(|e| (e.0, e.1));
    let mut new = text.to_string();
    for (from, to, words) in edits.into_iter().rev() {
        new.replace_range(from..to, words);
    }
    Some(new)
}

/// The telling.
struct Tale<'a> {
    out: &'a mut dyn Write,
    colour: bool,
}

impl Tale<'_> {
    fn line(&mut self, line: &str) -> Step<()> {
        writeln!(self.out, "{line}").map_err(Failure::Untold)
    }

    fn painted(&mut self, code: &str, line: &str) -> Step<()> {
        if self.colour {
            self.line(&format!("\u{1b}[{code}m{line}\u{1b}[0m"))
        } else {
            self.line(line)
        }
    }

    /// A sentence of the story.
    fn say(&mut self, sentence: &str) -> Step<()> {
        self.line("")?;
        self.painted("1", sentence)
    }

    /// Findings as they came, each with the line that it stands on.
    fn findings(&mut self, findings: &[Value], text: &str) -> Step<()> {
        for finding in findings {
            let (word, code) = match finding["severity"].as_u64() {
                Some(1) => ("error", "31"),
                Some(2) => ("warning", "33"),
                _ => ("hint", "36"),
            };
            let line = finding["range"]["start"]["line"].as_u64().unwrap_or(0) as usize;
            let written = text.lines().nth(line).unwrap_or("");
            self.line(&format!("  {:>3} | {written}", line + 1))?;
            let message = finding["message"].as_str().unwrap_or("");
            self.painted(code, &format!("      {word}: {message}"))?;
        }
        Ok(())
    }

    /// A text in Markdown that the server sent, its marks taken out and its table set in columns.
    fn quote(&mut self, text: &str) -> Step<()> {
        let mut table = Table::new();
        table.load_style(presets::NOTHING);
        let mut lines = text.lines().peekable();
        while let Some(line) = lines.next() {
            if let Some(row) = line.strip_prefix("| ") {
                if !row.starts_with("---") {
                    table.add_row(row.trim_end_matches('|').split(" | ").map(str::trim));
                }
                if lines.peek().is_none_or(|next| !next.starts_with('|')) {
                    for row in table.lines() {
                        self.line(&format!("  | {}", row.trim_end()))?;
                    }
                    table = Table::new();
                    table.load_style(presets::NOTHING);
                }
                continue;
            }
            let plain = line.replace("**", "").replace('`', "");
            self.line(&format!("  | {}", plain.trim_end_matches('\\')))?;
        }
        Ok(())
    }

    /// The lines that differ, a line around them.
    fn diff(&mut self, old: &str, new: &str) -> Step<()> {
        let diff = TextDiff::from_lines(old, new);
        for group in diff.grouped_ops(1) {
            for change in group.iter().flat_map(|op| diff.iter_changes(op)) {
                let (sign, code) = match change.tag() {
                    ChangeTag::Delete => ("-", "31"),
                    ChangeTag::Insert => ("+", "32"),
                    ChangeTag::Equal => (" ", "0"),
                };
                let line = format!("  {sign} {}", change.value().trim_end());
                self.painted(code, line.trim_end())?;
            }
        }
        Ok(())
    }
}

/// An editor with one open document, and the server that it started.
struct Editor {
    server: Child,
    to: Option<ChildStdin>,
    from: Receiver<Value>,
    text: String,
    version: i64,
    last_id: i64,
}

impl Editor {
    /// Starts the server and says hello.
    fn start() -> Step<Editor> {
        let failed = |e: std::io::Error| format!("cannot start the server: {e}");
        let program = std::env::current_exe().map_err(failed)?;
        let mut server = Command::new(program)
            .arg("serve")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .map_err(failed)?;
        let to = server.stdin.take();
        let output = server.stdout.take().ok_or("the server has no output")?;
        let (messages, from) = channel();
        std::thread::spawn(move || {
            let mut output = BufReader::new(output);
            while let Some(message) = received(&mut output) {
                if messages.send(message).is_err() {
                    break;
                }
            }
        });
        let mut editor = Editor {
            server,
            to,
            from,
            text: String::new(),
            version: 0,
            last_id: 0,
        };
        let capabilities = json!({
            "general": {"positionEncodings": ["utf-8"]},
            "workspace": {"workspaceEdit": {"documentChanges": true}},
            "textDocument": {
                "hover": {"contentFormat": ["markdown"]},
                "publishDiagnostics": {"relatedInformation": true},
                "codeAction": {
                    "codeActionLiteralSupport": {"codeActionKind": {"valueSet": ["quickfix", "refactor"]}},
                    "isPreferredSupport": true,
                },
            },
        });
        let hello =
            json!({"processId": std::process::id(), "rootUri": null, "capabilities": capabilities});
        let answer = editor.ask("initialize", hello)?;
        expect(
            answer["capabilities"]["positionEncoding"] == "utf-8",
            "columns counted in bytes",
            &answer,
        )?;
        editor.tell("initialized", json!({}))?;
        Ok(editor)
    }

    fn text(&self) -> &str {
        &self.text
    }

    /// Opens the document; the findings in it.
    fn open(&mut self, text: &str) -> Step<Vec<Value>> {
        self.text = text.into();
        self.version = 1;
        let document = json!({"uri": URI, "languageId": "harness", "version": 1, "text": text});
        self.tell("textDocument/didOpen", json!({"textDocument": document}))?;
        self.findings()
    }

    /// Types over so many bytes; the findings then.
    fn replace(&mut self, from: usize, bytes: usize, words: &str) -> Step<Vec<Value>> {
        let range = json!({"start": self.position(from), "end": self.position(from + bytes)});
        self.text.replace_range(from..from + bytes, words);
        self.change(json!({"range": range, "text": words}))
    }

    /// Puts a new text in place of the whole; the findings then.
    fn rewrite(&mut self, text: &str) -> Step<Vec<Value>> {
        self.text = text.into();
        self.change(json!({"text": text}))
    }

    fn change(&mut self, change: Value) -> Step<Vec<Value>> {
        self.version += 1;
        let document = json!({"uri": URI, "version": self.version});
        self.tell(
            "textDocument/didChange",
            json!({"textDocument": document, "contentChanges": [change]}),
        )?;
        self.findings()
    }

    fn hover(&mut self, at: usize) -> Step<String> {
        let place = json!({"textDocument": {"uri": URI}, "position": self.position(at)});
        let answer = self.ask("textDocument/hover", place)?;
        let text = answer["contents"]["value"].as_str();
        text.map(str::to_string)
            .ok_or_else(|| missed("a hover", &answer))
    }

    /// What may be done about a finding, the preferred one first.
    fn actions(&mut self, finding: &Value) -> Step<Vec<Value>> {
        let asked = json!({
            "textDocument": {"uri": URI},
            "range": finding["range"],
            "context": {"diagnostics": [finding]},
        });
        let answer = self.ask("textDocument/codeAction", asked)?;
        let mut actions = answer.as_array().cloned().unwrap_or_default();
        actions.sort_by_key(|a| a["isPreferred"] != true);
        expect(!actions.is_empty(), "something to do about it", &answer)?;
        Ok(actions)
    }

    /// Says goodbye and waits for the server to end.
    fn end(mut self) -> Step<()> {
        self.ask("shutdown", Value::Null)?;
        self.tell("exit", Value::Null)?;
        self.to = None;
        // Its output ends when it does.
        loop {
            match self.from.recv_timeout(PATIENCE) {
                Ok(_) => {}
                Err(RecvTimeoutError::Disconnected) => break,
                Err(RecvTimeoutError::Timeout) => return Err("the server does not end".into()),
            }
        }
        let status = self.server.wait().map_err(|e| e.to_string())?;
        expect(status.success(), "a server that ends well", &status)
    }

    fn position(&self, at: usize) -> Value {
        let position = Lines::new(&self.text).position(at, Encoding::Utf8);
        json!({"line": position.line, "character": position.column})
    }

    /// The findings for the version that was sent last.
    fn findings(&mut self) -> Step<Vec<Value>> {
        loop {
            let message = self.next()?;
            let params = &message["params"];
            if message["method"] == "textDocument/publishDiagnostics"
                && params["version"] == self.version
            {
                return Ok(params["diagnostics"]
                    .as_array()
                    .cloned()
                    .unwrap_or_default());
            }
        }
    }

    fn ask(&mut self, method: &str, params: Value) -> Step<Value> {
        self.last_id += 1;
        let id = self.last_id;
        self.send(&json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params}))?;
        loop {
            let message = self.next()?;
            if message["id"] == id && message["method"].is_null() {
                return match message.get("error") {
                    Some(error) => Err(format!("the server refused {method}: {error}").into()),
                    None => Ok(message["result"].clone()),
                };
            }
        }
    }

    fn tell(&mut self, method: &str, params: Value) -> Step<()> {
        self.send(&json!({"jsonrpc": "2.0", "method": method, "params": params}))
    }

    fn send(&mut self, message: &Value) -> Step<()> {
        let body = message.to_string();
        let to = self.to.as_mut().ok_or("the server was told to end")?;
        write!(to, "Content-Length: {}\r\n\r\n{body}", body.len())
            .and_then(|()| to.flush())
            .map_err(|e| format!("the server does not listen: {e}").into())
    }

    /// The next message; a question of the server to the editor is answered with nothing.
    fn next(&mut self) -> Step<Value> {
        loop {
            let message = self
                .from
                .recv_timeout(PATIENCE)
                .map_err(|_| "the server does not answer".to_string())?;
            if message["id"].is_null() || message["method"].is_null() {
                return Ok(message);
            }
            self.send(&json!({"jsonrpc": "2.0", "id": message["id"], "result": null}))?;
        }
    }
}

impl Drop for Editor {
    /// Whatever went wrong, no server is left behind.
    fn drop(&mut self) {
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

/// One message of the protocol; `None` at the end of the stream.
fn received(input: &mut impl BufRead) -> Option<Value> {
    let mut length = 0;
    loop {
        let mut line = String::new();
        if input.read_line(&mut line).ok()? == 0 {
            return None;
        }
        match line.trim_end().split_once(':') {
            Some((name, value)) if name.eq_ignore_ascii_case("content-length") => {
                length = value.trim().parse().ok()?;
            }
            Some(_) => {}
            None if line.trim_end().is_empty() => break,
            None => {}
        }
    }
    let mut body = vec![0; length];
    input.read_exact(&mut body).ok()?;
    serde_json::from_slice(&body).ok()
}
