"""Measures language servers as an editor feels them: over the pipe, from just before the bytes of an edit are written to the
last byte of the findings that show it. Medians, in milliseconds. The standard library alone."""

from __future__ import annotations

import argparse
import json
import os
import re
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import tomllib
from pathlib import Path

HERE = Path(__file__).resolve().parent
TOP = HERE.parents[2]
MADE = TOP / "target" / "others"
PATIENCE = 60


def install(servers: list[dict]):
    """What is not there yet, by pip and npm, into `target/others`."""
    pip = [server["pip"] for server in servers if "pip" in server]
    npm = [server["npm"] for server in servers if "npm" in server]
    stamp = MADE / "installed.txt"
    wanted = " ".join(pip + npm)
    if stamp.is_file() and stamp.read_text() == wanted:
        return
    MADE.mkdir(parents=True, exist_ok=True)
    if pip:
        subprocess.run([sys.executable, "-m", "venv", MADE / "venv"], check=True)
        subprocess.run([MADE / "venv/bin/pip", "install", "--quiet", "--disable-pip-version-check", *pip], check=True)
    if npm:
        subprocess.run(["npm", "install", "--prefix", MADE, "--no-audit", "--no-fund", "--silent", *npm], check=True)
    stamp.write_text(wanted)


class Server:
    """A server, what it said last, and the clock."""

    def __init__(self, command: list[str], folder: Path):
        self.process = subprocess.Popen(command, cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        self.news = threading.Condition()
        self.answers: dict[int, tuple[float, dict]] = {}
        self.told: tuple[float, dict] | None = None
        self.uri = None
        self.ids = 0
        threading.Thread(target=self.read, daemon=True).start()

    def read(self):
        pipe = self.process.stdout
        while header := pipe.readline():
            length = int(header.split(b":")[1]) if header.lower().startswith(b"content-length") else None
            while (line := pipe.readline()).strip():
                if line.lower().startswith(b"content-length"):
                    length = int(line.split(b":")[1])
            body = pipe.read(length)
            now = time.perf_counter()
            message = json.loads(body)
            with self.news:
                if "method" not in message:
                    self.answers[message["id"]] = (now, message)
                elif "id" in message:
                    items = message.get("params", {}).get("items", []) if message["method"] == "workspace/configuration" else None
                    self.send({"id": message["id"], "result": None if items is None else [None] * len(items)})
                elif message["method"] == "textDocument/publishDiagnostics" and message["params"]["uri"] == self.uri:
                    self.told = (now, message["params"])
                self.news.notify_all()

    def send(self, *messages: dict) -> float:
        bodies = [json.dumps({"jsonrpc": "2.0", **message}).encode() for message in messages]
        data = b"".join(b"Content-Length: %d\r\n\r\n" % len(body) + body for body in bodies)
        now = time.perf_counter()
        self.process.stdin.write(data)
        self.process.stdin.flush()
        return now

    def request(self, method: str, params) -> dict:
        self.ids += 1
        return {"id": self.ids, "method": method, "params": params}

    def answer(self, request: dict) -> tuple[float, dict]:
        with self.news:
            if not self.news.wait_for(lambda: request["id"] in self.answers, PATIENCE):
                raise TimeoutError(request["method"])
            return self.answers.pop(request["id"])

    def ask(self, method: str, params) -> tuple[float, dict]:
        """An answer, and how long it took."""
        request = self.request(method, params)
        sent = self.send(request)
        came, answer = self.answer(request)
        return came - sent, answer

    def memory(self) -> float:
        """The resident memory of the process and of those that it started, in MB."""
        total, rest = 0, [self.process.pid]
        while rest:
            folder = Path(f"/proc/{rest.pop()}")
            total += int(re.search(r"VmRSS:\s+(\d+)", (folder / "status").read_text())[1])
            for children in folder.glob("task/*/children"):
                rest += map(int, children.read_text().split())
        return total / 1024


def text_of(server: dict, lines: int) -> str:
    part = lambda name: (HERE / server[name + "_file"]).read_text() if name + "_file" in server else server.get(name, "")  # noqa: E731
    head, unit, tail = part("head"), part("unit"), part("tail")
    per, count = unit.count("\n"), 0
    units = []
    while not units or head.count("\n") + per * count < lines:
        count += 1
        units.append(unit.replace("{k}", str(count)))
    return head + "".join(units) + tail


def measure(server: dict, lines: int, keys: int) -> dict:
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        names = {"top": TOP, "venv": MADE / "venv", "npm": MADE / "node_modules" / ".bin"}
        command = [word.format(**names) for word in server["command"]]
        path = folder / server["file"]
        text = text_of(server, lines).split("\n")
        spots = [(n, m.start(1)) for n, line in enumerate(text) if (m := re.search(server["at"], line))]
        # One mistake stays, so that an answer without any is never what is waited for.
        line, column = spots.pop(len(spots) // 4)
        text[line] = text[line][:column] + server["insert"] + text[line][column:]
        line, column = spots[len(spots) // 2]
        path.write_text("\n".join(text))
        client = Server(command, folder)
        try:
            return session(client, server, path, text, (line, column), keys)
        finally:
            client.process.kill()
            client.process.wait()


def session(client: Server, server: dict, path: Path, text: list[str], spot: tuple[int, int], keys: int) -> dict:
    uri = client.uri = path.as_uri()
    pulls = server.get("pull", False)
    capabilities = {"textDocument": {"publishDiagnostics": {"versionSupport": True}, "hover": {"contentFormat": ["markdown"]}}}
    if pulls:
        capabilities["textDocument"]["diagnostic"] = {}
    root = path.parent.as_uri()
    _, hello = client.ask("initialize", {"processId": os.getpid(), "rootUri": root, "workspaceFolders": [{"uri": root, "name": "w"}], "capabilities": capabilities})
    client.send({"method": "initialized", "params": {}})
    sync = hello["result"]["capabilities"].get("textDocumentSync")
    takes_whole_texts = (sync.get("change") if isinstance(sync, dict) else sync) == 1
    document = {"uri": uri}

    def until(message: dict, fits) -> float:
        """Sends something; the milliseconds to the findings that fit."""
        end = time.monotonic() + PATIENCE
        pull = lambda: client.request("textDocument/diagnostic", {"textDocument": document})  # noqa: E731
        if pulls:
            request = pull()
            sent = client.send(message, request)
            while True:
                came, answer = client.answer(request)
                if fits((answer.get("result") or {}).get("items", [])):
                    return 1000 * (came - sent)
                if time.monotonic() > end:
                    raise TimeoutError("no such findings")
                request = pull()
                client.send(request)
        client.told = None
        sent = client.send(message)
        with client.news:
            there = lambda: client.told is not None and fits(client.told[1]["diagnostics"])  # noqa: E731
            if not client.news.wait_for(there, PATIENCE):
                raise TimeoutError("no such findings")
            return 1000 * (client.told[0] - sent)

    whole = "\n".join(text)
    item = {"uri": uri, "languageId": server["language"], "version": 1, "text": whole}
    opened = until({"method": "textDocument/didOpen", "params": {"textDocument": item}}, lambda found: len(found) > 0)
    line, column = spot
    near = lambda found: any(f["range"]["start"]["line"] - 1 <= line <= f["range"]["end"]["line"] + 1 for f in found)  # noqa: E731
    times = []
    for key in range(keys):
        appears = key % 2 == 0
        start = {"line": line, "character": column}
        end = {"line": line, "character": column + (0 if appears else len(server["insert"]))}
        change = {"range": {"start": start, "end": end}, "text": server["insert"] if appears else ""}
        text[line] = text[line][:column] + change["text"] + text[line][end["character"] :]
        if takes_whole_texts:
            change = {"text": "\n".join(text)}
        params = {"textDocument": {**document, "version": key + 2}, "contentChanges": [change]}
        # The mistake that was there from the start must be among what is told.
        fits = lambda found: len(found) > 0 and near(found) == appears  # noqa: B023, E731
        times.append(until({"method": "textDocument/didChange", "params": params}, fits))
        time.sleep(0.03)
    said = {"lines": len(text), "key": statistics.median(times[4:]), "slow": sorted(times[4:])[int(0.95 * len(times[4:]))], "open": opened}
    if "hover" in server:
        spots = [(n, m.start(1)) for n, words in enumerate(text) if (m := re.search(server["hover"], words))]
        line, column = spots[len(spots) // 2]
        place = {"textDocument": document, "position": {"line": line, "character": column}}
        asked = [client.ask("textDocument/hover", place) for _ in range(20)]
        if asked[-1][1].get("result"):
            said["hover"] = 1000 * statistics.median(took for took, _ in asked)
    said["memory"] = client.memory()
    return said


def main():
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("names", nargs="*", help="servers of servers.toml (all)")
    words.add_argument("--lines", default="200,2000", help="lengths of the documents")
    words.add_argument("--keys", type=int, default=40, help="how many characters are typed")
    given = words.parse_args()
    servers = tomllib.loads((HERE / "servers.toml").read_text())["server"]
    install(servers)
    print("| server | lines | character → findings | slowest twentieth | open → findings | hover | memory |")
    print("| --- | --: | --: | --: | --: | --: | --: |")
    for lines in map(int, given.lines.split(",")):
        for server in servers:
            if given.names and server["name"] not in given.names:
                continue
            try:
                said = measure(server, lines, given.keys)
            except (TimeoutError, OSError) as why:
                print(f"| {server['name']} | {lines} | failed: {why} |", flush=True)
                continue
            number = lambda name: f"{said[name]:.3g}" if name in said else ""  # noqa: B023, E731
            cells = [server["name"], str(said["lines"]), *map(number, ("key", "slow", "open", "hover")), f"{said['memory']:.0f} MB"]
            print(f"| {' | '.join(cells)} |", flush=True)


if __name__ == "__main__":
    main()
