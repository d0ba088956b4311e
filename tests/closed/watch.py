"""A session with everything in it, under strace: opened, edited, asked, a used file read, a folder searched, ended. What the
system was asked for is then looked through."""

import json
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

PROGRAM = os.environ["GLIMLOOM"]
TOP = Path(__file__).resolve().parents[2]


class Session:
    """A server under strace, and the pipes to it."""

    def __init__(self, log):
        calls = "trace=network,process,file,%desc"
        command = ["strace", "-f", "-qq", "-s", "256", "-e", calls, "-o", log, PROGRAM, "serve"]
        self.server = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        self.last = 0

    def send(self, message):
        body = json.dumps({"jsonrpc": "2.0", **message}).encode()
        self.server.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self.server.stdin.flush()

    def receive(self):
        length = 0
        while line := self.server.stdout.readline().strip():
            length = int(line.split(b": ")[1])
        return json.loads(self.server.stdout.read(length))

    def tell(self, method, params):
        self.send({"method": method, "params": params})

    def ask(self, method, params):
        self.last += 1
        self.send({"id": self.last, "method": method, "params": params})
        while True:
            message = self.receive()
            if message.get("id") == self.last and "method" not in message:
                assert "error" not in message, (method, message)
                return message["result"]
            if "id" in message:
                self.send({"id": message["id"], "result": None})


def sit(folder, log):
    """The session."""
    plan = folder / "plan.harness"
    (folder / "stock.harness").write_text((TOP / "docs/examples/lock-stock.harness").read_text())
    text = (TOP / "docs/examples/night-ferry.harness").read_text()
    plan.write_text('use "stock.harness"\n' + text)
    uri = plan.as_uri()
    session = Session(log)
    session.ask("initialize", {
        "processId": os.getpid(),
        "rootUri": folder.as_uri(),
        "workspaceFolders": [{"uri": folder.as_uri(), "name": "model"}],
        "capabilities": {
            "textDocument": {"diagnostic": {}},
            "workspace": {"workspaceEdit": {"documentChanges": True}},
        },
    })
    session.tell("initialized", {})
    document = {"uri": uri, "languageId": "harness", "version": 1, "text": plan.read_text()}
    session.tell("textDocument/didOpen", {"textDocument": document})
    this = {"textDocument": {"uri": uri}}
    for method in ["diagnostic", "documentSymbol", "semanticTokens/full", "foldingRange", "documentLink", "codeLens"]:
        session.ask(f"textDocument/{method}", this)
    lines = plan.read_text().split("\n")
    for line in range(0, len(lines), 5):
        place = {**this, "position": {"line": line, "character": min(6, len(lines[line]))}}
        for method in ["hover", "completion", "definition"]:
            session.ask(f"textDocument/{method}", place)
        spot = {"start": place["position"], "end": place["position"]}
        session.ask("textDocument/codeAction", {**this, "range": spot, "context": {"diagnostics": []}})
    session.ask("workspace/symbol", {"query": "a"})
    session.ask("workspace/diagnostic", {"previousResultIds": []})
    session.ask("textDocument/formatting", {**this, "options": {"tabSize": 2, "insertSpaces": True}})
    change = {"range": {"start": {"line": 1, "character": 0}, "end": {"line": 1, "character": 0}}, "text": "# x\n"}
    session.tell("textDocument/didChange", {"textDocument": {"uri": uri, "version": 2}, "contentChanges": [change]})
    session.ask("textDocument/diagnostic", this)
    session.tell("textDocument/didClose", this)
    session.ask("shutdown", None)
    session.tell("exit", None)
    assert session.server.wait(20) == 0, "the server did not end well"


def looked_through(log, folder):
    """What must not be, in words."""
    calls = [line.split(None, 1)[1] for line in Path(log).read_text(errors="replace").splitlines() if " " in line]
    wrong = []
    programs = 0
    seen = {"openat": 0, "read": 0}
    for call in calls:
        name = re.match(r"(\w+)\(", call)
        name = name[1] if name else ""
        if name in seen:
            seen[name] += 1
        if name in ("execve", "execveat"):
            programs += 1
        if name in ("socket", "connect", "bind", "listen", "accept", "accept4", "sendto", "recvfrom"):
            wrong.append(f"a socket: {call}")
        if name in ("fork", "vfork") or (name.startswith("clone") and "CLONE_THREAD" not in call):
            wrong.append(f"a process: {call}")
        if name in ("open", "openat", "creat") and re.search(r"O_(WRONLY|RDWR|CREAT|TRUNC|APPEND)", call):
            wrong.append(f"a file to write to: {call}")
        if name in ("rename", "renameat", "renameat2", "unlink", "unlinkat", "mkdir", "mkdirat", "rmdir", "link", "symlink"):
            wrong.append(f"a change of a folder: {call}")
    if programs != 1:
        wrong.append(f"{programs} programs were started; the server alone is one")
    # It was watched: a trace without the used file and the messages is none.
    if not any("stock.harness" in call for call in calls) or seen["read"] < 20:
        wrong.append("the trace is not that of the session")
    return wrong


def main():
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder).resolve()
        log = str(folder / "calls")
        model = folder / "model"
        model.mkdir()
        sit(model, log)
        wrong = looked_through(log, model)
    if wrong:
        print("\n".join(wrong[:20]), file=sys.stderr)
        return 1
    print("no socket, no program, no file written")
    return 0


sys.exit(main())
